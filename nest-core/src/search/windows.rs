//! [`Windows`]: a large lay improved a part at a time.
//!
//! In a lay of many placements an attempt at the whole takes long, and one overlap that will not go away spoils it. A window
//! is what lies abreast of each other over some length: it is shortened and separated by itself, while what lies about it
//! is held; what follows it moves up by what it gained. Several windows apart from each other gain side by side. (Improving
//! a part while the rest is held is the idea of large neighbourhood search: P. Shaw, "Using constraint programming and
//! local search methods to solve vehicle routing problems", CP 1998.)

use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::alternation::Alternation;
use super::stream::branch;
use super::task::{Lay, Task, is_long};
use super::window::{Open, Window, evaluations, put_back, put_in_order, work};

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
    open: Vec<Open<'a>>,
    /// Evaluations of windows that were closed.
    closed: u64,
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
        work(&mut self.open, measures);
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
        self.closed + evaluations(&self.open)
    }

    /// The whole lay with what its windows have gained; none when they have gained nothing.
    pub(crate) fn whole(&self) -> Option<Lay> {
        put_back(self.task, &self.base, &self.open)
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
        put_in_order(self.task, &mut self.base);
        let first = self.rng.random_range(0..count);
        for k in 0..self.lanes {
            // At either end a window is cut short, by half of it at the most: what lies there has its turns as well.
            let middle = (first + k * count / self.lanes) % count;
            let low = middle.saturating_sub(SIZE / 2).min(count - SIZE / 2);
            let high = (middle + SIZE / 2).clamp(SIZE / 2, count);
            let rng = branch(&mut self.rng);
            if let Some(open) = self.cut(low, high, rng) {
                self.open.push(open);
            }
        }
        self.open.sort_by_key(|open| open.window.low);
    }

    /// A window onto some placements; none when it is not apart from those that are open.
    fn cut(&self, low: usize, high: usize, rng: Pcg64Mcg) -> Option<Open<'a>> {
        let window = Window::onto(self.task, &self.base, low, high)?;
        let apart = self.open.iter().all(|open| open.window.is_apart(&window));
        apart.then(|| window.open(self.task, &self.base, rng))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill_large_first;
    use crate::search::floor::Floor;
    use crate::search::stream::stream;
    use crate::search::task::{Extent, Spot};

    fn hooks(count: u32) -> Task {
        let turns = vec![Turn::None, Turn::Half];
        Task::board(9000, &[(hook(), count, turns), (Polygon::rectangle(700, 1300), count, vec![Turn::None])])
    }

    /// A bottom-left fill with what begins further along pulled apart by a tenth.
    fn loose(task: &Task) -> Lay {
        let mut lay = fill_large_first(task).expect("every piece fits across");
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
        let gains: Vec<i64> = windows.open.iter().map(Open::gain).collect();
        assert!(gains.iter().all(|&gain| gain > 0), "{gains:?}");
        assert!(whole.length <= lay.length - gains.iter().sum::<i64>());
        assert!(Floor::of(&task, &whole).total() == 0.0, "nothing overlaps");
        let mut items: Vec<u32> = whole.spots.iter().map(|spot| spot.item).collect();
        items.sort_unstable();
        assert!(items.iter().copied().eq(0..task.items.len() as u32), "every item once");
        // What no window moves has followed those before it, and is as it was.
        for (k, before) in windows.base.spots.iter().enumerate() {
            if windows.open.iter().any(|open| open.window.moves(k)) {
                continue;
            }
            let moved: i64 = windows.open.iter().filter(|open| open.window.high <= k).map(Open::gain).sum();
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
            let open: Vec<&Window> = windows.open.iter().map(|open| &open.window).collect();
            for (at, window) in open.iter().enumerate() {
                held += window.held.len();
                let size = window.high - window.low;
                assert!((SIZE / 2..=SIZE).contains(&size), "{size} placements");
                for other in &open[at + 1..] {
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
