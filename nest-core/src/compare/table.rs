//! A comparison as CSV: a line for each cell, in millimetres and per cent, for spreadsheets.

use super::axes::nap_word;
use super::in_hand::InHand;
use super::result::{Column, Comparison};
use crate::in_hand::Without;
use crate::length::Length;
use crate::report::json::kind_name;
use crate::report::{Lay, Outcome};

/// The heads, in order.
const HEADS: [&str; 37] = [
    "view",
    "size",
    "width",
    "width_mm",
    "nap",
    "flaws_kept_clear",
    "spread",
    "best_at",
    "to_buy",
    "to_buy_mm",
    "cost",
    "currency",
    "in_hand_mm",
    "fits",
    "left_over_mm",
    "missing_mm",
    "leave_out",
    "left_out_percent",
    "then_needed_mm",
    "lay_mm",
    "cloth_mm",
    "efficiency_percent",
    "usable_efficiency_percent",
    "bound_mm",
    "gap_percent",
    "placements",
    "opened_out",
    "flipped",
    "folds",
    "refolds",
    "cutting_mm",
    "laid_as",
    "found_by",
    "lent_by_width_mm",
    "lent_by_nap",
    "round",
    "refused",
];

impl Comparison {
    /// The comparison as CSV (RFC 4180 but for line ends: a line feed alone), a head and a line for each cell.
    pub fn csv(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        let mut lines = vec![HEADS.map(str::to_owned).to_vec()];
        for column in &self.columns {
            lines.extend((0..column.report.lines.len()).map(|k| self.line(column, k)));
        }
        for line in lines {
            // Writing to memory cannot fail, and every line has as many fields as there are heads.
            let written = writer.write_record(line);
            debug_assert!(written.is_ok(), "{written:?}");
        }
        let bytes = writer.into_inner().unwrap_or_default();
        String::from_utf8(bytes).unwrap_or_default()
    }

    fn line(&self, column: &Column, k: usize) -> Vec<String> {
        let case = &column.case;
        let cell = &column.report.lines[k];
        let mut fields = vec![
            case.view.clone().unwrap_or_default(),
            case.size.clone().unwrap_or_default(),
            case.width.told(),
            mm(case.width.length),
            nap_word(case.cloth().nap).to_owned(),
            case.cloth().flaws.len().to_string(),
            kind_name(cell.kind).to_owned(),
        ];
        match &cell.outcome {
            Outcome::Lay(lay) => {
                fields.push(column.marks(k).told().join("; "));
                fields.extend(figures(lay, column.in_hand(k), column.without[k].as_ref()));
                let lender = column.lent[k].map(|l| &self.columns[l].case);
                fields.push(lender.map_or_else(String::new, |case| mm(case.width.length)));
                fields.push(lender.map_or_else(String::new, |case| nap_word(case.cloth().nap).to_owned()));
                fields.push(lay.round.to_string());
                fields.push(String::new());
            }
            Outcome::Refused(refusal) => {
                fields.resize(HEADS.len() - 1, String::new());
                fields.push(refusal.to_string());
            }
            Outcome::Withheld(_) => {
                fields.resize(HEADS.len() - 1, String::new());
                fields.push("withheld: its marker did not pass the check".to_owned());
            }
        }
        fields
    }
}

fn figures(lay: &Lay, in_hand: Option<InHand>, without: Option<&Without>) -> Vec<String> {
    let (p, h) = (&lay.purchase, &lay.handling);
    let of_hand = |what: fn(&InHand) -> Option<String>| in_hand.as_ref().and_then(what).unwrap_or_default();
    let per_cent = |ratio: f64| format!("{:.2}", 100.0 * ratio);
    vec![
        p.to_buy_text(),
        mm(p.to_buy),
        p.cost().map_or_else(String::new, |cost| format!("{cost:.2}")),
        p.price.as_ref().map_or_else(String::new, |price| price.currency.clone()),
        of_hand(|hand| Some(mm(hand.have))),
        of_hand(|hand| Some(if hand.missing().is_none() { "yes" } else { "no" }.to_owned())),
        of_hand(|hand| hand.left_over().map(mm)),
        of_hand(|hand| hand.missing().map(mm)),
        without.map_or_else(String::new, |without| without.told().join("; ")),
        without.map_or_else(String::new, |without| per_cent(without.part())),
        without.map_or_else(String::new, |without| mm(without.purchase.needed)),
        mm(p.lay),
        mm(p.cloth),
        per_cent(lay.efficiency.of_cloth()),
        per_cent(lay.efficiency.of_usable()),
        mm(lay.bound.length),
        per_cent(lay.gap()),
        h.placements.to_string(),
        h.opened_out.to_string(),
        h.flipped.to_string(),
        h.folds.to_string(),
        h.refolds.to_string(),
        format!("{:.2}", h.cutting_mm),
        lay.checked.marker().spread.title(),
        crate::report::json::origin_name(lay.origin).to_owned(),
    ]
}

fn mm(length: Length) -> String {
    format!("{:.2}", length.mm())
}
