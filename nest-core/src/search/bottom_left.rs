//! Bottom-left fill: items one after another, each at the free position that begins soonest along the lay, lowest across.
//!
//! Positions tried are the corners of the free region that are cheap to have: corner contacts with pieces already laid
//! and corners of the band; the first that is free is then slid towards the start and the low edge until it touches. Of very many
//! distinct pieces boxes touch in place of outlines.
//! (The full free region, with the crossings of no-fit edges, is in A. M. Gomes & J. F. Oliveira, "A 2-exchange heuristic
//! for nesting problems", EJOR 2002; sliding finds nearly the same places for a fraction of the time.)

use std::collections::HashMap;

use super::boxes::Boxes;
use super::corners::Corners;
use super::measure::{Depth, Glance};
use super::plan::Plan;
use super::shapes::Pair;
use super::task::{Anchor, Choice, Extent, Lay, Room, Spot, Task};
use crate::geometry::Point;

/// Lays everything the largest first, with every first fold as deep as may be; none when some item does not fit across then.
#[cfg(test)]
pub(crate) fn fill_large_first(task: &Task) -> Option<Lay> {
    let plan = Plan::large_first(task, task.room.deepest())?;
    fill(task, &plan).map(|(lay, _)| lay)
}

/// Lays the items of a plan in its order; also tells how many positions were tested, which is what a fill costs. None
/// when some item does not fit across in the way planned, or finds no place on the crosswise fold that it belongs on.
///
/// # Complexity
/// O(n² c) candidate positions for n placements with c contacts a pair, less what the order of equal outlines saves.
pub(crate) fn fill(task: &Task, plan: &Plan) -> Option<(Lay, u64)> {
    let bands = task.room.bands(plan.depths.iter().copied());
    let mut chosen = Vec::new();
    for &item in &plan.order {
        let i = item as usize;
        let way = &task.items[i].ways[plan.ways[i] as usize];
        for (part, p) in way.parts.iter().zip(0..).filter(|(_, p)| plan.lays(item, *p)) {
            let preferred = plan.choices[i] as usize % part.choices.len();
            let mut choices = part.choices[preferred..].iter().chain(&part.choices[..preferred]);
            let choice = *choices.find(|&&c| task.fits(c, &bands))?;
            chosen.push(Spot { item, part: p, choice, at: Point::default() });
        }
    }
    // What lies on a crosswise fold finds no place there once others have taken it.
    chosen.sort_by_key(|spot| (Room::stretch_of(spot.choice), spot.choice.anchor != Anchor::Start));
    let extents = plan.depths.iter().map(|&depths| Extent { depths, start: 0, end: 0 }).collect();
    let mut lay =
        Lay { length: 0, extents, ways: plan.ways.clone(), spots: Vec::with_capacity(chosen.len()) };
    let mut tests = 0;
    for s in 0..lay.extents.len() {
        let parts: Vec<Spot> = chosen.iter().copied().filter(|c| Room::stretch_of(c.choice) == s).collect();
        lay.extents[s].start = if s == 0 { 0 } else { lay.extents[s - 1].end };
        lay.extents[s].end = lay.extents[s].start;
        tests += fill_stretch(task, &mut lay, s, &parts, &bands)?;
    }
    lay.length = task.room.cloth(&lay.extents);
    Some((lay, tests))
}

