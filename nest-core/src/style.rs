//! A style: its pieces, its views and its sizes.

use crate::piece::Piece;

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

/// A variant of the garment: which of the pieces it uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct View {
    /// Its name.
    pub name: String,
    /// Indices into [`Style::pieces`].
    pub pieces: Vec<usize>,
}
