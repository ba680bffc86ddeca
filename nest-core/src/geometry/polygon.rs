//! [`Polygon`]: a simple counter-clockwise ring, proved so when it is made.

use super::predicates::{SegmentRelation, on_segment, orientation, relate_segments};
use super::{Bounds, Orientation, Point, Pose};
use crate::length::MAX_GRID;

/// A simple polygon without holes.
///
/// # Validity
/// At least three vertices, counter-clockwise, no two equal neighbours, no vertex in the middle of a straight edge, no
/// spike, no two edges that cross, touch or overlap except neighbours at their common vertex; no coordinate beyond
/// [`MAX_GRID`]. Code that holds a `Polygon` never checks this again.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Polygon {
    points: Vec<Point>,
}

/// Why a ring is not a [`Polygon`].
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PolygonFault {
    /// Fewer than three distinct corners.
    #[error("has only {0} distinct corners; an outline needs at least three")]
    TooFew(usize),
    /// All corners on a line, or the ring encloses nothing.
    #[error("encloses no area")]
    NoArea,
    /// Two edges cross, touch or overlap.
    #[error("crosses or touches itself near ({:.2}, {:.2}) mm", .0.x as f64 / 100.0, .0.y as f64 / 100.0)]
    SelfContact(Point),
    /// A coordinate is beyond the grid's range.
    #[error("reaches beyond 100 m from the origin")]
    TooLarge,
    /// A polygon of another library has holes.
    #[error("has holes; an outline is a single ring")]
    Holes,
}

impl Polygon {
    /// Makes a polygon of a ring given in either direction, with or without its first point repeated at the end.
    /// Repeated points and points in the middle of straight edges are dropped; the first kept point stays first.
    ///
    /// # Errors
    /// A [`PolygonFault`] when what is left is not a simple polygon.
    ///
    /// # Complexity
    /// O(n log n) on ordinary outlines: edges are swept by their x-extent, O(n²) at the worst.
    pub fn new(points: Vec<Point>) -> Result<Polygon, PolygonFault> {
        if points.iter().any(|p| p.x.abs() > MAX_GRID || p.y.abs() > MAX_GRID) {
            return Err(PolygonFault::TooLarge);
        }
        let mut ring = without_needless_points(points);
        if ring.len() < 3 {
            return Err(if ring.len() == 2 {
                PolygonFault::NoArea
            } else {
                PolygonFault::TooFew(ring.len())
            });
        }
        if let Some(at) = self_contact(&ring) {
            return Err(PolygonFault::SelfContact(at));
        }
        match doubled_area(&ring) {
            0 => return Err(PolygonFault::NoArea),
            a if a < 0 => ring[1..].reverse(),
            _ => {}
        }
        Ok(Polygon { points: ring })
    }

    /// The axis-parallel rectangle with corners (0, 0) and (`width`, `height`), both positive.
    ///
    /// # Panics
    /// When either is not positive.
    pub fn rectangle(width: i64, height: i64) -> Polygon {
        assert!(width > 0 && height > 0, "a rectangle needs two positive sides");
        Polygon {
            points: vec![
                Point::new(0, 0),
                Point::new(width, 0),
                Point::new(width, height),
                Point::new(0, height),
            ],
        }
    }

    /// The vertices, counter-clockwise; the last is joined to the first.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The edges, in order.
    pub fn edges(&self) -> impl ExactSizeIterator<Item = (Point, Point)> + '_ {
        (0..self.points.len()).map(|i| (self.points[i], self.points[(i + 1) % self.points.len()]))
    }

    /// Twice the area, exactly; always positive.
    pub fn doubled_area(&self) -> i64 {
        doubled_area(&self.points)
    }

    /// The area in square millimetres.
    pub fn area_mm2(&self) -> f64 {
        self.doubled_area() as f64 / 20_000.0
    }

    /// The least box around it.
    pub fn bounds(&self) -> Bounds {
        Bounds::of(&self.points)
    }

    /// Is it less than so thick, as its area over the longer side of its box?
    pub(crate) fn is_thinner_than(&self, least: i64) -> bool {
        let bounds = self.bounds();
        self.doubled_area() < 2 * least * bounds.width().max(bounds.height())
    }

    /// The polygon moved by `by`.
    pub fn shifted(&self, by: Point) -> Polygon {
        Polygon { points: self.points.iter().map(|&p| p + by).collect() }
    }

    /// The polygon mirrored and turned about the origin.
    pub fn posed(&self, pose: Pose) -> Polygon {
        let mut points: Vec<Point> = self.points.iter().map(|&p| pose.apply(p)).collect();
        if pose.mirrored {
            points.reverse();
        }
        Polygon { points }
    }

    /// Is every angle less than a half turn?
    pub fn is_convex(&self) -> bool {
        let n = self.points.len();
        (0..n).all(|i| {
            orientation(self.points[i], self.points[(i + 1) % n], self.points[(i + 2) % n])
                == Orientation::Left
        })
    }

    /// The same ring started at its lexicographically least vertex: equal for equal point sets.
    pub fn canonical(&self) -> Polygon {
        let start = (0..self.points.len()).min_by_key(|&i| self.points[i]).unwrap_or(0);
        let mut points = self.points.clone();
        points.rotate_left(start);
        Polygon { points }
    }
}

