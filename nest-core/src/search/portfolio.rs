//! The race between spreads: all get a short look, then the rounds go to the most promising.
//!
//! Work is cut into rounds and lanes. A lane works a counted amount in a round and shares nothing until the round is over,
//! so what is found depends on the job, the seed, the number of lanes and the number of rounds, never on threads or time.

use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::anneal::Annealer;
use super::bottom_left::fill;
use super::plan::Plan;
use super::separate::Lane;
use super::stream::stream;
use super::task::{Lay, Task};
use super::{Continue, Event, Observer, Settings};
use crate::answer::{Answer, Bound, Found, Line, Origin, StopReason};
use crate::bound::bound;
use crate::cloth::Cloth;
use crate::demand::{Demand, Demands};
use crate::job::Job;
use crate::length::Length;
use crate::spread::{Family, Refusal};

/// Depths measured by one lane in one round: some tens of milliseconds.
const ROUND: u64 = 400_000;
/// Positions tested by a lane's annealing, and by the fills that look for a first depth: about a second, and a third of
/// one, on small lays.
const ANNEAL_TESTS: u64 = 3_000_000;
const FIRST_TESTS: u64 = 500_000;
/// Rounds in which every spread takes part.
const LOOK: u64 = 4;

/// Searches every admissible spread of one cloth of a job.
///
/// # Complexity
/// As long as the settings or the observer allow; memory is dominated by the no-fit tables, about 3 KiB for each pair of
/// distinct pieces in each relative turn that comes near each other.
pub fn lay(job: &Job, cloth: &Cloth, settings: &Settings, observer: &mut dyn Observer) -> Answer {
    let demands = Demands::new(job, cloth).whole;
    if let Some(demand) = demands.iter().flatten().next() {
        let mut outlines: Vec<_> = demands.iter().flatten().flat_map(|d| d.task.outlines()).collect();
        outlines.sort_unstable();
        outlines.dedup();
        demand.task.shapes.prepare(&outlines);
    }
    let mut refused: Vec<Option<Refusal>> = demands.iter().map(|d| d.as_ref().err().cloned()).collect();
    let mut runners: Vec<Runner<'_>> = Vec::new();
    let started: Vec<(usize, Option<Runner<'_>>)> = demands
        .par_iter()
        .enumerate()
        .filter_map(|(k, demand)| Some((k, Runner::new(k, demand.as_ref().ok()?, settings))))
        .collect();
    for (k, runner) in started {
        match runner {
            Some(runner) => runners.push(runner),
            None => refused[k] = Some(Refusal::NoDepth),
        }
    }
    let area: f64 = runners.first().map_or(0.0, |r| r.demand.total_area_mm2());
    observer.event(&Event::Started {
        cloth: cloth.kind.clone(),
        spreads: runners.len(),
        placements: runners.iter().map(|r| r.best.spots.len()).max().unwrap_or(0),
    });
    let mut round = 0;
    let stopped = loop {
        if runners.is_empty() {
            break StopReason::Nothing;
        }
        hand_over(&mut runners, round);
        for runner in &mut runners {
            runner.report(area, observer);
        }
        if runners.iter().all(Runner::is_optimal) {
            break StopReason::Optimal;
        }
        if settings.rounds == Some(round) {
            break StopReason::Rounds;
        }
        round += 1;
        let ranks = ranks(&runners);
        let mut turns: Vec<&mut Runner<'_>> = runners
            .iter_mut()
            .zip(ranks)
            .filter(|(r, rank)| !r.is_optimal() && (round <= LOOK || round % (rank + 1) == 0))
            .map(|(r, _)| r)
            .collect();
        turns.par_iter_mut().for_each(|r| r.work());
        for runner in &mut turns {
            runner.share(round);
        }
        let best_cloth = runners.iter().map(Runner::cloth).min().map(Length::from_grid);
        let bound_cloth = runners.iter().map(|r| r.bound.length).min().unwrap_or_default();
        let event = Event::RoundDone { round, best_cloth, bound_cloth };
        if observer.event(&event) == Continue::Stop {
            hand_over(&mut runners, round);
            break StopReason::Observer;
        }
    };
    let evaluations = runners.iter().map(Runner::evaluations).sum();
    let mut found: Vec<Option<Found>> = Family::ALL.iter().map(|_| None).collect();
    for runner in runners {
        let index = runner.index;
        found[index] = Some(runner.found());
    }
    let lines = Family::ALL
        .iter()
        .zip(found)
        .zip(refused)
        .map(|((&family, found), refused)| Line {
            family,
            result: found.ok_or_else(|| refused.unwrap_or(Refusal::NoneFound)),
        })
        .collect();
    Answer { cloth: cloth.kind.clone(), lines, stopped, rounds: round, evaluations }
}

/// For each runner, how many others have shorter cloth; equals by their order.
fn ranks(runners: &[Runner<'_>]) -> Vec<u64> {
    let key = |k: usize| (runners[k].cloth(), k);
    (0..runners.len()).map(|k| (0..runners.len()).filter(|&j| key(j) < key(k)).count() as u64).collect()
}

/// Folded lays opened out are starts for single thickness, which is therefore never longer.
fn hand_over(runners: &mut [Runner<'_>], round: u64) {
    let Some(at) = runners.iter().position(|r| Family::ALL[r.index] == Family::Single) else { return };
    let single = runners[at].demand;
    let opened = runners
        .iter()
        .enumerate()
        .filter(|&(k, r)| k != at && r.cloth() < runners[at].cloth())
        .filter_map(|(_, r)| r.demand.opened_out(&r.best, single))
        .min_by_key(|lay| lay.length);
    if let Some(lay) = opened {
        runners[at].take(lay, Origin::OpenedOut, round);
    }
}

/// The search of one spread.
struct Runner<'a> {
    /// Index into [`Family::ALL`].
    index: usize,
    demand: &'a Demand,
    lanes: Vec<Stage<'a>>,
    best: Lay,
    bound: Bound,
    origin: Origin,
    round: u64,
    reported: i64,
}

/// Where a lane stands: it anneals first, then separates.
enum Stage<'a> {
    Annealing(Box<Annealer<'a>>, Pcg64Mcg),
    Separating(Box<Lane<'a>>),
}

impl<'a> Runner<'a> {
    fn new(index: usize, demand: &'a Demand, settings: &Settings) -> Option<Runner<'a>> {
        let task = &demand.task;
        let (plan, best, tests) = first_lay(task, settings.seed, index)?;
        // Fewer fills for larger lays, whose fills take longer.
        let fills = (ANNEAL_TESTS / tests.max(1)).clamp(4, 1000);
        let lanes = (0..settings.lanes)
            .map(|lane| {
                let rng = |purpose| stream(settings.seed, index as u64, u64::from(lane), purpose);
                Stage::Annealing(
                    Box::new(Annealer::new(task, plan.clone(), best.clone(), fills, rng(0))),
                    rng(1),
                )
            })
            .collect();
        Some(Runner {
            index,
            demand,
            lanes,
            best,
            bound: bound(demand),
            origin: Origin::BottomLeft,
            round: 0,
            reported: i64::MAX,
        })
    }

    fn cloth(&self) -> i64 {
        self.demand.cloth(&self.best)
    }

    fn is_optimal(&self) -> bool {
        self.cloth() <= self.bound.length.grid()
    }

    fn work(&mut self) {
        self.lanes.par_iter_mut().for_each(|stage| stage.work());
    }

    /// After a round: the best of all lanes is everybody's.
    fn share(&mut self, round: u64) {
        let best = self
            .lanes
            .iter()
            .map(|stage| match stage {
                Stage::Annealing(a, _) => (a.best(), Origin::Annealing),
                Stage::Separating(l) => (l.best(), Origin::Separation),
            })
            .min_by_key(|(lay, _)| lay.length)
            .map(|(lay, origin)| (lay.clone(), origin));
        if let Some((lay, origin)) = best {
            self.take(lay, origin, round);
        }
    }

    fn take(&mut self, lay: Lay, origin: Origin, round: u64) {
        if lay.length < self.best.length {
            self.best = lay;
            self.origin = origin;
            self.round = round;
        }
        for stage in &mut self.lanes {
            if let Stage::Separating(lane) = stage {
                lane.adopt(&self.best);
            }
        }
    }

    fn report(&mut self, area: f64, observer: &mut dyn Observer) {
        let taken = self.cloth();
        if taken >= self.reported {
            return;
        }
        self.reported = taken;
        let cloth = Length::from_grid(taken);
        observer.event(&Event::Improved {
            family: Family::ALL[self.index],
            lay: self.demand.marker(&self.best).spread.lay_length(),
            cloth,
            efficiency: area / (self.demand.layouts[0].width as f64 / 100.0 * cloth.mm()).max(1.0),
            origin: self.origin,
            round: self.round,
        });
    }

    fn evaluations(&self) -> u64 {
        self.lanes
            .iter()
            .map(|stage| match stage {
                Stage::Annealing(a, _) => a.evaluations,
                Stage::Separating(l) => l.evaluations(),
            })
            .sum()
    }

    fn found(self) -> Found {
        Found {
            marker: self.demand.marker(&self.best),
            bound: self.bound,
            origin: self.origin,
            round: self.round,
        }
    }
}

impl Stage<'_> {
    fn work(&mut self) {
        match self {
            Stage::Annealing(annealer, rng) => {
                annealer.run(annealer.fills_in_a_round());
                if annealer.done() {
                    let lane = Lane::new(annealer.task(), annealer.best().clone(), rng.clone());
                    *self = Stage::Separating(Box::new(lane));
                }
            }
            Stage::Separating(lane) => lane.run(ROUND),
        }
    }
}

/// The best of bottom-left fills at a few fold depths, and how many positions a fill tests.
fn first_lay(task: &Task, seed: u64, index: usize) -> Option<(Plan, Lay, u64)> {
    let mut rng = stream(seed, index as u64, 0, 2);
    let mut depths = task.room.deepest();
    let mut best: Option<(Plan, Lay, u64)> = None;
    let mut spent = 0;
    for tries in 0.. {
        let enough = tries >= 40 || (tries >= 6 && spent > FIRST_TESTS && best.is_some());
        if enough || (task.room.freedom() == 0 && tries > 0) {
            break;
        }
        if let Some(plan) = Plan::large_first(task, depths.clone())
            && let Some((lay, tests)) = fill(task, &plan)
        {
            spent += tests;
            if best.as_ref().is_none_or(|(_, b, _)| lay.length < b.length) {
                best = Some((plan, lay, tests));
            }
        }
        task.change_depth(&mut depths, &mut rng);
    }
    best
}
