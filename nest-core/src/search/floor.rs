//! [`Floor`]: placements that may overlap, at a fixed length, and what one more position would cost.

mod overlap;

use std::sync::Arc;

use super::boxes::Boxes;
use super::near::{self, Near};
use super::task::{Anchor, Choice, Extent, Lay, Room, Spot, Task, is_long, lengthen};
use super::turned::Turned;
use super::twins::Twins;
use super::weights::Weights;
use crate::geometry::Point;

/// Placements in a lay of given length and fold depths, overlaps allowed; and the obstacles among them.
#[derive(Clone, Debug)]
pub(crate) struct Floor<'a> {
    pub(crate) task: &'a Task,
    pub(crate) extents: Vec<Extent>,
    /// The bands of all stretches at the present depths.
    bands: Vec<(i64, i64)>,
    pub(crate) ways: Vec<u8>,
    /// What moves, then the obstacles and what is held.
    pub(crate) spots: Vec<Spot>,
    /// How many move.
    pub(crate) movable: usize,
    beyond: Beyond,
    boxes: Boxes,
    weights: Weights,
    /// For each spot, the others that it overlaps and what that costs, unweighted: the depth and the touch, times the size
    /// factors of both.
    overlaps: Vec<Vec<(u32, f32)>>,
}

/// What lies beyond the ends of a floor.
#[derive(Clone, Debug)]
enum Beyond {
    /// Nothing: the lay is whole.
    Nothing,
    /// What lies about a part of a lay.
    Held(Vec<Held>),
    /// The same lay again, before it and after it: each placement is followed by its two images.
    Itself,
    /// Nothing, but what moves is followed by images of its own, turned by a half about the middle of the floor.
    Turned(Turned),
}

/// A placement beside a part of a lay, which keeps its distance from where the part starts or ends.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Held {
    /// Its place is told from the start of the part.
    FromStart(Spot),
    /// Its place is told from the end of the part.
    FromEnd(Spot),
}

/// Where cloth is taken off a stretch.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Place {
    /// What begins here or further along moves back by all of it.
    From(i64),
    /// Everything moves back, the more the further along it begins.
    Everywhere,
}

/// What evaluations need and leave behind, kept to spare allocations.
#[derive(Clone, Debug, Default)]
pub(crate) struct Scratch<'a> {
    pub(crate) near: Near<'a>,
    pub(crate) work: Work,
}

/// Buffers of an evaluation, and the count of work done.
#[derive(Clone, Debug, Default)]
pub(crate) struct Work {
    hits: Vec<Hit>,
    pub(super) met: Vec<near::Hit>,
    /// Candidate positions evaluated.
    pub(crate) evaluations: u64,
    /// Depths measured: the unit in which work is counted.
    pub(crate) measures: u64,
}

impl<'a> Scratch<'a> {
    /// The weighted overlap at a position that the neighbours gathered last cover.
    #[inline]
    pub(crate) fn cost(&mut self, floor: &Floor<'a>, choice: Choice, at: Point, limit: f32) -> f32 {
        self.near.cost(floor, choice, at, limit, &mut self.work)
    }
}

#[derive(Clone, Copy, Debug)]
struct Hit {
    other: u32,
    at_least: f32,
}

