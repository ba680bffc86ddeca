//! The only door to `geo_clipper`: offsets, unions and half-planes of rings of whole numbers.
//!
//! # Rounding
//! Clipper works on whole numbers and rounds each new vertex to the nearest one, some of them twice, so a result lies
//! within one and a half units of the true figure on either side, never on one side for sure. Callers that need a sure
//! side ask for it: [`with_clearance`] goes outward by that and by the sagitta of its corners; seam allowances are
//! computed on a grid a thousand times finer and rounded once.
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
/// A needle that follows a nearly straight corner may be cut off at its tip, which Clipper takes for a hollow;
/// [`with_clearance`] mends that. On the finer grid of seam allowances of a centimetre both would have to differ from
/// straight by less than a millionth.
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
/// Corners are rounded; the surplus is at most 0.04 mm. A hollow whose mouth the clearance closes counts as filled, since what is
/// asked for is a single ring. Within `distance` of the grid's limit the answer is a box.
///
/// # Panics
/// When `distance` is negative.
pub fn with_clearance(polygon: &Polygon, distance: i64) -> Polygon {
    assert!(distance >= 0, "a clearance is not negative");
    if distance == 0 {
        return polygon.clone();
    }
    // Chords of the arcs stay inside by at most this much; the offset goes out by as much more.
    const ARC: f64 = 1.0;
    // A vertex is rounded when it is made and again where edges cross, each time by at most half a diagonal.
    const ROUNDED: f64 = 1.5;
    let outward = distance as f64 + ARC + ROUNDED;
    let mut grown = offset(polygon.points(), outward, Corner::Rounded { tolerance: ARC });
    let discs: Vec<_> =
        needles(polygon.points(), outward).map(|tip| to_geo(&disc(tip, outward, ARC))).collect();
    if !discs.is_empty() {
        let grown_rings = grown.iter().map(|area| to_geo(&area.outer)).collect();
        grown = areas(ClipperInt::union(&MultiPolygon(grown_rings), &MultiPolygon(discs)));
    }
    let ring = grown.into_iter().map(|area| area.outer).max_by_key(|ring| twice_area(ring));
    // Should Clipper's ring touch itself after rounding, or pass the limit, a box is the sure answer.
    ring.and_then(|ring| Polygon::new(ring).ok()).unwrap_or_else(|| {
        let b = polygon.bounds();
        let out = outward.ceil() as i64;
        Polygon::rectangle(b.width() + 2 * out, b.height() + 2 * out).shifted(b.low - Point::new(out, out))
    })
}

