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
use super::task::{Anchor, Choice, Lay, Spot, Task};
use crate::geometry::Point;

/// Lays the items of a plan in its order. None when some item does not fit across in the way planned.
///
/// # Complexity
/// O(n² c) candidate positions for n placements with c contacts a pair, less what the order of equal outlines saves.
pub(crate) fn fill(task: &Task, plan: &Plan) -> Option<Lay> {
    let mut laid = Laid { task, spots: Vec::new(), boxes: Boxes::default(), known: HashMap::new() };
    let bands = task.room.bands(plan.depths);
    for &item in &plan.order {
        let i = item as usize;
        let way = &task.items[i].ways[plan.ways[i] as usize];
        for (p, part) in way.parts.iter().enumerate() {
            let preferred = plan.choices[i] as usize % part.choices.len();
            let fits = |c: &Choice| {
                let (low, high) = bands[c.band as usize];
                task.shapes.outline(c.outline).height <= high - low
            };
            let choice =
                part.choices[preferred..].iter().chain(&part.choices[..preferred]).find(|c| fits(c))?;
            let at = laid.place(*choice, bands[choice.band as usize]);
            laid.put(Spot { item, part: p as u8, choice: *choice, at });
        }
    }
    let mut lay = Lay { length: 0, depths: plan.depths, ways: plan.ways.clone(), spots: laid.spots };
    lay.length = lay.extent(&task.shapes);
    Some(lay)
}

struct Laid<'a> {
    task: &'a Task,
    spots: Vec<Spot>,
    boxes: Boxes,
    /// For each choice laid before: where it went and how many placements there were. Whatever began sooner was not free
    /// then and is not free now, except against contacts with placements made since.
    known: HashMap<(u32, u8, Anchor), (Point, usize)>,
}

impl Laid<'_> {
    fn put(&mut self, spot: Spot) {
        self.boxes.set(self.spots.len(), self.task.shapes.outline(spot.choice.outline).box_at(spot.at));
        let c = spot.choice;
        self.spots.push(spot);
        self.known.insert((c.outline, c.band, c.anchor), (spot.at, self.spots.len() - 1));
    }

    fn free(&self, choice: Choice, at: Point) -> bool {
        let shapes = &self.task.shapes;
        let mut free = true;
        self.boxes.meeting(shapes.outline(choice.outline).box_at(at), |j| {
            if !free {
                return;
            }
            let other = &self.spots[j];
            let pair = shapes.pair(other.choice.outline, choice.outline);
            let by = at - other.at;
            free = match pair.glance(by) {
                Glance::Free => true,
                Glance::AtLeast(d) if d > 0.0 => false,
                Glance::AtLeast(_) => match pair.depth(by) {
                    Depth::Free => true,
                    Depth::Inside(_) => false,
                    Depth::Near(_) => !shapes.overlap(other.choice.outline, other.at, choice.outline, at),
                },
            };
        });
        free
    }

    fn place(&self, choice: Choice, (low, high): (i64, i64)) -> Point {
        let outline = self.task.shapes.outline(choice.outline);
        let (least, most) = match choice.anchor {
            Anchor::Free | Anchor::Start => (low, high - outline.height),
            Anchor::Low => (low, low),
            Anchor::High => (high - outline.height, high - outline.height),
        };
        let known = self.known.get(&(choice.outline, choice.band, choice.anchor)).copied();
        let (from, since) = known.unwrap_or((Point::new(0, least), 0));
        let mut tries: Vec<Point> = vec![Point::new(0, least), Point::new(0, most)];
        for (j, other) in self.spots.iter().enumerate() {
            let pair = self.task.shapes.pair(other.choice.outline, choice.outline);
            for k in 0..pair.contacts() {
                let mut at = other.at + pair.contact(k);
                // A corner that lies outside the band may still tell how far along the next free place begins.
                at.y = at.y.clamp(least, most);
                if at.x >= 0 && (at >= from || j > since) {
                    tries.push(at);
                }
            }
            tries.push(Point::new(other.at.x + self.task.shapes.outline(other.choice.outline).width, least));
        }
        tries.retain(|at| at.x >= 0 && (choice.anchor != Anchor::Start || at.x == 0));
        tries.sort_unstable();
        tries.dedup();
        let end = self.spots.iter().map(|s| s.at.x + self.task.shapes.outline(s.choice.outline).width).max();
        let found = tries.into_iter().find(|&at| self.free(choice, at));
        let at = found.unwrap_or(Point::new(end.unwrap_or(0), least));
        self.slide(choice, at, least)
    }

    /// Moves towards the start, then towards the low edge, as far as the way there is free in ever smaller steps.
    fn slide(&self, choice: Choice, mut at: Point, least: i64) -> Point {
        if choice.anchor == Anchor::Start {
            return at;
        }
        loop {
            let before = at;
            for axis in [Point::new(1, 0), Point::new(0, 1)] {
                let mut room = if axis.x == 1 { at.x } else { at.y - least };
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
