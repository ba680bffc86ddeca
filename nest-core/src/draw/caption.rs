//! [`Caption`]: what the drawing says of the marker in words and figures.

use crate::length::Unit;
use crate::report::{ClothReport, Lay, percent, small_length};

use super::measure::measure;

/// What the drawing says of the marker in words and figures. An empty figure is left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Caption {
    /// Width of the cloth as bought.
    pub width: String,
    /// Length of the lay on the table.
    pub lay_length: String,
    /// Length to buy.
    pub to_buy: String,
    /// Efficiency.
    pub efficiency: String,
    /// What to mind before cutting, one sentence each.
    pub notes: Vec<String>,
}

impl Caption {
    /// The figures of one of a cloth's lays, told as the report tells them, lengths in `unit`; and the cautions that are due with the cloth's best.
    pub fn new(report: &ClothReport, lay: &Lay, unit: Unit) -> Caption {
        Caption {
            width: measure(report.cloth.width, unit),
            lay_length: small_length(lay.purchase.lay, unit),
            to_buy: lay.purchase.to_buy_text(),
            efficiency: percent(lay.efficiency.of_cloth()),
            notes: report.cautions.iter().map(ToString::to_string).collect(),
        }
    }
}
