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
pub(crate) fn settle(
    floor: &mut Floor<'_>,
    k: usize,
    draws: Draws,
    rng: &mut Pcg64Mcg,
    scratch: &mut Scratch,
) -> bool {
    let present = floor.spots[k];
    let here = Candidate { choice: present.choice, at: present.at, cost: floor.own_cost(k) };
    if here.cost <= 0.0 {
        return false;
    }
    let best = search(floor, k, here, draws, rng, scratch);
    if best.cost < here.cost {
        floor.put(k, best.choice, best.at);
        true
    } else {
        false
    }
}

fn search(
    floor: &Floor<'_>,
    k: usize,
    here: Candidate,
    draws: Draws,
    rng: &mut Pcg64Mcg,
    scratch: &mut Scratch,
) -> Candidate {
    let spot = floor.spots[k];
    let task = floor.task;
    let choices = &task.items[spot.item as usize].ways[floor.ways[spot.item as usize] as usize].parts
        [spot.part as usize]
        .choices;
    let mut finalists = [None::<Candidate>; 2];
    for &choice in choices.iter().filter(|&&c| floor.fits(c)) {
        let (low, high) = floor.range(choice);
        let outline = task.shapes.outline(choice.outline);
        let smaller = outline.width.min(outline.height);
        for draw in 0..draws.anywhere + draws.nearby + draws.contacts {
            let at = if draw < draws.anywhere {
                Point::new(rng.random_range(low.x..=high.x), rng.random_range(low.y..=high.y))
            } else if draw < draws.anywhere + draws.nearby {
                let spread = smaller as f64 / 2.0;
                // Centre on centre, so that another choice covers the same ground.
                let now = task.shapes.outline(spot.choice.outline);
                let centre = Point::new(
                    spot.at.x + (now.width - outline.width) / 2,
                    spot.at.y + (now.height - outline.height) / 2,
                );
                centre + Point::new((normal(rng) * spread) as i64, (normal(rng) * spread) as i64)
            } else {
                let j = rng.random_range(0..floor.spots.len());
                if j == k {
                    continue;
                }
                let other = floor.spots[j];
                let pair = task.shapes.pair(other.choice.outline, choice.outline);
                if pair.contacts() == 0 {
                    continue;
                }
                let at = other.at + pair.contact(rng.random_range(0..pair.contacts()));
                if floor.clamp(choice, at) != at && choice.anchor == Anchor::Free {
                    continue;
                }
                at
            };
            let at = floor.clamp(choice, at);
            let limit = finalists[1].map_or(f32::INFINITY, |c| c.cost);
            let cost = floor.cost(k, choice, at, limit, scratch);
            if cost < limit {
                let candidate = Candidate { choice, at, cost };
                if cost == 0.0 {
                    return candidate;
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
    let mut best = here;
    for (start, from) in [(Some(here), 0.02), (finalists[0], 0.25), (finalists[1], 0.25)] {
        let Some(start) = start else { continue };
        let refined = refine(floor, k, start, from, rng, scratch);
        if refined.cost < best.cost {
            best = refined;
        }
        if best.cost == 0.0 {
            return best;
        }
    }
    let outline = task.shapes.outline(best.choice.outline);
    let smaller = outline.width.min(outline.height) as f64;
    pattern(floor, k, best, smaller * 0.002, 1.0, rng, scratch)
}

/// A normal deviate by the sum of twelve uniform ones: good enough to spread candidates.
fn normal(rng: &mut impl Rng) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

fn refine(
    floor: &Floor<'_>,
    k: usize,
    start: Candidate,
    from: f64,
    rng: &mut Pcg64Mcg,
    scratch: &mut Scratch,
) -> Candidate {
    let outline = floor.task.shapes.outline(start.choice.outline);
    let smaller = outline.width.min(outline.height) as f64;
    pattern(floor, k, start, smaller * from, smaller * 0.002, rng, scratch)
}

/// Pattern search: steps along a random axis or diagonal, both ways; longer after success, shorter after two failures.
fn pattern(
    floor: &Floor<'_>,
    k: usize,
    start: Candidate,
    first: f64,
    last: f64,
    rng: &mut Pcg64Mcg,
    scratch: &mut Scratch,
) -> Candidate {
    let mut best = start;
    let mut step = first.max(last);
    let mut failures = 0;
    let axes: &[(f64, f64)] = match best.choice.anchor {
        Anchor::Free => &[(1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, -1.0)],
        Anchor::Low | Anchor::High => &[(1.0, 0.0)],
        Anchor::Start => &[(0.0, 1.0)],
    };
    while step >= last && best.cost > 0.0 {
        let (dx, dy) = axes[if axes.len() == 1 { 0 } else { rng.random_range(0..axes.len()) }];
        let by = Point::new((dx * step).round() as i64, (dy * step).round() as i64);
        let mut improved = false;
        for by in [by, -by] {
            let at = floor.clamp(best.choice, best.at + by);
            if at == best.at {
                continue;
            }
            let cost = floor.cost(k, best.choice, at, best.cost, scratch);
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
