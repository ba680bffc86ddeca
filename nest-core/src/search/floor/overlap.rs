//! What overlaps on a floor, how much that costs, and what one more position would cost.

use super::{Floor, Hit, Work};
use crate::geometry::Point;
use crate::search::measure::{Depth, Glance};
use crate::search::shapes::OutlineId;
use crate::search::task::Choice;

impl<'a> Floor<'a> {
    /// Would `choice` at `at` overlap spot `j`? Exact for the outlines of the task.
    pub(in crate::search) fn meets(&self, choice: Choice, at: Point, j: usize) -> bool {
        let other = &self.spots[j];
        self.task.shapes.overlap(other.choice.outline, other.at, choice.outline, at)
    }

    /// Would the image of `choice` at `at` overlap that itself? Exact for the outlines of the task.
    pub(in crate::search) fn meets_its_image(&self, choice: Choice, at: Point) -> bool {
        let image = self.images().map(|images| images.opposite(self.task, choice, at));
        image.is_some_and(|(outline, there)| self.task.shapes.overlap(outline, there, choice.outline, at))
    }

    /// Would the image of `choice` at `at` overlap spot `j`? Exact for the outlines of the task.
    pub(in crate::search) fn image_meets(&self, choice: Choice, at: Point, j: usize) -> bool {
        let image = self.images().map(|images| images.opposite(self.task, choice, at));
        let other = &self.spots[j];
        image.is_some_and(|(outline, there)| {
            self.task.shapes.overlap(other.choice.outline, other.at, outline, there)
        })
    }

