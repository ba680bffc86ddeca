//! Lower bounds: lengths that no lay of a demand can beat, and the argument for each.
//!
//! **Area.** The pieces' area, every ply counted, fits into usable width times length.
//!
//! **Longest piece.** The lay is at least as long as the shortest way to lay its longest piece.
//!
//! **Side by side.** On a single band of height H, cut the lay across at any x: the pieces met there take disjoint lengths
//! s₁, s₂ … of the cut, together at most H. A dual feasible function f satisfies Σ f(sᵢ/H) ≤ 1 whenever Σ sᵢ ≤ H, so
//! integrating over x, Σ over pieces of ∫ f(sᵢ(x)/H) dx is at most the length of the lay, wherever the pieces lie. With
//! f the identity this is the area bound. With f(z) = 0 below λ, z up to 1 − λ, and 1 above, it counts in full the
//! stretches that are too tall to have anything but slivers beside them (S. P. Fekete & J. Schepers, "New classes of
//! fast lower bounds for bin packing problems", Mathematical Programming 91, 2001, function u^(λ)). Turning a piece end
//! for end or mirroring it does not change its integral, so the bound holds for whatever the search chooses; where a
//! piece has other ways to lie, the least of them counts.

use crate::answer::{Bound, BoundReason};
use crate::board::Board;
use crate::cloth::Cloth;
use crate::demand::{Demand, Demands};
use crate::geometry::Polygon;
use crate::job::Job;
use crate::length::Length;
use crate::search::task::{Choice, Item};
use crate::spread::{Family, Kind, Plies, Refusal};

/// Every kind of spread for one cloth of a job, in the order of [`Kind::ALL`], without a search: a lower bound on the
/// cloth that it takes, or why it does not serve.
///
/// # Complexity
/// O(v log v) for each kind of spread, v the vertices of all ways to lay the pieces.
pub fn admissible(job: &Job, cloth: &Cloth) -> Vec<(Kind, Result<Bound, Refusal>)> {
    let demands = Demands::new(job, cloth);
    let of = |kind| match kind {
        Kind::Whole(family) => demands.whole(family).as_ref().map(bound).map_err(Clone::clone),
        Kind::Sections => demands.sections.as_ref().map(|_| sections_bound(&demands)).map_err(Clone::clone),
    };
    Kind::ALL.into_iter().map(|kind| (kind, of(kind))).collect()
}

/// A lower bound on the cloth that a lay in sections takes: it opens out to one of single thickness, whose bound holds for
/// it. A tube's second fold does not open out, and there the area alone counts.
pub(crate) fn sections_bound(demands: &Demands) -> Bound {
    let layouts = demands.sections.iter().flatten().flat_map(|demand| &demand.layouts);
    let tube = layouts.into_iter().any(|layout| layout.family == Family::Tubular);
    let flat = demands.single.as_ref().filter(|_| !tube);
    flat.map_or_else(
        || Bound { length: Length::from_grid(demands.area_bound()), reason: BoundReason::Area },
        bound,
    )
}

/// The best lower bound known on the cloth that a lay of this demand takes.
///
/// # Complexity
/// O(v log v) for v vertices of all choices, times the number of functions tried.
pub(crate) fn bound(demand: &Demand) -> Bound {
    let longest = longest(demand);
    let area = area(demand);
    let beside = side_by_side(demand);
    let mut best = Bound { length: Length::from_grid(area), reason: BoundReason::Area };
    if let Some((item, length)) = longest
        && length > best.length.grid()
    {
        let reason = BoundReason::LongestPiece(demand.name(item).to_owned());
        best = Bound { length: Length::from_grid(length), reason };
    }
    if let Some((length, names)) = beside
        && length > best.length.grid()
    {
        best = Bound { length: Length::from_grid(length), reason: BoundReason::OneAfterAnother(names) };
    }
    best.length = Length::from_grid(best.length.grid() * demand.layouts[0].cloth_per_lay());
    best
}

