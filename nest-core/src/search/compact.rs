//! [`compact`]: the least length of a lay while every piece keeps to its side of its neighbours, by linear programming.
//!
//! Two convex parts that do not meet have a line along an edge of either between them. While each stays on its side of
//! that line they never meet, and the condition is linear in how far both move; so the shortest lay in which all do is
//! found by a linear programme, and from there the lines are drawn anew (Z. Li & V. Milenkovic, "Compaction and separation
//! algorithms for non-convex polygons and their applications", EJOR 84, 1995; A. M. Gomes & J. F. Oliveira, "Solving
//! irregular strip packing problems by hybridising simulated annealing and linear programming", EJOR 171, 2006). Parts that
//! overlap by a unit, as rounding leaves them, are pushed apart by the same conditions.
//!
//! A programme takes milliseconds and moves all pieces at once, which a search that moves one at a time cannot: it comes
//! to the last grid unit where pieces lean on each other in chains.

use std::collections::BTreeSet;
use std::mem::take;
use std::ops::Range;

use microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use super::floor::Floor;
use super::task::{Anchor, Lay, Room, Task};
use crate::geometry::{Between, Point};

/// Programmes solved one after the other at the most, for one window.
const STEPS: usize = 24;
/// Pieces moved by one programme at the most.
const WINDOW: usize = 64;
/// A step that changes the length by no more than one part in so many is the last.
const TINY: i64 = 20_000;
/// How often what is left of overlaps is pushed apart.
const MENDINGS: usize = 8;
/// How far pieces move in that, in grid units: positions brought to the grid are off by less than a unit, and a chain of
/// pieces adds up the room that each is given.
const MENDING_REACH: i64 = 512;
/// How far pieces move at the least when they are pushed together.
const LEAST_REACH: i64 = 64;
/// By how much the solver may miss a condition.
const FEASIBLE: f64 = 1e-6;

/// A lay in which nothing overlaps pushed together; none when it gets no shorter so.
///
/// Fold depths stay, and so do lengths on which the places of flaws depend: such a lay is left as it is. A long lay is
/// pushed together window by window, from its start to its end; a window that gets no shorter so is left as it was.
///
/// # Complexity
/// For each window some linear programmes of two variables a placement and one condition for each two convex parts near
/// each other, for which every placement looks for those about it: 0.2 to 1 ms a programme for 24 placements, 5 ms for a
/// window of 64 curved ones; in all 10 ms for 23 placements, a third of a second for 140, 1.5 s for 420, 7 s for 3000.
pub(crate) fn compact(task: &Task, lay: &Lay) -> Option<Lay> {
    if (0..lay.extents.len()).any(|s| task.room.keeps_length(s)) {
        return None;
    }
    let mut floor = Floor::of(task, lay);
    for window in windows(floor.movable) {
        let motions = motions(&floor, window);
        let shorter = pushed(floor.clone(), &motions).and_then(|pushed| mended(pushed, &motions));
        floor = shorter.filter(|shorter| shorter.cloth() < floor.cloth()).unwrap_or(floor);
    }
    let mut compact = floor.to_lay();
    compact.tighten(task);
    (compact.length < lay.length).then_some(compact)
}

/// Ranges of ranks from the start of a lay to its end, each overlapping the next by a half: the time that a programme takes
/// grows faster than the number of pieces that it moves.
fn windows(pieces: usize) -> impl Iterator<Item = Range<usize>> {
    let behind = pieces.saturating_sub(WINDOW).div_ceil(WINDOW / 2);
    (0..=behind).map(move |k| (k * WINDOW / 2)..(k * WINDOW / 2 + WINDOW).min(pieces))
}

/// The pieces of a window pushed together, and all after them led on as they lie.
fn pushed<'a>(mut floor: Floor<'a>, motions: &[Motion]) -> Option<Floor<'a>> {
    let none = BTreeSet::new();
    // A thirtieth of the side of a mean piece, about: further off, a piece has many parts to keep apart from.
    let mut reach = (floor.task.shapes.touch() as i64 / 4).max(LEAST_REACH);
    for _ in 0..STEPS {
        let next = Floor::of(floor.task, &Programme::of(&floor, motions, reach, &none).solve()?);
        let change = (floor.cloth() - next.cloth()).abs();
        floor = next;
        if change <= floor.cloth() / TINY {
            break;
        }
        if change < reach / 2 {
            reach = (reach / 2).max(LEAST_REACH);
        }
    }
    Some(floor)
}

