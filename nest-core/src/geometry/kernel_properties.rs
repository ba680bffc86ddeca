//! Properties of the kernel on random polygons, with `geo`'s boolean operations as the outside judge.

use geo::{Area, BooleanOps, Intersects};
use proptest::prelude::*;

use super::{ConvexParts, NoFit, Point, PointLocation, Polygon, Pose, Turn, locate};
use crate::invented::wavy;

/// A star-shaped ring about the origin: sorted by angle, so simple; on a coarse lattice, so that edges line up, vertices
/// coincide and pieces fit exactly far more often than by chance.
fn lattice_star(most: usize) -> impl Strategy<Value = Polygon> {
    prop::collection::vec((-8i64..=8, -8i64..=8), 3..most).prop_filter_map("not a polygon", |corners| {
        let mut ring: Vec<Point> = corners.into_iter().map(|(x, y)| Point::new(x * 100, y * 100)).collect();
        ring.retain(|p| *p != Point::default());
        ring.sort_by(|a, b| {
            let angle = |p: &Point| (p.y as f64).atan2(p.x as f64);
            angle(a).total_cmp(&angle(b)).then((b.dot(*b)).cmp(&a.dot(*a)))
        });
        ring.dedup_by(|b, a| a.cross(*b) == 0 && a.dot(*b) > 0);
        Polygon::new(ring).ok()
    })
}

/// A star with any radii, up to many vertices.
fn wild_star(vertices: std::ops::Range<usize>) -> impl Strategy<Value = Polygon> {
    prop::collection::vec(300i64..3000, vertices).prop_filter_map("not a polygon", |radii| {
        let n = radii.len() as f64;
        let corner = |(k, r): (usize, i64)| {
            let (sin, cos) = (k as f64 / n * std::f64::consts::TAU).sin_cos();
            Point::new((r as f64 * cos).round() as i64, (r as f64 * sin).round() as i64)
        };
        Polygon::new(radii.into_iter().enumerate().map(corner).collect()).ok()
    })
}

fn geo_polygon(p: &Polygon) -> geo::Polygon<f64> {
    let ring: Vec<(f64, f64)> = p.points().iter().map(|q| (q.x as f64, q.y as f64)).collect();
    geo::Polygon::new(ring.into(), Vec::new())
}

fn no_fit(a: &Polygon, b: &Polygon) -> NoFit {
    NoFit::of(a, b, &ConvexParts::of(a), &ConvexParts::of(b))
}

/// Distance from a position to the nearest ring, and whether it is inside by the parity of all rings.
fn against(rings: &[Vec<[f32; 2]>], p: Point) -> (f64, bool) {
    let (mut least, mut inside) = (f64::INFINITY, false);
    let (px, py) = (p.x as f64, p.y as f64);
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            let [ax, ay, bx, by] = [a[0], a[1], b[0], b[1]].map(f64::from);
            let (dx, dy) = (bx - ax, by - ay);
            let t = (((px - ax) * dx + (py - ay) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
            least = least.min((px - ax - t * dx).hypot(py - ay - t * dy));
            if (ay > py) != (by > py) && px < ax + (py - ay) * dx / dy {
                inside = !inside;
            }
        }
    }
    (least, inside)
}

/// Positions told by the rings, away from these, as exactly.
fn rings_tell_overlap(a: &Polygon, b: &Polygon, positions: Vec<(i64, i64)>) -> Result<(), TestCaseError> {
    let n = no_fit(a, b);
    let (pa, pb) = (ConvexParts::of(a), ConvexParts::of(b));
    for (x, y) in positions {
        let p = Point::new(x, y);
        let (distance, inside) = against(&n.rings, p);
        // The rings are shrunk by one unit, two at sharp corners, and rounded.
        if distance > 3.25 {
            prop_assert_eq!(pa.overlaps(&pb, p), inside, "at {:?}, {} from the boundary", p, distance);
        }
    }
    Ok(())
}

