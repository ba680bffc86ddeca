//! A style: its pieces, its views and its sizes.

use crate::piece::{Piece, PieceShape};

/// What a pattern holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Style {
    /// What it is called.
    pub name: String,
    /// Every piece of every view.
    pub pieces: Vec<Piece>,
    /// The views.
    pub views: Vec<View>,
    /// The sizes, smallest first as the job lists them.
    pub sizes: Vec<String>,
}

impl Style {
    /// The shape of a piece in a size, both by their indices.
    ///
    /// # Panics
    /// When there is no such piece, or the piece is not made in that size; a job that was read, and a marker that passed the
    /// check, name none.
    pub fn shape(&self, piece: usize, size: usize) -> &PieceShape {
        &self.pieces[piece].shapes[&self.sizes[size]]
    }
}

/// A variant of the garment: which of the pieces it uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct View {
    /// Its name.
    pub name: String,
    /// Indices into [`Style::pieces`].
    pub pieces: Vec<usize>,
}
