//! [`Window`]: what lies abreast of each other over some length of a lay, to be searched by itself and put back shorter.

use rand_pcg::Pcg64Mcg;
use rayon::prelude::*;

use super::floor::{Floor, Held};
use super::separate::Lane;
use super::task::{Lay, Spot, Task};

/// A part of a lay, the base, whose placements are in their order along it (see [`put_in_order`]).
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Window {
    /// Its placements, those from `low` up to `high` of the base.
    pub(crate) low: usize,
    pub(crate) high: usize,
    pub(crate) start: i64,
    pub(crate) end: i64,
    /// Placements about it that stay where they are.
    pub(crate) held: Vec<usize>,
}

/// Sorts the placements of a lay by their middles along it, then across.
pub(crate) fn put_in_order(task: &Task, lay: &mut Lay) {
    let width = |spot: &Spot| task.shapes.outline(spot.choice.outline).width;
    lay.spots.sort_by_key(|spot| (2 * spot.at.x + width(spot), spot.at.y, spot.item, spot.part));
}

impl Window {
    /// A window onto some placements of the base; none when it is as long as one of them.
    ///
    /// # Complexity
    /// O(n) for n placements of the base.
    pub(crate) fn onto(task: &Task, base: &Lay, low: usize, high: usize) -> Option<Window> {
        let spots = &base.spots;
        let ends = |spot: &Spot| spot.at.x + task.shapes.outline(spot.choice.outline).width;
        let members = &spots[low..high];
        let start = members.iter().map(|spot| spot.at.x).min()?;
        let end = members.iter().map(ends).max()?;
        let longest = members.iter().map(|spot| ends(spot) - spot.at.x).max()?;
        let about = |k: &usize| spots[*k].at.x < end && ends(&spots[*k]) > start;
        let held = (0..low).chain(high..spots.len()).filter(about).collect();
        (longest < end - start).then_some(Window { low, high, start, end, held })
    }

    pub(crate) fn length(&self) -> i64 {
        self.end - self.start
    }

    /// Is this placement of the base one of its own?
    pub(crate) fn moves(&self, k: usize) -> bool {
        (self.low..self.high).contains(&k)
    }

    /// Does neither move what the other moves or holds?
    pub(crate) fn is_apart(&self, other: &Window) -> bool {
        let moves_held = self.held.iter().any(|&k| other.moves(k));
        let held_moves = other.held.iter().any(|&k| self.moves(k));
        !moves_held && !held_moves && (other.high <= self.low || self.high <= other.low)
    }

    /// Opens it: a search of what it moves, as a lay that starts at 0, among what it holds.
    pub(crate) fn open<'a>(self, task: &'a Task, base: &Lay, rng: Pcg64Mcg) -> Open<'a> {
        let Window { start, end, .. } = self;
        let mut part = Lay {
            length: end - start,
            extents: base.extents.clone(),
            ways: base.ways.clone(),
            spots: base.spots[self.low..self.high].iter().map(|spot| spot.shifted(-start)).collect(),
        };
        (part.extents[0].start, part.extents[0].end) = (0, end - start);
        let surroundings = self.held.iter().map(|&k| match k < self.low {
            true => Held::FromStart(base.spots[k].shifted(-start)),
            false => Held::FromEnd(base.spots[k].shifted(-end)),
        });
        let lane = Lane::within(task, part, surroundings.collect(), rng);
        Open { window: self, lane }
    }
}

/// A window and its search.
pub(crate) struct Open<'a> {
    pub(crate) window: Window,
    pub(crate) lane: Lane<'a>,
}

impl Open<'_> {
    /// By how much it has become shorter.
    pub(crate) fn gain(&self) -> i64 {
        self.window.length() - self.lane.best().length
    }
}

/// Searches on in each of some windows until it has measured about so many more depths.
pub(crate) fn work(open: &mut [Open<'_>], measures: u64) {
    open.par_iter_mut().for_each(|open| open.lane.run(measures));
}

/// Candidate positions evaluated in some windows so far.
pub(crate) fn evaluations(open: &[Open<'_>]) -> u64 {
    open.iter().map(|open| open.lane.evaluations()).sum()
}

/// The base with what the windows open onto it, from its start to its end, have gained; none when they have gained nothing.
pub(crate) fn put_back(task: &Task, base: &Lay, open: &[Open<'_>]) -> Option<Lay> {
    let gaining: Vec<&Open<'_>> = open.iter().filter(|open| open.gain() > 0).collect();
    if gaining.is_empty() {
        return None;
    }
    merged(task, base, &gaining).or_else(|| {
        // Of those that do not go together, the first that do.
        let mut kept = Vec::new();
        let mut lay = None;
        for open in gaining {
            kept.push(open);
            match merged(task, base, &kept) {
                Some(merged) => lay = Some(merged),
                None => {
                    kept.pop();
                }
            }
        }
        lay
    })
}

/// The base with what some windows have gained; none when anything overlaps: long placements held on both sides of a window may
/// have come to meet across it.
fn merged(task: &Task, base: &Lay, open: &[&Open<'_>]) -> Option<Lay> {
    let mut lay = Lay { spots: Vec::with_capacity(base.spots.len()), ..base.clone() };
    let mut from = 0;
    let mut moved = 0;
    for open in open {
        let (window, part) = (&open.window, open.lane.best());
        lay.spots.extend(base.spots[from..window.low].iter().map(|spot| spot.shifted(-moved)));
        for spot in &part.spots {
            lay.spots.push(spot.shifted(window.start - moved));
            lay.ways[spot.item as usize] = part.ways[spot.item as usize];
        }
        from = window.high;
        moved += open.gain();
    }
    lay.spots.extend(base.spots[from..].iter().map(|spot| spot.shifted(-moved)));
    lay.extents[0].end -= moved;
    // The floor leaves at the start what lies there and reaches past a window. A lay found elsewhere may be free of overlap only as
    // it is cut.
    let exact = task.exact();
    let floor = Floor::of(&exact, &lay);
    (floor.total() == 0.0 && floor.holds()).then(|| {
        let mut lay = floor.to_lay();
        lay.tighten(task);
        lay
    })
}