/// The best lower bound known on the length of a lay on a board.
///
/// # Complexity
/// As for a demand.
pub(crate) fn board_bound(board: &Board) -> Bound {
    let height = board.height();
    // Rounded up: a length is a whole number of grid units.
    let area = (board.doubled_area() + 2 * height - 1) / (2 * height);
    let mut best = Bound { length: Length::from_grid(area), reason: BoundReason::Area };
    let turned: Vec<Vec<Polygon>> = board.pieces().iter().map(|piece| piece.fitting(height)).collect();
    let widths = turned.iter().map(|t| t.iter().map(|o| o.bounds().width()).min().unwrap_or(0));
    for (piece, length) in board.pieces().iter().zip(widths) {
        if length > best.length.grid() {
            let reason = BoundReason::LongestPiece(piece.name.clone());
            best = Bound { length: Length::from_grid(length), reason };
        }
    }
    let least = |outlines: &[Polygon], lambda: f64| {
        outlines.iter().map(|o| integral(o, height as f64, lambda)).fold(f64::INFINITY, f64::min)
    };
    let pieces = || board.pieces().iter().zip(&turned);
    let of = |lambda: f64| pieces().map(|(p, t)| f64::from(p.quantity) * least(t, lambda)).sum();
    if let Some((lambda, length)) = over_all_functions(of)
        && length > best.length.grid()
    {
        let tall = |(_, t): &(_, &Vec<Polygon>)| lambda > 0.0 && least(t, 0.5) > 0.0;
        let names = pieces().filter(tall).map(|(p, _)| p.name.clone()).collect();
        best = Bound { length: Length::from_grid(length), reason: BoundReason::OneAfterAnother(names) };
    }
    best
}

/// The least, over an item's ways, of the sum over parts of the least over choices.
fn least(item: &Item, measure: impl Fn(&Choice) -> f64) -> f64 {
    let way = |parts: &[crate::search::task::Part]| -> f64 {
        parts.iter().map(|p| p.choices.iter().map(&measure).fold(f64::INFINITY, f64::min)).sum()
    };
    item.ways.iter().map(|w| way(&w.parts)).fold(f64::INFINITY, f64::min)
}

fn longest(demand: &Demand) -> Option<(usize, i64)> {
    let task = &demand.task;
    let of = |i: usize, item: &Item| {
        let width = |c: &Choice| demand.cut_width(i, c);
        let way = |w: &crate::search::task::Way| {
            w.parts.iter().filter_map(|p| p.choices.iter().map(width).min()).max().unwrap_or(0)
        };
        item.ways.iter().map(way).min().unwrap_or(0)
    };
    task.items
        .iter()
        .enumerate()
        .map(|(i, item)| (i, of(i, item)))
        .max_by_key(|&(i, l)| (l, std::cmp::Reverse(i)))
}

fn area(demand: &Demand) -> i64 {
    let layout = &demand.layouts[0];
    let usable = (layout.width - 2 * layout.selvage) * layout.cloth_per_lay();
    let doubled: i64 = (0..demand.task.items.len()).map(|i| demand.doubled_area(i)).sum();
    // Rounded up: a length is a whole number of grid units.
    let per = 2 * usable.max(1);
    (doubled + per - 1) / per
}

fn side_by_side(demand: &Demand) -> Option<(i64, Vec<String>)> {
    let [band] = demand.layouts[0].bands([0, 0])[..] else { return None };
    if demand.is_spaced() || demand.layouts[0].freedom() > 0 {
        return None;
    }
    let height = band.height() as f64;
    let double = if band.plies == Plies::Two { 2 } else { 1 };
    debug_assert!(double > 0, "a band has a ply");
    let of = |lambda: f64| -> f64 {
        let measure = |c: &Choice| integral(demand.cut_outline(c), height, lambda);
        demand.task.items.iter().map(|item| least(item, measure)).sum()
    };
    let (lambda, length) = over_all_functions(of)?;
    let tall = |c: &Choice| integral(demand.cut_outline(c), height, 0.5);
    let mut names: Vec<String> = (0..demand.task.items.len())
        .filter(|&i| lambda > 0.0 && least(&demand.task.items[i], tall) > 0.0)
        .map(|i| demand.name(i).to_owned())
        .collect();
    names.sort();
    names.dedup();
    Some((length, names))
}

