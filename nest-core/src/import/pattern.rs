//! [`Pattern`]: what every importer makes of its file, in millimetres with y up.

use super::line::{Frame, Line, area};
use crate::geometry::DrawnPoint;
use crate::length::Unit;
use crate::piece::Grain;

/// Pieces as they were understood, before they are part of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    pub(super) name: Option<String>,
    /// The unit its source speaks, for the job file to speak too.
    pub(super) unit: Unit,
    /// The sizes, smallest first; none when the pattern names no sizes.
    pub(super) sizes: Vec<String>,
    /// The size from which the others were graded.
    pub(super) base_size: Option<String>,
    pub(super) pieces: Vec<PatternPiece>,
}

impl Pattern {
    /// How many different pieces there are.
    pub fn piece_count(&self) -> usize {
        self.pieces.len()
    }

    /// The sizes, smallest first; none when the pattern names no sizes.
    pub fn sizes(&self) -> &[String] {
        &self.sizes
    }
}

/// One piece in all its sizes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PatternPiece {
    pub(super) name: String,
    pub(super) cloth: Option<String>,
    pub(super) cut: u32,
    pub(super) pairs: bool,
    pub(super) grain: Grain,
    /// To add, in millimetres.
    pub(super) seam: f64,
    /// A shape for each size it is drawn in; of a pattern without sizes one, and no size.
    pub(super) shapes: Vec<(Option<String>, PatternShape)>,
}

/// A piece in one size.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PatternShape {
    /// A ring; half of the piece when there is a fold edge.
    pub(super) outline: Vec<DrawnPoint>,
    /// From the bottom of the piece to its top.
    pub(super) grainline: Option<[DrawnPoint; 2]>,
    pub(super) fold: Option<[DrawnPoint; 2]>,
    pub(super) notches: Vec<DrawnPoint>,
    pub(super) drill_holes: Vec<DrawnPoint>,
    pub(super) lines: Vec<Line>,
    pub(super) carried: Carried,
}

/// Which marks were not drawn in this size but placed as another has them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Carried {
    pub(super) notches: bool,
    pub(super) drill_holes: bool,
}

impl PatternShape {
    pub(super) fn area(&self) -> f64 {
        area(&self.outline).abs()
    }

    pub(super) fn frame(&self) -> Frame {
        Frame::of(&self.outline)
    }

    /// The shape with every point carried by `map`.
    pub(super) fn mapped(&self, map: impl Fn(DrawnPoint) -> DrawnPoint) -> PatternShape {
        let all = |points: &[DrawnPoint]| points.iter().map(|&p| map(p)).collect::<Vec<_>>();
        PatternShape {
            outline: all(&self.outline),
            grainline: self.grainline.map(|ends| ends.map(&map)),
            fold: self.fold.map(|ends| ends.map(&map)),
            notches: all(&self.notches),
            drill_holes: all(&self.drill_holes),
            lines: self
                .lines
                .iter()
                .map(|line| Line { points: all(&line.points), closed: line.closed })
                .collect(),
            carried: self.carried,
        }
    }
}
