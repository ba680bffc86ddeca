//! [`Rival`]: lays of everything that are their own images, searched in a race with the lanes that search the whole.

use rand_pcg::Pcg64Mcg;

use super::half_turn::HalfTurn;
use super::plan::Plan;
use super::task::{Lay, Task};
use super::twins::Twins;

/// The search for such lays, and how the race stands.
pub(crate) struct Rival<'a> {
    search: HalfTurn<'a>,
    /// Rounds that either has had.
    rounds: u64,
    /// Is the shortest lay so far one of these?
    leads: bool,
}

/// The race goes on, from ever new starts, until these lays have gained nothing for so many times as long as it took to get
/// there. With once 60 s of two threads took the albano board to 89.2 % and mao to 85.4.
const PATIENCE: u64 = 4;

impl<'a> Rival<'a> {
    /// Beside the search of a lay that was found first; none where something in it has no image.
    pub(crate) fn of(task: &'a Task, first: &Lay, lanes: u32, rng: &mut Pcg64Mcg) -> Option<Rival<'a>> {
        let plan = Plan::large_first(task, first.depths().collect())?;
        let twins = Twins::of(task, first.spots.iter().map(|spot| (spot.item, spot.part)))?;
        if !twins.are_all() {
            return None;
        }
        let search = HalfTurn::of(task, &plan, twins, lanes, rng)?;
        Some(Rival { search, rounds: 0, leads: true })
    }

    /// The shortest such lay so far.
    pub(crate) fn best(&self) -> &Lay {
        self.search.best()
    }

    /// Is the next round that of these lays? Who is shorter has four rounds to one of the other: twelve polygons twice came to
    /// 94.0 % after 10 s instead of 95.0 where these lays had all, and the albano board to 88.9 instead of 89.3 where it had none.
    /// Where these are the shorter ones and stand still either has as many.
    pub(crate) fn has_the_turn(&self) -> bool {
        let [own, theirs] = match self.leads {
            true if self.search.stands_still(1) => [1, 1],
            true => [1, 4],
            false => [4, 1],
        };
        let others = self.rounds - self.search.rounds();
        (self.search.rounds() + 1) * own <= (others + 1) * theirs
    }

    /// Works until each lane has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        self.search.work(measures);
    }

    /// After a round, whoever worked in it: `best` is the shortest lay so far.
    pub(crate) fn round_done(&mut self, best: &Lay) {
        self.rounds += 1;
        self.leads = self.best().length <= best.length;
    }

    /// Is the race over?
    pub(crate) fn is_over(&self) -> bool {
        self.search.stands_still(PATIENCE)
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.search.evaluations()
    }
}