/// What a programme does with each piece, when those of a window move, ranked from the start of the lay to its end.
fn motions(floor: &Floor<'_>, window: Range<usize>) -> Vec<Motion> {
    let mut ranked: Vec<usize> = (0..floor.movable).collect();
    ranked.sort_by_key(|&k| (floor.spots[k].at.x, k));
    let mut motions = vec![Motion::Free; floor.movable];
    for (rank, k) in ranked.into_iter().enumerate() {
        if rank < window.start {
            motions[k] = Motion::Stays;
        } else if rank >= window.end {
            motions[k] = Motion::Led;
        }
    }
    motions
}

/// What a programme does with a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Motion {
    /// It stays.
    Stays,
    /// It moves by itself.
    Free,
    /// It moves along the lay, all that are led by the same.
    Led,
}

/// Pushes apart what overlaps by a unit on the grid; none when that does not come to an end.
///
/// Pairs that overlap when rounded are given room for the rounding, and only they: where pieces fit exactly between others
/// there is none to spare.
fn mended<'a>(floor: Floor<'a>, motions: &[Motion]) -> Option<Floor<'a>> {
    let (mut mended, mut roomy) = (floor.clone(), BTreeSet::new());
    for _ in 0..MENDINGS {
        let before = roomy.len();
        roomy.extend(mended.overlapping_pairs());
        if roomy.len() == before {
            break;
        }
        mended = Floor::of(floor.task, &Programme::of(&floor, motions, MENDING_REACH, &roomy).solve()?);
    }
    (mended.total() == 0.0 && mended.holds()).then_some(mended)
}

/// A linear programme: the lengths of the stretches and the moves of the pieces, no further than a reach along each axis.
struct Programme<'f, 'a> {
    floor: &'f Floor<'a>,
    reach: i64,
    /// Pairs that must not overlap when all positions are rounded down; the others may touch before they are rounded, so that
    /// pieces whose corners lie on a lattice come to lie on it exactly.
    roomy: &'f BTreeSet<(usize, usize)>,
    /// What is to become least, and the variables.
    problem: Problem,
    /// What the variables must keep to.
    conditions: Vec<Condition>,
    /// How far the end of each stretch moves.
    ends: Vec<Variable>,
    /// How far each spot moves along x and y, obstacles among them; none where it does not.
    moves: Vec<[Option<Variable>; 2]>,
}

impl<'f, 'a> Programme<'f, 'a> {
    fn of(
        floor: &'f Floor<'a>,
        motions: &[Motion],
        reach: i64,
        roomy: &'f BTreeSet<(usize, usize)>,
    ) -> Programme<'f, 'a> {
        let problem = Problem::new(OptimizationDirection::Minimize);
        let (conditions, ends, moves) = (Vec::new(), Vec::new(), vec![[None; 2]; floor.spots.len()]);
        let mut programme = Programme { floor, reach, roomy, problem, conditions, ends, moves };
        programme.add_ends();
        programme.add_moves(motions);
        for k in 0..floor.movable {
            programme.keep_within(k);
        }
        for j in 0..floor.movable {
            for i in programme.near(j) {
                programme.keep_apart(i, j);
            }
        }
        programme
    }

    /// Those before spot `j`, and the obstacles, which come beyond all that move, whom it may come to meet.
    fn near(&self, j: usize) -> Vec<usize> {
        let spot = &self.floor.spots[j];
        let [x0, x1, y0, y1] = self.floor.box_of(spot.choice, spot.at);
        // Both may move.
        let reach = 2.0 * self.reach as f32;
        let mut near = Vec::new();
        self.floor.boxes().meeting([x0 - reach, x1 + reach, y0 - reach, y1 + reach], |i| {
            if i < j || i >= self.floor.movable {
                near.push(i);
            }
        });
        near.sort_unstable();
        near
    }

    fn add_ends(&mut self) {
        let stretches = &self.floor.task.room.stretches;
        let cost = |s: usize| stretches.get(s).map_or(0, |stretch| stretch.cloth_per_lay());
        let most = 2.0 * self.reach as f64;
        for s in 0..stretches.len() {
            // A stretch begins where the one before ends: what lengthens the one shortens the other.
            self.ends.push(self.problem.add_var((cost(s) - cost(s + 1)) as f64, (-most, most)));
        }
    }

