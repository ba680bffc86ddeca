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

use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, Solution, Variable};

use super::floor::Floor;
use super::task::{Anchor, Lay, Room, Task};
use crate::geometry::{Between, Point};

/// Programmes solved one after the other at the most.
const STEPS: usize = 6;
/// A step that changes the length by no more than one part in so many is the last.
const TINY: i64 = 20_000;
/// How often what is left of overlaps is pushed apart.
const MENDINGS: usize = 8;
/// How far pieces move in that, in grid units: positions brought to the grid are off by less than a unit, and a chain of
/// pieces adds that up.
const MENDING_REACH: i64 = 64;

/// A lay in which nothing overlaps pushed together; none when it gets no shorter so.
///
/// Fold depths stay, and so do lengths on which the places of flaws depend: such a lay is left as it is.
///
/// # Complexity
/// n² / 2 box tests for n placements; then some linear programmes of two variables a placement and one condition for each
/// two convex parts near each other: 1 to 5 ms each for 24 to 99 placements of few parts, 35 ms for 140 of many.
pub(crate) fn compact(task: &Task, lay: &Lay) -> Option<Lay> {
    if (0..lay.extents.len()).any(|s| task.room.keeps_length(s)) {
        return None;
    }
    let mut floor = Floor::of(task, lay);
    // A thirtieth of the side of a mean piece, about: further off, a piece has many parts to keep apart from.
    let mut reach = (task.shapes.touch() as i64 / 4).max(MENDING_REACH);
    for _ in 0..STEPS {
        let next = Floor::of(task, &Programme::of(&floor, reach, &BTreeSet::new()).solve()?);
        let change = (floor.cloth() - next.cloth()).abs();
        floor = next;
        if change <= floor.cloth() / TINY {
            break;
        }
        if change < reach / 2 {
            reach = (reach / 2).max(MENDING_REACH);
        }
    }
    let free = mended(floor)?;
    let mut compact = free.to_lay();
    compact.tighten(task);
    (compact.length < lay.length).then_some(compact)
}

/// Pushes apart what overlaps by a unit on the grid; none when that does not come to an end.
///
/// Pairs that overlap when rounded are given room for the rounding, and only they: where pieces fit exactly between others
/// there is none to spare.
fn mended(floor: Floor<'_>) -> Option<Floor<'_>> {
    let (mut mended, mut roomy) = (floor.clone(), BTreeSet::new());
    for _ in 0..MENDINGS {
        let before = roomy.len();
        roomy.extend(mended.overlapping_pairs());
        if roomy.len() == before {
            break;
        }
        mended = Floor::of(floor.task, &Programme::of(&floor, MENDING_REACH, &roomy).solve()?);
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
    problem: Problem,
    /// How far the end of each stretch moves.
    ends: Vec<Variable>,
    /// How far each piece moves along x and y.
    moves: Vec<[Variable; 2]>,
}

impl<'f, 'a> Programme<'f, 'a> {
    fn of(floor: &'f Floor<'a>, reach: i64, roomy: &'f BTreeSet<(usize, usize)>) -> Programme<'f, 'a> {
        let problem = Problem::new(OptimizationDirection::Minimize);
        let mut programme = Programme { floor, reach, roomy, problem, ends: Vec::new(), moves: Vec::new() };
        programme.add_ends();
        for k in 0..floor.movable {
            programme.add_moves(k);
        }
        for j in 0..floor.movable {
            // Beyond those that move come the obstacles.
            for i in (0..j).chain(floor.movable..floor.spots.len()) {
                programme.keep_apart(i, j);
            }
        }
        programme
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

    /// The moves of a piece, inside its band and its stretch.
    fn add_moves(&mut self, k: usize) {
        let spot = &self.floor.spots[k];
        let s = Room::stretch_of(spot.choice);
        let (low, high) = self.floor.range(spot.choice);
        let reach = self.reach as f64;
        let within = |low: i64, high: i64| ((low as f64).max(-reach), (high as f64).min(reach));
        let y = self.problem.add_var(0.0, within(low.y - spot.at.y, high.y - spot.at.y));
        let x = self.problem.add_var(0.0, (-reach, reach));
        self.moves.push([x, y]);
        let width = self.floor.task.shapes.outline(spot.choice.outline).width;
        let past_end = spot.at.x + width - self.floor.extents[s].end;
        self.require(vec![(self.ends[s], 1.0), (x, -1.0)], past_end as f64);
        let start = if s == 0 { None } else { Some(self.ends[s - 1]) };
        let from_start = (low.x - spot.at.x) as f64;
        self.require([(x, 1.0)].into_iter().chain(start.map(|v| (v, -1.0))).collect(), from_start);
        if spot.choice.anchor == Anchor::Start {
            self.require([(x, -1.0)].into_iter().chain(start.map(|v| (v, 1.0))).collect(), -from_start);
        }
    }

    /// Keeps every part of two spots near each other on its side of the line between them.
    fn keep_apart(&mut self, i: usize, j: usize) {
        let (shapes, [a, b]) = (&self.floor.task.shapes, [i, j].map(|k| &self.floor.spots[k]));
        let roomy = self.roomy.contains(&(i.min(j), i.max(j)));
        let [one, other] = [a, b].map(|spot| &shapes.outline(spot.choice.outline).parts);
        // Both may move by the reach along both axes: apart by less than 2 √2 of it.
        for line in one.between(other, b.at - a.at, 3 * self.reach) {
            let normal = unit(line);
            let mut sum = Vec::new();
            for (axis, along) in normal.into_iter().enumerate().filter(|&(_, along)| along != 0.0) {
                sum.push((self.moves[j][axis], along));
                // Obstacles have no moves.
                sum.extend(self.moves.get(i).map(|moves| (moves[axis], -along)));
            }
            // Whole differences survive rounding down; on a slant, each position may lose almost a unit along each axis.
            let slanted = normal[0] != 0.0 && normal[1] != 0.0;
            let apart = if roomy && slanted { normal[0].abs() + normal[1].abs() } else { 0.0 };
            self.require(sum, apart - line.distance());
        }
    }

    /// The weighted sum of some variables is at least so much.
    fn require(&mut self, sum: Vec<(Variable, f64)>, least: f64) {
        let sum: LinearExpr = sum.into_iter().collect();
        self.problem.add_constraint(sum, ComparisonOp::Ge, least);
    }

    /// The floor as a lay with everything moved, brought to the grid.
    fn solve(self) -> Option<Lay> {
        // Nothing fits within the reach, or the numbers did not allow an answer: then there is none.
        let solution = self.problem.solve().ok()?.into_solution().ok()?;
        let mut lay = self.floor.to_lay();
        for (spot, &[x, y]) in lay.spots.iter_mut().zip(&self.moves) {
            spot.at = spot.at + Point::new(whole(&solution, x), whole(&solution, y));
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
    use crate::search::bottom_left::fill;
    use crate::search::plan::Plan;
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
            let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
            let (mut lay, _) = fill(&task, &plan).expect("a plan that fits");
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
