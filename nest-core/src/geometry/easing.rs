//! [`eased`]: an outline of fewer corners about a polygon, hardly further out than that.
//!
//! Two changes take a corner away and add to the region, never take from it: a dent of one corner is bridged, and an edge
//! between two bulging corners gives way to the corner in which its neighbours meet. The least change goes first, as where
//! curves are simplified by the corners of least effect (M. Visvalingam & J. D. Whyatt, "Line generalisation by repeated
//! elimination of points", The Cartographic Journal 30, 1993).

use super::{Bounds, Orientation, Point, Polygon, SegmentRelation, orientation, relate_segments};

/// A polygon with no more corners that covers `polygon`, fills the same box, and has no corner further than `most` from it.
///
/// # Complexity
/// O(n²) for n corners.
pub(crate) fn eased(polygon: &Polygon, most: f64) -> Polygon {
    let mut ring = Ring::of(polygon, most);
    while let Some(k) = ring.least() {
        ring.make(k);
    }
    let corners = ring.corners.iter().map(|corner| corner.at).collect();
    Polygon::new(corners).expect("no change lets the ring meet itself")
}

/// A ring on its way from the polygon to what covers it.
struct Ring<'a> {
    polygon: &'a [Point],
    bounds: Bounds,
    most: f64,
    corners: Vec<Corner>,
    /// For each corner what can be done there.
    changes: Vec<Option<Change>>,
}

/// A corner, and the first and the last of the polygon's that it stands for.
#[derive(Clone, Copy)]
struct Corner {
    at: Point,
    first: usize,
    last: usize,
}

/// What can be done at a corner.
#[derive(Clone, Copy)]
struct Change {
    becomes: Becomes,
    /// How far from the polygon it leads.
    out: f64,
}

#[derive(Clone, Copy)]
enum Becomes {
    /// The corner goes.
    Nothing,
    /// The corner and the next give way to one here.
    OneWithNext(Point),
}

impl<'a> Ring<'a> {
    fn of(polygon: &'a Polygon, most: f64) -> Ring<'a> {
        let points = polygon.points();
        let corners = points.iter().enumerate().map(|(k, &at)| Corner { at, first: k, last: k }).collect();
        let changes = vec![None; points.len()];
        let mut ring = Ring { polygon: points, bounds: polygon.bounds(), most, corners, changes };
        for k in 0..points.len() {
            ring.changes[k] = ring.change(k);
        }
        ring
    }

    /// The corner so many after another, or before it.
    fn beside(&self, k: usize, by: isize) -> usize {
        (k as isize + by).rem_euclid(self.corners.len() as isize) as usize
    }

    fn at(&self, k: usize, by: isize) -> Point {
        self.corners[self.beside(k, by)].at
    }

    /// Where there is least to be done.
    fn least(&self) -> Option<usize> {
        let all = self.changes.iter().enumerate();
        let known = all.filter_map(|(k, change)| change.map(|change| (k, change.out)));
        known.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(k, _)| k)
    }

    /// Does what can be done at a corner, or finds that something is in the way.
    fn make(&mut self, k: usize) {
        let Some(change) = self.changes[k].take().filter(|change| self.is_clear(k, change.becomes)) else {
            return;
        };
        let gone = match change.becomes {
            Becomes::Nothing => k,
            Becomes::OneWithNext(at) => {
                let next = self.beside(k, 1);
                self.corners[k] = Corner { at, last: self.corners[next].last, ..self.corners[k] };
                next
            }
        };
        self.corners.remove(gone);
        self.changes.remove(gone);
        // What can be done depends on the corner before and the two after; of two that became one the first may have moved back.
        for by in -3..=2 {
            let near = self.beside(k, by);
            self.changes[near] = self.change(near);
        }
    }

