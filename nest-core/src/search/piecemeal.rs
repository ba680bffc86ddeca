//! [`Piecemeal`]: a lay searched otherwise than as a whole: a small one as its own image, in turn with the whole, a large one
//! first in groups, then in these, in windows and as a whole in turn.

use rand_pcg::Pcg64Mcg;

use super::compact::compact;
use super::groups::{Groups, SMALL};
use super::rival::Rival;
use super::separate::Role;
use super::stream::branch;
use super::task::{Anchor, Item, Lay, Task};
use super::windows::Windows;

/// The search of one task in parts, as far as it has any.
pub(crate) struct Piecemeal<'a> {
    task: &'a Task,
    /// In turn with the lanes that search the whole, until that is over.
    half_turn: Option<Rival<'a>>,
    /// Before anything else until they stand still, then every other round.
    groups: Option<Groups<'a>>,
    still: Option<Still>,
    windows: Option<Windows<'a>>,
    /// Evaluations of what is over.
    done: u64,
}

/// Groups that stand still, which they may do for long before one of them is laid anew.
#[derive(Clone, Copy, Debug)]
struct Still {
    /// Rounds since, of whomever.
    rounds: u64,
    /// How long their lay was when it was last pushed together.
    closed: i64,
}

/// A lay of groups is pushed together again when it is shorter by this part: that takes as long as a few rounds.
const GAIN: f64 = 0.000_5;

impl<'a> Piecemeal<'a> {
    /// The parts of a lay that was found first.
    pub(crate) fn of(task: &'a Task, first: &Lay, lanes: u32, mut rng: Pcg64Mcg) -> Piecemeal<'a> {
        let mut parts =
            Piecemeal { task, half_turn: None, groups: None, still: None, windows: None, done: 0 };
        if !has_parts(task) {
            return parts;
        }
        let mut own = branch(&mut rng);
        parts.groups = Groups::of(task, first, lanes, own.clone());
        if parts.groups.is_none() && first.spots.len() <= SMALL {
            parts.half_turn = Rival::of(task, first, lanes, &mut own);
        }
        parts.windows = Windows::of(task, first, lanes, rng);
        parts
    }

    /// What lanes are for that search the whole.
    pub(crate) fn role(&self) -> fn(u32) -> Role {
        if self.half_turn.is_some() { Role::beside_half_turns } else { Role::of }
    }

    /// Do lanes that search the whole share only what they have found themselves?
    pub(crate) fn leaves_lanes_alone(&self) -> bool {
        self.half_turn.is_some()
    }

    /// Are there groups to search before anything else?
    pub(crate) fn begins_with_groups(&self) -> bool {
        self.groups.is_some()
    }

    /// Is the next round that of parts?
    pub(crate) fn has_the_turn(&self) -> bool {
        match &self.half_turn {
            Some(rival) => rival.has_the_turn(),
            None => self.are_groups_due() || self.windows.as_ref().is_some_and(Windows::have_the_turn),
        }
    }

    /// Is the next round that of groups?
    fn are_groups_due(&self) -> bool {
        self.groups.is_some() && self.still.is_none_or(|still| !still.rounds.is_multiple_of(2))
    }

    /// Works until each lane of the parts at hand has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        let due = self.are_groups_due();
        if let Some(rival) = &mut self.half_turn {
            rival.work(measures);
        } else if let Some(groups) = self.groups.as_mut().filter(|_| due) {
            groups.work(measures);
        } else if let Some(windows) = &mut self.windows {
            windows.work(measures);
        }
    }

    /// The whole lay with what the parts have gained; none when windows have gained nothing.
    pub(crate) fn whole(&self) -> Option<Lay> {
        match (&self.half_turn, &self.groups) {
            (Some(rival), _) => Some(rival.best().clone()),
            (None, Some(groups)) if self.are_groups_due() => Some(groups.whole()),
            (None, _) => self.windows.as_ref()?.whole(),
        }
    }

    /// After a round, whoever worked in it: `best` is the shortest lay so far. When groups come to stand still, and whenever they
    /// have gained since, what they leave open where they meet is closed: the shorter lay, if there is one.
    #[must_use]
    pub(crate) fn round_done(&mut self, best: &Lay) -> Option<Lay> {
        if let Some(rival) = &mut self.half_turn {
            rival.round_done(best);
            if let Some(over) = self.half_turn.take_if(|rival| rival.is_over()) {
                self.done += over.evaluations();
                self.restart(best);
            }
            return None;
        }
        let due = self.are_groups_due();
        if let Some(still) = &mut self.still {
            still.rounds += 1;
        }
        let Some(groups) = self.groups.as_mut().filter(|_| due) else {
            if let Some(windows) = &mut self.windows {
                windows.round_done(best);
            }
            return None;
        };
        groups.round_done();
        let closed = match &mut self.still {
            None if groups.stand_still() => {
                self.still = Some(Still { rounds: 0, closed: groups.length() });
                compact(self.task, best)
            }
            Some(still) if (groups.length() as f64) < still.closed as f64 * (1.0 - GAIN) => {
                still.closed = groups.length();
                compact(self.task, &groups.whole())
            }
            _ => return None,
        };
        let shorter = closed.filter(|lay| lay.length < best.length);
        self.restart(shorter.as_ref().unwrap_or(best));
        shorter
    }

