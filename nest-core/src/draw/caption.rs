//! [`Caption`]: what the drawing says of the marker in words and figures.

use crate::check::Checked;
use crate::cloth::Cloth;
use crate::job::Job;
use crate::length::Unit;
use crate::purchase::{Efficiency, Purchase};
use crate::report::{ClothReport, Lay, cautions_due, percent, small_length};

use super::measure::measure;

/// What the drawing says of the marker in words and figures. An empty figure is left out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Caption {
    /// What is left out, as the cloth in hand is too short for all: "2 x Facing".
    pub left_out: String,
    /// Width of the cloth as bought.
    pub width: String,
    /// Length of the lay on the table.
    pub lay_length: String,
    /// Length to buy, where something is to be bought.
    pub to_buy: String,
    /// Length in hand, and what of it is left over or missing: "160.00 cm, 3.20 cm left over".
    pub in_hand: String,
    /// Efficiency.
    pub efficiency: String,
    /// What to mind before cutting, one sentence each.
    pub notes: Vec<String>,
}

impl Caption {
    /// The figures of one of a cloth's lays, told as the report tells them, lengths in `unit`; and the cautions that are due
    /// with the cloth's best.
    pub fn new(report: &ClothReport, lay: &Lay, unit: Unit) -> Caption {
        let portion = report.portion.as_deref();
        Caption {
            left_out: portion.map_or_else(String::new, |job| left_out(job, &report.cloth)),
            width: measure(report.cloth.width, unit),
            lay_length: small_length(lay.purchase.lay, unit),
            to_buy: to_buy(&report.cloth, &lay.purchase),
            in_hand: in_hand(&lay.purchase, unit),
            efficiency: percent(lay.efficiency.of_cloth()),
            notes: report.cautions.iter().map(ToString::to_string).collect(),
        }
    }

    /// The figures of a marker that has passed `job`'s check, and the cautions due with it; lengths in the job's unit.
    ///
    /// # Panics
    /// When the marker was checked against another job and is for a cloth that this one does not have.
    pub fn of(job: &Job, checked: &Checked) -> Caption {
        let marker = checked.marker();
        let cloth = job
            .cloths
            .iter()
            .find(|c| c.kind == marker.cloth)
            .expect("a checked marker's cloth is in its job");
        let purchase = Purchase::new(cloth, &marker.spread);
        Caption {
            left_out: left_out(job, cloth),
            width: measure(cloth.width, job.unit),
            lay_length: small_length(purchase.lay, job.unit),
            to_buy: to_buy(cloth, &purchase),
            in_hand: in_hand(&purchase, job.unit),
            efficiency: percent(Efficiency::new(job, cloth, purchase.cloth).of_cloth()),
            notes: cautions_due(job, cloth, marker).iter().map(ToString::to_string).collect(),
        }
    }
}

/// The length to buy; empty of a remnant, and where what is in hand is enough.
fn to_buy(cloth: &Cloth, purchase: &Purchase) -> String {
    if cloth.within.is_some() || purchase.left_over().is_some() {
        String::new()
    } else {
        purchase.to_buy_text()
    }
}

/// How much cloth there is, and whether it is enough; empty where nothing is in hand.
fn in_hand(purchase: &Purchase, unit: Unit) -> String {
    let Some(have) = purchase.in_hand else { return String::new() };
    let told = match (purchase.left_over(), purchase.missing()) {
        (Some(left), _) => format!("{} left over", small_length(left, unit)),
        (None, short) => format!("{} short", small_length(short.unwrap_or_default(), unit)),
    };
    format!("{}, {told}", small_length(have, unit))
}

/// What of an order is not on a marker for cloth off the roll; what a remnant does not give, another does.
fn left_out(job: &Job, cloth: &Cloth) -> String {
    if job.portion.is_none() || cloth.within.is_some() {
        return String::new();
    }
    job.told(&job.left_out(&cloth.kind)).join(", ")
}
