//! A drawing with a closed line for each piece, against areas by formula.

use std::f64::consts::PI;

use nest_core::piece::{Piece, PieceShape};

use crate::{extent, fixture, job, piece, read};

/// Of a piece that is drawn in one size.
fn only_shape(piece: &Piece) -> &PieceShape {
    assert_eq!(piece.shapes.len(), 1);
    piece.shapes.values().next().expect("a shape")
}

#[test]
fn closed_lines_are_pieces_named_by_the_words_on_them() {
    let job = job(&read(&fixture("tool-roll.dxf")));
    let told: Vec<(&str, u32, bool, &str)> =
        job.style.pieces.iter().map(|p| (p.name.as_str(), p.cut, p.pairs, p.cloth.as_str())).collect();
    assert_eq!(
        told,
        [("Roll", 1, false, "self"), ("Flap", 2, false, "lining"), ("Tie end", 4, true, "self")]
    );
}

#[test]
fn bulges_are_arcs_of_circles() {
    let job = job(&read(&fixture("tool-roll.dxf")));
    let area = |name: &str| only_shape(piece(&job, name)).outline.area_mm2();
    // Flattening keeps within 0.1 mm of a curve; what that cuts off is its length times two thirds of it at the most.
    let close = |area: f64, due: f64, curved: f64| (area - due).abs() < curved * 0.07 + 0.5;
    // A rectangle of 600 by 320 mm whose corners at one end are quarter circles of 40 mm.
    let roll = 600.0 * 320.0 - 2.0 * (40.0 * 40.0 - PI * 1600.0 / 4.0);
    assert!(close(area("Roll"), roll, PI * 40.0), "{} and not {roll}", area("Roll"));
    // A rectangle of 320 by 100 mm and half a circle of 160 mm on its long side.
    let flap = 320.0 * 100.0 + PI * 160.0 * 160.0 / 2.0;
    assert!(close(area("Flap"), flap, PI * 160.0), "{} and not {flap}", area("Flap"));
    // A triangle of 40 by 300 mm.
    assert!(close(area("Tie end"), 40.0 * 300.0 / 2.0, 0.0), "{}", area("Tie end"));
}

#[test]
fn layers_say_what_lines_are() {
    let job = job(&read(&fixture("tool-roll.dxf")));
    let roll = only_shape(piece(&job, "Roll"));
    assert_eq!((roll.notches.len(), roll.drill_holes.len(), roll.internal_lines.len()), (2, 2, 5));
    // Its grainline runs up the drawing, and so the drawing's height is its length along the grain.
    let (along, across) = extent(roll);
    assert!((along - 600.0).abs() < 0.05 && (across - 320.0).abs() < 0.05, "{along} by {across} mm");
    let flap = only_shape(piece(&job, "Flap"));
    let (along, across) = extent(flap);
    assert!((along - 260.0).abs() < 0.05 && (across - 320.0).abs() < 0.05, "{along} by {across} mm");
}
