//! [`Division`]: one way to divide what a long lay holds into groups, and the search of these.

use std::collections::HashMap;

use rand_pcg::Pcg64Mcg;

use super::bottom_left::fill;
use super::deal::Unit;
use super::exemplar::Exemplar;
use super::lanes::Lanes;
use super::likeness::Likeness;
use super::model::Model;
use super::plan::Plan;
use super::separate::{Lane, Role};
use super::stream::branch;
use super::task::{Lay, Spot, Task};

/// Groups that hold everything between them.
pub(crate) struct Division<'a> {
    task: &'a Task,
    classes: Vec<Class<'a>>,
    /// For the groups of the class that has most of them.
    exemplar: Option<Exemplar<'a>>,
    rounds: u64,
    rng: Pcg64Mcg,
}

/// Groups of like items.
struct Class<'a> {
    /// What each group lays, like units at the same place.
    groups: Vec<Vec<Unit>>,
    /// Twice the area of what a group lays.
    area: i64,
    lanes: Lanes<'a>,
    rounds: u64,
    /// How dense the model was that it followed last.
    followed: f64,
}

/// A model is worth following when it is denser by this part than what follows it, and than the one followed before. With
/// 0.003, and four rounds of the class from one model to the next, ten aprons came out 0.5 points less dense after 130 rounds and
/// 0.2 after 520; with 0.0003 they came out 0.3 less dense (sixteen seeds).
const DENSER: f64 = 0.001;
/// A model of another division may differ in area by one in so many.
const SIMILAR: i64 = 6;
/// By this part of its length a class becomes shorter at the most when it follows a model. With 0.004 and 0.012 ten aprons came
/// out 0.4 and 0.2 points less dense after 20 s (six seeds, hardly more than the noise).
const STEP: f64 = 0.007;

