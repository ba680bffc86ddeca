//! Every pair of placements near each other: interiors apart, and outlines as far apart as the job asks.

use super::footprint::Footprint;
use super::overlap::{common_area, edges_near, interiors_meet};
use super::violation::{Fault, Violation};
use crate::geometry::{Bounds, Point, SegmentRelation, relate_segments};
use crate::length::Length;
use crate::marker::Form;
use crate::spread::{BandEdge, Plies};

/// After so many pairs at fault the rest is not looked at: nobody mends them one by one, and a marker with everything in
/// one place would hold millions.
const ENOUGH: usize = 1000;

/// Judges all pairs; returns how many were compared edge by edge.
///
/// Bands and sections lie beside each other on the table, so all of it happens in one plane: what lies in different bands
/// cannot meet unless one of the two is outside its own. Spacing is asked for between pieces only, not towards selvages or
/// cut ends; but the two copies of a piece laid near a fold face each other across it.
///
/// # Complexity
/// O(p log p) and the number of pairs that lie at the same length of the lay: a sweep along x.
pub(super) fn judge(footprints: &[Footprint<'_>], spacing: Length, found: &mut Vec<Violation>) -> usize {
    let spacing = spacing.grid().max(0);
    let mut order: Vec<usize> = (0..footprints.len()).collect();
    order.sort_by_key(|&i| footprints[i].bounds.low.x);
    let mut compared = 0;
    let mut at_fault: Vec<(usize, usize, Fault, Point)> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    'sweep: for &i in &order {
        let bounds = &footprints[i].bounds;
        open.retain(|&j| footprints[j].bounds.high.x.saturating_add(spacing) > bounds.low.x);
        for &j in &open {
            if !widened(&footprints[j].bounds, spacing).interiors_meet(bounds) {
                continue;
            }
            compared += 1;
            let (first, second) = (i.min(j), i.max(j));
            if let Some((fault, place)) =
                pair_fault(&footprints[first].ring, &footprints[second].ring, spacing)
            {
                at_fault.push((first, second, fault, place));
                if at_fault.len() == ENOUGH {
                    break 'sweep;
                }
            }
        }
        open.push(i);
    }
    at_fault.sort_by_key(|&(first, second, ..)| (first, second));
    found.extend(at_fault.into_iter().map(|(first, second, fault, place)| Violation {
        fault,
        laid: vec![footprints[first].laid(), footprints[second].laid()],
        place: Some(place),
    }));
    if spacing > 0 {
        footprints.iter().for_each(|footprint| judge_across_folds(footprint, spacing, found));
    }
    compared
}

/// Two plies cut through near a fold give two copies as far from each other as twice the distance to the fold.
fn judge_across_folds(footprint: &Footprint<'_>, spacing: i64, found: &mut Vec<Violation>) {
    let Some((section, band)) = footprint.ground else { return };
    if band.plies == Plies::One || footprint.placement.form == Form::OnFold {
        return;
    }
    let (bounds, middle) = (&footprint.bounds, footprint.middle());
    for (is_fold, room, place) in [
        (
            band.low_edge == BandEdge::Fold,
            bounds.low.y.saturating_sub(band.low),
            Point::new(middle.x, bounds.low.y),
        ),
        (
            band.high_edge == BandEdge::Fold,
            band.high.saturating_sub(bounds.high.y),
            Point::new(middle.x, bounds.high.y),
        ),
        (
            section.fold_at_start,
            bounds.low.x.saturating_sub(section.start.grid()),
            Point::new(bounds.low.x, middle.y),
        ),
    ] {
        // Beyond the fold is outside the band, which is told elsewhere.
        if is_fold && room >= 0 && room.saturating_mul(2) < spacing {
            let fault = Fault::TooNearFold { room, wanted: Length::from_grid(spacing) };
            found.push(footprint.violation(fault, Some(place)));
        }
    }
}

/// What is wrong between two outlines, and where.
fn pair_fault(a: &[Point], b: &[Point], spacing: i64) -> Option<(Fault, Point)> {
    if interiors_meet(a, b) {
        let (area_mm2, place) = common_area(a, b);
        return Some((Fault::Overlap { area_mm2 }, place));
    }
    if spacing == 0 {
        return None;
    }
    let (gap, place) = too_near(a, b, spacing)?;
    Some((Fault::TooNear { gap_mm: gap / 100.0, wanted: Length::from_grid(spacing) }, place))
}

fn widened(b: &Bounds, by: i64) -> Bounds {
    Bounds {
        low: Point::new(b.low.x.saturating_sub(by), b.low.y.saturating_sub(by)),
        high: Point::new(b.high.x.saturating_add(by), b.high.y.saturating_add(by)),
    }
}

