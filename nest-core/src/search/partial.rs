//! A bottom-left fill of some of a demand's items.

use super::bottom_left::fill;
use super::plan::Plan;
use super::task::Lay;
use crate::demand::Demand;

/// Lays some items as they are cut, in this order, each with its choice of `choices`; none when something does not fit across.
pub(crate) fn first_fill(demand: &Demand, items: &[u32], choices: &[u8]) -> Option<Lay> {
    let task = demand.task.exact();
    let mut plan = Plan::large_first(&task, task.room.deepest())?;
    plan.order = items.to_vec();
    for (&item, &choice) in items.iter().zip(choices) {
        plan.choices[item as usize] = choice;
    }
    fill(&task, &plan).map(|(lay, _)| lay)
}
