//! Simulated annealing over plans: order, turns, ways of cutting and fold depths, each tried by a bottom-left fill.
//!
//! Reference: A. M. Gomes & J. F. Oliveira, "Solving irregular strip packing problems by hybridising simulated annealing and
//! linear programming", EJOR 171, 2006, for annealing over layouts; here the plan is annealed and the fill rebuilds the lay.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::bottom_left::fill;
use super::plan::Plan;
use super::task::{Lay, Task};

/// An annealing of one task, advanced in counted steps.
#[derive(Debug)]
pub(crate) struct Annealer<'a> {
    task: &'a Task,
    rng: Pcg64Mcg,
    plan: Plan,
    length: i64,
    best: Lay,
    /// Fills done, to do in all, and to do in a round.
    fills: u64,
    total: u64,
    round: u64,
    pub(crate) evaluations: u64,
}

/// Temperature at the start and at the end, as parts of the length: chosen by hand, so that at first a lay 2 % longer is
/// taken about one time in three, and at last only changes for the better.
const HOT: f64 = 0.02;
const COLD: f64 = 0.000_5;

impl<'a> Annealer<'a> {
    /// Starts from a plan whose lay is known; does `fills.0` fills in all, `fills.1` in a round.
    pub(crate) fn new(
        task: &'a Task,
        plan: Plan,
        lay: Lay,
        (total, round): (u64, u64),
        rng: Pcg64Mcg,
    ) -> Annealer<'a> {
        Annealer { task, rng, plan, length: lay.length, best: lay, fills: 0, total, round, evaluations: 0 }
    }

    pub(crate) fn best(&self) -> &Lay {
        &self.best
    }

    pub(crate) fn done(&self) -> bool {
        self.fills >= self.total
    }

    pub(crate) fn task(&self) -> &'a Task {
        self.task
    }

    /// Does the fills of a round.
    pub(crate) fn work(&mut self) {
        for _ in 0..self.round {
            if self.done() {
                return;
            }
            self.step();
        }
    }

    fn step(&mut self) {
        let share = self.fills as f64 / self.total as f64;
        self.fills += 1;
        let temperature = HOT * libm::pow(COLD / HOT, share) * self.length as f64;
        let next = self.neighbour();
        let Some((lay, tests)) = fill(self.task, &next) else { return };
        self.evaluations += tests;
        let worse = (lay.length - self.length) as f64;
        if worse <= 0.0 || self.rng.random::<f64>() < libm::exp(-worse / temperature) {
            self.length = lay.length;
            self.plan = next;
        }
        if lay.length < self.best.length {
            self.best = lay;
        }
    }

    fn neighbour(&mut self) -> Plan {
        let mut plan = self.plan.clone();
        let n = plan.order.len();
        let pick = |rng: &mut Pcg64Mcg| rng.random_range(0..n);
        let rng = &mut self.rng;
        match rng.random_range(0..10) {
            0..=3 => {
                let (a, b) = (pick(rng), pick(rng));
                plan.order.swap(a, b);
            }
            4..=5 => {
                let item = plan.order.remove(pick(rng));
                let at = rng.random_range(0..n);
                plan.order.insert(at, item);
            }
            6..=7 => {
                let i = pick(rng);
                plan.choices[i] = rng.random_range(0..self.task.most_choices(i).max(8));
            }
            8 => {
                let i = pick(rng);
                let ways = self.task.items[i].ways.len();
                plan.ways[i] = rng.random_range(0..ways) as u8;
            }
            _ => self.task.change_depth(&mut plan.depths, rng),
        }
        plan
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::floor::Floor;
    use crate::search::stream::stream;

    #[test]
    fn annealing_shortens_what_is_filled_large_first_in_as_many_fills_as_it_is_given() {
        let either = || vec![Turn::None, Turn::Half];
        let task = Task::board(5000, &[(hook(), 7, either()), (Polygon::rectangle(900, 700), 5, either())]);
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let (first, _) = fill(&task, &plan).expect("a plan that fits");
        let anneal = |seed| {
            let mut annealer =
                Annealer::new(&task, plan.clone(), first.clone(), (200, 30), stream(seed, 0, 0, 9));
            let mut rounds = 0;
            let mut last = first.length;
            while !annealer.done() {
                annealer.work();
                rounds += 1;
                assert!(annealer.best().length <= last, "the best stays");
                last = annealer.best().length;
            }
            assert_eq!((rounds, annealer.fills), (7, 200), "the last round is what is left");
            assert_eq!(Floor::of(&task, annealer.best()).total(), 0.0, "nothing overlaps");
            annealer.best().length
        };
        let lengths: Vec<i64> = (1..=3).map(anneal).collect();
        assert!(lengths.iter().all(|&length| length < first.length), "{lengths:?} for {}", first.length);
        assert_eq!(anneal(1), lengths[0], "the same numbers, the same lay");
    }
}
