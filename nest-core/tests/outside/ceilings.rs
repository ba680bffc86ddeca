use std::f64::consts::TAU;

use nest_core::board::{Board, BoardPiece};
use nest_core::geometry::Turn;

use super::{EITHER, best_of, laid, piece, regular, rounded};

/// Corners are rounded to the grid: half a unit of some 50 000.
const ROUNDING: f64 = 1e-4;

/// Grid units to the unit of the shapes below.
const SCALE: f64 = 50_000.0;

fn shape(name: &str, corners: &[(f64, f64)], quantity: u32, turns: &[Turn]) -> BoardPiece {
    rounded(name, corners, SCALE, quantity, turns)
}

/// A half disc of radius 1 as half of a 60-gon.
fn half_disc() -> Vec<(f64, f64)> {
    (0..=30).map(|k| (f64::from(k) * TAU / 60.0).sin_cos()).collect()
}

/// Lays a shape on a strip about three times as high as it is, and gives the density.
fn density_of(piece: BoardPiece, rounds: u64) -> f64 {
    let height = piece.outline.bounds().height() * 31 / 10;
    let board = Board::new(height, vec![piece]).expect("a board");
    laid(&board, rounds, 1).0.density()
}

/// Each piece is laid at most as densely as its ceiling allows, and not far below it.
fn judge(cases: impl IntoIterator<Item = (BoardPiece, f64)>) {
    for (piece, ceiling) in cases {
        let name = piece.name.clone();
        let density = density_of(piece, 2);
        assert!(density <= ceiling + ROUNDING, "{name}: {density:.5} is over {ceiling:.5}");
        // Far below would mean that the search is broken, and the check above says nothing.
        assert!(density > 0.6 * ceiling, "{name}: {density:.5} is far below {ceiling:.5}");
    }
}

#[test]
fn with_one_way_nap_no_shape_is_denser_than_its_densest_lattice() {
    // Derived, and worked out by script (the densest packing of the plane by translates of a convex shape is a lattice: C. A.
    // Rogers 1951, L. Fejes Toth and I. Fary, from memory). A marker repeated along and across tiles the plane, so it is no
    // denser. The half disc is a polygon there too, of an unknown number of corners at its straight side's ends.
    let one_way = |name, corners: &[(f64, f64)]| shape(name, corners, 12, &[Turn::None]);
    let gon = |n| regular(n, SCALE, 12, &[Turn::None]);
    let cases = [
        (one_way("triangle", &[(0.0, 0.0), (2.0, 0.3), (0.7, 1.5)]), 2.0 / 3.0),
        (one_way("trapezoid 2:1", &[(0.0, 0.0), (2.0, 0.0), (1.5, 1.0), (0.5, 1.0)]), 6.0 / 7.0),
        (one_way("trapezoid 3:1", &[(0.0, 0.0), (3.0, 0.0), (2.0, 1.0), (1.0, 1.0)]), 4.0 / 5.0),
        (one_way("right trapezoid", &[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 2.0)]), 6.0 / 7.0),
        (one_way("kite", &[(0.0, 0.0), (1.0, 1.0), (0.0, 3.0), (-1.0, 1.0)]), 9.0 / 11.0),
        (one_way("half disc", &half_disc()), 0.8415 + 0.001),
        (gon(5), 0.817_256),
        (gon(7), 0.860_191),
        (gon(9), 0.887_735),
        (gon(11), 0.889_128),
    ];
    judge(cases);
}

#[test]
fn turned_end_for_end_no_shape_is_denser_than_the_best_packing_known() {
    let either = |n| regular(n, SCALE, 12, &EITHER);
    // Pentagon: a theorem (Hales & Kusner). Octagon: a theorem, being centrally symmetric; the 60-gon likewise:
    // its area over that of the least hexagon around it (L. Fejes Toth 1950, from memory). Heptagon and half disc: the best
    // double lattice, not proved best; a marker above would be a discovery, and is more likely a fault of ours.
    let hexagon_around = 2.0 * 3f64.sqrt() * (TAU / 120.0).cos().powi(2);
    let cases = [
        (either(5), (5.0 - 5f64.sqrt()) / 3.0),
        (either(7), 0.892_690_686),
        (either(8), (4.0 + 4.0 * 2f64.sqrt()) / (5.0 + 4.0 * 2f64.sqrt())),
        (either(60), 30.0 * (TAU / 60.0).sin() / hexagon_around),
        (shape("half disc", &half_disc(), 12, &EITHER), 0.9356 + 0.001),
    ];
    judge(cases);
}

#[test]
fn two_triangles_fill_a_rectangle_when_one_may_be_turned() {
    // Derived: a triangle of legs a and b, at 0 and at 180, fills a by b exactly.
    let triangle = |turns| piece("triangle", &[(0, 0), (150_000, 0), (0, 100_000)], 2, turns);
    let board = Board::new(100_000, vec![triangle(&EITHER)]).expect("a board");
    let (checked, _) = best_of(&board, 6, 1..=4);
    assert!(checked.is_full(), "{:.5}", checked.density());
    // One way only they lie behind one another: two thirds is the most that any number of them can reach.
    let board = Board::new(100_000, vec![triangle(&[Turn::None])]).expect("a board");
    assert!(laid(&board, 2, 1).0.density() <= 2.0 / 3.0);
}
