//! No two interiors meet on the same ply: the exact test, and the amount for messages.

use crate::geometry::{Bounds, Point, PointLocation, SegmentRelation, locate, on_segment, relate_segments};

/// An edge of a ring with its number.
#[derive(Clone, Copy)]
pub(super) struct Edge {
    index: usize,
    pub(super) a: Point,
    pub(super) b: Point,
}

/// The edges of a ring whose boxes meet the closed box `window`, by their least x.
pub(super) fn edges_near(ring: &[Point], window: &Bounds) -> Vec<Edge> {
    let mut edges: Vec<Edge> = (0..ring.len())
        .map(|index| Edge { index, a: ring[index], b: ring[(index + 1) % ring.len()] })
        .filter(|e| {
            e.a.x.min(e.b.x) <= window.high.x
                && e.a.x.max(e.b.x) >= window.low.x
                && e.a.y.min(e.b.y) <= window.high.y
                && e.a.y.max(e.b.y) >= window.low.y
        })
        .collect();
    edges.sort_by_key(|e| e.a.x.min(e.b.x));
    edges
}

/// A point where the boundary of one ring meets that of another, with the number of the edge it lies on.
type Contact = (usize, Point);

/// Do the interiors of two simple counter-clockwise rings meet? Touching, along edges or at points, is not meeting.
///
/// # Why it is right
/// If two edges cross, the interiors meet about the crossing. If edges of both run together in the same direction, both
/// interiors lie to their left and meet there. Otherwise every common point of the boundaries is a vertex of one of the
/// rings, and these contacts cut each boundary into stretches that lie, but for their ends, wholly inside the other ring,
/// wholly outside or wholly on it. A stretch inside means that the interiors meet. If there is none, no boundary point of
/// one is interior to the other, so each interior, being connected, is within the other or apart from it; within both
/// ways would make the rings equal, and then edges run together in the same direction.
///
/// # Complexity
/// O(n log n) for ordinary outlines, and O(n) more for every contact.
pub(super) fn interiors_meet(first: &[Point], second: &[Point]) -> bool {
    let (b1, b2) = (Bounds::of(first), Bounds::of(second));
    if !b1.interiors_meet(&b2) {
        return false;
    }
    let common = Bounds {
        low: Point::new(b1.low.x.max(b2.low.x), b1.low.y.max(b2.low.y)),
        high: Point::new(b1.high.x.min(b2.high.x), b1.high.y.min(b2.high.y)),
    };
    let (edges1, edges2) = (edges_near(first, &common), edges_near(second, &common));
    let mut contacts1: Vec<Contact> = Vec::new();
    let mut contacts2: Vec<Contact> = Vec::new();
    let mut begin = 0;
    let longest = edges2.iter().map(|e| (e.a.x - e.b.x).abs()).max().unwrap_or(0);
    for e in &edges1 {
        let (low, high) = (e.a.x.min(e.b.x), e.a.x.max(e.b.x));
        // Edges whose least x is further back than the longest edge have ended before this one begins.
        while edges2.get(begin).is_some_and(|o| o.a.x.min(o.b.x) + longest < low) {
            begin += 1;
        }
        for o in edges2[begin..].iter().take_while(|o| o.a.x.min(o.b.x) <= high) {
            match relate_segments(e.a, e.b, o.a, o.b) {
                SegmentRelation::Apart => continue,
                SegmentRelation::Cross => return true,
                SegmentRelation::Overlap if (e.b - e.a).dot(o.b - o.a) > 0 => return true,
                SegmentRelation::Overlap | SegmentRelation::Touch => {}
            }
            for p in [e.a, e.b].into_iter().filter(|&p| on_segment(o.a, o.b, p)) {
                contacts1.push((e.index, p));
                contacts2.push((o.index, p));
            }
            for p in [o.a, o.b].into_iter().filter(|&p| on_segment(e.a, e.b, p)) {
                contacts1.push((e.index, p));
                contacts2.push((o.index, p));
            }
        }
    }
    a_stretch_lies_inside(first, contacts1, second) || a_stretch_lies_inside(second, contacts2, first)
}

