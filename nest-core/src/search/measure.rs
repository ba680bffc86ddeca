//! [`Measure`]: how deep a position lies inside a no-fit polygon, in a few vector instructions per eight edges.
//!
//! Where a position lies roughly tells which edges can be the nearest to it at all: only those are looked at.

use wide::{f32x8, i32x8};

use crate::geometry::NoFit;

/// Cells of the raster along each side.
const CELLS: usize = 32;

/// Squares of two by two cells along each side.
const SQUARES: usize = CELLS / 2;

/// With so many chunks of edges or fewer all are looked at: choosing among them takes as long as looking.
const FEW: usize = 6;

/// Closer to the boundary than this, in grid units, only the exact test can tell inside from outside: the boundary is
/// shrunk by a unit (two at sharp corners) and rounded to a quarter.
const BAND: f32 = 3.25;

/// So deep inside the shrunk boundary, in grid units, there is overlap for certain, however it was rounded.
const SURE: f32 = 0.75;

/// The depth given to an overlap that is too shallow to measure.
const LEAST_DEPTH: f32 = 0.5;

/// Eight edges, a field at a time, so that one load fills a register.
#[derive(Clone, Debug)]
struct Edges8 {
    ax: f32x8,
    ay: f32x8,
    by: f32x8,
    dx: f32x8,
    dy: f32x8,
    /// One over the squared length; 0 where there is none.
    inverse: f32x8,
    /// dx / dy, to find where a level line crosses; 0 where none does.
    slope: f32x8,
}

/// Of a box with these sides.
fn diagonal([x, y]: [f32; 2]) -> f32 {
    (x * x + y * y).sqrt()
}

/// An answer for one position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Depth {
    /// Certainly free.
    Free,
    /// Certainly overlapping: distance to the nearest free position, in grid units.
    Inside(f32),
    /// So near to the boundary that only the exact test can tell; the depth if it says "overlapping".
    Near(f32),
}

/// What the raster knows of a position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Glance {
    /// Certainly free.
    Free,
    /// At least so deep (0 where it may be free).
    AtLeast(f32),
}

/// A no-fit polygon made ready for measuring.
#[derive(Debug)]
pub(crate) struct Measure {
    edges: Vec<Edges8>,
    low: [f32; 2],
    high: [f32; 2],
    per_cell: [f32; 2],
    raster: [u8; CELLS * CELLS],
    /// Depth to one step of the raster.
    step: f32,
    /// Edges are told apart by runs of so many times eight.
    run: usize,
    /// For each square the runs that an answer there depends on, a bit each.
    telling: [u32; SQUARES * SQUARES],
}

/// The raster's value for a cell without a position inside.
const FREE_CELL: u8 = u8::MAX;

impl Measure {
    pub(crate) fn of(no_fit: &NoFit) -> Measure {
        let mut list: Vec<[f32; 4]> = Vec::new();
        for ring in &no_fit.rings {
            for (i, a) in ring.iter().enumerate() {
                let b = ring[(i + 1) % ring.len()];
                if *a != b {
                    list.push([a[0], a[1], b[0], b[1]]);
                }
            }
        }
        let Reach { low, high } = Reach::of(&list);
        let mut edges: Vec<Edges8> = list.chunks(8).map(Edges8::of).collect();
        let run = edges.len().div_ceil(u32::BITS as usize);
        if let Some(&[x, y, ..]) = list.last() {
            edges.resize_with(edges.len().next_multiple_of(run), || Edges8::of(&[[x, y, x, y]]));
        }
        let mut measure = Measure {
            edges,
            low,
            high,
            per_cell: [0.0; 2],
            raster: [FREE_CELL; CELLS * CELLS],
            step: 1.0,
            run,
            telling: [0; SQUARES * SQUARES],
        };
        if !list.is_empty() {
            measure.fill_raster();
            let runs: Vec<Reach> = list.chunks(8 * run).map(Reach::of).collect();
            measure.find_telling(&runs);
        }
        measure
    }

    fn fill_raster(&mut self) {
        // The shrunk boundary leaves out a little of what overlaps; a rim of the band's width makes up for it.
        for k in 0..2 {
            self.low[k] -= BAND;
            self.high[k] += BAND;
            self.per_cell[k] = CELLS as f32 / (self.high[k] - self.low[k]);
        }
        let cell = [1.0 / self.per_cell[0], 1.0 / self.per_cell[1]];
        let half_diagonal = 0.5 * diagonal(cell) + BAND;
        let mut depths = vec![0.0f32; CELLS * CELLS];
        for (at, depth) in depths.iter_mut().enumerate() {
            let x = self.low[0] + ((at % CELLS) as f32 + 0.5) * cell[0];
            let y = self.low[1] + ((at / CELLS) as f32 + 0.5) * cell[1];
            let (distance, inside) = self.distance(x, y);
            *depth = match inside {
                true => distance - half_diagonal,
                false if distance > half_diagonal => f32::MIN,
                false => 0.0,
            };
        }
        let deepest = depths.iter().copied().fold(0.0, f32::max);
        self.step = (deepest / 254.0).max(1.0);
        for (cell, depth) in self.raster.iter_mut().zip(depths) {
            *cell = if depth == f32::MIN { FREE_CELL } else { (depth.max(0.0) / self.step).floor() as u8 };
        }
    }

