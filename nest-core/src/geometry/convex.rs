//! Convex decomposition of a polygon, and the exact test whether the interiors of two decomposed polygons meet.
//!
//! Two closed regions overlap in a positive area exactly when some convex part of the one overlaps some convex part of
//! the other: the cuts between parts have no area. For two convex polygons the question is settled by a separating
//! edge, so no intersection point is ever computed and touching is told from overlapping exactly.

use std::collections::HashMap;

use super::octagon::{Octagon, Octagons};
use super::{Orientation, Point, Polygon, Pose, orientation};

/// A polygon cut into convex parts by its own diagonals.
#[derive(Clone, Debug)]
pub struct ConvexParts {
    /// About all parts.
    about: Octagon,
    parts: Vec<Part>,
    /// About each part.
    octagons: Octagons,
}

#[derive(Clone, Debug)]
struct Part {
    about: Octagon,
    ring: Vec<Point>,
}

impl ConvexParts {
    /// Cuts `polygon` by ear clipping, shortest diagonal first, and merges triangles while they stay convex.
    ///
    /// # Reference
    /// S. Hertel, K. Mehlhorn, "Fast triangulation of simple polygons", FCT 1983: at most four times the least number
    /// of parts.
    ///
    /// # Complexity
    /// O(n²) for n vertices in practice, O(n³) at the worst.
    pub fn of(polygon: &Polygon) -> ConvexParts {
        let points = polygon.points();
        let rings = if polygon.is_convex() {
            vec![points.to_vec()]
        } else {
            merge(points, clip_ears(points))
                .into_iter()
                .map(|part| part.into_iter().map(|i| points[i]).collect())
                .collect()
        };
        ConvexParts::of_rings(rings)
    }

    fn of_rings(rings: Vec<Vec<Point>>) -> ConvexParts {
        let parts: Vec<Part> =
            rings.into_iter().map(|ring| Part { about: Octagon::of(&ring), ring }).collect();
        let each: Vec<Octagon> = parts.iter().map(|part| part.about).collect();
        let about = each.iter().copied().reduce(|a, b| a.with(&b)).unwrap_or_default();
        ConvexParts { about, parts, octagons: Octagons::of(&each) }
    }

    /// The same parts, mirrored and turned, then moved by `shift`.
    pub fn posed(&self, pose: Pose, shift: Point) -> ConvexParts {
        let place = |part: &Part| {
            let mut ring: Vec<Point> = part.ring.iter().map(|&p| pose.apply(p) + shift).collect();
            if pose.mirrored {
                ring.reverse();
            }
            ring
        };
        ConvexParts::of_rings(self.parts.iter().map(place).collect())
    }

    /// The parts, each a convex counter-clockwise ring.
    pub fn rings(&self) -> impl ExactSizeIterator<Item = &[Point]> {
        self.parts.iter().map(|p| p.ring.as_slice())
    }

    /// For every part of `self` and every part of `other` moved by `by`: the line along an edge of either that lies widest
    /// between them. As long as each part of `other` stays beyond its lines, nothing overlaps. Lines that it cannot pass
    /// while it comes nearer by no more than `reach` along each axis are left out.
    ///
    /// # Complexity
    /// As [`overlaps`](ConvexParts::overlaps).
    pub fn between(&self, other: &ConvexParts, by: Point, reach: i64) -> Vec<Between> {
        let mut all = Vec::new();
        for i in self.octagons.meeting(&other.about.shifted(by).grown(reach)) {
            let a = &self.parts[i];
            // In the frame of `other`.
            for j in other.octagons.meeting(&a.about.shifted(-by).grown(reach)) {
                let b = &other.parts[j];
                let of_a = widest(&a.ring, &b.ring, by);
                let of_b = widest(&b.ring, &a.ring, -by).map(|line| Between { normal: -line.normal, ..line });
                let wider = of_a.into_iter().chain(of_b).max_by(|x, y| x.distance().total_cmp(&y.distance()));
                all.extend(
                    wider.filter(|line| line.beyond < reach * (line.normal.x.abs() + line.normal.y.abs())),
                );
            }
        }
        all
    }

    /// Do the interiors of `self` and of `other` moved by `by` have a point in common? Exact; touching is not overlapping.
    ///
    /// # Complexity
    /// For each part about which the other polygon lies a test of all its parts, eight at a time; and for each pair of parts
    /// that octagons do not tell apart the product of their vertices.
    pub fn overlaps(&self, other: &ConvexParts, by: Point) -> bool {
        self.octagons.meeting(&other.about.shifted(by)).any(|i| {
            let a = &self.parts[i];
            // In the frame of `other`.
            let mut beside = other.octagons.meeting(&a.about.shifted(-by));
            beside.any(|j| convex_overlap(&a.ring, &other.parts[j].ring, by))
        })
    }
}

