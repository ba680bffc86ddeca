//! [`Endless`]: groups that are alike laid as a pattern that follows itself, without straight ends but for those of the lay.
//!
//! Groups searched by themselves end straight across the cloth on both sides and waste some of it wherever two meet. In the
//! pattern, what reaches past the end of one group meets what lies at the start of the next. Where the whole lay begins and
//! ends the pattern is cut off and leaves much open: what lies there is then searched anew, each end by itself.

use rand_pcg::Pcg64Mcg;

use super::deal::Unit;
use super::division::lay_as;
use super::lanes::Lanes;
use super::separate::Lane;
use super::stream::branch;
use super::task::{Lay, Spot, Task};
use super::window::{Open, Window, evaluations, put_back, put_in_order, work};

/// The search of a lay of like groups without ends between them.
pub(crate) struct Endless<'a> {
    task: &'a Task,
    groups: Vec<Vec<Unit>>,
    rng: Pcg64Mcg,
    /// Of one group that follows itself.
    pattern: Lanes<'a>,
    /// The shortest whole lay so far, and how long the pattern was that it was made of.
    whole: Lay,
    made_of: i64,
    /// The two ends of a whole lay, while it is their turn.
    ends: Option<Ends<'a>>,
    /// What had the turn last was so long when it last gained, so many rounds ago.
    gained: i64,
    idle: u64,
    rounds: u64,
    /// Evaluations at ends that were closed.
    closed: u64,
}

/// What lies at the start and at the end of a lay, each searched by itself.
struct Ends<'a> {
    base: Lay,
    open: [Open<'a>; 2],
}

/// Least groups: fewer gain less than is lost at the ends of the lay.
const FEWEST: usize = 5;

/// So many rounds without a gain, a part of the length, end a turn of the pattern or of the ends.
const IDLE: u64 = 10;
const GAIN: f64 = 0.000_5;

impl<'a> Endless<'a> {
    /// Can such groups be laid so, and does it pay? Not where they are few or a length of the lay takes two of cloth.
    pub(crate) fn serves(task: &Task, groups: &[Vec<Unit>]) -> bool {
        groups.len() >= FEWEST && task.room.stretches[0].cloth_per_lay() == 1
    }

