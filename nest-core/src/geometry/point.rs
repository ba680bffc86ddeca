//! Points (also used as vectors) and boxes on the grid.

use std::ops::{Add, Neg, Sub};

/// A point or a vector, in grid units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// Along the cloth.
    pub x: i64,
    /// Across the cloth.
    pub y: i64,
}

impl Point {
    /// The point at (`x`, `y`).
    pub const fn new(x: i64, y: i64) -> Point {
        Point { x, y }
    }

    /// Twice the signed area of the triangle of the origin, `self` and `other`.
    pub const fn cross(self, other: Point) -> i64 {
        self.x * other.y - self.y * other.x
    }

    /// The scalar product.
    pub const fn dot(self, other: Point) -> i64 {
        self.x * other.x + self.y * other.y
    }

    /// The length of the vector.
    pub fn length(self) -> f64 {
        // A square root is rounded alike on every machine; `hypot` need not be.
        (self.dot(self) as f64).sqrt()
    }
}

impl Add for Point {
    type Output = Point;
    fn add(self, o: Point) -> Point {
        Point::new(self.x + o.x, self.y + o.y)
    }
}

impl Sub for Point {
    type Output = Point;
    fn sub(self, o: Point) -> Point {
        Point::new(self.x - o.x, self.y - o.y)
    }
}

impl Neg for Point {
    type Output = Point;
    fn neg(self) -> Point {
        Point::new(-self.x, -self.y)
    }
}

/// An axis-parallel box, closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// The corner with the least coordinates.
    pub low: Point,
    /// The corner with the greatest coordinates.
    pub high: Point,
}

impl Bounds {
    /// The box of some points; of none, the empty box at the origin.
    pub fn of(points: &[Point]) -> Bounds {
        let mut it = points.iter().copied();
        let first = it.next().unwrap_or_default();
        it.fold(Bounds { low: first, high: first }, |b, p| Bounds {
            low: Point::new(b.low.x.min(p.x), b.low.y.min(p.y)),
            high: Point::new(b.high.x.max(p.x), b.high.y.max(p.y)),
        })
    }

    /// Extent along x.
    pub const fn width(&self) -> i64 {
        self.high.x - self.low.x
    }

    /// Extent along y.
    pub const fn height(&self) -> i64 {
        self.high.y - self.low.y
    }

    /// The box moved by `by`.
    pub fn shifted(&self, by: Point) -> Bounds {
        Bounds { low: self.low + by, high: self.high + by }
    }

    /// Do the open interiors meet?
    pub const fn interiors_meet(&self, o: &Bounds) -> bool {
        self.low.x < o.high.x && o.low.x < self.high.x && self.low.y < o.high.y && o.low.y < self.high.y
    }
}
