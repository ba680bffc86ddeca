//! [`Floor`]: placements that may overlap, at a fixed length, and what one more position would cost.

use super::boxes::Boxes;
use super::measure::{Depth, Glance};
use super::near::{self, Near};
use super::task::{Anchor, Choice, Extent, Lay, Room, Spot, Task, is_long, lengthen};
use super::weights::Weights;
use crate::geometry::Point;

/// Placements in a lay of given length and fold depths, overlaps allowed; and the obstacles among them.
///
/// Boxes are kept a field at a time, padded to eight, for the scan that finds whom a position would touch.
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
        match &self.beyond {
            Beyond::Nothing => {}
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

    fn is_endless(&self) -> bool {
        matches!(self.beyond, Beyond::Itself)
    }

    /// Are both the same placement, or images of the same? None meets its own images, which keep their distance from it.
    #[inline]
    pub(super) fn is_same(&self, k: usize, j: usize) -> bool {
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
                let own =
                    self.spots[..self.movable].iter_mut().filter(|spot| Room::stretch_of(spot.choice) == at);
                for spot in own {
                    spot.at.x -= match place {
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

    /// Would `choice` at `at` overlap spot `j`? Exact.
    pub(super) fn meets(&self, choice: Choice, at: Point, j: usize) -> bool {
        let other = &self.spots[j];
        self.task.shapes.overlap(other.choice.outline, other.at, choice.outline, at)
    }

    /// The box of a choice at a place.
    pub(super) fn box_of(&self, choice: Choice, at: Point) -> [f32; 4] {
        self.task.shapes.outline(choice.outline).box_at(at)
    }

    /// Makes ready for evaluations of spot `k`, with the weights of now.
    pub(crate) fn take_up(&mut self, k: usize) {
        self.weights.take_up(k);
    }

    /// The weighted overlap that spot `k`, taken up last, would have as `choice` at `at`; anything not below `limit` may be cut
    /// short.
    pub(crate) fn cost(&self, k: usize, choice: Choice, at: Point, limit: f32, work: &mut Work) -> f32 {
        let shapes = &self.task.shapes;
        let root = shapes.outline(choice.outline).root;
        work.evaluations += 1;
        work.hits.clear();
        let mut floor_sum = 0.0f32;
        let hits = &mut work.hits;
        self.boxes.meeting(self.box_of(choice, at), |j| {
            // Once too much is promised, nothing more need be known.
            if self.is_same(k, j) || floor_sum >= limit {
                return;
            }
            let other = &self.spots[j];
            let pair = shapes.pair(other.choice.outline, choice.outline);
            if let Glance::AtLeast(d) = pair.glance(at - other.at) {
                // Where the raster promises no depth, nothing may be touched.
                let d = if d > 0.0 { d + shapes.touch() } else { 0.0 };
                let weight = self.weights.against(k, j);
                let at_least = d * weight * root * shapes.outline(other.choice.outline).root;
                floor_sum += at_least;
                hits.push(Hit { other: j as u32, at_least });
            }
        });
        if floor_sum >= limit {
            return f32::INFINITY;
        }
        let mut sum = 0.0f32;
        for h in 0..work.hits.len() {
            let Hit { other: j, at_least } = work.hits[h];
            let j = j as usize;
            work.measures += 1;
            sum += self.overlap_with(k, choice, at, j) * self.weights.against(k, j);
            floor_sum -= at_least;
            if sum + floor_sum.max(0.0) >= limit {
                return f32::INFINITY;
            }
        }
        sum
    }

    /// The unweighted overlap that spot `k` would have with spot `j` as `choice` at `at`.
    fn overlap_with(&self, k: usize, choice: Choice, at: Point, j: usize) -> f32 {
        let shapes = &self.task.shapes;
        let other = &self.spots[j];
        debug_assert!(k != j, "a spot is not measured against itself");
        let depth = match shapes.pair(other.choice.outline, choice.outline).depth(at - other.at) {
            Depth::Free => return 0.0,
            Depth::Inside(d) => d,
            Depth::Near(d) => {
                if !shapes.overlap(other.choice.outline, other.at, choice.outline, at) {
                    return 0.0;
                }
                d
            }
        };
        (depth + shapes.touch())
            * shapes.outline(choice.outline).root
            * shapes.outline(other.choice.outline).root
    }

    /// Measures spot `k` against the spots from `first` on; what was known of it against them is forgotten.
    fn measure_row(&mut self, k: usize, first: usize) {
        let me = k as u32;
        for at in (0..self.overlaps[k].len()).rev() {
            let j = self.overlaps[k][at].0 as usize;
            if j >= first {
                self.overlaps[k].swap_remove(at);
                self.overlaps[j].retain(|&(other, _)| other != me);
            }
        }
        let spot = self.spots[k];
        let mut met = Vec::new();
        self.boxes.meeting(self.box_of(spot.choice, spot.at), |j| {
            let moves = k < self.movable || j < self.movable;
            if moves && j >= first && !self.is_same(k, j) {
                met.push(j);
            }
        });
        for j in met {
            let d = self.overlap_with(k, spot.choice, spot.at, j);
            if d > 0.0 {
                self.overlaps[k].push((j as u32, d));
                self.overlaps[j].push((me, d));
            }
        }
    }

    /// Moves spot `k`, and its images with it.
    pub(crate) fn put(&mut self, k: usize, choice: Choice, at: Point) {
        self.put_one(k, choice, at);
        if self.is_endless() {
            let length = self.extents[0].length();
            let first = self.movable + 2 * k;
            self.put_one(first, choice, at - Point::new(length, 0));
            self.put_one(first + 1, choice, at + Point::new(length, 0));
        }
    }

    fn put_one(&mut self, k: usize, choice: Choice, at: Point) {
        self.spots[k].choice = choice;
        self.spots[k].at = at;
        self.boxes.set(k, self.box_of(choice, at));
        self.measure_row(k, 0);
    }

    /// The weighted overlap of spot `k` where it lies.
    pub(crate) fn own_cost(&self, k: usize) -> f32 {
        self.overlaps[k].iter().map(|&(j, d)| d * self.weights.of(k, j as usize)).sum()
    }

    /// The sum of all depths times the size factors of both.
    pub(crate) fn total_depth(&self) -> f32 {
        let shapes = &self.task.shapes;
        let root = |k: usize| shapes.outline(self.spots[k].choice.outline).root;
        let depths = self.overlaps.iter().enumerate().flat_map(|(k, row)| {
            row.iter().map(move |&(j, cost)| (cost - shapes.touch() * root(k) * root(j as usize)).max(0.0))
        });
        depths.sum::<f32>() * 0.5
    }

    /// What all overlaps cost, unweighted.
    pub(crate) fn total(&self) -> f32 {
        self.overlaps.iter().flatten().map(|&(_, d)| d).sum::<f32>() * 0.5
    }

    /// The spots that overlap with some other.
    pub(crate) fn overlapping(&self) -> Vec<u32> {
        (0..self.movable as u32).filter(|&k| !self.overlaps[k as usize].is_empty()).collect()
    }

    /// The pairs of spots that overlap, the lower index first.
    pub(crate) fn overlapping_pairs(&self) -> impl Iterator<Item = (usize, usize)> {
        let pairs = self.overlaps.iter().enumerate();
        pairs.flat_map(|(k, row)| row.iter().map(move |&(j, _)| (k, j as usize))).filter(|(k, j)| k < j)
    }

    /// Raises the weights of pairs that overlap; the others sink back towards one.
    pub(crate) fn reweigh(&mut self) {
        self.weights.after_sweep(&self.overlaps);
    }
}
