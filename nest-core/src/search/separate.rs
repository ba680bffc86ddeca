//! Separation at a fixed length: shorten the lay, let pieces overlap, move one at a time until none does.
//!
//! Guided local search for overlap minimisation (J. Egeblad, B. K. Nielsen & A. Odgaard, "Fast neighborhood search for two-
//! and three-dimensional nesting problems", EJOR 183, 2007; S. Umetani et al., "Solving the irregular strip packing problem
//! via guided local search for overlap minimization", ITOR 16, 2009; T. Imamichi, M. Yagiura & H. Nagamochi, "An iterated
//! local search algorithm based on nonlinear programming for the irregular strip packing problem", Discrete Optimization 6,
//! 2009). We part from them in the measure (exact penetration depth and a constant for each pair that overlaps, times the
//! fourth root of the areas) and in the move (see [`super::settle`]).

use std::sync::Arc;

use rand::RngExt;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64Mcg;

use super::bottom_left::fill;
use super::descent::Descent;
use super::disturb::disturb;
use super::floor::{Floor, Held, Place, Scratch};
use super::plan::Plan;
use super::pool::Pool;
use super::settle::{Draws, settle};
use super::task::{Lay, Spot, Task};
use super::twins::Twins;

/// What a lane does when it gets nowhere any more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Role {
    /// Goes on with the shortest lay that any lane has found.
    Keeper,
    /// Begins anew from another bottom-left fill and takes over no lay of other lanes until that leads no further, unless it is
    /// to [pursue](Lane::pursue) one; then it joins the others for twice as long: after a while all lays near the shortest have
    /// been tried, and without that a small lay of twelve pieces stays where it is for ever.
    Rover,
    /// Looks at no lay of others until it gets nowhere, and then keeps to the shortest.
    Loner,
}

impl Role {
    /// The first lane keeps to the shortest lay, all others rove.
    pub(crate) fn of(lane: u32) -> Role {
        if lane == 0 { Role::Keeper } else { Role::Rover }
    }

    /// The same where lays have been found that are dense because they are their own images: to shorten such a lay is hard, and
    /// on a way of its own the first lane may find one that is denser and is not.
    pub(crate) fn beside_half_turns(lane: u32) -> Role {
        if lane == 0 { Role::Loner } else { Role::Rover }
    }
}

/// What an attempt is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Goal {
    /// A clearly shorter lay.
    Explore,
    /// A hair shorter than the best.
    Compress,
    /// A failed layout with a little more room, still shorter than the best.
    Relax,
}

/// Where an attempt begins by shortening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Loss {
    /// At the end of a stretch.
    AtEnd,
    /// At a cut at random, with what lies beyond pushed back.
    Within,
    /// All along a stretch: from the end of a long lay what is pushed in takes long to get to where there is room.
    Everywhere,
}

/// One attempt to separate at one length.
#[derive(Clone, Debug)]
struct Attempt {
    goal: Goal,
    /// What the overlaps of the best layout so far cost, its depths alone, and its spots.
    least: f32,
    depth: f32,
    spots: Vec<Spot>,
    /// Sweeps since the cost fell by a fiftieth.
    idle: u32,
    strikes: u32,
    began: u64,
}

/// Sweeps without progress that make a strike; the fall in total overlap that counts as progress; strikes that end an attempt.
const IDLE: u32 = 100;
const PROGRESS: f32 = 0.98;
const STRIKES: u32 = 3;

/// Half a second's depths: a descent is given at least twice that.
const SHORT: u64 = 8_000_000;

/// One search of one task, advanced in counted steps.
pub(crate) struct Lane<'a> {
    task: &'a Task,
    role: Role,
    /// Is it on a way of its own?
    alone: bool,
    descent: Descent,
    rng: Pcg64Mcg,
    scratch: Scratch<'a>,
    floor: Floor<'a>,
    best: Lay,
    /// What it had when it began anew, if that was in its last round: the others have not seen it yet.
    left: Option<Lay>,
    attempt: Attempt,
    /// Part of the length to take off next when exploring, and when compressing.
    explore_step: f64,
    compress_step: f64,
    /// Failed layouts at about the present length.
    pool: Pool,
    /// Measures spent on exploring and on compressing.
    explored: u64,
    compressed: u64,
}

