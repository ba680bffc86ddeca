//! [`HalfTurn`]: lays that are their own images when turned by a half about their middle.
//!
//! Where nearly everything is there twice and may be turned, half of the pieces are free to move and the other half follow as
//! their images. Such lays are found many times sooner than others, and are often as dense as any.

use std::sync::Arc;

use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::bottom_left::fill;
use super::descent::Descent;
use super::plan::Plan;
use super::separate::Lane;
use super::stream::branch;
use super::task::{Lay, Task};
use super::twins::Twins;

/// The search for such a lay.
pub(crate) struct HalfTurn<'a> {
    task: &'a Task,
    twins: Arc<Twins>,
    strands: Vec<Strand<'a>>,
    best: Lay,
    /// In rounds.
    descent: Descent,
    round: u64,
}

/// One search after another, each from another fill and until it gets nowhere.
struct Strand<'a> {
    lane: Lane<'a>,
    rng: Pcg64Mcg,
    /// Evaluations of those that are over, and of fills.
    past: u64,
}

/// Rounds so few that no gain is taken to have come sooner: some five seconds, in which some ten starts are gone on with.
const SHORT: u64 = 100;

impl<'a> HalfTurn<'a> {
    /// From a plan for some twins; none where something does not fit across.
    pub(crate) fn of(
        task: &'a Task,
        plan: &Plan,
        twins: Twins,
        lanes: u32,
        rng: &mut Pcg64Mcg,
    ) -> Option<HalfTurn<'a>> {
        let twins = Arc::new(twins);
        let (start, _) = start(task, plan.clone(), &twins)?;
        let best = twins.whole(task, &start);
        let strand = |_| {
            let lane = Lane::turned(task, start.clone(), Arc::clone(&twins), branch(rng));
            Strand { lane, rng: branch(rng), past: 0 }
        };
        let strands = (0..lanes).map(strand).collect();
        let descent = Descent::new(best.length, 0, SHORT);
        Some(HalfTurn { task, twins, strands, best, descent, round: 0 })
    }

    /// The shortest so far, with all images.
    pub(crate) fn best(&self) -> &Lay {
        &self.best
    }

    /// Rounds it has had.
    pub(crate) fn rounds(&self) -> u64 {
        self.round
    }

    /// Has it gained nothing for so many times as long as it took to get here?
    pub(crate) fn stands_still(&self, times: u64) -> bool {
        self.descent.stands_still(self.round, times)
    }

    /// Works until each lane has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        self.round += 1;
        let (task, twins) = (self.task, &self.twins);
        self.strands.par_iter_mut().for_each(|strand| strand.work(task, twins, measures));
        let found = self.strands.iter().map(|strand| strand.lane.best()).min_by_key(|lay| lay.length);
        if let Some(lay) = found.filter(|lay| lay.length < self.best.length) {
            self.best = twins.whole(task, lay);
        }
        self.descent.note(self.best.length, self.round);
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.strands.iter().map(|strand| strand.past + strand.lane.evaluations()).sum()
    }
}

impl<'a> Strand<'a> {
    fn work(&mut self, task: &'a Task, twins: &Arc<Twins>, measures: u64) {
        if self.lane.is_over() {
            self.begin_anew(task, twins);
        }
        self.lane.run(measures);
    }

    fn begin_anew(&mut self, task: &'a Task, twins: &Arc<Twins>) {
        let plan = Plan::mixed(task, self.lane.best(), &mut self.rng);
        if let Some((start, tests)) = start(task, plan, twins) {
            self.past += self.lane.evaluations() + tests;
            self.lane = Lane::turned(task, start, Arc::clone(twins), branch(&mut self.rng));
        }
    }
}

/// A lay of what moves by a plan, with as much room again for its images; and how many positions were tested for it.
fn start(task: &Task, plan: Plan, twins: &Twins) -> Option<(Lay, u64)> {
    let (mut lay, tests) = fill(task, &plan.limited_to(twins.moving()))?;
    let length = lay.extents[0].length();
    lay.extents[0].end += length;
    lay.length = task.room.cloth(&lay.extents);
    Some((lay, tests))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::floor::Floor;
    use crate::search::stream::stream;

    #[test]
    fn lays_that_are_their_own_images_get_shorter_until_they_get_nowhere() {
        let either = || vec![Turn::None, Turn::Half];
        let single = (Polygon::rectangle(700, 800), 1, vec![Turn::None]);
        let task = Task::board(
            8000,
            &[(hook(), 16, either()), (Polygon::rectangle(2700, 1300), 8, either()), single],
        );
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let all = 0..task.items.len() as u32;
        let twins =
            || Twins::of(&task, all.clone().map(|item| (item, 0))).expect("nearly all are there twice");
        const MEASURES: u64 = 200_000;
        let search = |rounds: u64| {
            let mut search =
                HalfTurn::of(&task, &plan, twins(), 2, &mut stream(5, 0, 0, 4)).expect("all fits across");
            let first = search.best().length;
            let over = (1..=rounds).find(|_| {
                search.work(MEASURES);
                search.stands_still(1)
            });
            (first, over, search)
        };
        let (first, over, found) = search(2000);
        assert!(over.is_some_and(|rounds| rounds > SHORT + 1), "over after {over:?} rounds");
        let best = found.best();
        assert!(best.length < first * 9 / 10, "{} of {first}", best.length);
        assert!(Floor::of(&task, best).total() == 0.0, "nothing overlaps");
        let mut items: Vec<u32> = best.spots.iter().map(|spot| spot.item).collect();
        items.sort_unstable();
        assert!(items.into_iter().eq(0..25), "every item once");
        // The same again gives the same.
        let (_, _, mut again) = search(over.unwrap_or(0));
        assert_eq!((again.best(), again.evaluations()), (best, found.evaluations()));
        // Where a strand begins anew its lay is longer, and what was found is kept.
        let strand = &mut again.strands[0];
        let before = strand.lane.best().length;
        strand.begin_anew(&task, &found.twins);
        assert!(strand.past > 0 && strand.lane.best().length > before);
        again.work(MEASURES);
        assert!(again.best().length <= best.length && again.evaluations() > found.evaluations());
    }
}
