//! [`LeftOver`]: what of the cloth in hand a marker leaves: the end of it, and the largest rectangles between the pieces.

use super::most_in_lay;
use crate::cloth::{Cloth, ClothForm, Flaw};
use crate::geometry::{Point, Polygon};
use crate::job::Job;
use crate::length::Length;
use crate::marker::Marker;
use crate::remnant::pockets;
use crate::spread::Ply;

/// A rectangle on the open cloth, right side up, in the frame of [`Flaw`](crate::cloth::Flaw).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rectangle {
    /// Its corner nearest the cut end and the lower selvage.
    pub corner: Point,
    /// Along the cloth.
    pub length: Length,
    /// Across it.
    pub width: Length,
}

/// What of the cloth in hand is left.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOver {
    /// What lies beyond the lay, over the whole width: its length, as it was bought.
    pub end: Length,
    /// The largest rectangles between the pieces, the largest first: 5 cm or more each way, free of pieces, flaws and
    /// selvages. Found on a raster of 5 mm, so each may be up to 1 cm larger each way.
    pub between: Vec<Rectangle>,
}

/// Side of a raster cell, the least side of what is worth keeping, and how many rectangles are told.
const CELL: i64 = 500;
const LEAST_CELLS: usize = 10;
const TOLD: usize = 3;

impl LeftOver {
    /// What a marker that goes into the cloth in hand leaves of it; none when it does not, or nothing is in hand.
    ///
    /// # Complexity
    /// O(c) for c raster cells of the lay, and O(n) more for every row that an outline of n vertices crosses.
    pub fn of(job: &Job, cloth: &Cloth, marker: &Marker) -> Option<LeftOver> {
        let used = crate::purchase::Purchase::new(cloth, &marker.spread).needed;
        let have = cloth.length_in_hand?;
        if used > have || marker.spread.cloth_length() > most_in_lay(cloth)? {
            return None;
        }
        let end = Length::from_grid(have.grid() - used.grid());
        Some(LeftOver { end, between: between(job, cloth, marker) })
    }
}

/// The largest free rectangles of the open cloth of a lay.
fn between(job: &Job, cloth: &Cloth, marker: &Marker) -> Vec<Rectangle> {
    let plies = if cloth.form == ClothForm::Tube { 2 } else { 1 };
    let low = Point::new(cloth.end_allowance.grid(), cloth.selvage.grid());
    let high = Point::new(
        low.x + marker.spread.cloth_length().grid(),
        plies * cloth.lay_width().grid() - cloth.selvage.grid(),
    );
    let mut raster = Raster::new(low, high);
    for outline in on_open_cloth(job, cloth, marker) {
        raster.block(&outline);
    }
    let beyond = cloth.within.iter().flat_map(pockets);
    for outline in cloth.flaws.iter().map(Flaw::outline).chain(beyond) {
        raster.block(&outline);
    }
    let mut found = Vec::new();
    while let Some(rectangle) = raster.largest().filter(|_| found.len() < TOLD) {
        raster.block_rectangle(&rectangle);
        found.push(rectangle);
    }
    found
}

/// Every outline that is cut, where it lies on the open cloth: of two plies both.
fn on_open_cloth(job: &Job, cloth: &Cloth, marker: &Marker) -> Vec<Polygon> {
    let sections = &marker.spread.sections;
    let plies: Vec<Vec<Ply>> =
        (0..sections.len()).map(|k| Ply::of_section(cloth, &marker.spread, k)).collect();
    let mut outlines = Vec::new();
    for p in &marker.placements {
        let shape = job.style.shape(p.piece, p.size);
        for ply in Ply::cut_through(&plies[p.section], &sections[p.section], p.band) {
            let back = ply.motion.inverse();
            outlines.push(back.apply_outline(&p.outline(shape)));
        }
    }
    outlines
}

/// Cells of the cloth, row by row across it: is anything in them?
struct Raster {
    low: Point,
    columns: usize,
    rows: Vec<Vec<bool>>,
}