    /// What can be done at a corner within the box and the distance.
    fn change(&self, k: usize) -> Option<Change> {
        // Of a triangle nothing can go.
        if self.corners.len() < 4 {
            return None;
        }
        let (before, here, next) = (self.at(k, -1), self.at(k, 0), self.at(k, 1));
        let change = if orientation(before, here, next) == Orientation::Left {
            let meeting = meeting([before, here], [next, self.at(k, 2)], &self.bounds)?;
            let chain = self.chain(k, 2);
            let edges = chain.windows(2).map(|edge| distance(meeting, edge[0], edge[1]));
            Change { becomes: Becomes::OneWithNext(meeting), out: edges.fold(f64::INFINITY, f64::min) }
        } else {
            let depths = self.chain(k, 1).into_iter().map(|p| distance(p, before, next));
            Change { becomes: Becomes::Nothing, out: depths.fold(0.0, f64::max) }
        };
        (change.out <= self.most).then_some(change)
    }

    /// The polygon's corners from what the corner before one stands for to what the one so many after it does.
    fn chain(&self, k: usize, after: isize) -> Vec<Point> {
        let (from, to) = (self.corners[self.beside(k, -1)].last, self.corners[self.beside(k, after)].first);
        let count = self.polygon.len();
        (0..=(to + count - from) % count).map(|i| self.polygon[(from + i) % count]).collect()
    }

    /// Do the edges that a change makes meet the others nowhere but in the corners at either end?
    fn is_clear(&self, k: usize, becomes: Becomes) -> bool {
        let before = self.at(k, -1);
        let (edges, after) = match becomes {
            Becomes::Nothing => (vec![[before, self.at(k, 1)]], 1),
            Becomes::OneWithNext(at) => (vec![[before, at], [at, self.at(k, 2)]], 2),
        };
        // From the corner after round to the one before.
        let mut others =
            (after..self.corners.len() as isize - 1).map(|by| (self.at(k, by), self.at(k, by + 1)));
        others.all(|(c, d)| {
            edges.iter().all(|&[a, b]| match relate_segments(a, b, c, d) {
                SegmentRelation::Apart => true,
                SegmentRelation::Touch => a == d || b == c,
                SegmentRelation::Cross | SegmentRelation::Overlap => false,
            })
        })
    }
}

/// Where an edge, led on, meets a later one, led back: the nearest point of the grid that leaves both ends between them on the
/// inner side; none where they do not meet so within the box.
fn meeting([a, b]: [Point; 2], [c, d]: [Point; 2], Bounds { low, high }: &Bounds) -> Option<Point> {
    let (along, back) = (b - a, d - c);
    let (turn, bulge) = (along.cross(back), (c - b).cross(back));
    if turn <= 0 || bulge <= 0 {
        return None;
    }
    let part = bulge as f64 / turn as f64;
    let (x, y) = (b.x as f64 + along.x as f64 * part, b.y as f64 + along.y as f64 * part);
    let within = |v: f64, low: i64, high: i64| (low as f64..=high as f64).contains(&v);
    if !within(x, low.x, high.x) || !within(y, low.y, high.y) {
        return None;
    }
    let inner = |from: Point, to: Point, p: Point| orientation(from, to, p) != Orientation::Right;
    let covers = |p: &Point| inner(a, *p, b) && inner(a, *p, c) && inner(*p, d, b) && inner(*p, d, c);
    let squared = |d: f64| d * d;
    let far = |p: &Point| squared(p.x as f64 - x) + squared(p.y as f64 - y);
    let around = |v: f64| (-1..=2).map(move |by| v.floor() as i64 + by);
    let near = around(x).flat_map(|x| around(y).map(move |y| Point::new(x, y)));
    let inside = |p: &Point| p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y;
    near.filter(inside).filter(covers).min_by(|p, q| far(p).total_cmp(&far(q)))
}