    /// The box of a choice at a place.
    pub(in crate::search) fn box_of(&self, choice: Choice, at: Point) -> [f32; 4] {
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
        let mut sum = self.cost_of_image(k, choice, at, work);
        if sum + floor_sum >= limit {
            return f32::INFINITY;
        }
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

    /// What spot `k` would cost by its image, as `choice` at `at`: by meeting that, and by what that meets and nobody else
    /// counts, which is whatever moves and has no image.
    fn cost_of_image(&self, k: usize, choice: Choice, at: Point, work: &mut Work) -> f32 {
        let Some(images) = self.images() else { return 0.0 };
        let Some(image) = images.image_of(k) else { return 0.0 };
        let (outline, there) = images.opposite(self.task, choice, at);
        work.measures += 1;
        let mut sum = self.overlap((outline, there), (choice.outline, at)) * self.weights.against(k, image);
        self.boxes.meeting(self.task.shapes.outline(outline).box_at(there), |j| {
            if images.is_single(j) {
                let other = &self.spots[j];
                work.measures += 1;
                sum += self.overlap((other.choice.outline, other.at), (outline, there))
                    * self.weights.of(image, j);
            }
        });
        sum
    }

    /// The unweighted overlap that spot `k` would have with spot `j` as `choice` at `at`.
    fn overlap_with(&self, k: usize, choice: Choice, at: Point, j: usize) -> f32 {
        debug_assert!(k != j, "a spot is not measured against itself");
        let other = &self.spots[j];
        self.overlap((other.choice.outline, other.at), (choice.outline, at))
    }

    /// The unweighted overlap of two outlines at their places: the depth and the touch, times the size factors of both.
    fn overlap(&self, (fixed, there): (OutlineId, Point), (moving, at): (OutlineId, Point)) -> f32 {
        let shapes = &self.task.shapes;
        let meet = || shapes.overlap(fixed, there, moving, at);
        let known = shapes.known_pair(fixed, moving);
        // Few of those beside each other need a table to tell.
        if known.is_none() && !meet() {
            return 0.0;
        }
        let depth = match known.unwrap_or_else(|| shapes.pair(fixed, moving)).depth(at - there) {
            Depth::Free => return 0.0,
            Depth::Near(_) if known.is_some() && !meet() => return 0.0,
            Depth::Inside(d) | Depth::Near(d) => d,
        };
        (depth + shapes.touch()) * shapes.outline(moving).root * shapes.outline(fixed).root
    }

    /// Measures spot `k` against the spots from `first` on; what was known of it against them is forgotten.
    pub(super) fn measure_row(&mut self, k: usize, first: usize) {
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
            if moves && j >= first && !self.keep_apart(k, j) {
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
        let images = self.images();
        let image =
            images.and_then(|images| Some((images.image_of(k)?, images.image(self.task, &self.spots[k])?)));
        if let Some((j, image)) = image {
            self.put_one(j, image.choice, image.at);
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
        let own: f32 = self.weighted(k).map(|(_, cost)| cost).sum();
        let Some(images) = self.images() else { return own };
        let Some(image) = images.image_of(k) else { return own };
        own + self.weighted(image).filter(|&(j, _)| images.is_single(j)).map(|(_, cost)| cost).sum::<f32>()
    }

    /// Whom spot `k` overlaps, and what that costs.
    fn weighted(&self, k: usize) -> impl Iterator<Item = (usize, f32)> {
        self.overlaps[k].iter().map(move |&(j, d)| (j as usize, d * self.weights.of(k, j as usize)))
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use rand::RngExt;

    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill;
    use crate::search::floor::{Place, Scratch};
    use crate::search::plan::Plan;
    use crate::search::stream::stream;
    use crate::search::task::Task;
    use crate::search::twins::Twins;

    #[test]
    fn with_images_a_position_costs_what_lies_there_then() {
        let either = || vec![Turn::None, Turn::Half];
        let single = (Polygon::rectangle(1500, 2100), 1, vec![Turn::None]);
        let task =
            Task::board(9000, &[(hook(), 14, either()), (Polygon::rectangle(900, 700), 4, either()), single]);
        let all = (0..task.items.len() as u32).map(|item| (item, 0));
        let twins = Arc::new(Twins::of(&task, all).expect("all but one are there twice"));
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let (lay, _) = fill(&task, &plan.limited_to(twins.moving())).expect("a plan that fits");
        let mut floor = Floor::turned(&task, &lay, twins);
        assert_eq!((floor.movable, floor.spots.len()), (10, 19));
        floor.shorten(0, Place::From(lay.length / 3), -lay.length / 4);
        let mut rng = stream(7, 0, 0, 9);
        let mut scratch = Scratch::default();
        let (mut at_images, mut by_images) = (0, 0);
        for step in 0..3000 {
            let k = step % floor.movable;
            let choices = &task.items[floor.spots[k].item as usize].ways[0].parts[0].choices;
            let choice = choices[rng.random_range(0..choices.len())];
            let (low, high) = floor.range(choice);
            let at = Point::new(rng.random_range(low.x..=high.x), rng.random_range(low.y..=high.y));
            floor.take_up(k);
            let cost = floor.cost(k, choice, at, f32::INFINITY, &mut scratch.work);
            let by = Point::new(900, 900);
            scratch.near.gather(&floor, k, choice, at - by, at + by);
            let near = scratch.cost(&floor, choice, at, f32::INFINITY);
            floor.put(k, choice, at);
            let own = floor.own_cost(k);
            assert!(
                (cost - own).abs() <= 1e-4 * own && (near - own).abs() <= 1e-4 * own,
                "{cost}, {near}, {own}"
            );
            let images = floor.images().expect("it has images");
            if let Some(image) = images.image_of(k) {
                at_images += usize::from(floor.overlaps[k].iter().any(|&(j, _)| j as usize == image));
                by_images +=
                    usize::from(floor.overlaps[image].iter().any(|&(j, _)| images.is_single(j as usize)));
            }
            if step % 100 == 0 {
                let (total, rows) = (floor.total(), floor.overlaps.clone());
                floor.rebuild();
                assert!((floor.total() - total).abs() <= 1e-4 * total, "{} and {total}", floor.total());
                assert!(rows.iter().zip(&floor.overlaps).all(|(a, b)| a.len() == b.len()));
                floor.reweigh();
            }
        }
        assert!(at_images > 50 && by_images > 50, "{at_images} and {by_images}");
    }
}