    fn add_moves(&mut self, motions: &[Motion]) {
        let reach = self.reach as f64;
        let led = motions.contains(&Motion::Led).then(|| self.problem.add_var(0.0, (-reach, reach)));
        for (k, motion) in motions.iter().enumerate() {
            self.moves[k] = match motion {
                Motion::Stays => [None, None],
                Motion::Led => [led, None],
                Motion::Free => {
                    let spot = &self.floor.spots[k];
                    let (low, high) = self.floor.range(spot.choice);
                    let across =
                        ((low.y - spot.at.y) as f64).max(-reach)..((high.y - spot.at.y) as f64).min(reach);
                    let y = self.problem.add_var(0.0, (across.start, across.end));
                    [Some(self.problem.add_var(0.0, (-reach, reach))), Some(y)]
                }
            };
        }
    }

    /// Keeps a piece within its stretch, or where it begins.
    fn keep_within(&mut self, k: usize) {
        let spot = &self.floor.spots[k];
        let s = Room::stretch_of(spot.choice);
        let width = self.floor.task.shapes.outline(spot.choice.outline).width;
        let past_end = spot.at.x + width - self.floor.extents[s].end;
        let from_start = self.floor.range(spot.choice).0.x - spot.at.x;
        let (start, end) = (s.checked_sub(1).map(|before| self.ends[before]), self.ends[s]);
        let x = self.moves[k][0];
        self.require_beyond(Some(end), x, past_end);
        self.require_beyond(x, start, from_start);
        if spot.choice.anchor == Anchor::Start {
            self.require_beyond(start, x, -from_start);
        }
    }

    /// Keeps every part of two spots near each other on its side of the line between them.
    fn keep_apart(&mut self, i: usize, j: usize) {
        let (shapes, [a, b]) = (&self.floor.task.shapes, [i, j].map(|k| &self.floor.spots[k]));
        let move_alike = self.moves[i] == self.moves[j];
        if move_alike {
            return;
        }
        let roomy = self.roomy.contains(&(i.min(j), i.max(j)));
        let [one, other] = [a, b].map(|spot| &shapes.outline(spot.choice.outline).parts);
        let moving = [i, j].iter().filter(|&&k| self.moves[k] != [None; 2]).count();
        for line in one.between(other, b.at - a.at, moving as i64 * self.reach) {
            let normal = unit(line);
            let mut sum = Vec::new();
            for (axis, along) in normal.into_iter().enumerate().filter(|&(_, along)| along != 0.0) {
                sum.extend(self.moves[j][axis].map(|variable| (variable, along)));
                sum.extend(self.moves[i][axis].map(|variable| (variable, -along)));
            }
            // Whole differences survive rounding down; on a slant, each position may lose almost a unit along each axis.
            let slanted = normal[0] != 0.0 && normal[1] != 0.0;
            let apart = if roomy && slanted { normal[0].abs() + normal[1].abs() } else { 0.0 };
            self.require(sum, apart - line.distance());
        }
    }

    /// The one is at least so much more than the other; what does not move is 0.
    fn require_beyond(&mut self, one: Option<Variable>, other: Option<Variable>, least: i64) {
        let sum = one.map(|variable| (variable, 1.0)).into_iter();
        self.require(sum.chain(other.map(|variable| (variable, -1.0))).collect(), least as f64);
    }

    /// The weighted sum of some variables is at least so much.
    fn require(&mut self, sum: Vec<(Variable, f64)>, least: f64) {
        // What nothing changes is as it was.
        if sum.is_empty() {
            return;
        }
        self.conditions.push(Condition { sum, least });
    }

    /// The solution; none when nothing fits within the reach or the numbers did not allow an answer.
    ///
    /// Most conditions between curved outlines never come to bear, and the time taken grows with their number: those that
    /// lie far from their line are left out until a solution breaks them.
    fn least(&mut self) -> Option<Solution> {
        let near = self.reach as f64 / 4.0;
        let (mut in_force, mut left_out): (Vec<_>, Vec<_>) =
            take(&mut self.conditions).into_iter().partition(|condition| -condition.least < near);
        loop {
            for Condition { sum, least } in in_force.drain(..) {
                self.problem.add_constraint(sum, ComparisonOp::Ge, least);
            }
            let solution = self.problem.solve().ok()?.into_solution().ok()?;
            (in_force, left_out) =
                left_out.into_iter().partition(|condition| condition.is_broken_by(&solution));
            if in_force.is_empty() {
                return Some(solution);
            }
        }
    }

