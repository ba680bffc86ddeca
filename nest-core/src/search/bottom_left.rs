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
use super::shapes::Pair;
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
    /// Each spot and the piece at hand.
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

    /// Is there room for the piece at hand? Spot number `touching`, if there is one, it only touches.
    fn free(&mut self, choice: Choice, at: Point, touching: usize) -> bool {
        let shapes = &self.task.shapes;
        let (spots, pairs, near) = (&self.spots, &self.pairs, &mut self.near);
        self.tests += 1;
        near.clear();
        let blocked = self.boxes.any_meeting(shapes.outline(choice.outline).box_at(at), |j| {
            let glance = if j == touching { Glance::Free } else { pairs[j].glance(at - spots[j].at) };
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
        let mut unsure = 0;
        for k in 0..near.len() {
            let j = near[k];
            match pairs[j].depth(at - spots[j].at) {
                Depth::Free => {}
                Depth::Inside(_) => return false,
                Depth::Near(_) => {
                    near[unsure] = j;
                    unsure += 1;
                }
            }
        }
        near[..unsure].iter().all(|&j| {
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
        self.pairs = shapes.pairs(self.spots.iter().map(|spot| spot.choice.outline), choice.outline);
        let corners = Corners::of(self, choice, (least, most));
        let found = self.first_free(choice, corners);
        if choice.anchor == Anchor::Start {
            return found;
        }
        let end = self.spots.iter().map(|spot| self.end_of(spot)).max();
        let at = found.unwrap_or(Point::new(end.unwrap_or(self.start), least));
        Some(self.slide(choice, at, least))
    }

    /// The first free one of some positions in their order.
    fn first_free(&mut self, choice: Choice, mut corners: Corners<'a>) -> Option<Point> {
        let mut step = (self.task.shapes.outline(choice.outline).width / 16).max(1);
        let mut last = None;
        while let Some(soonest) = corners.soonest() {
            if choice.anchor == Anchor::Start && soonest > self.start {
                break;
            }
            // What does not lie at the start is of no use to a piece that belongs there.
            let end = if choice.anchor == Anchor::Start { self.start + 1 } else { soonest + step };
            let batch = corners.before(end);
            for &(at, touching) in &batch {
                if last != Some(at) && self.free(choice, at, touching) {
                    return Some(at);
                }
                last = Some(at);
            }
            match batch.len() {
                0..FEW => step *= 2,
                FEW..=MANY => {}
                _ => step = (step / 2).max(1),
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
                    if self.free(choice, next, NONE) {
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

/// Positions put in order at a time, about: most pieces find a place early.
const FEW: usize = 32;
const MANY: usize = 256;

/// No spot.
const NONE: usize = usize::MAX;

/// Corners of the free region, in their order along the lay: a few at a time, as far as they are asked for.
struct Corners<'a> {
    contacts: Vec<Contacts<'a>>,
    /// Corners of the band and where spots end, the soonest last.
    others: Vec<Point>,
    /// The least and greatest position across.
    range: (i64, i64),
}

/// Corner contacts with one spot.
struct Contacts<'a> {
    pair: Pair<'a>,
    spot: Point,
    /// None that comes before this is wanted.
    from: Point,
    /// Which comes next, counted in their order along the lay.
    next: usize,
}

impl<'a> Corners<'a> {
    /// Those that the piece at hand may take.
    fn of(laid: &Laid<'a>, choice: Choice, range: (i64, i64)) -> Corners<'a> {
        let first = Point::new(laid.start, range.0);
        let known = laid.known.get(&(choice.outline, choice.band, choice.anchor)).copied();
        let (known, since) = known.unwrap_or((first, 0));
        let contacts = |(j, (spot, &pair)): (usize, (&Spot, &Pair<'a>))| {
            let from = if j > since { first } else { known };
            Contacts { pair, spot: spot.at, from, next: pair.contacts_before(from.x - spot.at.x) }
        };
        let ends = laid.spots.iter().map(|spot| Point::new(laid.end_of(spot), range.0));
        let mut others: Vec<Point> =
            [first, Point::new(laid.start, range.1)].into_iter().chain(ends).collect();
        others.sort_unstable_by(|a, b| b.cmp(a));
        Corners {
            contacts: laid.spots.iter().zip(&laid.pairs).enumerate().map(contacts).collect(),
            others,
            range,
        }
    }

    /// Where along the lay the next lies.
    fn soonest(&self) -> Option<i64> {
        let contacts = self.contacts.iter().filter_map(Contacts::soonest);
        contacts.chain(self.others.last().map(|at| at.x)).min()
    }

    /// All that come before `x`, in their order, each with the spot that it only touches.
    fn before(&mut self, x: i64) -> Vec<(Point, usize)> {
        let mut batch = Vec::new();
        let others = self.others.iter().rposition(|at| at.x >= x).map_or(0, |last| last + 1);
        batch.extend(self.others.drain(others..).map(|at| (at, NONE)));
        for (j, contacts) in self.contacts.iter_mut().enumerate() {
            batch.extend(
                contacts.before(x, self.range).map(|(at, touches)| (at, if touches { j } else { NONE })),
            );
        }
        batch.sort_unstable();
        batch
    }
}

impl Contacts<'_> {
    fn soonest(&self) -> Option<i64> {
        (self.next < self.pair.contacts()).then(|| self.spot.x + self.pair.contact_along(self.next).x)
    }

    /// All that come before `x`, and whether they touch.
    fn before(&mut self, x: i64, (least, most): (i64, i64)) -> impl Iterator<Item = (Point, bool)> {
        let end = self.pair.contacts_before(x - self.spot.x).max(self.next);
        let contacts =
            (std::mem::replace(&mut self.next, end)..end).map(|k| self.spot + self.pair.contact_along(k));
        // A corner that lies outside the band may still tell how far along the next free place begins.
        let within = contacts
            .map(move |at| (Point::new(at.x, at.y.clamp(least, most)), at.y >= least && at.y <= most));
        within.filter(|(at, _)| *at >= self.from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};

    #[test]
    fn corners_come_a_few_at_a_time_as_they_would_all_at_once() {
        let ring = [(0, 0), (4000, 0), (4000, 900), (1200, 1100), (1000, 3000), (0, 2500)];
        let hook = Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple");
        let turns = vec![Turn::None, Turn::Quarter, Turn::Half, Turn::ThreeQuarter];
        let task =
            Task::board(7000, &[(hook, 4, turns), (Polygon::rectangle(900, 1700), 3, vec![Turn::None])]);
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
            for step in [1, 300, 100_000] {
                let mut corners = Corners::of(&laid, choice, range);
                let mut found = Vec::new();
                while let Some(soonest) = corners.soonest() {
                    let batch = corners.before(soonest + step);
                    assert!(batch.iter().all(|(at, _)| at.x < soonest + step));
                    found.extend(batch);
                }
                assert!(found.iter().map(|(at, _)| *at).eq(all.iter().copied()), "steps of {step}");
                let spots = found.iter().filter(|(_, spot)| *spot != NONE);
                assert_eq!(spots.clone().count(), touching);
                for &(at, j) in spots {
                    let other = &laid.spots[j];
                    assert!(!task.shapes.overlap(other.choice.outline, other.at, choice.outline, at));
                }
            }
        }
    }
}
