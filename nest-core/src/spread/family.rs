//! What each kind of spread makes of a cloth: its bands at given fold depths, or why it is not for that cloth.

use super::{Band, BandEdge, Family, Plies, Refusal, Section};
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::length::Length;

/// A kind of spread on a certain cloth, with the depths of its folds still free.
///
/// # Frame and units
/// Grid units across the lay; y = 0 is the edge nearest the cutter, the fold where there is one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// The kind of spread.
    pub family: Family,
    /// Width of the cloth when it is opened out flat (a tube: slit open).
    pub width: i64,
    /// Unusable selvage at each edge of the flat cloth.
    pub selvage: i64,
    edge: BandEdge,
}

impl Layout {
    /// The kind of spread on this cloth.
    ///
    /// # Errors
    /// A [`Refusal`] when the cloth's form or nap forbids it.
    pub fn new(family: Family, cloth: &Cloth) -> Result<Layout, Refusal> {
        let tube = cloth.form == ClothForm::Tube;
        if family == Family::Tubular && !tube {
            return Err(Refusal::ClothForm("the cloth is flat, not a knitted tube"));
        }
        if family == Family::CrosswiseFold && cloth.nap == Nap::OneWay {
            return Err(Refusal::NapTurnsBack);
        }
        if tube && !matches!(family, Family::Single | Family::Tubular) {
            return Err(Refusal::ClothForm(
                "a knitted tube is laid as it comes, or slit open and laid single",
            ));
        }
        let flat = cloth.lay_width().grid();
        Ok(if tube {
            Layout { family, width: 2 * flat, selvage: 0, edge: BandEdge::CutEdge }
        } else {
            Layout { family, width: flat, selvage: cloth.selvage.grid(), edge: BandEdge::Selvage }
        })
    }

    /// How many fold depths there are to choose.
    pub fn freedom(&self) -> usize {
        match self.family {
            Family::OffCentreFold => 1,
            Family::TwoFolds => 2,
            _ => 0,
        }
    }

    /// Lengths of cloth used for one length of lay.
    pub fn cloth_per_lay(&self) -> i64 {
        match self.family {
            Family::CrosswiseFold | Family::TurnedDouble => 2,
            _ => 1,
        }
    }

    /// Extent of the lay across the table.
    pub fn across(&self, depths: [i64; 2]) -> i64 {
        match self.family {
            Family::Single | Family::CrosswiseFold | Family::TurnedDouble => self.width,
            Family::LengthwiseFold | Family::Tubular => self.width / 2,
            Family::OffCentreFold => self.width - depths[0],
            Family::TwoFolds => self.width - depths[0] - depths[1],
        }
    }

    /// The bands from y = 0 upwards. A band may come out empty or less than empty where a fold is too shallow to hold
    /// more than the selvage; such a band holds nothing.
    pub fn bands(&self, depths: [i64; 2]) -> Vec<Band> {
        use BandEdge::{Fold, NextBand};
        let (s, edge) = (self.selvage, self.edge);
        let across = self.across(depths);
        let band = |low, high, plies, low_edge, high_edge| Band { low, high, plies, low_edge, high_edge };
        match self.family {
            Family::Single => vec![band(s, across - s, Plies::One, edge, edge)],
            Family::LengthwiseFold => vec![band(0, across - s, Plies::Two, Fold, edge)],
            Family::Tubular => vec![band(0, across, Plies::Two, Fold, Fold)],
            Family::CrosswiseFold | Family::TurnedDouble => vec![band(s, across - s, Plies::Two, edge, edge)],
            Family::OffCentreFold => vec![
                band(0, depths[0] - s, Plies::Two, Fold, edge),
                band(depths[0], across - s, Plies::One, NextBand, edge),
            ],
            Family::TwoFolds => vec![
                band(0, depths[0] - s, Plies::Two, Fold, edge),
                band(depths[0], across - depths[1], Plies::One, NextBand, NextBand),
                band(across - depths[1] + s, across, Plies::Two, edge, Fold),
            ],
        }
    }

    /// Where band `k` of [`Layout::bands`] comes among those that can hold anything.
    pub fn band_among_used(&self, depths: [i64; 2], k: usize) -> usize {
        self.bands(depths)[..k].iter().filter(|b| b.height() > 0).count()
    }

    /// The one section of a lay of this kind, with the bands that can hold anything.
    pub fn section(&self, depths: [i64; 2], length: Length) -> Section {
        Section {
            family: self.family,
            bands: self.bands(depths).into_iter().filter(|b| b.height() > 0).collect(),
            width: Length::from_grid(self.across(depths)),
            start: Length::ZERO,
            length,
            fold_at_start: self.family == Family::CrosswiseFold,
        }
    }
}