    /// The floor as a lay with everything moved, brought to the grid.
    fn solve(mut self) -> Option<Lay> {
        let solution = self.least()?;
        let mut lay = self.floor.to_lay();
        for (spot, moves) in lay.spots.iter_mut().zip(&self.moves) {
            let [x, y] = moves.map(|variable| variable.map_or(0, |variable| whole(&solution, variable)));
            spot.at = spot.at + Point::new(x, y);
        }
        let mut start = lay.extents[0].start;
        for (extent, &end) in lay.extents.iter_mut().zip(&self.ends) {
            extent.start = start;
            extent.end += whole(&solution, end);
            start = extent.end;
        }
        lay.length = self.floor.task.room.cloth(&lay.extents);
        Some(lay)
    }
}

/// A weighted sum of variables that must be at least so much.
struct Condition {
    sum: Vec<(Variable, f64)>,
    least: f64,
}

impl Condition {
    fn is_broken_by(&self, solution: &Solution) -> bool {
        let sum: f64 = self.sum.iter().map(|&(variable, weight)| weight * solution.var_value(variable)).sum();
        sum < self.least - FEASIBLE
    }
}

/// The normal of a line, one unit long: along x and y.
fn unit(line: Between) -> [f64; 2] {
    let length = line.normal.length();
    [line.normal.x, line.normal.y].map(|v| v as f64 / length)
}

