//! [`Windows`]: a large lay improved a part at a time.
//!
//! In a lay of many placements an attempt at the whole takes long, and one overlap that will not go away spoils it. A window
//! is what lies abreast of each other over some length: it is shortened and separated by itself, while what lies about it
//! is held; what follows it moves up by what it gained. Several windows apart from each other gain side by side. (Improving
//! a part while the rest is held is the idea of large neighbourhood search: P. Shaw, "Using constraint programming and
//! local search methods to solve vehicle routing problems", CP 1998.)

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use rayon::prelude::*;

use super::alternation::Alternation;
use super::floor::{Floor, Held};
use super::separate::Lane;
use super::task::{Lay, Spot, Task, is_long};

/// Placements in a window. With 28 or 40 the same work gained about as much.
const SIZE: usize = 36;

/// Smaller lays are searched whole, as windows would be half of them; and so are those that are not long: two boards of 64 and
/// 99 pieces, two and three times as long as high, came out a little worse with windows.
const FEWEST: usize = 56;

/// The search of one task in windows, in turn with a search of the whole lay.
pub(crate) struct Windows<'a> {
    task: &'a Task,
    rng: Pcg64Mcg,
    alternation: Alternation,
    /// How many windows to open at a time.
    lanes: usize,
    /// The lay that the open windows were cut from, its placements in their order along the lay.
    base: Lay,
    /// From the start of the lay to its end.
    open: Vec<Window<'a>>,
    /// Evaluations of windows that were closed.
    closed: u64,
}

struct Window<'a> {
    /// Its placements, those from `low` up to `high` of the base.
    low: usize,
    high: usize,
    start: i64,
    length: i64,
    /// Placements about it that stay where they are.
    held: Vec<usize>,
    lane: Lane<'a>,
}

impl Window<'_> {
    fn gain(&self) -> i64 {
        self.length - self.lane.best().length
    }

    fn moves(&self, k: usize) -> bool {
        (self.low..self.high).contains(&k)
    }
}

impl<'a> Windows<'a> {
    /// Windows for a long lay of many placements, none for any other or where a length of the lay takes two of cloth. It has one
    /// stretch and nothing in fixed places.
    pub(crate) fn of(task: &'a Task, lay: &Lay, lanes: u32, rng: Pcg64Mcg) -> Option<Windows<'a>> {
        let long = is_long(&lay.extents, &task.room.bands(lay.depths()));
        let plain = task.room.stretches[0].cloth_per_lay() == 1;
        (plain && long && lay.spots.len() >= FEWEST).then(|| Windows {
            task,
            rng,
            alternation: Alternation::new(lay.length),
            lanes: lanes as usize,
            base: lay.clone(),
            open: Vec::new(),
            closed: 0,
        })
    }

    /// Is the next round theirs?
    pub(crate) fn have_the_turn(&self) -> bool {
        !self.open.is_empty()
    }

    /// Works until each window has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        self.open.par_iter_mut().for_each(|window| window.lane.run(measures));
    }

    /// After a round, whoever worked in it: `best` is the shortest lay so far.
    pub(crate) fn round_done(&mut self, best: &Lay) {
        if self.alternation.round_done(best.length) {
            self.open(best);
        }
    }

    /// Goes on from a lay that was found elsewhere, which is nobody's gain here.
    pub(crate) fn restart(&mut self, best: &Lay) {
        self.alternation.restart(best.length);
        self.open(best);
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.closed + self.open.iter().map(|window| window.lane.evaluations()).sum::<u64>()
    }

    /// The whole lay with what its windows have gained; none when they have gained nothing.
    pub(crate) fn whole(&self) -> Option<Lay> {
        let gaining: Vec<&Window<'a>> = self.open.iter().filter(|window| window.gain() > 0).collect();
        if gaining.is_empty() {
            return None;
        }
        self.merged(&gaining).or_else(|| {
            // Of those that do not go together, the first that do.
            let mut kept = Vec::new();
            let mut lay = None;
            for window in gaining {
                kept.push(window);
                match self.merged(&kept) {
                    Some(merged) => lay = Some(merged),
                    None => {
                        kept.pop();
                    }
                }
            }
            lay
        })
    }

