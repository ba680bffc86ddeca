//! Quarter turns and mirroring about the origin: the exact rigid motions of a piece on the cloth.

use super::Point;

/// A turn by whole quarters, counter-clockwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Turn {
    /// Not turned.
    #[default]
    None,
    /// 90 degrees.
    Quarter,
    /// 180 degrees: the top of the piece points the other way.
    Half,
    /// 270 degrees.
    ThreeQuarter,
}

impl Turn {
    /// All four, in order.
    pub const ALL: [Turn; 4] = [Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarter];

    /// In degrees, counter-clockwise.
    pub const fn degrees(self) -> u16 {
        match self {
            Turn::None => 0,
            Turn::Quarter => 90,
            Turn::Half => 180,
            Turn::ThreeQuarter => 270,
        }
    }

    /// From 0, 90, 180 or 270 degrees.
    pub const fn from_degrees(degrees: u16) -> Option<Turn> {
        match degrees {
            0 => Some(Turn::None),
            90 => Some(Turn::Quarter),
            180 => Some(Turn::Half),
            270 => Some(Turn::ThreeQuarter),
            _ => None,
        }
    }

    /// The point turned about the origin.
    pub const fn apply(self, p: Point) -> Point {
        match self {
            Turn::None => p,
            Turn::Quarter => Point::new(-p.y, p.x),
            Turn::Half => Point::new(-p.x, -p.y),
            Turn::ThreeQuarter => Point::new(p.y, -p.x),
        }
    }

    /// The turn back.
    pub const fn inverse(self) -> Turn {
        Turn::ALL[((360 - self.degrees()) / 90 % 4) as usize]
    }

    /// This turn followed by `next`.
    pub const fn then(self, next: Turn) -> Turn {
        Turn::ALL[((self.degrees() + next.degrees()) / 90 % 4) as usize]
    }
}

/// How a piece lies: first mirrored (printed side down) across its grainline, then turned.
///
/// Mirroring maps (x, y) to (x, −y): the piece flipped over about its own grainline, so its top still points the same way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pose {
    /// Printed side down.
    pub mirrored: bool,
    /// The turn after mirroring.
    pub turn: Turn,
}

impl Pose {
    /// As drawn.
    pub const AS_DRAWN: Pose = Pose { mirrored: false, turn: Turn::None };

    /// The point mirrored, then turned, about the origin.
    pub const fn apply(self, p: Point) -> Point {
        self.turn.apply(if self.mirrored { Point::new(p.x, -p.y) } else { p })
    }

    /// This pose followed by `next`.
    pub const fn then(self, next: Pose) -> Pose {
        // Mirroring after a turn is turning the other way after mirroring.
        let own = if next.mirrored { self.turn.inverse() } else { self.turn };
        Pose { mirrored: self.mirrored != next.mirrored, turn: own.then(next.turn) }
    }

    /// The pose that undoes this one.
    pub const fn inverse(self) -> Pose {
        // A mirrored pose is its own inverse.
        if self.mirrored { self } else { Pose { mirrored: false, turn: self.turn.inverse() } }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_quarters_make_a_whole_and_mirroring_keeps_the_heading() {
        let p = Point::new(3, 7);
        for t in Turn::ALL {
            assert_eq!(Turn::from_degrees(t.degrees()), Some(t));
            assert_eq!(t.then(Turn::Quarter).apply(p), Turn::Quarter.apply(t.apply(p)));
        }
        let all = || [false, true].into_iter().flat_map(|m| Turn::ALL.map(|turn| Pose { mirrored: m, turn }));
        for a in all() {
            assert_eq!(a.inverse().apply(a.apply(p)), p);
            for b in all() {
                assert_eq!(a.then(b).apply(p), b.apply(a.apply(p)), "{a:?} then {b:?}");
            }
        }
        let flipped = Pose { mirrored: true, turn: Turn::None };
        assert_eq!(flipped.apply(Point::new(1, 0)), Point::new(1, 0), "the grainline keeps pointing up");
        assert_eq!(flipped.apply(Point::new(0, 1)), Point::new(0, -1));
    }
}
