//! The cloth: what is on the bolt, what part of it may be used, and how it is sold.

use crate::length::{Length, Unit};

/// Does the cloth look the same from both ends?
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Nap {
    /// The same from both ends: pieces may be turned end for end.
    #[default]
    None,
    /// Pile, sheen or print runs one way: every piece, in every size, points the same way.
    OneWay,
}

/// How the cloth comes off the loom or the machine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ClothForm {
    /// Flat, with two selvages.
    #[default]
    Flat,
    /// A knitted tube; its width is that of the tube laid flat, half the way round.
    Tube,
}

/// How the seller cuts: lengths are rounded up to whole steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sale {
    /// The step.
    pub step: Length,
    /// The unit in which a length to buy is told.
    pub unit: Unit,
}

/// What the cloth costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// For one `per`.
    pub amount: f64,
    /// Metre, yard or another unit of length.
    pub per: Unit,
    /// As it is written after an amount.
    pub currency: String,
}

impl Price {
    /// The price of a length to the cent, a half cent upwards.
    pub fn of(&self, length: Length) -> f64 {
        // Prices have four decimals at the most, and lengths are whole hundredths of a millimetre: exact until the end.
        let amount = (self.amount * 10_000.0).round() as i128 * i128::from(length.grid());
        let per_cent = (self.per.mm() * 100.0).round() as i128 * 100;
        ((2 * amount + per_cent).div_euclid(2 * per_cent)) as f64 / 100.0
    }

    /// An amount with its currency.
    pub fn told(&self, amount: f64) -> String {
        format!("{amount:.2} {}", self.currency)
    }
}

/// One cloth kind of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Cloth {
    /// The kind by which pieces ask for it: self, lining, interfacing ...
    pub kind: String,
    /// Flat or a tube.
    pub form: ClothForm,
    /// Selvage to selvage as bought (of a tube: laid flat).
    pub width: Length,
    /// Unusable selvage along each of the two edges; none on a tube.
    pub selvage: Length,
    /// Direction.
    pub nap: Nap,
    /// Part of the length lost when the cloth is washed before cutting, 0 to below 1.
    pub shrinkage_along: f64,
    /// Part of the width lost, likewise.
    pub shrinkage_across: f64,
    /// Cloth left beyond the lay at each cut end.
    pub end_allowance: Length,
    /// Extra bought so that the cut ends can be squared.
    pub straightening: Length,
    /// The seller's step.
    pub sale: Sale,
    /// What it costs, when that is known.
    pub price: Option<Price>,
    /// What there is, when the cloth is already in hand.
    pub length_in_hand: Option<Length>,
    /// May spare copies be cut (and wasted) to lay odd pieces on two plies?
    pub spare_copies: bool,
}

impl Cloth {
    /// The width on the table, after shrinkage across, rounded down to an even number of grid units so that a fold along
    /// the middle lies on the grid.
    pub fn lay_width(&self) -> Length {
        let grid = (self.width.grid() as f64 * (1.0 - self.shrinkage_across)).floor() as i64;
        Length::from_grid(grid / 2 * 2)
    }
}
