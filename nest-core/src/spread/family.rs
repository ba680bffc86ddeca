//! What each kind of spread makes of a cloth: its bands at given fold depths, or why it is not for that cloth.

use super::{Band, BandEdge, Family, Plies, Refusal, Section};
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::geometry::{Motion, Point, Pose, Turn};
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

    /// How the open cloth, right side up, comes to lie on the table: the motion of the ply that lies right side up, and of
    /// each flap over it. `length` is how long the lay is. Both frames begin where this stretch of the cloth begins; the
    /// open cloth's y = 0 is the selvage of the flap nearest the cutter.
    ///
    /// A motion says nothing outside its own ply: what it moves there comes to lie outside the bands or past the ends.
    pub fn plies(&self, depths: [i64; 2], length: i64) -> (Motion, Vec<Motion>) {
        let [near, far] = match self.family {
            Family::Single | Family::CrosswiseFold | Family::TurnedDouble => [0, 0],
            Family::LengthwiseFold | Family::Tubular => [self.width / 2, 0],
            Family::OffCentreFold => [depths[0], 0],
            Family::TwoFolds => depths,
        };
        let (w, over) = (self.width, Pose { mirrored: true, turn: Turn::None });
        let flap = |pose: Pose, x: i64, y: i64| Motion { pose, shift: Point::new(x, y) };
        let lower = Motion::shift(Point::new(0, -near));
        match self.family {
            Family::Single => (lower, vec![]),
            Family::LengthwiseFold | Family::Tubular | Family::OffCentreFold => {
                (lower, vec![flap(over, 0, near)])
            }
            Family::TwoFolds => (lower, vec![flap(over, 0, near), flap(over, 0, 2 * w - near - 2 * far)]),
            // The fold lies in the middle of the cloth; what comes before it is folded over.
            Family::CrosswiseFold => {
                let back = Pose { mirrored: true, turn: Turn::Half };
                (Motion::shift(Point::new(-length, 0)), vec![flap(back, length, 0)])
            }
            // Cut in the middle, folded over and turned end for end, which together flips it across.
            Family::TurnedDouble => (lower, vec![flap(over, -length, w)]),
        }
    }

    /// Where band `k` of [`Layout::bands`] comes among those that can hold anything.
    pub fn band_among_used(&self, depths: [i64; 2], k: usize) -> usize {
        self.bands(depths)[..k].iter().filter(|b| b.height() > 0).count()
    }

    /// The section of a lay of this kind that begins at `start`, with the bands that can hold anything.
    pub fn section(&self, depths: [i64; 2], start: Length, length: Length) -> Section {
        Section {
            family: self.family,
            bands: self.bands(depths).into_iter().filter(|b| b.height() > 0).collect(),
            width: Length::from_grid(self.across(depths)),
            start,
            length,
            fold_at_start: self.family == Family::CrosswiseFold,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented;

    #[test]
    fn every_place_in_a_band_is_cloth_on_as_many_plies_as_it_has() {
        for family in Family::ALL {
            let cloth = if family == Family::Tubular { invented::tube() } else { invented::cloth() };
            let layout = Layout::new(family, &cloth).expect("it goes with the cloth");
            let (depths, length) = ([30_000, 20_000], 70_000);
            let (lower, flaps) = layout.plies(depths, length);
            let whole = length * layout.cloth_per_lay();
            let on_cloth = |p: Point| (0..=whole).contains(&p.x) && (0..=layout.width).contains(&p.y);
            for (k, band) in layout.bands(depths).iter().enumerate() {
                for p in [
                    Point::new(1, band.low + 1),
                    Point::new(length - 1, band.high - 1),
                    Point::new(5, band.low + 7),
                ] {
                    let under = lower.inverse().apply(p);
                    assert!(on_cloth(under), "{family:?}, band {k}: {under:?}");
                    assert_eq!(
                        under.x - lower.inverse().apply(Point::new(0, p.y)).x,
                        p.x,
                        "{family:?}: right side up"
                    );
                    let over: Vec<Point> =
                        flaps.iter().map(|f| f.inverse().apply(p)).filter(|&q| on_cloth(q)).collect();
                    if band.plies == Plies::Two {
                        assert!(over.iter().any(|&q| q != under), "{family:?}, band {k}: {over:?}");
                    }
                    // At a fold both plies are the same cloth.
                    for (edge, y) in [(band.low_edge, band.low), (band.high_edge, band.high)] {
                        let at = Point::new(9, y);
                        let both = flaps
                            .iter()
                            .filter(|f| f.inverse().apply(at) == lower.inverse().apply(at))
                            .count();
                        // The second fold of a tube is where it would be slit.
                        let slit = family == Family::Tubular && y > 0;
                        assert_eq!(both, usize::from(edge == BandEdge::Fold && !slit), "{family:?}, y = {y}");
                    }
                }
            }
        }
    }
}
