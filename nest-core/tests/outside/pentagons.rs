use std::f64::consts::TAU;

use nest_core::board::Board;

use super::{EITHER, best_of, regular};

/// No packing of congruent regular pentagons in the plane is denser, whatever their turns: T. C. Hales & W. Kusner, "Packings
/// of regular pentagons in the plane", arXiv 1602.07220.
fn densest() -> f64 {
    (5.0 - 5f64.sqrt()) / 3.0
}

/// Corners are rounded to the grid, at most half a unit of some 30 000 to the pentagon's height; ten rows add up.
const ROUNDING: f64 = 1e-4;

/// A strip for `columns` columns of `rows` pentagons of side 1 with a vertex along the strip, as wide as the explicit marker
/// needs it and by such a part wider, and the density of that marker on a strip without that part.
fn board(columns: u32, rows: u32, scale: f64, wider: f64) -> (Board, f64) {
    let phi = (1.0 + 5f64.sqrt()) / 2.0;
    let radius = 0.5 / (TAU / 10.0).sin();
    let inradius = 0.5 / (TAU / 10.0).tan();
    let height = (5.0 + 2.0 * 5f64.sqrt()).sqrt() / 2.0;
    let area = 2.5 * inradius;
    assert!((height - radius - inradius).abs() < 1e-12, "the formulas agree");
    let width = f64::from(columns - 1) * 3.0 * phi / 4.0 + phi;
    let shift = (TAU / 10.0).sin() * (0.5 + 2.0 / 5f64.sqrt());
    // From the flat side of the first in the one column to the flat side of the last, turned, in the next.
    let length = f64::from(rows - 1) * height + shift + 2.0 * inradius;
    let explicit = area * f64::from(columns * rows) / (width * length);
    let pentagon = regular(5, radius * scale, columns * rows, &EITHER);
    // Rounded pentagons may be wider by a unit in each column.
    let across = (width * (1.0 + wider) * scale).ceil() as i64 + i64::from(columns);
    (Board::new(across, vec![pentagon]).expect("a board"), explicit)
}

#[test]
fn the_explicit_markers_have_the_densities_worked_out() {
    // Worked out by hand from columns of pentagons turned in alternation, and checked for overlap.
    for (columns, rows, told) in [
        (2, 10, 0.757_352),
        (4, 10, 0.815_610),
        (10, 10, 0.855_075),
        (10, 50, 0.884_040),
        (40, 50, 0.905_959),
    ] {
        let (_, explicit) = board(columns, rows, 10_000.0, 0.0);
        assert!((explicit - told).abs() < 1e-6, "{columns} x {rows}: {explicit}");
    }
}

#[test]
fn columns_of_pentagons_are_as_dense_as_the_explicit_marker() {
    // Ten columns have so little play on the grid that the search gets a part of 0.0003 more to find them; the marker that it
    // finds is then judged with that part.
    for (columns, rows, scale, wider, rounds) in [
        (2, 10, 70_000.0, 0.0, 12),
        (4, 10, 38_000.0, 0.0, 10),
        (10, 10, 15_000.0, 0.0003, 20),
        (10, 50, 15_000.0, 0.0003, 20),
    ] {
        let (board, explicit) = board(columns, rows, scale, wider);
        let (checked, _) = best_of(&board, rounds, 1..=1);
        let density = checked.density();
        assert!(density > explicit - 0.001, "{columns} by {rows}: {density:.5} against {explicit:.5}");
        assert!(density < densest() + ROUNDING, "{columns} by {rows}: {density:.5}");
    }
}

#[test]
fn very_many_pentagons_keep_below_the_ceiling() {
    // Two thousand of them: the explicit marker has 0.906, and after 200 rounds the search has come to 0.825.
    let (board, _) = board(40, 50, 4_000.0, 0.0003);
    let (checked, _) = best_of(&board, 2, 1..=1);
    let density = checked.density();
    assert!(density > 0.6 && density < densest() + ROUNDING, "{density:.5}");
}