/// How far a point is from a segment.
fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (along, to) = (b - a, p - a);
    let part = (to.dot(along) as f64 / along.dot(along) as f64).clamp(0.0, 1.0);
    let (x, y) = (to.x as f64 - part * along.x as f64, to.y as f64 - part * along.y as f64);
    (x * x + y * y).sqrt()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use proptest::prelude::*;

    use super::*;
    use crate::geometry::{PointLocation, clipper, locate};

    fn ring(count: usize, radius: impl Fn(f64) -> f64) -> Vec<Point> {
        let corner = |k: usize| {
            let (sine, cosine) = (k as f64 / count as f64 * TAU).sin_cos();
            let out = radius(k as f64 / count as f64 * TAU);
            Point::new((out * cosine).round() as i64, (out * sine).round() as i64)
        };
        (0..count).map(corner).collect()
    }

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("a polygon")
    }

    /// Twice the area that either covers.
    fn together(a: &Polygon, b: &Polygon) -> i128 {
        let areas = clipper::union(&[a.clone(), b.clone()]);
        let rings = areas.iter().flat_map(|area| std::iter::once(&area.outer).chain(&area.holes));
        rings.map(|ring| clipper::twice_area(ring)).sum()
    }

    #[test]
    fn a_disc_becomes_a_polygon_about_it() {
        // Tangents of a circle whose corners are a hundredth of the radius out stand acos(1/1.01) on either side of them: 22.3 go
        // round. Of the sixty-four sides some sixteen can be left, as each new corner takes the place of two.
        let disc = Polygon::new(ring(64, |_| 10_000.0)).expect("a polygon");
        let about = eased(&disc, 100.0);
        assert!((16..=32).contains(&about.points().len()), "{} corners", about.points().len());
        assert_eq!(together(&disc, &about), i128::from(about.doubled_area()));
        assert_eq!(about.bounds(), disc.bounds());
    }

    #[test]
    fn dents_are_bridged_and_bulges_led_on_only_where_that_is_little() {
        let square = |notch: &[(i64, i64)], most| {
            let corners = [&[(0, 0), (1000, 0), (1000, 1000)], notch, &[(0, 1000)]].concat();
            eased(&polygon(&corners), most)
        };
        let notch = [(520, 1000), (500, 970), (480, 1000)];
        assert_eq!(square(&notch, 30.0), square(&[], 0.0));
        assert_eq!(square(&notch, 29.0).points().len(), 7);
        let tongue = [(520, 1000), (520, 1030), (480, 1030), (480, 1000)];
        assert_eq!(square(&tongue, 29.0).points().len(), 8);
        // A corner cut off comes back.
        let cut = polygon(&[(0, 0), (1000, 0), (1000, 980), (980, 1000), (0, 1000)]);
        assert_eq!((eased(&cut, 14.2), eased(&cut, 14.1)), (square(&[], 0.0), cut));
    }

    #[test]
    fn a_slit_does_not_close() {
        // Bridged, the dent at its left edge would cross the right one.
        let slit = polygon(&[
            (0, 0),
            (1000, 0),
            (1000, 1000),
            (502, 1000),
            (497, 700),
            (502, 400),
            (500, 400),
            (490, 700),
            (500, 1000),
            (0, 1000),
        ]);
        let about = eased(&slit, 3.0);
        assert_eq!(together(&slit, &about), i128::from(about.doubled_area()));
        assert!(about.doubled_area() < 2_000_000, "the slit is open");
    }

    proptest! {
        #[test]
        fn what_is_eased_covers_the_polygon_and_comes_nowhere_too_far_out(
            waves in prop::collection::vec((0.0f64..1500.0, 0.0f64..6.3), 1..9),
            count in 5usize..160,
            most in 1.0f64..300.0,
        ) {
            let wave = |at: f64| {
                let own = waves.iter().enumerate();
                6000.0 + own.map(|(k, (height, from))| height * ((k + 1) as f64 * at + from).sin()).sum::<f64>() * 0.4
            };
            let Ok(polygon) = Polygon::new(ring(count, wave)) else { return Ok(()) };
            let about = eased(&polygon, most);
            prop_assert!(about.points().len() <= polygon.points().len());
            prop_assert_eq!(about.bounds(), polygon.bounds());
            // Simple rings whose edges do not cross, all corners of the one in the other: exact, where a union would be rounded.
            for (a, b) in polygon.edges() {
                prop_assert!(locate(about.points(), a) != PointLocation::Outside, "{a:?} lies outside");
                for (c, d) in about.edges() {
                    prop_assert!(relate_segments(a, b, c, d) != SegmentRelation::Cross, "{a:?} {b:?} leaves");
                }
            }
            for &corner in about.points() {
                let out = polygon.edges().map(|(a, b)| distance(corner, a, b)).fold(f64::INFINITY, f64::min);
                prop_assert!(out <= most, "a corner lies {out} out");
            }
        }
    }
}
