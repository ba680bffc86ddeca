//! The no-fit polygon of two polygons: the positions in which the one would overlap the other.
//!
//! With `a` fixed and `b` moved by p, interiors meet exactly when p lies in the interior of the Minkowski sum of `a` and
//! `b` reflected in the origin. Its boundary is found here as the outline of the *convolution* of the two rings: a closed
//! chain of edges, of which the winding number about p counts the pieces of the intersection (Guibas, Ramshaw & Stolfi,
//! "A kinetic framework for computational geometry", FOCS 1983). The chain has some hundred edges where sums of convex
//! parts would have thousands, and curved pieces with many vertices stay cheap.
//!
//! The boundary serves to *measure* (how far must `b` move to be free?); whether two pieces overlap is always decided
//! exactly, by [`ConvexParts::overlaps`].

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::{Overlay, ShapeType};
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;

use super::{ConvexParts, Point, Polygon};

/// The boundary is computed this much finer than the grid, so that rounding stays below a grid unit.
const FINE: i64 = 4;

/// A chain of more edges to each vertex is not cut where it crosses itself, which that of two spiky outlines does by the million: the
/// sums with each convex part are united in place of it. Two stars of 200 vertices, 75 edges to each: 8.3 s to 0.09; of 30, with 8,
/// 0.9 ms to 0.7. Curved pieces have two.
const TANGLED: usize = 10;

/// A closed ring in fine units.
type Loop = Vec<IntPoint<i32>>;

/// The positions in which one polygon would overlap another.
#[derive(Clone, Debug)]
pub struct NoFit {
    /// Closed rings in units of the grid: outer boundaries and holes, shrunk by about one grid unit so that corridors
    /// into which a piece fits exactly stay open. Not to be used to decide.
    pub rings: Vec<Vec<[f32; 2]>>,
    /// Positions in which a vertex of the one touches a vertex of the other and nothing overlaps, exactly.
    pub touching: Vec<Point>,
}

impl NoFit {
    /// The no-fit polygon of `b` moving about `a`.
    ///
    /// # Complexity
    /// O(n m) for the chain, then O(k log k) and the crossings of its k edges, where k grows as n + m times the turns
    /// that the two rings make. Where there are many of these: for each convex part of `b` the same with its vertices for m, and
    /// the crossings of what of them is left outside as they are united two by two.
    pub fn of(a: &Polygon, b: &Polygon, parts_a: &ConvexParts, parts_b: &ConvexParts) -> NoFit {
        let reflected: Vec<Point> = b.points().iter().map(|&p| -p).collect();
        let inset = inset_fine(a.points());
        let chain = Chain::of(a.points(), &reflected);
        let mut touching = chain.vertices(a.points(), &reflected);
        touching.retain(|&p| !parts_a.overlaps(parts_b, p));
        let loops = if chain.edges.len() <= TANGLED * (a.points().len() + b.points().len()) {
            outline(&chain.loops(&inset, &reflected))
        } else {
            let sums = parts_b.rings().map(|part| {
                let part: Vec<Point> = part.iter().map(|&p| -p).collect();
                outline(&Chain::of(a.points(), &part).loops(&inset, &part))
            });
            united(sums.collect())
        };
        NoFit { rings: in_grid_units(&loops), touching }
    }
}

/// The convolution of two counter-clockwise rings, as edges between pairs of vertices (index of the first, of the second).
struct Chain {
    edges: Vec<[(usize, usize); 2]>,
}

impl Chain {
    fn of(p: &[Point], q: &[Point]) -> Chain {
        let (n, m) = (p.len(), q.len());
        let mut edges = Vec::new();
        for i in 0..n {
            let (u, v) = (p[i] - p[(i + n - 1) % n], p[(i + 1) % n] - p[i]);
            for j in 0..m {
                let along = q[(j + 1) % m] - q[j];
                // Where directions agree, those of `q` count as turned by a hair counter-clockwise: any consistent rule
                // keeps the chain closed.
                match sweep(u, v, along, true) {
                    1 => edges.push([(i, j), (i, (j + 1) % m)]),
                    -1 => edges.push([(i, (j + 1) % m), (i, j)]),
                    _ => {}
                }
            }
        }
        for j in 0..m {
            let (u, v) = (q[j] - q[(j + m - 1) % m], q[(j + 1) % m] - q[j]);
            for i in 0..n {
                let along = p[(i + 1) % n] - p[i];
                match sweep(u, v, along, false) {
                    1 => edges.push([(i, j), ((i + 1) % n, j)]),
                    -1 => edges.push([((i + 1) % n, j), (i, j)]),
                    _ => {}
                }
            }
        }
        Chain { edges }
    }