    /// From a lay of the first of some groups, all that a task lays; `first` is some lay of the whole.
    pub(crate) fn of(
        task: &'a Task,
        first: &Lay,
        groups: &[Vec<Unit>],
        start: &Lay,
        lanes: usize,
        rng: &mut Pcg64Mcg,
    ) -> Endless<'a> {
        let pattern = (0..lanes).map(|_| Lane::endless(task, start.clone(), branch(rng))).collect();
        let mut endless = Endless {
            task,
            groups: groups.to_vec(),
            rng: branch(rng),
            pattern,
            whole: first.clone(),
            made_of: start.length,
            ends: None,
            gained: start.length,
            idle: 0,
            rounds: 0,
            closed: 0,
        };
        endless.whole = endless.laid();
        endless
    }

    /// The shortest lay so far.
    pub(crate) fn whole(&self) -> &Lay {
        &self.whole
    }

    /// Rounds it has had.
    pub(crate) fn rounds(&self) -> u64 {
        self.rounds
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.closed + self.pattern.evaluations() + self.ends.as_ref().map_or(0, Ends::evaluations)
    }

    /// A round for the pattern or the ends: each lane measures about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        self.rounds += 1;
        let period = self.pattern.best().length;
        let length = match &mut self.ends {
            None => {
                self.pattern.work(measures);
                self.pattern.best().length
            }
            Some(ends) => {
                work(&mut ends.open, measures);
                ends.length()
            }
        };
        self.idle += 1;
        if (length as f64) < self.gained as f64 * (1.0 - GAIN) {
            (self.gained, self.idle) = (length, 0);
        }
        self.take_over(period);
        if self.idle >= IDLE {
            self.next_turn();
        }
    }

    /// Takes over what the round has brought, if it makes the whole shorter; the pattern was so long before.
    fn take_over(&mut self, before: i64) {
        let found = match &self.ends {
            None if self.pattern.best().length < before => Some(self.laid()),
            Some(ends) if ends.length() < self.whole.length => put_back(self.task, &ends.base, &ends.open),
            _ => None,
        };
        if let Some(lay) = found.filter(|lay| lay.length < self.whole.length) {
            self.whole = lay;
        }
    }

    /// The ends after the pattern, of a whole lay made of it if that is a good deal shorter now; the pattern after the ends.
    fn next_turn(&mut self) {
        self.idle = 0;
        let period = self.pattern.best().length;
        if let Some(ends) = self.ends.take() {
            self.closed += ends.evaluations();
            self.gained = period;
            return;
        }
        let shorter = (period as f64) < self.made_of as f64 * (1.0 - GAIN);
        let mut base = self.whole.clone();
        if shorter {
            (base, self.made_of) = (self.laid(), period);
        }
        self.ends = self.cut_off(base);
        self.gained = self.ends.as_ref().map_or(period, Ends::length);
    }

    /// As many placements as a group has at the start of a lay and at its end.
    fn cut_off(&mut self, mut base: Lay) -> Option<Ends<'a>> {
        put_in_order(self.task, &mut base);
        let (count, size) = (base.spots.len(), base.spots.len() / self.groups.len());
        let first = Window::onto(self.task, &base, 0, size)?;
        let last = Window::onto(self.task, &base, count - size, count)?;
        let open = [first, last].map(|window| {
            let rng = branch(&mut self.rng);
            window.open(self.task, &base, rng)
        });
        let [first, last] = &open;
        first.window.is_apart(&last.window).then_some(Ends { base, open })
    }

    /// All groups after the shortest pattern, which begins where it reaches least past its end.
    ///
    /// # Complexity
    /// O(n²) for n placements of a group.
    fn laid(&self) -> Lay {
        let mut period = self.pattern.best().clone();
        let length = period.length;
        let from = |start: i64, spot: &Spot| (spot.at.x - start).rem_euclid(length);
        let reaches = |start: i64| {
            let width = |spot: &Spot| self.task.shapes.outline(spot.choice.outline).width;
            period.spots.iter().map(|spot| from(start, spot) + width(spot)).max().unwrap_or(0)
        };
        let starts = period.spots.iter().map(|spot| spot.at.x);
        let start = starts.min_by_key(|&start| (reaches(start), start)).unwrap_or(0);
        period.spots.iter_mut().for_each(|spot| spot.at.x = from(start, spot));
        let mut lay = Lay { spots: Vec::with_capacity(self.whole.spots.len()), ..self.whole.clone() };
        lay.extents.clone_from(&period.extents);
        lay.extents[0].end = length * self.groups.len() as i64;
        for (group, at) in self.groups.iter().zip((0..).step_by(length as usize)) {
            lay_as(self.task, &period, &self.groups[0], group, at, &mut lay);
        }
        lay.tighten(self.task);
        lay
    }
}

