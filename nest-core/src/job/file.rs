//! The job file: its serde form, version 1, and the JSON Schema made from it.
//!
//! Everything a person may write is here, with what it means and what it is when left out; these words are the
//! descriptions in the schema. What the words mean together, and whether they fit, is for [`Job::read`](super::Job::read).

mod bounded;
mod by_size;
mod outline;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::limits::{
    MAX_CLOTHS, MAX_FLAWS, MAX_ORDER_LINES, MAX_OUTLINE_POINTS as MAX_MARKS, MAX_PIECES, MAX_REMNANTS,
    MAX_SIZES, MAX_VIEWS,
};

pub use by_size::BySize;
pub use outline::Outline;

/// The version of the format that this program reads and writes.
pub const VERSION: u32 = 1;

/// The pieces of a garment, the garments wanted and the cloth to cut them from. All lengths are in `units` unless said
/// otherwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Job file")]
pub struct JobFile {
    /// Where this schema is found, for editors; not read.
    #[serde(rename = "$schema", default, skip_serializing_if = "Option::is_none")]
    pub schema: Option<String>,
    /// The version of this format: 1.
    #[schemars(with = "u32", range(min = 1, max = 1))]
    pub version: f64,
    /// What the job is called; it stands in the title of every report. Default: "job".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The unit of every length in the file, unless said otherwise at the field.
    pub units: FileUnit,
    /// Which way y points in outlines and all other points: `up`, as on graph paper (default), or `down`, as in
    /// coordinates copied from an SVG drawing. It decides which side of a piece is the printed side.
    #[serde(default)]
    pub y_axis: YAxis,
    /// The names of the sizes, smallest first. Left out: one size, called "one".
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded::optional_list::<_, _, MAX_SIZES>"
    )]
    #[schemars(length(min = 1, max = 100))]
    pub sizes: Option<Vec<String>>,
    /// The pattern pieces of every view.
    #[serde(deserialize_with = "bounded::list::<_, _, MAX_PIECES>")]
    #[schemars(length(min = 1, max = 1000))]
    pub pieces: Vec<PieceFile>,
    /// The views (variants) of the garment. Left out: one view, called "all", with every piece.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded::optional_list::<_, _, MAX_VIEWS>"
    )]
    #[schemars(length(min = 1, max = 1000))]
    pub views: Option<Vec<ViewFile>>,
    /// The garments wanted. Left out: one garment of the first view in the first size.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "bounded::optional_list::<_, _, MAX_ORDER_LINES>"
    )]
    #[schemars(length(min = 1, max = 10000))]
    pub order: Option<Vec<OrderLineFile>>,
    /// The cloths, one for each kind that the pieces ask for.
    #[serde(deserialize_with = "bounded::list::<_, _, MAX_CLOTHS>")]
    #[schemars(length(min = 1, max = 100))]
    pub cloths: Vec<ClothFile>,
    /// Clear space to keep between neighbouring pieces, for a cutter that needs it. Default: 0, pieces may touch.
    #[serde(default)]
    #[schemars(range(min = 0))]
    pub spacing: f64,
    /// How far a chord may leave the curve it stands for, in millimetres whatever the units: 0.01 to 5. Default: 0.1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.01, max = 5))]
    pub curve_tolerance: Option<f64>,
    /// The ways of putting the cloth on the table to consider. Left out: all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub spreads: Option<Vec<SpreadName>>,
}

/// A unit of length for pieces and cloth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum FileUnit {
    /// Millimetres.
    #[serde(rename = "mm")]
    Mm,
    /// Centimetres.
    #[serde(rename = "cm")]
    Cm,
    /// Inches.
    #[serde(rename = "in")]
    Inch,
}

/// A unit in which cloth is sold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum SaleUnit {
    /// Millimetres.
    #[serde(rename = "mm")]
    Mm,
    /// Centimetres.
    #[serde(rename = "cm")]
    Cm,
    /// Inches.
    #[serde(rename = "in")]
    Inch,
    /// Metres.
    #[serde(rename = "m")]
    M,
    /// Yards.
    #[serde(rename = "yd")]
    Yard,
}

/// Which way y points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum YAxis {
    /// Away from the foot of the page.
    #[default]
    Up,
    /// Towards the foot of the page, as in SVG.
    Down,
}

/// A way of putting the cloth on the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SpreadName {
    /// A single thickness, right side up.
    Single,
    /// Folded along its middle, selvage on selvage.
    LengthwiseFold,
    /// One lengthwise fold of a depth that is sought, the rest a single ply.
    OffCentreFold,
    /// A lengthwise fold from each side.
    TwoFolds,
    /// Folded across, cut end on cut end; for cloth without nap.
    CrosswiseFold,
    /// Cut across and the upper ply turned end for end.
    TurnedDouble,
    /// A knitted tube as it comes.
    Tubular,
    /// Up to three sections one after another, each spread in its own way.
    Sections,
}

