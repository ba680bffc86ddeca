//! A comparison as JSON: every cell with the figures that a marker file has, and how they come about.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::axes::Case;
use super::in_hand::InHand;
use super::result::{Column, Comparison};
use crate::cloth::Nap;
use crate::in_hand::Without;
use crate::length::Length;
use crate::report::Outcome;
use crate::report::json::{KindForm, LeftOutForm, Summary, left_out_forms, summary, two_decimals};

/// The version of the form that is written.
pub const VERSION: u32 = 1;

/// A comparison file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ComparisonFile {
    /// The version of this form: 1.
    pub version: u32,
    /// The job's name.
    pub job: String,
    /// The kind of cloth compared.
    pub cloth: String,
    /// The seed of the search.
    pub seed: u64,
    /// The independent searches that exchanged their best after each round.
    pub lanes: u32,
    /// Rounds done, all columns together, with those that looked for what to leave out. With the same job, axes, seed and
    /// lanes, as many give the same comparison, unless a clock shared them out between lays and what to leave out.
    pub rounds: u64,
    /// What has to be known to read the figures: of cloth in hand, flaws and remnants.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// For each view and size, first without and then with nap, from the narrowest cloth to the widest.
    pub columns: Vec<ColumnForm>,
    /// What nap costs, where both were laid.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nap_costs: Vec<NapCostForm>,
}

/// One order on one cloth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ColumnForm {
    /// Its number, from 1.
    pub number: usize,
    /// The view, when each is laid for itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<String>,
    /// The size, likewise.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<String>,
    /// The width from selvage to selvage as bought.
    pub width_mm: f64,
    /// The width as it was asked for.
    pub width: String,
    /// Does nap run one way?
    pub nap: bool,
    /// Flaws of the cloth that are kept clear.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub flaws_kept_clear: usize,
    /// Why the best of its cells is the best, in one sentence; none when no spread serves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// The kinds of spread, in the order of reports.
    pub cells: Vec<CellForm>,
}

/// One order on one cloth, spread in one way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CellForm {
    /// The kind of spread.
    pub spread: KindForm,
    /// What it is best at in its column: `shortest`, `easiest` (to handle), `best trade` (the easiest that costs at most
    /// one step of the seller more than the shortest).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub best_at: Vec<String>,
    /// The sections in their order, as a person calls them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laid_as: Option<String>,
    /// The figures of its marker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub summary: Option<Summary>,
    /// Is the cloth in hand enough? Only where the job says how much there is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_hand: Option<CellInHand>,
    /// The number of the column whose marker it holds, when that was shorter than what was found here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lent_by: Option<usize>,
    /// Why it has no marker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

/// Is the cloth in hand enough for the marker of a cell?
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CellInHand {
    /// What there is.
    pub have_mm: f64,
    /// What the marker needs.
    pub needed_mm: f64,
    /// Is it enough?
    pub enough: bool,
    /// What is left over, when it is enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_over_mm: Option<f64>,
    /// What is missing, when it is not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub missing_mm: Option<f64>,
    /// Is it proved that no lay of this kind can do with it?
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub impossible: bool,
    /// What to leave out, or to cut from other cloth, so that the rest goes in on this kind of spread; none when it is enough or
    /// no piece goes in, even alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without: Option<CellWithout>,
}

/// A way to make a job go into the cloth in hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CellWithout {
    /// What is left out.
    pub left_out: Vec<LeftOutForm>,
    /// Its area over that of everything ordered from this cloth, in percent.
    pub area_percent: f64,
    /// What the rest needs: a marker of it was found and checked.
    pub needed_mm: f64,
    /// Sets of pieces searched for; 0 when it was found without a search.
    pub tried: usize,
}

