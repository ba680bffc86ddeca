//! [`Model`]: a lay of one group after which another of much the same pieces is laid.
//!
//! Pieces graded to several sizes differ little, so where those of one size lie well, those of the next lie nearly as well: a
//! dense lay of one group shows the others how. What overlaps in it is for separation to remove.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::deal::Unit;
use super::likeness::Likeness;
use super::task::{Choice, Lay, Spot, Task};
use crate::geometry::Point;

/// A lay of one stretch and the units laid in it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Model<'m> {
    pub(crate) lay: &'m Lay,
    pub(crate) units: &'m [Unit],
    /// Twice the area of all units.
    pub(crate) area: i64,
}

impl Model<'_> {
    /// Twice the area laid on a unit of length.
    pub(crate) fn density(&self) -> f64 {
        self.area as f64 / self.lay.length.max(1) as f64
    }

    /// A lay so long of other units, which may overlap: each lies where the unit most like it lies in the model, one that is
    /// like none anywhere. None when such a one cannot be laid at the fold depths of the model.
    ///
    /// # Complexity
    /// O(n²) differences for n units and the time to sort them.
    pub(crate) fn followed(
        &self,
        task: &Task,
        units: &[Unit],
        length: i64,
        likeness: &mut Likeness,
        rng: &mut Pcg64Mcg,
    ) -> Option<Lay> {
        let mut lay = Lay {
            length,
            extents: self.lay.extents.clone(),
            ways: self.lay.ways.clone(),
            spots: Vec::with_capacity(self.lay.spots.len()),
        };
        lay.extents[0].end = lay.extents[0].start + length;
        for (unit, like) in units.iter().zip(self.most_like(task, units, likeness)) {
            match like {
                Some(like) => self.lay_like(task, unit, like, &mut lay),
                None => lay_anywhere(task, unit, &mut lay, rng)?,
            }
        }
        Some(lay)
    }

    /// For each of some units one of the model's own, each of them once, the most like ones first.
    fn most_like(&self, task: &Task, units: &[Unit], likeness: &mut Likeness) -> Vec<Option<Unit>> {
        let mut pairs: Vec<(i64, usize, usize)> = Vec::new();
        for (k, unit) in units.iter().enumerate() {
            let own = self.units.iter().enumerate();
            pairs.extend(own.filter_map(|(o, like)| Some((unit.difference(like, task, likeness)?, k, o))));
        }
        pairs.sort_unstable();
        let mut all = vec![None; units.len()];
        let mut taken = vec![false; self.units.len()];
        for (_, k, o) in pairs {
            if all[k].is_none() && !taken[o] {
                (all[k], taken[o]) = (Some(self.units[o]), true);
            }
        }
        all
    }

    /// Adds a unit to a lay, cut and turned as one of the model's that is laid in as many ways.
    fn lay_like(&self, task: &Task, unit: &Unit, like: Unit, lay: &mut Lay) {
        for (theirs, (item, part)) in like.parts(task).zip(unit.parts(task)) {
            let way = self.lay.ways[theirs.0 as usize];
            lay.ways[item as usize] = way;
            // In this way there may be fewer parts than in another.
            let Some(spot) = self.lay.spots.iter().find(|spot| (spot.item, spot.part) == theirs) else {
                continue;
            };
            let choice = task.counterpart(way, spot, (item, part));
            let at = self.place(task, spot, choice, lay.length);
            lay.spots.push(Spot { item, part, choice, at });
        }
    }

    /// Where the middle of another choice is that of a spot, as far along a lay of that length.
    fn place(&self, task: &Task, spot: &Spot, choice: Choice, length: i64) -> Point {
        let [theirs, own] = [spot.choice, choice].map(|choice| task.shapes.outline(choice.outline));
        let middle = (2 * spot.at.x + theirs.width) as f64 / 2.0 * length as f64 / self.lay.length as f64;
        Point::new(middle as i64 - own.width / 2, spot.at.y + (theirs.height - own.height) / 2)
    }
}