impl Raster {
    /// Of whole cells only: what is left over at the far edges is not told.
    fn new(low: Point, high: Point) -> Raster {
        let count = |from: i64, to: i64| ((to - from) / CELL).max(0) as usize;
        let columns = count(low.x, high.x);
        Raster { low, columns, rows: vec![vec![false; columns]; count(low.y, high.y)] }
    }

    /// Blocks every cell that the polygon may meet.
    ///
    /// # Why it misses none
    /// Take a connected part of the polygon inside a row. Where an edge of it lies in the row, the edge's extent along x is
    /// blocked; the rest of the part has nothing but inside between the row's two sides, so it is inside at the row's
    /// middle too, and that is blocked as well.
    fn block(&mut self, outline: &Polygon) {
        let bounds = outline.bounds();
        for r in 0..self.rows.len() {
            let (y0, y1) = (self.low.y + r as i64 * CELL, self.low.y + (r as i64 + 1) * CELL);
            if bounds.high.y <= y0 || bounds.low.y >= y1 {
                continue;
            }
            let middle = y0 + CELL / 2;
            let mut crossings: Vec<i64> = Vec::new();
            let mut spans: Vec<(i64, i64)> = Vec::new();
            for (a, b) in outline.edges() {
                let (below, above) = if a.y <= b.y { (a, b) } else { (b, a) };
                if above.y > y0 && below.y < y1 {
                    let ends = [below.y.max(y0), above.y.min(y1)].map(|y| x_at(below, above, y));
                    let all: Vec<i64> = if below.y == above.y { vec![a.x, b.x] } else { ends.to_vec() };
                    let (x0, x1) = (all.iter().min().copied(), all.iter().max().copied());
                    spans.extend(x0.zip(x1));
                }
                if (a.y > middle) != (b.y > middle) {
                    crossings.push(x_at(below, above, middle));
                }
            }
            crossings.sort_unstable();
            spans.extend(crossings.chunks_exact(2).map(|c| (c[0], c[1])));
            for (x0, x1) in spans {
                // An edge is rounded to the grid: one unit more on both sides.
                self.block_span(r, x0 - 1, x1 + 1);
            }
        }
    }

    fn block_span(&mut self, row: usize, x0: i64, x1: i64) {
        let from = ((x0 - self.low.x).div_euclid(CELL)).clamp(0, self.columns as i64) as usize;
        let to = ((x1 - self.low.x).div_euclid(CELL) + 1).clamp(0, self.columns as i64) as usize;
        self.rows[row][from..to.max(from)].fill(true);
    }

    fn block_rectangle(&mut self, rectangle: &Rectangle) {
        let at = |p: i64, low: i64| ((p - low) / CELL) as usize;
        let (c, r) = (at(rectangle.corner.x, self.low.x), at(rectangle.corner.y, self.low.y));
        let (columns, rows) = (at(rectangle.length.grid(), 0), at(rectangle.width.grid(), 0));
        for row in &mut self.rows[r..r + rows] {
            row[c..c + columns].fill(true);
        }
    }

    /// The largest rectangle of free cells that is worth keeping: over each row a histogram of how far down every column
    /// is free, and for each column the widest stretch at least as deep, by a stack.
    fn largest(&self) -> Option<Rectangle> {
        let mut free = vec![0usize; self.columns + 1];
        let mut best: Option<(usize, [usize; 4])> = None;
        for (r, row) in self.rows.iter().enumerate() {
            for (depth, &blocked) in free.iter_mut().zip(row) {
                *depth = if blocked { 0 } else { *depth + 1 };
            }
            let mut stack: Vec<usize> = Vec::new();
            for c in 0..=self.columns {
                while let Some(&top) = stack.last().filter(|&&top| free[top] >= free[c]) {
                    stack.pop();
                    let (rows, from) = (free[top], stack.last().map_or(0, |&s| s + 1));
                    let area = rows * (c - from);
                    let worth = rows >= LEAST_CELLS && c - from >= LEAST_CELLS;
                    if worth && best.is_none_or(|(a, _)| area > a) {
                        best = Some((area, [from, r + 1 - rows, c - from, rows]));
                    }
                }
                stack.push(c);
            }
        }
        let (_, cells) = best?;
        let [c, r, columns, rows] = cells.map(|n| n as i64 * CELL);
        Some(Rectangle {
            corner: self.low + Point::new(c, r),
            length: Length::from_grid(columns),
            width: Length::from_grid(rows),
        })
    }
}

