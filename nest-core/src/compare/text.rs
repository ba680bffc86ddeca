//! A comparison for a person at a terminal: the matrix of lengths to buy, what nap costs, and every column in full.

use std::fmt::Write as _;

use super::axes::nap_word;
use super::in_hand::InHand;
use super::result::{Column, Comparison, Marks, NapCost};
use crate::length::{Length, Unit};
use crate::purchase::over_the_counter;
use crate::report::{Handling, Lay, Outcome, calculation, long_length, percent, small_length, wrapped};
use crate::spread::{Kind, Refusal};

/// What the heads of a column's table mean, where that is not plain.
const KEY_OF_COLUMNS: &str = "used: part of the cloth that becomes garment; at least: no lay of this kind takes less cloth;\n  \
     open: halves traced whole; flip: laid printed side down; folds 2+1: two, and the cloth folded anew once";

/// Columns of the matrix side by side.
const BESIDE: usize = 5;

/// What the marks mean, where they are words.
pub(super) const KEY_WORDS: &str = "Shortest: the least to buy. Easiest: the least to handle, whatever it takes. \
     Best trade: the easiest that costs at most one step of the seller more than the shortest.";

/// What the signs mean.
pub(super) const KEY: &str =
    "* least to buy   + easiest to handle   = best trade: the easiest for at most one step more";

/// What the figures of cloth in hand mean.
const KEY_OF_HAND: &str =
    "of the cloth in hand: + left over, - missing, ! proved that no lay of this kind can do with it";

impl Comparison {
    /// The comparison in plain text of at most 110 columns, but for long names.
    pub fn text(&self) -> String {
        let Some(first) = self.columns.first() else { return "Nothing to compare.\n".to_owned() };
        let case = &first.case;
        let mut text = format!("{}: the cloth \"{}\" compared\n", case.job.name, case.cloth().kind);
        for block in self.blocks() {
            let column = &self.columns[block[0]];
            let title = [Some(nap_word(column.case.cloth().nap).to_owned()), column.case.garment()];
            let title: Vec<String> = title.into_iter().flatten().collect();
            let _ = writeln!(text, "\nLength to buy, {}", title.join(", "));
            for beside in block.chunks(BESIDE) {
                self.matrix(&mut text, beside, |column, k| {
                    let lay = column.report.lines[k].lay()?;
                    Some((lay.purchase.to_buy_text(), signs(column.marks(k))))
                });
            }
            if self.is_in_hand() {
                let unit = column.case.job.unit;
                let _ = writeln!(text, "\nLeft of the cloth in hand, or missing, in {}", unit.name());
                for beside in block.chunks(BESIDE) {
                    self.matrix(&mut text, beside, |column, k| Some(of_hand(column.in_hand(k)?, unit)));
                }
            }
        }
        let _ = writeln!(text, "\n  {KEY}\n  {KEY_OF_COLUMNS}");
        if self.is_in_hand() {
            let _ = writeln!(text, "  {KEY_OF_HAND}");
        }
        for words in self.notes() {
            wrapped(&mut text, "  ", &words);
        }
        for words in self.least_areas_told() {
            let _ = writeln!(text, "  {words}");
        }
        for cost in self.nap_costs() {
            let _ = writeln!(text, "  {}", self.nap_cost_told(&cost));
        }
        for column in &self.columns {
            self.column(&mut text, column);
        }
        let _ = writeln!(
            text,
            "\nEvery figure is that of a marker that passed the check; {} rounds in all, seed {}, lanes {}.",
            self.rounds, self.settings.seed, self.settings.lanes
        );
        text
    }

