//! [`Piecemeal`]: a large lay searched a part at a time: first in groups, then in windows in turn with the whole.

use rand_pcg::Pcg64Mcg;

use super::compact::compact;
use super::groups::Groups;
use super::stream::branch;
use super::task::{Anchor, Item, Lay, Task};
use super::windows::Windows;

/// The search of one task in parts, as far as it has any.
pub(crate) struct Piecemeal<'a> {
    task: &'a Task,
    /// Until they are over.
    groups: Option<Groups<'a>>,
    windows: Option<Windows<'a>>,
    /// Evaluations of groups that are over.
    done: u64,
}

impl<'a> Piecemeal<'a> {
    /// The parts of a lay that was found first.
    pub(crate) fn of(task: &'a Task, first: &Lay, lanes: u32, mut rng: Pcg64Mcg) -> Piecemeal<'a> {
        if !has_parts(task) {
            return Piecemeal { task, groups: None, windows: None, done: 0 };
        }
        let groups = Groups::of(task, first, lanes, branch(&mut rng));
        Piecemeal { task, groups, windows: Windows::of(task, first, lanes, rng), done: 0 }
    }

    /// Are there groups to search before anything else?
    pub(crate) fn begins_with_groups(&self) -> bool {
        self.groups.is_some()
    }

    /// Is the next round that of parts?
    pub(crate) fn has_the_turn(&self) -> bool {
        self.groups.is_some() || self.windows.as_ref().is_some_and(Windows::have_the_turn)
    }

    /// Works until each lane of the parts at hand has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        if let Some(groups) = &mut self.groups {
            groups.work(measures);
        } else if let Some(windows) = &mut self.windows {
            windows.work(measures);
        }
    }

    /// The whole lay with what the parts have gained; none when windows have gained nothing.
    pub(crate) fn whole(&self) -> Option<Lay> {
        match &self.groups {
            Some(groups) => Some(groups.whole()),
            None => self.windows.as_ref()?.whole(),
        }
    }

    /// After a round, whoever worked in it: `best` is the shortest lay so far. When groups are over, what they leave open
    /// where they meet is closed: the shorter lay, if there is one.
    #[must_use]
    pub(crate) fn round_done(&mut self, best: &Lay) -> Option<Lay> {
        let Some(groups) = &mut self.groups else {
            if let Some(windows) = &mut self.windows {
                windows.round_done(best);
            }
            return None;
        };
        groups.round_done();
        if !groups.are_over() {
            return None;
        }
        self.done = groups.evaluations();
        self.groups = None;
        let closed = compact(self.task, best);
        self.restart(closed.as_ref().unwrap_or(best));
        closed
    }

    /// Goes on from a lay that was found elsewhere, which is no gain of windows. Groups go on as they are.
    pub(crate) fn restart(&mut self, best: &Lay) {
        if let (None, Some(windows)) = (&self.groups, &mut self.windows) {
            windows.restart(best);
        }
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        let groups = self.groups.as_ref().map_or(self.done, Groups::evaluations);
        groups + self.windows.as_ref().map_or(0, Windows::evaluations)
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
