//! [`Task`]: what to pack, in integers only: items, the ways to lay each, and the bands they may lie in.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::shapes::{OutlineId, Shapes};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::spread::{BandEdge, Layout};

/// A packing problem: lay every item, in one of its ways, in the least length.
#[derive(Debug)]
pub(crate) struct Task {
    pub(crate) shapes: Shapes,
    pub(crate) items: Vec<Item>,
    pub(crate) room: Room,
    /// Are there fold depths or ways of cutting to choose?
    pub(crate) flexible: bool,
}

/// Something to lay, and the ways in which it can be laid.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub(crate) ways: Vec<Way>,
}

/// One way to lay an item: so many placements.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    pub(crate) parts: Vec<Part>,
}

/// A placement to be made, in one of some choices.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) choices: Vec<Choice>,
}

/// An outline in a band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Choice {
    pub(crate) outline: OutlineId,
    pub(crate) band: u8,
    pub(crate) anchor: Anchor,
    /// Means something to who made the task.
    pub(crate) label: u32,
}

/// What a placement is tied to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Anchor {
    /// Free inside its band.
    Free,
    /// Its lowest side on the low edge of the band.
    Low,
    /// Its highest side on the high edge of the band.
    High,
    /// Its left side at the start of the lay.
    Start,
}

/// The bands across the lay, as a function of the fold depths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Room {
    /// One band from low to high.
    Strip(i64, i64),
    /// The bands of a cloth, let out by half the spacing where they do not end at a fold.
    Cloth {
        layout: Layout,
        let_out: i64,
        /// The least and the greatest depth worth a fold.
        least: i64,
        most: i64,
    },
}

/// Depths of the folds, as far as a room has any; unused ones are 0.
pub(crate) type Depths = [i64; 2];

impl Room {
    /// The bands, (low, high) each; one that holds nothing has its high below its low.
    pub(crate) fn bands(&self, depths: Depths) -> [(i64, i64); 3] {
        let mut all = [(0, -1); 3];
        match self {
            Room::Strip(low, high) => all[0] = (*low, *high),
            Room::Cloth { layout, let_out, .. } => {
                for (slot, band) in all.iter_mut().zip(layout.bands(depths)) {
                    let out = |edge| if edge == BandEdge::Fold { 0 } else { *let_out };
                    *slot = (band.low - out(band.low_edge), band.high + out(band.high_edge));
                }
            }
        }
        all
    }

    /// How many depths there are to choose.
    pub(crate) fn freedom(&self) -> usize {
        match self {
            Room::Strip(..) => 0,
            Room::Cloth { layout, .. } => layout.freedom(),
        }
    }

    /// Brings depths into the range that the cloth allows.
    pub(crate) fn clamp(&self, depths: Depths) -> Depths {
        let Room::Cloth { layout, least, most, .. } = self else { return depths };
        match layout.freedom() {
            0 => [0, 0],
            1 => [depths[0].clamp(*least, *most), 0],
            _ => {
                // Both flaps together are at most half the cloth: the selvages meet.
                let first = depths[0].clamp(*least, (layout.width / 2 - least).max(*least));
                [first, depths[1].clamp(*least, (layout.width / 2 - first).max(*least))]
            }
        }
    }
}

/// Where one placement lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Spot {
    pub(crate) item: u32,
    pub(crate) part: u8,
    pub(crate) choice: Choice,
    /// The lowest corner of the outline's box.
    pub(crate) at: Point,
}

/// A layout without overlap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lay {
    pub(crate) length: i64,
    pub(crate) depths: Depths,
    /// The way chosen for each item.
    pub(crate) ways: Vec<u8>,
    pub(crate) spots: Vec<Spot>,
}

impl Lay {
    /// The furthest end of any outline.
    pub(crate) fn extent(&self, shapes: &Shapes) -> i64 {
        self.spots.iter().map(|s| s.at.x + shapes.outline(s.choice.outline).width).max().unwrap_or(0)
    }
}
