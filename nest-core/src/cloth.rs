//! The cloth: what is on the bolt, what part of it may be used, and how it is sold.

use crate::geometry::{Bounds, Point, Polygon};
use crate::length::{Length, Unit};
use crate::remnant::Remnant;

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

/// A part of the cloth that must not be cut into a garment: a stain, a hole, a slub, a dye fault.
///
/// # Frame and units
/// Grid units on the open cloth, right side up, as it will be laid: x along the cloth from its squared cut end, y across
/// from its lower selvage (of a tube: from the fold that lies far from the cutter, where it would be slit).
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Flaw {
    /// A disc.
    Spot {
        /// Its centre.
        centre: Point,
        /// Its radius, more than nothing.
        radius: i64,
    },
    /// Any other shape.
    Area(Polygon),
}

impl Flaw {
    /// The box around it.
    pub fn bounds(&self) -> Bounds {
        match self {
            Flaw::Spot { centre, radius } => {
                let reach = Point::new(*radius, *radius);
                Bounds { low: *centre - reach, high: *centre + reach }
            }
            Flaw::Area(outline) => outline.bounds(),
        }
    }

    /// A polygon that holds all of it and hardly more: of a spot one with 24 corners, at most 1 % and 0.03 mm wider.
    pub fn outline(&self) -> Polygon {
        let (centre, radius) = match self {
            Flaw::Area(outline) => return outline.clone(),
            Flaw::Spot { centre, radius } => (*centre, *radius),
        };
        const CORNERS: u32 = 24;
        let step = std::f64::consts::TAU / f64::from(CORNERS);
        // The sides touch a circle a unit wider, so that rounding the corners keeps them outside the spot.
        let reach = (radius as f64 + 1.0) / libm::cos(step / 2.0);
        let corner = |k: u32| {
            let (sin, cos) = libm::sincos(f64::from(k) * step);
            centre + Point::new((reach * cos).round() as i64, (reach * sin).round() as i64)
        };
        let around = Polygon::new((0..CORNERS).map(corner).collect());
        // Of a few grid units' radius the corners may run together; a box then serves.
        around.unwrap_or_else(|_| {
            let b = self.bounds();
            Polygon::rectangle(b.width(), b.height()).shifted(b.low)
        })
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
    /// What must be kept clear.
    pub flaws: Vec<Flaw>,
    /// The outline of a remnant, in the frame of its flaws: nothing is cut outside it. None for cloth off the roll.
    pub within: Option<Polygon>,
    /// Remnants from which everything is to be cut, instead of from the roll. Empty: from the roll.
    pub remnants: Vec<Remnant>,
}

impl Cloth {
    /// The width on the table, after shrinkage across, rounded down to an even number of grid units so that a fold along
    /// the middle lies on the grid.
    pub fn lay_width(&self) -> Length {
        let grid = (self.width.grid() as f64 * (1.0 - self.shrinkage_across)).floor() as i64;
        Length::from_grid(grid / 2 * 2)
    }

    /// What of that lies between the selvages; not above 0 when nothing does.
    pub fn usable_width(&self) -> Length {
        Length::from_grid(self.lay_width().grid() - 2 * self.selvage.grid())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{PointLocation, locate};

    #[test]
    fn the_outline_of_a_spot_holds_all_of_it_and_hardly_more() {
        for radius in [1, 2, 3, 7, 20, 100, 1500, 25_000] {
            let centre = Point::new(-370, 9150);
            let outline = Flaw::Spot { centre, radius }.outline();
            for (a, b) in outline.edges() {
                // The distance of the side's line from the centre, squared: exact in whole numbers.
                let (along, to) = (b - a, centre - a);
                let cross = i128::from(along.cross(to));
                let length = i128::from(along.dot(along));
                assert!(
                    cross * cross >= i128::from(radius * radius) * length,
                    "a side cuts off part of {radius}"
                );
                let corner = a - centre;
                let reach = (corner.dot(corner) as f64).sqrt();
                assert!(reach <= radius as f64 * 1.01 + 3.0, "{reach} for {radius}");
            }
            assert_eq!(locate(outline.points(), centre), PointLocation::Inside);
        }
    }
}
