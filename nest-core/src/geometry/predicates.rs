//! Every geometric decision is made here, in exact integers: orientation, segment relation, point location.

use super::Point;

/// On which side of the directed line a→b a point lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Orientation {
    /// To the left: the three points turn counter-clockwise.
    Left,
    /// On the line.
    Collinear,
    /// To the right: the three points turn clockwise.
    Right,
}

/// Where a point lies in respect of a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointLocation {
    /// Strictly inside.
    Inside,
    /// On the boundary.
    Boundary,
    /// Strictly outside.
    Outside,
}

/// How two closed segments meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SegmentRelation {
    /// No common point.
    Apart,
    /// One common point, interior to both, each crossing the other's line.
    Cross,
    /// One common point that is an end of at least one of them.
    Touch,
    /// Collinear with more than one common point.
    Overlap,
}

/// On which side of a→b does `c` lie?
pub fn orientation(a: Point, b: Point, c: Point) -> Orientation {
    match (b - a).cross(c - a) {
        0 => Orientation::Collinear,
        v if v > 0 => Orientation::Left,
        _ => Orientation::Right,
    }
}

/// Is `p` on the closed segment a–b?
pub fn on_segment(a: Point, b: Point, p: Point) -> bool {
    orientation(a, b, p) == Orientation::Collinear
        && p.x >= a.x.min(b.x)
        && p.x <= a.x.max(b.x)
        && p.y >= a.y.min(b.y)
        && p.y <= a.y.max(b.y)
}

/// How do the closed segments a–b and c–d meet?
pub fn relate_segments(a: Point, b: Point, c: Point, d: Point) -> SegmentRelation {
    use Orientation::Collinear;
    let (o1, o2) = (orientation(a, b, c), orientation(a, b, d));
    let (o3, o4) = (orientation(c, d, a), orientation(c, d, b));
    if o1 == Collinear && o2 == Collinear && (a != b || c != d) {
        // All on one line: compare along the wider axis, by lexicographic order of the points.
        let (a, b) = if a <= b { (a, b) } else { (b, a) };
        let (c, d) = if c <= d { (c, d) } else { (d, c) };
        let (low, high) = (a.max(c), b.min(d));
        return match low.cmp(&high) {
            std::cmp::Ordering::Less => SegmentRelation::Overlap,
            std::cmp::Ordering::Equal => SegmentRelation::Touch,
            std::cmp::Ordering::Greater => SegmentRelation::Apart,
        };
    }
    if o1 != o2 && o3 != o4 {
        if o1 != Collinear && o2 != Collinear && o3 != Collinear && o4 != Collinear {
            return SegmentRelation::Cross;
        }
        return SegmentRelation::Touch;
    }
    SegmentRelation::Apart
}

/// Where does `p` lie in respect of the simple ring `ring` (closed implicitly, either direction)?
///
/// # Complexity
/// O(n). Crossing count over half-open edges, so a vertex on the ray is counted once.
pub fn locate(ring: &[Point], p: Point) -> PointLocation {
    let mut inside = false;
    for (i, &a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        if on_segment(a, b, p) {
            return PointLocation::Boundary;
        }
        if (a.y > p.y) != (b.y > p.y) {
            let side = (b - a).cross(p - a);
            // The edge is right of p when p is left of it going up, or right of it going down.
            if (side > 0) == (b.y > a.y) {
                inside = !inside;
            }
        }
    }
    if inside { PointLocation::Inside } else { PointLocation::Outside }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: i64, y: i64) -> Point {
        Point::new(x, y)
    }

    #[test]
    fn segments_meet_in_the_five_ways() {
        use SegmentRelation::*;
        assert_eq!(relate_segments(p(0, 0), p(4, 4), p(0, 4), p(4, 0)), Cross);
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(2, 0), p(2, 3)), Touch, "a T");
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(4, 0), p(9, 1)), Touch, "end to end");
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(3, 0), p(9, 0)), Overlap);
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(4, 0), p(9, 0)), Touch, "collinear end to end");
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(5, 0), p(9, 0)), Apart);
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(0, 1), p(4, 1)), Apart, "parallel");
        assert_eq!(relate_segments(p(0, 0), p(4, 0), p(5, -1), p(5, 1)), Apart, "beyond the end");
    }

    #[test]
    fn points_are_located_in_a_concave_ring() {
        let ring = [p(0, 0), p(6, 0), p(6, 6), p(3, 2), p(0, 6)];
        assert_eq!(locate(&ring, p(3, 1)), PointLocation::Inside);
        assert_eq!(locate(&ring, p(3, 2)), PointLocation::Boundary);
        assert_eq!(locate(&ring, p(3, 3)), PointLocation::Outside);
        assert_eq!(locate(&ring, p(-1, 6)), PointLocation::Outside, "level with two vertices");
        assert_eq!(locate(&ring, p(3, 0)), PointLocation::Boundary);
    }
}
