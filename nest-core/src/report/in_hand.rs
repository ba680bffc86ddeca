//! What is told of cloth in hand: enough, and what is left of it; or too short, and what to leave out.

use super::text::{percent, small};
use super::{ClothReport, NotCut};
use crate::in_hand::{LeftOver, Without};
use crate::length::{Length, Unit};
use crate::purchase::Purchase;

/// The rows of the summary, name and words.
pub(super) fn rows(
    report: &ClothReport,
    purchase: &Purchase,
    have: Length,
    unit: Unit,
) -> Vec<(&'static str, String)> {
    if let Some(left) = purchase.left_over() {
        let enough = format!("{}: enough, {} left over", small(have, unit), small(left, unit));
        let left_over = report.left_over.iter().map(|left| ("Left over", shape(left, report, unit)));
        return std::iter::once(("In hand", enough)).chain(left_over).collect();
    }
    let missing = purchase.missing().unwrap_or_default();
    let short = format!("{}: too short by {}", small(have, unit), small(missing, unit));
    let least = report.least_cloth().map(|bound| Purchase::needed_for(&report.cloth, bound));
    let proof = match least {
        Some(least) if report.is_impossible() => {
            format!(
                "; it is proved that it cannot be enough: no lay does with less than {}",
                small(least, unit)
            )
        }
        Some(least) => format!("; not proved impossible: the lower bound is {}", small(least, unit)),
        None => String::new(),
    };
    let mut rows = vec![("In hand", short + &proof)];
    let advice = match &report.without {
        Some(without) => advice(without, unit),
        None => "leaving pieces out does not help: none goes in, even alone".to_owned(),
    };
    rows.push(("To make it fit", advice));
    rows
}

/// "12.0 cm off the end, over the whole width; on the open cloth between the pieces: 31 x 18 cm, ..."
fn shape(left: &LeftOver, report: &ClothReport, unit: Unit) -> String {
    let end = match left.end {
        Length::ZERO => "nothing beyond the lay".to_owned(),
        end => {
            let most = if report.cloth.within.is_some() { "at most " } else { "" };
            format!("{} off the end, {most}{} wide", small(end, unit), small(report.cloth.width, unit))
        }
    };
    let between: Vec<String> = left
        .between
        .iter()
        .map(|r| {
            format!(
                "{} along by {} across, from {} along and {} across",
                small(r.length, unit),
                small(r.width, unit),
                small(Length::from_grid(r.corner.x), unit),
                small(Length::from_grid(r.corner.y), unit)
            )
        })
        .collect();
    match &between[..] {
        [] => format!("{end}; between the pieces nothing of 5 cm by 5 cm or more"),
        list => format!("{end}; the largest between the pieces, on the open cloth: {}", list.join("; ")),
    }
}

/// "leave out, or cut from other cloth, 2 x Facing: the rest needs 190.0 cm, found and checked (...)".
fn advice(without: &Without, unit: Unit) -> String {
    let pieces: Vec<String> = without.told();
    format!(
        "leave out, or cut from other cloth: {}; the rest then needs {} (found and checked; {} of the area is left out, {})",
        pieces.join(", "),
        small(without.purchase.needed, unit),
        percent(without.part()),
        without.tried_told(),
    )
}

impl Without {
    /// What is left out, in words: "2 x Facing".
    pub fn told(&self) -> Vec<String> {
        self.job.told(&self.not_cut("").wants)
    }

    /// How it was found.
    pub(crate) fn tried_told(&self) -> String {
        match self.tried {
            0 => "found without a search".to_owned(),
            1 => "the least loss found in 1 search".to_owned(),
            n => format!("the least loss found in {n} searches"),
        }
    }

    /// What is left out of cloth of `kind`.
    pub(super) fn not_cut(&self, kind: &str) -> NotCut {
        let wants = self.left_out.iter().map(crate::in_hand::LeftOut::want).collect();
        NotCut { cloth: kind.to_owned(), wants, kept_whole: Vec::new(), from_roll: None }
    }
}
