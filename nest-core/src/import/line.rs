//! [`Line`]: a drawn line or ring in millimetres, y up, and what sorting and mending ask of it. Nothing here is exact.

use crate::geometry::DrawnPoint;

/// Points in order; a closed line is joined from its last to its first.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Line {
    pub(super) points: Vec<DrawnPoint>,
    pub(super) closed: bool,
}

impl Line {
    pub(super) fn open(points: Vec<DrawnPoint>) -> Line {
        Line { points, closed: false }
    }

    pub(super) fn ring(points: Vec<DrawnPoint>) -> Line {
        Line { points, closed: true }
    }

    /// The edges, with the closing one.
    pub(super) fn edges(&self) -> impl Iterator<Item = (DrawnPoint, DrawnPoint)> + '_ {
        edges(&self.points, self.closed)
    }

    pub(super) fn length(&self) -> f64 {
        self.edges().map(|(a, b)| a.distance(b)).sum()
    }

    pub(super) fn frame(&self) -> Frame {
        Frame::of(&self.points)
    }
}

fn edges(points: &[DrawnPoint], closed: bool) -> impl Iterator<Item = (DrawnPoint, DrawnPoint)> + '_ {
    let n = points.len();
    let count = if closed { n } else { n.saturating_sub(1) };
    (0..count).map(move |i| (points[i], points[(i + 1) % n]))
}

/// The box around some points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame {
    pub(super) low: DrawnPoint,
    pub(super) high: DrawnPoint,
}

impl Frame {
    pub(super) fn of(points: &[DrawnPoint]) -> Frame {
        let mut frame = Frame {
            low: DrawnPoint::new(f64::INFINITY, f64::INFINITY),
            high: DrawnPoint::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        };
        for p in points {
            frame.low = DrawnPoint::new(frame.low.x.min(p.x), frame.low.y.min(p.y));
            frame.high = DrawnPoint::new(frame.high.x.max(p.x), frame.high.y.max(p.y));
        }
        frame
    }

    pub(super) fn width(&self) -> f64 {
        self.high.x - self.low.x
    }

    pub(super) fn height(&self) -> f64 {
        self.high.y - self.low.y
    }

    pub(super) fn middle(&self) -> DrawnPoint {
        self.low.midpoint(self.high)
    }

    /// Does the point lie inside, or within `margin` of it?
    pub(super) fn holds(&self, p: DrawnPoint, margin: f64) -> bool {
        p.x >= self.low.x - margin
            && p.x <= self.high.x + margin
            && p.y >= self.low.y - margin
            && p.y <= self.high.y + margin
    }
}

/// The signed area of a ring, positive when it runs counter-clockwise.
pub(super) fn area(ring: &[DrawnPoint]) -> f64 {
    let Some(&o) = ring.first() else {
        return 0.0;
    };
    // Relative to the first point, so that a piece far from the origin loses nothing.
    edges(ring, true).map(|(a, b)| (a - o).cross(b - o)).sum::<f64>() / 2.0
}

/// Does the point lie inside the ring? On the ring itself either may be told.
pub(super) fn holds(ring: &[DrawnPoint], p: DrawnPoint) -> bool {
    let mut inside = false;
    for (a, b) in edges(ring, true) {
        if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
    }
    inside
}

/// The point of the ring that is nearest to `p`.
pub(super) fn nearest_on_ring(ring: &[DrawnPoint], p: DrawnPoint) -> DrawnPoint {
    edges(ring, true)
        .map(|(a, b)| nearest_on_segment(a, b, p))
        .min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)))
        .unwrap_or(p)
}

