//! Marks of one size carried to another: along seams that correspond, or in proportion to the piece.

use kurbo::Vec2;

use super::outline::Boundary;
use crate::geometry::DrawnPoint;
use crate::import::line::{Frame, area, nearest_on_ring, nearest_on_segment};

/// Marks of one kind that are carried; no real piece has so many, and each costs time in every size.
pub(super) const MOST_MARKS: usize = 100;

/// The ring between which places inside the piece are mixed has this many places of each seam, and this many in all.
const PARTS: usize = 6;
const MOST_PLACES: usize = 500;

/// Two sizes of one piece, and what is known of how the one was made of the other.
pub(super) struct Carrying<'a> {
    own: &'a [DrawnPoint],
    other: &'a [DrawnPoint],
    seams: Option<Seams>,
}

/// Outlines of more seams are taken to begin at the same one; finding out costs a comparison of every two.
const MOST_TURNED: usize = 300;

/// Seams that correspond one to one, in the order of both outlines.
struct Seams {
    own: Vec<Vec<DrawnPoint>>,
    other: Vec<Vec<DrawnPoint>>,
    /// Places at equal parts of each seam: as many on both outlines, however they are drawn.
    rungs: [Vec<DrawnPoint>; 2],
}

impl<'a> Carrying<'a> {
    /// From the outline of one size to that of another; the boundaries are what is known of their seams.
    pub(super) fn new(
        (own, from): (&'a [DrawnPoint], Option<&Boundary>),
        (other, to): (&'a [DrawnPoint], Option<&Boundary>),
    ) -> Carrying<'a> {
        Carrying { own, other, seams: from.zip(to).and_then(|(from, to)| Seams::of(from, to)) }
    }

    /// Are the seams of the two known to correspond?
    pub(super) fn along_seams(&self) -> bool {
        self.seams.is_some()
    }

    /// A place on the edge: the same part of the same seam; or else, in proportion to the boxes around the two sizes, the
    /// place nearest to that on the edge.
    pub(super) fn on_edge(&self, p: DrawnPoint) -> DrawnPoint {
        match &self.seams {
            Some(seams) => seams.on_edge(p),
            None => nearest_on_ring(self.other, self.in_proportion(p)),
        }
    }

    /// A place inside: mixed from the places around it as it is in the first size (mean value coordinates: Floater 2003,
    /// for any ring Hormann and Floater 2006), which is exact where a size is the other stretched, sheared or moved; or
    /// else in proportion to the boxes around the two.
    pub(super) fn inside(&self, p: DrawnPoint) -> DrawnPoint {
        let mixed = self.seams.as_ref().and_then(|seams| {
            let [own, other] = &seams.rungs;
            let weights = mean_values(own, p)?;
            let sum: Vec2 = other.iter().zip(&weights).map(|(q, w)| q.to_vec2() * *w).sum();
            Some(sum.to_point())
        });
        mixed.unwrap_or_else(|| self.in_proportion(p))
    }

    fn in_proportion(&self, p: DrawnPoint) -> DrawnPoint {
        let (own, other) = (Frame::of(self.own), Frame::of(self.other));
        let part = |at: f64, run: f64| if run > 0.0 { at / run } else { 0.5 };
        DrawnPoint::new(
            other.low.x + part(p.x - own.low.x, own.width()) * other.width(),
            other.low.y + part(p.y - own.low.y, own.height()) * other.height(),
        )
    }
}

impl Seams {
    /// None when the two outlines are not made of the same number of lines, or of as many points where they are one line;
    /// or when a seam has another length than grading would give it: then they are not known to be drawn alike.
    fn of(from: &Boundary, to: &Boundary) -> Option<Seams> {
        // Outlines that run round different ways are not drawn alike either.
        if area(&from.ring) * area(&to.ring) <= 0.0 {
            return None;
        }
        let in_one = from.joints.len() < 2 && to.joints.len() < 2 && from.ring.len() == to.ring.len();
        let every = |boundary: &Boundary| (0..boundary.ring.len()).collect::<Vec<usize>>();
        let (own, mut other) = if in_one {
            (seams(&from.ring, &every(from)), seams(&to.ring, &every(to)))
        } else {
            (seams(&from.ring, &from.joints), seams(&to.ring, &to.joints))
        };
        if own.len() != other.len() || own.len() < 2 {
            return None;
        }
        // The lines may be written in another order: the outlines begin where their seams lie best on one another.
        let place = |seams: &[Vec<DrawnPoint>], ring: &[DrawnPoint]| -> Vec<Vec2> {
            let frame = Frame::of(ring);
            let middle = |seam: &Vec<DrawnPoint>| {
                let off = point_at(seam, length(seam) / 2.0) - frame.middle();
                Vec2::new(off.x / frame.width().max(1e-9), off.y / frame.height().max(1e-9))
            };
            seams.iter().map(middle).collect()
        };
        let (places, others) = (place(&own, &from.ring), place(&other, &to.ring));
        let count = own.len();
        let off = |turn: usize| -> f64 {
            (0..count).map(|i| (places[i] - others[(i + turn) % count]).hypot2()).sum()
        };
        let turns = 0..if count > MOST_TURNED { 1 } else { count };
        let turn = turns.map(|turn| (turn, off(turn))).min_by(|a, b| a.1.total_cmp(&b.1))?.0;
        other.rotate_left(turn);
        let alike = |(a, b): (f64, f64)| a / b < 2.0 && b / a < 2.0 || (a - b).abs() < 30.0;
        let mut lengths = own.iter().map(|seam| length(seam)).zip(other.iter().map(|seam| length(seam)));
        if !lengths.all(alike) {
            return None;
        }
        Some(Seams { rungs: [rung(&own), rung(&other)], own, other })
    }

