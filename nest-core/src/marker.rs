//! [`Marker`]: the answer as plain data: how the cloth is spread and where every piece lies.

use crate::geometry::{Point, Polygon, Pose};
use crate::piece::PieceShape;
use crate::spread::{Plies, Spread};

/// What of a piece is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    /// The outline as the pattern has it, where that is the whole piece.
    Whole,
    /// The half outline with its fold edge exactly on a fold.
    OnFold,
    /// The whole outline of a piece that the pattern gives as a half.
    OpenedOut,
}

impl Form {
    /// The outline of a piece in this form, in the piece's own frame.
    pub(crate) fn of(self, shape: &PieceShape) -> &Polygon {
        match self {
            Form::Whole | Form::OnFold => &shape.outline,
            Form::OpenedOut => &shape.full,
        }
    }
}

/// A piece on the cloth.
///
/// # Frame and units
/// The outline laid is `form`'s outline in the piece's own frame, posed about the origin, then moved by `position`, in
/// grid units of the lay frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placement {
    /// Index into the style's pieces.
    pub piece: usize,
    /// Index into the style's sizes.
    pub size: usize,
    /// Whole, on the fold or opened out.
    pub form: Form,
    /// Mirrored (printed side down) and turned.
    pub pose: Pose,
    /// Shift of the posed outline.
    pub position: Point,
    /// Which section of the spread.
    pub section: usize,
    /// Which band of that section.
    pub band: usize,
    /// Plies cut through.
    pub plies: Plies,
    /// How many of the copies that come off are wanted; fewer than come off only where spare copies are allowed.
    pub yields: u32,
}

impl Placement {
    /// The outline as it lies on the cloth.
    pub fn outline(&self, shape: &PieceShape) -> Polygon {
        self.form.of(shape).posed(self.pose).shifted(self.position)
    }
}

/// A layout of every piece wanted from one cloth.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Marker {
    /// The kind of cloth.
    pub cloth: String,
    /// How the cloth lies.
    pub spread: Spread,
    /// Where the pieces lie.
    pub placements: Vec<Placement>,
}
