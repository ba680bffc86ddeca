//! [`Comparison`]: the matrix as found, with the best of each column and what nap costs.

use super::axes::Case;
use crate::answer::StopReason;
use crate::cloth::Nap;
use crate::in_hand::Without;
use crate::length::Length;
use crate::report::{ClothReport, Lay, LineReport};
use crate::search::Settings;

/// Every column of a comparison.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// For each view and size, first without and then with nap, from the narrowest cloth to the widest.
    pub columns: Vec<Column>,
    /// What decided the result, apart from the job.
    pub settings: Settings,
    /// Why the search ended.
    pub stopped: StopReason,
    /// Rounds done, all columns together, with those that looked for what to leave out.
    pub rounds: u64,
    /// Candidate positions evaluated.
    pub evaluations: u64,
}

/// One order on one cloth, on every kind of spread: each line of its report is a cell of the matrix.
#[derive(Clone, Debug)]
pub struct Column {
    /// The job of this column.
    pub case: Case,
    /// Its cells, ranked.
    pub report: ClothReport,
    /// For each cell, the column whose marker it holds, when that was shorter than what was found here.
    pub lent: Vec<Option<usize>>,
    /// For each cell, what to leave out when its marker is too long for the cloth in hand, so that the rest goes in on the same
    /// kind of spread.
    pub without: Vec<Option<Without>>,
}

/// What a cell is best at in its column.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Marks {
    /// The least to buy; of those that are as short, the easiest.
    pub shortest: bool,
    /// The easiest to handle, whatever it takes.
    pub easiest: bool,
    /// The best trade between the two: the easiest that costs at most one step of the seller more than the shortest.
    pub trade: bool,
}

/// The same order on the same width with and without nap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NapCost {
    /// The columns without and with nap.
    pub columns: [usize; 2],
    /// How much more cloth the shortest with nap needs on the table, before straightening and rounding, in grid units;
    /// never negative, since what is laid with nap can be laid without.
    pub more_cloth: i64,
    /// How much more is to be bought, in grid units.
    pub more_to_buy: i64,
    /// What that costs, when the price is known.
    pub price: Option<f64>,
}

impl Comparison {
    /// For every column with nap that has a twin without: what the nap costs.
    pub fn nap_costs(&self) -> Vec<NapCost> {
        let shortest = |column: &Column| {
            let lay = column.report.shortest_line().and_then(LineReport::lay);
            lay.map_or(0, |lay| lay.purchase.cloth.grid())
        };
        let mut costs = Vec::new();
        for (with, column) in self.columns.iter().enumerate() {
            let twin = self.columns.iter().position(|other| {
                other.case.group == column.case.group
                    && other.case.width == column.case.width
                    && (other.case.cloth().nap, column.case.cloth().nap) == (Nap::None, Nap::OneWay)
            });
            let Some(without) = twin else { continue };
            let (Some(a), Some(b)) = (self.columns[without].report.winner(), column.report.winner()) else {
                continue;
            };
            let more_to_buy = b.purchase.to_buy.grid() - a.purchase.to_buy.grid();
            costs.push(NapCost {
                columns: [without, with],
                more_cloth: shortest(column) - shortest(&self.columns[without]),
                more_to_buy,
                price: b.purchase.price.as_ref().map(|p| p.of(Length::from_grid(more_to_buy))),
            });
        }
        costs
    }

    /// Has every column a marker?
    pub fn is_met(&self) -> bool {
        self.columns.iter().all(|column| column.report.winner().is_some())
    }
}

impl Column {
    /// The cells with a marker, with their marks.
    pub fn laid(&self) -> impl Iterator<Item = (usize, &LineReport, &Lay, Marks)> {
        let lines = self.report.lines.iter().enumerate();
        lines.filter_map(|(k, line)| Some((k, line, line.lay()?, self.marks(k))))
    }

    /// Why the best of its cells is the best, in one sentence; none without a marker.
    pub fn why(&self) -> Option<String> {
        self.report.why(self.case.job.unit)
    }

    /// What a cell is best at.
    pub fn marks(&self, k: usize) -> Marks {
        let is = |line: Option<&LineReport>| line.is_some_and(|l| l.kind == self.report.lines[k].kind);
        Marks {
            shortest: is(self.report.winning_line()),
            easiest: is(self.report.least_handling_line()),
            trade: is(self.report.easiest_line()),
        }
    }
}

impl Marks {
    /// Nothing.
    pub fn is_none(self) -> bool {
        self == Marks::default()
    }

    /// In words.
    pub fn told(self) -> Vec<&'static str> {
        let all = [(self.shortest, "shortest"), (self.easiest, "easiest"), (self.trade, "best trade")];
        all.into_iter().filter_map(|(is, word)| is.then_some(word)).collect()
    }
}
