//! The cutting line at a seam allowance outside the stitching line.

use crate::geometry::clipper::{Area, Corner, between, offset};
use crate::geometry::{DrawnPoint, Point};
use crate::length::{Length, MAX_GRID};

/// Offsets are computed on a grid so much finer, so that their own rounding is not seen after the one to the grid.
const FINER: f64 = 1024.0;

/// Corners sharper than 29 degrees are cut square, at the seam allowance from the stitched corner: 4 is the ratio that SVG
/// strokes have by default. A longer tip would be trimmed by hand, and stand in the way of other pieces.
const MITRE_LIMIT: f64 = 4.0;

/// The whole outline of a piece moved outward; `ring` in drawn units about `origin`. None when nothing sensible comes out.
pub(super) fn around(ring: &[DrawnPoint], origin: DrawnPoint, seam: Length) -> Option<Vec<DrawnPoint>> {
    let fine: Vec<Point> = ring.iter().map(|&p| to_fine(p, origin)).collect();
    outer(grown(&fine, seam)).map(|ring| from_fine(&ring, origin))
}

/// The outline of a half piece moved outward, but not along its fold line.
///
/// The half is opened out, the whole is moved outward, and the half cut off again along the fold line: so corners at the
/// fold come out as they will when the cloth is opened. `chain` runs from one end of the fold edge to the other, with both
/// at the y of `origin`.
pub(super) fn around_half(chain: &[DrawnPoint], origin: DrawnPoint, seam: Length) -> Option<Vec<DrawnPoint>> {
    let fine: Vec<Point> = chain.iter().map(|&p| to_fine(p, origin)).collect();
    let inner = fine.get(1..fine.len() - 1)?;
    let above = inner.iter().max_by_key(|p| p.y.abs())?.y > 0;
    let whole: Vec<Point> =
        fine.iter().copied().chain(inner.iter().rev().map(|p| Point::new(p.x, -p.y))).collect();
    let whole = outer(grown(&whole, seam))?;
    let far = (3.0 * MAX_GRID as f64 * FINER) as i64;
    let halves = if above { between(&whole, 0, far) } else { between(&whole, -far, 0) };
    outer(halves).map(|ring| from_fine(&ring, origin))
}

fn grown(fine: &[Point], seam: Length) -> Vec<Area> {
    offset(fine, seam.grid() as f64 * FINER, Corner::Mitred { limit: MITRE_LIMIT })
}

/// The outer ring, if there is one area only. Holes are slits so narrow that the allowances on both sides meet: they are
/// not cut out.
fn outer(areas: Vec<Area>) -> Option<Vec<Point>> {
    match <[Area; 1]>::try_from(areas) {
        Ok([area]) => Some(area.outer),
        Err(_) => None,
    }
}

fn to_fine(p: DrawnPoint, origin: DrawnPoint) -> Point {
    let fine = |v: f64| (v * FINER).round() as i64;
    Point::new(fine(p.x - origin.x), fine(p.y - origin.y))
}

fn from_fine(ring: &[Point], origin: DrawnPoint) -> Vec<DrawnPoint> {
    let coarse = |v: i64| v as f64 / FINER;
    ring.iter().map(|p| DrawnPoint::new(coarse(p.x) + origin.x, coarse(p.y) + origin.y)).collect()
}
