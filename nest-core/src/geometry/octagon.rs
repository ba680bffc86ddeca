//! [`Octagon`]: how far a set of points reaches along x, y and both diagonals, and [`Octagons`], eight to a register, to
//! find those that meet another.
//!
//! Thin triangles on a slant, as curved outlines are cut into, have boxes that meet far more often than they do.

use wide::i32x8;

use super::Point;

/// Least and greatest x, y, x + y and x - y.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Octagon {
    low: [i64; 4],
    high: [i64; 4],
}

fn along(p: Point) -> [i64; 4] {
    [p.x, p.y, p.x + p.y, p.x - p.y]
}

impl Octagon {
    /// About some points; about none, the point at the origin.
    pub(super) fn of(points: &[Point]) -> Octagon {
        let alone = points.iter().map(|&p| Octagon { low: along(p), high: along(p) });
        alone.reduce(|a, b| a.with(&b)).unwrap_or_default()
    }

    /// About both.
    pub(super) fn with(&self, other: &Octagon) -> Octagon {
        Octagon {
            low: std::array::from_fn(|k| self.low[k].min(other.low[k])),
            high: std::array::from_fn(|k| self.high[k].max(other.high[k])),
        }
    }

    /// The octagon moved by `by`.
    #[inline]
    pub(super) fn shifted(&self, by: Point) -> Octagon {
        let by = along(by);
        Octagon {
            low: std::array::from_fn(|k| self.low[k] + by[k]),
            high: std::array::from_fn(|k| self.high[k] + by[k]),
        }
    }

    /// About everywhere it comes to lie when it moves by no more than `by` along x and along y.
    pub(super) fn grown(&self, by: i64) -> Octagon {
        let by = [by, by, 2 * by, 2 * by];
        Octagon {
            low: std::array::from_fn(|k| self.low[k] - by[k]),
            high: std::array::from_fn(|k| self.high[k] + by[k]),
        }
    }
}

/// Octagons by index.
#[derive(Clone, Debug)]
pub(super) struct Octagons {
    chunks: Vec<Chunk>,
}

/// Eight of them; sums and differences of coordinates on the grid fit 32 bits.
#[derive(Clone, Copy, Debug)]
struct Chunk {
    low: [i32x8; 4],
    high: [i32x8; 4],
}

impl Octagons {
    pub(super) fn of(all: &[Octagon]) -> Octagons {
        let chunk = |some: &[Octagon]| {
            // A lane that holds none has its high sides below everything: it meets nothing.
            let low = |k: usize| {
                i32x8::new(std::array::from_fn(|lane| some.get(lane).map_or(i32::MAX, |o| o.low[k] as i32)))
            };
            let high = |k: usize| {
                i32x8::new(std::array::from_fn(|lane| some.get(lane).map_or(i32::MIN, |o| o.high[k] as i32)))
            };
            Chunk { low: std::array::from_fn(low), high: std::array::from_fn(high) }
        };
        Octagons { chunks: all.chunks(8).map(chunk).collect() }
    }

    /// The indices of those whose inside meets that of `other`.
    #[inline]
    pub(super) fn meeting(&self, other: &Octagon) -> impl Iterator<Item = usize> + use<'_> {
        let low = other.low.map(|side| i32x8::splat(side as i32));
        let high = other.high.map(|side| i32x8::splat(side as i32));
        self.chunks.iter().enumerate().flat_map(move |(at, chunk)| {
            let overlap = |k: usize| chunk.low[k].simd_lt(high[k]) & chunk.high[k].simd_gt(low[k]);
            let meet = overlap(0) & overlap(1) & overlap(2) & overlap(3);
            Bits(meet.to_bitmask()).map(move |lane| at * 8 + lane)
        })
    }
}

/// The numbers of the bits that are set, from the lowest on.
struct Bits(u32);

impl Iterator for Bits {
    type Item = usize;

    #[inline]
    fn next(&mut self) -> Option<usize> {
        let lowest = (self.0 != 0).then(|| self.0.trailing_zeros() as usize);
        self.0 &= self.0.wrapping_sub(1);
        lowest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn triangle(k: i64) -> [Point; 3] {
        let at = Point::new(k * 7919 % 1000, k * 104_729 % 800);
        [
            at,
            at + Point::new(1 + k * 31 % 300, 60 - k * 17 % 250),
            at + Point::new(40 - k * 13 % 90, 1 + k * 5 % 200),
        ]
    }

    /// Do two sets of points lie to both sides of no line square to one of the four directions?
    fn cannot_be_told_apart(a: &[Point], b: &[Point]) -> bool {
        [Point::new(1, 0), Point::new(0, 1), Point::new(1, 1), Point::new(1, -1)].iter().all(|direction| {
            let [a, b] = [a, b].map(|points| points.iter().map(|p| direction.dot(*p)).collect::<Vec<_>>());
            a.iter().min() < b.iter().max() && b.iter().min() < a.iter().max()
        })
    }

    #[test]
    fn those_that_meet_another_are_found_and_no_others() {
        let mut met = 0;
        for count in 0..40 {
            let all: Vec<Octagon> = (0..count).map(|k| Octagon::of(&triangle(k))).collect();
            let octagons = Octagons::of(&all);
            for k in 100..200 {
                let (by, reach) = (Point::new(k, -2 * k), k % 7);
                let other = triangle(k);
                let anywhere: Vec<Point> = [(-1, -1), (-1, 1), (1, -1), (1, 1)]
                    .iter()
                    .flat_map(|(x, y)| other.map(|p| p + by + Point::new(x * reach, y * reach)))
                    .collect();
                let found: Vec<usize> =
                    octagons.meeting(&Octagon::of(&other).shifted(by).grown(reach)).collect();
                let told = |at: &usize| cannot_be_told_apart(&triangle(*at as i64), &anywhere);
                assert_eq!(found, (0..count as usize).filter(told).collect::<Vec<_>>(), "{other:?}");
                met += found.len();
            }
        }
        assert!(met > 1000, "{met} met");
    }

    #[test]
    fn what_touches_does_not_meet_and_slants_are_told_apart() {
        // Both halves of a square, which have the same box.
        let lower = Octagon::of(&[(0, 0), (10, 0), (0, 10)].map(|(x, y)| Point::new(x, y)));
        let upper = Octagon::of(&[(10, 0), (10, 10), (0, 10)].map(|(x, y)| Point::new(x, y)));
        let octagons = Octagons::of(&[lower]);
        let meets = |x: i64, y: i64| octagons.meeting(&upper.shifted(Point::new(x, y))).count() == 1;
        assert!(!meets(0, 0) && meets(-1, 0) && meets(0, -1) && !meets(-1, 1));
        let about = lower.with(&upper);
        assert_eq!(about, Octagon::of(&[(0, 0), (10, 0), (10, 10), (0, 10)].map(|(x, y)| Point::new(x, y))));
    }
}