/// The value of a variable rounded down, but for the noise of floating-point numbers.
fn whole(solution: &Solution, variable: Variable) -> i64 {
    (solution.var_value(variable) + 1e-3).floor() as i64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::search::bottom_left::fill_large_first;
    use crate::search::task::{Choice, Extent, Spot, Stretch};

    fn polygon(ring: &[(i64, i64)]) -> Polygon {
        Polygon::new(ring.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("simple")
    }

    /// A lay of the first choices of all items.
    fn lay_at(task: &Task, places: &[(i64, i64)], end: i64) -> Lay {
        let spot = |(k, &(x, y)): (usize, &(i64, i64))| Spot {
            item: k as u32,
            part: 0,
            choice: task.items[k].ways[0].parts[0].choices[0],
            at: Point::new(x, y),
        };
        Lay {
            length: end,
            extents: vec![Extent { depths: [0, 0], start: 0, end }],
            ways: vec![0; places.len()],
            spots: places.iter().enumerate().map(spot).collect(),
        }
    }

    /// Twice the area in which pieces may lie, less what they take: 0 only in a lay without waste.
    fn waste(task: &Task, lay: &Lay, height: i64) -> i64 {
        let taken = lay.spots.iter().map(|s| task.shapes.outline(s.choice.outline).polygon.doubled_area());
        2 * height * lay.length - taken.sum::<i64>()
    }

    #[test]
    fn loose_blocks_meet_exactly() {
        let task = Task::board(1000, &[(Polygon::rectangle(3000, 600), 2, vec![Turn::None])]);
        // Both are higher than half the board: the second stays behind the first.
        let lay = lay_at(&task, &[(40, 100), (3371, 333)], 6500);
        let compact = compact(&task, &lay).expect("nothing is in the way");
        assert_eq!(compact.length, 6000);
    }

    #[test]
    fn a_long_lay_is_pushed_together_to_its_end() {
        // Higher than half the board: one after the other, over several windows.
        let count = 2 * WINDOW as i64 + 5;
        let task = Task::board(1000, &[(Polygon::rectangle(3000, 600), count as u32, vec![Turn::None])]);
        let places: Vec<_> = (0..count).map(|k| (3040 * k + 7 * (k % 3), 100 * (k % 4))).collect();
        let compact = compact(&task, &lay_at(&task, &places, 3060 * count)).expect("loose");
        assert_eq!(compact.length, 3000 * count);
    }

    #[test]
    fn windows_overlap_by_half_and_leave_nothing_out() {
        for pieces in 0..5 * WINDOW {
            let all: Vec<_> = windows(pieces).collect();
            assert_eq!((all[0].start, all[all.len() - 1].end), (0, pieces));
            for pair in all.windows(2) {
                assert!(pair[1].start + WINDOW / 2 == pair[0].end && pair[1].end > pair[0].end, "{pair:?}");
            }
        }
    }

    #[test]
    fn triangles_that_lean_on_each_other_make_their_rectangle() {
        // Both halves of a rectangle of 7000 by 3000: the shortest lay of the two is 7000 long and has no waste.
        let half = polygon(&[(0, 0), (7000, 0), (0, 3000)]);
        let other = polygon(&[(7000, 0), (7000, 3000), (0, 3000)]);
        let task = Task::board(3000, &[(half, 1, vec![Turn::None]), (other, 1, vec![Turn::None])]);
        for by in [1, 70, 500] {
            let compact = compact(&task, &lay_at(&task, &[(0, 0), (by, 0)], 7000 + by));
            assert_eq!(compact.map(|lay| waste(&task, &lay, 3000)), Some(0), "from {by} apart");
        }
    }

    #[test]
    fn a_wedge_off_the_lattice_stops_by_the_clearance_above_the_least_length() {
        // The corner of a block on a slope that falls 900 on 1700: no position where it touches is whole.
        let ramp = polygon(&[(0, 0), (1700, 0), (0, 900)]);
        let block = Polygon::rectangle(1000, 607);
        let task = Task::board(1009, &[(ramp, 1, vec![Turn::None]), (block, 1, vec![Turn::None])]);
        let compact = compact(&task, &lay_at(&task, &[(0, 0), (1200, 350)], 2200)).expect("loose");
        // The block at the top begins at height 402, where the slope has 1700 * (1 - 402 / 900) left.
        let least = 1700.0 * (1.0 - 402.0 / 900.0) + 1000.0;
        let over = compact.length as f64 - least;
        // A unit along x, a unit along y as far as the slope makes of it, and the end rounded up.
        let clearance = 1.0 + 1700.0 / 900.0 + 1.0;
        assert!((0.0..=clearance).contains(&over), "{over} units above the least");
    }

    #[test]
    fn pieces_on_the_fold_and_at_the_start_stay_there() {
        let mut task = Task::board(4000, &[(Polygon::rectangle(1500, 900), 3, vec![Turn::None])]);
        for (item, anchor) in task.items.iter_mut().zip([Anchor::High, Anchor::Start, Anchor::Low]) {
            item.ways[0].parts[0].choices[0].anchor = anchor;
        }
        let lay = lay_at(&task, &[(300, 3100), (0, 2000), (300, 0)], 1800);
        let compact = compact(&task, &lay).expect("room across");
        let places: Vec<Point> = compact.spots.iter().map(|spot| spot.at).collect();
        assert_eq!((places[0], places[2]), (Point::new(0, 3100), Point::new(0, 0)));
        assert_eq!((places[1].x, compact.length), (0, 1500));
    }

    #[test]
    fn stretches_follow_each_other() {
        let mut task = Task::board(1000, &[(Polygon::rectangle(500, 1000), 3, vec![Turn::None])]);
        task.room.stretches.push(Stretch::Strip(0, 1000));
        let second = Choice { band: 3, ..task.items[0].ways[0].parts[0].choices[0] };
        task.items[2].ways[0].parts[0].choices[0] = second;
        let mut lay = lay_at(&task, &[(10, 0), (560, 0), (1300, 0)], 1900);
        lay.extents = vec![
            Extent { depths: [0, 0], start: 0, end: 1150 },
            Extent { depths: [0, 0], start: 1150, end: 1900 },
        ];
        let compact = compact(&task, &lay).expect("loose");
        assert_eq!(compact.length, 1500);
        assert!(compact.spots[2].at.x >= compact.extents[1].start && compact.extents[0].end >= 1000);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn a_fill_pushed_together_is_no_longer_and_right(
            corners in prop::collection::vec((400i64..3000, 300i64..2400, 1i64..2000, 0i64..200), 3..9),
            spread in 0i64..400,
        ) {
            // Arrowheads: not convex, and slanted all round.
            let pieces: Vec<_> = corners
                .iter()
                .map(|&(w, h, dent, skew)| {
                    let ring = [(0, 0), (w, h / 3 + skew), (0, h), (dent.min(w / 3), h / 2)];
                    (polygon(&ring), 1, vec![Turn::None, Turn::Half])
                })
                .collect();
            let task = Task::board(4001, &pieces);
            let mut lay = fill_large_first(&task).expect("every piece fits across");
            // Pulled apart along the lay.
            for spot in &mut lay.spots {
                spot.at.x += spot.at.x * spread / 4000;
            }
            lay.tighten(&task);
            prop_assume!(Floor::of(&task, &lay).total() == 0.0);
            let Some(compact) = compact(&task, &lay) else { return Ok(()) };
            prop_assert!(compact.length < lay.length);
            prop_assert_eq!(compact.spots.len(), lay.spots.len());
            for (j, b) in compact.spots.iter().enumerate() {
                let outline = task.shapes.outline(b.choice.outline);
                prop_assert!(b.at.x >= 0 && b.at.x + outline.width <= compact.length);
                prop_assert!(b.at.y >= 0 && b.at.y + outline.height <= 4001);
                for a in &compact.spots[..j] {
                    prop_assert!(!task.shapes.overlap(a.choice.outline, a.at, b.choice.outline, b.at));
                }
            }
        }
    }
}
