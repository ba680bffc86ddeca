//! The spread uses the cloth as it is: folds, plies and bands account for its whole width, and suit its nap and form.

use super::violation::{FamilyMisfit, Fault, Violation};
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::length::MAX_GRID;
use crate::spread::{Band, BandEdge, Family, Plies, Section, Spread};

/// Judges every section of a spread.
pub(super) fn judge(cloth: &Cloth, spread: &Spread, found: &mut Vec<Violation>) {
    if spread.sections.is_empty() {
        found.push(Violation::general(Fault::NoSection));
    }
    let mut should_start = 0;
    for (index, section) in spread.sections.iter().enumerate() {
        let (start, length) = (section.start.grid(), section.length.grid());
        let mut fault = |fault| found.push(Violation::general(fault));
        let extents = section.bands.iter().flat_map(|b| [b.low, b.high]);
        let mut numbers = extents.chain([start, length, section.width.grid()]);
        if numbers.any(|n| !(-MAX_GRID..=MAX_GRID).contains(&n)) {
            fault(Fault::BeyondGrid { what: format!("a number of section {}", index + 1) });
            continue;
        }
        if start != should_start {
            fault(Fault::SectionStart { section: index, start, should: should_start });
        }
        if length < 1 {
            fault(Fault::SectionLength { section: index, length });
        }
        should_start = start + length.max(0);
        if let Some(why) = misfit(section.family, cloth) {
            // Where the family is wrong for the cloth, its bands have nothing to be right about.
            fault(Fault::Family { section: index, family: section.family, why });
            continue;
        }
        Account { index, section, cloth, width: width_to_lay(cloth) }.judge(&mut fault);
    }
}

/// Why a kind of spread does not go with a cloth, if it does not.
///
/// A crosswise fold brings the upper ply's nap to run the other way (common practice in sewing handbooks). A
/// tube lies on two plies as it comes, or is slit along one side and laid single; folded again it would lie in four.
fn misfit(family: Family, cloth: &Cloth) -> Option<FamilyMisfit> {
    let form_fits = match cloth.form {
        ClothForm::Flat => family != Family::Tubular,
        ClothForm::Tube => matches!(family, Family::Tubular | Family::Single),
    };
    if !form_fits {
        Some(FamilyMisfit::Form)
    } else if family == Family::CrosswiseFold && cloth.nap == Nap::OneWay {
        Some(FamilyMisfit::Nap)
    } else {
        None
    }
}

/// The whole width of the cloth, all plies counted: once round a tube is twice its flat width.
fn width_to_lay(cloth: &Cloth) -> i64 {
    match cloth.form {
        ClothForm::Flat => cloth.lay_width().grid(),
        ClothForm::Tube => 2 * cloth.lay_width().grid(),
    }
}

/// One section and the cloth that must be found in it.
struct Account<'a> {
    index: usize,
    section: &'a Section,
    cloth: &'a Cloth,
    /// All plies counted.
    width: i64,
}

/// What a band must be: its plies, and where each edge lies and what it is.
struct Due {
    plies: Plies,
    low: (i64, Side),
    high: (i64, Side),
}

/// What an edge of a band must be.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Fold,
    /// The outer edge of flat cloth.
    Selvage,
    /// The outer edge of a slit tube.
    Cut,
    /// Where a flap's selvage lies on the cloth below: it is both the end of one band and the beginning of the next.
    FlapEnd,
}