/// The outward corners so sharp that Clipper may leave out the arc about them when it offsets by `distance`.
///
/// At a corner that turns by so little that `distance` times the sine is below 1, Clipper keeps the direction of the edge
/// before it. A corner that then turns nearly back seems to turn by more than half a circle together with what was kept,
/// and is taken for a hollow. What is kept has a sine below 1 / `distance` as well; twice that leaves room for its noise.
fn needles(ring: &[Point], distance: f64) -> impl Iterator<Item = Point> {
    let n = ring.len();
    (0..n).filter_map(move |i| {
        let (before, at, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let (there, back) = (at - before, after - at);
        let sine = there.cross(back) as f64 / (there.length() * back.length());
        (there.dot(back) < 0 && sine > 0.0 && sine * distance < 2.0).then_some(at)
    })
}

/// A regular polygon inscribed in the circle about a point; its sides leave the circle by at most `tolerance`.
fn disc(about: Point, radius: f64, tolerance: f64) -> Vec<Point> {
    let corners = (std::f64::consts::PI / libm::acos(1.0 - tolerance / radius)).ceil();
    (0..corners as u32)
        .map(|k| {
            let (sine, cosine) = libm::sincos(std::f64::consts::TAU * f64::from(k) / corners);
            about + Point::new((radius * cosine).round() as i64, (radius * sine).round() as i64)
        })
        .collect()
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{PointLocation, Pose, Turn, locate};
    use geo::{Area as _, ConvexHull, Distance, Euclidean, Length as _, MultiPoint};
    use proptest::prelude::*;

    fn ring(points: &[(i64, i64)]) -> Vec<Point> {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    /// Convex hulls of a few points within 10 m, by `geo`, with corners of every sharpness.
    fn convex() -> impl Strategy<Value = Polygon> {
        prop::collection::vec((0..10_000i32, 0..10_000i32), 3..9).prop_filter_map("no area", |points| {
            let points: MultiPoint<f64> = points.iter().map(|&(x, y)| (f64::from(x), f64::from(y))).collect();
            Polygon::from_geo(&points.convex_hull()).ok()
        })
    }

    /// Stars about the origin: simple, and hollow in places.
    fn star() -> impl Strategy<Value = Polygon> {
        prop::collection::vec(1_000..20_000i32, 5..12).prop_filter_map("not simple", |radii| {
            let corner = |(i, &r): (usize, &i32)| {
                let angle = std::f64::consts::TAU * i as f64 / radii.len() as f64;
                Point::new((f64::from(r) * angle.cos()) as i64, (f64::from(r) * angle.sin()) as i64)
            };
            Polygon::new(radii.iter().enumerate().map(corner).collect()).ok()
        })
    }

    fn area(areas: &[Area]) -> f64 {
        let holes = |a: &Area| a.holes.iter().map(|h| twice_area(h)).sum::<i128>();
        areas.iter().map(|a| twice_area(&a.outer) + holes(a)).sum::<i128>() as f64 / 2.0
    }

    /// The outward turn at each corner of a convex ring, and the length of the ring.
    fn turns_and_length(ring: &[Point]) -> (Vec<f64>, f64) {
        let n = ring.len();
        let along = |i: usize| ring[(i + 1) % n] - ring[i];
        let turn = |i: usize| {
            let (a, b) = (along(i), along((i + 1) % n));
            (a.cross(b) as f64).atan2(a.dot(b) as f64)
        };
        let length = (0..n).map(|i| (along(i).x as f64).hypot(along(i).y as f64)).sum();
        ((0..n).map(turn).collect(), length)
    }

    #[test]
    fn a_square_grows_and_shrinks() {
        let square = ring(&[(0, 0), (100, 0), (100, 100), (0, 100)]);
        let mitred = Corner::Mitred { limit: 4.0 };
        let grown = offset(&square, 10.0, mitred);
        assert_eq!(
            Polygon::new(grown[0].outer.clone()).unwrap().canonical().points(),
            ring(&[(-10, -10), (110, -10), (110, 110), (-10, 110)])
        );
        assert_eq!(area(&offset(&square, -10.0, mitred)), 6400.0);
        assert!(offset(&square, -60.0, mitred).is_empty(), "nothing is left");
    }

    #[test]
    fn a_union_keeps_its_hole() {
        let bar = |x: i64, y: i64, w: i64, h: i64| Polygon::rectangle(w, h).shifted(Point::new(x, y));
        let frame = union(&[bar(0, 0, 50, 10), bar(0, 40, 50, 10), bar(0, 0, 10, 50), bar(40, 0, 10, 50)]);
        assert_eq!((frame.len(), frame[0].holes.len(), area(&frame)), (1, 1, 1600.0));
        let apart = union(&[bar(0, 0, 5, 5), bar(9, 0, 5, 5)]);
        assert_eq!(apart.len(), 2);
    }

    /// The area of the convex body grown by `d`, by Steiner's formula.
    fn steiner(p: &Polygon, d: f64) -> f64 {
        let (_, length) = turns_and_length(p.points());
        p.doubled_area() as f64 / 2.0 + length * d + std::f64::consts::PI * d * d
    }

    #[test]
    fn clearance_goes_round_a_needle_after_a_corner_that_is_nearly_straight() {
        // The corner before the first turns by 0.01°, the first by that much less than half a circle.
        let needle = Polygon::new(ring(&[(299_600, 383_900), (969_600, 980_700), (695_400, 736_600)]))
            .expect("simple");
        for d in [1, 4, 1_640, 3_000] {
            for turned in [needle.clone(), needle.posed(Pose { turn: Turn::Half, ..Pose::default() })] {
                let clear = with_clearance(&turned, d);
                let area = clear.doubled_area() as f64 / 2.0;
                assert!(area >= steiner(&turned, d as f64), "{d}: {area}");
                assert!(area <= steiner(&turned, d as f64 + 4.0), "{d}: {area}");
                for &tip in turned.points() {
                    for (x, y) in [(-d, 0), (d, 0), (0, -d), (0, d)] {
                        assert_eq!(
                            locate(clear.points(), tip + Point::new(x, y)),
                            PointLocation::Inside,
                            "{tip:?} {d}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_mitred_offset_may_cut_a_needle_off_at_its_tip() {
        let needle = ring(&[(598_100, 611_100), (758_800, 762_700), (936_400, 930_500)]);
        let d = 825.162;
        let (turns, length) = turns_and_length(&needle);
        assert_eq!(needles(&needle, d).count(), 2);
        let square = |t: f64| 2.0 * (t / 4.0).tan();
        let corners: f64 = turns.iter().map(|&t| if t > 3.0 { square(t) } else { (t / 2.0).tan() }).sum();
        let expected = length * d + d * d * corners + twice_area(&needle) as f64 / 2.0;
        let off = area(&offset(&needle, d, Corner::Mitred { limit: 4.0 })) - expected;
        assert!((-length - 4.0 * d * d..length).contains(&off), "{off}");
    }

    proptest! {
        /// Steiner's formula for a convex body of area A and perimeter P moved outward by d: A + P d and, at each corner
        /// that turns by t, the part of the figure between the two edge strips. A mitre is a kite of two right triangles
        /// with legs d and d tan(t/2): d² tan(t/2). A corner cut square at d is a mitre at each half of the turn: two
        /// kites of d² tan(t/4). (Rounded, it is a sector of d² t/2, and all of them together make the disc.)
        #[test]
        fn a_mitred_offset_has_steiners_area(p in convex(), d in 100.0..5_000.0f64) {
            const LIMIT: f64 = 4.0;
            let (turns, length) = turns_and_length(p.points());
            let corner = |&t: &f64| {
                if 1.0 / (t / 2.0).cos() <= LIMIT { (t / 2.0).tan() } else { 2.0 * (t / 4.0).tan() }
            };
            // At the limit itself Clipper may go either way.
            prop_assume!(turns.iter().all(|t| (1.0 / (t / 2.0).cos() - LIMIT).abs() > 0.05));
            let expected = p.doubled_area() as f64 / 2.0 + length * d + d * d * turns.iter().map(corner).sum::<f64>();
            let grown = offset(p.points(), d, Corner::Mitred { limit: LIMIT });
            prop_assert_eq!(grown.len(), 1);
            let (_, around) = turns_and_length(&grown[0].outer);
            // Every vertex is rounded by at most 0.71, which moves the outline by no more. A needle may be cut off at its tip, as
            // `offset` says: what is left out there is a corner that turns by half a circle, cut square.
            let cut_off = 2.0 * d * d * needles(p.points(), d).count() as f64;
            let off = area(&grown) - expected;
            prop_assert!(-around - cut_off <= off && off <= around, "{} instead of {expected}", area(&grown));
        }

        #[test]
        fn clearance_is_steiners_and_on_the_safe_side(p in convex(), d in 1..3_000i64) {
            let clear = with_clearance(&p, d).doubled_area() as f64 / 2.0;
            let (least, most) = (steiner(&p, d as f64), steiner(&p, d as f64 + 4.0));
            prop_assert!(clear >= least, "{clear} less than {least}");
            prop_assert!(clear <= most, "{clear} more than {most}");
        }

        #[test]
        fn clearance_holds_every_point_within_its_distance(p in star(), d in 1..2_000i64) {
            let clear = with_clearance(&p, d);
            for (a, b) in p.edges() {
                for k in 0..4 {
                    let at = |from: i64, to: i64| (from * (4 - k) + to * k) / 4;
                    for i in 0..16 {
                        let angle = std::f64::consts::TAU * f64::from(i) / 16.0;
                        // Rounded towards its centre, so within d of the edge but for the rounding of the centre itself.
                        let r = d as f64 - 1.5;
                        let (x, y) = ((r * angle.cos()) as i64, (r * angle.sin()) as i64);
                        let q = Point::new(at(a.x, b.x) + x, at(a.y, b.y) + y);
                        prop_assert!(locate(clear.points(), q) != PointLocation::Outside, "{q:?}");
                    }
                }
            }
            // And reaches hardly farther: by the surplus.
            let piece = p.to_geo();
            for (corner, _) in clear.edges() {
                let mm = geo::Point::new(corner.x as f64 / 100.0, corner.y as f64 / 100.0);
                prop_assert!(Euclidean.distance(&mm, &piece) * 100.0 <= d as f64 + 4.0);
            }
        }

        #[test]
        fn a_union_has_the_area_that_geo_finds(a in star(), b in star(), dx in -20_000..20_000i64, dy in -20_000..20_000i64) {
            use geo::BooleanOps;
            let b = b.shifted(Point::new(dx, dy));
            let (ga, gb) = (a.to_geo(), b.to_geo());
            let by_geo = ga.union(&gb);
            let edge = Euclidean.length(by_geo.0[0].exterior()) + Euclidean.length(ga.exterior());
            let ours = area(&union(&[a, b])) / 10_000.0;
            // Crossings are rounded to 0.01 mm.
            prop_assert!((ours - by_geo.unsigned_area()).abs() <= 0.02 * edge + 1e-6);
        }

        #[test]
        fn what_is_between_two_lines_adds_up(p in star(), y in -15_000..15_000i64) {
            let (below, above) = (between(p.points(), -30_000, y), between(p.points(), y, 30_000));
            let whole = p.doubled_area() as f64 / 2.0;
            let (_, length) = turns_and_length(p.points());
            prop_assert!((area(&below) + area(&above) - whole).abs() <= length);
            for part in &below {
                prop_assert!(part.outer.iter().all(|q| q.y <= y));
            }
        }
    }
}
