//! The frames of reading: from the author's points to drawn points on the scale of the grid, and on to the piece's frame.

use super::faults::Faults;
use crate::geometry::{DrawnPoint, Point};
use crate::job::file::{JobFile, YAxis};
use crate::job::{Measure, ProblemKind, Spot};
use crate::length::{GRID_PER_MM, MAX_GRID, Unit};

/// How the file's numbers are to be taken.
pub(super) struct FileFrame {
    pub(super) unit: Unit,
    /// Grid units to one of `unit`: 100, 1000 or 2540, whole numbers, so that little is lost in multiplying.
    pub(super) scale: f64,
    /// 1 when the file's y points up, -1 when it points down.
    y_sign: f64,
    /// How far a chord may leave its curve, in grid units.
    pub(super) tolerance: f64,
}

impl FileFrame {
    pub(super) fn new(file: &JobFile, unit: Unit, faults: &mut Faults) -> FileFrame {
        let tolerance = file.curve_tolerance.unwrap_or(0.1);
        if !(0.01..=5.0).contains(&tolerance) {
            faults.add("curve_tolerance", ProblemKind::Tolerance(tolerance));
        }
        FileFrame {
            unit,
            scale: (unit.mm() * GRID_PER_MM as f64).round(),
            y_sign: match file.y_axis {
                YAxis::Up => 1.0,
                YAxis::Down => -1.0,
            },
            tolerance: tolerance.clamp(0.01, 5.0) * GRID_PER_MM as f64,
        }
    }

    /// The point in grid units, y up, not rounded; none beyond the grid.
    pub(super) fn drawn(&self, [x, y]: [f64; 2]) -> Option<DrawnPoint> {
        let within = |v: f64| v.abs() <= MAX_GRID as f64;
        let p = DrawnPoint::new(x * self.scale, y * self.scale * self.y_sign);
        (within(p.x) && within(p.y)).then_some(p)
    }

    /// A point that is on scale already, with y up.
    pub(super) fn upright(&self, p: DrawnPoint) -> DrawnPoint {
        DrawnPoint::new(p.x, p.y * self.y_sign)
    }

    /// The drawn point as the file would write it.
    pub(super) fn spot(&self, p: DrawnPoint) -> Spot {
        // Adding zero turns a negative zero into zero.
        Spot { x: p.x / self.scale + 0.0, y: p.y / self.scale * self.y_sign + 0.0 }
    }

    /// A distance in grid units, in the file's unit.
    pub(super) fn measure(&self, grid: f64) -> Measure {
        Measure { value: grid / self.scale, unit: self.unit }
    }
}

/// A turn that lays a direction along +x.
#[derive(Clone, Copy)]
pub(super) struct Turning {
    /// Cosine and sine of the direction; exact for the four quarter turns.
    cos: f64,
    sin: f64,
}

impl Turning {
    /// None for a direction of no length.
    pub(super) fn laying(from: DrawnPoint, to: DrawnPoint) -> Option<Turning> {
        let d = to - from;
        let length = d.hypot();
        // Less than a grid unit is no direction.
        (length >= 1.0).then(|| Turning { cos: d.x / length, sin: d.y / length })
    }

    /// The turn half-way round from this.
    pub(super) fn reversed(self) -> Turning {
        Turning { cos: -self.cos, sin: -self.sin }
    }

    pub(super) fn apply(self, p: DrawnPoint) -> DrawnPoint {
        DrawnPoint::new(self.cos * p.x + self.sin * p.y, self.cos * p.y - self.sin * p.x)
    }

    pub(super) fn undo(self, p: DrawnPoint) -> DrawnPoint {
        DrawnPoint::new(self.cos * p.x - self.sin * p.y, self.sin * p.x + self.cos * p.y)
    }

    /// Degrees from the one direction to the other, 0 to 180.
    pub(super) fn degrees_to(self, other: Turning) -> f64 {
        let cross = self.cos * other.sin - self.sin * other.cos;
        let dot = self.cos * other.cos + self.sin * other.sin;
        cross.abs().atan2(dot).to_degrees()
    }
}

/// The origin about which turned points are rounded to the grid.
///
/// # Rounding
/// Where every coordinate along an axis is on the grid already, it stays. Otherwise coordinates are rounded to the nearest
/// from the middle of the piece outward, so that a piece drawn symmetric stays symmetric to the last grid unit: rounding
/// from a side would carry 0.5 up on both flanks.
#[derive(Clone, Copy)]
pub(super) struct Rounding {
    /// In turned coordinates.
    pub(super) origin: DrawnPoint,
}

/// Coordinates are first brought to this part of a grid unit, which swallows the last-place noise of turning and scaling
/// and lets both flanks of a symmetric piece round alike at a half.
const QUANTUM: f64 = 64.0;

impl Rounding {
    /// For the points of an outline; `fold` is the y of its fold line, which becomes y = 0.
    pub(super) fn about(points: &[DrawnPoint], fold: Option<f64>) -> Rounding {
        let axis = |value: fn(&DrawnPoint) -> f64| {
            let (low, high) =
                points.iter().map(value).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
            let on_grid = points.iter().map(value).all(|v| (v - v.round()).abs() < 0.5 / QUANTUM);
            if on_grid { low.round() } else { (low + high) / 2.0 }
        };
        Rounding { origin: DrawnPoint::new(axis(|p| p.x), fold.unwrap_or_else(|| axis(|p| p.y))) }
    }

    pub(super) fn round(&self, p: DrawnPoint) -> Point {
        let nearest = |v: f64| ((v * QUANTUM).round() / QUANTUM).round() as i64;
        Point::new(nearest(p.x - self.origin.x), nearest(p.y - self.origin.y))
    }

    /// The turned point that a rounded one stands for.
    pub(super) fn unround(&self, p: Point) -> DrawnPoint {
        DrawnPoint::new(p.x as f64 + self.origin.x, p.y as f64 + self.origin.y)
    }
}
