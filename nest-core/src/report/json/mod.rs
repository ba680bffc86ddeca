//! The marker file: the best marker of every cloth of a job with its figures, as JSON for programs.
//!
//! Lengths are millimetres in the lay frame with at most two decimals, which is the whole grid: nothing is rounded.
//! Placements, sections and bands are numbered from 1. What follows from the job and the placements (outlines, names,
//! lengths to buy, efficiencies) is written for the convenience of other programs; [`read`] works it out again and refuses
//! a file that says otherwise. Bounds, rounds and what is said of the other spreads are the search's word and not compared.

mod read;
mod write;

#[cfg(test)]
mod tests;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::marker::Form;
use crate::spread::{BandEdge, Family, Kind};

pub use read::{MarkerFault, MarkerProblem, not_cut, read};
pub use write::write;
pub(crate) use write::{left_out_forms, origin_name, summary, two_decimals};

/// The version of the form that is written and read.
pub const VERSION: u32 = 1;

/// A marker file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkerFile {
    /// The version of this form: 1.
    pub version: u32,
    /// The job's name.
    pub job: String,
    /// The seed of the search.
    pub seed: u64,
    /// The independent searches that exchanged their best after each round.
    pub lanes: u32,
    /// The best marker of each cloth that has one.
    pub markers: Vec<MarkerForm>,
    /// What goes into none of the remnants that it was to be cut from, and comes off the roll where there is a marker for that;
    /// or what is left out of a cloth in hand that is too short: the marker of such a cloth is for the rest.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub not_cut: Vec<NotCutForm>,
    /// The lengths off the roll that what goes into no remnant needs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub from_roll: Vec<FromRollForm>,
    /// The cloths without a marker, and why no spread has one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub without_marker: Vec<WithoutMarker>,
}

/// The best marker of one cloth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkerForm {
    /// The kind of cloth, as the job names it; of a remnant the kind, a colon and its name. Where the job cuts this kind from
    /// remnants the kind alone is the roll, of which comes what goes into none of them.
    pub cloth: String,
    /// Why this spread is the best of those below, in one sentence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// The figures of this marker.
    pub summary: Summary,
    /// How the cloth lies.
    pub sections: Vec<SectionForm>,
    /// Where the pieces lie.
    pub placements: Vec<PlacementForm>,
    /// Every kind of spread: its figures, or why it has none.
    #[serde(default)]
    pub spreads: Vec<SpreadLine>,
    /// Is the cloth in hand enough? Only where the job says how much there is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_hand: Option<InHandForm>,
}

/// Is the cloth in hand enough?
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InHandForm {
    /// What there is.
    pub have_mm: f64,
    /// What this marker needs.
    pub needed_mm: f64,
    /// Is it enough?
    pub enough: bool,
    /// What lies beyond the lay, over the whole width, when it is enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_over_mm: Option<f64>,
    /// The largest rectangles left between the pieces, on the open cloth: x, y, length along, width across.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub left_between_mm: Vec<[f64; 4]>,
    /// How much is missing, when it is not enough.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub missing_mm: Option<f64>,
    /// No lay on any spread that serves needs less than this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_needed_mm: Option<f64>,
    /// Is it proved that it cannot be enough?
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub impossible: bool,
    /// What to leave out, or to cut from other cloth, so that the rest goes in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without: Option<WithoutForm>,
}

/// A way to make a job go into the cloth in hand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WithoutForm {
    /// What is left out.
    pub left_out: Vec<LeftOutForm>,
    /// Its area over that of everything ordered from this cloth, in percent.
    pub area_percent: f64,
    /// What the rest needs: a marker of it was found and checked.
    pub needed_mm: f64,
    /// Sets of pieces searched for; 0 when it was found without a search.
    pub tried: usize,
    /// How the cloth lies for the rest.
    pub sections: Vec<SectionForm>,
    /// Where the rest lies.
    pub placements: Vec<PlacementForm>,
}

/// Copies of a piece that are left out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeftOutForm {
    /// The piece's id.
    pub piece: String,
    /// The piece's name.
    pub name: String,
    /// The size.
    pub size: String,
    /// Copies of it.
    pub copies: u32,
    /// Is it commonly cut from another cloth?
    pub from_other_cloth: bool,
}

/// What is to be bought for what goes into no remnant.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FromRollForm {
    /// The kind of cloth.
    pub cloth: String,
    /// The roll's width.
    pub width_mm: f64,
    /// Cloth needed: a marker was found and checked.
    pub needed_mm: f64,
    /// The length to buy.
    pub to_buy_mm: f64,
    /// The length to buy as one asks for it.
    pub to_buy: String,
}

