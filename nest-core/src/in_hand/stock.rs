//! [`Stock`]: cloth of a given length, filled bottom left with as many units as end on it.

use std::collections::{BTreeMap, BTreeSet};

use super::most_in_lay;
use crate::cloth::Cloth;
use crate::demand::{Demand, Demands};
use crate::job::{Job, Want};
use crate::marker::Marker;
use crate::remnant::either_face_serves;
use crate::search::first_fill;
use crate::spread::{Family, Kind};

/// What is dealt with one by one: single copies where a single ply is allowed, elsewhere what comes off two plies together.
pub(crate) fn units(job: &Job, cloth: &Cloth) -> Vec<Want> {
    let single = job.spreads.contains(&Kind::Whole(Family::Single));
    let mut units = Vec::new();
    for want in job.wants(&cloth.kind) {
        let of = |as_drawn, mirrored| Want { as_drawn, mirrored, ..want };
        let pairs = if single { 0 } else { want.as_drawn.min(want.mirrored) };
        units.extend((0..pairs).map(|_| of(1, 1)));
        let alike = want.mirrored == 0 && either_face_serves(job, cloth, want.piece, want.size);
        let twos = if single || !alike { 0 } else { want.as_drawn / 2 };
        units.extend((0..twos).map(|_| of(2, 0)));
        units.extend((pairs + 2 * twos..want.as_drawn).map(|_| of(1, 0)));
        units.extend((pairs..want.mirrored).map(|_| of(0, 1)));
    }
    units
}

/// For each unit the group it belongs to: the copies of a piece for one garment, such as a pair.
pub(crate) fn groups(job: &Job, units: &[Want]) -> Vec<usize> {
    let alike = |a: &Want, b: &Want| (a.piece, a.size) == (b.piece, b.size);
    let mut groups = Vec::with_capacity(units.len());
    let mut first = 0;
    for (u, unit) in units.iter().enumerate() {
        let mine = units.iter().filter(|other| alike(other, unit));
        let copies: u32 = mine.clone().map(Want::copies).sum();
        let garments = (copies / job.style.pieces[unit.piece].cut.max(1)).max(1) as usize;
        // Those of the same face are dealt out evenly over the garments.
        let (same, rank) = (
            mine.filter(|other| *other == unit).count(),
            units[..u].iter().filter(|other| *other == unit).count(),
        );
        if u > 0 && !alike(&units[u - 1], unit) {
            first = groups.iter().max().map_or(0, |&last: &usize| last + 1);
        }
        groups.push(first + rank * garments / same.max(1));
    }
    groups
}

/// Groups of one unit each.
pub(crate) fn apart(units: &[Want]) -> Vec<usize> {
    (0..units.len()).collect()
}

/// Units with those of the largest keys first, and groups kept together.
pub(crate) fn in_order(keys: &[f64], groups: &[usize]) -> Vec<usize> {
    let of_group = |u: usize| {
        let own = (0..keys.len()).filter(|&other| groups[other] == groups[u]);
        own.map(|other| keys[other]).fold(f64::NEG_INFINITY, f64::max)
    };
    let ranks: Vec<f64> = (0..keys.len()).map(of_group).collect();
    let mut order: Vec<usize> = (0..keys.len()).collect();
    order.sort_by(|&a, &b| {
        ranks[b]
            .total_cmp(&ranks[a])
            .then(groups[a].cmp(&groups[b]))
            .then(keys[b].total_cmp(&keys[a]))
            .then(a.cmp(&b))
    });
    order
}

/// Cloth that is in hand, ready to be filled with some of a job's units.
pub(crate) struct Stock {
    demand: Demand,
    kind: Kind,
    /// For each unit the item of the demand; none for what does not fit at all.
    items: Vec<Option<u32>>,
    /// Cloth that may lie in a lay.
    most: i64,
}

/// Units that lie on a stock, and a marker of them.
#[derive(Clone, Debug)]
pub(crate) struct Filled {
    pub(crate) units: Vec<usize>,
    pub(crate) marker: Marker,
    pub(crate) kind: Kind,
}

/// Fills in which copies that belong together and do not all end on the cloth make room for others.
const REFILLS: usize = 4;