    /// Finds for each square the runs that can be nearest to a position in it and, where some cell of it may be crossed by
    /// the boundary, those that a line from there to the right can cross.
    fn find_telling(&mut self, runs: &[Reach]) {
        let size = self.per_cell.map(|per_cell| 2.0 / per_cell);
        // A position on the line between two squares may be taken to lie in either.
        let half = size.map(|size| 0.5 * size + BAND);
        let across = 2.0 * diagonal(half);
        for square in 0..SQUARES * SQUARES {
            let (column, row) = (square % SQUARES, square / SQUARES);
            let x = self.low[0] + (column as f32 + 0.5) * size[0];
            let y = self.low[1] + (row as f32 + 0.5) * size[1];
            let all = self.edges.chunks(self.run);
            let distances: Vec<f32> = all.map(|run| Nearest::of(run, x, y).0).collect();
            let nearest = distances.iter().copied().fold(f32::MAX, f32::min);
            let first = 2 * (row * CELLS + column);
            let crossed = [0, 1, CELLS, CELLS + 1].iter().any(|by| self.raster[first + by] == 0);
            for (bit, (distance, run)) in distances.iter().zip(runs).enumerate() {
                let beside = run.low[1] <= y + half[1] && run.high[1] >= y - half[1];
                let tells =
                    *distance <= nearest + across || (crossed && beside && run.high[0] >= x - half[0]);
                self.telling[square] |= u32::from(tells) << bit;
            }
        }
    }

    /// Distance to the boundary, and whether the position is inside it.
    #[inline]
    fn distance(&self, x: f32, y: f32) -> (f32, bool) {
        Nearest::of(&self.edges, x, y)
    }

    /// The same for a position in a cell, by the edges that tell.
    #[inline]
    fn distance_in(&self, cell: usize, x: f32, y: f32) -> (f32, bool) {
        if self.edges.len() <= FEW {
            return self.distance(x, y);
        }
        let mut nearest = Nearest::to(x, y);
        let mut left = self.telling[square_of(cell)];
        while left != 0 {
            let first = left.trailing_zeros() as usize * self.run;
            left &= left - 1;
            self.edges[first..first + self.run].iter().for_each(|chunk| nearest.look_at(chunk));
        }
        let (distance, odd) = nearest.answer();
        let inside = match self.raster[cell] {
            FREE_CELL => false,
            // The boundary may pass through the cell.
            0 => odd,
            _ => true,
        };
        (distance, inside)
    }

    /// How deep is the position (`x`, `y`)?
    pub(crate) fn depth(&self, x: f32, y: f32) -> Depth {
        self.cell(x, y).map_or(Depth::Free, |cell| self.depth_in(cell, x, y))
    }

    /// How deep is a position in a cell, as found by [`Frames8::look`]?
    #[inline]
    pub(crate) fn depth_in(&self, cell: usize, x: f32, y: f32) -> Depth {
        let (distance, inside) = self.distance_in(cell, x, y);
        match inside {
            true if distance >= SURE => Depth::Inside(distance),
            false if distance >= BAND => Depth::Free,
            true => Depth::Near(distance.max(LEAST_DEPTH)),
            false => Depth::Near(LEAST_DEPTH),
        }
    }

    /// A quick look at the raster.
    #[inline]
    pub(crate) fn glance(&self, x: f32, y: f32) -> Glance {
        self.cell(x, y).map_or(Glance::Free, |cell| self.promise(cell))
    }

    /// The cell of a position; none outside the raster, where every position is free.
    #[inline]
    fn cell(&self, x: f32, y: f32) -> Option<usize> {
        if !(x > self.low[0] && x < self.high[0] && y > self.low[1] && y < self.high[1]) {
            return None;
        }
        let column = ((x - self.low[0]) * self.per_cell[0]) as usize;
        let row = ((y - self.low[1]) * self.per_cell[1]) as usize;
        Some(row.min(CELLS - 1) * CELLS + column.min(CELLS - 1))
    }

    /// What the raster knows of a cell, as found by [`Frames8::look`].
    #[inline]
    pub(crate) fn promise(&self, cell: usize) -> Glance {
        match self.raster[cell] {
            FREE_CELL => Glance::Free,
            depth => Glance::AtLeast(f32::from(depth) * self.step),
        }
    }
}