    /// The distinct vertices of the chain on the grid.
    fn vertices(&self, p: &[Point], q: &[Point]) -> Vec<Point> {
        let mut all: Vec<Point> = self.edges.iter().map(|e| p[e[0].0] + q[e[0].1]).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// The chain as closed loops in fine units; how it is cut into loops does not change winding numbers.
    fn loops(&self, fine_p: &[Point], q: &[Point]) -> Vec<Loop> {
        let mut order: Vec<usize> = (0..self.edges.len()).collect();
        order.sort_unstable_by_key(|&e| self.edges[e]);
        let starts: Vec<(usize, usize)> = order.iter().map(|&e| self.edges[e][0]).collect();
        let mut used = vec![false; order.len()];
        let mut loops = Vec::new();
        for first in 0..order.len() {
            if used[first] {
                continue;
            }
            let mut ring = Vec::new();
            let mut at = first;
            loop {
                used[at] = true;
                let [(i, j), to] = self.edges[order[at]];
                let place = fine_p[i] + Point::new(q[j].x * FINE, q[j].y * FINE);
                // Coordinates are at most 4·2·10⁷, well inside an i32.
                ring.push(IntPoint::new(place.x as i32, place.y as i32));
                let from = starts.partition_point(|&s| s < to);
                let Some(next) = (from..order.len()).take_while(|&k| starts[k] == to).find(|&k| !used[k])
                else {
                    break;
                };
                at = next;
            }
            loops.push(ring);
        }
        loops
    }
}

/// Does the direction `along` lie in the turn from `u` to `v` at a vertex? 1: passed counter-clockwise, −1: clockwise.
fn sweep(u: Point, v: Point, along: Point, ahead: bool) -> i32 {
    let same = |d: Point| d.cross(along) == 0 && d.dot(along) > 0;
    // `ahead`: `along` counts as turned by a hair counter-clockwise in respect of `u` and `v`; else they do.
    if u.cross(v) > 0 {
        let at_end = if ahead { same(u) } else { same(v) };
        i32::from(at_end || (u.cross(along) > 0 && along.cross(v) > 0))
    } else {
        let at_end = if ahead { same(v) } else { same(u) };
        -i32::from(at_end || (v.cross(along) > 0 && along.cross(u) > 0))
    }
}

/// The ring in fine units, every edge moved inwards by about one grid unit; corners move by at most two.
fn inset_fine(ring: &[Point]) -> Vec<Point> {
    let n = ring.len();
    let unit = |d: Point| {
        let (x, y) = (d.x as f64, d.y as f64);
        let l = (x * x + y * y).sqrt();
        (x / l, y / l)
    };
    (0..n)
        .map(|i| {
            let (ux, uy) = unit(ring[i] - ring[(i + n - 1) % n]);
            let (vx, vy) = unit(ring[(i + 1) % n] - ring[i]);
            // Inner normals are the edges turned left; the corner moves by their sum over 1 + cos of the turn.
            let (nx, ny) = (-uy - vy, ux + vx);
            let cos = ux * vx + uy * vy;
            let mut scale = FINE as f64 / (1.0 + cos).max(1e-9);
            let longest = 2.0 * FINE as f64;
            let length = (nx * nx + ny * ny).sqrt() * scale;
            if length > longest {
                scale *= longest / length;
            }
            Point::new(
                ring[i].x * FINE + (nx * scale).round() as i64,
                ring[i].y * FINE + (ny * scale).round() as i64,
            )
        })
        .collect()
}

/// The boundary of everything that the loops wind around, with the outer ones all the same way round.
fn outline(loops: &[Loop]) -> Vec<Loop> {
    let mut overlay = Overlay::new(loops.iter().map(Vec::len).sum());
    overlay.add_source(loops, ShapeType::Subject);
    overlay.overlay(OverlayRule::Subject, FillRule::NonZero).into_iter().flatten().collect()
}

/// The boundary of what lies within any of some boundaries, two by two: what comes to lie inside is out of the way soon.
fn united(mut all: Vec<Vec<Loop>>) -> Vec<Loop> {
    while all.len() > 1 {
        all = all.chunks(2).map(|two| outline(&two.concat())).collect();
    }
    all.pop().unwrap_or_default()
}

fn in_grid_units(loops: &[Loop]) -> Vec<Vec<[f32; 2]>> {
    let place = |p: &IntPoint<i32>| [p.x as f32 / FINE as f32, p.y as f32 / FINE as f32];
    loops.iter().map(|ring| ring.iter().map(place).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).unwrap()
    }