    /// For each set of widths with more than one, the width of which the least area is to be bought.
    pub(super) fn least_areas_told(&self) -> Vec<String> {
        let area = |i: usize| {
            let column = &self.columns[i];
            let to_buy = column.report.winner()?.purchase.to_buy;
            Some(to_buy.mm() * column.case.width.length.mm())
        };
        let least = |block: &Vec<usize>| {
            let best = block
                .iter()
                .copied()
                .filter(|&i| area(i).is_some())
                .min_by(|&a, &b| area(a).unwrap_or(0.0).total_cmp(&area(b).unwrap_or(0.0)))?;
            let case = &self.columns[best].case;
            let to_buy = self.columns[best].report.winner()?.purchase.to_buy_text();
            let mut words = vec![nap_word(case.cloth().nap).to_owned()];
            words.extend(case.garment());
            Some(format!(
                "The least area, {}: {to_buy} of {}, {:.2} square metres",
                words.join(", "),
                case.width.told(),
                area(best)? / 1e6
            ))
        };
        self.blocks().iter().filter(|block| block.len() > 1).filter_map(least).collect()
    }

    /// Columns that differ only in width, by their indices.
    pub(super) fn blocks(&self) -> Vec<Vec<usize>> {
        let key = |i: usize| {
            let case = &self.columns[i].case;
            (case.group, case.cloth().nap)
        };
        let mut blocks: Vec<Vec<usize>> = Vec::new();
        for i in 0..self.columns.len() {
            match blocks.last_mut() {
                Some(block) if key(block[0]) == key(i) => block.push(i),
                _ => blocks.push(vec![i]),
            }
        }
        blocks
    }

    /// The kinds of spread that were asked for in any column.
    pub(super) fn kinds(&self) -> Vec<Kind> {
        let asked = |kind: &Kind| self.columns.iter().any(|column| column.case.job.spreads.contains(kind));
        Kind::ALL.into_iter().filter(asked).collect()
    }

    /// Spreads down, some columns across; of each cell its figure and its signs, where it has any.
    fn matrix(
        &self,
        text: &mut String,
        beside: &[usize],
        of_cell: impl Fn(&Column, usize) -> Option<(String, String)>,
    ) {
        let widths = beside.iter().map(|&i| format!("{:>11}   ", self.columns[i].case.width.told()));
        let _ = writeln!(text, "{}", format!("  {:<36}{}", "", widths.collect::<String>()).trim_end());
        for kind in self.kinds() {
            let mut row = format!("  {:<36}", kind.title());
            for &i in beside {
                let column = &self.columns[i];
                let at = column.report.lines.iter().position(|line| line.kind == kind);
                let cell = at.and_then(|k| of_cell(column, k));
                let (told, marks) = cell.unwrap_or_else(|| ("-".to_owned(), String::new()));
                let _ = write!(row, "{told:>11}{marks:<3}");
            }
            let _ = writeln!(text, "{}", row.trim_end());
        }
    }

    fn column(&self, text: &mut String, column: &Column) {
        let unit = column.case.job.unit;
        let _ = writeln!(text, "\n{} (lengths in {})", column.case.title(), unit.name());
        let _ = writeln!(
            text,
            "  {:<3}{:<34}{:>9}{:>8}{:>8}{:>9}{:>6}{:>7}{:>5}{:>5}{:>6}{:>8}",
            "", "", "to buy", "lay", "used %", "at least", "gap %", "pieces", "open", "flip", "folds", "cut"
        );
        for k in column.report.in_order() {
            let line = &column.report.lines[k];
            let title = line.kind.title();
            match &line.outcome {
                Outcome::Lay(lay) => {
                    let h = &lay.handling;
                    let _ = writeln!(
                        text,
                        "  {:<3}{title:<34}{:>9}{:>8}{:>8}{:>9}{:>6}{:>7}{:>5}{:>5}{:>6}{:>8}",
                        signs(column.marks(k)),
                        lay.purchase.to_buy_text(),
                        one_decimal(lay.purchase.lay, unit),
                        bare(lay.efficiency.of_cloth()),
                        one_decimal(lay.bound.length, unit),
                        bare(lay.gap()),
                        h.placements,
                        h.opened_out,
                        h.flipped,
                        folds(h),
                        long_length(h.cutting_mm, unit)
                    );
                }
                Outcome::Refused(Refusal::NotAsked) => {}
                Outcome::Refused(refusal) => {
                    wrapped(text, &format!("     {title:<34}  "), &refusal.to_string());
                }
                Outcome::Withheld(_) => {
                    let what = "withheld: its marker did not pass the check, a fault of this program";
                    wrapped(text, &format!("     {title:<34}  "), what);
                }
            }
        }
        if let Some(why) = column.why() {
            wrapped(text, "  ", &why);
        }
        if let (Some(line), Some(lay)) = (column.report.winning_line(), column.report.winner()) {
            let _ = writeln!(text, "  Length to buy on {}", spread_told(line.kind, lay));
            sum(text, lay, unit);
        }
        for &k in &column.report.ranking {
            if let Some(told) = column.without_told(k) {
                let what = format!("To make it fit on {}: {told}", column.report.lines[k].kind.title());
                wrapped(text, "  ", &what);
            }
        }
        for (k, line, ..) in column.laid() {
            if let Some(lender) = column.lent[k] {
                let from = self.columns[lender].case.title();
                let what = format!(
                    "{}: the marker of {from}, which can be laid here and is shorter than what was found",
                    line.kind.title()
                );
                wrapped(text, "  ", &what);
            }
        }
    }

