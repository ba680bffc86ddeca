//! One move: the best place found for one overlapping placement while all others stay.
//!
//! Candidates are drawn over the whole lay, near the present place and at corner contacts with other pieces; the best
//! two and the present place are refined by a pattern search, and the best of these by another one down to a grid unit
//! (Egeblad, Nielsen & Odgaard 2007 and Umetani et al. 2009 search one axis exactly at a time; here both axes move at
//! once). Jumping to the corners of the free region before the last refinement was tried and brought nothing: the
//! contacts drawn already hold the exact fits.

use rand::{Rng, RngExt};
use rand_pcg::Pcg64Mcg;

use super::floor::{Floor, Scratch};
use super::task::{Anchor, Choice};
use crate::geometry::Point;

/// A place and its cost.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Candidate {
    pub(crate) choice: Choice,
    pub(crate) at: Point,
    pub(crate) cost: f32,
}

/// How many places are drawn for each choice.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Draws {
    /// Over the whole lay.
    pub(crate) anywhere: u32,
    /// Near the present place.
    pub(crate) nearby: u32,
    /// Corner contacts.
    pub(crate) contacts: u32,
}

/// Moves spot `k` to the best place found, if that is strictly better than where it lies. Returns whether it moved.
pub(crate) fn settle<'a>(
    floor: &mut Floor<'a>,
    k: usize,
    draws: Draws,
    rng: &mut Pcg64Mcg,
    scratch: &mut Scratch<'a>,
) -> bool {
    let present = floor.spots[k];
    let here = Candidate { choice: present.choice, at: present.at, cost: floor.own_cost(k) };
    if here.cost <= 0.0 {
        return false;
    }
    floor.take_up(k);
    let best = Settling { floor, k, rng, scratch }.search(here, draws);
    if best.cost < here.cost {
        floor.put(k, best.choice, best.at);
        true
    } else {
        false
    }
}

/// The search of one move.
struct Settling<'s, 'a> {
    floor: &'s Floor<'a>,
    k: usize,
    rng: &'s mut Pcg64Mcg,
    scratch: &'s mut Scratch<'a>,
}

impl Settling<'_, '_> {
    fn search(&mut self, here: Candidate, draws: Draws) -> Candidate {
        let finalists = self.draw(draws);
        if let Some(found) = finalists[0]
            && found.cost == 0.0
        {
            return found;
        }
        let mut best = here;
        for (start, from) in [(Some(here), 0.02), (finalists[0], 0.25), (finalists[1], 0.25)] {
            let Some(start) = start else { continue };
            let smaller = self.smaller_side(start.choice);
            let mut refined = start;
            if from > COARSE {
                refined = self.refine(refined, smaller * from, smaller * COARSE);
                if refined.cost > best.cost * HOPELESS {
                    continue;
                }
            }
            refined = self.refine(refined, smaller * from.min(COARSE), smaller * 0.002);
            if refined.cost < best.cost {
                best = refined;
            }
            if best.cost == 0.0 {
                return best;
            }
        }
        let smaller = self.smaller_side(best.choice);
        self.refine(best, smaller * 0.002, 1.0)
    }

    fn smaller_side(&self, choice: Choice) -> f64 {
        let outline = self.floor.task.shapes.outline(choice.outline);
        outline.width.min(outline.height) as f64
    }

    /// The best two places of those drawn, or the first found that costs nothing.
    fn draw(&mut self, draws: Draws) -> [Option<Candidate>; 2] {
        let floor = self.floor;
        let choices = floor.choices(&floor.spots[self.k]);
        let mut finalists = [None::<Candidate>; 2];
        for &choice in choices.iter().filter(|&&c| floor.fits(c)) {
            for draw in 0..draws.anywhere + draws.nearby + draws.contacts {
                let at = if draw < draws.anywhere {
                    let (low, high) = floor.range(choice);
                    Some(Point::new(
                        self.rng.random_range(low.x..=high.x),
                        self.rng.random_range(low.y..=high.y),
                    ))
                } else if draw < draws.anywhere + draws.nearby {
                    Some(self.nearby(choice))
                } else {
                    self.contact(choice)
                };
                let Some(at) = at else { continue };
                let at = floor.clamp(choice, at);
                let limit = finalists[1].map_or(f32::INFINITY, |c| c.cost);
                let cost = floor.cost(self.k, choice, at, limit, &mut self.scratch.work);
                if cost < limit {
                    let candidate = Candidate { choice, at, cost };
                    if cost == 0.0 {
                        return [Some(candidate), None];
                    }
                    if finalists[0].is_none_or(|f| cost < f.cost) {
                        finalists[1] = finalists[0];
                        finalists[0] = Some(candidate);
                    } else {
                        finalists[1] = Some(candidate);
                    }
                }
            }
        }
        finalists
    }

    /// A place near the present one: centre on centre, so that another choice covers the same ground.
    fn nearby(&mut self, choice: Choice) -> Point {
        let spot = self.floor.spots[self.k];
        let shapes = &self.floor.task.shapes;
        let (outline, now) = (shapes.outline(choice.outline), shapes.outline(spot.choice.outline));
        let spread = self.smaller_side(choice) / 2.0;
        let centre = spot.at + Point::new((now.width - outline.width) / 2, (now.height - outline.height) / 2);
        centre + Point::new((normal(self.rng) * spread) as i64, (normal(self.rng) * spread) as i64)
    }

