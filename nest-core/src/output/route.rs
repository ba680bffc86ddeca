//! The order in which a tool visits the pieces: nearest neighbour first, then exchanged in pairs while that shortens the way.
//!
//! Reference: the two-exchange ("2-opt") of G. A. Croes, *A method for solving traveling-salesman problems*, Operations
//! Research 6 (1958), on an open tour whose start is fixed.

use super::linework::{At, Kind, LineWork, Stroke};

/// The order in which to visit the pieces of a lay, by where their outlines are begun; from the lay's corner.
pub(super) fn visits(lines: &LineWork) -> Vec<usize> {
    route((0.0, 0.0), &beginnings(lines))
}

/// Where the outline of each piece is begun unless something speaks for another of its corners.
pub(super) fn beginnings(lines: &LineWork) -> Vec<At> {
    let begins = |strokes: &[Stroke]| strokes.iter().find(|s| s.kind == Kind::Cut).map(|s| s.points[0]);
    lines.pieces.iter().map(|piece| begins(&piece.strokes).unwrap_or_default()).collect()
}

/// The points of a stroke from the one that is best begun at when the tool is at `at`: any of a closed line, which then ends
/// where it began; either end of an open one.
pub(super) fn begun_near(stroke: &Stroke, at: At) -> Vec<At> {
    let mut points = stroke.points.clone();
    if stroke.closed {
        let mut nearest = 0;
        for k in 1..points.len() {
            if apart(at, points[k]) < apart(at, points[nearest]) {
                nearest = k;
            }
        }
        points.rotate_left(nearest);
        points.push(points[0]);
    } else if let (Some(&first), Some(&last)) = (points.first(), points.last())
        && apart(at, last) < apart(at, first)
    {
        points.reverse();
    }
    points
}

fn apart(a: At, b: At) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// How far the tool travels from `start` through the places in an order.
pub(super) fn travel(start: At, places: &[At], order: &[usize]) -> f64 {
    let mut at = start;
    order.iter().map(|&i| apart(std::mem::replace(&mut at, places[i]), places[i])).sum()
}

/// An order of the places, each once, ending anywhere: the shorter of two improved by exchanges, one that goes to the
/// nearest place each time and the one in which the places are given, so that it is never longer than that.
///
/// # Complexity
/// O(n²) for the first order and for each sweep of exchanges, of which there are at most 50.
pub(super) fn route(start: At, places: &[At]) -> Vec<usize> {
    let mut orders = [nearest_first(start, places), (0..places.len()).collect()];
    for order in &mut orders {
        exchange(start, places, order);
    }
    let [near, given] = orders;
    if travel(start, places, &given) < travel(start, places, &near) { given } else { near }
}

fn nearest_first(start: At, places: &[At]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..places.len()).collect();
    let mut order = Vec::with_capacity(places.len());
    let mut at = start;
    while !left.is_empty() {
        // The first of equals, so that the order is the same everywhere.
        let mut nearest = 0;
        for k in 1..left.len() {
            if apart(at, places[left[k]]) < apart(at, places[left[nearest]]) {
                nearest = k;
            }
        }
        let next = left.remove(nearest);
        at = places[next];
        order.push(next);
    }
    order
}

/// Turns stretches of the order round as long as one can be found that shortens the way.
fn exchange(start: At, places: &[At], order: &mut [usize]) {
    let n = order.len();
    for _ in 0..50 {
        let mut better = false;
        for i in 0..n {
            for j in i + 1..n {
                let before = if i == 0 { start } else { places[order[i - 1]] };
                let (first, last) = (places[order[i]], places[order[j]]);
                // The tour is open: after its end nothing has to be joined.
                let (now, then) = match order.get(j + 1) {
                    Some(&k) => {
                        let after = places[k];
                        (apart(before, first) + apart(last, after), apart(before, last) + apart(first, after))
                    }
                    None => (apart(before, first), apart(before, last)),
                };
                // Less by more than a trace of rounding, or it would never end.
                if then < now - 1e-9 {
                    order[i..=j].reverse();
                    better = true;
                }
            }
        }
        if !better {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every order of 0..n.
    fn orders(n: usize) -> Vec<Vec<usize>> {
        if n == 0 {
            return vec![vec![]];
        }
        let shorter = orders(n - 1);
        let with = |order: &Vec<usize>| -> Vec<Vec<usize>> {
            (0..n)
                .map(|k| {
                    let mut longer = order.clone();
                    longer.insert(k, n - 1);
                    longer
                })
                .collect()
        };
        shorter.iter().flat_map(with).collect()
    }

    #[test]
    fn few_places_are_visited_nearly_as_shortly_as_can_be() {
        let mut seed = 7u64;
        let mut random = || {
            // Lehmer's generator with the constants of Park and Miller (1988).
            seed = seed * 48_271 % 2_147_483_647;
            seed as f64 / 2_147_483_647.0
        };
        let mut worst: f64 = 1.0;
        for _ in 0..40 {
            let places: Vec<At> = (0..7).map(|_| (1000.0 * random(), 1000.0 * random())).collect();
            let start = (0.0, 0.0);
            let best =
                orders(7).iter().map(|order| travel(start, &places, order)).fold(f64::INFINITY, f64::min);
            let order = route(start, &places);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert_eq!(sorted, [0, 1, 2, 3, 4, 5, 6], "each is visited once");
            worst = worst.max(travel(start, &places, &order) / best);
        }
        // Two-exchanges end in local optima; on these they stay within a fifth of the shortest of all orders.
        assert!(worst < 1.2, "{worst}");
    }

    #[test]
    fn places_in_a_row_are_visited_in_a_row() {
        let places: Vec<At> = [5, 2, 9, 1, 7, 3].iter().map(|&x| (f64::from(x), 0.0)).collect();
        let order = route((0.0, 0.0), &places);
        assert_eq!(order, [3, 1, 5, 0, 4, 2]);
        assert_eq!(travel((0.0, 0.0), &places, &order), 9.0);
        assert!(route((0.0, 0.0), &[]).is_empty());
    }
}
