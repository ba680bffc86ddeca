//! The drawing read back by an independent reader: true size, exact outlines, and words that stay where they belong.

use super::samples::{job, lay, one_garment, small_run, tiny};
use super::{Caption, draw};
use crate::cloth::Nap;
use crate::spread::Family;

fn caption() -> Caption {
    Caption {
        width: "140 cm".to_string(),
        lay_length: "162.4 cm".to_string(),
        to_buy: "1.7 m".to_string(),
        efficiency: "81.3 %".to_string(),
        notes: vec!["Check that the cloth is at least as wide as told, between the selvages.".to_string()],
    }
}

/// Where to put the drawings to be looked at; not set in ordinary runs.
fn keep(name: &str, drawing: &str) {
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/{name}.svg"), drawing).unwrap();
    }
}

#[test]
fn every_spread_is_drawn() {
    for family in Family::ALL {
        let job = job(1400.0, if family == Family::TurnedDouble { Nap::OneWay } else { Nap::None });
        let marker = lay(&job, family, &one_garment());
        let drawing = draw(&job, &marker, &caption());
        keep(&format!("{family:?}"), &drawing);
    }
    let wide = job(1500.0, Nap::None);
    let marker = lay(&wide, Family::Single, &small_run());
    keep("long", &draw(&wide, &marker, &caption()));
    let marker = lay(&wide, Family::LengthwiseFold, &small_run());
    keep("longfold", &draw(&wide, &marker, &caption()));
    let narrow = job(300.0, Nap::OneWay);
    let marker = lay(&narrow, Family::Single, &tiny());
    keep("tiny", &draw(&narrow, &marker, &caption()));
    let square = job(1000.0, Nap::None);
    let marker = lay(&square, Family::Single, &[(0, 1), (1, 1), (3, 1), (3, 2), (4, 1), (10, 1), (10, 1), (8, 1), (11, 1), (7, 1), (6, 1)]);
    keep("short", &draw(&square, &marker, &caption()));
}
