//! [`Ply`]: a ply of a section, and how the open cloth comes to lie in it.

use super::{Family, Layout, Plies, Section, Spread};
use crate::cloth::{Cloth, Flaw};
use crate::geometry::{Bounds, Motion, Point};

/// A ply of one section of a lay.
///
/// # Frame and units
/// Grid units. The open cloth lies right side up, x from its squared cut end, y from its lower selvage: the frame of
/// [`Flaw`](crate::cloth::Flaw).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ply {
    /// Where the open cloth comes to lie on the table. It holds for what lies in this ply, and moves everything else past
    /// the ends or the edges of the section.
    pub motion: Motion,
    /// Does it lie over another, face down?
    pub over: bool,
}

impl Ply {
    /// The plies of section `index` of a spread on this cloth: first what lies right side up, then the flaps over it, the one
    /// nearest the cutter first. Empty when such a section cannot lie on such a cloth.
    pub fn of_section(cloth: &Cloth, spread: &Spread, index: usize) -> Vec<Ply> {
        let section = &spread.sections[index];
        let Ok(layout) = Layout::new(section.family, cloth) else { return Vec::new() };
        let before: i64 = spread.sections[..index].iter().map(|s| s.length.grid() * s.cloth_per_lay()).sum();
        let (under, flaps) = layout.plies(layout.depths_of(section), section.length.grid());
        let begin = Point::new(-before - cloth.end_allowance.grid(), 0);
        let ply = |own: Motion, over| {
            // First to the section's own stretch of the cloth, then as that lies, then to where the section begins.
            let shift = own.pose.apply(begin) + own.shift + Point::new(section.start.grid(), 0);
            Ply { motion: Motion { pose: own.pose, shift }, over }
        };
        std::iter::once(ply(under, false)).chain(flaps.into_iter().map(|flap| ply(flap, true))).collect()
    }

    /// The plies that a placement in `band` of a section is cut through, of those of the section.
    pub fn cut_through(plies: &[Ply], section: &Section, band: usize) -> Vec<Ply> {
        let two = section.bands.get(band).is_some_and(|b| b.plies == Plies::Two);
        let far = section.family == Family::TwoFolds && band > 0;
        let over = plies.get(if far { 2 } else { 1 }).filter(|_| two);
        plies.first().into_iter().chain(over).copied().collect()
    }

    /// The box of a section on the table.
    pub fn extent(section: &Section) -> Bounds {
        let start = section.start.grid();
        Bounds {
            low: Point::new(start, 0),
            high: Point::new(start + section.length.grid(), section.width.grid()),
        }
    }

    /// The flaws of the cloth that come to lie in a section on this ply, each with its number from 0.
    pub fn flaws_in<'a>(
        &self,
        section: &Section,
        cloth: &'a Cloth,
    ) -> impl Iterator<Item = (usize, &'a Flaw)> + use<'a> {
        let (motion, extent) = (self.motion, Ply::extent(section));
        let lies_in = move |flaw: &Flaw| motion.apply_box(&flaw.bounds()).interiors_meet(&extent);
        cloth.flaws.iter().enumerate().filter(move |(_, flaw)| lies_in(flaw))
    }
}

impl Layout {
    /// The fold depths that a section of this kind has.
    pub fn depths_of(&self, section: &Section) -> [i64; 2] {
        let width = section.width.grid();
        match (self.family, &section.bands[..]) {
            (Family::OffCentreFold, _) => [self.width - width, 0],
            (Family::TwoFolds, [first, .., last]) => {
                [first.high + self.selvage, width - last.low + self.selvage]
            }
            _ => [0, 0],
        }
    }
}
