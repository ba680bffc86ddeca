//! The largest box of given proportions that lies inside an outline.
//!
//! Stretched so that the box becomes a square, the outline asks for the point farthest from its boundary in the maximum
//! norm: a *pole of inaccessibility*. It is found by quartering squares, best promise first, as that norm grows by no
//! more than one moves.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A box found: its middle, and by what its sides were multiplied.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Room {
    pub(crate) middle: (f64, f64),
    pub(crate) scale: f64,
}

/// A straight stretch of an outline, or of a line that the box must not cross.
pub(crate) type Stretch = ((f64, f64), (f64, f64));

/// How near the best the answer comes: nothing an eye would see.
const PRECISION: f64 = 0.03;

/// Squares quartered at the most: a bound on the time for outlines full of equally good places.
const MOST_SQUARES: usize = 1500;

/// The largest box of sides `width` to `height` inside the ring `outline` that crosses none of the `obstacles`.
///
/// # Frame and units
/// Box and outline are axis-parallel in the same frame. A scale of `enough` ends the search: more is not asked for.
/// Nothing when there is no such box, or none larger than `least`.
///
/// # Complexity
/// O(n) for each square looked at, of which there are at most 1500; the answer is within 3 % of the largest.
pub(crate) fn largest_box(
    outline: &[(f64, f64)],
    obstacles: &[Stretch],
    (width, height): (f64, f64),
    least: f64,
    enough: f64,
) -> Option<Room> {
    let squeeze = |p: (f64, f64)| (p.0 / (width / 2.0), p.1 / (height / 2.0));
    let ring: Vec<(f64, f64)> = outline.iter().copied().map(squeeze).collect();
    let bars: Vec<Stretch> = obstacles.iter().map(|&(a, b)| (squeeze(a), squeeze(b))).collect();

    let (low, high) = bounds(&ring);
    let (across, along) = (high.0 - low.0, high.1 - low.1);
    let most = across.min(along) / 2.0;
    if most <= least {
        return None;
    }
    // First squares as large as the outline is narrow, or a sixtieth of its length where it is a mere strip.
    let side = (2.0 * most).max(across.max(along) / 60.0);
    let mut open = BinaryHeap::new();
    let mut y = low.1;
    while y < high.1 {
        let mut x = low.0;
        while x < high.0 {
            open.push(Square::new(&ring, &bars, (x + side / 2.0, y + side / 2.0), side / 2.0));
            x += side;
        }
        y += side;
    }

    let mut best = Room { middle: (0.0, 0.0), scale: least };
    let mut found = false;
    let mut looked_at = open.len();
    for square in open.iter() {
        if square.free > best.scale {
            best = Room { middle: square.middle, scale: square.free };
            found = true;
        }
    }
    while let Some(square) = open.pop() {
        if square.promise() <= best.scale * (1.0 + PRECISION)
            || best.scale >= enough
            || looked_at > MOST_SQUARES
        {
            break;
        }
        let half = square.half / 2.0;
        for (dx, dy) in [(-half, -half), (half, -half), (-half, half), (half, half)] {
            let part = Square::new(&ring, &bars, (square.middle.0 + dx, square.middle.1 + dy), half);
            looked_at += 1;
            if part.free > best.scale {
                best = Room { middle: part.middle, scale: part.free };
                found = true;
            }
            open.push(part);
        }
    }
    let middle = (best.middle.0 * width / 2.0, best.middle.1 * height / 2.0);
    found.then_some(Room { middle, scale: best.scale })
}

struct Square {
    middle: (f64, f64),
    half: f64,
    /// Half the side of the largest square about the middle that is free; negative outside the outline.
    free: f64,
}

impl Square {
    fn new(ring: &[(f64, f64)], bars: &[Stretch], middle: (f64, f64), half: f64) -> Square {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for (i, &a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a.1 > middle.1) != (b.1 > middle.1)
                && middle.0 < (b.0 - a.0) * (middle.1 - a.1) / (b.1 - a.1) + a.0
            {
                inside = !inside;
            }
            nearest = nearest.min(maximum_norm_distance(middle, (a, b)));
        }
        if inside {
            for &bar in bars {
                nearest = nearest.min(maximum_norm_distance(middle, bar));
            }
        }
        Square { middle, half, free: if inside { nearest } else { -nearest } }
    }

    /// No point of the square has more room than this.
    fn promise(&self) -> f64 {
        self.free + self.half
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Square) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Square) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Square) -> Ordering {
        // A total order, by place among equals, so that the same outline always gets the same room.
        self.promise()
            .total_cmp(&other.promise())
            .then(other.middle.0.total_cmp(&self.middle.0))
            .then(other.middle.1.total_cmp(&self.middle.1))
    }
}

/// From a point to the nearest point of a stretch, in the maximum norm.
///
/// Along the stretch the norm is convex and made of straight parts: its least value is at an end, where a coordinate is
/// nought, or where the two are equally large.
fn maximum_norm_distance(from: (f64, f64), (a, b): Stretch) -> f64 {
    let (ax, ay) = (a.0 - from.0, a.1 - from.1);
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let norm = |t: f64| (ax + t * dx).abs().max((ay + t * dy).abs());
    let mut least = norm(0.0).min(norm(1.0));
    for (rise, run) in [(-ax, dx), (-ay, dy), (ay - ax, dx - dy), (-ay - ax, dx + dy)] {
        if run != 0.0 {
            let t = rise / run;
            if t > 0.0 && t < 1.0 {
                least = least.min(norm(t));
            }
        }
    }
    least
}

fn bounds(ring: &[(f64, f64)]) -> ((f64, f64), (f64, f64)) {
    let start = ((f64::INFINITY, f64::INFINITY), (f64::NEG_INFINITY, f64::NEG_INFINITY));
    ring.iter()
        .fold(start, |(low, high), p| ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1))))
}

#[cfg(test)]
mod box_tests {
    use super::*;

    #[test]
    fn in_a_triangle_the_largest_square_is_the_known_one() {
        // The square with one side on the base of a triangle of base b and height h has the side b·h/(b + h), and of a
        // right isosceles triangle it is the largest inscribed: half the legs (elementary geometry).
        let right = [(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)];
        let room = largest_box(&right, &[], (1.0, 1.0), 0.0, f64::INFINITY).unwrap();
        assert!((room.scale - 5.0).abs() < 0.16, "{room:?}");
        let flat = [(0.0, 0.0), (30.0, 0.0), (15.0, 10.0)];
        let room = largest_box(&flat, &[], (1.0, 1.0), 0.0, f64::INFINITY).unwrap();
        assert!((room.scale - 7.5).abs() < 0.24, "{room:?}");
    }

    #[test]
    fn a_bar_through_the_middle_halves_the_room() {
        let board = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)];
        let bar = ((0.0, 5.0), (20.0, 5.0));
        let free = largest_box(&board, &[], (2.0, 1.0), 0.0, f64::INFINITY).unwrap();
        assert!((free.scale - 10.0).abs() < 0.3, "{free:?}");
        let barred = largest_box(&board, &[bar], (2.0, 1.0), 0.0, f64::INFINITY).unwrap();
        assert!((barred.scale - 5.0).abs() < 0.15, "{barred:?}");
        assert_eq!(largest_box(&board, &[bar], (2.0, 1.0), 5.2, f64::INFINITY), None);
    }
}