/// One pattern piece. It has either a shape of its own, the same in every size (`outline`, `grainline` ...), or a shape
/// for each size in `sizes`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceFile {
    /// A short name by which views speak of the piece; unique in the file.
    pub id: String,
    /// The name printed on the piece. Default: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The kind of cloth it is cut from, one of the kinds in `cloths`. Default: "self".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cloth: Option<String>,
    /// How many to cut for one garment, left and right ones counted together. Default: 1, or 2 with `pairs`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<u32>", range(min = 1, max = 1000))]
    pub cut: Option<f64>,
    /// Cut as left and right: half of them as drawn, half as their mirror image. `cut` is then an even number, and the
    /// piece has no fold edge. Default: false.
    #[serde(default)]
    pub pairs: bool,
    /// The grain it is laid on: `lengthwise` (default) lays its grainline along the cloth, `crosswise` across it,
    /// `either` leaves the choice. A bias piece is `lengthwise` with a slanting grainline.
    #[serde(default)]
    pub grain: GrainName,
    /// When the outline is the stitching line: how much to add outside it (not along a fold edge). Corners are mitred.
    /// Default: 0, the outline is what is cut.
    #[serde(default)]
    #[schemars(range(min = 0))]
    pub seam_allowance: f64,
    /// The shape in each size, by the names in the file's `sizes`. A piece that is the same in every size gives `outline`
    /// and `grainline` beside its id instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sizes: Option<BySize<ShapeFile>>,

    /// The outline, printed side up: points, or a closed path. Half of the piece when there is a fold edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
    /// Two points, from the bottom of the piece to its top: the line that is laid along the grain. A piece with a fold
    /// edge may leave it out; the fold edge, from its first point to its second, then serves as its grainline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grainline: Option<[[f64; 2]; 2]>,
    /// The two ends of a straight stretch of the outline, parallel to the grainline, that is laid on a fold. The outline
    /// is then half of the piece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fold_edge: Option<[[f64; 2]; 2]>,
    /// Marks on the edge.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub notches: Vec<[f64; 2]>,
    /// Marks inside.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub drill_holes: Vec<[f64; 2]>,
    /// Lines drawn on the piece and not cut, each as points from end to end.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub internal_lines: Vec<Vec<[f64; 2]>>,
}

/// The shape of a piece in one size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShapeFile {
    /// The outline, printed side up: points, or a closed path. Half of the piece when there is a fold edge.
    pub outline: Outline,
    /// Two points, from the bottom of the piece to its top: the line that is laid along the grain. A piece with a fold
    /// edge may leave it out; the fold edge, from its first point to its second, then serves as its grainline.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grainline: Option<[[f64; 2]; 2]>,
    /// The two ends of a straight stretch of the outline, parallel to the grainline, that is laid on a fold. The outline
    /// is then half of the piece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fold_edge: Option<[[f64; 2]; 2]>,
    /// Marks on the edge.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub notches: Vec<[f64; 2]>,
    /// Marks inside.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub drill_holes: Vec<[f64; 2]>,
    /// Lines drawn on the piece and not cut, each as points from end to end.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_MARKS>"
    )]
    pub internal_lines: Vec<Vec<[f64; 2]>>,
}

/// Which grain a piece may be laid on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum GrainName {
    /// Its grainline along the cloth.
    #[default]
    Lengthwise,
    /// Its grainline across the cloth.
    Crosswise,
    /// Either of the two.
    Either,
}

/// A variant of the garment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ViewFile {
    /// Its name; unique in the file.
    pub name: String,
    /// The ids of the pieces it uses, each once (how many are cut is for the piece to say).
    #[serde(deserialize_with = "bounded::list::<_, _, MAX_PIECES>")]
    #[schemars(length(min = 1, max = 1000))]
    pub pieces: Vec<String>,
}

/// So many garments of one view in one size.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OrderLineFile {
    /// The view; may be left out when there is only one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub view: Option<String>,
    /// The size; may be left out when there is only one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<String>,
    /// How many garments. Default: 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<u32>", range(min = 1, max = 10000))]
    pub garments: Option<f64>,
}