/// The least distance between two outlines in grid units and a point where it occurs, if it is less than `spacing`.
/// Whether it is less is decided exactly, on squares; the distance itself is rounded.
fn too_near(a: &[Point], b: &[Point], spacing: i64) -> Option<(f64, Point)> {
    let edges_a = edges_near(a, &widened(&Bounds::of(b), spacing));
    let edges_b = edges_near(b, &widened(&Bounds::of(a), spacing));
    let mut least: Option<(f64, Point)> = None;
    for e in &edges_a {
        let box_e = widened(&Bounds::of(&[e.a, e.b]), spacing);
        for o in &edges_b {
            if o.a.x.min(o.b.x) > box_e.high.x {
                break;
            }
            let box_o = Bounds::of(&[o.a, o.b]);
            if box_o.low.y > box_e.high.y || box_o.high.y < box_e.low.y || box_o.high.x < box_e.low.x {
                continue;
            }
            let mut seen = |distance: f64, at: Point| {
                if least.is_none_or(|(d, _)| distance < d) {
                    least = Some((distance, at));
                }
            };
            if relate_segments(e.a, e.b, o.a, o.b) != SegmentRelation::Apart {
                seen(0.0, if box_o.low == box_o.high { o.a } else { nearest_end(e.a, e.b, o.a, o.b) });
                continue;
            }
            // Segments that do not meet are nearest at an end of one of them.
            for (p, s, t) in [(e.a, o.a, o.b), (e.b, o.a, o.b), (o.a, e.a, e.b), (o.b, e.a, e.b)] {
                let squared = Squared::of_point_to_segment(p, s, t);
                if squared.is_less_than_square_of(spacing) {
                    seen(squared.root(), p);
                }
            }
        }
    }
    least
}

/// Does an outline come nearer to a point than `distance`, or go through it? Exact.
pub(super) fn comes_nearer(ring: &[Point], p: Point, distance: i64) -> bool {
    let edges = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    edges.into_iter().any(|(a, b)| Squared::of_point_to_segment(p, a, b).is_less_than_square_of(distance))
}

/// The end that lies nearest the other segment, for messages.
fn nearest_end(a: Point, b: Point, c: Point, d: Point) -> Point {
    [(a, c, d), (b, c, d), (c, a, b), (d, a, b)]
        .into_iter()
        .min_by(|x, y| {
            let root = |t: &(Point, Point, Point)| Squared::of_point_to_segment(t.0, t.1, t.2).root();
            root(x).total_cmp(&root(y))
        })
        .map_or(a, |t| t.0)
}

/// A squared distance as an exact fraction.
///
/// With coordinates within 2·10⁷ a cross product is at most 3.2·10¹⁵ and its square 10³¹; a squared length is at most
/// 3.2·10¹⁵ and times a squared spacing of 10¹⁴ it is 3.2·10²⁹: all inside an `i128`.
struct Squared {
    over: i128,
    under: i128,
}

impl Squared {
    fn of_point_to_segment(p: Point, a: Point, b: Point) -> Squared {
        let (along, to) = (b - a, p - a);
        let (reach, length) = (i128::from(along.dot(to)), i128::from(along.dot(along)));
        if reach <= 0 {
            return Squared { over: i128::from(to.dot(to)), under: 1 };
        }
        if reach >= length {
            let to = p - b;
            return Squared { over: i128::from(to.dot(to)), under: 1 };
        }
        let cross = i128::from(along.cross(to));
        Squared { over: cross * cross, under: length }
    }

    fn is_less_than_square_of(&self, distance: i64) -> bool {
        let d = i128::from(distance);
        self.over < d * d * self.under
    }

    fn root(&self) -> f64 {
        (self.over as f64 / self.under as f64).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Polygon;
    use geo::{Distance, Euclidean, LineString};
    use proptest::prelude::*;

    fn square(x: i64, y: i64, side: i64) -> Vec<Point> {
        Polygon::rectangle(side, side).shifted(Point::new(x, y)).points().to_vec()
    }

    #[test]
    fn squares_of_distances_are_compared_exactly() {
        // 3-4-5: corners 300 and 400 apart are exactly 500 from each other.
        let at = |x: i64, y: i64| too_near(&square(0, 0, 1000), &square(1000 + x, 1000 + y, 1000), 500);
        assert_eq!(at(300, 400), None);
        assert_eq!(at(299, 401), None);
        let (gap, _) = at(300, 399).expect("too near");
        assert!(gap < 500.0 && gap > 499.0);
        // A corner above a slope of 3 : 4: the distance is a fraction.
        let slope: Vec<Point> = [(0, 0), (4000, 0), (0, 3000)].map(|(x, y)| Point::new(x, y)).to_vec();
        let foot = |by: i64| square(2000 + 3 * by, 1500 + 4 * by, 1000);
        assert_eq!(too_near(&slope, &foot(100), 500), None, "exactly 500");
        assert_eq!(too_near(&slope, &foot(100), 501).map(|(gap, _)| gap), Some(500.0));
    }

    fn triangle() -> impl Strategy<Value = Vec<Point>> {
        prop::collection::vec((-50i64..50, -50i64..50), 3).prop_filter_map("flat", |p| {
            Polygon::new(p.into_iter().map(|(x, y)| Point::new(x, y)).collect())
                .ok()
                .map(|p| p.points().to_vec())
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 1500, max_global_rejects: 100_000, ..ProptestConfig::default() })]

        /// Against the distance of the `geo` library.
        #[test]
        fn agrees_with_the_distance_of_outlines(a in triangle(), b in triangle(), x in -90i64..90, y in -90i64..90, spacing in 1i64..40) {
            let b: Vec<Point> = b.into_iter().map(|p| p + Point::new(x, y)).collect();
            prop_assume!(!interiors_meet(&a, &b));
            let polygon = |r: &[Point]| {
                geo::Polygon::new(LineString::from_iter(r.iter().map(|p| (p.x as f64, p.y as f64))), vec![])
            };
            let distance = Euclidean.distance(&polygon(&a), &polygon(&b));
            prop_assume!((distance - spacing as f64).abs() > 1e-6);
            let found = too_near(&a, &b, spacing);
            prop_assert_eq!(found.is_some(), distance < spacing as f64, "{} {:?}", distance, found);
            if let Some((gap, _)) = found {
                prop_assert!((gap - distance).abs() < 1e-9);
            }
        }
    }
}
