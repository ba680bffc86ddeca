//! Rulers along the lay and across it, so that a place on the drawing is found again on the cloth.

use svg::node::element::Group;

use super::ink::{self, INK, mm};
use super::lettering::{self, Anchor, Weight};
use super::measure::imperial;
use super::sheet::Sheet;
use crate::length::Unit;

/// The divisions of a ruler: lengths in millimetres between marks of each kind, and the unit its numbers count.
struct Scale {
    small: f64,
    middle: f64,
    numbered: f64,
    unit: Unit,
}

impl Scale {
    /// Numbers far enough apart for their size; small marks as on a tape, read when one looks closely.
    fn new(unit: Unit, text: f64) -> Scale {
        let (unit, small, middle, steps): (_, f64, f64, &[f64]) = if imperial(unit) {
            (Unit::Inch, 1.0, 6.0, &[1.0, 3.0, 6.0, 12.0, 36.0, 72.0, 180.0])
        } else {
            (Unit::Cm, 1.0, 5.0, &[1.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0])
        };
        let apart = 3.0 * text / unit.mm();
        let numbered = steps.iter().copied().find(|&s| s >= apart).unwrap_or(1000.0);
        Scale { small: small * unit.mm(), middle: middle * unit.mm(), numbered: numbered * unit.mm(), unit }
    }
}

/// Where the numbered marks of a ruler stand, in millimetres from its start.
pub(super) fn numbered_marks(unit: Unit, text: f64, length: f64) -> Vec<f64> {
    let step = Scale::new(unit, text).numbered;
    (0..=(length / step + 1e-9) as i64).map(|i| i as f64 * step).collect()
}

/// Both rulers: along the lay under it, and across the lay at its left.
pub(super) fn rulers(sheet: &Sheet, unit: Unit) -> Group {
    let text = sheet.text();
    let scale = Scale::new(unit, text);
    let long = sheet.lay_right() - sheet.lay_left();
    let wide = sheet.lay_bottom() - sheet.lay_top();
    let size = 0.85 * text;

    // Along: a foot line under the names of the edges, marks down from it.
    let y = sheet.lay_bottom() + 1.7 * text;
    let x = sheet.lay_left();
    let mut group = Group::new().set("id", "rulers").set("stroke-width", mm(sheet.pen() * 0.8));
    group = group.add(thin(&[(x, y), (x + long, y)]));
    for (spacing, height) in marks(&scale, text) {
        group = group.add(comb(long, spacing, |at| ((x + at, y), (x + at, y + height))));
    }
    let marked = numbered_marks(unit, text, long);
    for (i, &at) in marked.iter().enumerate() {
        let number = count(at, scale.unit);
        let told = if i + 1 == marked.len() { format!("{number} {}", scale.unit.sign()) } else { number };
        let place = (x + at, y + 0.6 * text + size);
        group = group.add(lettering::text(&told, place, size, Weight::Plain, Anchor::Middle));
    }

    // Across: from the edge nearest the cutter upwards, marks to the left.
    let x = sheet.lay_left() - 1.7 * text;
    let y = sheet.lay_bottom();
    group = group.add(thin(&[(x, y), (x, y - wide)]));
    for (spacing, height) in marks(&scale, text) {
        group = group.add(comb(wide, spacing, |at| ((x, y - at), (x - height, y - at))));
    }
    for at in numbered_marks(unit, text, wide) {
        let place = (x - 0.75 * text, y - at + size * lettering::CAPITAL / 2.0);
        group = group.add(lettering::text(&count(at, scale.unit), place, size, Weight::Plain, Anchor::End));
    }
    group
}

/// Spacing and height of the marks, from small to numbered: the two smaller kinds at the size of a tape's own.
fn marks(scale: &Scale, text: f64) -> [(f64, f64); 3] {
    [
        (scale.small, 3.0f64.min(text * 0.2)),
        (scale.middle, 5.0f64.min(text * 0.35)),
        (scale.numbered, text * 0.5),
    ]
}

/// All marks of one kind as one path.
fn comb(
    length: f64,
    spacing: f64,
    tooth: impl Fn(f64) -> ((f64, f64), (f64, f64)),
) -> svg::node::element::Path {
    let mut data = String::new();
    for i in 0..=(length / spacing + 1e-9) as i64 {
        let ((x1, y1), (x2, y2)) = tooth(i as f64 * spacing);
        data.push_str(&format!("M{},{} L{},{}", mm(x1), mm(y1), mm(x2), mm(y2)));
    }
    svg::node::element::Path::new()
        .set("d", data)
        .set("fill", "none")
        .set("stroke", INK)
        .set("vector-effect", "non-scaling-stroke")
}

fn thin(points: &[(f64, f64)]) -> svg::node::element::Path {
    ink::line(points).set("vector-effect", "non-scaling-stroke")
}

fn count(at: f64, unit: Unit) -> String {
    format!("{}", (at / unit.mm()).round() as i64)
}
