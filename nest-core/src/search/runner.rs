//! [`Runner`]: the search of one spread or board, in lanes that anneal first, then separate, and share their best until they
//! begin anew.

use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::Settings;
use super::anneal::Annealer;
use super::bottom_left::fill;
use super::compact::compact;
use super::piecemeal::Piecemeal;
use super::plan::Plan;
use super::separate::{Lane, Role};
use super::stream::stream;
use super::task::{Lay, Task};
use crate::answer::Origin;
use crate::demand::Demand;

/// What a search spends: before it separates, in positions tested, by the fills that look for first fold depths and by the
/// annealing of each lane; then in a round, in depths measured by each lane, some tens of milliseconds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Effort {
    pub(crate) first: u64,
    pub(crate) annealing: u64,
    pub(crate) round: u64,
}

impl Effort {
    /// A tenth of a second and half a second on small lays.
    pub(crate) const FULL: Effort = Effort { first: 200_000, annealing: 1_500_000, round: 400_000 };
    /// For one of many: a glance, and a sixth of a second.
    pub(crate) const BRIEF: Effort = Effort { first: 30_000, annealing: 500_000, round: 400_000 };
    /// Separates from the first fill at once.
    pub(crate) const BOARD: Effort = Effort { first: 0, annealing: 0, round: 500_000 };
}

/// What is searched.
pub(crate) trait Searched: Sync {
    fn task(&self) -> &Task;
    /// Cloth that a lay takes.
    fn cloth(&self, lay: &Lay) -> i64;
}

impl Searched for Demand {
    fn task(&self) -> &Task {
        &self.task
    }

    fn cloth(&self, lay: &Lay) -> i64 {
        Demand::cloth(self, lay)
    }
}

impl Searched for Task {
    fn task(&self) -> &Task {
        self
    }

    fn cloth(&self, lay: &Lay) -> i64 {
        lay.length
    }
}

/// The search of one spread or board.
pub(crate) struct Runner<'a, S = Demand> {
    pub(crate) demand: &'a S,
    effort: Effort,
    lanes: Vec<Stage<'a>>,
    parts: Piecemeal<'a>,
    /// Was the last round that of the parts?
    in_parts: bool,
    best: Lay,
    /// Cloth that the best lay takes: with spacing it takes a while to tell, and is asked for often.
    cloth: i64,
    origin: Origin,
    round: u64,
    /// Rounds that it has had.
    worked: u64,
    /// Positions tested to find the first lay.
    began: u64,
    /// The length last pursued, and how often.
    pursued: (i64, u32),
}

/// With fewer fills than this annealing gains next to nothing: a lay of 140 pieces, whose fills take some thirty
/// milliseconds, is separated from the first fill at once. More than the most bring nothing either.
const FEWEST_FILLS: u64 = 64;
const MOST_FILLS: u64 = 4000;

/// Rounds in which the first lane anneals: about as long ones as those in which lanes separate, as lanes wait for each other at
/// the end of a round. By how much more the others anneal.
pub(crate) const ROUNDS: u64 = 4;
pub(crate) const LONGER: u64 = 4;

/// Depths that each lane measures in the first round where tables are built as it goes, and by how many more in each further one.
const FIRST_MEASURES: u64 = 20_000;

/// How often a lay with overlaps is taken up, by each lane with other random numbers.
const PURSUITS: u32 = 12;

