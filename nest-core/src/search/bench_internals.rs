//! The door through which the benches reach the insides of the search. No part of the library's interface: it is there only
//! with the feature `bench-internals`, and what is behind it changes without notice.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::bottom_left::fill;
use super::floor::{Floor, Place, Scratch};
use super::plan::Plan;
use super::separate::DRAWS;
use super::settle::settle;
use super::shapes::{OutlineId, Shapes};
use super::stream::stream;
use super::task::Task;
use crate::board::Board;
use crate::geometry::{Point, Polygon, Pose};

/// Two shapes whose no-fit polygon has not been asked for yet.
#[derive(Debug)]
pub struct Couple {
    shapes: Shapes,
    ids: [OutlineId; 2],
}

impl Couple {
    /// Two different shapes, cut into convex parts.
    pub fn new(a: &Polygon, b: &Polygon) -> Couple {
        let mut shapes = Shapes::default();
        let ids = [a, b].map(|polygon| shapes.add(polygon, Pose::AS_DRAWN));
        shapes.seal();
        Couple { shapes, ids }
    }

    /// Builds the no-fit polygon and its table for measuring; gives the number of corner contacts.
    pub fn build(&self) -> usize {
        self.shapes.pair(self.ids[0], self.ids[1]).contacts()
    }
}

/// A board with all tables that the search of it needs.
#[derive(Debug)]
pub struct Prepared {
    task: Task,
    plan: Plan,
}

impl Prepared {
    /// Builds every table, however many there are.
    ///
    /// # Panics
    /// Never: every piece of a board fits across.
    pub fn new(board: &Board) -> Prepared {
        let pieces: Vec<_> =
            board.pieces().iter().map(|p| (p.outline.clone(), p.quantity, p.turns.clone())).collect();
        let task = Task::board(board.height(), &pieces);
        let outlines = task.outlines();
        for &a in &outlines {
            for &b in &outlines {
                task.shapes.pair(a, b);
            }
        }
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        Prepared { task, plan }
    }

    /// One bottom-left fill, large pieces first; gives the length of the lay.
    ///
    /// # Panics
    /// Never: the plan fits.
    pub fn fill(&self) -> i64 {
        fill(&self.task, &self.plan).expect("a plan that fits").0.length
    }

    /// The lay of a fill cut shorter by a part of its length, so that placements overlap.
    ///
    /// # Panics
    /// When nothing overlaps then.
    pub fn crowd(&self, part: f64) -> Crowd<'_> {
        let (lay, _) = fill(&self.task, &self.plan).expect("a plan that fits");
        let mut floor = Floor::of(&self.task, &lay);
        // Nothing lies beyond this cut, so what sticks out is moved in and the rest stays.
        floor.shorten(0, Place::From(i64::MAX), (lay.length as f64 * part) as i64);
        let overlapping = floor.overlapping();
        assert!(!overlapping.is_empty(), "a shorter lay has overlaps to bench");
        Crowd { floor, overlapping, rng: stream(1, 0, 0, 9), scratch: Scratch::default() }
    }
}

/// Placements that overlap.
#[derive(Clone, Debug)]
pub struct Crowd<'a> {
    floor: Floor<'a>,
    overlapping: Vec<u32>,
    rng: Pcg64Mcg,
    scratch: Scratch<'a>,
}

impl Crowd<'_> {
    /// The inner-fit range of the `turn`-th placement: the least and the greatest position inside its band.
    pub fn range(&self, turn: usize) -> (Point, Point) {
        self.floor.range(self.floor.spots[turn % self.floor.spots.len()].choice)
    }

    /// The weighted overlap of a random placement at a random position, measured to the end.
    pub fn evaluate(&mut self) -> f32 {
        let k = self.rng.random_range(0..self.floor.spots.len());
        let choice = self.floor.spots[k].choice;
        let (low, high) = self.floor.range(choice);
        let at = Point::new(self.rng.random_range(low.x..=high.x), self.rng.random_range(low.y..=high.y));
        self.floor.take_up(k);
        self.floor.cost(k, choice, at, f32::INFINITY, &mut self.scratch.work)
    }

    /// One move of the `turn`-th overlapping placement, which is then put back; did a better place turn up?
    pub fn settle(&mut self, turn: usize) -> bool {
        let k = self.overlapping[turn % self.overlapping.len()] as usize;
        let before = self.floor.spots[k];
        self.rng = stream(1, turn as u64, 0, 9);
        let moved = settle(&mut self.floor, k, DRAWS, &mut self.rng, &mut self.scratch);
        if moved {
            self.floor.put(k, before.choice, before.at);
        }
        moved
    }
}
