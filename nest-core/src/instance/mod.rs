//! [`Instance`]: a strip-packing problem of the literature, in the units of its paper, and the board that it becomes.
//!
//! An instance file is a JSON object with `name`, `source` (where the shapes come from), `strip_width`, and `pieces`, each
//! with `id`, `quantity`, `turns` (degrees, quarter turns only) and `outline` (corners as [x, y]). The strip runs along x;
//! its width is across, along y.

mod file;
mod read;
mod scale;

pub use read::{InstanceError, InstanceProblem};
pub use scale::Scaled;

use crate::geometry::Turn;

/// A strip, and pieces to lay on it in the least length.
///
/// # Validity
/// Numbers are finite, the strip has a width, and every piece has an id of its own, a turn, a quantity and three corners;
/// whether the outlines are simple and fit across is for [`Instance::scaled`] to find, on the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Instance {
    /// What the literature calls it.
    pub name: String,
    /// Where the shapes come from.
    pub source: String,
    /// The width of the strip, in units of the paper.
    pub strip_width: f64,
    /// The pieces, in the order of the file.
    pub pieces: Vec<InstancePiece>,
}

/// A kind of piece of an [`Instance`].
#[derive(Clone, Debug, PartialEq)]
pub struct InstancePiece {
    /// What the file calls it.
    pub id: String,
    /// How many to lay.
    pub quantity: u32,
    /// Allowed turns.
    pub turns: Vec<Turn>,
    /// Corners in order, in units of the paper.
    pub outline: Vec<[f64; 2]>,
}