/// Lays the placements of stretch `s` and settles its end.
fn fill_stretch(task: &Task, lay: &mut Lay, s: usize, parts: &[Spot], bands: &[(i64, i64)]) -> Option<u64> {
    let mut tests = 0;
    let shifts = task.room.shifts_with_length(s);
    for tries in 0.. {
        // Where obstacles lie is only known for a length: first that of a fill without them.
        let blind = shifts && tries == 0;
        let fixed = if blind { Vec::new() } else { task.room.fixed(&task.shapes, &lay.extents, s) };
        let mut laid = Laid::new(task, lay.extents[s].start, fixed);
        let before = laid.spots.len();
        for &part in parts {
            let at = laid.place(part.choice, bands[part.choice.band as usize])?;
            laid.put(Spot { at, ..part });
        }
        tests += laid.tests;
        let spots = &laid.spots[before..];
        let end = spots.iter().map(|spot| laid.end_of(spot)).max().unwrap_or(lay.extents[s].start);
        if blind {
            lay.extents[s].end = end;
            continue;
        }
        if shifts && end > lay.extents[s].end {
            // The obstacles lie where they would if the stretch were as long as it was taken to be: so try a longer one,
            // in small steps at first.
            let length = lay.extents[s].length();
            let step = (length / 50).max(1);
            let grown = if tries < SMALL_STEPS { step } else { length / 20 + end - lay.extents[s].end };
            lay.extents[s].end += grown;
            continue;
        }
        if !shifts {
            lay.extents[s].end = end;
        }
        lay.spots.extend_from_slice(spots);
        return Some(tests);
    }
    None
}

/// Small steps by which a stretch is made longer before it grows by leaps.
const SMALL_STEPS: u32 = 12;

struct Laid<'a> {
    task: &'a Task,
    /// Where the stretch begins.
    start: i64,
    /// Obstacles, then what has been laid.
    spots: Vec<Spot>,
    boxes: Boxes,
    /// For each choice laid before: where it went and how many placements there were. Whatever began sooner was not free
    /// then and is not free now, except against contacts with placements made since.
    known: HashMap<(u32, u8, Anchor), (Point, usize)>,
    /// Each spot and the piece at hand; empty where there are too many.
    pairs: Vec<Pair<'a>>,
    /// Placements too near to a position to be told free by a glance.
    near: Vec<usize>,
    tests: u64,
}

impl<'a> Laid<'a> {
    fn new(task: &'a Task, start: i64, fixed: Vec<Spot>) -> Laid<'a> {
        let mut boxes = Boxes::default();
        for (j, spot) in fixed.iter().enumerate() {
            boxes.set(j, task.shapes.outline(spot.choice.outline).box_at(spot.at));
        }
        let (known, pairs, near) = (HashMap::new(), Vec::new(), Vec::new());
        Laid { task, start, spots: fixed, boxes, known, pairs, near, tests: 0 }
    }

    fn end_of(&self, spot: &Spot) -> i64 {
        spot.at.x + self.task.shapes.outline(spot.choice.outline).width
    }

    fn put(&mut self, spot: Spot) {
        self.boxes.set(self.spots.len(), self.task.shapes.outline(spot.choice.outline).box_at(spot.at));
        let c = spot.choice;
        self.spots.push(spot);
        self.known.insert((c.outline, c.band, c.anchor), (spot.at, self.spots.len() - 1));
    }

    /// Is there room for the piece at hand? With one spot it is known to have no more than an edge in common.
    fn free(&mut self, choice: Choice, at: Point, touches: Option<u32>) -> bool {
        let shapes = &self.task.shapes;
        let (spots, pairs, near) = (&self.spots, &self.pairs, &mut self.near);
        self.tests += 1;
        near.clear();
        let blocked = self.boxes.any_meeting(shapes.outline(choice.outline).box_at(at), |j| {
            let glance = match pairs.get(j) {
                _ if touches == Some(j as u32) => Glance::Free,
                Some(pair) => pair.glance(at - spots[j].at),
                None => Glance::AtLeast(0.0),
            };
            match glance {
                Glance::Free => false,
                Glance::AtLeast(depth) if depth > 0.0 => true,
                Glance::AtLeast(_) => {
                    near.push(j);
                    false
                }
            }
        });
        if blocked {
            return false;
        }
        // First all that takes little time.
        let mut inside = false;
        near.retain(|&j| {
            let depth = match pairs.get(j) {
                _ if inside => Depth::Free,
                Some(pair) => pair.depth(at - spots[j].at),
                None => Depth::Near(0.0),
            };
            inside |= matches!(depth, Depth::Inside(_));
            matches!(depth, Depth::Near(_))
        });
        !inside
            && near.iter().all(|&j| {
                let other = &spots[j];
                !shapes.overlap(other.choice.outline, other.at, choice.outline, at)
            })
    }

    /// The place of one more; none only for one that belongs on a crosswise fold where there is no room.
    fn place(&mut self, choice: Choice, (low, high): (i64, i64)) -> Option<Point> {
        let shapes = &self.task.shapes;
        let height = shapes.outline(choice.outline).height;
        let (least, most) = match choice.anchor {
            Anchor::Free | Anchor::Start => (low, high - height),
            Anchor::Low => (low, low),
            Anchor::High => (high - height, high - height),
        };
        if !shapes.are_too_many_to_pair() {
            self.pairs = shapes.pairs(self.spots.iter().map(|spot| spot.choice.outline), choice.outline);
        }
        let mut corners = self.corners(choice, (least, most));
        let found = self.first_free(choice, &mut corners);
        if choice.anchor == Anchor::Start {
            return found;
        }
        let end = self.spots.iter().map(|spot| self.end_of(spot)).max();
        let at = found.unwrap_or(Point::new(end.unwrap_or(self.start), least));
        Some(self.slide(choice, at, least))
    }

    /// Where the piece at hand may be laid.
    fn corners(&self, choice: Choice, (least, most): (i64, i64)) -> Corners<'a> {
        let first = Point::new(self.start, least);
        // What does not begin at the start is of no use to a piece that belongs there.
        let until = if choice.anchor == Anchor::Start { self.start } else { i64::MAX };
        let known = self.known.get(&(choice.outline, choice.band, choice.anchor)).copied();
        let (known, since) = known.unwrap_or((first, 0));
        let mut corners = Corners::within((least, most), until);
        corners.add(first);
        corners.add(Point::new(self.start, most));
        let size = |choice: Choice| {
            let outline = self.task.shapes.outline(choice.outline);
            [outline.width, outline.height]
        };
        for (j, spot) in self.spots.iter().enumerate() {
            let from = if j > since { first } else { known };
            corners.add(Point::new(self.end_of(spot), least));
            match self.pairs.get(j) {
                Some(&pair) => corners.add_contacts(pair, spot.at, from),
                None => corners.add_boxes(spot.at, size(spot.choice), size(choice), from),
            }
        }
        corners
    }