/// A bottom-left fill is often a tenth too long: the first steps are bold, and given up early.
const BOLD: f64 = 0.032;
const EXPLORE_MOST: f64 = 0.008;
const EXPLORE_LEAST: f64 = 0.001;
const COMPRESS_MOST: f64 = 0.0008;
const COMPRESS_LEAST: f64 = 0.00002;
/// Part of the work given to compressing once exploring has begun to fail.
const COMPRESS_SHARE: f64 = 0.25;

impl<'a> Lane<'a> {
    /// Starts from a lay without overlap, of all items or of some.
    pub(crate) fn new(task: &'a Task, start: Lay, role: Role, rng: Pcg64Mcg) -> Lane<'a> {
        Lane::on(Floor::of(task, &start), start, role, BOLD, rng)
    }

    /// Starts from a part of such a lay, with what lies about it held: it keeps to that part.
    pub(crate) fn within(task: &'a Task, part: Lay, about: Vec<Held>, rng: Pcg64Mcg) -> Lane<'a> {
        Lane::on(Floor::of_part(task, &part, about), part, Role::Keeper, EXPLORE_MOST, rng)
    }

    /// Starts from a lay that follows itself without end and keeps to it.
    pub(crate) fn endless(task: &'a Task, start: Lay, rng: Pcg64Mcg) -> Lane<'a> {
        Lane::on(Floor::endless(task, &start), start, Role::Keeper, EXPLORE_MOST, rng)
    }

    /// Starts from a lay of what moves, with room for the images of that, and keeps to it.
    pub(crate) fn turned(task: &'a Task, start: Lay, twins: Arc<Twins>, rng: Pcg64Mcg) -> Lane<'a> {
        Lane::on(Floor::turned(task, &start, twins), start, Role::Keeper, BOLD, rng)
    }

    fn on(floor: Floor<'a>, start: Lay, role: Role, explore_step: f64, rng: Pcg64Mcg) -> Lane<'a> {
        let task = floor.task;
        let attempt = Attempt {
            goal: Goal::Explore,
            least: f32::INFINITY,
            depth: f32::INFINITY,
            spots: Vec::new(),
            idle: 0,
            strikes: 0,
            began: 0,
        };
        let mut lane = Lane {
            task,
            role,
            alone: role == Role::Loner,
            descent: Descent::new(start.length, 0, SHORT),
            rng,
            scratch: Scratch::default(),
            floor,
            best: start,
            left: None,
            attempt,
            explore_step,
            compress_step: COMPRESS_MOST,
            pool: Pool::new(),
            explored: 0,
            compressed: 0,
        };
        lane.explore();
        lane
    }

    /// The shortest lay so far; of a lane that begins anew the shortest since, from the next round on.
    pub(crate) fn best(&self) -> &Lay {
        self.left.as_ref().filter(|left| left.length < self.best.length).unwrap_or(&self.best)
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.scratch.work.evaluations
    }

    /// Does it get nowhere any more?
    pub(crate) fn is_over(&self) -> bool {
        self.descent.is_over(self.scratch.work.measures)
    }

    /// Takes over a shorter lay found elsewhere, unless the lane is on a way of its own.
    pub(crate) fn adopt(&mut self, lay: &Lay) {
        if !self.alone && lay.length < self.best.length {
            self.improve(lay.clone());
            self.pool.clear();
            if self.floor.cloth() >= lay.length {
                self.account();
                self.explore();
            }
        }
    }

    /// Starts anew from a lay that is shorter than the best and whose pieces overlap, even on a way of its own.
    pub(crate) fn pursue(&mut self, lay: &Lay) {
        self.account();
        // It may take as long to separate as any attempt: only from a fill are bold steps given up early.
        self.explore_step = self.explore_step.min(EXPLORE_MOST);
        self.floor.reset(lay);
        self.begin(Goal::Explore);
    }

    /// Works until about `measures` more depths have been measured.
    pub(crate) fn run(&mut self, measures: u64) {
        self.left = None;
        let until = self.scratch.work.measures + measures;
        while self.scratch.work.measures < until {
            self.sweep();
        }
    }

    fn sweep(&mut self) {
        let mut moving = self.floor.overlapping();
        moving.shuffle(&mut self.rng);
        for &k in &moving {
            settle(&mut self.floor, k as usize, DRAWS, &mut self.rng, &mut self.scratch);
        }
        // Even an idle sweep counts as work, so that a lane always comes to its end.
        self.scratch.work.measures += 1 + moving.len() as u64;
        let total = self.floor.total();
        if total == 0.0 {
            self.succeed();
            return;
        }
        self.floor.reweigh();
        let attempt = &mut self.attempt;
        attempt.idle = if total < attempt.least * PROGRESS { 0 } else { attempt.idle + 1 };
        if total < attempt.least {
            attempt.least = total;
            attempt.depth = self.floor.total_depth();
            attempt.spots.clear();
            attempt.spots.extend_from_slice(self.floor.moving());
        }
        let (idle, strikes) = match attempt.goal {
            Goal::Explore if self.explore_step > EXPLORE_MOST => (IDLE / 4, 1),
            Goal::Explore => (IDLE, STRIKES),
            Goal::Compress | Goal::Relax => (IDLE / 2, 1),
        };
        if attempt.idle >= idle {
            attempt.idle = 0;
            attempt.strikes += 1;
            // Where an attempt leads to that has failed before, it ends.
            let known = attempt.goal == Goal::Explore
                && self.pool.twin(self.task, &attempt.spots).is_some_and(|least| least <= attempt.least);
            if known || attempt.strikes >= strikes {
                self.fail();
            } else {
                self.floor.restore(&self.attempt.spots);
            }
        }
    }

    fn begin(&mut self, goal: Goal) {
        self.attempt.goal = goal;
        self.attempt.least = f32::INFINITY;
        self.attempt.idle = 0;
        self.attempt.strikes = 0;
        self.attempt.began = self.scratch.work.measures;
    }

    fn account(&mut self) {
        let spent = self.scratch.work.measures - self.attempt.began;
        match self.attempt.goal {
            Goal::Explore => self.explored += spent,
            Goal::Compress => self.compressed += spent,
            Goal::Relax => {}
        }
    }

    fn improve(&mut self, lay: Lay) {
        self.descent.note(lay.length, self.scratch.work.measures);
        self.best = lay;
    }

    fn succeed(&mut self) {
        let mut lay = self.floor.to_lay();
        let part = self.floor.is_part();
        if !part {
            lay.tighten(self.task);
        }
        let whole = (!part && self.task.room.obstacles.is_empty()) || self.floor.holds();
        if lay.length >= self.best.length || !whole {
            // Something is longer than what it lies in. The floor is made anew, for each piece at about the cost of a measure: were
            // that not work, a lane that can only fail so, below what the longest piece takes, would hardly come to its end.
            self.scratch.work.measures += self.floor.movable as u64;
            self.attempt.least = f32::INFINITY;
            self.attempt.depth = f32::INFINITY;
            self.attempt.spots = lay.spots;
            self.fail();
            return;
        }
        self.account();
        self.improve(lay);
        match self.attempt.goal {
            Goal::Explore => {
                // A bold step stays as it is.
                self.explore_step = (self.explore_step * 1.2).min(self.explore_step.max(EXPLORE_MOST));
                self.compress_step = COMPRESS_MOST;
                self.pool.clear();
                self.explore();
            }
            Goal::Compress => self.next_goal(),
            Goal::Relax => {
                self.compress_step = COMPRESS_MOST;
                self.next_goal();
            }
        }
    }

    fn fail(&mut self) {
        self.account();
        match self.attempt.goal {
            Goal::Explore if self.explore_step > EXPLORE_MOST => {
                // Too bold: from the best lay again, with a smaller step.
                self.explore_step = (self.explore_step * 0.5).max(EXPLORE_MOST);
                self.explore();
                return;
            }
            Goal::Explore => {
                self.explore_step = (self.explore_step * 0.85).max(EXPLORE_LEAST);
                let mut lay = self.floor.to_lay();
                lay.spots.clone_from(&self.attempt.spots);
                let near = f64::from(self.attempt.depth) < RELAX * (self.best.length - lay.length) as f64;
                let new = self.pool.twin(self.task, &lay.spots).is_none();
                self.pool.put(self.task, self.attempt.least, lay);
                if near && new {
                    self.relax();
                    return;
                }
            }
            Goal::Relax => {}
            Goal::Compress => self.compress_step = (self.compress_step * 0.8).max(COMPRESS_LEAST),
        }
        self.next_goal();
    }

    fn next_goal(&mut self) {
        if (self.role == Role::Rover || self.alone) && self.is_over() && self.go_another_way() {
            return;
        }
        let (explored, compressed) = (self.explored as f64, self.compressed as f64);
        if compressed < COMPRESS_SHARE * (explored + compressed) {
            self.compress();
        } else if self.pool.is_empty() {
            self.explore();
        } else {
            self.retry();
        }
    }

    /// At the end of a way: back to the others, or on a new way of its own. False when that has no start.
    fn go_another_way(&mut self) -> bool {
        if self.alone {
            // What the others have comes after the round.
            self.alone = false;
            self.descent = self.descent.resumed(self.best.length, self.scratch.work.measures);
            return false;
        }
        let plan = Plan::mixed(self.task, &self.best, &mut self.rng);
        let plan = plan.limited_to(self.best.spots.iter().map(|spot| (spot.item, spot.part)));
        let Some((start, tests)) = fill(self.task, &plan) else { return false };
        // A position tested costs about as much as a depth measured.
        self.scratch.work.measures += tests;
        self.scratch.work.evaluations += tests;
        self.alone = true;
        self.descent = Descent::new(start.length, self.scratch.work.measures, SHORT);
        self.left = Some(std::mem::replace(&mut self.best, start));
        self.pool.clear();
        self.explore_step = BOLD;
        self.compress_step = COMPRESS_MOST;
        self.explore();
        true
    }

    /// Makes the floor a part shorter than the best lay.
    fn shorten(&mut self, part: f64, loss: Loss) {
        let by = ((self.best.length as f64 * part) as i64).max(1);
        let ends: Vec<i64> = self.floor.extents.iter().map(|e| e.end).collect();
        let end = ends[ends.len() - 1];
        let x = if loss == Loss::Within || ends.len() > 1 { self.rng.random_range(0..=end) } else { end };
        let s = ends.iter().position(|&e| x <= e).unwrap_or(0);
        let place = match loss {
            Loss::Within => Place::From(x),
            Loss::AtEnd => Place::From(self.floor.cut_for_end(s)),
            Loss::Everywhere => Place::Everywhere,
        };
        self.floor.shorten(s, place, self.floor.cloth() - (self.best.length - by));
        self.floor.turn_what_is_too_long();
    }

    /// From the best lay, a good step shorter.
    fn explore(&mut self) {
        self.floor.reset(&self.best);
        let evenly = self.floor.is_long() && self.rng.random_bool(0.5);
        self.shorten(self.explore_step, if evenly { Loss::Everywhere } else { Loss::AtEnd });
        self.begin(Goal::Explore);
    }

    /// From one of the better failures, disturbed.
    fn retry(&mut self) {
        let chance = near_top(self.rng.random());
        let lay = self.pool.pick(chance).clone();
        self.floor.reset(&lay);
        disturb(&mut self.floor, &mut self.rng);
        self.shorten(self.explore_step, Loss::AtEnd);
        self.begin(Goal::Explore);
    }

    /// The layout that failed, let out at the deepest overlap by about as much as pieces overlap.
    fn relax(&mut self) {
        let missing = self.best.length - self.floor.cloth();
        let by = (self.attempt.depth as i64 + 1).min(missing - 1);
        if by < 1 {
            self.next_goal();
            return;
        }
        self.floor.restore(&self.attempt.spots);
        let (s, cut) = self.floor.deepest_overlap();
        self.floor.shorten(s, Place::From(cut), -by);
        self.begin(Goal::Relax);
    }

    /// From the best lay, cut across at random and what lies beyond pushed back a little.
    fn compress(&mut self) {
        self.floor.reset(&self.best);
        // Some part of the step: small ones reach the last units of pieces that fit exactly.
        let part = self.compress_step * self.rng.random::<f64>();
        self.shorten(part, Loss::Within);
        self.begin(Goal::Compress);
    }
}

/// Where in the pool a failed layout is drawn from, of an even chance: half of them from the first sixteenth.
fn near_top(chance: f64) -> f64 {
    let squared = chance * chance;
    squared * squared
}

/// A failed layout is relaxed when the depths of its overlaps add up to less than so many times what it was shortened by:
/// cheap, as it takes a hundredth of a failed attempt, and most succeed.
const RELAX: f64 = 8.0;

/// Places drawn for each choice of a placement that is moved. As many over the whole lay as contacts: with 10, 5 and 5 the
/// same work made fewer moves and came no further.
pub(super) const DRAWS: Draws = Draws { anywhere: 5, nearby: 3, contacts: 5 };

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill_large_first;
    use crate::search::stream::stream;

    #[test]
    fn cloth_taken_off_all_along_moves_back_more_what_lies_further_along() {
        let task = Task::board(1000, &[(Polygon::rectangle(900, 700), 12, vec![Turn::None])]);
        let lay = fill_large_first(&task).expect("every piece fits across");
        assert_eq!(lay.length, 12 * 900);
        let mut floor = Floor::of(&task, &lay);
        assert!(floor.is_long());
        floor.shorten(0, Place::Everywhere, 1080);
        assert_eq!(floor.cloth(), 9720);
        for (spot, before) in floor.moving().iter().zip(&lay.spots) {
            // A tenth is taken off in front of each; the last ends where the lay does.
            let x = before.at.x - before.at.x / 10;
            assert_eq!(spot.at.x, x.min(9720 - 900));
        }
    }

    #[test]
    fn what_would_stick_out_by_itself_is_turned() {
        let task = Task::board(100, &[(Polygon::rectangle(100, 50), 1, vec![Turn::None, Turn::Quarter])]);
        let start = fill_large_first(&task).expect("it fits across both ways");
        assert_eq!(start.length, 100);
        let mut lane = Lane::new(&task, start, Role::Keeper, stream(1, 0, 0, 1));
        lane.run(2_000);
        assert_eq!(lane.best().length, 50);
    }

    #[test]
    fn a_rover_that_gets_nowhere_begins_anew_and_a_keeper_does_not() {
        let task = Task::board(5000, &[(hook(), 3, vec![Turn::None, Turn::Half])]);
        let start = fill_large_first(&task).expect("every piece fits across");
        let mut lanes =
            [Role::Keeper, Role::Rover].map(|role| Lane::new(&task, start.clone(), role, stream(1, 0, 0, 1)));
        // With the same random numbers both do the same until the first descent is over.
        lanes.iter_mut().for_each(|lane| lane.run(8_000_000));
        assert_eq!(lanes[0].best(), lanes[1].best());
        let shortest = lanes[0].best().clone();
        assert!(shortest.length < start.length);
        let [keeper, rover] = &mut lanes;
        keeper.run(12_000_000);
        assert!(!keeper.alone && keeper.best().length <= shortest.length);
        for _ in 0..40 {
            rover.run(400_000);
            if rover.alone {
                break;
            }
        }
        assert!(rover.alone);
        // What it leaves behind is there for the others until its next round.
        assert!(rover.left.as_ref().is_some_and(|left| rover.best().length <= left.length));
        rover.run(1);
        assert!(rover.left.is_none());
        let (fresh, marked) = (rover.best().length, rover.descent);
        assert_ne!(marked, keeper.descent);
        assert!(Floor::of(&task, rover.best()).total() == 0.0, "the new start has no overlap");
        // It looks at no lay of others, until its own way has come to its end.
        let other = Lay { length: 1, ..shortest };
        rover.adopt(&other);
        assert_eq!(rover.best().length, fresh);
        for _ in 0..80 {
            rover.run(400_000);
            if !rover.alone {
                break;
            }
        }
        rover.adopt(&other);
        assert_eq!(rover.best().length, other.length);
    }

    #[test]
    fn a_loner_keeps_to_the_shortest_lay_once_it_gets_nowhere() {
        let task = Task::board(5000, &[(hook(), 3, vec![Turn::None, Turn::Half])]);
        let start = fill_large_first(&task).expect("every piece fits across");
        let mut loner = Lane::new(&task, start.clone(), Role::beside_half_turns(0), stream(1, 0, 0, 1));
        assert_eq!((loner.role, Role::beside_half_turns(1)), (Role::Loner, Role::Rover));
        let other = Lay { length: 1, ..start };
        let mut last = loner.best().length;
        for _ in 0..100 {
            loner.adopt(&other);
            assert_eq!(loner.best().length, last, "it looks at no lay of others");
            loner.run(400_000);
            last = loner.best().length;
            if !loner.alone {
                break;
            }
        }
        loner.adopt(&other);
        assert_eq!(loner.best().length, other.length);
    }
}
