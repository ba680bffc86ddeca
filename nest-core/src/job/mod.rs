//! [`Job`]: style, order and cloths that fit together, valid once built.

pub mod file;
pub mod limits;
mod problem;
mod read;
mod resolve;

use crate::cloth::Cloth;
use crate::length::{Length, Unit};
use crate::order::OrderLine;
use crate::spread::Kind;
use crate::style::Style;

pub use file::JobFile;
pub(crate) use problem::printable;
pub use problem::{Choice, Measure, Problem, ProblemKind, Spot};
pub(crate) use read::strictly;
pub use read::{ReadError, SyntaxError, unmarked};

/// What the single size of a job that names no sizes is called.
pub const ONE_SIZE: &str = "one";

/// Everything that is asked: the pieces, the garments wanted, and the cloth.
///
/// # Validity
/// Every order line names a view and a size that exist; every piece of an ordered view has a shape in the ordered size
/// and a cloth of its kind; ids and kinds are unique; lengths are within the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What the job is called.
    pub name: String,
    /// The unit in which the job gives, and wants to read, small lengths.
    pub unit: Unit,
    /// The pattern.
    pub style: Style,
    /// What to cut.
    pub order: Vec<OrderLine>,
    /// One cloth for each kind.
    pub cloths: Vec<Cloth>,
    /// Clear space wanted between pieces.
    pub spacing: Length,
    /// The spreads to consider.
    pub spreads: Vec<Kind>,
    /// The part of what the order asks for that is to be cut. None: all of it.
    pub portion: Option<Portion>,
}

/// A part of what an order asks for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Portion {
    /// What is to be cut.
    pub wants: Vec<Want>,
    /// What is cut elsewhere and goes to the garments that come first.
    pub before: Vec<Want>,
}

/// So many copies of one piece in one size, wanted over all garments together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Want {
    /// Index into the style's pieces.
    pub piece: usize,
    /// Index into the style's sizes.
    pub size: usize,
    /// Copies as drawn.
    pub as_drawn: u32,
    /// Copies mirrored.
    pub mirrored: u32,
}

impl Want {
    /// All copies, as drawn and mirrored.
    pub fn copies(&self) -> u32 {
        self.as_drawn + self.mirrored
    }

    /// What is wanted besides others; none when those are all of it.
    pub fn less(self, others: &[Want]) -> Option<Want> {
        let own = others.iter().filter(|other| (other.piece, other.size) == (self.piece, self.size));
        let (as_drawn, mirrored) = own.fold((0, 0), |sum, w| (sum.0 + w.as_drawn, sum.1 + w.mirrored));
        let left = Want {
            as_drawn: self.as_drawn.saturating_sub(as_drawn),
            mirrored: self.mirrored.saturating_sub(mirrored),
            ..self
        };
        (left.copies() > 0).then_some(left)
    }

    /// The area of all copies, in square millimetres; half pieces count whole.
    pub fn area_mm2(&self, style: &Style) -> f64 {
        let shape = style.shape(self.piece, self.size);
        shape.full.area_mm2() * f64::from(self.copies())
    }
}

impl Job {
    /// The same job, but for what is cut from cloth of `kind`: of that only `wants`, and of other cloths nothing.
    pub fn with_portion(&self, kind: &str, wants: Vec<Want>) -> Job {
        let cloths = self.cloths.iter().filter(|cloth| cloth.kind == kind).cloned().collect();
        Job { cloths, portion: Some(Portion { wants, before: Vec::new() }), ..self.clone() }
    }

    /// The same job, but for what is cut from cloth of `kind`: all but so many copies of some pieces. Of a piece that is cut
    /// in pairs what is left stays in pairs, as far as it goes.
    pub fn without(&self, kind: &str, left_out: &[Want]) -> Job {
        let wants = self.wants(kind).into_iter().filter_map(|want| {
            let own = left_out.iter().filter(|l| (l.piece, l.size) == (want.piece, want.size));
            let copies = want.copies();
            let kept = copies.saturating_sub(own.map(Want::copies).sum());
            let mirrored = want.mirrored * kept / copies.max(1);
            (kept > 0).then_some(Want { as_drawn: kept - mirrored, mirrored, ..want })
        });
        self.with_portion(kind, wants.collect())
    }

    /// What the order asks of cloth of `kind` that this job, being for a portion of it, does not cut and nothing has cut
    /// before it.
    pub fn left_out(&self, kind: &str) -> Vec<Want> {
        let mut cut = self.wants(kind);
        cut.extend(self.portion.iter().flat_map(|portion| portion.before.iter().cloned()));
        let whole = Job { portion: None, ..self.clone() };
        whole.wants(kind).into_iter().filter_map(|want| want.less(&cut)).collect()
    }

    /// The pieces of which cloth of `kind` gives some copies for a garment and other cloth gives the others, with what it
    /// gives; none when this job cuts everything that the order asks for.
    pub fn apart(&self, kind: &str) -> Vec<Want> {
        if self.portion.is_none() {
            return Vec::new();
        }
        let is_apart = |want: &Want| {
            let piece = &self.style.pieces[want.piece];
            let is_uneven = piece.pairs && want.as_drawn.abs_diff(want.mirrored) > piece.cut % 2;
            !want.copies().is_multiple_of(piece.cut.max(1)) || is_uneven
        };
        self.wants(kind).into_iter().filter(is_apart).collect()
    }

    /// Copies of pieces in words: "2 x Facing", with the size where there are several.
    pub fn told(&self, wants: &[Want]) -> Vec<String> {
        let of = |want: &Want| {
            let piece = &self.style.pieces[want.piece].name;
            let sizes = &self.style.sizes;
            let size = if sizes.len() > 1 { format!(" (size {})", sizes[want.size]) } else { String::new() };
            format!("{} x {piece}{size}", want.copies())
        };
        wants.iter().map(of).collect()
    }

    /// What has to be cut from cloth of `kind`: pieces in the style's order, sizes in its order.
    pub fn wants(&self, kind: &str) -> Vec<Want> {
        if let Some(portion) = &self.portion {
            let own = |want: &&Want| self.style.pieces[want.piece].cloth == kind;
            return portion.wants.iter().filter(own).cloned().collect();
        }
        let mut wants = Vec::new();
        for (p, piece) in self.style.pieces.iter().enumerate().filter(|(_, piece)| piece.cloth == kind) {
            for s in 0..self.style.sizes.len() {
                let copies: u32 = self
                    .order
                    .iter()
                    .filter(|line| line.size == s && self.style.views[line.view].pieces.contains(&p))
                    .map(|line| line.garments * piece.cut)
                    .sum();
                if copies > 0 {
                    let mirrored = if piece.pairs { copies / 2 } else { 0 };
                    wants.push(Want { piece: p, size: s, as_drawn: copies - mirrored, mirrored });
                }
            }
        }
        wants
    }
}

#[cfg(test)]
mod tests;
