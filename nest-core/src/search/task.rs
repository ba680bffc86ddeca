//! [`Task`]: what to pack, in integers only: items, the ways to lay each, and the bands they may lie in.

use std::sync::Arc;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::shapes::{OutlineId, Shapes};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::spread::{BandEdge, Layout};

/// A packing problem: lay every item, in one of its ways, in the least length.
#[derive(Debug)]
pub(crate) struct Task {
    pub(crate) shapes: Arc<Shapes>,
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

impl Task {
    /// Every outline that some choice has.
    pub(crate) fn outlines(&self) -> Vec<OutlineId> {
        let parts = self.items.iter().flat_map(|i| &i.ways).flat_map(|w| &w.parts);
        let mut all: Vec<OutlineId> = parts.flat_map(|p| &p.choices).map(|c| c.outline).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Is there height enough in its band?
    pub(crate) fn fits(&self, choice: Choice, bands: &[(i64, i64); 3]) -> bool {
        let (low, high) = bands[choice.band as usize];
        self.shapes.outline(choice.outline).height <= high - low
    }

    /// Other fold depths: just deep enough for some piece, or just shallow enough for some piece beside the fold, or a
    /// small change, or any.
    pub(crate) fn other_depths(&self, depths: Depths, rng: &mut Pcg64Mcg) -> Depths {
        let Room::Cloth { layout, let_out, .. } = &self.room else { return depths };
        if layout.freedom() == 0 {
            return depths;
        }
        let which = rng.random_range(0..layout.freedom());
        let mut next = depths;
        let choice = {
            let item = &self.items[rng.random_range(0..self.items.len())];
            let way = &item.ways[rng.random_range(0..item.ways.len())];
            let part = &way.parts[rng.random_range(0..way.parts.len())];
            part.choices[rng.random_range(0..part.choices.len())]
        };
        let height = self.shapes.outline(choice.outline).height - let_out;
        next[which] = match rng.random_range(0..4) {
            0 | 1 if choice.band == 1 => (layout.width - layout.selvage - height) / 2 - depths[1 - which],
            0 | 1 => height + layout.selvage,
            2 => depths[which] + rng.random_range(-layout.width / 20..=layout.width / 20),
            _ => rng.random_range(0..=layout.width / 2),
        };
        self.room.clamp(next)
    }

    /// Lays an item in another way (a given one, or any that fits), its placements near where it lay. False, and nothing
    /// changed, when no such way fits the depths.
    pub(crate) fn lay_otherwise(
        &self,
        lay: &mut Lay,
        item: u32,
        way: Option<usize>,
        rng: &mut Pcg64Mcg,
    ) -> bool {
        let bands = self.room.bands(lay.depths);
        let ways = &self.items[item as usize].ways;
        let can = |w: usize| ways[w].parts.iter().all(|p| p.choices.iter().any(|&c| self.fits(c, &bands)));
        let first = way.unwrap_or_else(|| rng.random_range(0..ways.len()));
        let tries = if way.is_some() { 1 } else { ways.len() };
        let Some(way) = (0..tries).map(|k| (first + k) % ways.len()).find(|&w| can(w)) else {
            return false;
        };
        let near = lay.spots.iter().find(|s| s.item == item).map_or(Point::default(), |s| s.at);
        lay.spots.retain(|s| s.item != item);
        lay.ways[item as usize] = way as u8;
        for (p, part) in ways[way].parts.iter().enumerate() {
            let fitting: Vec<Choice> =
                part.choices.iter().copied().filter(|&c| self.fits(c, &bands)).collect();
            let choice = fitting[rng.random_range(0..fitting.len())];
            // The second of two placements has no place of its own yet: anywhere along the lay will do.
            let x = if p == 0 { near.x } else { rng.random_range(0..=lay.length.max(1)) };
            lay.spots.push(Spot { item, part: p as u8, choice, at: Point::new(x, near.y) });
        }
        true
    }

    /// A board without bands: a strip of height `height` and `quantity` copies of each polygon in any of its turns.
    pub(crate) fn board(height: i64, pieces: &[(Polygon, u32, Vec<Turn>)]) -> Task {
        let mut shapes = Shapes::default();
        let mut items = Vec::new();
        for (polygon, quantity, turns) in pieces {
            let mut choices: Vec<Choice> = Vec::new();
            for &turn in turns {
                let outline = shapes.add(polygon, Pose { mirrored: false, turn });
                let known = choices.iter().any(|c| c.outline == outline);
                if !known && shapes.outline(outline).height <= height {
                    let label = u32::from(turn.degrees());
                    choices.push(Choice { outline, band: 0, anchor: Anchor::Free, label });
                }
            }
            let item = Item { ways: vec![Way { parts: vec![Part { choices }] }] };
            items.extend(std::iter::repeat_n(item, *quantity as usize));
        }
        shapes.seal();
        Task { shapes: Arc::new(shapes), items, room: Room::Strip(0, height), flexible: false }
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