    /// The first of some corners that is free.
    fn first_free(&mut self, choice: Choice, corners: &mut Corners<'a>) -> Option<Point> {
        let mut last = None;
        while let Some(batch) = corners.next_few() {
            for corner in batch {
                if last != Some(corner.at) && self.free(choice, corner.at, corner.touches) {
                    return Some(corner.at);
                }
                last = Some(corner.at);
            }
        }
        None
    }

    /// Moves towards the start, then towards the low edge, as far as the way there is free in ever smaller steps.
    fn slide(&mut self, choice: Choice, mut at: Point, least: i64) -> Point {
        loop {
            let before = at;
            for axis in [Point::new(1, 0), Point::new(0, 1)] {
                let mut room = if axis.x == 1 { at.x - self.start } else { at.y - least };
                let mut step = 1i64 << 14;
                while step > 0 && room > 0 {
                    let by = step.min(room);
                    let next = at - Point::new(axis.x * by, axis.y * by);
                    if self.free(choice, next, None) {
                        at = next;
                        room -= by;
                    } else {
                        step /= 2;
                    }
                }
            }
            if at == before {
                return at;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;

    #[test]
    fn corners_come_a_few_at_a_time_as_they_would_all_at_once() {
        let turns = vec![Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarter];
        let task =
            Task::board(7000, &[(hook(), 4, turns), (Polygon::rectangle(900, 1700), 3, vec![Turn::None])]);
        let (hooks, slab) =
            (&task.items[0].ways[0].parts[0].choices, task.items[4].ways[0].parts[0].choices[0]);
        let mut laid = Laid::new(&task, 0, Vec::new());
        for (item, &choice) in (0..).zip(hooks.iter().chain([&slab])) {
            let at = laid.place(choice, (0, 7000)).expect("a board has room");
            laid.put(Spot { item, part: 0, choice, at });
        }
        for &choice in hooks.iter().chain([&slab]) {
            let outline = task.shapes.outline(choice.outline);
            let range = (0, 7000 - outline.height);
            laid.pairs = task.shapes.pairs(laid.spots.iter().map(|spot| spot.choice.outline), choice.outline);
            let (known, since) = laid.known[&(choice.outline, choice.band, choice.anchor)];
            let mut all = vec![Point::new(0, 0), Point::new(0, range.1)];
            let mut touching = 0;
            for (j, spot) in laid.spots.iter().enumerate() {
                all.push(Point::new(laid.end_of(spot), 0));
                for k in 0..laid.pairs[j].contacts() {
                    let at = spot.at + laid.pairs[j].contact(k);
                    let within = Point::new(at.x, at.y.clamp(range.0, range.1));
                    if at.x >= 0 && (j > since || within >= known) {
                        touching += usize::from(within == at);
                        all.push(within);
                    }
                }
            }
            all.sort_unstable();
            let mut corners = laid.corners(choice, range);
            let (mut found, mut batches) = (Vec::new(), 0);
            while let Some(batch) = corners.next_few() {
                found.extend(batch);
                batches += 1;
            }
            assert!(batches > 1, "{batches} batches of {}", found.len());
            assert!(found.iter().map(|corner| corner.at).eq(all.iter().copied()));
            let spots = found.iter().filter_map(|corner| Some((corner.at, corner.touches?)));
            assert_eq!(spots.clone().count(), touching);
            for (at, j) in spots {
                let other = &laid.spots[j as usize];
                assert!(!task.shapes.overlap(other.choice.outline, other.at, choice.outline, at));
            }
        }
    }

    #[test]
    fn very_many_distinct_pieces_are_laid_without_a_table() {
        // Wedges, no two of them alike.
        let wedge = |k: i64| {
            let corners = [(0, 0), (500 + 7 * k, 30), (400 - k % 90, 300 + 3 * k)];
            Polygon::new(corners.map(|(x, y)| Point::new(x, y)).to_vec()).expect("a triangle")
        };
        let pieces: Vec<_> = (0..401).map(|k| (wedge(k), 1, vec![Turn::None, Turn::Half])).collect();
        let task = Task::board(9000, &pieces);
        let lay = fill_large_first(&task).expect("every piece fits across");
        let ids = || (0..task.shapes.count()).collect::<Vec<_>>();
        assert!(ids().iter().all(|&a| ids().iter().all(|&b| task.shapes.known_pair(a, b).is_none())));
        let area: i64 = pieces.iter().map(|(wedge, ..)| wedge.doubled_area()).sum();
        // In boxes of their own wedges fill half of the strip at the most.
        assert!(lay.length * 9000 < area, "{} long", lay.length);
        let place = |spot: &Spot| task.shapes.outline(spot.choice.outline).box_at(spot.at);
        for (k, one) in lay.spots.iter().enumerate() {
            let [left, right, low, high] = place(one);
            assert!(left >= 0.0 && right as i64 <= lay.length && low >= 0.0 && high <= 9000.0);
            for other in &lay.spots[..k] {
                let (a, b) = (one.choice.outline, other.choice.outline);
                assert!(!task.shapes.overlap(a, one.at, b, other.at), "{k}");
            }
        }
    }

    #[test]
    fn a_piece_that_belongs_at_the_start_looks_no_further() {
        let mut task = Task::board(4000, &[(Polygon::rectangle(900, 1700), 3, vec![Turn::None])]);
        for item in &mut task.items {
            item.ways[0].parts[0].choices[0].anchor = Anchor::Start;
        }
        let choice = task.items[0].ways[0].parts[0].choices[0];
        let mut laid = Laid::new(&task, 0, Vec::new());
        for y in [0, 1700] {
            assert_eq!(laid.place(choice, (0, 4000)), Some(Point::new(0, y)));
            laid.put(Spot { item: 0, part: 0, choice, at: Point::new(0, y) });
        }
        assert_eq!(laid.place(choice, (0, 4000)), None);
    }
}
