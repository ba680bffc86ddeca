//! The file form of an instance of the packing literature, as serde sees it.

use serde::Deserialize;

/// An instance file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct InstanceFile {
    /// What the literature calls it.
    pub(super) name: String,
    /// The paper that the shapes come from.
    pub(super) source: String,
    /// The width of the strip, in units of the paper.
    pub(super) strip_width: f64,
    pub(super) pieces: Vec<PieceFile>,
}

/// A kind of piece.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PieceFile {
    pub(super) id: String,
    pub(super) quantity: u32,
    /// In degrees.
    pub(super) turns: Vec<f64>,
    /// Corners in order, either way round, in units of the paper.
    pub(super) outline: Vec<[f64; 2]>,
}