impl<'a> Division<'a> {
    /// Each class from a bottom-left fill; none when one cannot be laid.
    pub(crate) fn start(
        task: &'a Task,
        plan: &Plan,
        classes: Vec<Vec<Vec<Unit>>>,
        lanes: u32,
        likeness: &mut Likeness,
        rng: &mut Pcg64Mcg,
    ) -> Option<Division<'a>> {
        let class = |groups: Vec<Vec<Unit>>| {
            let own = groups[0].iter().flat_map(|unit| unit.parts(task));
            let (start, _) = fill(task, &plan.clone().limited_to(own))?;
            let lane = |k| Lane::new(task, start.clone(), Role::of(k), branch(rng));
            let area = groups[0].iter().map(|unit| unit.doubled_area(task)).sum();
            let lanes = (0..lanes).map(lane).collect();
            Some(Class { groups, area, lanes, rounds: 0, followed: 0.0 })
        };
        let classes: Vec<Class<'a>> = classes.into_iter().map(class).collect::<Option<_>>()?;
        let most = classes.iter().rev().max_by_key(|class| class.groups.len())?;
        let exemplar = Exemplar::of(task, plan, &most.groups, lanes, likeness, rng);
        Some(Division { task, classes, exemplar, rounds: 0, rng: branch(rng) })
    }

    /// Its groups, when all are alike, and the shortest lay of the first.
    pub(crate) fn of_one_class(&self) -> Option<(&[Vec<Unit>], &Lay)> {
        let [class] = self.classes.as_slice() else { return None };
        Some((&class.groups, class.best()))
    }

    /// Has it an exemplar?
    pub(crate) fn has_exemplar(&self) -> bool {
        self.exemplar.is_some()
    }

    /// How many groups are alike, of each class.
    pub(crate) fn alike(&self) -> impl ExactSizeIterator<Item = usize> {
        self.classes.iter().map(|class| class.groups.len())
    }

    /// Of all its groups one after another.
    pub(crate) fn length(&self) -> i64 {
        self.classes.iter().map(|class| class.best().length * class.groups.len() as i64).sum()
    }

    /// Rounds it has had.
    pub(crate) fn rounds(&self) -> u64 {
        self.rounds
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        let of_exemplar = self.exemplar.as_ref().map_or(0, Exemplar::evaluations);
        of_exemplar + self.classes.iter().map(|class| class.lanes.evaluations()).sum::<u64>()
    }

    /// Lays of its groups and of the exemplar.
    pub(crate) fn models(&self) -> impl Iterator<Item = Model<'_>> {
        models(&self.classes, self.exemplar.as_ref())
    }

    /// A round for the class that has had least for its groups, or for the exemplar as if that were the class it is made for.
    /// Classes follow the densest lay of a group, of their own division or of `others` that are about as long.
    pub(crate) fn work(&mut self, measures: u64, others: &[Model<'_>], likeness: &mut Likeness) {
        self.rounds += 1;
        let had = |rounds: u64, groups: usize| (rounds + 1) * 1000 / groups as u64;
        let classes = self.classes.iter().map(|class| had(class.rounds, class.groups.len()));
        let Some((least, at)) = classes.zip(0..).min() else { return };
        let due = |exemplar: &&mut Exemplar<'_>| {
            !exemplar.is_over() && had(exemplar.rounds(), exemplar.groups) < least
        };
        if let Some(exemplar) = self.exemplar.as_mut().filter(due) {
            exemplar.work(measures);
            return;
        }
        self.take_over_exemplar(at);
        self.follow_densest(at, others, likeness);
        self.classes[at].work(measures);
    }

    /// Has a class take over the lay of the exemplar, if that is one of just its units.
    fn take_over_exemplar(&mut self, at: usize) {
        let class = &mut self.classes[at];
        if let Some(lay) = self.exemplar.as_ref().and_then(|exemplar| exemplar.lay_of(&class.groups[0])) {
            class.lanes.adopt(lay);
        }
    }

    /// Has a class start from the densest lay of a group, if that shows more than was tried before.
    fn follow_densest(&mut self, at: usize, others: &[Model<'_>], likeness: &mut Likeness) {
        let class = &self.classes[at];
        let about_as_long = |model: &&Model<'_>| (model.area - class.area).abs() * SIMILAR <= class.area;
        let models =
            models(&self.classes, self.exemplar.as_ref()).chain(others.iter().filter(about_as_long).copied());
        let densest = models.max_by(|a, b| a.density().total_cmp(&b.density()));
        let Some(model) = densest.filter(|model| class.gains_by_following(model)) else { return };
        let density = model.density();
        let as_dense = (class.area as f64 / density) as i64;
        let length = as_dense.max((class.best().length as f64 * (1.0 - STEP)) as i64);
        let lay = model.followed(self.task, &class.groups[0], length, likeness, &mut self.rng);
        let class = &mut self.classes[at];
        class.followed = density;
        if let Some(lay) = lay {
            class.lanes.pursue(&lay);
        }
    }

    /// Adds its groups to a lay, one after another.
    pub(crate) fn lay_out(&self, lay: &mut Lay) {
        let mut at = 0;
        for class in &self.classes {
            lay.extents.clone_from(&class.best().extents);
            for group in &class.groups {
                lay_as(self.task, class.best(), &class.groups[0], group, at, lay);
                at += class.best().extents[0].length();
            }
        }
        lay.extents[0].end = at;
    }
}

fn models<'m>(
    classes: &'m [Class<'_>],
    exemplar: Option<&'m Exemplar<'_>>,
) -> impl Iterator<Item = Model<'m>> {
    classes.iter().map(Class::model).chain(exemplar.map(Exemplar::model))
}

impl Class<'_> {
    /// The shortest lay of a group.
    fn best(&self) -> &Lay {
        self.lanes.best()
    }

    fn model(&self) -> Model<'_> {
        Model { lay: self.best(), units: &self.groups[0], area: self.area }
    }

    /// It begins with a round of its own.
    fn gains_by_following(&self, model: &Model<'_>) -> bool {
        self.rounds > 0 && model.density() > self.model().density().max(self.followed) * (1.0 + DENSER)
    }

    fn work(&mut self, measures: u64) {
        self.rounds += 1;
        self.lanes.work(measures);
    }
}