    /// What nap costs on one width, in a sentence.
    pub(super) fn nap_cost_told(&self, cost: &NapCost) -> String {
        let case = &self.columns[cost.columns[1]].case;
        let sale = case.cloth().sale.unit;
        let garment = case.garment().map_or_else(String::new, |g| format!(", {g}"));
        let (cloth, buy) = (Length::from_grid(cost.more_cloth), Length::from_grid(cost.more_to_buy));
        let price = self.nap_price_told(cost).map_or_else(String::new, |price| format!(", {price}"));
        format!(
            "The cost of nap on {}{garment}: {} more cloth, {} more to buy{price}",
            case.width.told(),
            small_length(cloth, case.job.unit),
            over_the_counter(buy, sale),
        )
    }

    /// What the extra to buy costs.
    pub(super) fn nap_price_told(&self, cost: &NapCost) -> Option<String> {
        let price = self.columns[cost.columns[1]].case.cloth().price.as_ref()?;
        Some(price.told(cost.price?))
    }
}

/// What is left of the cloth in hand or missing, and a sign where it is proved that it cannot be enough.
fn of_hand(hand: InHand, unit: Unit) -> (String, String) {
    let left = Length::from_grid(hand.have.grid() - hand.needed.grid()).in_unit(unit);
    let sign = if hand.is_impossible { "!" } else { "" };
    (format!("{left:+.2}"), sign.to_owned())
}

/// A spread with its sections, where it has any.
pub(super) fn spread_told(kind: Kind, lay: &Lay) -> String {
    match kind {
        Kind::Whole(family) => family.title().to_owned(),
        Kind::Sections => format!("sections: {}", lay.checked.marker().spread.title()),
    }
}

fn sum(text: &mut String, lay: &Lay, unit: Unit) {
    for term in calculation(&lay.purchase, unit) {
        let _ = writeln!(text, "    {}", term.line());
    }
}

fn signs(marks: Marks) -> String {
    let all = [(marks.shortest, '*'), (marks.easiest, '+'), (marks.trade, '=')];
    all.into_iter().filter_map(|(is, sign)| is.then_some(sign)).collect()
}

/// A length to 0.1 of the unit, without the unit.
fn one_decimal(length: Length, unit: Unit) -> String {
    format!("{:.1}", length.in_unit(unit))
}

/// Folds to make, and of these how often the cloth is folded anew.
fn folds(h: &Handling) -> String {
    if h.refolds > 0 { format!("{}+{}", h.folds, h.refolds) } else { h.folds.to_string() }
}

/// A percentage without its sign.
fn bare(ratio: f64) -> String {
    percent(ratio).trim_end_matches(" %").to_owned()
}