/// Copies of a piece that are not cut.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NotCutForm {
    /// The kind of cloth.
    pub cloth: String,
    /// The piece's id.
    pub piece: String,
    /// The size.
    pub size: String,
    /// Copies of it.
    pub copies: u32,
}

/// A cloth for which there is no marker.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WithoutMarker {
    /// The kind of cloth.
    pub cloth: String,
    /// Every kind of spread, and why it has no marker.
    pub spreads: Vec<SpreadLine>,
}

/// The figures of a marker.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Summary {
    /// Length of the lay on the table.
    pub lay_mm: f64,
    /// Cloth needed on the table, end allowances included.
    pub cloth_mm: f64,
    /// The length to buy.
    pub to_buy_mm: f64,
    /// The length to buy as one asks for it.
    pub to_buy: String,
    /// How the length to buy comes about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purchase: Option<PurchaseForm>,
    /// Area of all pieces wanted over the area of the cloth, in percent.
    pub efficiency_percent: f64,
    /// The same over the usable width, in percent.
    pub usable_efficiency_percent: f64,
    /// No lay of this kind of spread can do with less cloth in it.
    pub bound_mm: f64,
    /// Why: `area`, `longest piece`, `one after another`, `abreast` (only so many side by side) or `on the fold`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bound_by: Option<String>,
    /// The bound by area alone: the cloth whose usable part is as large as the pieces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area_mm: Option<f64>,
    /// (cloth in the lay - bound) / cloth in the lay, in percent.
    pub gap_percent: f64,
    /// The work it makes.
    pub handling: HandlingForm,
    /// Which part of the search found it: `bottom-left`, `annealing`, `separation`, `opened-out`, or `stretch`:
    /// a stretch of a longer marker.
    pub found_by: String,
    /// In which round.
    pub round: u64,
    /// Of how many. With the same job, seed and lanes, as many rounds give the same marker again.
    pub rounds: u64,
}

/// The way from the lay to the length to buy; each figure follows from those before it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PurchaseForm {
    /// Cloth lying in the lay: twice its length where the whole width lies double.
    pub cloth_in_lay_mm: f64,
    /// Added for the two ends together.
    pub ends_mm: f64,
    /// The sum of both.
    pub cloth_mm: f64,
    /// Lost in washing, in percent.
    pub shrinkage_percent: f64,
    /// Divided by what is left of the whole.
    pub before_washing_mm: f64,
    /// Added so that the ends can be squared.
    pub straightening_mm: f64,
    /// The sum of both.
    pub needed_mm: f64,
    /// The seller's step.
    pub step_mm: f64,
    /// The least number of steps that is enough.
    pub steps: i64,
    /// What so many steps cost, when the price is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<CostForm>,
}

/// What the length to buy costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CostForm {
    /// The price of one `per`.
    pub price: f64,
    /// The unit of length that the price is for.
    pub per: String,
    /// The length to buy times the price.
    pub amount: f64,
    /// The currency.
    pub currency: String,
}

/// The work a marker makes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandlingForm {
    /// Outlines to lay and cut.
    pub placements: usize,
    /// Half pieces to trace whole.
    pub opened_out: usize,
    /// Patterns to lay printed side down on a single ply.
    pub flipped: usize,
    /// Folds to make.
    pub folds: usize,
    /// Times the cloth is folded anew.
    pub refolds: usize,
    /// All cuts together.
    pub cutting_mm: f64,
}

/// What became of one kind of spread.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpreadLine {
    /// The kind of spread.
    pub spread: KindForm,
    /// The figures of its marker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub summary: Option<Summary>,
    /// Why it has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
}

/// A stretch along the cloth laid in one way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionForm {
    /// The way it is folded.
    pub spread: FamilyForm,
    /// Where it begins along the lay.
    pub start_mm: f64,
    /// How long it is.
    pub length_mm: f64,
    /// Its whole extent across the table, selvages included.
    pub width_mm: f64,
    /// Is there a crosswise fold at its start?
    pub fold_at_start: bool,
    /// Its bands, from y = 0 upwards.
    pub bands: Vec<BandForm>,
}

/// A stretch across the cloth with the same number of plies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BandForm {
    /// Lowest usable y.
    pub low_mm: f64,
    /// Highest usable y.
    pub high_mm: f64,
    /// 1 or 2.
    pub plies: u32,
    /// What the lower edge is.
    pub low_edge: EdgeForm,
    /// What the upper edge is.
    pub high_edge: EdgeForm,
}