/// Where a lane stands: it anneals first, then separates.
enum Stage<'a> {
    Annealing(Box<Annealer<'a>>, Role, Pcg64Mcg),
    Separating(Box<Lane<'a>>),
}

impl<'a, S: Searched> Runner<'a, S> {
    /// Looks for a first lay. `id` tells its random streams from those of others; none when no fold depths were found at
    /// which everything fits.
    pub(crate) fn new(id: u64, demand: &'a S, settings: &Settings, effort: Effort) -> Option<Runner<'a, S>> {
        let task = demand.task();
        let First { plan, lay: best, tests, spent } =
            first_lay(task, stream(settings.seed, id, 0, 2), effort.first)?;
        let tests = tests.max(1);
        let parts = Piecemeal::of(task, &best, settings.lanes, stream(settings.seed, id, 0, 4));
        let anneals = effort.annealing / tests >= FEWEST_FILLS && !parts.begins_with_groups();
        // In all and in a round: fewer for larger lays, whose fills take longer. Rectangles gain most by annealing, curved pieces
        // by separation: the first lane soon separates, every other anneals on for more rounds.
        let fills = |lane| {
            let [own, first] = [if lane == 0 { 1 } else { LONGER }, 1]
                .map(|times| (effort.annealing * times / tests).min(MOST_FILLS));
            (own, first.div_ceil(ROUNDS))
        };
        let role = parts.role();
        let lanes = (0..settings.lanes)
            .map(|lane| {
                let (role, start) = (role(lane), best.clone());
                let rng = |purpose| stream(settings.seed, id, u64::from(lane), purpose);
                if !anneals {
                    return Stage::Separating(Box::new(Lane::new(task, start, role, rng(1))));
                }
                let annealer = Annealer::new(task, plan.clone(), start, fills(lane), rng(0));
                Stage::Annealing(Box::new(annealer), role, rng(1))
            })
            .collect();
        let cloth = demand.cloth(&best);
        Some(Runner {
            demand,
            effort,
            lanes,
            parts,
            in_parts: false,
            best,
            cloth,
            origin: Origin::BottomLeft,
            round: 0,
            worked: 0,
            began: spent,
            pursued: (0, 0),
        })
    }

    /// The shortest lay so far.
    pub(crate) fn best(&self) -> &Lay {
        &self.best
    }

    /// Which part of the search found it, and in which round.
    pub(crate) fn origin(&self) -> (Origin, u64) {
        (self.origin, self.round)
    }

    /// Cloth that the shortest lay so far takes.
    pub(crate) fn cloth(&self) -> i64 {
        self.cloth
    }

    /// Positions tested to find the first lay.
    pub(crate) fn began(&self) -> u64 {
        self.began
    }

    /// Works through one round.
    pub(crate) fn work(&mut self) {
        let measures = self.measures();
        self.worked += 1;
        self.in_parts = self.parts.has_the_turn();
        if self.in_parts {
            self.parts.work(measures);
        } else {
            self.lanes.par_iter_mut().for_each(|stage| stage.work(measures));
        }
    }

    /// What each lane measures in the next round: of very many distinct pieces at first little, and more from round to round. Nearly
    /// every depth there asks for a table that is still to be built, which takes a thousand times as long, and only between
    /// rounds can a search be ended.
    fn measures(&self) -> u64 {
        match self.demand.task().shapes.are_too_many_to_pair() {
            true => self.effort.round.min(FIRST_MEASURES * (self.worked + 1)),
            false => self.effort.round,
        }
    }

    /// After a round: the best of all lanes goes to those that have not begun anew.
    pub(crate) fn share(&mut self, round: u64) {
        let best = match self.in_parts {
            true => self.parts.whole().map(|lay| (lay, Origin::Separation)),
            false => self.best_of_lanes(),
        };
        if let Some((lay, origin)) = best {
            self.keep(lay, origin, round);
        }
        if let Some(lay) = self.parts.round_done(&self.best) {
            self.keep(lay, Origin::Separation, round);
        }
    }

    fn best_of_lanes(&self) -> Option<(Lay, Origin)> {
        self.lanes
            .iter()
            .map(|stage| match stage {
                Stage::Annealing(a, ..) => (a.best(), Origin::Annealing),
                Stage::Separating(l) => (l.best(), Origin::Separation),
            })
            .min_by_key(|(lay, _)| lay.length)
            .map(|(lay, origin)| (lay.clone(), origin))
    }

    /// Takes over a lay found elsewhere, if it is shorter.
    pub(crate) fn take(&mut self, lay: Lay, origin: Origin, round: u64) {
        let shorter = lay.length < self.best.length;
        self.keep(lay, origin, round);
        if shorter {
            self.parts.restart(&self.best);
        }
    }

    fn keep(&mut self, lay: Lay, origin: Origin, round: u64) {
        if lay.length < self.best.length {
            self.shorten_to(lay);
            self.origin = origin;
            self.round = round;
        }
        let own = self.parts.leaves_lanes_alone().then(|| self.best_of_lanes()).flatten();
        let shared = own.as_ref().map_or(&self.best, |(lay, _)| lay);
        for stage in &mut self.lanes {
            if let Stage::Separating(lane) = stage {
                lane.adopt(shared);
            }
        }
    }

    /// Pushes the pieces of the best lay together, as they are cut.
    pub(crate) fn compact(&mut self) {
        if let Some(lay) = compact(&self.demand.task().exact(), &self.best) {
            self.shorten_to(lay);
        }
    }

    fn shorten_to(&mut self, lay: Lay) {
        self.cloth = self.demand.cloth(&lay);
        self.best = lay;
    }

    /// Has the lanes that separate start from a shorter lay whose pieces overlap, if they have not done so often.
    pub(crate) fn pursue(&mut self, lay: &Lay) {
        // Lanes that stand still would have it taken from them again.
        if lay.length >= self.best.length || self.parts.has_the_turn() {
            return;
        }
        if self.pursued.0 != lay.length {
            self.pursued = (lay.length, 0);
        }
        let separating = self.lanes.iter_mut().filter_map(|stage| match stage {
            Stage::Separating(lane) => Some(lane),
            Stage::Annealing(..) => None,
        });
        for (k, lane) in separating.enumerate() {
            self.pursued.1 += u32::from(k == 0);
            if self.pursued.1 <= PURSUITS {
                lane.pursue(lay);
            }
        }
    }

    /// Is it searched in groups before anything else?
    #[cfg(test)]
    pub(crate) fn begins_with_groups(&self) -> bool {
        self.parts.begins_with_groups()
    }

    /// Which lanes anneal still?
    #[cfg(test)]
    pub(crate) fn annealing(&self) -> Vec<bool> {
        self.lanes.iter().map(|stage| matches!(stage, Stage::Annealing(..))).collect()
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        let of_lanes = self.lanes.iter().map(|stage| match stage {
            Stage::Annealing(a, ..) => a.evaluations,
            Stage::Separating(l) => l.evaluations(),
        });
        of_lanes.sum::<u64>() + self.parts.evaluations()
    }
}

impl Stage<'_> {
    fn work(&mut self, measures: u64) {
        match self {
            Stage::Annealing(annealer, role, rng) => {
                annealer.work();
                if annealer.done() {
                    let lane = Lane::new(annealer.task(), annealer.best().clone(), *role, rng.clone());
                    *self = Stage::Separating(Box::new(lane));
                }
            }
            Stage::Separating(lane) => lane.run(measures),
        }
    }
}

/// A first lay.
struct First {
    plan: Plan,
    lay: Lay,
    /// Positions tested by its fill, and by all that were tried.
    tests: u64,
    spent: u64,
}

/// Fold depths tried for a first lay: so many at least, unless that takes so many times the effort meant for it. A fill of
/// hundreds of placements takes a tenth of a second or more, and there may be dozens of combinations of sections.
const FEWEST_DEPTHS: u32 = 6;
const MOST_DEPTHS: u32 = 40;
const TOO_MUCH: u64 = 10;

/// The best of bottom-left fills at a few fold depths.
fn first_lay(task: &Task, mut rng: Pcg64Mcg, effort: u64) -> Option<First> {
    let mut depths = task.room.deepest();
    let mut best: Option<(Plan, Lay, u64)> = None;
    let mut spent = 0;
    for tries in 0..MOST_DEPTHS {
        let enough = spent > effort && (tries >= FEWEST_DEPTHS || spent > TOO_MUCH * effort);
        if (enough && best.is_some()) || (task.room.freedom() == 0 && tries > 0) {
            break;
        }
        if let Some(plan) = Plan::large_first(task, depths.clone())
            && let Some((lay, tests)) = fill(task, &plan)
        {
            spent += tests;
            if best.as_ref().is_none_or(|(_, known, _)| lay.length < known.length) {
                best = Some((plan, lay, tests));
            }
        }
        task.change_depth(&mut depths, &mut rng);
    }
    best.map(|(plan, lay, tests)| First { plan, lay, tests, spent })
}

#[cfg(test)]
mod tests {
    use std::borrow::Cow;

    use super::*;
    use crate::check::check;
    use crate::demand::Demands;
    use crate::geometry::{Polygon, Turn};
    use crate::job::Job;
    use crate::spread::{Family, Kind};

    /// So many copies of a piece, in centimetres, on single thickness.
    fn job(cut: u32, outline: &str) -> Job {
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "curve_tolerance": 0.01, "cloths": [{{ "width": 60 }}], "pieces": [{{
                "id": "piece", "cut": {cut}, "outline": {outline}, "grainline": [[4, 4], [10, 4]] }}] }}"#
        );
        let mut job = Job::read(&text).expect("a job");
        job.spreads = vec![Kind::Whole(Family::Single)];
        job
    }

    fn on_single<R>(job: &Job, told: impl FnOnce(Runner<'_>) -> R) -> R {
        let demands = Demands::new(job, &job.cloths[0]);
        let single = demands.whole(Family::Single).as_ref().expect("single thickness");
        told(Runner::new(0, single, &Settings::default(), Effort::FULL).expect("all fits across"))
    }

    #[test]
    fn what_is_gained_by_lays_that_are_their_own_images_is_kept() {
        let hooks = job(20, "[[0, 0], [40, 0], [40, 9], [12, 11], [10, 30], [0, 25]]");
        on_single(&hooks, |mut runner| {
            assert!(runner.parts.leaves_lanes_alone() && !runner.begins_with_groups());
            let mut last = i64::MAX;
            for round in 1..=10 {
                runner.work();
                runner.share(round);
                let theirs = runner.parts.whole().expect("it has a lay").length;
                assert!(runner.best().length <= theirs.min(last), "after round {round}");
                last = runner.best().length;
            }
        });
    }

    #[test]
    fn first_rounds_of_very_many_distinct_pieces_are_short() {
        let measures = |distinct: i64| {
            let pieces = (0..distinct).map(|k| (Polygon::rectangle(500 + k, 700), 1, vec![Turn::None]));
            let task = Task::board(9000, &pieces.collect::<Vec<_>>());
            let mut runner = Runner::new(0, &task, &Settings::default(), Effort::BOARD).expect("all fits");
            let first = runner.measures();
            runner.work();
            [first, runner.measures()]
        };
        assert_eq!(measures(401), [FIRST_MEASURES, 2 * FIRST_MEASURES]);
        assert_eq!(measures(3), [Effort::BOARD.round; 2]);
    }

    #[test]
    fn what_easing_takes_is_given_back_at_the_end() {
        let path = "M 2,4 C 6,-1 16,-1 24,6 C 30,11 28,19 22,19 C 14,19 6,16 3,12 C 0,9 0,6 2,4 Z";
        let ovals = job(11, &format!(r#"{{ "path": "{path}" }}"#));
        on_single(&ovals, |mut runner| {
            let task = &runner.demand.task;
            assert!(
                matches!(task.exact(), Cow::Owned(_)) && matches!(task.exact().exact(), Cow::Borrowed(_))
            );
            for round in 1..=10 {
                runner.work();
                runner.share(round);
            }
            let before = runner.best().length;
            runner.compact();
            assert!(runner.best().length < before, "{} for {before}", runner.best().length);
            assert!(check(&ovals, &runner.demand.marker(runner.best())).is_ok(), "nothing overlaps");
        });
    }
}
