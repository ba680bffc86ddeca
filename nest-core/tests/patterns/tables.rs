//! Points from a digitiser, with columns named, and with semicolons and decimal commas.

use crate::{extent, fixture, job, piece, read, shape};

#[test]
fn a_table_of_points_is_a_pattern_in_two_sizes() {
    let job = job(&read(&fixture("mittens.csv")));
    assert_eq!(job.style.sizes, ["small", "large"]);
    let told: Vec<(&str, u32, bool, &str)> =
        job.style.pieces.iter().map(|p| (p.name.as_str(), p.cut, p.pairs, p.cloth.as_str())).collect();
    assert_eq!(told, [("Hand", 2, true, "fleece"), ("Cuff", 1, false, "rib")]);
    let hand = piece(&job, "Hand");
    for (size, along, across) in [("small", 200.0, 110.0), ("large", 230.0, 125.0)] {
        let (a, b) = extent(shape(hand, size));
        assert!((a - along).abs() < 0.05 && (b - across).abs() < 0.05, "{size}: {a} by {b} mm");
        assert_eq!(shape(hand, size).notches.len(), 2, "{size}");
        assert_eq!(shape(hand, size).drill_holes.len(), 1, "{size}");
        assert_eq!(shape(hand, size).internal_lines.len(), 1, "{size}");
    }
    assert!(shape(piece(&job, "Cuff"), "small").fold.is_some(), "half of it, beside its fold");
}

#[test]
fn semicolons_and_decimal_commas_say_the_same() {
    let commas = String::from_utf8(fixture("mittens.csv")).expect("plain text");
    let semicolons = commas.replace(',', ";").replace('.', ",");
    assert_eq!(job(&read(semicolons.as_bytes())), job(&read(commas.as_bytes())));
}
