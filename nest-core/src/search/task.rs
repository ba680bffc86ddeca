//! [`Task`]: what to pack, in integers only: items, the ways to lay each, and the bands they may lie in.

use super::shapes::{OutlineId, Shapes};
use crate::geometry::{Point, Polygon, Pose, Turn};

/// A packing problem: lay every item, in one of its ways, in the least length.
#[derive(Debug)]
pub(crate) struct Task {
    pub(crate) shapes: Shapes,
    pub(crate) items: Vec<Item>,
    pub(crate) room: Room,
    /// Area to be laid, in square grid units times two, counted on the lay (a placement on two plies once).
    pub(crate) mean_area: f64,
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
    /// Bands that do not move: (low, high).
    Fixed(Vec<(i64, i64)>),
    /// Band 0 two plies from the fold at y = 0 up to the depth less the selvage; band 1 single from the depth to the far
    /// selvage.
    OffCentre { width: i64, selvage: i64, least: i64, most: i64 },
    /// Band 0 two plies at y = 0, band 1 single between, band 2 two plies at the other side; two depths.
    TwoFolds { width: i64, selvage: i64, least: i64, most: i64 },
}

/// Depths of the folds, as far as a room has any; unused ones are 0.
pub(crate) type Depths = [i64; 2];

impl Room {
    /// The bands, (low, high) each; a band may be empty (high below low).
    pub(crate) fn bands(&self, depths: Depths) -> [(i64, i64); 3] {
        const NONE: (i64, i64) = (0, -1);
        match *self {
            Room::Fixed(ref bands) => std::array::from_fn(|k| bands.get(k).copied().unwrap_or(NONE)),
            Room::OffCentre { width, selvage, .. } => {
                [(0, depths[0] - selvage), (depths[0], width - depths[0] - selvage), NONE]
            }
            Room::TwoFolds { width, selvage, .. } => {
                let high = width - depths[0] - depths[1];
                [(0, depths[0] - selvage), (depths[0], high - depths[1]), (high - depths[1] + selvage, high)]
            }
        }
    }

    /// How many depths there are to choose.
    pub(crate) fn freedom(&self) -> usize {
        match self {
            Room::Fixed(_) => 0,
            Room::OffCentre { .. } => 1,
            Room::TwoFolds { .. } => 2,
        }
    }
}

impl Task {
    /// A board without bands: a strip of height `height` and `quantity` copies of each polygon in any of its turns.
    pub(crate) fn board(height: i64, pieces: &[(Polygon, u32, Vec<Turn>)]) -> Task {
        let mut shapes = Shapes::default();
        let mut items = Vec::new();
        let (mut area, mut count) = (0.0, 0.0);
        for (polygon, quantity, turns) in pieces {
            let mut choices: Vec<Choice> = Vec::new();
            for &turn in turns {
                let outline = shapes.add(polygon, Pose { mirrored: false, turn });
                if choices.iter().all(|c| c.outline != outline) && shapes.outline(outline).height <= height {
                    choices.push(Choice {
                        outline,
                        band: 0,
                        anchor: Anchor::Free,
                        label: u32::from(turn.degrees()),
                    });
                }
            }
            let item = Item { ways: vec![Way { parts: vec![Part { choices }] }] };
            items.extend(std::iter::repeat_n(item, *quantity as usize));
            area += polygon.area_mm2() * f64::from(*quantity);
            count += f64::from(*quantity);
        }
        let mean_area = area / f64::max(count, 1.0);
        shapes.seal(mean_area);
        Task { shapes, items, room: Room::Fixed(vec![(0, height)]), mean_area }
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