impl Account<'_> {
    fn judge(&self, fault: &mut impl FnMut(Fault)) {
        let (w, s) = (self.width, self.cloth.selvage.grid());
        let bands = &self.section.bands;
        let extent = self.section.width.grid();
        let one = |low, high| vec![Due { plies: Plies::One, low, high }];
        let two = |low, high| vec![Due { plies: Plies::Two, low, high }];
        // Extent across the table, and the bands, that the cloth makes when spread so.
        let (width, due) = match self.section.family {
            // A slit tube has two cut edges and no selvage.
            Family::Single if self.cloth.form == ClothForm::Tube => (w, one((0, Side::Cut), (w, Side::Cut))),
            Family::Single => (w, one((s, Side::Selvage), (w - s, Side::Selvage))),
            // Folded in its middle; of an odd width the grid drops half a unit.
            Family::LengthwiseFold => (w / 2, two((0, Side::Fold), (w / 2 - s, Side::Selvage))),
            Family::OffCentreFold => {
                // The flap's depth is what the extent lacks of the width: below the flap lies as much cloth again.
                let d = w - extent;
                if !self.depths_within(&[d], fault) {
                    return;
                }
                let mut due = two((0, Side::Fold), (d - s, Side::FlapEnd));
                due.extend(one((d, Side::FlapEnd), (w - d - s, Side::Selvage)));
                (extent, due)
            }
            Family::TwoFolds => {
                let (Some(first), Some(last)) = (bands.first(), bands.last()) else {
                    return self.wrong("has no bands".to_owned(), fault);
                };
                let (d1, d2) = (first.high + s, extent - last.low + s);
                if !self.depths_within(&[d1, d2], fault) {
                    return;
                }
                let across = w - d1 - d2;
                let mut due = two((0, Side::Fold), (d1 - s, Side::FlapEnd));
                // A gap between the flaps may be left unused, or is a single ply of its own.
                if bands.len() > 2 {
                    due.extend(one((d1, Side::FlapEnd), (across - d2, Side::FlapEnd)));
                }
                due.extend(two((across - d2 + s, Side::FlapEnd), (across, Side::Fold)));
                (across, due)
            }
            Family::CrosswiseFold | Family::TurnedDouble => {
                (w, two((s, Side::Selvage), (w - s, Side::Selvage)))
            }
            Family::Tubular => (w / 2, two((0, Side::Fold), (w / 2, Side::Fold))),
        };
        self.compare("the extent across the table", extent, width, fault);
        let fold_due = self.section.family == Family::CrosswiseFold;
        if self.section.fold_at_start != fold_due {
            let what =
                if fold_due { "has no fold at its start" } else { "has a crosswise fold at its start" };
            self.wrong(what.to_owned(), fault);
        }
        if bands.len() != due.len() {
            let what = format!("has {} bands, and should have {}", bands.len(), due.len());
            return self.wrong(what, fault);
        }
        for (i, (band, due)) in bands.iter().zip(&due).enumerate() {
            self.judge_band(i, band, due, fault);
        }
    }

    fn judge_band(&self, i: usize, band: &Band, due: &Due, fault: &mut impl FnMut(Fault)) {
        if band.plies != due.plies {
            let what = format!(
                "band {} is said to be of {} plies, and is of {}",
                i + 1,
                band.plies.count(),
                due.plies.count()
            );
            self.wrong(what, fault);
        }
        self.compare(&format!("the lower edge of band {}", i + 1), band.low, due.low.0, fault);
        self.compare(&format!("the upper edge of band {}", i + 1), band.high, due.high.0, fault);
        if due.high.0 <= due.low.0 {
            self.wrong(format!("nothing of band {} is left between the selvages", i + 1), fault);
        }
        for (name, edge, side) in [("lower", band.low_edge, due.low.1), ("upper", band.high_edge, due.high.1)]
        {
            let right = match side {
                Side::Fold => edge == BandEdge::Fold,
                Side::Selvage => edge == BandEdge::Selvage,
                Side::Cut => edge == BandEdge::CutEdge,
                Side::FlapEnd => matches!(edge, BandEdge::NextBand | BandEdge::Selvage),
            };
            if !right {
                let what = format!("the {name} edge of band {} is not what it is said to be", i + 1);
                self.wrong(what, fault);
            }
        }
    }

    /// A fold's flap must be deeper than its selvage, and all flaps together no wider than what lies below them.
    fn depths_within(&self, depths: &[i64], fault: &mut impl FnMut(Fault)) -> bool {
        let what = if depths.iter().any(|&d| d <= self.cloth.selvage.grid()) {
            "a fold is so shallow that nothing but selvage is folded"
        } else if 2 * depths.iter().sum::<i64>() > self.width {
            "the folds are deeper than the cloth below them"
        } else {
            return true;
        };
        fault(Fault::Depth { section: self.index, family: self.section.family, what });
        false
    }

    fn compare(&self, what: &str, is: i64, should: i64, fault: &mut impl FnMut(Fault)) {
        if is != should {
            let (section, family) = (self.index, self.section.family);
            fault(Fault::BandExtent { section, family, what: what.to_owned(), is, should });
        }
    }

    fn wrong(&self, what: String, fault: &mut impl FnMut(Fault)) {
        fault(Fault::Bands { section: self.index, family: self.section.family, what });
    }
}
