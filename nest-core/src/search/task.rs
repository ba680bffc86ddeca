//! [`Task`]: what to pack, in integers only: items, the ways to lay each, and the bands they may lie in.

use std::borrow::Cow;
use std::sync::Arc;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::shapes::{OutlineId, Shapes};
use crate::geometry::{Bounds, Point, Polygon, Pose, Turn};
use crate::spread::{BandEdge, Family, Layout};

/// A packing problem: lay every item, in one of its ways, in the least length.
#[derive(Clone, Debug)]
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
    /// Tells pieces of one size of garment from those of another.
    pub(crate) size: u32,
}

impl Item {
    /// Every choice of every placement, whichever way it is laid.
    pub(crate) fn choices(&self) -> impl Iterator<Item = &Choice> {
        self.ways.iter().flat_map(|way| &way.parts).flat_map(|part| &part.choices)
    }
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

impl Part {
    /// Do both offer the same outlines in the same bands, in the same order?
    pub(crate) fn is_like(&self, other: &Part) -> bool {
        self.offers_like(other, |c| (c.outline, c.band, c.anchor))
    }

    /// Have both as many choices, and is the same `told` of these in the same order?
    pub(crate) fn offers_like<T: PartialEq>(&self, other: &Part, told: impl Fn(&Choice) -> T) -> bool {
        self.choices.iter().map(&told).eq(other.choices.iter().map(&told))
    }
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

/// Most bands that a stretch has: bands of all stretches are counted through, so many to a stretch.
pub(crate) const BANDS: usize = 3;

/// The room of a lay: stretches one after another along x.
#[derive(Clone, Debug)]
pub(crate) struct Room {
    /// At least one.
    pub(crate) stretches: Vec<Stretch>,
    /// What must be kept clear.
    pub(crate) obstacles: Vec<Obstacle>,
}

/// The bands across one stretch, as a function of its fold depths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Stretch {
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

/// A flaw of the cloth.
#[derive(Clone, Debug)]
pub(crate) struct Obstacle {
    /// Its box on the open cloth.
    pub(crate) bounds: Bounds,
    /// Its outline in each pose in which a ply may lie.
    pub(crate) poses: Vec<(Pose, OutlineId)>,
}

/// Depths of the folds of one stretch, as far as it has any; unused ones are 0.
pub(crate) type Depths = [i64; 2];

/// How one stretch lies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Extent {
    pub(crate) depths: Depths,
    /// Where it begins and ends along the lay.
    pub(crate) start: i64,
    pub(crate) end: i64,
}

impl Extent {
    pub(crate) fn length(&self) -> i64 {
        self.end - self.start
    }
}

impl Stretch {
    /// The bands, (low, high) each; one that holds nothing has its high below its low.
    fn bands(&self, depths: Depths) -> [(i64, i64); BANDS] {
        let mut all = [(0, -1); BANDS];
        match self {
            Stretch::Strip(low, high) => all[0] = (*low, *high),
            Stretch::Cloth { layout, let_out, .. } => {
                for (slot, band) in all.iter_mut().zip(layout.bands(depths)) {
                    let out = |edge| if edge == BandEdge::Fold { 0 } else { *let_out };
                    *slot = (band.low - out(band.low_edge), band.high + out(band.high_edge));
                }
            }
        }
        all
    }

    /// How many depths there are to choose.
    fn freedom(&self) -> usize {
        match self {
            Stretch::Strip(..) => 0,
            Stretch::Cloth { layout, .. } => layout.freedom(),
        }
    }

    /// Lengths of cloth used for one length of it.
    pub(crate) fn cloth_per_lay(&self) -> i64 {
        match self {
            Stretch::Strip(..) => 1,
            Stretch::Cloth { layout, .. } => layout.cloth_per_lay(),
        }
    }

