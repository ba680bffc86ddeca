use std::f64::consts::TAU;

use nest_core::board::{Board, BoardPiece};
use nest_core::check::check;
use nest_core::geometry::Turn;
use nest_core::job::Job;
use nest_core::purchase::Efficiency;
use nest_core::search::{Settings, Silent, lay};
use serde_json::json;

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

/// Of everything that can be laid of a job of one shape, in centimetres with its grainline along: the densest marker of any
/// spread, as part of the usable cloth.
fn densest_of_job(corners: &[(f64, f64)], cut: u32, nap: &str, width: f64) -> f64 {
    let job = json!({
        "version": 1,
        "name": "One shape",
        "units": "cm",
        "pieces": [{ "id": "shape", "name": "Shape", "cut": cut, "outline": corners, "grainline": [[0, 0], [5, 0]] }],
        "order": [{ "garments": 1 }],
        "cloths": [{ "kind": "self", "width": width, "nap": nap, "sale": { "step": 1, "unit": "cm" } }]
    });
    let job = Job::read(&job.to_string()).unwrap_or_else(|problems| panic!("{problems}"));
    let cloth = &job.cloths[0];
    let settings = Settings { rounds: Some(4), ..Settings::default() };
    let answer = lay(&job, cloth, &settings, &mut Silent);
    let density = |(_, found): (_, &nest_core::answer::Found)| {
        check(&job, &found.marker).unwrap_or_else(|violations| panic!("{}", violations[0]));
        Efficiency::new(&job, cloth, found.marker.spread.cloth_length()).of_usable()
    };
    answer.found().map(density).reduce(f64::max).expect("a spread serves")
}

#[test]
fn a_job_keeps_below_those_ceilings_with_nap_and_triangles_pass_theirs_without() {
    // The figures of the test above, now by way of a cloth's nap. Kite and pentagon are their own mirror images, so that they
    // may lie on two plies, too: opened out, those are markers of one kind of shape all the same.
    let pentagon: Vec<(f64, f64)> = (0..5)
        .map(|k| f64::from(k) * TAU / 5.0)
        .map(|angle| {
            ((20.0 * angle.cos() * 100.0).round() / 100.0, (20.0 * angle.sin() * 100.0).round() / 100.0)
        })
        .collect();
    let cases = [
        ("triangle", vec![(0.0, 0.0), (40.0, 0.0), (0.0, 30.0)], 2.0 / 3.0, 90.0),
        ("kite", vec![(0.0, 0.0), (10.0, -10.0), (30.0, 0.0), (10.0, 10.0)], 9.0 / 11.0, 62.0),
        ("pentagon", pentagon, 0.817_256, 118.0),
    ];
    for (name, corners, ceiling, width) in cases {
        let one_way = densest_of_job(&corners, 12, "one-way", width);
        let either = densest_of_job(&corners, 12, "none", width);
        assert!(one_way <= ceiling + ROUNDING, "{name}: {one_way:.5} is over {ceiling:.5}");
        assert!(one_way > 0.6 * ceiling, "{name}: {one_way:.5} is far below {ceiling:.5}");
        assert!(either >= one_way, "{name}: {either:.5} turned either way, {one_way:.5} one way only");
        assert!(name != "triangle" || either > 1.0 - ROUNDING, "two triangles fill a rectangle: {either:.5}");
    }
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
