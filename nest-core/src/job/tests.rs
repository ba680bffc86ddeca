//! Reading whole job files: units, defaults, frames, sizes, folds and allowances.

use super::{Job, ReadError};
use crate::cloth::{ClothForm, Nap};
use crate::geometry::{Bounds, Point, Turn};
use crate::length::{Length, Unit};
use crate::order::OrderLine;
use crate::piece::{Grain, PieceShape, Symmetry};
use crate::spread::{Family, Kind};

/// A job of one piece; `piece` are the piece's fields after its id.
fn one_piece(units: &str, piece: &str) -> String {
    format!(
        r#"{{ "version": 1, "units": "{units}", "pieces": [{{ "id": "p", {piece} }}], "cloths": [{{ "width": 100 }}] }}"#
    )
}

fn read(text: &str) -> Job {
    Job::read(text).unwrap_or_else(|error| panic!("{error}"))
}

fn shape(units: &str, piece: &str) -> PieceShape {
    read(&one_piece(units, piece)).style.pieces[0].shapes["one"].clone()
}

fn points(list: &[(i64, i64)]) -> Vec<Point> {
    list.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

/// The messages of every problem of a job that must not be read.
fn complaints(text: &str) -> Vec<String> {
    match Job::read(text) {
        Ok(_) => panic!("read without a complaint: {text}"),
        Err(ReadError::Problems(problems)) => problems.iter().map(ToString::to_string).collect(),
        Err(ReadError::Syntax(error)) => vec![error.to_string()],
    }
}

#[test]
fn a_job_with_every_field_is_read() {
    let job = read(
        r#"{
        "version": 1, "name": "Two-panel skirt", "units": "cm", "y_axis": "up", "sizes": ["38", "40"],
        "pieces": [
            { "id": "front", "name": "Skirt front", "cloth": "self", "cut": 1,
              "outline": [[0, 0], [62, 0], [62, 26], [0, 31]], "grainline": [[5, 8], [55, 8]],
              "fold_edge": [[0, 0], [62, 0]], "notches": [[30, 28.6]], "drill_holes": [[20, 10]],
              "internal_lines": [[[10, 5], [20, 5]]], "seam_allowance": 1.5 },
            { "id": "pocket", "name": "Pocket bag", "cloth": "lining", "cut": 4, "pairs": true, "grain": "either",
              "outline": { "path": "M0,0 L16,0 C16,12 12,20 4,20 Q0,20 0,14 Z" }, "grainline": [[2, 2], [14, 2]] },
            { "id": "sleeve", "pairs": true, "sizes": {
                "38": { "outline": [[0, 0], [50, 0], [50, 30]], "grainline": [[0, 10], [50, 10]] },
                "40": { "outline": [[0, 0], [52, 0], [52, 31]], "grainline": [[0, 10], [52, 10]] } } }
        ],
        "views": [{ "name": "A", "pieces": ["front", "pocket"] }, { "name": "B", "pieces": ["sleeve"] }],
        "order": [{ "view": "A", "size": "38", "garments": 2 }, { "view": "B", "size": "40" }],
        "cloths": [
            { "kind": "self", "width": 150, "selvage": 1, "nap": "one-way", "form": "flat",
              "shrinkage": { "along": 3, "across": 2 }, "end_allowance": 2, "straightening": 5,
              "sale": { "step": 10, "unit": "cm" }, "length_in_hand": 240, "spare_copies": false },
            { "kind": "lining", "width": 140, "form": "tube", "spare_copies": true }
        ],
        "spacing": 0.5, "curve_tolerance": 0.2, "spreads": ["lengthwise-fold", "single"]
    }"#,
    );
    assert_eq!((&*job.name, job.unit), ("Two-panel skirt", Unit::Cm));
    assert_eq!(job.style.sizes, ["38", "40"]);
    let pocket = &job.style.pieces[1];
    assert_eq!((pocket.cut, pocket.pairs, pocket.grain, &*pocket.cloth), (4, true, Grain::Either, "lining"));
    assert_eq!(job.style.pieces[2].cut, 2, "a pair is two");
    assert_eq!(job.style.pieces[2].shapes["40"].outline.bounds().high, Point::new(52_000, 31_000));
    assert_eq!(job.style.views[0].pieces, [0, 1]);
    assert_eq!(
        job.order,
        [OrderLine { view: 0, size: 0, garments: 2 }, OrderLine { view: 1, size: 1, garments: 1 }]
    );
    let cloth = &job.cloths[0];
    assert_eq!((cloth.width.mm(), cloth.selvage.mm(), cloth.nap), (1500.0, 10.0, Nap::OneWay));
    assert_eq!((cloth.shrinkage_along, cloth.shrinkage_across), (0.03, 0.02));
    assert_eq!(cloth.length_in_hand, Some(Length::from_grid(240_000)));
    assert_eq!(cloth.sale.step.mm(), 100.0);
    assert_eq!((job.cloths[1].form, job.cloths[1].spare_copies), (ClothForm::Tube, true));
    assert_eq!(job.spacing.mm(), 5.0);
    assert_eq!(job.spreads, [Kind::Whole(Family::Single), Kind::Whole(Family::LengthwiseFold)]);
}

