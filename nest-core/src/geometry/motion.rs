//! [`Motion`]: a pose about the origin and then a shift: an exact rigid motion of the plane.

use super::{Bounds, Point, Polygon, Pose};

/// A pose about the origin, then a shift.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Motion {
    /// Mirroring and turning about the origin.
    pub pose: Pose,
    /// The shift after it.
    pub shift: Point,
}

impl Motion {
    /// A shift alone.
    pub const fn shift(by: Point) -> Motion {
        Motion { pose: Pose::AS_DRAWN, shift: by }
    }

    /// Where a point comes to lie.
    pub fn apply(&self, p: Point) -> Point {
        self.pose.apply(p) + self.shift
    }

    /// Where a box comes to lie.
    pub fn apply_box(&self, b: &Bounds) -> Bounds {
        Bounds::of(&[self.apply(b.low), self.apply(b.high)])
    }

    /// Where an outline comes to lie.
    pub fn apply_outline(&self, outline: &Polygon) -> Polygon {
        outline.posed(self.pose).shifted(self.shift)
    }

    /// The motion back.
    pub fn inverse(&self) -> Motion {
        let pose = self.pose.inverse();
        Motion { pose, shift: -pose.apply(self.shift) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    #[test]
    fn there_and_back() {
        let (p, b) = (Point::new(3, 7), Bounds { low: Point::new(-2, 5), high: Point::new(9, 6) });
        for turn in Turn::ALL {
            for mirrored in [false, true] {
                let there = Motion { pose: Pose { mirrored, turn }, shift: Point::new(11, -4) };
                let back = there.inverse();
                assert_eq!(back.apply(there.apply(p)), p);
                assert_eq!(back.apply_box(&there.apply_box(&b)), b);
            }
        }
    }
}