    /// A corner contact with another placement; none when what came up lies outside the band.
    fn contact(&mut self, choice: Choice) -> Option<Point> {
        let floor = self.floor;
        let j = self.rng.random_range(0..floor.spots.len());
        if floor.is_same(self.k, j) {
            return None;
        }
        let other = floor.spots[j];
        let pair = floor.task.shapes.pair(other.choice.outline, choice.outline);
        if pair.contacts() == 0 {
            return None;
        }
        let at = other.at + pair.contact(self.rng.random_range(0..pair.contacts()));
        (floor.clamp(choice, at) == at || choice.anchor != Anchor::Free).then_some(at)
    }

    /// Pattern search: steps along a random axis or diagonal, both ways; longer after success, shorter after two failures.
    fn refine(&mut self, start: Candidate, first: f64, last: f64) -> Candidate {
        let mut best = start;
        let mut step = first.max(last);
        let mut failures = 0;
        let axes: &[(f64, f64)] = match best.choice.anchor {
            Anchor::Free => &[(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)],
            Anchor::Low | Anchor::High => &[(1.0, 0.0)],
            Anchor::Start => &[(0.0, 1.0)],
        };
        let (low, high) = self.floor.range(best.choice);
        let clamp = |at: Point| Point::new(at.x.clamp(low.x, high.x), at.y.clamp(low.y, high.y));
        let mut gathered = false;
        while step >= last && best.cost > 0.0 {
            let (dx, dy) = axes[if axes.len() == 1 { 0 } else { self.rng.random_range(0..axes.len()) }];
            let by = Point::new((dx * step).round() as i64, (dy * step).round() as i64);
            let mut improved = false;
            for by in [by, -by] {
                let at = clamp(best.at + by);
                if at == best.at {
                    continue;
                }
                if !gathered || !self.scratch.near.covers(at) {
                    let reach = (step * REACH) as i64;
                    let reach = Point::new(reach, reach);
                    let window = (clamp(best.at - reach), clamp(best.at + reach));
                    self.scratch.near.gather(self.floor, self.k, best.choice, window.0, window.1);
                    gathered = true;
                }
                let cost = self.scratch.cost(self.floor, best.choice, at, best.cost);
                if cost < best.cost {
                    best = Candidate { at, cost, ..best };
                    improved = true;
                    break;
                }
            }
            if improved {
                step *= 1.1;
                failures = 0;
            } else {
                failures += 1;
                if failures == 2 {
                    step *= 0.5;
                    failures = 0;
                }
            }
        }
        best
    }
}

/// A candidate is first refined to this part of the smaller side; one that then still costs so many times more than the best
/// is given up. Most candidates are: the same time makes 1.4 times as many moves, and 0.2 points of density in five seconds
/// (mean over nine instances).
const COARSE: f64 = 0.1;
const HOPELESS: f32 = 1.4;

/// How many steps a refinement may go before it must look again whom it may meet.
const REACH: f64 = 3.0;

/// A normal deviate by the sum of twelve uniform ones: good enough to spread candidates.
fn normal(rng: &mut impl Rng) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::search::separate::DRAWS;
    use crate::search::stream::stream;
    use crate::search::task::{Extent, Lay, Spot, Task};

    /// Four squares of 500 on a board of 1000, at these places.
    fn four_squares(at: [(i64, i64); 4]) -> (Task, Lay) {
        let task = Task::board(1000, &[(Polygon::rectangle(500, 500), 4, vec![Turn::None])]);
        let choice = task.items[0].ways[0].parts[0].choices[0];
        let spot = |(item, (x, y))| Spot { item, part: 0, choice, at: Point::new(x, y) };
        let lay = Lay {
            length: 1000,
            extents: vec![Extent { depths: [0, 0], start: 0, end: 1000 }],
            ways: vec![0; 4],
            spots: (0..).zip(at).map(spot).collect(),
        };
        (task, lay)
    }

    #[test]
    fn a_piece_finds_the_only_hole_to_a_hair_and_one_that_touches_stays() {
        let (task, lay) = four_squares([(0, 0), (500, 0), (0, 500), (130, 210)]);
        for seed in 0..10 {
            let mut floor = Floor::of(&task, &lay);
            let mut scratch = Scratch::default();
            let mut rng = stream(seed, 0, 0, 9);
            let moves = (0..20).take_while(|_| settle(&mut floor, 3, DRAWS, &mut rng, &mut scratch)).count();
            assert_eq!((floor.spots[3].at, floor.total()), (Point::new(500, 500), 0.0), "seed {seed}");
            assert!(moves > 0 && scratch.work.evaluations > 0);
            // All the others touch their neighbours and overlap none.
            let before = floor.spots.clone();
            for k in 0..4 {
                assert!(!settle(&mut floor, k, DRAWS, &mut rng, &mut scratch));
            }
            assert_eq!(floor.spots, before);
        }
    }

    #[test]
    fn what_cannot_be_separated_never_comes_to_overlap_more() {
        let (task, lay) = four_squares([(0, 0), (300, 100), (100, 300), (250, 250)]);
        let short = Lay { extents: vec![Extent { depths: [0, 0], start: 0, end: 900 }], ..lay };
        let mut floor = Floor::of(&task, &short);
        let mut scratch = Scratch::default();
        let mut rng = stream(1, 0, 0, 9);
        let mut last = floor.total();
        for k in (0..4).cycle().take(200) {
            settle(&mut floor, k, DRAWS, &mut rng, &mut scratch);
            assert!(floor.total() <= last * 1.000_01, "{} after {last}", floor.total());
            last = floor.total();
        }
        assert!(last > 0.0, "four squares do not lie on 900 by 1000");
    }
}
