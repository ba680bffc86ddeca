//! [`Near`]: the placements about one place, made ready for many evaluations of a choice there.
//!
//! A pattern search asks for the cost of some hundred positions within a fraction of a piece's size. What they have in
//! common is worked out once: who can be met at all, which table serves each, the motion into its frame, its weight. An
//! evaluation then looks at eight neighbours at a time, in the frames of their no-fit polygons, and its cost does not
//! grow with the number of placements in the lay.

use wide::f32x8;

use super::floor::{Floor, Work};
use super::measure::{Depth, Frames8, Glance};
use super::shapes::{Pair, PairTable};
use super::task::Choice;
use crate::geometry::Point;

/// What a choice of one spot may meet while its position stays within a window.
#[derive(Clone, Debug, Default)]
pub(crate) struct Near<'a> {
    chunks: Vec<Chunk>,
    neighbours: Vec<Neighbour<'a>>,
    /// Positions for which the list is complete.
    low: Point,
    high: Point,
    /// What every overlap costs beside its depth.
    touch: f32,
}

#[derive(Clone, Copy, Debug)]
struct Neighbour<'a> {
    table: &'a PairTable,
    /// Weight of the pair times the size factors of both.
    factor: f32,
    who: Who,
}

/// Whose position within the frame of a table tells of an overlap.
#[derive(Clone, Copy, Debug)]
enum Who {
    /// That of what is evaluated, against another spot, which stays.
    Itself(u32),
    /// That of what is evaluated against its own image, which moves the other way.
    AgainstImage,
    /// That of its image, against a spot that stays and has no image.
    Image(u32),
}

impl Who {
    /// Exact.
    fn meets(self, floor: &Floor<'_>, choice: Choice, at: Point) -> bool {
        match self {
            Who::Itself(j) => floor.meets(choice, at, j as usize),
            Who::AgainstImage => floor.meets_its_image(choice, at),
            Who::Image(j) => floor.image_meets(choice, at, j as usize),
        }
    }
}

/// Eight neighbours: the linear part of the motion into the frame of each table, where the window's low corner comes to
/// lie, and the frames themselves.
#[derive(Clone, Copy, Debug)]
struct Chunk {
    motion: [f32x8; 4],
    origin: [f32x8; 2],
    frames: Frames8,
}

/// Lanes without a neighbour.
const EMPTY: Chunk = Chunk { motion: [f32x8::ZERO; 4], origin: [f32x8::ZERO; 2], frames: Frames8::EMPTY };

impl<'a> Near<'a> {
    /// Gathers whom spot `k`, taken up last, as `choice` may meet at positions from `low` to `high`.
    ///
    /// # Complexity
    /// O(n) box tests for n placements, and O(1) work for each neighbour.
    pub(crate) fn gather(&mut self, floor: &Floor<'a>, k: usize, choice: Choice, low: Point, high: Point) {
        let shapes = &floor.task.shapes;
        let outline = shapes.outline(choice.outline);
        (self.low, self.high) = (low, high);
        self.touch = shapes.touch();
        self.chunks.clear();
        self.neighbours.clear();
        let around =
            [low.x as f32, (high.x + outline.width) as f32, low.y as f32, (high.y + outline.height) as f32];
        let weights = floor.weights();
        floor.boxes().meeting(around, |j| {
            if !floor.is_same(k, j) {
                let other = &floor.spots[j];
                let pair = shapes.pair(other.choice.outline, choice.outline);
                let factor = weights.against(k, j) * outline.root * shapes.outline(other.choice.outline).root;
                self.add(pair, low - other.at, 1.0, factor, Who::Itself(j as u32));
            }
        });
        let Some(images) = floor.images() else { return };
        let Some(image) = images.image_of(k) else { return };
        let (turned, far) = images.opposite(floor.task, choice, low);
        let (_, near) = images.opposite(floor.task, choice, high);
        let factor = weights.against(k, image) * outline.root * outline.root;
        self.add(shapes.pair(turned, choice.outline), low - far, 2.0, factor, Who::AgainstImage);
        let around =
            [near.x as f32, (far.x + outline.width) as f32, near.y as f32, (far.y + outline.height) as f32];
        floor.boxes().meeting(around, |j| {
            if images.is_single(j) {
                let other = &floor.spots[j];
                let pair = shapes.pair(other.choice.outline, turned);
                let factor = weights.of(image, j) * outline.root * shapes.outline(other.choice.outline).root;
                self.add(pair, far - other.at, -1.0, factor, Who::Image(j as u32));
            }
        });
    }

    /// Adds a neighbour: in its table lies what moves at `by` when the position is the low corner of the window, and moves so
    /// many times as far as the position does.
    fn add(&mut self, pair: Pair<'a>, by: Point, times: f32, factor: f32, who: Who) {
        let (motion, origin) = pair.frame(by);
        let lane = self.neighbours.len() % 8;
        if lane == 0 {
            self.chunks.push(EMPTY);
        }
        let last = self.chunks.len() - 1;
        let chunk = &mut self.chunks[last];
        let set = |field: &mut f32x8, value: f32| field.as_mut_array()[lane] = value;
        chunk.motion.iter_mut().zip(motion).for_each(|(f, v)| set(f, v * times));
        chunk.origin.iter_mut().zip(origin).for_each(|(f, v)| set(f, v));
        chunk.frames.set(lane, pair.table().measure());
        self.neighbours.push(Neighbour { table: pair.table(), factor, who });
    }

