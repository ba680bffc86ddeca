//! [`Exemplar`]: a group of nothing but twos, searched as a lay that is its own image, for others to be laid after.
//!
//! A group of two garments of different sizes is not its own image, but one of two garments of either size is, and the other
//! lies nearly as well where that does. An exemplar is never laid itself.

use rand_pcg::Pcg64Mcg;

use super::deal::Unit;
use super::half_turn::HalfTurn;
use super::likeness::Likeness;
use super::model::Model;
use super::plan::Plan;
use super::task::{Lay, Task};
use super::twins::Twins;

/// What it holds, and the search of it.
pub(crate) struct Exemplar<'a> {
    units: Vec<Unit>,
    /// Twice the area of all units.
    area: i64,
    /// How many groups there are that it was made for.
    pub(crate) groups: usize,
    search: HalfTurn<'a>,
}

impl<'a> Exemplar<'a> {
    /// For some groups that are alike; none where too little of one comes in twos.
    pub(crate) fn of(
        task: &'a Task,
        plan: &Plan,
        groups: &[Vec<Unit>],
        lanes: u32,
        likeness: &mut Likeness,
        rng: &mut Pcg64Mcg,
    ) -> Option<Exemplar<'a>> {
        if !Twins::can_be(task) {
            return None;
        }
        let units = in_twos(task, &groups[0], likeness);
        let parts = units.iter().flat_map(|unit| unit.parts(task));
        let search = HalfTurn::of(task, plan, Twins::of(task, parts)?, lanes, rng)?;
        let area = units.iter().map(|unit| unit.doubled_area(task)).sum();
        Some(Exemplar { units, area, groups: groups.len(), search })
    }

    /// The shortest lay so far.
    pub(crate) fn model(&self) -> Model<'_> {
        Model { lay: self.search.best(), units: &self.units, area: self.area }
    }

    /// Its lay, if that is one of just these units.
    pub(crate) fn lay_of(&self, own: &[Unit]) -> Option<&Lay> {
        let is_same = self.units.len() == own.len() && own.iter().all(|unit| self.units.contains(unit));
        is_same.then(|| self.search.best())
    }

    /// Does it get nowhere any more?
    pub(crate) fn is_over(&self) -> bool {
        self.search.stands_still(1)
    }

    /// Rounds it has had.
    pub(crate) fn rounds(&self) -> u64 {
        self.search.rounds()
    }

    /// A round: each lane measures about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        self.search.work(measures);
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.search.evaluations()
    }
}

/// Some units with one of each two that are the same piece in two sizes changed for another of the size of the other, which
/// some other group lays; what has no like is left as it is.
///
/// # Complexity
/// O(n²) differences for n units, and O(n m) comparisons with the m of the task.
fn in_twos(task: &Task, own: &[Unit], likeness: &mut Likeness) -> Vec<Unit> {
    let mut others: Vec<Unit> = Unit::all(task).filter(|unit| !own.contains(unit)).collect();
    let mut left = own.to_vec();
    let mut units = Vec::with_capacity(own.len());
    while let Some(one) = left.pop() {
        units.push(one);
        if let Some(at) = left.iter().position(|other| other.is_like(&one, task)) {
            units.push(left.remove(at));
            continue;
        }
        let mut difference = |at: usize| Some((one.difference(&left[at], task, likeness)?, at));
        let related = (0..left.len()).filter_map(&mut difference).min();
        let Some((_, at)) = related else { continue };
        let other = left.remove(at);
        let mut instead = |like: Unit| {
            let at = others.iter().position(|unit| unit.is_like(&like, task))?;
            Some(others.remove(at))
        };
        match (instead(one), other) {
            (Some(twin), _) => units.push(twin),
            (None, other) => {
                // The other size comes twice, then.
                if let Some(twin) = instead(other) {
                    units.pop();
                    units.push(twin);
                }
                units.push(other);
            }
        }
    }
    units
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};

    /// So many rectangles of each size, which may be turned.
    fn board(sizes: &[(i64, i64, u32)]) -> Task {
        let piece = |&(width, height, n): &(i64, i64, u32)| {
            (Polygon::rectangle(width, height), n, vec![Turn::None, Turn::Half])
        };
        Task::board(9000, &sizes.iter().map(piece).collect::<Vec<_>>())
    }

    #[test]
    fn of_two_sizes_one_comes_twice() {
        // Two sizes of one piece, the first of which is there once more; and a piece of its own.
        let task = board(&[(3000, 2000, 2), (3030, 2000, 1), (900, 700, 1)]);
        let all: Vec<Unit> = Unit::all(&task).collect();
        let [small, spare, large, alone] = all[..] else { panic!("four units") };
        let sorted = |mut units: Vec<Unit>| {
            units.sort_unstable();
            units
        };
        let in_twos = |task: &Task, own: &[Unit]| in_twos(task, own, &mut Likeness::default());
        let made = in_twos(&task, &[small, large, alone]);
        assert_eq!(sorted(made), [small, spare, alone]);
        assert_eq!(sorted(in_twos(&task, &[small, spare, alone])), [small, spare, alone]);
        // Nothing is there to take in place of either.
        let task = board(&[(3000, 2000, 1), (3030, 2000, 1)]);
        let all: Vec<Unit> = Unit::all(&task).collect();
        assert_eq!(sorted(in_twos(&task, &all)), all);
    }
}
