//! [`Spread`]: one way of putting the cloth on the table, as sections along it and bands across.

mod family;
mod ply;
mod refusal;

use crate::length::Length;

pub use family::Layout;
pub use ply::Ply;
pub use refusal::Refusal;

/// The ways in which a section, or the whole, of a lay is spread. What depth a fold has is for the search to choose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// One ply, right side up.
    Single,
    /// Folded along its middle, selvage on selvage.
    LengthwiseFold,
    /// One lengthwise fold of a chosen depth, the rest a single ply.
    OffCentreFold,
    /// A lengthwise fold from each side; the selvages meet, or leave a single ply between.
    TwoFolds,
    /// Folded across, cut end on cut end: two plies of the whole width.
    CrosswiseFold,
    /// Cut across and the upper ply turned end for end: two plies of the whole width with the nap agreeing.
    TurnedDouble,
    /// A knitted tube as it comes: two plies, a fold at each side.
    Tubular,
}

impl Family {
    /// Every one, in the order of reports.
    pub const ALL: [Family; 7] = [
        Family::Single,
        Family::LengthwiseFold,
        Family::OffCentreFold,
        Family::TwoFolds,
        Family::CrosswiseFold,
        Family::TurnedDouble,
        Family::Tubular,
    ];

    /// What a person calls it.
    pub fn title(self) -> &'static str {
        match self {
            Family::Single => "single thickness",
            Family::LengthwiseFold => "lengthwise fold",
            Family::OffCentreFold => "lengthwise fold off centre",
            Family::TwoFolds => "two lengthwise folds",
            Family::CrosswiseFold => "crosswise fold",
            Family::TurnedDouble => "double thickness, upper ply turned",
            Family::Tubular => "tubular",
        }
    }
}

/// A way of spreading a whole lay: in one way from end to end, or in sections, each in its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// The same from end to end.
    Whole(Family),
    /// Up to three sections one after another: folded ones, and perhaps a last one opened out.
    Sections,
}

impl Kind {
    /// Every kind, in the order of reports.
    pub const ALL: [Kind; 8] = [
        Kind::Whole(Family::Single),
        Kind::Whole(Family::LengthwiseFold),
        Kind::Whole(Family::OffCentreFold),
        Kind::Whole(Family::TwoFolds),
        Kind::Whole(Family::CrosswiseFold),
        Kind::Whole(Family::TurnedDouble),
        Kind::Whole(Family::Tubular),
        Kind::Sections,
    ];

    /// What a person calls it.
    pub fn title(self) -> &'static str {
        match self {
            Kind::Whole(family) => family.title(),
            Kind::Sections => "sections along the length",
        }
    }
}

impl From<Family> for Kind {
    fn from(family: Family) -> Kind {
        Kind::Whole(family)
    }
}

/// One or two plies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Plies {
    /// A single ply, right side up.
    One,
    /// Two plies, facing each other.
    Two,
}

impl Plies {
    /// As a number.
    pub const fn count(self) -> u32 {
        match self {
            Plies::One => 1,
            Plies::Two => 2,
        }
    }
}

/// What the long edge of a band is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BandEdge {
    /// A fold: half pieces may lie exactly on it.
    Fold,
    /// The selvage (the unusable part already left out of the band).
    Selvage,
    /// An edge cut along a wale or thread.
    CutEdge,
    /// The next band begins there.
    NextBand,
}

/// A stretch of the lay across the cloth with the same number of plies: pieces lie wholly inside one band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band {
    /// Lowest usable y.
    pub low: i64,
    /// Highest usable y.
    pub high: i64,
    /// How many plies.
    pub plies: Plies,
    /// The edge at `low`.
    pub low_edge: BandEdge,
    /// The edge at `high`.
    pub high_edge: BandEdge,
}

impl Band {
    /// Usable height.
    pub const fn height(&self) -> i64 {
        self.high - self.low
    }
}

/// A stretch along the cloth laid in one way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// The way it is folded.
    pub family: Family,
    /// Where its bands begin and end across; from y = 0 upwards.
    pub bands: Vec<Band>,
    /// Its whole extent across the table, selvages included.
    pub width: Length,
    /// Where it begins along the lay.
    pub start: Length,
    /// How long it is.
    pub length: Length,
    /// Is there a crosswise fold at its start, on which pieces laid on the crosswise grain may lie?
    pub fold_at_start: bool,
}

impl Section {
    /// Lengths of cloth used for one length of lay: 2 where the whole width lies double.
    pub fn cloth_per_lay(&self) -> i64 {
        match self.family {
            Family::CrosswiseFold | Family::TurnedDouble => 2,
            _ => 1,
        }
    }
}

/// One way of putting the cloth on the table: sections one after another along x.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spread {
    /// In order of x; never empty.
    pub sections: Vec<Section>,
}

impl Spread {
    /// What a person calls it: the sections in their order.
    pub fn title(&self) -> String {
        let ways: Vec<&str> = self.sections.iter().map(|s| s.family.title()).collect();
        ways.join(", then ")
    }

    /// Length of the lay.
    pub fn lay_length(&self) -> Length {
        Length::from_grid(self.sections.iter().map(|s| s.length.grid()).sum())
    }

    /// Length of cloth lying in the lay, without end allowances.
    pub fn cloth_length(&self) -> Length {
        Length::from_grid(self.sections.iter().map(|s| s.length.grid() * s.cloth_per_lay()).sum())
    }
}