/// One kind of cloth.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClothFile {
    /// The kind by which pieces ask for it: self, lining, interfacing ... Default: "self".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// From selvage to selvage as bought; of a tube, its width laid flat.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width: f64,
    /// The strip along each of the two edges that cannot be used. Default: 0. A tube has none.
    #[serde(default)]
    #[schemars(range(min = 0))]
    pub selvage: f64,
    /// Does the cloth look the same from both ends? `none` (default): pieces may be turned end for end. `one-way`: pile,
    /// sheen or print runs one way, and every piece points the same way.
    #[serde(default)]
    pub nap: NapName,
    /// `flat` (default), or `tube` for a knitted tube.
    #[serde(default)]
    pub form: ClothFormName,
    /// What is lost when the cloth is washed before cutting. Default: nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shrinkage: Option<ShrinkageFile>,
    /// Cloth left beyond the pieces at each cut end of the lay. Default: 0.
    #[serde(default)]
    #[schemars(range(min = 0))]
    pub end_allowance: f64,
    /// Extra length bought so that crooked ends can be cut square. Default: 0.
    #[serde(default)]
    #[schemars(range(min = 0))]
    pub straightening: f64,
    /// How the seller cuts. Default: steps of 10 cm when `units` is mm or cm, of 1/8 yd when it is inches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sale: Option<SaleFile>,
    /// What the cloth costs; what the length to buy costs is then told as well.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<PriceFile>,
    /// The length there is, when the cloth is already in hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub length_in_hand: Option<f64>,
    /// May spare copies be cut, and wasted, so that odd pieces can be cut from two plies? Default: false.
    #[serde(default)]
    pub spare_copies: bool,
    /// Stains, holes and other parts that must not be cut into a garment. Default: none.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_FLAWS>"
    )]
    #[schemars(length(max = 200))]
    pub flaws: Vec<FlawFile>,
    /// Remnants from which everything of this kind is to be cut, instead of from the roll. Default: none.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_REMNANTS>"
    )]
    #[schemars(length(max = 50))]
    pub remnants: Vec<RemnantFile>,
}

/// A left-over piece of cloth: a rectangle, by `length` and `width`, or any shape, by its `outline`. It is measured as it can be
/// used, without selvages and frayed ends, washed and pressed. A rectangle may be folded; any other shape is laid single.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RemnantFile {
    /// What it is called. Default: its number, from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Along the cloth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub length: Option<f64>,
    /// Across the cloth. Default: the cloth's width between its selvages.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub width: Option<f64>,
    /// Its corners in order, right side up: x along the cloth (with the nap), y across, whatever the file's `y_axis`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 5000))]
    pub outline: Option<Vec<[f64; 2]>>,
    /// Flaws, in the frame of the outline; of a rectangle x runs from one end, y from its lower side.
    #[serde(
        default,
        skip_serializing_if = "Vec::is_empty",
        deserialize_with = "bounded::list::<_, _, MAX_FLAWS>"
    )]
    #[schemars(length(max = 200))]
    pub flaws: Vec<FlawFile>,
}

/// A part of the cloth that must be kept clear: a `spot` with its `radius`, or an `outline`. Points are `[x, y]` on the open
/// cloth, right side up, washed and pressed as it will be laid: x along the cloth from its squared cut end, y across from
/// its lower selvage, whatever the file's `y_axis`. Of a tube y begins at the fold that lies far from the cutter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FlawFile {
    /// The middle of a round flaw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot: Option<[f64; 2]>,
    /// The radius of a round flaw.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub radius: Option<f64>,
    /// The corners of a flaw of any other shape, in order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 5000))]
    pub outline: Option<Vec<[f64; 2]>>,
}

/// Does the cloth look the same from both ends?
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum NapName {
    /// The same from both ends.
    #[default]
    None,
    /// Pile, sheen or print runs one way.
    OneWay,
}

/// How the cloth comes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum ClothFormName {
    /// Flat, with two selvages.
    #[default]
    Flat,
    /// A knitted tube.
    Tube,
}

/// Shrinkage in per cent of what was bought, from 0 to below 100.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShrinkageFile {
    /// Of the length, in per cent. Default: 0.
    #[serde(default)]
    #[schemars(range(min = 0), extend("exclusiveMaximum" = 100))]
    pub along: f64,
    /// Of the width, in per cent. Default: 0.
    #[serde(default)]
    #[schemars(range(min = 0), extend("exclusiveMaximum" = 100))]
    pub across: f64,
}

/// The steps in which a length can be bought.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SaleFile {
    /// The step, in `unit`: 10 with cm, 0.125 with yd.
    #[schemars(extend("exclusiveMinimum" = 0))]
    pub step: f64,
    /// The unit of the step, in which the length to buy is told.
    pub unit: SaleUnit,
}

/// What the cloth costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceFile {
    /// The price of one `per`, to four decimals: 12.9.
    #[schemars(range(min = 0, max = 1000000))]
    pub amount: f64,
    /// The unit of length that the price is for: m or yd.
    pub per: SaleUnit,
    /// The currency, as it is written after an amount: EUR, USD.
    pub currency: String,
}

/// The version alone, whatever else the file holds.
#[derive(Deserialize)]
pub(super) struct VersionProbe {
    pub(super) version: f64,
}

impl JobFile {
    /// The JSON Schema of the format, made from these types.
    pub fn schema() -> schemars::Schema {
        schemars::schema_for!(JobFile)
    }
}
