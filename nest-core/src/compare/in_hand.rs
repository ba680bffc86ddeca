//! What each cell says of the cloth in hand, with what to leave out where that is too short; and what a comparison does with
//! the flaws and the remnants of a job's cloth.

use super::axes::Width;
use super::result::{Column, Comparison};
use crate::in_hand::is_impossible;
use crate::length::{Length, Unit};
use crate::report::{INTERLOCKED, percent, small_length};

/// Is the cloth in hand enough for the marker of a cell?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InHand {
    /// What there is.
    pub have: Length,
    /// What the marker needs.
    pub needed: Length,
    /// Is it proved that no lay of this kind can do with it?
    pub is_impossible: bool,
}

impl InHand {
    /// What is left over, when it is enough.
    pub fn left_over(&self) -> Option<Length> {
        let left = self.have.grid() - self.needed.grid();
        (left >= 0).then_some(Length::from_grid(left))
    }

    /// What is missing, when it is not.
    pub fn missing(&self) -> Option<Length> {
        let short = self.needed.grid() - self.have.grid();
        (short > 0).then_some(Length::from_grid(short))
    }

    /// "12.30 cm left", "4.50 cm short" or "4.50 cm short, proved".
    pub fn told(&self, unit: Unit) -> String {
        match self.missing() {
            None => format!("{} left", small_length(self.left_over().unwrap_or_default(), unit)),
            Some(short) => {
                let proved = if self.is_impossible { ", proved" } else { "" };
                format!("{} short{proved}", small_length(short, unit))
            }
        }
    }
}

impl Column {
    /// What to leave out of a cell whose marker is too long for the cloth in hand, in words; none where it is enough.
    pub(super) fn without_told(&self, k: usize) -> Option<String> {
        self.in_hand(k)?.missing()?;
        let Some(without) = &self.without[k] else {
            return Some("no piece goes in, even alone".to_owned());
        };
        Some(format!(
            "leave out, or cut from other cloth, {}: the rest needs {} (found and checked; {} of the area is left out, {})",
            without.told().join(", "),
            small_length(without.purchase.needed, self.case.job.unit),
            percent(without.part()),
            without.tried_told()
        ))
    }

    /// What a cell says of the cloth in hand; none without a marker, or where nothing is in hand.
    pub fn in_hand(&self, k: usize) -> Option<InHand> {
        let lay = self.report.lines[k].lay()?;
        Some(InHand {
            have: lay.purchase.in_hand?,
            needed: lay.purchase.needed,
            is_impossible: is_impossible(self.case.cloth(), lay.bound.length),
        })
    }
}

impl Comparison {
    /// What has to be known to read the figures: of cloth in hand, flaws and remnants, and of tubes that are better not slit.
    pub fn notes(&self) -> Vec<String> {
        let Some(first) = self.columns.first() else { return Vec::new() };
        let (own, unit) = (&first.case.described, first.case.job.unit);
        let own_width = Width { length: own.width, unit }.told();
        let mut others: Vec<String> =
            self.columns.iter().filter(|c| !c.case.is_own_width()).map(|c| c.case.width.told()).collect();
        others.dedup();
        let mut seen = std::collections::BTreeSet::new();
        others.retain(|width| seen.insert(width.clone()));
        let is_compared = self.columns.iter().any(|c| c.case.is_own_width());
        let mut notes = Vec::new();
        if let Some(have) = own.length_in_hand {
            let elsewhere = if others.is_empty() {
                String::new()
            } else {
                format!("; on {} as if so much of that width were in hand", others.join(", "))
            };
            notes.push(format!(
                "In hand are {}: each cell says whether it is enough, and how much is left or missing{elsewhere}.",
                small_length(have, unit)
            ));
        }
        if !own.flaws.is_empty() {
            let flaws = counted(own.flaws.len(), "flaw");
            notes.push(match (is_compared, &others[..]) {
                (true, []) => format!("Kept clear in every cell: {flaws} of the cloth."),
                (true, _) => format!(
                    "Kept clear on {own_width}, the cloth that the job describes: {flaws}. Cloth of {} is other cloth and \
                     taken to have none, so the cloth with flaws may need more than narrower cloth.",
                    others.join(", ")
                ),
                (false, _) => format!(
                    "Left out: {flaws}, on the cloth of {own_width} that the job describes. Cloth of {} is other cloth.",
                    others.join(", ")
                ),
            });
        }
        if !own.remnants.is_empty() {
            notes.push(format!(
                "The job cuts this cloth from {}; a comparison is about cloth off the roll and leaves remnants out. \
                 Lay the job itself to have its pieces shared out over them.",
                counted(own.remnants.len(), "remnant")
            ));
        }
        for column in self.columns.iter().filter(|column| column.report.interlocked) {
            notes.push(format!("{}: {INTERLOCKED}", column.case.title()));
        }
        notes
    }

    /// Is there cloth in hand?
    pub(super) fn is_in_hand(&self) -> bool {
        self.columns.iter().any(|column| column.case.cloth().length_in_hand.is_some())
    }
}

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