    fn no_fit(a: &Polygon, b: &Polygon) -> NoFit {
        NoFit::of(a, b, &ConvexParts::of(a), &ConvexParts::of(b))
    }

    fn area(rings: &[Vec<[f32; 2]>]) -> f64 {
        let cross = |r: &Vec<[f32; 2]>| -> f64 {
            (0..r.len())
                .map(|i| {
                    let (a, b) = (r[i], r[(i + 1) % r.len()]);
                    f64::from(a[0]) * f64::from(b[1]) - f64::from(a[1]) * f64::from(b[0])
                })
                .sum()
        };
        (rings.iter().map(cross).sum::<f64>() / 2.0).abs()
    }

    #[test]
    fn two_rectangles_make_a_rectangle() {
        let n = no_fit(&Polygon::rectangle(1000, 500), &Polygon::rectangle(300, 200));
        assert_eq!(n.rings.len(), 1);
        // The Minkowski sum is 1300 x 700; shrunk by a unit on every side.
        assert!((area(&n.rings) - 1298.0 * 698.0).abs() < 1.0, "area {}", area(&n.rings));
        assert!(n.touching.contains(&Point::new(1000, 500)) && n.touching.contains(&Point::new(-300, -200)));
    }

    #[test]
    fn a_corridor_of_exactly_the_right_width_stays_open() {
        let u = polygon(&[
            (0, 0),
            (3000, 0),
            (3000, 2000),
            (2000, 2000),
            (2000, 500),
            (1000, 500),
            (1000, 2000),
            (0, 2000),
        ]);
        let n = no_fit(&u, &Polygon::rectangle(1000, 1500));
        assert!(n.touching.contains(&Point::new(1000, 500)), "the block in the gap");
        // The boundary follows the corridor down: some vertex of it lies near the exact position.
        assert!(n.rings.iter().flatten().any(|p| (p[0] - 1000.0).abs() < 3.0 && (p[1] - 500.0).abs() < 3.0));
    }

    #[test]
    fn a_tangled_chain_is_not_needed() {
        // Two stars of fifty spikes: the sum is the same whichever way it is found.
        let star = |seed: i64| {
            let corner = |k: i64| {
                let (sine, cosine) = (k as f64 / 100.0 * std::f64::consts::TAU).sin_cos();
                let radius = if k % 2 == 0 { 9000 + (k * k * seed) % 3000 } else { 2000 + (k * seed) % 900 };
                Point::new((radius as f64 * cosine) as i64, (radius as f64 * sine) as i64)
            };
            Polygon::new((0..100).map(corner).collect()).expect("it winds round once")
        };
        let (a, b) = (star(7), star(11));
        let reflected: Vec<Point> = b.points().iter().map(|&p| -p).collect();
        let chain = Chain::of(a.points(), &reflected);
        assert!(chain.edges.len() > TANGLED * 200, "{} edges", chain.edges.len());
        let direct = in_grid_units(&outline(&chain.loops(&inset_fine(a.points()), &reflected)));
        let united = no_fit(&a, &b).rings;
        assert_eq!(united.len(), direct.len());
        // Where edges cross is rounded to a quarter of a grid unit, here once more than there.
        let length: f64 = direct
            .iter()
            .flat_map(|ring| ring.windows(2))
            .map(|edge| f64::from(edge[1][0] - edge[0][0]).hypot(f64::from(edge[1][1] - edge[0][1])))
            .sum();
        assert!((area(&united) - area(&direct)).abs() < length / 4.0);
    }

    #[test]
    fn a_hole_of_the_sum_is_kept() {
        // A frame with a slit: a small block fits inside but cannot get out through the slit.
        let frame = polygon(&[
            (0, 0),
            (5000, 0),
            (5000, 5000),
            (0, 5000),
            (0, 2600),
            (1000, 2600),
            (1000, 4000),
            (4000, 4000),
            (4000, 1000),
            (1000, 1000),
            (1000, 2400),
            (0, 2400),
        ]);
        let n = no_fit(&frame, &Polygon::rectangle(1000, 1000));
        assert_eq!(n.rings.len(), 2, "an outer boundary and a hole");
    }
}