/// A piece on the cloth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlacementForm {
    /// Its number in the marker, from 1.
    pub number: usize,
    /// The piece's id.
    pub piece: String,
    /// The piece's name.
    pub name: String,
    /// The size.
    pub size: String,
    /// The garments that its copies are for, numbered from 1 through the whole order.
    pub garments: Vec<u32>,
    /// Whole, on the fold or opened out.
    pub form: FormForm,
    /// Printed side up or down.
    pub printed_side: SideForm,
    /// How far the piece is turned counter-clockwise, after any flipping about its grainline: 0, 90, 180 or 270.
    pub turn_degrees: u16,
    /// Plies cut through: 1 or 2.
    pub plies: u32,
    /// How many of the copies that come off are wanted.
    pub wanted: u32,
    /// The section, from 1.
    pub section: usize,
    /// The band of that section, from 1.
    pub band: usize,
    /// Where the origin of the piece's frame lies: x along the cloth, y across.
    pub position_mm: [f64; 2],
    /// The outline as it lies, counter-clockwise.
    pub outline_mm: Vec<[f64; 2]>,
}

/// The kinds of spread: the same from end to end, or in sections.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum KindForm {
    /// The same from end to end.
    Whole(FamilyForm),
    /// Sections one after another.
    Sections(SectionsForm),
}

/// The name of a kind of spread in files.
pub fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::Whole(Family::Single) => "single",
        Kind::Whole(Family::LengthwiseFold) => "lengthwise-fold",
        Kind::Whole(Family::OffCentreFold) => "off-centre-fold",
        Kind::Whole(Family::TwoFolds) => "two-folds",
        Kind::Whole(Family::CrosswiseFold) => "crosswise-fold",
        Kind::Whole(Family::TurnedDouble) => "turned-double",
        Kind::Whole(Family::Tubular) => "tubular",
        Kind::Sections => "sections",
    }
}

/// Sections one after another, each spread in its own way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SectionsForm {
    /// Up to three.
    Sections,
}

impl From<Kind> for KindForm {
    fn from(kind: Kind) -> KindForm {
        match kind {
            Kind::Whole(family) => KindForm::Whole(family.into()),
            Kind::Sections => KindForm::Sections(SectionsForm::Sections),
        }
    }
}

/// The ways in which a section, or the whole, of a lay is spread.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FamilyForm {
    /// One ply, right side up.
    Single,
    /// Folded along its middle.
    LengthwiseFold,
    /// One lengthwise fold off the middle, the rest a single ply.
    OffCentreFold,
    /// A lengthwise fold from each side.
    TwoFolds,
    /// Folded across.
    CrosswiseFold,
    /// Cut across, the upper ply turned.
    TurnedDouble,
    /// A tube as it comes.
    Tubular,
}

/// What of a piece is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FormForm {
    /// A piece without fold edge.
    Whole,
    /// A half with its fold edge on a fold.
    OnFold,
    /// The whole of a piece given as a half.
    OpenedOut,
}

/// Which side of the pattern is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SideForm {
    /// As drawn.
    Up,
    /// Mirrored.
    Down,
}

/// What the long edge of a band is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeForm {
    /// A fold.
    Fold,
    /// The selvage.
    Selvage,
    /// A cut edge.
    CutEdge,
    /// The next band begins there.
    NextBand,
}

/// Two closed lists that stand for each other.
macro_rules! same {
    ($form:ident = $own:ident: $($name:ident),+) => {
        impl From<$own> for $form {
            fn from(own: $own) -> $form {
                match own { $($own::$name => $form::$name),+ }
            }
        }
        impl From<$form> for $own {
            fn from(form: $form) -> $own {
                match form { $($form::$name => $own::$name),+ }
            }
        }
    };
}

same!(FamilyForm = Family: Single, LengthwiseFold, OffCentreFold, TwoFolds, CrosswiseFold, TurnedDouble, Tubular);
same!(FormForm = Form: Whole, OnFold, OpenedOut);
same!(EdgeForm = BandEdge: Fold, Selvage, CutEdge, NextBand);

/// Does a text have the form of a marker file, for whatever job?
pub fn is_marker_file(text: &str) -> bool {
    serde_json::from_str::<MarkerFile>(text).is_ok()
}

/// The JSON Schema of the marker file.
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(MarkerFile).to_value()
}
