//! [`Subject`]: a piece to be laid once, or a pair of its copies that may come off two plies together.

use std::sync::Arc;

use crate::cloth::{Cloth, Nap};
use crate::geometry::clipper::{between, with_clearance};
use crate::geometry::{Polygon, Turn};
use crate::job::{Job, Want};
use crate::marker::Form;
use crate::piece::{Grain, PieceShape, Symmetry};

/// The piece that an item is a copy (or two) of.
#[derive(Clone, Debug)]
pub(crate) struct Subject {
    pub(crate) piece: usize,
    pub(crate) size: usize,
    pub(super) name: String,
    pub(crate) shape: PieceShape,
    /// The outline with half the spacing about it, in each form that it may be laid in.
    wide: Arc<[(Form, Polygon)]>,
    /// Are copies from the two plies the same, as far as this cloth goes?
    pub(super) symmetric: bool,
    /// Copies that the item stands for: 1 or 2.
    pub(super) copies: u32,
    /// Copies wanted of the piece in this size, over all items.
    pub(super) all: u32,
    /// A single copy is wanted mirrored.
    pub(super) mirrored: bool,
    /// Allowed turns as drawn, and mirrored.
    pub(super) turns: [&'static [Turn]; 2],
}

impl Subject {
    /// Everything to be cut from a cloth: of each piece first the pairs, then what has no partner.
    pub(super) fn all(job: &Job, cloth: &Cloth) -> Vec<Subject> {
        job.wants(&cloth.kind).iter().flat_map(|want| Subject::of(job, cloth, want)).collect()
    }

    fn of(job: &Job, cloth: &Cloth, want: &Want) -> Vec<Subject> {
        let piece = &job.style.pieces[want.piece];
        let size = &job.style.sizes[want.size];
        let shape = &piece.shapes[size];
        let symmetry = shape.symmetry();
        let symmetric = match symmetry {
            Symmetry::AboutGrain => true,
            Symmetry::AboutCross => cloth.nap == Nap::None,
            Symmetry::None => false,
        };
        let name = if job.style.sizes.len() > 1 {
            format!("{} (size {size})", piece.name)
        } else {
            piece.name.clone()
        };
        let all = want.copies();
        let twos = if symmetric { all / 2 } else { want.as_drawn.min(want.mirrored) };
        let about_grain = symmetry == Symmetry::AboutGrain;
        let one = Subject {
            piece: want.piece,
            size: want.size,
            name,
            shape: shape.clone(),
            wide: forms(shape).iter().map(|&form| (form, spaced(shape, form, job.spacing.grid()))).collect(),
            symmetric,
            copies: 1,
            all,
            mirrored: !symmetric && want.mirrored > want.as_drawn,
            turns: [false, true].map(|mirrored| turns(piece.grain, cloth.nap, mirrored, about_grain)),
        };
        let two = Subject { copies: 2, ..one.clone() };
        let pairs = std::iter::repeat_n(two, twos as usize);
        pairs.chain(std::iter::repeat_n(one, (all - 2 * twos) as usize)).collect()
    }

    /// Twice the area of its copies, every ply counted.
    pub(super) fn doubled_area(&self) -> i64 {
        self.shape.full.doubled_area() * i64::from(self.copies)
    }

    /// The outline with half the spacing about it, in a form that it may be laid in.
    pub(super) fn wide(&self, form: Form) -> &Polygon {
        let known = self.wide.iter().find(|(of, _)| *of == form);
        &known.expect("a piece is laid in the forms it has").1
    }

    /// Is it another copy (or pair) of the same piece?
    pub(super) fn is_like(&self, other: &Subject) -> bool {
        (self.piece, self.size, self.copies) == (other.piece, other.size, other.copies)
    }
}

/// Allowed turns. With nap every piece points the same way; a piece that takes either grain then keeps to the lengthwise
/// one, since turned a quarter its nap would run across. A crosswise piece that is flipped over is turned the other way
/// too, as the upper ply of a lengthwise fold has it: so the nap runs across both of a pair as mirror images. One that is
/// its own mirror image comes off that fold both ways, and may lie both ways.
fn turns(grain: Grain, nap: Nap, mirrored: bool, about_grain: bool) -> &'static [Turn] {
    match (grain, nap) {
        (Grain::Lengthwise | Grain::Either, Nap::OneWay) => &[Turn::None],
        (Grain::Lengthwise, Nap::None) => &[Turn::None, Turn::Half],
        (Grain::Crosswise, Nap::OneWay) if about_grain => &[Turn::Quarter, Turn::ThreeQuarter],
        (Grain::Crosswise, Nap::OneWay) if mirrored => &[Turn::ThreeQuarter],
        (Grain::Crosswise, Nap::OneWay) => &[Turn::Quarter],
        (Grain::Crosswise, Nap::None) => &[Turn::Quarter, Turn::ThreeQuarter],
        (Grain::Either, Nap::None) => &Turn::ALL,
    }
}

/// The forms that a piece may be laid in: one that is drawn as a half on its fold or opened out.
fn forms(shape: &PieceShape) -> &'static [Form] {
    if shape.fold.is_some() { &[Form::OpenedOut, Form::OnFold] } else { &[Form::Whole] }
}

/// The outline with half the spacing added all round; of a half piece on its fold, none along the fold edge.
fn spaced(shape: &PieceShape, form: Form, spacing: i64) -> Polygon {
    let outline = form.of(shape);
    if spacing == 0 {
        return outline.clone();
    }
    let wide = with_clearance(outline, half_up(spacing));
    let (Form::OnFold, Some((fold, _))) = (form, shape.fold) else { return wide };
    let (inner, outer) = (outline.bounds(), wide.bounds());
    let (low, high) = if fold.y == inner.low.y { (fold.y, outer.high.y) } else { (outer.low.y, fold.y) };
    let half = between(wide.points(), low, high).into_iter().find_map(|a| Polygon::new(a.outer).ok());
    half.unwrap_or(wide)
}

/// Half of the spacing, rounded up to the grid.
pub(super) fn half_up(spacing: i64) -> i64 {
    (spacing + 1) / 2
}