fn doubled_area(ring: &[Point]) -> i64 {
    // Relative to the first vertex, so that the sum stays small.
    let o = ring[0];
    ring.windows(2).map(|w| (w[0] - o).cross(w[1] - o)).sum()
}

/// Drops repeated points, points in the middle of straight runs, and spikes of no area.
fn without_needless_points(points: Vec<Point>) -> Vec<Point> {
    let mut ring = points;
    ring.dedup();
    while ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    loop {
        let n = ring.len();
        if n < 3 {
            return ring;
        }
        let straight = |i: usize| {
            let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
            // Only a straight run is needless; a point where the ring doubles back is a spike, and a fault.
            a == b || (orientation(a, b, c) == Orientation::Collinear && (b - a).dot(c - b) > 0)
        };
        let kept: Vec<Point> = (0..n).filter(|&i| !straight(i)).map(|i| ring[i]).collect();
        if kept.len() == n {
            return ring;
        }
        ring = kept;
    }
}

/// A point where two edges meet that should not, if there is one.
fn self_contact(ring: &[Point]) -> Option<Point> {
    let n = ring.len();
    let mut order: Vec<usize> = (0..n).collect();
    let low = |i: usize| ring[i].x.min(ring[(i + 1) % n].x);
    let high = |i: usize| ring[i].x.max(ring[(i + 1) % n].x);
    order.sort_by_key(|&i| low(i));
    for (k, &i) in order.iter().enumerate() {
        for &j in &order[k + 1..] {
            if low(j) > high(i) {
                break;
            }
            let (a, b, c, d) = (ring[i], ring[(i + 1) % n], ring[j], ring[(j + 1) % n]);
            let neighbours = (i + 1) % n == j || (j + 1) % n == i;
            match relate_segments(a, b, c, d) {
                SegmentRelation::Apart => {}
                SegmentRelation::Touch if neighbours => {
                    // Two edges of a triangle are neighbours at both ends; otherwise they may share one vertex only,
                    // and that one touch is the one they should have.
                }
                _ => return Some(meeting_point(a, b, c, d)),
            }
        }
    }
    None
}

/// Where two edges that meet do so, for the eye: a vertex where there is one, else the crossing, rounded.
fn meeting_point(a: Point, b: Point, c: Point, d: Point) -> Point {
    if let Some(vertex) = [c, d].into_iter().find(|&p| on_segment(a, b, p)) {
        return vertex;
    }
    if let Some(vertex) = [a, b].into_iter().find(|&p| on_segment(c, d, p)) {
        return vertex;
    }
    let part = (c - a).cross(d - c) as f64 / (b - a).cross(d - c) as f64;
    let along = |from: i64, to: i64| from + ((to - from) as f64 * part).round() as i64;
    Point::new(along(a.x, b.x), along(a.y, b.y))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(i64, i64)]) -> Vec<Point> {
        points.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[test]
    fn a_clockwise_ring_with_needless_points_is_tidied() {
        let p = Polygon::new(ring(&[(0, 0), (0, 5), (0, 10), (10, 10), (10, 10), (10, 0), (0, 0)])).unwrap();
        assert_eq!(p.points(), ring(&[(0, 0), (10, 0), (10, 10), (0, 10)]));
        assert_eq!(p.doubled_area(), 200);
    }

    #[test]
    fn what_is_not_simple_is_refused() {
        let fault = |points: &[(i64, i64)]| Polygon::new(ring(points)).unwrap_err();
        assert_eq!(fault(&[]), PolygonFault::TooFew(0));
        assert_eq!(fault(&[(0, 0), (5, 5)]), PolygonFault::NoArea);
        assert_eq!(fault(&[(0, 0), (5, 0), (10, 0)]), PolygonFault::NoArea);
        assert!(
            matches!(fault(&[(0, 0), (10, 10), (10, 0), (0, 10)]), PolygonFault::SelfContact(_)),
            "a bow tie"
        );
        assert!(
            matches!(fault(&[(0, 0), (10, 0), (20, 0), (10, 0), (5, 9)]), PolygonFault::SelfContact(_)),
            "a spike"
        );
        assert!(
            matches!(fault(&[(0, 0), (4, 0), (2, 2), (4, 4), (0, 4), (2, 2)]), PolygonFault::SelfContact(_)),
            "a waist of no width"
        );
        assert_eq!(fault(&[(0, 0), (MAX_GRID + 1, 0), (0, 9)]), PolygonFault::TooLarge);
    }

    #[test]
    fn posing_keeps_area_and_direction() {
        let p = Polygon::new(ring(&[(0, 0), (9, 0), (9, 4), (3, 7)])).unwrap();
        for turn in crate::geometry::Turn::ALL {
            for mirrored in [false, true] {
                let q = p.posed(Pose { mirrored, turn });
                assert_eq!(q.doubled_area(), p.doubled_area());
                assert_eq!(
                    Polygon::new(q.points().to_vec()).unwrap(),
                    q,
                    "still a valid counter-clockwise ring"
                );
            }
        }
    }
}