/// Where an edge that is not level is at a height, to the grid.
fn x_at(below: Point, above: Point, y: i64) -> i64 {
    let rise = i128::from((above.y - below.y).max(1));
    let run = i128::from(above.x - below.x) * i128::from(y - below.y);
    below.x + i64::try_from(run.div_euclid(rise)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented::{self, mm};

    #[test]
    fn what_is_left_is_free_of_every_piece_and_flaw() {
        let mut told = 0;
        for (name, mut job, marker) in invented::good_markers() {
            job.cloths[0].length_in_hand = Some(mm(6000));
            let cloth = &job.cloths[0];
            let left = LeftOver::of(&job, cloth, &marker).expect("it is enough");
            let purchase = crate::purchase::Purchase::new(cloth, &marker.spread);
            assert_eq!(left.end.grid(), mm(6000).grid() - purchase.needed.grid(), "{name}");
            for (k, r) in left.between.iter().enumerate() {
                told += 1;
                let rectangle =
                    |r: &Rectangle| Polygon::rectangle(r.length.grid(), r.width.grid()).shifted(r.corner);
                let own = rectangle(r);
                // geo is the outside judge: areas of intersections.
                let meets = |other: &Polygon| {
                    use geo::{Area, BooleanOps};
                    own.to_geo().intersection(&other.to_geo()).unsigned_area() > 1e-6
                };
                for outline in on_open_cloth(&job, cloth, &marker) {
                    assert!(!meets(&outline), "{name}: {r:?}");
                }
                assert!(left.between[..k].iter().all(|before| !meets(&rectangle(before))), "{name}");
            }
        }
        assert!(told > 10, "{told}");
    }

    #[test]
    fn the_largest_rectangle_is_the_largest() {
        // Against every rectangle of a small raster, blocked here and there.
        let mut state = 7u64;
        let mut random = |n: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % n
        };
        for _ in 0..40 {
            let mut raster = Raster::new(Point::new(0, 0), Point::new(24 * CELL, 22 * CELL));
            for _ in 0..random(9) {
                let (r, c) = (random(22) as usize, random(24) as usize);
                raster.rows[r][c] = true;
            }
            let free = |r0: usize, r1: usize, c0: usize, c1: usize| {
                raster.rows[r0..r1].iter().all(|row| row[c0..c1].iter().all(|&b| !b))
            };
            let mut most = 0;
            for r0 in 0..22 {
                for r1 in r0 + LEAST_CELLS..=22 {
                    for c0 in 0..24 {
                        for c1 in c0 + LEAST_CELLS..=24 {
                            if (r1 - r0) * (c1 - c0) > most && free(r0, r1, c0, c1) {
                                most = (r1 - r0) * (c1 - c0);
                            }
                        }
                    }
                }
            }
            let found = raster.largest().map_or(0, |r| r.length.grid() * r.width.grid() / CELL / CELL);
            assert_eq!(found as usize, most);
        }
    }

    #[test]
    fn slanting_and_hollow_shapes_block_all_they_cover() {
        let ring = [(0, 0), (9000, 300), (9300, 7000), (5000, 1200), (4100, 8000), (300, 4000)];
        let shape = Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple");
        let mut raster = Raster::new(Point::new(0, 0), Point::new(10_000, 10_000));
        raster.block(&shape);
        for r in 0..20i64 {
            for c in 0..20i64 {
                use geo::{Area, BooleanOps};
                let cell = Polygon::rectangle(CELL, CELL).shifted(Point::new(c * CELL, r * CELL));
                let covered = cell.to_geo().intersection(&shape.to_geo()).unsigned_area() > 1e-6;
                assert!(!covered || raster.rows[r as usize][c as usize], "row {r}, column {c}");
            }
        }
        assert!(raster.rows[19].iter().all(|&b| !b), "nothing lies up there");
    }
}