/// The square that a cell is a quarter of.
#[inline]
fn square_of(cell: usize) -> usize {
    cell / CELLS / 2 * SQUARES + cell % CELLS / 2
}

/// How far some edges reach: their low and high sides along x and y.
#[derive(Clone, Copy, Debug)]
struct Reach {
    low: [f32; 2],
    high: [f32; 2],
}

impl Reach {
    /// Of edges (ax, ay, bx, by).
    fn of(list: &[[f32; 4]]) -> Reach {
        let mut reach = Reach { low: [f32::MAX; 2], high: [f32::MIN; 2] };
        for [ax, ay, bx, by] in list {
            for (k, (a, b)) in [(ax, bx), (ay, by)].into_iter().enumerate() {
                reach.low[k] = reach.low[k].min(*a).min(*b);
                reach.high[k] = reach.high[k].max(*a).max(*b);
            }
        }
        reach
    }
}

/// The nearest to a position of the edges looked at so far, and which lanes a line to the right crosses.
struct Nearest {
    x: f32x8,
    y: f32x8,
    least: f32x8,
    odd: f32x8,
}

impl Nearest {
    /// The answer by all of some edges.
    #[inline]
    fn of(edges: &[Edges8], x: f32, y: f32) -> (f32, bool) {
        let mut nearest = Nearest::to(x, y);
        edges.iter().for_each(|chunk| nearest.look_at(chunk));
        nearest.answer()
    }

    #[inline]
    fn to(x: f32, y: f32) -> Nearest {
        Nearest { x: f32x8::splat(x), y: f32x8::splat(y), least: f32x8::splat(f32::MAX), odd: f32x8::ZERO }
    }

    #[inline]
    fn look_at(&mut self, c: &Edges8) {
        let (ex, ey) = (self.x - c.ax, self.y - c.ay);
        let t = ((ex * c.dx + ey * c.dy) * c.inverse).fast_max(f32x8::ZERO).fast_min(f32x8::ONE);
        let (rx, ry) = (ex - t * c.dx, ey - t * c.dy);
        self.least = self.least.fast_min(rx * rx + ry * ry);
        self.odd ^= (c.ay.simd_gt(self.y) ^ c.by.simd_gt(self.y)) & ex.simd_lt(ey * c.slope);
    }

    /// The distance, and whether an odd number of edges was crossed.
    #[inline]
    fn answer(self) -> (f32, bool) {
        // In halves: a chain of eight, each waiting for the one before, takes as long as two chunks of edges.
        let [a, b, c, d, e, f, g, h] = self.least.to_array();
        let less = |a: f32, b: f32| if b < a { b } else { a };
        let d2 = less(less(less(a, e), less(c, g)), less(less(b, f), less(d, h)));
        (d2.sqrt(), self.odd.to_bitmask().count_ones() % 2 == 1)
    }
}

/// Where the rasters of eight measures lie, to find the cells of eight positions in a few instructions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frames8 {
    low: [f32x8; 2],
    high: [f32x8; 2],
    per_cell: [f32x8; 2],
}

impl Frames8 {
    /// Boxes that hold nothing.
    pub(crate) const EMPTY: Frames8 = Frames8 {
        low: [f32x8::new([f32::MAX; 8]); 2],
        high: [f32x8::new([f32::MIN; 8]); 2],
        per_cell: [f32x8::ZERO; 2],
    };

    /// Puts a measure at `lane`.
    pub(crate) fn set(&mut self, lane: usize, measure: &Measure) {
        for k in 0..2 {
            self.low[k].as_mut_array()[lane] = measure.low[k];
            self.high[k].as_mut_array()[lane] = measure.high[k];
            self.per_cell[k].as_mut_array()[lane] = measure.per_cell[k];
        }
    }

    /// A bit for each position inside the bounds of its measure, and the cell where it lies; of others the cell means nothing.
    #[inline]
    pub(crate) fn look(&self, x: f32x8, y: f32x8) -> (u32, [i32; 8]) {
        let inside = x.simd_gt(self.low[0])
            & x.simd_lt(self.high[0])
            & y.simd_gt(self.low[1])
            & y.simd_lt(self.high[1]);
        let last = i32x8::splat(CELLS as i32 - 1);
        let column = ((x - self.low[0]) * self.per_cell[0]).fast_trunc_int().min(last);
        let row = ((y - self.low[1]) * self.per_cell[1]).fast_trunc_int().min(last);
        (inside.to_bitmask(), (row * i32x8::splat(CELLS as i32) + column).to_array())
    }
}