/// The point of the segment a–b that is nearest to `p`.
pub(super) fn nearest_on_segment(a: DrawnPoint, b: DrawnPoint, p: DrawnPoint) -> DrawnPoint {
    let along = b - a;
    let squared = along.hypot2();
    let t = if squared > 0.0 { ((p - a).dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    a + along * t
}

/// The mirror image of `p` in the line through a and b, which differ.
pub(super) fn mirrored(a: DrawnPoint, b: DrawnPoint, p: DrawnPoint) -> DrawnPoint {
    let along = b - a;
    let foot = a + along * ((p - a).dot(along) / along.hypot2());
    foot + (foot - p)
}

/// How far `p` lies to the left of the line from a to b, which differ; negative to the right.
pub(super) fn beside(a: DrawnPoint, b: DrawnPoint, p: DrawnPoint) -> f64 {
    (b - a).cross(p - a) / (b - a).hypot()
}

/// The two points of a line that are farthest from one another.
///
/// # Complexity
/// O(n): exact for straight lines and arrows, and near enough for a direction otherwise: the farthest from the middle,
/// and the farthest from that.
pub(super) fn farthest(points: &[DrawnPoint]) -> Option<[DrawnPoint; 2]> {
    let middle = Frame::of(points).middle();
    let far = |from: DrawnPoint| {
        points.iter().copied().max_by(|a, b| a.distance_squared(from).total_cmp(&b.distance_squared(from)))
    };
    let b = far(middle)?;
    Some([far(b)?, b])
}

/// The points without those that lie within `tolerance` of the line drawn without them; the first and the last stay.
///
/// The line is thinned in stretches of 256 points, so that the work is bounded whatever its shape (the division of each
/// stretch at its farthest point is that of Ramer 1972 and of Douglas and Peucker 1973).
///
/// # Complexity
/// O(n), with a factor of at most the length of a stretch.
pub(super) fn thinned(points: &[DrawnPoint], tolerance: f64) -> Vec<DrawnPoint> {
    const STRETCH: usize = 256;
    let Some(&first) = points.first() else {
        return Vec::new();
    };
    let mut kept = vec![first];
    let mut start = 0;
    while start + 1 < points.len() {
        let end = (start + STRETCH).min(points.len() - 1);
        thin_stretch(&points[start..=end], tolerance, &mut kept);
        start = end;
    }
    kept
}

/// Appends what is kept of a stretch after its first point.
fn thin_stretch(stretch: &[DrawnPoint], tolerance: f64, kept: &mut Vec<DrawnPoint>) {
    let (a, b) = (stretch[0], stretch[stretch.len() - 1]);
    let farthest = (1..stretch.len() - 1)
        .map(|i| (i, nearest_on_segment(a, b, stretch[i]).distance(stretch[i])))
        .max_by(|x, y| x.1.total_cmp(&y.1));
    match farthest {
        Some((i, off)) if off > tolerance => {
            thin_stretch(&stretch[..=i], tolerance, kept);
            thin_stretch(&stretch[i..], tolerance, kept);
        }
        _ => kept.push(b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::{Area, Contains, LineString, Polygon};
    use proptest::prelude::*;

    fn points(list: &[(f64, f64)]) -> Vec<DrawnPoint> {
        list.iter().map(|&(x, y)| DrawnPoint::new(x, y)).collect()
    }

    proptest! {
        #[test]
        fn area_and_inside_agree_with_geo(
            spokes in prop::collection::vec(5.0..100.0f64, 3..20),
            (x, y) in (-110.0..110.0f64, -110.0..110.0f64),
        ) {
            // A star-shaped ring is simple.
            let ring: Vec<DrawnPoint> = spokes
                .iter()
                .enumerate()
                .map(|(i, r)| {
                    let turn = std::f64::consts::TAU * i as f64 / spokes.len() as f64;
                    DrawnPoint::new(r * turn.cos(), r * turn.sin())
                })
                .collect();
            let line: LineString<f64> = ring.iter().map(|p| (p.x, p.y)).collect();
            let polygon = Polygon::new(line, vec![]);
            prop_assert!((area(&ring) - polygon.signed_area()).abs() < 1e-6);
            let p = DrawnPoint::new(x, y);
            if nearest_on_ring(&ring, p).distance(p) > 1e-9 {
                prop_assert_eq!(holds(&ring, p), polygon.contains(&geo::Point::new(x, y)));
            }
        }

        #[test]
        fn thinning_leaves_every_point_within_tolerance(
            steps in prop::collection::vec((-1.0..1.0f64, -1.0..1.0f64), 2..700),
            tolerance in 0.01..2.0f64,
        ) {
            let mut at = DrawnPoint::ORIGIN;
            let line: Vec<DrawnPoint> = steps.iter().map(|&(x, y)| { at += kurbo::Vec2::new(x, y); at }).collect();
            let thin = thinned(&line, tolerance);
            prop_assert_eq!(thin.first(), line.first());
            prop_assert_eq!(thin.last(), line.last());
            for &p in &line {
                let off = edges(&thin, false)
                    .map(|(a, b)| nearest_on_segment(a, b, p).distance(p))
                    .fold(f64::INFINITY, f64::min);
                prop_assert!(off <= tolerance + 1e-9);
            }
        }
    }

    #[test]
    fn mirroring_and_sides_are_as_on_paper() {
        let [a, b] = [DrawnPoint::new(1.0, 0.0), DrawnPoint::new(1.0, 5.0)];
        assert_eq!(mirrored(a, b, DrawnPoint::new(4.0, 2.0)), DrawnPoint::new(-2.0, 2.0));
        assert_eq!(beside(a, b, DrawnPoint::new(-2.0, 2.0)), 3.0);
        assert_eq!(
            farthest(&points(&[(0.0, 0.0), (3.0, 1.0), (9.0, 0.0), (8.0, 1.0)])),
            Some([DrawnPoint::new(0.0, 0.0), DrawnPoint::new(9.0, 0.0)])
        );
        assert_eq!(farthest(&[]), None);
    }
}