    fn on_edge(&self, p: DrawnPoint) -> DrawnPoint {
        let nearest = self.own.iter().zip(&self.other).map(|(own, other)| (place_on(own, p), own, other));
        let nearest = nearest.min_by(|a, b| a.0.1.total_cmp(&b.0.1));
        let Some(((at, _), own, other)) = nearest else { return p };
        point_at(other, at * (length(other) / length(own).max(1e-9)))
    }
}

fn length(line: &[DrawnPoint]) -> f64 {
    line.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// The lines of which a ring is made, each from joint to joint.
fn seams(ring: &[DrawnPoint], joints: &[usize]) -> Vec<Vec<DrawnPoint>> {
    let n = ring.len();
    let stretch = |from: usize, to: usize| -> Vec<DrawnPoint> {
        let count = (to + n - from - 1) % n + 1;
        (0..=count).map(|i| ring[(from + i) % n]).collect()
    };
    (0..joints.len()).map(|k| stretch(joints[k], joints[(k + 1) % joints.len()])).collect()
}

/// A ring of places at equal parts of each seam; of very many seams, where some of them begin.
fn rung(seams: &[Vec<DrawnPoint>]) -> Vec<DrawnPoint> {
    let count = (MOST_PLACES / seams.len().max(1)).clamp(1, PARTS);
    let mut ring = Vec::new();
    for seam in seams.iter().step_by(seams.len().div_ceil(MOST_PLACES).max(1)) {
        let whole = length(seam);
        ring.extend((0..count).map(|k| point_at(seam, whole * k as f64 / count as f64)));
    }
    ring
}

/// The mean value coordinates of a point that lies on no edge of the ring; none where it does, or nearly so.
fn mean_values(ring: &[DrawnPoint], p: DrawnPoint) -> Option<Vec<f64>> {
    let n = ring.len();
    // The tangent of half the angle under which each edge is seen, with the sign of the way round.
    let halves: Vec<f64> = (0..n)
        .map(|i| {
            let (a, b) = (ring[i] - p, ring[(i + 1) % n] - p);
            (a.cross(b).atan2(a.dot(b)) / 2.0).tan()
        })
        .collect();
    let weights: Vec<f64> =
        (0..n).map(|i| (halves[(i + n - 1) % n] + halves[i]) / (ring[i] - p).hypot()).collect();
    let sum: f64 = weights.iter().sum();
    let usable = sum.is_finite() && sum.abs() > 1e-9 && weights.iter().all(|w| (w / sum).abs() < 1e3);
    usable.then(|| weights.iter().map(|w| w / sum).collect())
}

/// How far along a line the place nearest to `p` is, and how far from it.
fn place_on(line: &[DrawnPoint], p: DrawnPoint) -> (f64, f64) {
    let mut behind = 0.0;
    let mut best = (0.0, f64::INFINITY);
    for pair in line.windows(2) {
        let foot = nearest_on_segment(pair[0], pair[1], p);
        if foot.distance(p) < best.1 {
            best = (behind + foot.distance(pair[0]), foot.distance(p));
        }
        behind += pair[0].distance(pair[1]);
    }
    best
}

/// The place so far along a line.
fn point_at(line: &[DrawnPoint], mut along: f64) -> DrawnPoint {
    for pair in line.windows(2) {
        let length = pair[0].distance(pair[1]);
        if along <= length && length > 0.0 {
            return pair[0].lerp(pair[1], along / length);
        }
        along -= length;
    }
    line.last().copied().unwrap_or(DrawnPoint::ORIGIN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn boundary(points: &[(f64, f64)], joints: Vec<usize>) -> Boundary {
        let ring = points.iter().map(|&(x, y)| DrawnPoint::new(x, y)).collect();
        Boundary { ring, joints, gap: 0.0, rest: Vec::new() }
    }

    /// A bodice with a hollow for the arm.
    const BODICE: [(f64, f64); 7] = [
        (0.0, 0.0),
        (700.0, 0.0),
        (690.0, 180.0),
        (560.0, 190.0),
        (500.0, 200.0),
        (470.0, 280.0),
        (0.0, 300.0),
    ];

    proptest! {
        /// Mean value coordinates sum to one and give back the point itself (Floater 2003, section 2), so an affine
        /// change of the ring carries every place as it carries the ring.
        #[test]
        fn stretched_and_sheared_sizes_carry_their_places_exactly(
            (x, y) in (1.0..699.0f64, 1.0..299.0f64),
            stretch in prop::array::uniform4(-0.25..0.25f64),
            (dx, dy) in (-500.0..500.0f64, -500.0..500.0f64),
        ) {
            let map = |p: DrawnPoint| DrawnPoint::new(
                p.x * (1.0 + stretch[0]) + p.y * stretch[1] + dx,
                p.x * stretch[2] * 0.2 + p.y * (1.0 + stretch[3]) + dy,
            );
            let own = boundary(&BODICE, (0..7).collect());
            let other = Boundary { ring: own.ring.iter().map(|&p| map(p)).collect(), ..own.clone() };
            let carrying = Carrying::new((&own.ring, Some(&own)), (&other.ring, Some(&other)));
            prop_assert!(carrying.along_seams());
            let p = DrawnPoint::new(x, y);
            prop_assume!(nearest_on_ring(&own.ring, p).distance(p) > 1.0);
            prop_assert!(carrying.inside(p).distance(map(p)) < 1e-6);
        }
    }

    #[test]
    fn one_line_of_as_many_points_corresponds_point_by_point() {
        let own = boundary(&BODICE, vec![0]);
        // Graded at the hem alone: what lies far from it hardly moves.
        let mut longer = own.clone();
        longer.ring[0].x -= 40.0;
        longer.ring[6].x -= 40.0;
        let carrying = Carrying::new((&own.ring, Some(&own)), (&longer.ring, Some(&longer)));
        assert!(carrying.along_seams());
        assert_eq!(carrying.on_edge(own.ring[3]), own.ring[3]);
        let high = carrying.inside(DrawnPoint::new(640.0, 90.0));
        let low = carrying.inside(DrawnPoint::new(60.0, 150.0));
        assert!((high.x - 640.0).abs() < 3.0 && (low.x - 60.0 + 40.0).abs() < 8.0, "{high:?} {low:?}");
    }

    #[test]
    fn seams_written_in_another_order_still_correspond() {
        let own = boundary(&BODICE, vec![0, 1, 2, 5, 6]);
        let mut ring = own.ring.clone();
        ring.rotate_left(5);
        // The same places of the ring, now counted from the fifth.
        let mut joints = own.joints.iter().map(|i| (i + 2) % 7).collect::<Vec<usize>>();
        joints.sort_unstable();
        let other = Boundary { ring, joints, ..own.clone() };
        let carrying = Carrying::new((&own.ring, Some(&own)), (&other.ring, Some(&other)));
        for p in [(300.0, 0.0), (600.0, 187.0), (200.0, 295.0)] {
            let p = nearest_on_ring(&own.ring, DrawnPoint::new(p.0, p.1));
            assert!(carrying.on_edge(p).distance(p) < 1e-9, "{p:?}");
        }
    }

    #[test]
    fn outlines_that_are_drawn_otherwise_go_by_their_boxes() {
        let own = boundary(&[(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)], vec![0]);
        let other = boundary(&[(0.0, 0.0), (200.0, 0.0), (200.0, 50.0), (100.0, 60.0), (0.0, 50.0)], vec![0]);
        let carrying = Carrying::new((&own.ring, Some(&own)), (&other.ring, Some(&other)));
        assert!(!carrying.along_seams());
        assert_eq!(carrying.inside(DrawnPoint::new(50.0, 25.0)), DrawnPoint::new(100.0, 30.0));
        let edge = carrying.on_edge(DrawnPoint::new(25.0, 0.0));
        assert_eq!(edge, DrawnPoint::new(50.0, 0.0));
    }
}