/// Adds a unit in its first way that fits across, at any place.
fn lay_anywhere(task: &Task, unit: &Unit, lay: &mut Lay, rng: &mut Pcg64Mcg) -> Option<()> {
    let bands = task.room.bands(lay.depths());
    let fitting = |choices: &[Choice]| choices.iter().copied().find(|&choice| task.fits(choice, &bands));
    let (way, choices) = unit.ways(task).enumerate().find_map(|(way, parts)| {
        let all: Option<Vec<Choice>> = parts.iter().map(|part| fitting(&part.choices)).collect();
        Some((way, all?))
    })?;
    for ((item, part), choice) in unit.parts(task).zip(choices) {
        lay.ways[item as usize] = way as u8;
        let (low, high) = bands[choice.band as usize];
        let at = Point::new(rng.random_range(0..lay.length.max(1)), rng.random_range(low..=high));
        lay.spots.push(Spot { item, part, choice, at });
    }
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::search::bottom_left::fill;
    use crate::search::deal::{Kinds, divide};
    use crate::search::plan::Plan;
    use crate::search::stream::stream;

    /// Sizes of a hook and of a slab, so many of each size, and a bar.
    fn sizes(counts: &[u32]) -> Task {
        let graded = |by: i64| {
            let ring =
                [(0, 0), (4000 + by, 0), (4000 + by, 900), (1200, 1100), (1000, 3000 + by), (0, 2500 + by)];
            Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple")
        };
        let either = || vec![Turn::None, Turn::Half];
        let pieces: Vec<_> = (0..)
            .zip(counts)
            .flat_map(|(size, &count)| {
                let slab = Polygon::rectangle(2700 + 80 * size, 1300);
                [(graded(100 * size), count, either()), (slab, 2 * count, either())]
            })
            .chain([(Polygon::rectangle(700, 3100), counts.iter().sum(), either())])
            .collect();
        Task::board(8000, &pieces)
    }

    /// The units of two groups that differ, the first laid.
    fn two_groups(task: &Task) -> (Lay, Vec<Unit>, Vec<Unit>) {
        let kinds = Kinds::of(task, &mut Likeness::default());
        let [first, second] = kinds.hand_out(&divide(&kinds, 2)).try_into().expect("groups that differ");
        let (first, second) = (first[0].clone(), second[0].clone());
        let plan = Plan::large_first(task, task.room.deepest()).expect("every piece fits across");
        let own = first.iter().flat_map(|unit| unit.parts(task));
        let (lay, _) = fill(task, &plan.limited_to(own)).expect("a plan that fits can be laid");
        (lay, first, second)
    }

    #[test]
    fn other_sizes_lie_where_those_of_the_model_lie() {
        let task = sizes(&[3, 1, 2, 2]);
        let (lay, units, others) = two_groups(&task);
        assert_eq!(units.len(), others.len(), "the same pieces in other sizes");
        let model = Model { lay: &lay, units: &units, area: 0 };
        let mut rng = stream(1, 0, 0, 9);
        let after = |units: &[Unit], length, rng: &mut _| {
            model.followed(&task, units, length, &mut Likeness::default(), rng).expect("everything fits")
        };
        let same = after(&units, lay.length, &mut rng);
        let sorted = |lay: &Lay| {
            let mut spots = lay.spots.clone();
            spots.sort_by_key(|spot| spot.item);
            spots
        };
        // A middle between two grid points is rounded.
        for (spot, own) in sorted(&same).iter().zip(sorted(&lay)) {
            assert_eq!((spot.item, spot.choice), (own.item, own.choice));
            assert!((spot.at.x - own.at.x).abs() <= 1 && spot.at.y == own.at.y, "{spot:?} for {own:?}");
        }
        let longer = lay.length * 21 / 20;
        let laid = after(&others, longer, &mut rng);
        assert_eq!((laid.length, laid.extents[0].end), (longer, longer));
        let items = |lay: &Lay| sorted(lay).iter().map(|spot| spot.item).collect::<Vec<_>>();
        let mut all = [items(&lay), items(&laid)].concat();
        all.sort_unstable();
        assert!(all.into_iter().eq(0..task.items.len() as u32), "every item in one of the two");
        let middles = |lay: &Lay, length: i64| -> Vec<(f64, i64)> {
            let middle = |spot: &Spot| {
                let outline = task.shapes.outline(spot.choice.outline);
                let along = (spot.at.x * 2 + outline.width) as f64 / 2.0 / length as f64;
                (along, spot.at.y + outline.height / 2)
            };
            let mut all: Vec<_> = lay.spots.iter().map(middle).collect();
            all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            all
        };
        for (own, theirs) in middles(&laid, longer).iter().zip(middles(&lay, lay.length)) {
            assert!(
                (own.0 - theirs.0).abs() < 1e-3 && (own.1 - theirs.1).abs() <= 1,
                "{own:?} for {theirs:?}"
            );
        }
    }

    #[test]
    fn what_is_like_nothing_lies_anywhere() {
        let task = sizes(&[3, 1]);
        let (lay, units, others) = two_groups(&task);
        // Of a model that has lost its slabs and bars.
        let area = |unit: &Unit| unit.doubled_area(&task);
        let hooks: Vec<Unit> =
            units.iter().copied().filter(|unit| area(unit) > 2 * 2700 * 1300 + 2 * 80 * 1300).collect();
        assert!(!hooks.is_empty() && hooks.len() < units.len());
        let model = Model { lay: &lay, units: &hooks, area: 0 };
        let mut rng = stream(1, 0, 0, 9);
        let laid =
            model.followed(&task, &others, lay.length, &mut Likeness::default(), &mut rng).expect("it fits");
        assert_eq!(laid.spots.len(), others.len());
        assert!(laid.spots.iter().all(|spot| (0..=lay.length).contains(&spot.at.x)));
    }
}