    /// Goes on from a lay that was found elsewhere, which is no gain of windows. Groups go on as they are.
    pub(crate) fn restart(&mut self, best: &Lay) {
        let begun = self.groups.is_none() || self.still.is_some();
        if let Some(windows) = self.windows.as_mut().filter(|_| begun) {
            windows.restart(best);
        }
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        let half_turn = self.half_turn.as_ref().map_or(0, Rival::evaluations);
        let groups = self.groups.as_ref().map_or(0, Groups::evaluations);
        self.done + half_turn + groups + self.windows.as_ref().map_or(0, Windows::evaluations)
    }
}

/// Can what is laid be cut across and put together again? Not with flaws of the cloth in fixed places, with several stretches,
/// or with pieces on a fold at the start.
fn has_parts(task: &Task) -> bool {
    let mut choices = task.items.iter().flat_map(Item::choices);
    let room = &task.room;
    room.stretches.len() == 1
        && room.obstacles.is_empty()
        && choices.all(|choice| choice.anchor != Anchor::Start)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;
    use crate::invented::{hook, sets};
    use crate::search::bottom_left::fill_large_first;
    use crate::search::floor::Floor;
    use crate::search::stream::stream;

    #[test]
    fn lays_that_are_their_own_images_have_most_rounds_while_they_are_the_shortest() {
        let task = Task::board(8000, &[(hook(), 20, vec![Turn::None, Turn::Half])]);
        let first = fill_large_first(&task).expect("every piece fits across");
        let rounds = |others: i64| {
            let mut parts = Piecemeal::of(&task, &first, 2, stream(3, 0, 0, 4));
            assert!(parts.leaves_lanes_alone() && !parts.begins_with_groups());
            assert_eq!(parts.role()(0), Role::Loner);
            let (mut own, mut best) = (0, first.clone());
            for _ in 0..50 {
                if parts.has_the_turn() {
                    own += 1;
                    parts.work(20_000);
                    let lay = parts.whole().expect("it has a lay");
                    assert!(Floor::of(&task, &lay).total() == 0.0, "nothing overlaps");
                    best = if lay.length < best.length { lay } else { best };
                } else {
                    // What the others find is so much longer.
                    best.length = best.length.min(parts.whole().expect("it has a lay").length + others);
                }
                assert!(parts.round_done(&best).is_none());
            }
            own
        };
        assert_eq!((rounds(1), rounds(-1)), (40, 10));
        // Where one has no image there are none.
        let odd = Task::board(8000, &[(hook(), 21, vec![Turn::None, Turn::Half])]);
        let first = fill_large_first(&odd).expect("every piece fits across");
        assert!(!Piecemeal::of(&odd, &first, 2, stream(3, 0, 0, 4)).leaves_lanes_alone());
    }

    #[test]
    fn groups_that_stand_still_have_every_other_round_and_what_they_gain_counts() {
        let task = sets(4, &[(2700, 1300, 7), (700, 3100, 4)]);
        let mut best = fill_large_first(&task).expect("every piece fits across");
        let mut parts = Piecemeal::of(&task, &best, 2, stream(3, 0, 0, 4));
        assert!(parts.begins_with_groups());
        // A round as the search has them, with others that find nothing: was it that of groups?
        let mut round = |parts: &mut Piecemeal<'_>| {
            let due = parts.are_groups_due();
            assert!(!due || parts.has_the_turn());
            if due {
                parts.work(10_000);
                let lay = parts.whole().expect("it has a lay");
                best = if lay.length < best.length { lay } else { best.clone() };
            }
            if let Some(closed) = parts.round_done(&best) {
                assert!(closed.length < best.length && Floor::of(&task, &closed).total() == 0.0);
                best = closed;
            }
            due
        };
        let first = (1..2000).find(|_| {
            assert!(round(&mut parts), "they have all rounds");
            parts.still.is_some()
        });
        assert!(first.is_some(), "they come to stand still");
        let turns: Vec<bool> = (0..6).map(|_| round(&mut parts)).collect();
        assert_eq!(turns, [false, true, false, true, false, true]);
        // Whatever they come to is much shorter than this.
        let still = parts.still.as_mut().expect("so");
        still.closed *= 2;
        let known = still.closed;
        round(&mut parts);
        assert_eq!(parts.still.map(|still| still.closed), Some(known), "not theirs");
        round(&mut parts);
        let groups = parts.groups.as_ref().expect("they go on");
        assert_eq!(parts.still.map(|still| still.closed), Some(groups.length()));
    }
}