/// The best of the bounds by u^(λ), and its λ.
fn over_all_functions(of: impl Fn(f64) -> f64) -> Option<(f64, i64)> {
    let steps = (1..=20).map(|k| f64::from(k) / 40.0);
    let (lambda, length) = steps.map(|l| (l, of(l))).max_by(|a, b| a.1.total_cmp(&b.1))?;
    // Floating sums are good to far less than a grid unit; one unit is given away to be sure.
    Some((lambda, length.floor() as i64 - 1))
}

/// ∫ f(s(x)/H) dx over the extent of a polygon, where s(x) is how much of the cut at x it takes.
fn integral(polygon: &Polygon, height: f64, lambda: f64) -> f64 {
    let mut xs: Vec<i64> = polygon.points().iter().map(|p| p.x).collect();
    xs.sort_unstable();
    xs.dedup();
    let mut sum = 0.0;
    for pair in xs.windows(2) {
        let (x0, x1) = (pair[0], pair[1]);
        // Between two vertices the cut is linear in x: two inner points tell it.
        let at = |t: f64| section(polygon, x0 as f64 + (x1 - x0) as f64 * t) / height;
        let (a, b) = (at(1.0 / 3.0), at(2.0 / 3.0));
        let (s0, s1) = (2.0 * a - b, 2.0 * b - a);
        sum += (x1 - x0) as f64 * mean_of_f(s0, s1, lambda);
    }
    sum
}

/// How much of the line at x the polygon takes; x not at a vertex.
fn section(polygon: &Polygon, x: f64) -> f64 {
    let mut ys: Vec<f64> = polygon
        .edges()
        .filter(|(a, b)| (a.x as f64 > x) != (b.x as f64 > x))
        .map(|(a, b)| a.y as f64 + (b.y - a.y) as f64 * (x - a.x as f64) / (b.x - a.x) as f64)
        .collect();
    ys.sort_by(f64::total_cmp);
    ys.chunks_exact(2).map(|c| c[1] - c[0]).sum()
}

/// The mean of u^(λ)(z) for z running evenly from `z0` to `z1`.
fn mean_of_f(z0: f64, z1: f64, lambda: f64) -> f64 {
    let (low, high) = if z0 <= z1 { (z0, z1) } else { (z1, z0) };
    // A hair is given away at both thresholds, so that rounding never counts too much.
    let (from, to) = (lambda + 1e-9, 1.0 - lambda + 1e-9);
    if high - low < 1e-12 {
        let z = (low + high) / 2.0;
        return if z > to {
            1.0
        } else if z >= from {
            z.min(1.0 - lambda)
        } else {
            0.0
        };
    }
    let span = high - low;
    let full = (high - to.max(low)).max(0.0);
    let (a, b) = (low.max(from), high.min(to));
    let slope = if b > a { (b - a) * (a + b) / 2.0 } else { 0.0 };
    (full + slope) / span
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    #[test]
    fn the_integral_of_the_identity_is_the_area_over_the_height() {
        let ring = [(0, 0), (4000, 0), (4000, 900), (1200, 1100), (1000, 3000), (0, 2500)];
        let p = Polygon::new(ring.iter().map(|&(x, y)| Point::new(x, y)).collect()).unwrap();
        let area = p.doubled_area() as f64 / 2.0;
        assert!((integral(&p, 5000.0, 0.0) - area / 5000.0).abs() < 1e-3);
    }

    #[test]
    fn a_triangle_counts_where_it_is_taller_than_half() {
        // Height falls evenly from 1000 to 0 over 2000: above 600 of 1200 for the first 800.
        let ring = [(0, 0), (2000, 0), (0, 1000)];
        let p = Polygon::new(ring.iter().map(|&(x, y)| Point::new(x, y)).collect()).unwrap();
        assert!((integral(&p, 1200.0, 0.5) - 800.0).abs() < 1e-3);
    }

    #[test]
    fn the_function_is_dual_feasible() {
        // Sums of random splits of at most one never count more than one (Fekete & Schepers, theorem on u^(λ)).
        let mut state = 12345u64;
        let mut random = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        for _ in 0..20_000 {
            let lambda = random() * 0.5;
            let (mut left, mut sum) = (1.0, 0.0);
            while left > 0.01 {
                let z = left * random();
                sum += mean_of_f(z, z, lambda);
                left -= z;
            }
            assert!(sum <= 1.0 + 1e-9, "{sum} at {lambda}");
        }
    }
}