    /// Is the list complete for this position?
    #[inline]
    pub(crate) fn covers(&self, at: Point) -> bool {
        at.x >= self.low.x && at.x <= self.high.x && at.y >= self.low.y && at.y <= self.high.y
    }

    /// The weighted overlap at a position inside the window; anything not below `limit` may be cut short.
    pub(crate) fn cost(
        &self,
        floor: &Floor<'a>,
        choice: Choice,
        at: Point,
        limit: f32,
        work: &mut Work,
    ) -> f32 {
        debug_assert!(self.covers(at), "the window holds the position");
        work.evaluations += 1;
        let from = at - self.low;
        let (x, y) = (f32x8::splat(from.x as f32), f32x8::splat(from.y as f32));
        let hits = &mut work.met;
        hits.clear();
        let mut promised = 0.0f32;
        for (c, chunk) in self.chunks.iter().enumerate() {
            // Exact: the motion is a quarter turn or a reflection, at the most twice as far, and the window is smaller than 2^23.
            let qx = chunk.motion[0] * x + chunk.motion[1] * y + chunk.origin[0];
            let qy = chunk.motion[2] * x + chunk.motion[3] * y + chunk.origin[1];
            let (mut mask, cells) = chunk.frames.look(qx, qy);
            while mask != 0 {
                let lane = mask.trailing_zeros() as usize;
                mask &= mask - 1;
                let (qx, qy) = (qx.as_array()[lane], qy.as_array()[lane]);
                let neighbour = &self.neighbours[c * 8 + lane];
                let cell = cells[lane] as usize;
                if let Glance::AtLeast(least) = neighbour.table.measure().promise(cell) {
                    // Where the raster promises no depth, nothing may be touched.
                    let least = if least > 0.0 { least + self.touch } else { 0.0 };
                    let at_least = least * neighbour.factor;
                    promised += at_least;
                    hits.push(Hit { neighbour: (c * 8 + lane) as u32, at_least, cell: cell as u32, qx, qy });
                }
            }
            if promised >= limit {
                return f32::INFINITY;
            }
        }
        let mut sum = 0.0f32;
        for hit in hits.iter() {
            let neighbour = &self.neighbours[hit.neighbour as usize];
            work.measures += 1;
            let measure = neighbour.table.measure();
            let depth = match measure.depth_in(hit.cell as usize, hit.qx, hit.qy) {
                Depth::Free => 0.0,
                Depth::Inside(d) => d + self.touch,
                Depth::Near(d) if neighbour.who.meets(floor, choice, at) => d + self.touch,
                Depth::Near(_) => 0.0,
            };
            sum += depth * neighbour.factor;
            promised -= hit.at_least;
            if sum + promised.max(0.0) >= limit {
                return f32::INFINITY;
            }
        }
        sum
    }
}

/// A neighbour whose no-fit polygon may hold the position.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hit {
    neighbour: u32,
    at_least: f32,
    /// Of the raster of its table.
    cell: u32,
    qx: f32,
    qy: f32,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill_large_first;
    use crate::search::floor::{Place, Scratch};
    use crate::search::task::Task;

    #[test]
    fn neighbours_cost_what_a_look_at_everybody_costs() {
        let turns = vec![Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarter];
        let task =
            Task::board(9000, &[(hook(), 14, turns), (Polygon::rectangle(700, 1300), 9, vec![Turn::None])]);
        let lay = fill_large_first(&task).expect("every piece fits across");
        let mut floor = Floor::of(&task, &lay);
        floor.shorten(0, Place::From(i64::MAX), lay.length / 4);
        let mut scratch = Scratch::default();
        let (mut free, mut overlapping) = (0, 0);
        for k in 0..floor.movable {
            floor.take_up(k);
            for &choice in &task.items[k].ways[0].parts[0].choices {
                let (low, high) = floor.range(choice);
                let middle = Point::new((low.x + high.x) / 2, (low.y + high.y) / 2);
                for (from, to) in [(low, middle), (middle, high)] {
                    scratch.near.gather(&floor, k, choice, from, to);
                    for step in 0..60 {
                        let part = |a: i64, b: i64, of: i64| a + (b - a) * (step * of % 61) / 60;
                        let at = Point::new(part(from.x, to.x, 7), part(from.y, to.y, 23));
                        let near = scratch.cost(&floor, choice, at, f32::INFINITY);
                        let all = floor.cost(k, choice, at, f32::INFINITY, &mut scratch.work);
                        // The same numbers, added in another grouping of products.
                        assert!((near - all).abs() <= 1e-5 * all, "{near} and {all} at {at:?}");
                        assert_eq!(near == 0.0, all == 0.0, "free is free at {at:?}");
                        *if all == 0.0 { &mut free } else { &mut overlapping } += 1;
                    }
                }
            }
        }
        assert!(free > 100 && overlapping > 1000, "both kinds were met: {free} and {overlapping}");
    }
}