impl<'a> Floor<'a> {
    /// The floor of a lay.
    pub(crate) fn of(task: &'a Task, lay: &Lay) -> Floor<'a> {
        Floor::among(task, lay, Beyond::Nothing)
    }

    /// The floor of a part of a lay of one stretch, with what lies about it.
    pub(crate) fn of_part(task: &'a Task, part: &Lay, surroundings: Vec<Held>) -> Floor<'a> {
        Floor::among(task, part, Beyond::Held(surroundings))
    }

    /// The floor of a lay of one stretch that follows itself without end: what reaches past its end meets what lies at its start.
    pub(crate) fn endless(task: &'a Task, lay: &Lay) -> Floor<'a> {
        Floor::among(task, lay, Beyond::Itself)
    }

    /// The floor of a lay of what moves, with the images of that.
    pub(crate) fn turned(task: &'a Task, moving: &Lay, twins: Arc<Twins>) -> Floor<'a> {
        Floor::among(task, moving, Beyond::Turned(Turned::new(twins)))
    }

    fn among(task: &'a Task, lay: &Lay, beyond: Beyond) -> Floor<'a> {
        let mut floor = Floor {
            task,
            extents: Vec::new(),
            bands: Vec::new(),
            ways: Vec::new(),
            spots: Vec::new(),
            movable: 0,
            beyond,
            boxes: Boxes::default(),
            weights: Weights::default(),
            overlaps: Vec::new(),
        };
        floor.reset(lay);
        floor
    }

    /// As a lay, which it is only when nothing overlaps.
    pub(crate) fn to_lay(&self) -> Lay {
        Lay {
            length: self.cloth(),
            extents: self.extents.clone(),
            ways: self.ways.clone(),
            spots: self.moving().to_vec(),
        }
    }

    /// Takes over other spots, ways, depths and lengths, with all weights at one.
    pub(crate) fn reset(&mut self, lay: &Lay) {
        self.extents.clone_from(&lay.extents);
        self.bands = self.task.room.bands(lay.depths());
        self.ways.clone_from(&lay.ways);
        self.spots.clone_from(&lay.spots);
        self.movable = self.spots.len();
        self.rebuild();
        self.weights.reset(self.spots.len());
    }

    /// Takes over positions only, keeping weights: for going back to an earlier moment of the same separation.
    pub(crate) fn restore(&mut self, spots: &[Spot]) {
        self.spots.clear();
        self.spots.extend_from_slice(spots);
        self.rebuild();
    }

    /// Clamps every spot into its stretch, puts the obstacles and what is held in their places and measures every pair anew.
    pub(crate) fn rebuild(&mut self) {
        self.spots.truncate(self.movable);
        for s in 0..self.extents.len() {
            let fixed = self.task.room.fixed(&self.task.shapes, &self.extents, s);
            // Nothing is laid past the end of a stretch.
            self.spots.extend(fixed.into_iter().filter(|spot| spot.at.x < self.extents[s].end));
        }
        for k in 0..self.movable {
            let spot = self.spots[k];
            self.spots[k].at = self.clamp(spot.choice, spot.at);
        }
        let Extent { start, end, .. } = self.extents[0];
        match &mut self.beyond {
            Beyond::Nothing => {}
            Beyond::Turned(turned) => {
                let images = turned.images_of(self.task, &self.spots, &self.extents, &self.bands);
                self.spots.extend(images);
            }
            Beyond::Held(all) => self.spots.extend(all.iter().map(|held| match held {
                Held::FromStart(spot) => spot.shifted(start),
                Held::FromEnd(spot) => spot.shifted(end),
            })),
            Beyond::Itself => {
                let images = |k: usize| [start - end, end - start].map(|by| self.spots[k].shifted(by));
                let all: Vec<Spot> = (0..self.movable).flat_map(images).collect();
                self.spots.extend(all);
            }
        }
        let n = self.spots.len();
        self.boxes = Boxes::default();
        self.overlaps.iter_mut().for_each(Vec::clear);
        self.overlaps.resize_with(n, Vec::new);
        for k in 0..n {
            let spot = self.spots[k];
            self.boxes.set(k, self.box_of(spot.choice, spot.at));
        }
        self.boxes.sort();
        for k in 0..self.movable {
            self.measure_row(k, k);
        }
    }

    /// Is this a part of a lay, about which others lie? It ends where it must, and its fold depths are those of the whole.
    pub(crate) fn is_part(&self) -> bool {
        !matches!(self.beyond, Beyond::Nothing)
    }

    /// The images of what moves, where it has images that are turned by a half.
    #[inline]
    pub(super) fn images(&self) -> Option<&Turned> {
        match &self.beyond {
            Beyond::Turned(turned) => Some(turned),
            _ => None,
        }
    }

    fn is_endless(&self) -> bool {
        matches!(self.beyond, Beyond::Itself)
    }

    /// Are both the same placement, or images of the same? What it would cost to meet its images is no matter of where they lie
    /// now: they move with it.
    #[inline]
    pub(super) fn is_same(&self, k: usize, j: usize) -> bool {
        self.keep_apart(k, j) || self.images().is_some_and(|images| images.image_of(k) == Some(j))
    }

    /// Are both the same placement, or images of it in an endless floor, which keep their distance from it?
    fn keep_apart(&self, k: usize, j: usize) -> bool {
        k == j || (self.is_endless() && self.original(k) == self.original(j))
    }

    /// Of which placement of an endless floor this is an image.
    fn original(&self, k: usize) -> usize {
        if k < self.movable { k } else { (k - self.movable) / 2 }
    }

    /// The spots that move.
    pub(crate) fn moving(&self) -> &[Spot] {
        &self.spots[..self.movable]
    }

    /// Cloth that the lay takes.
    pub(crate) fn cloth(&self) -> i64 {
        self.task.room.cloth(&self.extents)
    }

    /// Takes `by` of cloth off stretch `s` (or adds, below 0), at a place in it or all along, and moves back all that
    /// follows; spots past its end are moved in. Of several stretches none is made shorter than its longest outline; the
    /// rest is then taken off the others.
    pub(crate) fn shorten(&mut self, s: usize, place: Place, by: i64) {
        let count = self.extents.len();
        let mut left = by;
        for k in 0..count {
            let at = (s + k) % count;
            let per = self.task.room.stretches[at].cloth_per_lay();
            let spare = if count == 1 { i64::MAX } else { self.extents[at].length() - self.longest_in(at) };
            let step = if left < 0 { left / per } else { ((left + per - 1) / per).min(spare) };
            left -= step * per;
            if k == 0 {
                let Extent { start, end, .. } = self.extents[at];
                let shapes = &self.task.shapes;
                let is_turned = self.images().is_some();
                let own =
                    self.spots[..self.movable].iter_mut().filter(|spot| Room::stretch_of(spot.choice) == at);
                for spot in own {
                    spot.at.x -= match place {
                        // Images are taken off as much at the image of the cut.
                        Place::From(cut) if is_turned => {
                            let middle = spot.at.x + shapes.outline(spot.choice.outline).width / 2;
                            let half = step / 2 * i64::from(middle >= cut.min(start + end - cut));
                            half + (step - step / 2) * i64::from(middle >= cut.max(start + end - cut))
                        }
                        Place::From(cut) => step * i64::from(spot.at.x >= cut),
                        Place::Everywhere => step * (spot.at.x - start) / (end - start).max(1),
                    };
                }
            }
            lengthen(&mut self.extents, &mut self.spots[..self.movable], at, -step);
            if left <= 0 {
                break;
            }
        }
        let before = self.spots.len();
        self.rebuild();
        if self.spots.len() != before {
            // Flaws came or went: what the weights were of stands elsewhere.
            self.weights.reset(self.spots.len());
        }
    }

    /// Where a stretch is cut to push its end in. With images both ends move alike: then its middle, across which those lie that
    /// are free to move and their images.
    pub(crate) fn cut_for_end(&self, s: usize) -> i64 {
        let Extent { start, end, .. } = self.extents[s];
        if self.images().is_some() { (start + end) / 2 } else { end }
    }

    /// Where the two spots that overlap most lie one after the other: stretch, and the left side of the second.
    pub(crate) fn deepest_overlap(&self) -> (usize, i64) {
        let mut deepest = (0.0, 0, 0);
        for (k, row) in self.overlaps.iter().enumerate().take(self.movable) {
            for &(j, depth) in row.iter().filter(|&&(_, depth)| depth > 0.0) {
                if depth > deepest.0 {
                    deepest = (depth, k, j as usize);
                }
            }
        }
        let (_, a, b) = deepest;
        let later = if self.spots[a].at.x >= self.spots[b].at.x { a } else { b };
        (Room::stretch_of(self.spots[later].choice), self.spots[later].at.x)
    }

    /// Is the lay many times longer than its bands are high, all together?
    pub(crate) fn is_long(&self) -> bool {
        is_long(&self.extents, &self.bands)
    }

    fn longest_in(&self, s: usize) -> i64 {
        let own = self.moving().iter().filter(|spot| Room::stretch_of(spot.choice) == s);
        own.map(|spot| self.task.shapes.outline(spot.choice.outline).width).max().unwrap_or(0)
    }

    /// The bands at the present depths.
    pub(crate) fn band(&self, choice: Choice) -> (i64, i64) {
        self.bands[choice.band as usize]
    }

    /// The least and greatest corner positions of a choice: ((x, y), (x, y)).
    pub(crate) fn range(&self, choice: Choice) -> (Point, Point) {
        let outline = self.task.shapes.outline(choice.outline);
        let Extent { start, end, .. } = self.extents[Room::stretch_of(choice)];
        let (low, high) = self.band(choice);
        let (mut x1, mut y0, mut y1) =
            ((end - outline.width).max(start), low, (high - outline.height).max(low));
        match choice.anchor {
            Anchor::Free => {}
            Anchor::Low => y1 = low,
            Anchor::High => {
                y1 = high - outline.height;
                y0 = y1;
            }
            Anchor::Start => x1 = start,
        }
        if self.is_endless() {
            x1 = end - 1;
        }
        (Point::new(start, y0), Point::new(x1, y1))
    }

    /// How a placement may lie, in the way that its item is laid now.
    pub(crate) fn choices(&self, spot: &Spot) -> &'a [Choice] {
        self.task.choices(self.ways[spot.item as usize], spot.item, spot.part)
    }

    /// Is there room for this choice, across and along?
    pub(crate) fn fits(&self, choice: Choice) -> bool {
        let (low, high) = self.band(choice);
        let outline = self.task.shapes.outline(choice.outline);
        outline.height <= high - low && outline.width <= self.extents[Room::stretch_of(choice)].length()
    }

    /// Does every outline that moves end within its stretch?
    pub(crate) fn holds(&self) -> bool {
        self.moving().iter().all(|spot| self.fits(spot.choice))
    }

    /// Turns what has become too long for its stretch, where another turn of it fits: by itself it overlaps nothing and would stay.
    pub(crate) fn turn_what_is_too_long(&mut self) {
        for k in 0..self.movable {
            let spot = self.spots[k];
            if self.fits(spot.choice) {
                continue;
            }
            if let Some(&choice) = self.choices(&spot).iter().find(|&&choice| self.fits(choice)) {
                self.put(k, choice, self.clamp(choice, spot.at));
            }
        }
    }

    /// The nearest position that a choice may take.
    pub(crate) fn clamp(&self, choice: Choice, at: Point) -> Point {
        let (low, high) = self.range(choice);
        Point::new(at.x.clamp(low.x, high.x), at.y.clamp(low.y, high.y))
    }

    /// The boxes of all spots.
    pub(super) fn boxes(&self) -> &Boxes {
        &self.boxes
    }

    /// How much each pair counts.
    pub(super) fn weights(&self) -> &Weights {
        &self.weights
    }
}
