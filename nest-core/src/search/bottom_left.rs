//! Bottom-left fill: items one after another, each at the free position that begins soonest along the lay, lowest across.
//!
//! Positions tried are the corners of the free region that are cheap to have: corner contacts with pieces already laid
//! and corners of the band; the first that is free is then slid towards the start and the low edge until it touches.
//! (The full free region, with the crossings of no-fit edges, is in A. M. Gomes & J. F. Oliveira, "A 2-exchange heuristic
//! for nesting problems", EJOR 2002; sliding finds nearly the same places for a fraction of the time.)

use std::collections::HashMap;

use super::boxes::Boxes;
use super::measure::{Depth, Glance};
use super::plan::Plan;
use super::task::{Anchor, Choice, Extent, Lay, Room, Spot, Task};
use crate::geometry::Point;

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
    /// Placements too near to a position to be told free without the exact test.
    near: Vec<usize>,
    tests: u64,
}

impl<'a> Laid<'a> {
    fn new(task: &'a Task, start: i64, fixed: Vec<Spot>) -> Laid<'a> {
        let mut boxes = Boxes::default();
        for (j, spot) in fixed.iter().enumerate() {
            boxes.set(j, task.shapes.outline(spot.choice.outline).box_at(spot.at));
        }
        Laid { task, start, spots: fixed, boxes, known: HashMap::new(), near: Vec::new(), tests: 0 }
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

    fn free(&mut self, choice: Choice, at: Point) -> bool {
        let shapes = &self.task.shapes;
        let (spots, near) = (&self.spots, &mut self.near);
        self.tests += 1;
        near.clear();
        let mut free = true;
        self.boxes.meeting(shapes.outline(choice.outline).box_at(at), |j| {
            if !free {
                return;
            }
            let other = &spots[j];
            let pair = shapes.pair(other.choice.outline, choice.outline);
            let by = at - other.at;
            match pair.glance(by) {
                Glance::Free => {}
                Glance::AtLeast(d) if d > 0.0 => free = false,
                Glance::AtLeast(_) => match pair.depth(by) {
                    Depth::Free => {}
                    Depth::Inside(_) => free = false,
                    Depth::Near(_) => near.push(j),
                },
            }
        });
        free && near.iter().all(|&j| {
            let other = &spots[j];
            !shapes.overlap(other.choice.outline, other.at, choice.outline, at)
        })
    }

    /// The place of one more; none only for one that belongs on a crosswise fold where there is no room.
    fn place(&mut self, choice: Choice, (low, high): (i64, i64)) -> Option<Point> {
        let outline = self.task.shapes.outline(choice.outline);
        let start = self.start;
        let (least, most) = match choice.anchor {
            Anchor::Free | Anchor::Start => (low, high - outline.height),
            Anchor::Low => (low, low),
            Anchor::High => (high - outline.height, high - outline.height),
        };
        let known = self.known.get(&(choice.outline, choice.band, choice.anchor)).copied();
        let (from, since) = known.unwrap_or((Point::new(start, least), 0));
        let others = self.spots.iter().map(|other| other.choice.outline);
        self.task.shapes.prepare_against(others, choice.outline);
        let mut tries: Vec<Point> = vec![Point::new(start, least), Point::new(start, most)];
        for (j, other) in self.spots.iter().enumerate() {
            let pair = self.task.shapes.pair(other.choice.outline, choice.outline);
            for k in 0..pair.contacts() {
                let mut at = other.at + pair.contact(k);
                // A corner that lies outside the band may still tell how far along the next free place begins.
                at.y = at.y.clamp(least, most);
                if at.x >= start && (at >= from || j > since) {
                    tries.push(at);
                }
            }
            tries.push(Point::new(self.end_of(other), least));
        }
        tries.retain(|at| at.x >= start && (choice.anchor != Anchor::Start || at.x == start));
        let found = self.first_free(choice, &mut tries);
        if choice.anchor == Anchor::Start {
            return found;
        }
        let end = self.spots.iter().map(|spot| self.end_of(spot)).max();
        let at = found.unwrap_or(Point::new(end.unwrap_or(start), least));
        Some(self.slide(choice, at, least))
    }

    /// The first free one of some positions in their order. They are put in order a batch at a time, since most fills find
    /// a place early.
    fn first_free(&mut self, choice: Choice, tries: &mut [Point]) -> Option<Point> {
        const BATCH: usize = 128;
        let mut rest = tries;
        let mut last = None;
        while !rest.is_empty() {
            let cut = BATCH.min(rest.len());
            if cut < rest.len() {
                rest.select_nth_unstable(cut - 1);
            }
            let (batch, after) = rest.split_at_mut(cut);
            batch.sort_unstable();
            for &mut at in batch {
                if last != Some(at) && self.free(choice, at) {
                    return Some(at);
                }
                last = Some(at);
            }
            rest = after;
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
                    if self.free(choice, next) {
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
