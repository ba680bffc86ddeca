//! The only door to `geo_clipper`: offsets, unions and half-planes of rings of whole numbers.
//!
//! # Rounding
//! Clipper works on whole numbers and rounds each new vertex to the nearest one, so a result lies within one unit of the
//! true figure on either side, never on one side for sure. Callers that need a sure side ask for it:
//! [`with_clearance`] goes outward by a unit and the rounding of its corners; seam allowances are computed on a grid a
//! thousand times finer and rounded once.
//!
//! # Rings
//! Rings go in and come out without their first point repeated, in either direction; outer rings come out
//! counter-clockwise. A result may touch itself in a point, so it is not a [`Polygon`] before `Polygon::new` says so.

use geo::{Coord, LineString, MultiPolygon, Polygon as GeoPolygon};
use geo_clipper::{ClipperInt, EndType, JoinType};

use super::{Point, Polygon};

/// An area with holes, as Clipper gives it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Area {
    /// The outer ring, counter-clockwise.
    pub outer: Vec<Point>,
    /// The holes, clockwise.
    pub holes: Vec<Vec<Point>>,
}

/// How an offset goes round an outward corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Corner {
    /// The offset edges are led on until they meet; where that is farther from the corner than `limit` times the
    /// distance (at least 2), the corner is cut square at the distance.
    Mitred {
        /// Largest distance of the mitre's tip from its corner, in distances.
        limit: f64,
    },
    /// An arc about the corner, as chords whose ends lie on it.
    Rounded {
        /// How far a chord may leave the arc, in units of the ring.
        tolerance: f64,
    },
}

/// The ring moved outward (`distance` above 0) or inward (below) by `distance` units; nothing is left of a ring that is
/// too narrow to go inward.
///
/// # Complexity
/// O(n log n) on ordinary rings, and one chord for each part of an arc.
pub fn offset(ring: &[Point], distance: f64, corner: Corner) -> Vec<Area> {
    let join = match corner {
        Corner::Mitred { limit } => JoinType::Miter(limit),
        Corner::Rounded { tolerance } => JoinType::Round(tolerance),
    };
    areas(ClipperInt::offset(&to_geo(ring), distance, join, EndType::ClosedPolygon))
}

/// A polygon that holds every point within `distance` of `polygon` and hardly more: what must be kept clear of other
/// pieces.
///
/// Corners are rounded, within 0.02 mm outward. A hollow whose mouth the clearance closes counts as filled, since what is
/// asked for is a single ring.
///
/// # Panics
/// When `distance` is negative.
pub fn with_clearance(polygon: &Polygon, distance: i64) -> Polygon {
    assert!(distance >= 0, "a clearance is not negative");
    if distance == 0 {
        return polygon.clone();
    }
    // Chords of the arcs stay inside by at most this much; the offset goes out by as much more, and by one for rounding.
    const ARC: f64 = 1.0;
    let outward = distance as f64 + ARC + 1.0;
    let grown = offset(polygon.points(), outward, Corner::Rounded { tolerance: ARC });
    let ring = grown.into_iter().map(|area| area.outer).max_by_key(|ring| twice_area(ring));
    // Should Clipper's ring touch itself after rounding, a box is the sure answer.
    ring.and_then(|ring| Polygon::new(ring).ok()).unwrap_or_else(|| {
        let b = polygon.bounds();
        let out = outward.ceil() as i64;
        Polygon::rectangle(b.width() + 2 * out, b.height() + 2 * out).shifted(b.low - Point::new(out, out))
    })
}

/// What lies in at least one of the polygons.
pub fn union(polygons: &[Polygon]) -> Vec<Area> {
    let all = MultiPolygon(polygons.iter().map(|p| to_geo(p.points())).collect());
    areas(ClipperInt::union(&all, &MultiPolygon(Vec::new())))
}

/// The part of a ring with y from `low` to `high`.
pub fn between(ring: &[Point], low: i64, high: i64) -> Vec<Area> {
    let (left, right) = ring.iter().fold((0, 0), |(l, r), p| (p.x.min(l), p.x.max(r)));
    let strip = [(left - 1, low), (right + 1, low), (right + 1, high), (left - 1, high)];
    let strip: Vec<Point> = strip.iter().map(|&(x, y)| Point::new(x, y)).collect();
    areas(ClipperInt::intersection(&to_geo(ring), &to_geo(&strip)))
}

fn to_geo(ring: &[Point]) -> GeoPolygon<i64> {
    GeoPolygon::new(LineString(ring.iter().map(|p| Coord { x: p.x, y: p.y }).collect()), Vec::new())
}

fn areas(found: MultiPolygon<i64>) -> Vec<Area> {
    let ring = |line: &LineString<i64>, counter_clockwise: bool| {
        let mut points: Vec<Point> = line.0.iter().map(|c| Point::new(c.x, c.y)).collect();
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        if (twice_area(&points) > 0) != counter_clockwise {
            points.reverse();
        }
        points
    };
    found
        .0
        .iter()
        .map(|p| Area {
            outer: ring(p.exterior(), true),
            holes: p.interiors().iter().map(|hole| ring(hole, false)).collect(),
        })
        .collect()
}

/// Twice the signed area; in an `i128`, since rings here may be finer than the grid.
pub(crate) fn twice_area(ring: &[Point]) -> i128 {
    (0..ring.len())
        .map(|i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            i128::from(a.x) * i128::from(b.y) - i128::from(a.y) * i128::from(b.x)
        })
        .sum()
}