    /// Brings depths into the range that the cloth allows.
    fn clamp(&self, depths: Depths) -> Depths {
        let Stretch::Cloth { layout, least, most, .. } = self else { return depths };
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

impl Room {
    /// One stretch, with nothing in the way.
    pub(crate) fn one(stretch: Stretch) -> Room {
        Room { stretches: vec![stretch], obstacles: Vec::new() }
    }

    /// The bands of all stretches, counted through.
    pub(crate) fn bands(&self, depths: impl IntoIterator<Item = Depths>) -> Vec<(i64, i64)> {
        self.stretches.iter().zip(depths).flat_map(|(stretch, d)| stretch.bands(d)).collect()
    }

    /// How many depths there are to choose.
    pub(crate) fn freedom(&self) -> usize {
        self.stretches.iter().map(Stretch::freedom).sum()
    }

    /// Every first fold as deep as may be.
    pub(crate) fn deepest(&self) -> Vec<Depths> {
        self.stretches.iter().map(|s| s.clamp([i64::MAX / 4, 0])).collect()
    }

    /// The stretch that a band belongs to.
    pub(crate) fn stretch_of(choice: Choice) -> usize {
        choice.band as usize / BANDS
    }

    /// Cloth that stretches so long take.
    pub(crate) fn cloth(&self, extents: &[Extent]) -> i64 {
        self.stretches.iter().zip(extents).map(|(s, e)| s.cloth_per_lay() * e.length()).sum()
    }

    /// The obstacles where they lie on the table in stretch `s`, as spots of no item.
    pub(crate) fn fixed(&self, shapes: &Shapes, extents: &[Extent], s: usize) -> Vec<Spot> {
        let Stretch::Cloth { layout, let_out, .. } = &self.stretches[s] else { return Vec::new() };
        if self.obstacles.is_empty() {
            return Vec::new();
        }
        // Outlines let out for spacing begin where the lay does, what is cut half the spacing further on; but for a
        // crosswise fold, which lies there itself.
        let margin = if layout.family == Family::CrosswiseFold { 0 } else { *let_out };
        let (extent, before) = (extents[s], self.cloth(&extents[..s]));
        let (lower, flaps) = layout.plies(extent.depths, extent.length());
        let mut spots = Vec::new();
        for obstacle in &self.obstacles {
            let own = obstacle.bounds.shifted(Point::new(-before, 0));
            for ply in std::iter::once(&lower).chain(&flaps) {
                let low = ply.apply_box(&own).low + Point::new(extent.start + margin, 0);
                let pose = obstacle.poses.iter().find(|(pose, _)| *pose == ply.pose);
                let Some(&(_, outline)) = pose else { continue };
                // What ends before the stretch begins lies in another.
                if low.x + shapes.outline(outline).width > extent.start {
                    let choice = Choice { outline, band: (s * BANDS) as u8, anchor: Anchor::Free, label: 0 };
                    spots.push(Spot { item: u32::MAX, part: 0, choice, at: low });
                }
            }
        }
        spots
    }

    /// Do obstacles lie elsewhere when a stretch of the lay has another length?
    pub(crate) fn shifts_with_length(&self, s: usize) -> bool {
        !self.obstacles.is_empty() && self.stretches[s].cloth_per_lay() > 1
    }

    /// Must a stretch keep its length, as obstacles would lie elsewhere, in it or in what follows, if it had another?
    pub(crate) fn keeps_length(&self, s: usize) -> bool {
        self.shifts_with_length(s) || (s + 1 < self.stretches.len() && !self.obstacles.is_empty())
    }
}

impl Task {
    /// The same with every outline as it is cut, none of them eased.
    pub(crate) fn exact(&self) -> Cow<'_, Task> {
        let shapes = self.shapes.exact();
        if Arc::ptr_eq(shapes, &self.shapes) {
            return Cow::Borrowed(self);
        }
        Cow::Owned(Task { shapes: Arc::clone(shapes), ..self.clone() })
    }

    /// Every outline that some choice has.
    pub(crate) fn outlines(&self) -> Vec<OutlineId> {
        let mut all: Vec<OutlineId> = self.items.iter().flat_map(Item::choices).map(|c| c.outline).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The most choices that any placement of an item has.
    pub(crate) fn most_choices(&self, item: usize) -> u8 {
        let parts = self.items[item].ways.iter().flat_map(|w| &w.parts);
        parts.map(|p| p.choices.len().min(255) as u8).max().unwrap_or(0)
    }

    /// What a part that offers the same in the same order has in place of the choice of a spot, both laid in one way.
    pub(crate) fn counterpart(&self, way: u8, spot: &Spot, (item, part): (u32, u8)) -> Choice {
        let which = self.choices(way, spot.item, spot.part).iter().position(|&choice| choice == spot.choice);
        self.choices(way, item, part)[which.expect("a spot has a choice of its part")]
    }

    /// How a part of an item may lie when that is laid in one of its ways.
    #[inline]
    pub(crate) fn choices(&self, way: u8, item: u32, part: u8) -> &[Choice] {
        &self.items[item as usize].ways[way as usize].parts[part as usize].choices
    }

    /// Is there height enough in its band?
    pub(crate) fn fits(&self, choice: Choice, bands: &[(i64, i64)]) -> bool {
        let (low, high) = bands[choice.band as usize];
        self.shapes.outline(choice.outline).height <= high - low
    }

    /// Changes a fold depth, if there is any: just deep enough for some piece, or just shallow enough for some piece
    /// beside the fold, or a small change, or any depth.
    pub(crate) fn change_depth(&self, all: &mut [Depths], rng: &mut Pcg64Mcg) {
        let freedom = self.room.freedom();
        if freedom == 0 {
            return;
        }
        let mut which = rng.random_range(0..freedom);
        let mut s = 0;
        while which >= self.room.stretches[s].freedom() {
            which -= self.room.stretches[s].freedom();
            s += 1;
        }
        let Stretch::Cloth { layout, let_out, .. } = &self.room.stretches[s] else { return };
        let depths = all[s];
        let choice = {
            let item = &self.items[rng.random_range(0..self.items.len())];
            let way = &item.ways[rng.random_range(0..item.ways.len())];
            let part = &way.parts[rng.random_range(0..way.parts.len())];
            part.choices[rng.random_range(0..part.choices.len())]
        };
        let height = self.shapes.outline(choice.outline).height - let_out;
        all[s][which] = match rng.random_range(0..4) {
            0 | 1 if choice.band as usize % BANDS == 1 => {
                (layout.width - layout.selvage - height) / 2 - depths[1 - which]
            }
            0 | 1 => height + layout.selvage,
            2 => depths[which] + rng.random_range(-layout.width / 20..=layout.width / 20),
            _ => rng.random_range(0..=layout.width / 2),
        };
        all[s] = self.room.stretches[s].clamp(all[s]);
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
        let bands = self.room.bands(lay.depths());
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
            let item = Item { ways: vec![Way { parts: vec![Part { choices }] }], size: 0 };
            items.extend(std::iter::repeat_n(item, *quantity as usize));
        }
        shapes.seal();
        Task { shapes: Arc::new(shapes), items, room: Room::one(Stretch::Strip(0, height)), flexible: false }
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

impl Spot {
    /// The same, further along the lay by `by` (back below 0).
    pub(crate) fn shifted(self, by: i64) -> Spot {
        Spot { at: self.at + Point::new(by, 0), ..self }
    }
}

/// A layout without overlap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Lay {
    /// Cloth that it takes.
    pub(crate) length: i64,
    /// How each stretch lies.
    pub(crate) extents: Vec<Extent>,
    /// The way chosen for each item.
    pub(crate) ways: Vec<u8>,
    pub(crate) spots: Vec<Spot>,
}

/// A lay is long when it is longer than so many times its height.
const LONG: i64 = 4;

/// Is a lay of these stretches many times longer than their bands are high, all together?
pub(crate) fn is_long(extents: &[Extent], bands: &[(i64, i64)]) -> bool {
    extents[extents.len() - 1].end > LONG * breadth(bands)
}

/// How high all bands are together, with what lies between them.
pub(crate) fn breadth(bands: &[(i64, i64)]) -> i64 {
    let low = bands.iter().map(|band| band.0).min().unwrap_or(0);
    let high = bands.iter().map(|band| band.1).max().unwrap_or(0);
    high - low
}

/// Makes stretch `s` longer by `by` (shorter below 0) and moves all that follows along.
pub(crate) fn lengthen(extents: &mut [Extent], spots: &mut [Spot], s: usize, by: i64) {
    extents[s].end += by;
    for extent in &mut extents[s + 1..] {
        extent.start += by;
        extent.end += by;
    }
    for spot in spots.iter_mut().filter(|spot| Room::stretch_of(spot.choice) > s) {
        spot.at.x += by;
    }
}

impl Lay {
    /// The fold depths of each stretch.
    pub(crate) fn depths(&self) -> impl Iterator<Item = Depths> + '_ {
        self.extents.iter().map(|e| e.depths)
    }

    /// Ends every stretch where its last outline ends, and moves what follows up to it. Where obstacles would then lie
    /// elsewhere, a stretch keeps its length.
    pub(crate) fn tighten(&mut self, task: &Task) {
        let (room, count) = (&task.room, self.extents.len());
        for s in 0..count {
            let own = self.spots.iter().filter(|spot| Room::stretch_of(spot.choice) == s);
            let end = own.map(|spot| spot.at.x + task.shapes.outline(spot.choice.outline).width).max();
            let Extent { start, end: before, .. } = self.extents[s];
            let end = end.unwrap_or(start).max(if room.keeps_length(s) { before } else { start });
            lengthen(&mut self.extents, &mut self.spots, s, end - before);
        }
        self.length = room.cloth(&self.extents);
    }
}