/// The line along an edge, between the part that has the edge and another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Between {
    /// Square to the edge, from the first polygon to the second; as long as the edge.
    pub normal: Point,
    /// How far beyond the line the second begins, times the length of the normal; below 0 when it overlaps.
    pub beyond: i64,
}

impl Between {
    /// How far beyond the line the second begins, in grid units.
    pub fn distance(&self) -> f64 {
        self.beyond as f64 / self.normal.length()
    }
}

/// Of all edges of `a`, the line beyond which all of `b` moved by `by` lies furthest.
fn widest(a: &[Point], b: &[Point], by: Point) -> Option<Between> {
    let mut from = a[a.len() - 1];
    let lines = a.iter().map(|&to| {
        let along = to - from;
        let origin = from - by;
        from = to;
        let beyond = b.iter().map(|&q| -along.cross(q - origin)).min().unwrap_or(0);
        Between { normal: Point::new(along.y, -along.x), beyond }
    });
    lines.max_by(|one, other| one.distance().total_cmp(&other.distance()))
}

/// Do the interiors of the convex rings `a` and `b` moved by `by` meet?
fn convex_overlap(a: &[Point], b: &[Point], by: Point) -> bool {
    !separated(a, b, by) && !separated(b, a, -by)
}

/// Is there an edge of `a` with all of `b` moved by `by` on its outer side or on its line?
fn separated(a: &[Point], b: &[Point], by: Point) -> bool {
    let mut from = a[a.len() - 1];
    a.iter().any(|&to| {
        let along = to - from;
        let origin = from - by;
        from = to;
        b.iter().all(|&q| along.cross(q - origin) <= 0)
    })
}

/// Triangulates by clipping, of all ears, the one with the shortest diagonal.
fn clip_ears(points: &[Point]) -> Vec<[usize; 3]> {
    let n = points.len();
    let mut next: Vec<usize> = (0..n).map(|i| (i + 1) % n).collect();
    let mut prev: Vec<usize> = (0..n).map(|i| (i + n - 1) % n).collect();
    let mut alive: Vec<usize> = (0..n).collect();
    let mut triangles = Vec::with_capacity(n - 2);
    // The squared length of the diagonal that would cut off the ear at a vertex, none where there is no ear.
    let ear = |i: usize, prev: &[usize], next: &[usize], alive: &[usize]| -> Option<i64> {
        let (a, b, c) = (points[prev[i]], points[i], points[next[i]]);
        let diagonal = (c - a).dot(c - a);
        match orientation(a, b, c) {
            // A straight vertex is cut off as a triangle of no area, which nobody needs.
            Orientation::Collinear => Some(-1),
            Orientation::Right => None,
            Orientation::Left => {
                let free = alive.iter().all(|&j| {
                    j == i || j == prev[i] || j == next[i] || {
                        let p = points[j];
                        orientation(a, b, p) == Orientation::Right
                            || orientation(b, c, p) == Orientation::Right
                            || orientation(c, a, p) == Orientation::Right
                    }
                });
                free.then_some(diagonal)
            }
        }
    };
    let mut ears: Vec<Option<i64>> = (0..n).map(|i| ear(i, &prev, &next, &alive)).collect();
    while alive.len() > 3 {
        let best = alive.iter().copied().filter(|&i| ears[i].is_some()).min_by_key(|&i| (ears[i], i));
        // Every simple polygon has two ears (Meisters 1975), so there is always one to clip.
        let Some(i) = best else { break };
        let (a, c) = (prev[i], next[i]);
        if ears[i] != Some(-1) {
            triangles.push([a, i, c]);
        }
        next[a] = c;
        prev[c] = a;
        alive.retain(|&j| j != i);
        ears[i] = None;
        ears[a] = ear(a, &prev, &next, &alive);
        ears[c] = ear(c, &prev, &next, &alive);
        // An ear elsewhere may have been blocked by the vertex just removed.
        for &j in &alive {
            if ears[j].is_none() {
                ears[j] = ear(j, &prev, &next, &alive);
            }
        }
    }
    let &[a, b, c] = alive.as_slice() else { return triangles };
    if orientation(points[a], points[b], points[c]) == Orientation::Left {
        triangles.push([a, b, c]);
    }
    triangles
}