/// Adds a lay of a group to a larger one from `at` on, with the units of `instead`, that are like its own, in their place.
pub(crate) fn lay_as(task: &Task, part: &Lay, own: &[Unit], instead: &[Unit], at: i64, lay: &mut Lay) {
    let parts = |units: &[Unit]| units.iter().flat_map(|unit| unit.parts(task)).collect::<Vec<_>>();
    let instead: HashMap<_, _> = parts(own).into_iter().zip(parts(instead)).collect();
    for spot in &part.spots {
        let (way, (item, p)) = (part.ways[spot.item as usize], instead[&(spot.item, spot.part)]);
        let choice = task.counterpart(way, spot, (item, p));
        lay.ways[item as usize] = way;
        lay.spots.push(Spot { item, part: p, choice, at: spot.shifted(at).at });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Polygon, Turn};
    use crate::invented::hook;
    use crate::search::deal::{Kinds, divide};
    use crate::search::floor::Floor;
    use crate::search::stream::stream;

    /// Three sizes of a hook, two slabs and a bar to each of them, in two groups that differ.
    fn sizes() -> Task {
        let graded = |by: i64| {
            let ring = [(0, 0), (4000 + by, 0), (4000 + by, 900), (1200, 1100), (1000, 3000), (0, 2500)];
            Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple")
        };
        let either = || vec![Turn::None, Turn::Half];
        let pieces: Vec<_> = [(0, 3), (1, 4), (2, 3)]
            .into_iter()
            .flat_map(|(size, count)| {
                let slab = Polygon::rectangle(2700 + 30 * size, 1300);
                [(graded(30 * size), count, either()), (slab, 2 * count, either())]
            })
            .chain([(Polygon::rectangle(700, 3100), 10, either())])
            .collect();
        Task::board(8000, &pieces)
    }

    fn division(task: &Task) -> Division<'_> {
        let kinds = Kinds::of(task, &mut Likeness::default());
        let plan = Plan::large_first(task, task.room.deepest()).expect("every piece fits across");
        let classes = kinds.hand_out(&divide(&kinds, 2));
        assert_eq!(classes.len(), 2);
        Division::start(task, &plan, classes, 2, &mut Likeness::default(), &mut stream(4, 0, 0, 4))
            .expect("both can be laid")
    }

    #[test]
    fn a_group_learns_from_a_denser_one() {
        let task = sizes();
        let mut division = division(&task);
        for _ in 0..10 {
            division.classes[0].work(400_000);
            division.classes[1].work(20_000);
        }
        let [first, second] = [0, 1].map(|at| division.classes[at].model().density());
        assert!(first > second * (1.0 + DENSER), "{first} and {second}");
        assert!(division.classes[1].gains_by_following(&division.classes[0].model()));
        assert!(!division.classes[0].gains_by_following(&division.classes[1].model()));
        division.follow_densest(1, &[], &mut Likeness::default());
        assert_eq!(division.classes[1].followed, first);
        // The same model has nothing more to show.
        division.classes[1].work(400_000);
        assert!(!division.classes[1].gains_by_following(&division.classes[0].model()));
        assert!(division.classes[1].model().density() > second);
    }

    #[test]
    fn a_group_learns_from_another_division_what_is_about_as_long() {
        let task = sizes();
        let [mut ahead, mut behind] = [division(&task), division(&task)];
        for _ in 0..10 {
            ahead.classes[0].work(400_000);
        }
        let taught = ahead.classes[0].model();
        let mut follow = |model: Model<'_>| {
            behind.classes[1].rounds = 1;
            behind.follow_densest(1, &[model], &mut Likeness::default());
            behind.classes[1].followed
        };
        // One as dense and twice as long is none.
        let twice = Lay { length: 2 * taught.lay.length, ..taught.lay.clone() };
        assert_ne!(follow(Model { lay: &twice, area: 2 * taught.area, ..taught }), taught.density());
        assert_eq!(follow(taught), taught.density());
    }

    #[test]
    fn classes_have_rounds_by_how_many_groups_they_have() {
        let task = Task::board(
            8000,
            &[
                (hook(), 12, vec![Turn::None, Turn::Half]),
                (Polygon::rectangle(2700, 1300), 12, vec![Turn::None]),
            ],
        );
        let kinds = Kinds::of(&task, &mut Likeness::default());
        let units = kinds.hand_out(&divide(&kinds, 4)).remove(0);
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let classes = vec![units[..3].to_vec(), units[3..].to_vec()];
        let mut division =
            Division::start(&task, &plan, classes, 2, &mut Likeness::default(), &mut stream(4, 0, 0, 4))
                .expect("both can be laid");
        for _ in 0..12 {
            division.work(5_000, &[], &mut Likeness::default());
        }
        assert!(division.alike().eq([3, 1]));
        let rounds: Vec<u64> = division.classes.iter().map(|class| class.rounds).collect();
        assert_eq!((rounds, division.rounds()), (vec![9, 3], 12));
        let lengths = division.classes.iter().map(|class| class.best().length);
        assert_eq!(
            division.length(),
            lengths.zip([3, 1]).map(|(length, groups)| length * groups).sum::<i64>()
        );
    }

    #[test]
    fn an_exemplar_of_twos_leads_groups_that_hold_none() {
        // Of two sizes of each piece a group holds as many.
        let hooks = |by: i64| {
            let ring = [(0, 0), (4000 + by, 0), (4000 + by, 900), (1200, 1100), (1000, 3000), (0, 2500)];
            Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple")
        };
        let either = || vec![Turn::None, Turn::Half];
        let pieces: Vec<_> = [0, 30]
            .into_iter()
            .flat_map(|by| [(hooks(by), 18, either()), (Polygon::rectangle(2700 + by, 1300), 6, either())])
            .collect();
        let task = Task::board(8000, &pieces);
        let kinds = Kinds::of(&task, &mut Likeness::default());
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let mut rng = stream(4, 0, 0, 4);
        let mut start = |count: usize| {
            let classes = kinds.hand_out(&divide(&kinds, count));
            Division::start(&task, &plan, classes, 2, &mut Likeness::default(), &mut rng)
                .expect("both can be laid")
        };
        let mut division = start(2);
        assert_eq!(division.alike().collect::<Vec<_>>(), [2], "nine hooks and three slabs of each size");
        let exemplar = division.exemplar.as_ref().expect("two and two are alike");
        assert_eq!(exemplar.lay_of(&division.classes[0].groups[0]), None, "the odd ones are changed");
        let before = division.length();
        for _ in 0..40 {
            division.work(50_000, &[], &mut Likeness::default());
        }
        let exemplar = division.exemplar.as_ref().expect("so");
        assert_eq!((exemplar.rounds(), division.classes[0].rounds), (20, 20));
        assert!(division.length() < before && division.classes[0].followed > 0.0);
        let mut lay = Lay {
            length: 0,
            extents: division.classes[0].best().extents.clone(),
            ways: division.classes[0].best().ways.clone(),
            spots: Vec::new(),
        };
        division.lay_out(&mut lay);
        assert_eq!((lay.spots.len(), Floor::of(&task, &lay).total()), (48, 0.0));
        // With everything in one group the exemplar is just that, and its lays are taken over as they are.
        let mut whole = start(1);
        for _ in 0..40 {
            let known = whole.exemplar.as_ref().map(|exemplar| exemplar.model().lay.length);
            let rounds = whole.classes[0].rounds;
            whole.work(50_000, &[], &mut Likeness::default());
            if whole.classes[0].rounds > rounds {
                assert!(Some(whole.length()) <= known, "{} and {known:?}", whole.length());
            }
        }
        let exemplar = whole.exemplar.as_ref().expect("all are there twice");
        assert!(exemplar.lay_of(&whole.classes[0].groups[0]).is_some(), "the same units");
    }
}
