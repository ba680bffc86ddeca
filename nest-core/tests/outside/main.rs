//! Checks of the search against the world outside: theorems, tilings and published results, each with its source beside it.
//!
//! Every lay here passes the independent exact check, is no shorter than its lower bound and never denser than 100 %.
//! Rounds are fixed, so what a test reaches is the same on every machine and any number of threads.
#![allow(clippy::disallowed_methods, reason = "tests read files")]

/// One shape laid many times stays below the density that no packing of the plane can pass.
mod ceilings;
/// Lengths on cloth of several widths, against the chart that sewers use.
mod conversion;
/// Scaled, mirrored or listed in another order, pieces are as dense.
mod invariance;
/// Rectangles cut to pieces by chords close again.
mod jigsaws;
/// Regular pentagons: the theorem above and an explicit marker below.
mod pentagons;
/// The instances of the literature, where their folder is there.
mod published;
/// Threads are not part of the result.
mod same_result;
/// Perfect squared rectangles close to 100 %.
mod squared;

use std::f64::consts::TAU;

use nest_core::board::{Board, BoardPiece};
use nest_core::check::{CheckedBoard, check_board};
use nest_core::geometry::{Point, Polygon, Turn};
use nest_core::search::{BoardAnswer, Continue, Settings, lay_board};

/// Either way along the strip.
const EITHER: [Turn; 2] = [Turn::None, Turn::Half];

/// A piece with corners on the grid.
fn piece(name: &str, corners: &[(i64, i64)], quantity: u32, turns: &[Turn]) -> BoardPiece {
    let points = corners.iter().map(|&(x, y)| Point::new(x, y)).collect();
    let outline = Polygon::new(points).unwrap_or_else(|fault| panic!("{name} {fault}"));
    BoardPiece { name: name.to_owned(), outline, quantity, turns: turns.to_vec() }
}

/// A piece with corners in other units, rounded to a grid of `scale` to the unit.
fn rounded(name: &str, corners: &[(f64, f64)], scale: f64, quantity: u32, turns: &[Turn]) -> BoardPiece {
    let on_grid = |v: f64| (v * scale).round() as i64;
    let corners: Vec<(i64, i64)> = corners.iter().map(|&(x, y)| (on_grid(x), on_grid(y))).collect();
    piece(name, &corners, quantity, turns)
}

/// A regular polygon of some circumradius in grid units, a corner of it along the strip.
fn regular(corners: u32, radius: f64, quantity: u32, turns: &[Turn]) -> BoardPiece {
    let corner = |k: u32| {
        let angle = f64::from(k) * TAU / f64::from(corners);
        (angle.cos(), angle.sin())
    };
    let ring: Vec<(f64, f64)> = (0..corners).map(corner).collect();
    rounded(&format!("{corners}-gon"), &ring, radius, quantity, turns)
}

/// The lay that so many rounds find, checked.
fn laid(board: &Board, rounds: u64, seed: u64) -> (CheckedBoard, BoardAnswer) {
    let settings = Settings { seed, rounds: Some(rounds), ..Settings::default() };
    let answer = lay_board(board, &settings, |_| Continue::Yes);
    let checked = check_board(board, &answer.lay).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert!(answer.lay.length >= answer.bound.length.grid(), "no lay is shorter than its bound");
    assert!(checked.density() <= 1.0, "no lay is denser than full");
    (checked, answer)
}

/// The best of a few seeds, and its answer; ends at the first that is full.
fn best_of(board: &Board, rounds: u64, seeds: std::ops::RangeInclusive<u64>) -> (CheckedBoard, BoardAnswer) {
    let mut best: Option<(CheckedBoard, BoardAnswer)> = None;
    for seed in seeds {
        let found = laid(board, rounds, seed);
        if best.as_ref().is_none_or(|(b, _)| found.0.density() > b.density()) {
            best = Some(found);
        }
        if best.as_ref().is_some_and(|(b, _)| b.is_full()) {
            break;
        }
    }
    best.expect("there is a seed")
}