/// Removes diagonals while the parts on both sides join to a convex one.
fn merge(points: &[Point], triangles: Vec<[usize; 3]>) -> Vec<Vec<usize>> {
    let mut parts: Vec<Option<Vec<usize>>> = triangles.iter().map(|t| Some(t.to_vec())).collect();
    let mut owner: HashMap<(usize, usize), usize> = HashMap::new();
    for (k, t) in triangles.iter().enumerate() {
        for e in 0..3 {
            owner.insert((t[e], t[(e + 1) % 3]), k);
        }
    }
    let mut diagonals: Vec<(usize, usize)> = triangles
        .iter()
        .flat_map(|t| (0..3).map(|e| (t[e], t[(e + 1) % 3])))
        .filter(|&(u, v)| u < v && owner.contains_key(&(v, u)))
        .collect();
    // Longest first: short diagonals make the better shapes to keep.
    diagonals.sort_by_key(|&(u, v)| {
        let d = points[v] - points[u];
        (-d.dot(d), u, v)
    });
    for (u, v) in diagonals {
        let (Some(&ka), Some(&kb)) = (owner.get(&(u, v)), owner.get(&(v, u))) else { continue };
        if ka == kb {
            continue;
        }
        let (Some(a), Some(b)) = (&parts[ka], &parts[kb]) else { continue };
        // a runs … u v …, b runs … v u …; joined: a from v round to u, then b from after u round to before v.
        let rotate = |ring: &[usize], first: usize| {
            let at = ring.iter().position(|&i| i == first).unwrap_or(0);
            let mut r = ring.to_vec();
            r.rotate_left(at);
            r
        };
        let from_v = rotate(a, v);
        let from_u = rotate(b, u);
        let mut joined = from_v;
        joined.extend_from_slice(&from_u[1..from_u.len() - 1]);
        let m = joined.len();
        let convex = (0..m).all(|i| {
            orientation(points[joined[i]], points[joined[(i + 1) % m]], points[joined[(i + 2) % m]])
                != Orientation::Right
        });
        if convex {
            for i in 0..m {
                owner.insert((joined[i], joined[(i + 1) % m]), ka);
            }
            owner.remove(&(u, v));
            owner.remove(&(v, u));
            parts[ka] = Some(joined);
            parts[kb] = None;
        }
    }
    parts.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).unwrap()
    }

    fn comb(teeth: i64) -> Polygon {
        let mut points = vec![(0, 0), (teeth * 20, 0)];
        for t in (0..teeth).rev() {
            points.extend([(t * 20 + 20, 50), (t * 20 + 10, 50), (t * 20 + 10, 10), (t * 20, 10)]);
        }
        points.dedup();
        polygon(&points)
    }

    #[test]
    fn parts_are_convex_and_make_up_the_whole() {
        for p in [comb(3), comb(20), polygon(&[(0, 0), (60, 0), (60, 60), (30, 20), (0, 60)])] {
            let parts = ConvexParts::of(&p);
            let area: i64 = parts
                .rings()
                .map(|r| Polygon::new(r.to_vec()).expect("a part is a polygon").doubled_area())
                .sum();
            assert_eq!(area, p.doubled_area());
            assert!(parts.rings().all(|r| Polygon::new(r.to_vec()).unwrap().is_convex()));
        }
    }

    #[test]
    fn lines_between_tell_how_far_apart_and_whether_free() {
        let (comb, block) = (ConvexParts::of(&comb(3)), ConvexParts::of(&polygon(&[(0, 0), (8, 0), (0, 6)])));
        // Far off on the right, the line is upright and the distance the gap.
        let beside = comb.between(&block, Point::new(63, 4), 10);
        let nearest =
            beside.iter().min_by(|a, b| a.distance().total_cmp(&b.distance())).expect("within reach");
        assert_eq!((nearest.normal.y, nearest.distance()), (0, 3.0));
        assert!(nearest.normal.x > 0);
        assert!(comb.between(&block, Point::new(81, 4), 10).is_empty(), "out of reach");
        // Wherever the block lies, it is free exactly when it is beyond every line.
        for by in (-10..70).flat_map(|x| (-8..55).map(move |y| Point::new(x, y))) {
            let lines = comb.between(&block, by, 5);
            assert_eq!(lines.iter().all(|line| line.beyond >= 0), !comb.overlaps(&block, by), "at {by:?}");
            // Nothing is left out that could be met nearer by.
            for nearer in [(-5, -5), (-5, 5), (5, -5), (5, 5), (0, 5), (-5, 2)].map(|(x, y)| Point::new(x, y))
            {
                let stays = lines.iter().all(|line| line.beyond + line.normal.dot(nearer) >= 0);
                assert!(!stays || !comb.overlaps(&block, by + nearer), "from {by:?} by {nearer:?}");
            }
        }
    }

    #[test]
    fn a_tooth_fits_its_gap_exactly() {
        let (comb, tooth) = (ConvexParts::of(&comb(3)), ConvexParts::of(&Polygon::rectangle(10, 40)));
        assert!(!comb.overlaps(&tooth, Point::new(0, 10)), "in the first gap, touching three sides");
        assert!(comb.overlaps(&tooth, Point::new(1, 10)));
        assert!(comb.overlaps(&tooth, Point::new(0, 9)));
        assert!(!tooth.overlaps(&comb, Point::new(0, -10)), "the same seen from the other");
    }
}
