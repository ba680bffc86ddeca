//! How a placement is cut: the four ways, told in words.

use crate::marker::{Form, Placement};
use crate::piece::{PieceShape, Symmetry};
use crate::spread::Plies;

/// How a piece is cut from the cloth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Way {
    /// A whole outline through two plies.
    TwoPlies,
    /// A half outline on a fold.
    OnFold,
    /// A whole outline through one ply.
    Single,
    /// The whole outline of a piece whose pattern is a half.
    OpenedOut,
}

impl Way {
    /// All, in the order of the key.
    pub(crate) const ALL: [Way; 4] = [Way::OnFold, Way::TwoPlies, Way::Single, Way::OpenedOut];

    /// The way a placement is cut.
    pub(crate) fn of(placement: &Placement) -> Way {
        match (placement.form, placement.plies) {
            (Form::OnFold, _) => Way::OnFold,
            (Form::OpenedOut, _) => Way::OpenedOut,
            (Form::Whole, Plies::Two) => Way::TwoPlies,
            (Form::Whole, Plies::One) => Way::Single,
        }
    }

    /// A word or two for the piece itself.
    pub(crate) fn brief(self) -> &'static str {
        match self {
            Way::TwoPlies => "two plies",
            Way::OnFold => "on fold",
            Way::Single => "one ply",
            Way::OpenedOut => "opened out",
        }
    }

    /// A line for the key.
    pub(crate) fn explained(self) -> &'static str {
        match self {
            Way::TwoPlies => "on two plies: two come off, one the mirror image of the other",
            Way::OnFold => "on the fold: half a piece, the edge at the bracket exactly on the fold",
            Way::Single => "on one ply: one comes off",
            Way::OpenedOut => "opened out: trace the half, then flip it over the line of dashes and dots",
        }
    }
}

/// Does the pattern lie printed side down, and does that matter?
///
/// The whole of an opened-out piece is its own mirror image, and so are others: these have no wrong side.
pub(crate) fn face_down(placement: &Placement, shape: &PieceShape) -> bool {
    placement.pose.mirrored
        && placement.form != Form::OpenedOut
        && (placement.form == Form::OnFold || shape.symmetry() != Symmetry::AboutGrain)
}
