//! Pattern pieces: outlines by size, grainline, fold edge, how many to cut.

use std::collections::BTreeMap;

use crate::geometry::{Point, Polygon};

/// Which grain a piece may be laid on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Grain {
    /// Its grainline along the cloth. A bias piece is this with a slanting grainline.
    #[default]
    Lengthwise,
    /// Its grainline across the cloth.
    Crosswise,
    /// Either of the two.
    Either,
}

/// A pattern piece, the same in every size but for its shape.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Unique in the job.
    pub id: String,
    /// The name a person knows it by.
    pub name: String,
    /// The kind of cloth it is cut from.
    pub cloth: String,
    /// How many for one garment; of a pair each half counts.
    pub cut: u32,
    /// Cut as mirrored pairs: half of them as drawn, half mirrored.
    pub pairs: bool,
    /// Accepted grain.
    pub grain: Grain,
    /// The shape in each size.
    pub shapes: BTreeMap<String, PieceShape>,
}

/// A piece in one size, in its own frame: grainline along +x (the top of the piece towards +x), the lowest corner of the
/// box of `outline` at the origin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceShape {
    /// What is cut: seam allowance included. Half of the piece when there is a fold edge.
    pub outline: Polygon,
    /// The fold edge of a half piece: a straight stretch of `outline` along the grain, from lower to higher x.
    pub fold: Option<(Point, Point)>,
    /// The whole piece opened out in the same frame; the same as `outline` when there is no fold edge.
    pub full: Polygon,
    /// The grainline, from bottom to top.
    pub grainline: (Point, Point),
    /// The stitching line, where it is known apart from the cutting line: a line to draw. Of a whole piece it is closed by
    /// its first point; of a half it runs from one end of the fold edge round to the other.
    pub stitching: Option<Vec<Point>>,
    /// Marks on the edge.
    pub notches: Vec<Point>,
    /// Marks inside.
    pub drill_holes: Vec<Point>,
    /// Lines drawn on the piece and not cut.
    pub internal_lines: Vec<Vec<Point>>,
}

/// Symmetry of a whole piece, which decides whether copies that are not pairs can come off two plies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symmetry {
    /// The mirror image is another shape.
    None,
    /// The same when flipped over about its grainline.
    AboutGrain,
    /// The same when flipped over and turned end for end, but not without the turn.
    AboutCross,
}

impl PieceShape {
    /// How the whole piece relates to its mirror image.
    pub fn symmetry(&self) -> Symmetry {
        use crate::geometry::{Pose, Turn};
        let settled = |p: Polygon| p.shifted(-p.bounds().low).canonical();
        let own = settled(self.full.clone());
        let flipped = |turn| settled(self.full.posed(Pose { mirrored: true, turn }));
        if flipped(Turn::None) == own {
            Symmetry::AboutGrain
        } else if flipped(Turn::Half) == own {
            Symmetry::AboutCross
        } else {
            Symmetry::None
        }
    }
}
