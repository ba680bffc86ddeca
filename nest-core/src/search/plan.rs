//! [`Plan`]: what a bottom-left fill is told: order, ways, turns and fold depths.

use super::task::{Depths, Task};

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
        let area = |i: u32| {
            let part = &task.items[i as usize].ways[0].parts[0];
            task.shapes.outline(part.choices[0].outline).polygon.doubled_area()
        };
        order.sort_by_key(|&i| (-area(i), i));
        Some(Plan { choices: vec![0; order.len()], ways: ways?, order, depths })
    }
}
