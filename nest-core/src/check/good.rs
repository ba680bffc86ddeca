//! Good markers of every kind of spread pass, and the check is fast on large ones.

use super::*;
use crate::geometry::{Point, Polygon};
use crate::invented;
use crate::length::Length;
use crate::marker::Placement;
use crate::order::OrderLine;
use crate::spread::Family;

#[test]
fn good_markers_of_every_kind_pass() {
    let markers = invented::good_markers();
    for family in Family::ALL {
        assert!(markers.iter().any(|(_, _, m)| m.spread.sections[0].family == family), "{family:?} is tried");
    }
    for (name, job, marker) in markers {
        match check(&job, &marker) {
            Ok(checked) => {
                assert_eq!(checked.marker(), &marker, "{name}");
                assert_eq!(checked.tally().placements, marker.placements.len(), "{name}");
                let wanted: u64 = job.wants("self").iter().map(|w| u64::from(w.copies())).sum();
                assert_eq!(checked.tally().copies, wanted, "{name}");
            }
            Err(violations) => panic!("{name}: {}", listed(&violations)),
        }
    }
}

pub(super) fn listed(violations: &[Violation]) -> String {
    violations.iter().map(|v| format!("\n  {v}")).collect()
}

#[test]
fn outlines_lie_where_the_marker_says() {
    // The marker's own way from piece to lay and the checker's were written apart.
    for (name, job, marker) in invented::good_markers() {
        let mut found = Vec::new();
        for f in Footprint::of_marker(&job, &job.cloths[0], &marker, &mut found) {
            let outline = f.placement.outline(f.shape);
            assert_eq!(
                Polygon::new(f.ring.clone()).expect("simple").canonical(),
                outline.canonical(),
                "{name}"
            );
        }
        assert!(found.is_empty(), "{name}");
    }
}

/// A ring with `n` corners on a wavy circle of about 100 mm.
fn wavy(n: usize) -> Polygon {
    let corner = |i: usize| {
        let t = std::f64::consts::TAU * i as f64 / n as f64;
        let r = 9000.0 + 1000.0 * (9.0 * t).cos();
        Point::new((10_000.0 + r * t.cos()).round() as i64, (10_000.0 + r * t.sin()).round() as i64)
    };
    Polygon::new((0..n).map(corner).collect()).expect("simple")
}

#[test]
fn four_hundred_placements_of_four_hundred_corners_are_checked() {
    let (_, mut job, mut marker) = invented::slit_tube();
    let outline = wavy(400);
    let shape = crate::piece::PieceShape {
        full: outline.clone(),
        outline,
        fold: None,
        ..job.style.pieces[2].shapes["38"].clone()
    };
    job.style.pieces[2].shapes.insert("38".into(), shape);
    job.style.views[0].pieces = vec![2];
    job.order = vec![OrderLine { view: 0, size: 0, garments: 400 }];
    job.spacing = Length::from_grid(10);
    let pocket = marker.placements[1].clone();
    // Lobes lean into the hollows of their neighbours: boxes overlap, outlines do not.
    let at = |i: i64| Point::new(18_300 * (i / 4), 20_020 * (i % 4));
    marker.placements = (0..400).map(|i| Placement { position: at(i), ..pocket.clone() }).collect();
    marker.spread.sections[0].length = Length::from_grid(18_300 * 99 + 20_100);
    let checked = check(&job, &marker).unwrap_or_else(|v| panic!("{}", listed(&v)));
    assert_eq!(checked.tally().pairs, 396, "every neighbour along the cloth was compared");
    // One of them moved by 3 mm: found among all.
    marker.placements[201].position.x -= 300;
    let violations = check(&job, &marker).expect_err("one overlaps its neighbour");
    let [v] = &violations[..] else { panic!("{}", listed(&violations)) };
    assert!(matches!(v.fault, Fault::Overlap { .. }), "{v}");
    assert_eq!([v.laid[0].number, v.laid[1].number], [198, 202]);
}
