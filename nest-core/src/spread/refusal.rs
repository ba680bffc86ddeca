//! [`Refusal`]: why a spread cannot serve a job, in the words of the cutting table.

use super::Family;
use crate::length::Length;

/// Why a spread is not admissible. Not an error: a value that is listed beside the spreads that serve.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// The job asks for other spreads only.
    #[error("not among the spreads the job asks for")]
    NotAsked,
    /// A crosswise fold under one-way cloth.
    #[error("a crosswise fold is for cloth without nap: the upper ply would run the other way")]
    NapTurnsBack,
    /// The cloth has the wrong form.
    #[error("{0}")]
    ClothForm(&'static str),
    /// Pieces that need a single ply on a spread that has none.
    #[error("{piece} is cut {copies} without a mirror image, and every part of this spread is two plies")]
    NeedsSinglePly {
        /// The piece, by name and size.
        piece: String,
        /// Copies without a partner.
        copies: u32,
    },
    /// A piece fits no band in any way allowed.
    #[error("{piece} needs {needed:.1} mm across and the widest place for it is {available:.1} mm: {:.1} mm too little", .needed - .available)]
    TooWide {
        /// The piece, by name and size.
        piece: String,
        /// Millimetres across that it takes at the least.
        needed: f64,
        /// Millimetres across there are at the most.
        available: f64,
    },
    /// Nothing would lie on a fold or on two plies: the spread is single thickness with a fold for nothing.
    #[error("nothing in this job can lie on two plies, so the fold would serve for nothing")]
    NothingToFold,
    /// Two folds where one suffices by construction, or the like: another spread covers it.
    #[error("the same as {} here", .0.title())]
    SameAs(Family),
    /// Each piece fits at some depth of the fold, but no depth was found at which all fit.
    #[error("no depth of fold was found that leaves room across for every piece")]
    NoDepth,
    /// No layout was found, whatever the length: a limit of the search, said plainly.
    #[error("no layout was found within the limits given")]
    NoneFound,
    /// The shortest layout does not go into the longest lay that can be handled.
    #[error("the lay would be longer than {0}")]
    TooLong(Length),
}