/// What nap costs on one width: the best marker with it less the best without.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NapCostForm {
    /// The number of the column without nap.
    pub without: usize,
    /// The number of the column with nap.
    pub with: usize,
    /// How much more cloth on the table, the shortest of each compared.
    pub more_cloth_mm: f64,
    /// How much more to buy.
    pub more_to_buy_mm: f64,
    /// What that costs, when the price is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<String>,
}

impl Comparison {
    /// The comparison as JSON text, pretty-printed, its end a new line. The same comparison gives the same bytes.
    pub fn json(&self) -> String {
        let first = self.columns.first().map(|column| &column.case);
        let mm = |grid: i64| Length::from_grid(grid).mm();
        let file = ComparisonFile {
            version: VERSION,
            job: first.map_or_else(String::new, |case| case.job.name.clone()),
            cloth: first.map_or_else(String::new, |case| case.cloth().kind.clone()),
            seed: self.settings.seed,
            lanes: self.settings.lanes,
            rounds: self.rounds,
            notes: self.notes(),
            columns: self.columns.iter().enumerate().map(|(i, column)| form(i, column)).collect(),
            nap_costs: self
                .nap_costs()
                .iter()
                .map(|cost| NapCostForm {
                    without: cost.columns[0] + 1,
                    with: cost.columns[1] + 1,
                    more_cloth_mm: mm(cost.more_cloth),
                    more_to_buy_mm: mm(cost.more_to_buy),
                    cost: self.nap_price_told(cost),
                })
                .collect(),
        };
        // A tree of owned texts, lists and finite numbers always has a JSON form.
        let mut text = serde_json::to_string_pretty(&file).unwrap_or_default();
        text.push('\n');
        text
    }
}

fn form(i: usize, column: &Column) -> ColumnForm {
    let Case { view, size, width, .. } = &column.case;
    let cells = column.report.lines.iter().enumerate().map(|(k, cell)| {
        let lay = cell.lay();
        CellForm {
            spread: cell.kind.into(),
            best_at: match lay {
                Some(_) => column.marks(k).told().into_iter().map(str::to_owned).collect(),
                None => Vec::new(),
            },
            laid_as: lay.map(|lay| lay.checked.marker().spread.title()),
            summary: lay.map(|lay| summary(lay, column.report.rounds)),
            in_hand: column.in_hand(k).map(|hand| CellInHand {
                without: column.without[k].as_ref().map(CellWithout::from),
                ..CellInHand::from(hand)
            }),
            lent_by: column.lent[k].map(|lender| lender + 1),
            refused: match &cell.outcome {
                Outcome::Lay(_) => None,
                Outcome::Refused(refusal) => Some(refusal.to_string()),
                Outcome::Withheld(_) => Some("withheld: its marker did not pass the check".to_owned()),
            },
        }
    });
    ColumnForm {
        number: i + 1,
        view: view.clone(),
        size: size.clone(),
        width_mm: width.length.mm(),
        width: width.told(),
        nap: column.case.cloth().nap == Nap::OneWay,
        flaws_kept_clear: column.case.cloth().flaws.len(),
        why: column.why(),
        cells: cells.collect(),
    }
}

impl From<InHand> for CellInHand {
    fn from(hand: InHand) -> CellInHand {
        let (left_over, missing) = (hand.left_over(), hand.missing());
        CellInHand {
            have_mm: hand.have.mm(),
            needed_mm: hand.needed.mm(),
            enough: missing.is_none(),
            left_over_mm: left_over.map(Length::mm),
            missing_mm: missing.map(Length::mm),
            impossible: hand.is_impossible,
            without: None,
        }
    }
}

impl From<&Without> for CellWithout {
    fn from(without: &Without) -> CellWithout {
        CellWithout {
            left_out: left_out_forms(without),
            area_percent: two_decimals(100.0 * without.part()),
            needed_mm: without.purchase.needed.mm(),
            tried: without.tried,
        }
    }
}

fn is_zero(count: &usize) -> bool {
    *count == 0
}

/// The JSON Schema of the comparison file.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(ComparisonFile).to_value()
}