/// Positions just inside the rings, a part of the way along each edge.
fn just_inside_is_overlap(a: &Polygon, b: &Polygon, part: f32) -> Result<(), TestCaseError> {
    let n = no_fit(a, b);
    let (pa, pb) = (ConvexParts::of(a), ConvexParts::of(b));
    for ring in &n.rings {
        for (i, v) in ring.iter().enumerate() {
            let w = ring[(i + 1) % ring.len()];
            let on = [0, 1].map(|k| (v[k] + part * (w[k] - v[k])).round() as i64);
            for (dx, dy) in [(0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, 1), (1, -1), (-1, -1)] {
                let p = Point::new(on[0] + dx, on[1] + dy);
                let (distance, inside) = against(&n.rings, p);
                // Rounding is all that can be wrong on this side.
                if inside && distance > 0.75 {
                    prop_assert!(pa.overlaps(&pb, p), "at {:?}, {} from the boundary", p, distance);
                }
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn overlap_agrees_with_the_area_that_geo_finds(a in lattice_star(10), b in lattice_star(10), x in -16i64..=16, y in -16i64..=16) {
        let by = Point::new(x * 100, y * 100);
        let area = geo_polygon(&a).intersection(&geo_polygon(&b.shifted(by))).unsigned_area();
        // On this lattice two rings that overlap at all do so by far more than geo's rounding.
        prop_assert_eq!(ConvexParts::of(&a).overlaps(&ConvexParts::of(&b), by), area > 0.01, "area {}", area);
    }

    #[test]
    fn overlap_does_not_depend_on_order_place_or_half_turn(a in lattice_star(10), b in wild_star(4..20), x in -3000i64..3000, y in -3000i64..3000) {
        let by = Point::new(x, y);
        let (pa, pb) = (ConvexParts::of(&a), ConvexParts::of(&b));
        let overlap = pa.overlaps(&pb, by);
        prop_assert_eq!(pb.overlaps(&pa, -by), overlap, "exchanged");
        let half = Pose { mirrored: false, turn: Turn::Half };
        prop_assert_eq!(ConvexParts::of(&a.posed(half)).overlaps(&ConvexParts::of(&b.posed(half)), -by), overlap, "turned");
        let far = Point::new(5_000_000, -4_000_000);
        prop_assert_eq!(pa.posed(Pose::AS_DRAWN, far).overlaps(&pb.posed(Pose::AS_DRAWN, far), by), overlap, "moved");
    }

    #[test]
    fn touching_positions_touch_and_do_not_overlap(a in lattice_star(9), b in lattice_star(9)) {
        let n = no_fit(&a, &b);
        prop_assert!(!n.touching.is_empty(), "any two polygons can be put corner to corner");
        for &p in &n.touching {
            let (ga, gb) = (geo_polygon(&a), geo_polygon(&b.shifted(p)));
            prop_assert!(ga.intersection(&gb).unsigned_area() < 0.01, "overlap at {:?}", p);
            prop_assert!(ga.intersects(&gb), "no contact at {:?}", p);
        }
    }

    #[test]
    fn inside_the_rings_is_overlap_and_outside_is_none(a in lattice_star(9), b in wild_star(3..30), seeds in prop::collection::vec((-6000i64..6000, -6000i64..6000), 60)) {
        rings_tell_overlap(&a, &b, seeds)?;
    }

    #[test]
    fn just_inside_the_rings_is_overlap(a in lattice_star(9), b in wild_star(3..30), part in 0.0f32..1.0) {
        just_inside_is_overlap(&a, &b, part)?;
    }

    #[test]
    fn exchanging_the_two_reflects_the_no_fit_polygon(a in wild_star(3..12), b in wild_star(3..12), x in -6000i64..6000, y in -6000i64..6000) {
        let p = Point::new(x, y);
        let (there, back) = (against(&no_fit(&a, &b).rings, p), against(&no_fit(&b, &a).rings, -p));
        prop_assert!((there.0 - back.0).abs() < 4.0 || there.0.min(back.0) < 4.0, "{:?} and {:?}", there, back);
        if there.0 > 4.0 {
            prop_assert_eq!(there.1, back.1);
        }
    }
}

#[test]
fn four_hundred_vertices_are_handled() {
    let (a, b) = (wavy(400, 5.0), wavy(390, 3.0));
    let (pa, pb) = (ConvexParts::of(&a), ConvexParts::of(&b));
    let area: i64 = pa.rings().map(|r| Polygon::new(r.to_vec()).map_or(0, |p| p.doubled_area())).sum();
    assert_eq!(area, a.doubled_area(), "the parts make up the whole");
    let n = no_fit(&a, &b);
    let mut told = [0, 0];
    for k in 0..600 {
        let p = Point::new((k * 7919) % 100_000 - 50_000, (k * 104_729) % 60_000 - 30_000);
        let (distance, inside) = against(&n.rings, p);
        if distance > 3.25 {
            assert_eq!(pa.overlaps(&pb, p), inside, "at {p:?}");
            told[usize::from(inside)] += 1;
        }
    }
    assert!(told[0] > 50 && told[1] > 50, "both answers came up: {told:?}");
}

#[test]
fn a_point_inside_is_where_a_tiny_piece_overlaps() {
    let ring = [(0, 0), (600, 0), (600, 600), (300, 200), (0, 600)];
    let p = Polygon::new(ring.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("simple");
    let (parts, dot) = (ConvexParts::of(&p), ConvexParts::of(&Polygon::rectangle(2, 2)));
    for x in (-50..650).step_by(37) {
        for y in (-50..650).step_by(41) {
            let corner = Point::new(x, y);
            let middle = locate(p.points(), corner + Point::new(1, 1));
            if middle == PointLocation::Inside {
                assert!(parts.overlaps(&dot, corner), "at {corner:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn rings_of_spiky_outlines_tell_overlap(a in wild_star(40..90), b in wild_star(40..90), seeds in prop::collection::vec((-6000i64..6000, -6000i64..6000), 60), part in 0.0f32..1.0) {
        rings_tell_overlap(&a, &b, seeds)?;
        just_inside_is_overlap(&a, &b, part)?;
    }
}