impl Ends<'_> {
    /// Of the whole lay.
    fn length(&self) -> i64 {
        self.base.length - self.open.iter().map(Open::gain).sum::<i64>()
    }

    fn evaluations(&self) -> u64 {
        evaluations(&self.open)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use rand::RngExt;

    use super::*;
    use crate::geometry::Point;
    use crate::invented;
    use crate::search::bottom_left::{fill, fill_large_first};
    use crate::search::deal::{Kinds, divide};
    use crate::search::floor::Floor;
    use crate::search::likeness::Likeness;
    use crate::search::plan::Plan;
    use crate::search::stream::stream;
    use crate::search::task::Extent;

    /// So many sets of five hooks, three slabs and a bar.
    fn sets(count: u32) -> Task {
        invented::sets(count, &[(2700, 1300, 3), (3100, 700, 1)])
    }

    /// Groups of one set each, a lay of the first and one of all.
    fn groups(task: &Task, count: usize) -> (Vec<Vec<Unit>>, Lay, Lay) {
        let kinds = Kinds::of(task, &mut Likeness::default());
        let [groups] = kinds.hand_out(&divide(&kinds, count)).try_into().expect("all groups are alike");
        let plan = Plan::large_first(task, task.room.deepest()).expect("every piece fits across");
        let own = groups[0].iter().flat_map(|unit| unit.parts(task));
        let (start, _) = fill(task, &plan.limited_to(own)).expect("a plan that fits can be laid");
        (groups, start, fill_large_first(task).expect("every piece fits across"))
    }

    #[test]
    fn what_reaches_past_the_end_meets_what_lies_at_the_start() {
        let task = sets(1);
        let mut lay = fill_large_first(&task).expect("every piece fits across");
        lay.length = lay.length * 9 / 10;
        lay.extents = vec![Extent { end: lay.length, ..Extent::default() }];
        let mut rng = stream(8, 0, 0, 9);
        let mut floor = Floor::endless(&task, &lay);
        let (mut across, mut free) = (0, 0);
        for step in 0..400 {
            let k = step % floor.movable;
            let choice = floor.spots[k].choice;
            let (low, high) = floor.range(choice);
            assert_eq!((low.x, high.x), (0, lay.length - 1));
            floor.put(
                k,
                choice,
                Point::new(rng.random_range(low.x..=high.x), rng.random_range(low.y..=high.y)),
            );
            // Five of the same lay one after another: whom does the middle one overlap, as the exact test has it?
            let spots = floor.moving();
            let mut overlapping = BTreeSet::new();
            for (a, one) in spots.iter().enumerate() {
                for (b, other) in spots.iter().enumerate().filter(|&(b, _)| b != a) {
                    for turn in -2..=2 {
                        let at = other.at + Point::new(turn * lay.length, 0);
                        if task.shapes.overlap(one.choice.outline, one.at, other.choice.outline, at) {
                            overlapping.extend([a as u32, b as u32]);
                            across += usize::from(turn != 0);
                        }
                    }
                }
            }
            free += floor.movable - overlapping.len();
            assert!(floor.overlapping().into_iter().eq(overlapping), "after {step} moves");
            // What is known after many moves is what is found anew.
            let anew = Floor::endless(&task, &floor.to_lay());
            assert!((floor.total() - anew.total()).abs() <= 1e-3 * anew.total());
        }
        assert!(across > 100 && free > 100, "{across} overlaps across the end, {free} free placements");
    }

    #[test]
    fn groups_without_ends_between_them_are_shorter_and_all_there() {
        const COUNT: usize = 6;
        let task = sets(COUNT as u32);
        let (groups, start, all) = groups(&task, COUNT);
        let mut rng = stream(3, 0, 0, 9);
        assert!(Endless::serves(&task, &groups));
        let mut endless = Endless::of(&task, &all, &groups, &start, 2, &mut rng);
        assert_eq!(endless.whole().length, COUNT as i64 * start.length, "it begins with straight ends");
        let (mut before, mut turns, mut at_ends) = (endless.whole().length, BTreeSet::new(), 0);
        for _ in 0..80 {
            endless.work(50_000);
            turns.insert(endless.ends.is_some());
            let whole = endless.whole();
            assert!(whole.length <= before);
            at_ends += usize::from(whole.length < before && endless.ends.is_some());
            before = whole.length;
            let floor = Floor::of(&task, whole);
            assert!(floor.total() == 0.0 && floor.holds(), "nothing overlaps or reaches past the end");
            let mut items: Vec<u32> = whole.spots.iter().map(|spot| spot.item).collect();
            items.sort_unstable();
            assert!(items.into_iter().eq(0..task.items.len() as u32), "every item once");
        }
        assert_eq!(turns.len(), 2, "pattern and ends take turns");
        assert!(at_ends > 0, "the ends gain");
        let period = endless.pattern.best().length;
        assert!(period < start.length && before < COUNT as i64 * start.length);
        // Between the ends the pattern is as it was: the whole is longer than so many patterns only by what its ends take.
        assert!(before > (COUNT as i64 - 1) * period);
    }

    #[test]
    fn few_groups_have_straight_ends() {
        let some = |count: usize| {
            let task = sets(count as u32);
            Endless::serves(&task, &groups(&task, count).0)
        };
        assert!(some(FEWEST) && !some(FEWEST - 1));
    }
}