    /// The base with what some windows, from the start of the lay to its end, have gained; none when anything overlaps:
    /// long placements held on both sides of a window may have come to meet across it.
    fn merged(&self, windows: &[&Window<'a>]) -> Option<Lay> {
        let mut lay = Lay { spots: Vec::with_capacity(self.base.spots.len()), ..self.base.clone() };
        let mut from = 0;
        let mut moved = 0;
        for window in windows {
            lay.spots.extend(self.base.spots[from..window.low].iter().map(|spot| spot.shifted(-moved)));
            let part = window.lane.best();
            for spot in &part.spots {
                lay.spots.push(spot.shifted(window.start - moved));
                lay.ways[spot.item as usize] = part.ways[spot.item as usize];
            }
            from = window.high;
            moved += window.gain();
        }
        lay.spots.extend(self.base.spots[from..].iter().map(|spot| spot.shifted(-moved)));
        lay.extents[0].end -= moved;
        // The floor leaves at the start what lies there and reaches past a window.
        let floor = Floor::of(self.task, &lay);
        (floor.total() == 0.0 && floor.holds()).then(|| {
            let mut lay = floor.to_lay();
            lay.tighten(self.task);
            lay
        })
    }

    /// Closes what is open and, when it is their turn, opens windows evenly apart, the first anywhere.
    fn open(&mut self, lay: &Lay) {
        self.closed = self.evaluations();
        self.open.clear();
        if !self.alternation.is_turn_of_windows() {
            return;
        }
        self.cut_all(lay);
        if self.open.is_empty() {
            self.alternation.pass();
        }
    }

    fn cut_all(&mut self, lay: &Lay) {
        let count = lay.spots.len();
        self.base = lay.clone();
        let shapes = &self.task.shapes;
        self.base
            .spots
            .sort_by_key(|s| (2 * s.at.x + shapes.outline(s.choice.outline).width, s.item, s.part));
        let first = self.rng.random_range(0..count);
        for k in 0..self.lanes {
            // At either end a window is cut short, by half of it at the most: what lies there has its turns as well.
            let middle = (first + k * count / self.lanes) % count;
            let low = middle.saturating_sub(SIZE / 2).min(count - SIZE / 2);
            let high = (middle + SIZE / 2).clamp(SIZE / 2, count);
            let rng = Pcg64Mcg::seed_from_u64(self.rng.random());
            if let Some(window) = self.cut(low, high, rng) {
                self.open.push(window);
            }
        }
        self.open.sort_by_key(|window| window.low);
    }

    /// A window onto some placements; none when it would move what an open one moves or holds, or hold what it moves, or
    /// when it is as long as one of them.
    fn cut(&self, low: usize, high: usize, rng: Pcg64Mcg) -> Option<Window<'a>> {
        let shapes = &self.task.shapes;
        let spots = &self.base.spots;
        let ends = |spot: &Spot| spot.at.x + shapes.outline(spot.choice.outline).width;
        let members = &spots[low..high];
        let start = members.iter().map(|spot| spot.at.x).min()?;
        let end = members.iter().map(ends).max()?;
        let longest = members.iter().map(|spot| ends(spot) - spot.at.x).max()?;
        let about = |k: &usize| spots[*k].at.x < end && ends(&spots[*k]) > start;
        let held: Vec<usize> = (0..low).chain(high..spots.len()).filter(about).collect();
        let apart = self.open.iter().all(|other| {
            let moves_held = held.iter().any(|&k| other.moves(k));
            let held_moves = other.held.iter().any(|&k| (low..high).contains(&k));
            !moves_held && !held_moves && (other.high <= low || high <= other.low)
        });
        if !apart || longest == end - start {
            return None;
        }
        let mut part = Lay {
            length: end - start,
            extents: self.base.extents.clone(),
            ways: self.base.ways.clone(),
            spots: members.iter().map(|spot| spot.shifted(-start)).collect(),
        };
        (part.extents[0].start, part.extents[0].end) = (0, end - start);
        let surroundings = held
            .iter()
            .map(|&k| match k < low {
                true => Held::FromStart(spots[k].shifted(-start)),
                false => Held::FromEnd(spots[k].shifted(-end)),
            })
            .collect();
        let lane = Lane::within(self.task, part, surroundings, rng);
        Some(Window { low, high, start, length: end - start, held, lane })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill;
    use crate::search::plan::Plan;
    use crate::search::stream::stream;
    use crate::search::task::Extent;

    fn hooks(count: u32) -> Task {
        let turns = vec![Turn::None, Turn::Half];
        Task::board(9000, &[(hook(), count, turns), (Polygon::rectangle(700, 1300), count, vec![Turn::None])])
    }

    /// A bottom-left fill with what begins further along pulled apart by a tenth.
    fn loose(task: &Task) -> Lay {
        let plan = Plan::large_first(task, task.room.deepest()).expect("every piece fits across");
        let (mut lay, _) = fill(task, &plan).expect("a plan that fits can be laid");
        lay.spots.iter_mut().for_each(|spot| spot.at.x += spot.at.x / 10);
        lay.extents[0].end *= 2;
        lay.tighten(task);
        assert!(Floor::of(task, &lay).total() == 0.0);
        lay
    }

    #[test]
    fn what_windows_gain_comes_off_the_whole() {
        let task = hooks(70);
        let lay = loose(&task);
        let mut windows = Windows::of(&task, &lay, 3, stream(5, 0, 0, 4)).expect("a large lay");
        windows.cut_all(&lay);
        assert!(windows.open.len() >= 2, "{} windows", windows.open.len());
        assert_eq!(windows.whole(), None);
        windows.work(200_000);
        let whole = windows.whole().expect("a loose lay becomes shorter");
        let gains: Vec<i64> = windows.open.iter().map(Window::gain).collect();
        assert!(gains.iter().all(|&gain| gain > 0), "{gains:?}");
        assert!(whole.length <= lay.length - gains.iter().sum::<i64>());
        assert!(Floor::of(&task, &whole).total() == 0.0, "nothing overlaps");
        let mut items: Vec<u32> = whole.spots.iter().map(|spot| spot.item).collect();
        items.sort_unstable();
        assert!(items.iter().copied().eq(0..task.items.len() as u32), "every item once");
        // What no window moves has followed those before it, and is as it was.
        for (k, before) in windows.base.spots.iter().enumerate() {
            if windows.open.iter().any(|window| window.moves(k)) {
                continue;
            }
            let moved: i64 = windows.open.iter().filter(|w| w.high <= k).map(Window::gain).sum();
            let after = whole.spots.iter().find(|spot| spot.item == before.item).expect("every item");
            assert_eq!((after.at.x, after.at.y), (before.at.x - moved, before.at.y));
        }
    }

    #[test]
    fn no_window_moves_what_another_holds() {
        let task = hooks(70);
        let lay = loose(&task);
        let mut windows = Windows::of(&task, &lay, 6, stream(6, 0, 0, 4)).expect("a large lay");
        let mut opened = 0;
        let mut held = 0;
        for _ in 0..40 {
            windows.open.clear();
            windows.cut_all(&lay);
            opened += windows.open.len();
            for (at, window) in windows.open.iter().enumerate() {
                held += window.held.len();
                let size = window.high - window.low;
                assert!((SIZE / 2..=SIZE).contains(&size), "{size} placements");
                for other in windows.open.iter().skip(at + 1) {
                    assert!(window.high <= other.low);
                    assert!(!window.held.iter().any(|&k| other.moves(k)));
                    assert!(!other.held.iter().any(|&k| window.moves(k)));
                }
            }
        }
        assert!(opened > 60 && held > 100, "{opened} windows that hold {held} placements");
    }

    #[test]
    fn what_lies_at_the_start_and_reaches_past_a_window_stays_there() {
        // Three rows of small pieces with gaps, and beside them a piece three quarters as long as the lay.
        let small = (Polygon::rectangle(700, 1000), 90, vec![Turn::None]);
        let long = (Polygon::rectangle(20_000, 500), 1, vec![Turn::None]);
        let task = Task::board(3500, &[small, long]);
        let spot = |item: u32, x: i64, y: i64| {
            let choice = task.items[item as usize].ways[0].parts[0].choices[0];
            Spot { item, part: 0, choice, at: Point::new(x, y) }
        };
        let mut spots: Vec<Spot> =
            (0..90).map(|k| spot(k, i64::from(k / 3) * 900, i64::from(k % 3) * 1000)).collect();
        spots.push(spot(90, 0, 3000));
        let extents = vec![Extent { start: 0, end: 26_800, ..Extent::default() }];
        let lay = Lay { length: 26_800, extents, ways: vec![0; 91], spots };
        assert!(Floor::of(&task, &lay).total() == 0.0);
        let mut windows = Windows::of(&task, &lay, 1, stream(2, 0, 0, 4)).expect("a long lay");
        windows.cut_all(&lay);
        windows.open = windows.cut(0, 30, stream(2, 0, 0, 9)).into_iter().collect();
        assert!(
            windows.base.spots[30..].iter().any(|spot| spot.item == 90),
            "the long piece follows the window"
        );
        windows.work(400_000);
        assert!(windows.open[0].gain() > 0);
        let whole = windows.whole().expect("there is room for what the window gained");
        assert!(whole.length < lay.length);
        for spot in &whole.spots {
            let end = spot.at.x + task.shapes.outline(spot.choice.outline).width;
            assert!(spot.at.x >= 0 && end <= whole.length, "{spot:?} in a lay of {}", whole.length);
        }
    }

    #[test]
    fn a_small_lay_and_one_that_is_not_long_have_no_windows() {
        let windows = |task: &Task| Windows::of(task, &loose(task), 2, stream(1, 0, 0, 4)).is_some();
        assert!(windows(&hooks(70)));
        assert!(!windows(&hooks(FEWEST as u32 / 2 - 1)));
        let slabs = |height| Task::board(height, &[(Polygon::rectangle(900, 700), 70, vec![Turn::None])]);
        assert!(windows(&slabs(1500)) && !windows(&slabs(9000)));
    }
}