impl Edges8 {
    /// Up to eight edges (ax, ay, bx, by); the rest is filled up with the last, which crosses nothing there.
    fn of(list: &[[f32; 4]]) -> Edges8 {
        let edge = |k: usize| {
            let [ax, ay, bx, by] = list[k.min(list.len() - 1)];
            // A filler is the point where the last edge begins: no length, so nothing crosses it.
            if k < list.len() { [ax, ay, bx, by] } else { [ax, ay, ax, ay] }
        };
        let [ax, ay, bx, by] =
            std::array::from_fn(|field| f32x8::new(std::array::from_fn(|lane| edge(lane)[field])));
        let (dx, dy) = (bx - ax, by - ay);
        let ratio = |a: f32x8, b: f32x8| b.simd_eq(f32x8::ZERO).select(f32x8::ZERO, a / b);
        Edges8 { ax, ay, by, dx, dy, inverse: ratio(f32x8::ONE, dx * dx + dy * dy), slope: ratio(dx, dy) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{ConvexParts, Polygon};
    use crate::invented::wavy;

    #[test]
    fn depth_in_a_rectangle_is_the_distance_to_its_nearest_side() {
        let (a, b) = (Polygon::rectangle(10_000, 5_000), Polygon::rectangle(3_000, 2_000));
        let m = Measure::of(&NoFit::of(&a, &b, &ConvexParts::of(&a), &ConvexParts::of(&b)));
        // Free positions begin at x <= -3000, x >= 10000, y <= -2000, y >= 5000; the boundary is a unit inside.
        assert_eq!(m.depth(9_000.0, 1_000.0), Depth::Inside(999.0));
        assert_eq!(m.depth(10_050.0, 1_000.0), Depth::Free);
        assert!(matches!(m.depth(10_000.0, 1_000.0), Depth::Near(_)));
        assert_eq!(m.glance(-4_000.0, 0.0), Glance::Free);
        for i in 0..200 {
            let (x, y) = (-3_000.0 + 65.0 * i as f32, -1_900.0 + 34.0 * i as f32);
            let (Glance::AtLeast(low), Depth::Inside(d)) = (m.glance(x, y), m.depth(x, y)) else { continue };
            assert!(low <= d, "the raster promises {low}, the depth is {d}");
        }
    }

    #[test]
    fn shapes_of_a_few_units_may_touch() {
        let a = Polygon::rectangle(10, 10);
        let m = Measure::of(&NoFit::of(&a, &a, &ConvexParts::of(&a), &ConvexParts::of(&a)));
        let corners = (-10..=10).flat_map(|k| [(k, -10), (k, 10), (-10, k), (10, k)]);
        for (x, y) in corners.map(|(x, y)| (x as f32, y as f32)) {
            assert!(!matches!(m.glance(x, y), Glance::AtLeast(d) if d > 0.0), "({x}, {y}) is a touch");
            assert!(!matches!(m.depth(x, y), Depth::Inside(_)), "({x}, {y}) is a touch");
        }
        assert!(matches!(m.depth(0.0, 0.0), Depth::Inside(d) if d > 8.0));
    }

    #[test]
    fn edges_that_tell_tell_what_all_do() {
        // Waves about a circle: gaps that open and close all round, and more chunks than bits in the second case.
        for (corners, waves) in [(60, 5.0), (240, 9.0)] {
            let (a, b) = (wavy(corners, waves), wavy(corners / 2 + 1, 3.0));
            let no_fit = NoFit::of(&a, &b, &ConvexParts::of(&a), &ConvexParts::of(&b));
            let m = Measure::of(&no_fit);
            assert!(m.edges.len() > FEW && (m.run > 1) == (corners == 240), "{} chunks", m.edges.len());
            let looked_at: u32 = m.telling.iter().map(|bits| bits.count_ones()).sum();
            let all = m.telling.len() * m.edges.len() / m.run;
            assert!(looked_at as usize * 2 < all, "{looked_at} of {all}");
            let mut answers = [0; 3];
            let anywhere = (0..9_000).map(|k| {
                let at = |axis: usize, k: i32| {
                    m.low[axis] + (k % 9973) as f32 / 9973.0 * (m.high[axis] - m.low[axis])
                };
                (at(0, k * 7919), at(1, k * 104_729))
            });
            let corners = no_fit.rings.iter().flatten();
            let near =
                corners.flat_map(|[x, y]| (-4..=4).map(move |k| (x + k as f32, y + (k * 7 % 5) as f32)));
            for (x, y) in anywhere.chain(near) {
                let (distance, inside) = m.distance(x, y);
                let answer = m.depth(x, y);
                let (kind, right) = match answer {
                    Depth::Free => (0, !inside && distance >= BAND),
                    Depth::Inside(depth) => (1, inside && depth == distance && depth >= SURE),
                    Depth::Near(_) => (2, distance < if inside { SURE } else { BAND }),
                };
                assert!(right, "{answer:?} at ({x}, {y}), {distance} from the boundary");
                answers[kind] += 1;
            }
            assert!(answers.iter().all(|&count| count > 10), "{answers:?}");
        }
    }
}
