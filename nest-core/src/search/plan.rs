//! [`Plan`]: what a bottom-left fill is told: order, ways, turns and fold depths.

use std::collections::HashSet;

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::task::{Depths, Lay, Task};

/// Instructions for a bottom-left fill.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Plan {
    /// Items in the order of laying.
    pub(crate) order: Vec<u32>,
    /// For each item the way to lay it.
    pub(crate) ways: Vec<u8>,
    /// For each item the choice to prefer, counted round the choices of each part.
    pub(crate) choices: Vec<u8>,
    /// Fold depths of each stretch.
    pub(crate) depths: Vec<Depths>,
    /// Of these items and parts only those are laid; none for all.
    only: Option<HashSet<(u32, u8)>>,
}

impl Plan {
    /// Large items first, each in its first way that can be laid at these depths; none when some item has none.
    pub(crate) fn large_first(task: &Task, depths: Vec<Depths>) -> Option<Plan> {
        let bands = task.room.bands(depths.iter().copied());
        let ways: Option<Vec<u8>> = task
            .items
            .iter()
            .map(|item| {
                let can = |way: &super::task::Way| {
                    way.parts.iter().all(|part| part.choices.iter().any(|&c| task.fits(c, &bands)))
                };
                item.ways.iter().position(can).map(|w| w as u8)
            })
            .collect();
        let mut order: Vec<u32> = (0..task.items.len() as u32).collect();
        order.sort_by_key(|&i| (-doubled_area(task, i), i));
        Some(Plan { choices: vec![0; order.len()], ways: ways?, order, depths, only: None })
    }

    /// The same for some items and parts.
    pub(crate) fn limited_to(self, some: impl IntoIterator<Item = (u32, u8)>) -> Plan {
        Plan { only: Some(some.into_iter().collect()), ..self }
    }

    /// Is this part of this item to be laid?
    pub(crate) fn lays(&self, item: u32, part: u8) -> bool {
        self.only.as_ref().is_none_or(|only| only.contains(&(item, part)))
    }

    /// Another plan with the ways and fold depths of a lay: an item may be laid before one that is up to four times as
    /// large, and prefers any turn.
    pub(crate) fn mixed(task: &Task, like: &Lay, rng: &mut Pcg64Mcg) -> Plan {
        let count = task.items.len();
        let rank = |i: u32, rng: &mut Pcg64Mcg| -doubled_area(task, i) as f64 * rng.random_range(0.5..2.0);
        let mut ranked: Vec<(f64, u32)> = (0..count as u32).map(|i| (rank(i, rng), i)).collect();
        ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
        let choices = (0..count).map(|i| rng.random_range(0..task.most_choices(i).max(1))).collect();
        Plan {
            order: ranked.into_iter().map(|(_, i)| i).collect(),
            ways: like.ways.clone(),
            choices,
            depths: like.depths().collect(),
            only: None,
        }
    }
}

/// Twice the area of an item's first placement in its first way.
fn doubled_area(task: &Task, item: u32) -> i64 {
    let part = &task.items[item as usize].ways[0].parts[0];
    task.shapes.outline(part.choices[0].outline).polygon.doubled_area()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::search::bottom_left::fill;
    use crate::search::stream::stream;

    #[test]
    fn large_ones_come_first_and_mixed_only_before_what_is_up_to_four_times_as_large() {
        let slab = |side: i64| (Polygon::rectangle(side, side), 2, vec![Turn::None, Turn::Half]);
        let task = Task::board(9000, &[100, 1500, 700, 300, 2500].map(slab));
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        assert_eq!(plan.order, [8, 9, 2, 3, 4, 5, 6, 7, 0, 1]);
        let (lay, _) = fill(&task, &plan).expect("a plan that fits");
        let mut rng = stream(1, 0, 0, 9);
        let mut exchanged = 0;
        for _ in 0..50 {
            let mixed = Plan::mixed(&task, &lay, &mut rng);
            let mut sorted = mixed.order.clone();
            sorted.sort_unstable();
            assert!(sorted.into_iter().eq(0..10), "each is laid once");
            for (at, &early) in mixed.order.iter().enumerate() {
                let later = mixed.order[at + 1..].iter().map(|&late| doubled_area(&task, late)).max();
                assert!(later.is_none_or(|later| later <= 4 * doubled_area(&task, early)));
            }
            exchanged += usize::from(mixed.order != plan.order);
        }
        assert!(exchanged > 25, "{exchanged}");
    }

    #[test]
    fn what_fits_across_in_no_way_has_no_plan() {
        let task = Task::board(9000, &[(Polygon::rectangle(300, 2000), 1, vec![Turn::None])]);
        assert!(Plan::large_first(&task, task.room.deepest()).is_some());
        let mut low = task.clone();
        low.room.stretches = vec![crate::search::task::Stretch::Strip(0, 1000)];
        assert!(Plan::large_first(&low, low.room.deepest()).is_none());
    }
}
