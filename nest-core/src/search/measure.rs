//! [`Measure`]: how deep a position lies inside a no-fit polygon, in a few vector instructions per eight edges.

use wide::{f32x8, i32x8};

use crate::geometry::NoFit;

/// Cells of the raster along each side.
const CELLS: usize = 32;

/// Closer to the boundary than this, in grid units, only the exact test can tell inside from outside: the boundary is
/// shrunk by a unit (two at sharp corners) and rounded to a quarter.
const BAND: f32 = 3.25;

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
        let mut low = [f32::MAX; 2];
        let mut high = [f32::MIN; 2];
        for e in &list {
            for k in 0..2 {
                low[k] = low[k].min(e[k]).min(e[k + 2]);
                high[k] = high[k].max(e[k]).max(e[k + 2]);
            }
        }
        let edges = list.chunks(8).map(Edges8::of).collect();
        let mut measure =
            Measure { edges, low, high, per_cell: [0.0; 2], raster: [FREE_CELL; CELLS * CELLS], step: 1.0 };
        if !list.is_empty() {
            measure.fill_raster();
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
        let half_diagonal = 0.5 * cell[0].hypot(cell[1]) + BAND;
        let mut depths = vec![0.0f32; CELLS * CELLS];
        for (at, depth) in depths.iter_mut().enumerate() {
            let x = self.low[0] + ((at % CELLS) as f32 + 0.5) * cell[0];
            let y = self.low[1] + ((at / CELLS) as f32 + 0.5) * cell[1];
            let (distance, inside) = self.distance(x, y);
            *depth = if inside { distance - half_diagonal } else { -distance - half_diagonal + 2.0 * BAND };
            if !inside && distance > half_diagonal {
                *depth = f32::MIN;
            }
        }
        let deepest = depths.iter().copied().fold(0.0, f32::max);
        self.step = (deepest / 254.0).max(1.0);
        for (cell, depth) in self.raster.iter_mut().zip(depths) {
            *cell = if depth == f32::MIN { FREE_CELL } else { (depth.max(0.0) / self.step).floor() as u8 };
        }
    }

    /// Distance to the boundary, and whether the position is inside it.
    #[inline]
    fn distance(&self, x: f32, y: f32) -> (f32, bool) {
        let (x, y) = (f32x8::splat(x), f32x8::splat(y));
        let (mut least, mut odd) = (f32x8::splat(f32::MAX), f32x8::ZERO);
        for c in &self.edges {
            let (ex, ey) = (x - c.ax, y - c.ay);
            let t = ((ex * c.dx + ey * c.dy) * c.inverse).fast_max(f32x8::ZERO).fast_min(f32x8::ONE);
            let (rx, ry) = (ex - t * c.dx, ey - t * c.dy);
            least = least.fast_min(rx * rx + ry * ry);
            odd ^= (c.ay.simd_gt(y) ^ c.by.simd_gt(y)) & ex.simd_lt(ey * c.slope);
        }
        // In halves: a chain of eight, each waiting for the one before, takes as long as two chunks of edges.
        let [a, b, c, d, e, f, g, h] = least.to_array();
        let less = |a: f32, b: f32| if b < a { b } else { a };
        let d2 = less(less(less(a, e), less(c, g)), less(less(b, f), less(d, h)));
        (d2.sqrt(), odd.to_bitmask().count_ones() % 2 == 1)
    }

    /// How deep is the position (`x`, `y`)?
    pub(crate) fn depth(&self, x: f32, y: f32) -> Depth {
        let (distance, inside) = self.distance(x, y);
        if distance < BAND {
            Depth::Near(if inside { distance.max(LEAST_DEPTH) } else { LEAST_DEPTH })
        } else if inside {
            Depth::Inside(distance)
        } else {
            Depth::Free
        }
    }

    /// A quick look at the raster.
    #[inline]
    pub(crate) fn glance(&self, x: f32, y: f32) -> Glance {
        if !(x > self.low[0] && x < self.high[0] && y > self.low[1] && y < self.high[1]) {
            return Glance::Free;
        }
        let column = ((x - self.low[0]) * self.per_cell[0]) as usize;
        let row = ((y - self.low[1]) * self.per_cell[1]) as usize;
        self.promise(row.min(CELLS - 1) * CELLS + column.min(CELLS - 1))
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
}
