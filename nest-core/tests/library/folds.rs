//! What folding does to a length, known beforehand: identities that follow from how each fold lays cloth on cloth.
//!
//! They are derived, not measured: a lengthwise fold maps a piece to its mirror image across the fold and leaves its place
//! along the cloth; laying the whole width double uses two lengths of cloth for one of the lay.

use nest_core::answer::Answer;
use nest_core::check::check;
use nest_core::job::Job;
use nest_core::search::{Settings, Silent};
use nest_core::spread::{Family, Kind};

/// The answer for a job of one cloth, 100 cm wide without selvage, after a few rounds; every marker checked.
fn answer(pieces: &str, nap: &str) -> Answer {
    let text = format!(
        r#"{{"version": 1, "name": "Folds", "units": "cm", "pieces": [{pieces}],
            "cloths": [{{"width": 100, "nap": "{nap}"}}]}}"#
    );
    let job = Job::read(&text).unwrap_or_else(|e| panic!("{e}"));
    let settings = Settings { rounds: Some(12), ..Settings::default() };
    let answer = nest_core::lay(&job, &job.cloths[0], &settings, &mut Silent);
    for found in answer.lines.iter().filter_map(|line| line.result.as_ref().ok()) {
        check(&job, &found.marker).unwrap_or_else(|v| panic!("{}", v[0]));
        assert!(found.bound.length <= found.marker.spread.cloth_length(), "a bound holds");
    }
    answer
}

/// Lengths of cloth, in millimetres, of the spreads that serve.
fn cloth(answer: &Answer, family: Family) -> Option<f64> {
    let line = answer.lines.iter().find(|line| line.kind == Kind::Whole(family))?;
    Some(line.result.as_ref().ok()?.marker.spread.cloth_length().mm())
}

fn single_is_never_longer(answer: &Answer) {
    let single = cloth(answer, Family::Single).expect("single thickness serves");
    for family in Family::ALL {
        if let Some(folded) = cloth(answer, family) {
            assert!(single <= folded, "{family:?} takes {folded} mm, single thickness {single} mm");
        }
    }
}

const CURVED_HALF: &str = r#"{"id": "back", "name": "Back", "outline": {"path":
    "M0,0 L60,0 C60,8 56,12 50,14 C44,20 40,22 30,24 L0,28 Z"}, "fold_edge": [[0,0],[60,0]]}"#;

#[test]
fn a_half_on_the_fold_takes_as_much_cloth_as_the_whole_opened_out() {
    let a = answer(CURVED_HALF, "none");
    assert_eq!(cloth(&a, Family::LengthwiseFold), Some(600.0));
    assert_eq!(cloth(&a, Family::Single), Some(600.0));
}

#[test]
fn two_folds_lay_two_halves_side_by_side_where_one_fold_lays_them_in_turn() {
    // Each half is at most a quarter of the width: one on each of two folds, or one after the other on a single fold.
    let half = |id: &str, length: u32| {
        format!(
            r#"{{"id": "{id}", "name": "{id}", "outline": [[0,0],[{length},0],[{length},25],[0,25]], "fold_edge": [[0,0],[{length},0]]}}"#
        )
    };
    let a = answer(&format!("{}, {}", half("front", 62), half("back", 66)), "none");
    assert_eq!(cloth(&a, Family::TwoFolds), Some(660.0), "the longer of the two");
    assert_eq!(cloth(&a, Family::LengthwiseFold), Some(1280.0), "the sum of the two");
    single_is_never_longer(&a);
}

#[test]
fn the_whole_width_double_takes_twice_the_lay_of_half_the_copies() {
    let pair = r#"{"id": "panel", "name": "Panel", "outline": [[0,0],[50,0],[50,60],[0,60]], "grainline": [[5,5],[45,5]], "cut": 4, "pairs": true}"#;
    let a = answer(pair, "none");
    // 60 cm across leaves no second panel beside the first: two placements of 50 cm, doubled.
    assert_eq!(cloth(&a, Family::CrosswiseFold), Some(2000.0));
    assert_eq!(cloth(&a, Family::TurnedDouble), Some(2000.0));
    assert_eq!(cloth(&a, Family::Single), Some(2000.0));
    single_is_never_longer(&a);
}

#[test]
fn nap_forbids_the_crosswise_fold_and_never_shortens_a_lay() {
    // Two copies of a triangle tile a rectangle when one is turned end for end; one way, they cannot (densest lattice of a
    // triangle 2/3: every convex body's densest packing by translates is a lattice, Rogers 1951).
    let wedge = r#"{"id": "gusset", "name": "Gusset", "outline": [[0,0],[40,0],[0,90]], "grainline": [[2,2],[30,2]], "cut": 2}"#;
    let (free, one_way) = (answer(wedge, "none"), answer(wedge, "one-way"));
    assert_eq!(cloth(&free, Family::Single), Some(400.0));
    assert!(cloth(&one_way, Family::Single) > cloth(&free, Family::Single));
    assert_eq!(cloth(&one_way, Family::CrosswiseFold), None);
    single_is_never_longer(&free);
    single_is_never_longer(&one_way);
}

#[test]
fn single_thickness_is_never_longer_than_any_fold_of_the_same_cloth() {
    let shapes = format!(
        r#"{CURVED_HALF},
        {{"id": "front", "name": "Front", "outline": {{"path": "M0,0 L58,0 C50,10 52,18 58,20 L40,27 C36,22 30,22 28,29 L0,31 Z"}}, "grainline": [[5,5],[50,5]], "cut": 2, "pairs": true}},
        {{"id": "sleeve", "name": "Sleeve", "outline": {{"path": "M0,5 L45,0 C58,8 62,14 62,20 C62,26 58,32 45,40 L0,35 Z"}}, "grainline": [[5,20],[50,20]], "cut": 2, "pairs": true}},
        {{"id": "flap", "name": "Flap", "outline": [[0,0],[12,0],[16,7],[12,10],[0,10]], "grainline": [[2,5],[10,5]]}}"#
    );
    for nap in ["none", "one-way"] {
        single_is_never_longer(&answer(&shapes, nap));
    }
}