impl Stock {
    /// The cloth of the jobs that `job_of` makes of some of the units: their first. None when nothing at all fits on it.
    pub(crate) fn new(units: &[Want], job_of: &dyn Fn(Vec<Want>) -> Job) -> Option<Stock> {
        let of = |wants: Vec<Want>| {
            let job = job_of(wants);
            let most = most_in_lay(job.cloths.first()?)?;
            let (kind, demand) = Demands::new(&job, &job.cloths[0]).into_plain()?;
            Some((kind, demand, most.grid()))
        };
        let mut fits: Vec<bool> = Vec::with_capacity(units.len());
        for (u, unit) in units.iter().enumerate() {
            let before = u.checked_sub(1).filter(|&b| units[b] == *unit);
            let alone = || {
                of(vec![unit.clone()]).is_some_and(|(_, demand, most)| {
                    first_fill(&demand, &[0], &[0]).is_some_and(|lay| demand.cloth(&lay) <= most)
                })
            };
            fits.push(before.map_or_else(alone, |b| fits[b]));
        }
        let chosen: Vec<usize> = (0..units.len()).filter(|&u| fits[u]).collect();
        if chosen.is_empty() {
            return None;
        }
        // Wants that are not put together give an item each, in their order.
        let (kind, demand, most) = of(chosen.iter().map(|&u| units[u].clone()).collect())?;
        debug_assert_eq!(demand.task.items.len(), chosen.len(), "an item for each unit");
        let mut items = vec![None; units.len()];
        for (item, &u) in chosen.iter().enumerate() {
            items[u] = Some(item as u32);
        }
        demand.prepare();
        Some(Stock { demand, kind, items, most })
    }

    /// Does a unit fit at all?
    pub(crate) fn holds(&self, unit: usize) -> bool {
        self.items[unit].is_some()
    }

    /// Fills the cloth with units in this order, each with its choice; those that end on it, and the marker of them. Units
    /// of one group end on it together or not at all, as far as they are in the order. None when none does.
    ///
    /// # Complexity
    /// At most four bottom-left fills.
    pub(crate) fn fill(
        &self,
        order: &[usize],
        choices: &[u8],
        groups: &[usize],
        areas: &[f64],
    ) -> Option<Filled> {
        let wanted = sizes(order, groups);
        let held: Vec<usize> = order.iter().copied().filter(|&u| self.holds(u)).collect();
        let mut own = complete(&held, groups, &wanted);
        let mut best: Option<(f64, Filled)> = None;
        for _ in 0..REFILLS {
            let items: Vec<u32> = own.iter().filter_map(|&u| self.items[u]).collect();
            if items.is_empty() {
                break;
            }
            let chosen: Vec<u8> = own.iter().map(|&u| choices[u]).collect();
            let Some(mut lay) = first_fill(&self.demand, &items, &chosen) else { break };
            let past = self.demand.items_past(&lay, self.most);
            let ends = |u: &usize| self.items[*u].is_some_and(|item| !past.contains(&item));
            let kept: Vec<usize> = own.iter().copied().filter(ends).collect();
            let units = complete(&kept, groups, &wanted);
            let area: f64 = units.iter().map(|&u| areas[u]).sum();
            if !units.is_empty() && best.as_ref().is_none_or(|(most, _)| area > *most) {
                let mine: BTreeSet<u32> = units.iter().filter_map(|&u| self.items[u]).collect();
                lay.spots.retain(|spot| mine.contains(&spot.item));
                lay.tighten(&self.demand.task);
                let marker = self.demand.marker(&lay);
                best = Some((area, Filled { units: units.clone(), marker, kind: self.kind }));
            }
            if units.len() == kept.len() {
                break;
            }
            // What is broken goes, so that others may have its room.
            let ended: BTreeSet<usize> = kept.iter().map(|&u| groups[u]).collect();
            let others = own.iter().copied().filter(|&u| !ended.contains(&groups[u]));
            own = units.iter().copied().chain(others).collect();
        }
        best.map(|(_, filled)| filled)
    }
}

/// How many units each group has.
fn sizes(units: &[usize], groups: &[usize]) -> BTreeMap<usize, usize> {
    let mut sizes = BTreeMap::new();
    for &u in units {
        *sizes.entry(groups[u]).or_default() += 1;
    }
    sizes
}

/// The units whose group is there as a whole.
fn complete(units: &[usize], groups: &[usize], wanted: &BTreeMap<usize, usize>) -> Vec<usize> {
    let there = sizes(units, groups);
    units.iter().copied().filter(|&u| there.get(&groups[u]) == wanted.get(&groups[u])).collect()
}
