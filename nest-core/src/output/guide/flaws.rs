//! Where to mark the flaws of a cloth, and when: as soon as there is what they are measured from.

use super::edges::LongSide;
use super::reading::{read, read_up};
use crate::cloth::{Cloth, ClothForm};
use crate::length::Unit;
use crate::spread::{Family, Spread};

/// Must flaws wait until the lines are chalked that they are measured from? The edges of a remnant may run anyhow, so there
/// they do where it is laid single; where a remnant is folded its own edges have to serve, as the start line comes later.
pub(super) fn wait_for_lines(cloth: &Cloth, spread: &Spread) -> bool {
    let single = matches!(&spread.sections[..], [section] if section.family == Family::Single);
    cloth.within.is_some() && single
}

/// Is the start line of a folded remnant chalked before it is folded, so that its flaws can be measured from it?
pub(super) fn chalks_line_first(cloth: &Cloth, spread: &Spread) -> bool {
    !cloth.flaws.is_empty() && LongSide::of(cloth) == LongSide::Edge && !wait_for_lines(cloth, spread)
}

/// What to do for each flaw before the cloth is spread, when the end is squared. The left edge of a remnant may be crooked,
/// and nothing true can be measured from it: a line is chalked first.
pub(super) fn before_spreading(cloth: &Cloth, spread: &Spread, unit: Unit) -> Vec<String> {
    let [end, side] = match (LongSide::of(cloth), cloth.form) {
        (LongSide::Selvage, ClothForm::Tube) => ["squared end", "far fold"],
        (long, _) => long.pick(
            ["squared end", "lower selvage"],
            ["squared line", "near edge"],
            ["start line", "near line"],
        ),
    };
    let mark = |(n, place)| {
        format!("Before folding, mark flaw {n} so that it shows on both sides: {place}, right side up.")
    };
    let line = chalks_line_first(cloth, spread).then(|| {
        "Before folding, lay the remnant flat, right side up, and chalk the squared line across it: square to its near edge, \
         through the rightmost point of its left edge. Pin both ends of the line so that they show on both sides."
            .to_owned()
    });
    line.into_iter().chain(places(cloth, unit, end, side).map(mark)).collect()
}

/// What to do for each flaw when the lines are chalked.
pub(super) fn after_the_lines(cloth: &Cloth, unit: Unit) -> Vec<String> {
    let side = LongSide::of(cloth).pick("near selvage", "near edge", "near line");
    let mark = |(n, place)| format!("Now mark flaw {n} so that it shows on both sides: {place}.");
    places(cloth, unit, "start line", side).map(mark).collect()
}

/// Each flaw's number and where it lies.
fn places<'a>(
    cloth: &'a Cloth,
    unit: Unit,
    end: &'a str,
    side: &'a str,
) -> impl Iterator<Item = (usize, String)> + 'a {
    cloth.flaws.iter().enumerate().map(move |(n, flaw)| {
        let b = flaw.bounds();
        let [x, y] = [(b.low.x, b.high.x), (b.low.y, b.high.y)]
            .map(|(low, high)| format!("{} to {}", read(low.max(0), unit), read_up(high, unit)));
        (n + 1, format!("{x} from the {end}, {y} from the {side}"))
    })
}