#[test]
fn what_is_left_out_has_the_documented_default() {
    let job =
        read(&one_piece("cm", r#""outline": [[0, 0], [10, 0], [10, 5]], "grainline": [[0, 1], [9, 1]]"#));
    let piece = &job.style.pieces[0];
    assert_eq!((&*job.name, &*piece.name, &*piece.cloth), ("job", "p", "self"));
    assert_eq!((piece.cut, piece.pairs, piece.grain), (1, false, Grain::Lengthwise));
    assert_eq!(job.style.sizes, ["one"]);
    assert_eq!((&*job.style.views[0].name, &*job.style.views[0].pieces), ("all", &[0][..]));
    assert_eq!(job.order, [OrderLine { view: 0, size: 0, garments: 1 }]);
    let cloth = &job.cloths[0];
    assert_eq!((&*cloth.kind, cloth.form, cloth.nap), ("self", ClothForm::Flat, Nap::None));
    assert_eq!((cloth.selvage, cloth.end_allowance, cloth.straightening), Default::default());
    assert_eq!((cloth.sale.step.mm(), cloth.sale.unit), (100.0, Unit::Cm));
    assert_eq!((cloth.length_in_hand, cloth.spare_copies), (None, false));
    assert_eq!((job.spacing, job.spreads.len()), (Length::ZERO, Kind::ALL.len()));
}

#[test]
fn inches_are_25_4_mm_and_sold_by_the_eighth_of_a_yard() {
    // International yard and pound agreement of 1959.
    let text = one_piece("in", r#""outline": [[0, 0], [10, 0], [10, 5]], "grainline": [[0, 1], [9, 1]]"#);
    let job = read(&text);
    let outline = &job.style.pieces[0].shapes["one"].outline;
    assert_eq!(outline.points(), points(&[(0, 0), (25_400, 0), (25_400, 12_700)]));
    assert_eq!((job.cloths[0].width.mm(), job.unit), (2540.0, Unit::Inch));
    assert_eq!((job.cloths[0].sale.step.mm(), job.cloths[0].sale.unit), (914.4 / 8.0, Unit::Yard));
}

#[test]
fn a_y_axis_that_points_down_is_flipped_and_not_the_cloth() {
    let piece = r#""outline": [[0, 0], [10, 0], [10, 5]], "grainline": [[0, 1], [9, 1]]"#;
    let up = one_piece("mm", piece);
    let down = up.replace(r#""units""#, r#""y_axis": "down", "units""#);
    let up = &read(&up).style.pieces[0].shapes["one"];
    let down = &read(&down).style.pieces[0].shapes["one"];
    assert_eq!(up.outline.points(), points(&[(0, 0), (1000, 0), (1000, 500)]));
    assert_eq!(down.outline.canonical().points(), points(&[(0, 500), (1000, 0), (1000, 500)]));
    assert_eq!(down.grainline, (Point::new(0, 400), Point::new(900, 400)), "the top still points to +x");
}

#[test]
fn the_grainline_points_to_x_whichever_way_the_piece_is_drawn() {
    // An L, so that no turn or mirroring goes unseen.
    let ring = [(0, 0), (30, 0), (30, 10), (10, 10), (10, 20), (0, 20)];
    let expected = points(&[(0, 0), (3000, 0), (3000, 1000), (1000, 1000), (1000, 2000), (0, 2000)]);
    for turn in Turn::ALL {
        let turned = |(x, y): (i64, i64)| turn.apply(Point::new(x, y));
        let drawn: Vec<_> = ring.iter().map(|&p| (turned(p).x, turned(p).y)).collect();
        let outline = format!("{drawn:?}").replace('(', "[").replace(')', "]");
        let top = turned((7, 0));
        let grainline = format!("[[0, 0], [{}, {}]]", top.x, top.y);
        let shape = shape("mm", &format!(r#""outline": {outline}, "grainline": {grainline}"#));
        assert_eq!(shape.outline.points(), expected, "exact for quarter turns");
        assert_eq!(shape.grainline, (Point::new(0, 0), Point::new(700, 0)));
    }
}

#[test]
fn a_bias_piece_is_turned_onto_its_slanting_grainline() {
    // A square of 100 mm with its grainline along a diagonal: on the bias it stands on a corner, sqrt(2) times as wide.
    let shape = shape(
        "mm",
        r#""outline": [[0, 0], [100, 0], [100, 100], [0, 100]], "grainline": [[20, 20], [80, 80]]"#,
    );
    let diagonal = (100.0 * 2f64.sqrt() * 100.0 / 2.0).round() as i64 * 2;
    assert_eq!(
        shape.outline.bounds(),
        Bounds { low: Point::new(0, 0), high: Point::new(diagonal, diagonal) }
    );
    assert_eq!(shape.symmetry(), Symmetry::AboutGrain, "rounding keeps its symmetry");
    let (bottom, top) = shape.grainline;
    assert_eq!(bottom.y, top.y);
    let length = 60.0 * 2f64.sqrt() * 100.0;
    assert!(((top.x - bottom.x) as f64 - length).abs() <= 1.0, "both ends are rounded");
}

#[test]
fn a_symmetric_piece_drawn_in_eighths_of_an_inch_stays_symmetric() {
    // 1/8 in is 317.5 grid units: rounding from one side would widen one flank only.
    let shape = shape(
        "in",
        r#""outline": [[0, 0], [4, 0.125], [5, 1.3125], [4, 2.5], [0, 2.625]], "grainline": [[0, 1], [4, 1]]"#,
    );
    assert_eq!(shape.symmetry(), Symmetry::AboutGrain);
    assert!((shape.outline.bounds().height() - 6667).abs() <= 1, "2.625 in = 66.675 mm within a grid unit");
}

#[test]
fn a_half_is_opened_out_about_its_fold_edge() {
    for (fold, grain) in
        [("[[0, 0], [60, 0]]", "[[5, 8], [55, 8]]"), ("[[60, 0], [0, 0]]", "[[5, 8], [55, 8]]")]
    {
        let shape = shape(
            "mm",
            &format!(
                r#""outline": [[0, 0], [60, 0], [60, 26], [0, 31]], "grainline": {grain}, "fold_edge": {fold}"#
            ),
        );
        assert_eq!(shape.fold, Some((Point::new(0, 0), Point::new(6000, 0))));
        let full = points(&[(0, -3100), (6000, -2600), (6000, 2600), (0, 3100)]);
        assert_eq!(shape.full.canonical().points(), full, "no needless corner where it was folded");
        assert_eq!(shape.symmetry(), Symmetry::AboutGrain);
    }
}

#[test]
fn a_half_below_its_fold_keeps_its_frame() {
    let shape =
        shape("mm", r#""outline": [[0, 0], [60, 0], [60, -26], [0, -31]], "fold_edge": [[0, 0], [60, 0]]"#);
    assert_eq!(shape.fold, Some((Point::new(0, 3100), Point::new(6000, 3100))), "the fold is at the top");
    assert_eq!(shape.full.bounds(), Bounds { low: Point::new(0, 0), high: Point::new(6000, 6200) });
}

#[test]
fn a_slanting_fold_edge_becomes_exactly_level() {
    // Folded along a line at 30 degrees, written to 0.1 mm as a person would.
    let shape = shape(
        "mm",
        r#""outline": [[0, 0], [519.6, 300], [419.6, 473.2], [-100, 173.2]], "fold_edge": [[0, 0], [519.6, 300]]"#,
    );
    let (a, b) = shape.fold.unwrap();
    assert_eq!(a.y, b.y);
    assert_eq!(b.x - a.x, 59_998, "the square root of 519.6² + 300² is 599.98");
    assert_eq!(shape.full.doubled_area(), 2 * shape.outline.doubled_area());
}

#[test]
fn a_seam_allowance_goes_round_the_corners_and_not_along_the_fold() {
    let shape = shape(
        "mm",
        r#""outline": [[0, 0], [60, 0], [60, 20], [0, 20]], "fold_edge": [[0, 0], [60, 0]], "seam_allowance": 10,
           "notches": [[30, 20]]"#,
    );
    assert_eq!(shape.outline.canonical().points(), points(&[(0, 0), (8000, 0), (8000, 3000), (0, 3000)]));
    assert_eq!(shape.fold, Some((Point::new(0, 0), Point::new(8000, 0))));
    assert_eq!(
        shape.stitching,
        Some(points(&[(7000, 0), (7000, 2000), (1000, 2000), (1000, 0)])),
        "from one end of the fold edge to the other"
    );
    assert_eq!(shape.notches, points(&[(4000, 3000)]), "moved out to where the scissors meet it");
}

#[test]
fn every_problem_is_told_at_once() {
    let told = complaints(
        r#"{ "version": 1, "units": "cm", "sizes": ["38"], "pieces": [
            { "id": "a", "cut": -1, "outline": [[0, 0], [10, 10], [10, 0], [0, 10]], "grainline": [[1, 1], [1, 1]] },
            { "id": "a", "cloth": "lining", "outline": { "path": "M0,0 L10,0 L10,5" }, "grainline": [[0, 0], [5, 0]] } ],
          "order": [{ "size": "40" }], "cloths": [{ "width": 0 }], "spacing": -1 }"#,
    );
    let places: Vec<&str> = told.iter().map(|t| t.split(": ").next().unwrap()).collect();
    assert_eq!(
        places,
        [
            "pieces[0].cut (a)",
            "pieces[0].grainline (a)",
            "pieces[1].id",
            "pieces[1].outline.path (a)",
            "order[0].size",
            "cloths[0].width (self)",
            "spacing"
        ],
        "{told:#?}"
    );
}

#[test]
fn a_fold_edge_takes_in_all_of_the_straight_stretch_it_lies_on() {
    // Its ends stand inside the long edge, which cannot lie half on the fold.
    let shape = shape(
        "mm",
        r#""outline": [[0, 0], [100, 0], [100, 40], [0, 30]], "fold_edge": [[20, 0.2], [80, 0]]"#,
    );
    assert_eq!(shape.fold, Some((Point::new(0, 0), Point::new(10_000, 0))));
    assert_eq!(shape.full.doubled_area(), 2 * 2 * 10_000 * 3_500);
}

#[test]
fn a_half_that_meets_its_fold_line_again_is_refused() {
    // A keyhole at the fold: opened out, its sides would touch in the point [70, 0].
    let keyhole = r#""outline": [[0, 0], [40, 0], [50, 10], [70, 0], [100, 10], [100, 40], [0, 40]], "fold_edge": [[0, 0], [40, 0]]"#;
    let told = complaints(&one_piece("mm", keyhole));
    assert!(
        told[0].starts_with("pieces[0].fold_edge (p): the outline meets the fold line again near [70, 0]"),
        "{told:?}"
    );
}

#[test]
fn a_folded_half_grows_like_the_whole_piece() {
    // A pointed yoke: acute and obtuse corners on the fold, one of them beyond the mitre limit.
    let half = shape(
        "mm",
        r#""outline": [[0, 0], [90, 0], [40, 60], [-150, 20]], "fold_edge": [[0, 0], [90, 0]], "seam_allowance": 12"#,
    );
    let whole = shape(
        "mm",
        r#""outline": [[0, 0], [-150, -20], [40, -60], [90, 0], [40, 60], [-150, 20]], "grainline": [[0, 0], [90, 0]],
           "seam_allowance": 12"#,
    );
    let settled = |shape: &PieceShape| shape.full.shifted(-shape.full.bounds().low).canonical();
    assert_eq!(settled(&half), settled(&whole));
    assert_eq!(whole.symmetry(), Symmetry::AboutGrain);
}

#[test]
fn a_seam_allowance_closes_a_slit_and_does_not_cut_it_out() {
    // A slit 5 mm wide with 10 mm on either side: the allowances meet.
    let shape = shape(
        "mm",
        r#""outline": [[0, 0], [100, 0], [100, 50], [30, 50], [30, 55], [100, 55], [100, 100], [0, 100]],
           "grainline": [[5, 5], [90, 5]], "seam_allowance": 10"#,
    );
    assert_eq!(
        shape.outline.canonical().points(),
        points(&[(0, 0), (12_000, 0), (12_000, 12_000), (0, 12_000)])
    );
    assert_eq!(shape.stitching.map(|line| line.len()), Some(9), "the slit is still stitched");
}

#[test]
fn curves_are_the_finer_the_smaller_the_tolerance() {
    let circle = r#""outline": { "path": "M0,0 A10,10 0 0 1 20,0 A10,10 0 0 1 0,0 Z" }, "grainline": [[1, 0], [19, 0]]"#;
    let corners = |tolerance: &str| {
        let text = one_piece("cm", circle)
            .replace(r#""units""#, &format!(r#""curve_tolerance": {tolerance}, "units""#));
        read(&text).style.pieces[0].shapes["one"].outline.points().len()
    };
    // A chord of a circle of radius r that errs by e spans 2 acos(1 - e/r).
    let expected = |e: f64| (std::f64::consts::PI / (1.0 - e / 100.0).acos()).ceil() as usize;
    for (text, e) in [("0.01", 0.01), ("0.1", 0.1), ("1", 1.0)] {
        // The arc's own share of the tolerance, and whole chords in each of its parts, cost a few more.
        let n = corners(text);
        assert!((expected(e)..=expected(e) * 9 / 8 + 4).contains(&n), "{n} corners at {text} mm");
    }
}

#[test]
fn marks_come_along_into_the_frame_of_the_piece() {
    let shape = shape(
        "cm",
        r#""outline": [[10, 10], [10, 40], [0, 40], [0, 10]], "grainline": [[5, 15], [5, 35]],
           "notches": [[10.2, 25]], "drill_holes": [[3, 20]], "internal_lines": [[[3, 12], [3, 38]]]"#,
    );
    assert_eq!(
        shape.outline.bounds().high,
        Point::new(30_000, 10_000),
        "its top, drawn upward, points along the cloth"
    );
    assert_eq!(shape.notches, points(&[(15_000, 0)]), "brought onto the edge");
    assert_eq!(shape.drill_holes, points(&[(10_000, 7_000)]));
    assert_eq!(shape.internal_lines, [points(&[(2_000, 7_000), (28_000, 7_000)])]);
}

#[test]
fn a_size_or_a_cloth_that_is_not_ordered_need_not_be_there() {
    let text = r#"{ "version": 1, "units": "cm", "sizes": ["38", "40"], "pieces": [
        { "id": "a", "sizes": { "40": { "outline": [[0, 0], [9, 0], [9, 9]], "grainline": [[0, 1], [5, 1]] } } },
        { "id": "b", "cloth": "lining", "outline": [[0, 0], [9, 0], [9, 9]], "grainline": [[0, 1], [5, 1]] } ],
        "views": [{ "name": "A", "pieces": ["a"] }, { "name": "B", "pieces": ["a", "b"] }],
        "order": [{ "view": "A", "size": "40" }], "cloths": [{ "width": 150 }] }"#;
    assert_eq!(read(text).wants("self").len(), 1);
    let told = complaints(&text.replace(r#""view": "A", "size": "40""#, r#""view": "B", "size": "38""#));
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(
        told[0].starts_with("pieces[0].sizes (a): has no outline in size \"38\", which order[0] wants"),
        "{told:?}"
    );
    assert!(
        told[1].starts_with("pieces[1].cloth (b): is to be cut from \"lining\", which order[0] wants"),
        "{told:?}"
    );
}

#[test]
fn every_message_says_what_to_do() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/broken");
    let verbs = [
        "write",
        "add",
        "give",
        "take",
        "check",
        "correct",
        "keep",
        "move",
        "divide",
        "change",
        "end it",
        "make",
        "reorder",
        "list",
        "put in",
        "complete",
        "name it",
        "straighten",
        "mend",
    ];
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "txt") {
            for line in std::fs::read_to_string(&path).unwrap().lines() {
                let remedy = line.split_once(": ").unwrap().1;
                assert!(verbs.iter().any(|verb| remedy.contains(verb)), "{}: {line}", path.display());
            }
        }
    }
}