/// Does a stretch of `ring` between two neighbouring contacts lie inside `other`?
fn a_stretch_lies_inside(ring: &[Point], mut contacts: Vec<Contact>, other: &[Point]) -> bool {
    if contacts.is_empty() {
        return locate(other, ring[0]) == PointLocation::Inside;
    }
    // In the order of the walk round the ring.
    let along = |&(edge, p): &Contact| {
        let d = p - ring[edge];
        (edge, d.x.abs() + d.y.abs())
    };
    contacts.sort_by_key(along);
    contacts.dedup();
    // Everything doubled, so that the middle of two points is on the grid.
    let doubled: Vec<Point> = other.iter().map(|p| Point::new(2 * p.x, 2 * p.y)).collect();
    (0..contacts.len()).any(|i| {
        let (edge, from) = contacts[i];
        let corner = ring[(edge + 1) % ring.len()];
        let to = match contacts.get(i + 1) {
            Some(&(next_edge, next)) if next_edge == edge => next,
            _ => corner,
        };
        // A contact at a corner is listed on both of its edges; the stretch of no length after it says nothing.
        from != to && locate(&doubled, from + to) == PointLocation::Inside
    })
}

/// The area of the common part in square millimetres and a point within it, for messages: floats, decides nothing.
///
/// Slabs between neighbouring corners and crossings hold only trapezoids, whose area is their width times their height in
/// the middle.
pub(super) fn common_area(first: &[Point], second: &[Point]) -> (f64, Point) {
    let edges = |ring: &[Point]| -> Vec<[f64; 4]> {
        (0..ring.len())
            .map(|i| (ring[i], ring[(i + 1) % ring.len()]))
            .map(|(a, b)| if a.x <= b.x { (a, b) } else { (b, a) })
            .filter(|(a, b)| a.x < b.x)
            .map(|(a, b)| [a.x as f64, a.y as f64, b.x as f64, b.y as f64])
            .collect()
    };
    let (e1, e2) = (edges(first), edges(second));
    let (b1, b2) = (Bounds::of(first), Bounds::of(second));
    let (left, right) = (b1.low.x.max(b2.low.x) as f64, b1.high.x.min(b2.high.x) as f64);
    let mut cuts: Vec<f64> = e1.iter().chain(&e2).flat_map(|e| [e[0], e[2]]).collect();
    for p in &e1 {
        for q in &e2 {
            let slope = |e: &[f64; 4]| (e[3] - e[1]) / (e[2] - e[0]);
            let (m, n) = (slope(p), slope(q));
            let x = (q[1] - n * q[0] - p[1] + m * p[0]) / (m - n);
            if x.is_finite() && x > p[0].max(q[0]) && x < p[2].min(q[2]) {
                cuts.push(x);
            }
        }
    }
    cuts.retain(|x| (left..=right).contains(x));
    cuts.sort_by(f64::total_cmp);
    let heights = |edges: &[[f64; 4]], x: f64| -> Vec<f64> {
        let mut ys: Vec<f64> = edges
            .iter()
            .filter(|e| e[0] < x && x < e[2])
            .map(|e| e[1] + (e[3] - e[1]) * (x - e[0]) / (e[2] - e[0]))
            .collect();
        ys.sort_by(f64::total_cmp);
        ys
    };
    let (mut area, mut most, mut place) = (0.0, -1.0, Point::new(left as i64, b1.low.y.max(b2.low.y)));
    for w in cuts.windows(2).filter(|w| w[0] < w[1]) {
        let x = (w[0] + w[1]) / 2.0;
        let (y1, y2) = (heights(&e1, x), heights(&e2, x));
        for i in y1.chunks_exact(2) {
            for j in y2.chunks_exact(2) {
                let (low, high) = (i[0].max(j[0]), i[1].min(j[1]));
                let part = (high - low).max(0.0) * (w[1] - w[0]);
                area += part;
                if part > most && high >= low {
                    most = part;
                    place = Point::new(x.round() as i64, ((low + high) / 2.0).round() as i64);
                }
            }
        }
    }
    (area / 10_000.0, place)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Polygon;
    use geo::{Area, BooleanOps, LineString};
    use proptest::prelude::*;

    fn ring(points: &[(i64, i64)]) -> Vec<Point> {
        let p = Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("simple");
        p.points().to_vec()
    }

    fn square(x: i64, y: i64, side: i64) -> Vec<Point> {
        ring(&[(x, y), (x + side, y), (x + side, y + side), (x, y + side)])
    }

    /// A frame open at the top, ten wide inside.
    fn cup() -> Vec<Point> {
        ring(&[(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)])
    }

    #[test]
    fn touching_is_not_meeting() {
        let cases = [
            ("side by side, full edge", square(0, 0, 10), square(10, 0, 10)),
            ("side by side, part of an edge", square(0, 0, 10), square(10, 4, 10)),
            ("side by side, a short edge within a long one", square(0, 0, 10), square(10, 4, 2)),
            ("corner to corner", square(0, 0, 10), square(10, 10, 10)),
            ("corner on edge", square(0, 0, 10), ring(&[(10, 5), (20, 0), (20, 10)])),
            ("apart", square(0, 0, 10), square(11, 0, 10)),
            ("fills a cup exactly", cup(), square(10, 10, 10)),
            ("in a cup, apart from its walls", cup(), square(12, 14, 4)),
            ("in a cup, touching one wall", cup(), square(10, 14, 4)),
            ("in a cup, corners on three walls", cup(), ring(&[(15, 10), (20, 20), (15, 25), (10, 20)])),
            (
                "boxes meet, outlines do not",
                ring(&[(0, 0), (10, 0), (0, 10)]),
                ring(&[(10, 10), (9, 10), (10, 9)]),
            ),
            (
                "interlocked L shapes",
                ring(&[(0, 0), (9, 0), (9, 3), (3, 3), (3, 9), (0, 9)]),
                square(3, 3, 6),
            ),
        ];
        for (name, a, b) in cases {
            assert!(!interiors_meet(&a, &b) && !interiors_meet(&b, &a), "{name}");
            assert!(common_area(&a, &b).0.abs() < 1e-12, "{name}");
        }
    }

    #[test]
    fn interiors_that_meet_are_found() {
        let diamond = ring(&[(5, 0), (10, 5), (5, 10), (0, 5)]);
        let cases = [
            ("identical", square(0, 0, 10), square(0, 0, 10), 100.0),
            (
                "identical, begun elsewhere",
                square(0, 0, 10),
                {
                    let mut r = square(0, 0, 10);
                    r.rotate_left(2);
                    r
                },
                100.0,
            ),
            ("by one grid unit", square(0, 0, 10), square(9, 0, 10), 10.0),
            ("by one grid unit at a corner", square(0, 0, 10), square(9, 9, 10), 1.0),
            ("inside, clear", square(0, 0, 10), square(3, 3, 2), 4.0),
            ("inside, sharing an edge", square(0, 0, 10), square(0, 3, 2), 4.0),
            ("inside, corners on the edges", square(0, 0, 10), diamond.clone(), 50.0),
            (
                "same height, crossing nowhere",
                square(0, 0, 10),
                ring(&[(2, 0), (8, 0), (8, 10), (2, 10)]),
                60.0,
            ),
            (
                "a bar through both sides, ends on edges",
                ring(&[(0, 3), (10, 3), (10, 6), (0, 6)]),
                diamond,
                25.0,
            ),
            ("corner through corner", square(0, 0, 10), ring(&[(0, 0), (10, 10), (0, 20), (-10, 10)]), 50.0),
            ("a plug one too wide for its cup", cup(), ring(&[(10, 10), (21, 10), (21, 20), (10, 20)]), 10.0),
        ];
        for (name, a, b, area) in cases {
            assert!(interiors_meet(&a, &b) && interiors_meet(&b, &a), "{name}");
            let found = common_area(&a, &b).0 * 10_000.0;
            assert!((found - area).abs() < 1e-9, "{name}: {found}");
        }
    }

    #[test]
    fn the_limits_of_the_grid_hold() {
        let m = 2 * crate::length::MAX_GRID;
        let big = ring_unchecked(&[(-m, -m), (m, -m), (m, m), (-m, m)]);
        let sliver = ring_unchecked(&[(m, -m), (m + 1, 0), (m, m)]);
        assert!(!interiors_meet(&big, &sliver));
        let sliver = ring_unchecked(&[(m - 1, -m), (m + 1, 0), (m - 1, m)]);
        assert!(interiors_meet(&big, &sliver));
    }

    fn ring_unchecked(points: &[(i64, i64)]) -> Vec<Point> {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    /// Star-shaped rings on a coarse grid, so that shared corners, shared edges and corners on edges are common.
    fn rough_ring() -> impl Strategy<Value = Vec<Point>> {
        (prop::collection::vec(0i64..=4, 3..9), -6i64..=6, -6i64..=6, 1i64..=3).prop_filter_map(
            "not simple",
            |(radii, x, y, step)| {
                let n = radii.len();
                let points = (0..n)
                    .map(|i| {
                        let angle = std::f64::consts::TAU * i as f64 / n as f64;
                        let r = (radii[i] + 1) as f64;
                        let on_grid = |v: f64| step * v.round() as i64;
                        Point::new(step * x + on_grid(r * angle.cos()), step * y + on_grid(r * angle.sin()))
                    })
                    .collect();
                Polygon::new(points).ok().map(|p| p.points().to_vec())
            },
        )
    }

    /// A pair of which the second is often made from the first: moved by one of its own edges, or turned by half.
    fn pair() -> impl Strategy<Value = (Vec<Point>, Vec<Point>)> {
        (rough_ring(), rough_ring(), 0usize..4, any::<prop::sample::Index>(), any::<prop::sample::Index>())
            .prop_map(|(a, b, way, i, j)| {
                let moved = |r: &[Point], by: Point| r.iter().map(|&p| p + by).collect::<Vec<_>>();
                let (p, q) = (a[i.index(a.len())], b[j.index(b.len())]);
                match way {
                    0 => (a, b),
                    1 => (a.clone(), moved(&b, p - q)),
                    2 => (a.clone(), moved(&a, p - a[j.index(a.len())])),
                    _ => (a.clone(), half_turned(&a).into_iter().map(|v| v + p + p).collect()),
                }
            })
    }

    fn half_turned(ring: &[Point]) -> Vec<Point> {
        ring.iter().map(|&p| -p).collect()
    }

    fn geo_polygon(ring: &[Point]) -> geo::Polygon<f64> {
        geo::Polygon::new(LineString::from_iter(ring.iter().map(|p| (p.x as f64, p.y as f64))), vec![])
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(3000))]

        /// Against the boolean intersection of the `geo` library: on small integers the least possible common area of
        /// two such rings is far above its rounding.
        #[test]
        fn agrees_with_the_area_of_a_boolean_intersection((a, b) in pair()) {
            let area = geo_polygon(&a).intersection(&geo_polygon(&b)).unsigned_area();
            prop_assert_eq!(interiors_meet(&a, &b), area > 1e-6, "{:?} {:?} {}", a, b, area);
            let ours = common_area(&a, &b).0 * 10_000.0;
            prop_assert!((ours - area).abs() < 1e-4, "{} and {}", ours, area);
        }

        #[test]
        fn does_not_depend_on_order_place_or_half_turn((a, b) in pair(), x in -9_999_000i64..9_999_000, y in -9_999_000i64..9_999_000) {
            let meet = interiors_meet(&a, &b);
            prop_assert_eq!(interiors_meet(&b, &a), meet);
            let shifted = |r: &[Point]| r.iter().map(|&p| p + Point::new(x, y)).collect::<Vec<_>>();
            prop_assert_eq!(interiors_meet(&shifted(&a), &shifted(&b)), meet);
            prop_assert_eq!(interiors_meet(&half_turned(&a), &half_turned(&b)), meet);
            let mut begun_elsewhere = a.clone();
            begun_elsewhere.rotate_left(1);
            prop_assert_eq!(interiors_meet(&begun_elsewhere, &b), meet);
        }
    }
}
