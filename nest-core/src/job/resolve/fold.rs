//! A fold edge found on its outline, and a half outline opened out about it.

use super::frame::{FileFrame, Turning};
use crate::geometry::{DrawnPoint, Point, Polygon};
use crate::job::ProblemKind;

/// How far the ends of a fold edge may lie off the outline, and the outline between them off the straight line, in grid
/// units: half a millimetre, within which a hand-drawn pattern is meant to be straight. What is within it is made exact.
const REACH: f64 = 50.0;

/// How far a fold edge may turn from the grainline, in degrees: 1 mm in 230 mm, as points rounded to whole millimetres
/// do. Within it the fold edge is the truer of the two, and the piece is laid by it.
const SLANT: f64 = 0.25;

/// The outline of a half piece without its fold edge: drawn points from one end of the fold edge round to the other.
pub(super) fn chain_off_fold(
    ring: &[DrawnPoint],
    ends: [DrawnPoint; 2],
    frame: &FileFrame,
) -> Result<Vec<DrawnPoint>, ProblemKind> {
    if ends[0].distance(ends[1]) <= REACH {
        return Err(ProblemKind::FoldOfNoLength);
    }
    let mut ring = ring.to_vec();
    let first = corner_at(&mut ring, ends[0], "first", frame)?;
    // A corner put in for the second end may shift the first one on.
    let count = ring.len();
    let second = corner_at(&mut ring, ends[1], "second", frame)?;
    let first = if ring.len() > count && second <= first { first + 1 } else { first };
    if first == second {
        return Err(ProblemKind::FoldOfNoLength);
    }
    let stretch = |from: usize, to: usize| -> Vec<DrawnPoint> {
        let n = ring.len();
        (0..=(to + n - from) % n).map(|i| ring[(from + i) % n]).collect()
    };
    let (there, back) = (stretch(first, second), stretch(second, first));
    let (off_there, off_back) = (departure(&there), departure(&back));
    if off_there.min(off_back) > REACH {
        return Err(ProblemKind::FoldNotStraight(frame.measure(off_there.min(off_back))));
    }
    Ok(if off_there <= off_back { back } else { there })
}

/// How the piece is turned: along its fold edge, the way the grainline points.
pub(super) fn turning(chain: &[DrawnPoint], grain: Turning) -> Result<Turning, ProblemKind> {
    let (Some(&a), Some(&b)) = (chain.first(), chain.last()) else {
        return Err(ProblemKind::FoldOfNoLength);
    };
    let along = Turning::laying(a, b).ok_or(ProblemKind::FoldOfNoLength)?;
    let along = if along.degrees_to(grain) <= 90.0 { along } else { along.reversed() };
    let slant = along.degrees_to(grain);
    if slant > SLANT { Err(ProblemKind::FoldNotOnGrain(slant)) } else { Ok(along) }
}

/// Brings a turned chain's ends to the same y, their mean, and returns it: the fold line.
pub(super) fn level_ends(chain: &mut [DrawnPoint]) -> f64 {
    let last = chain.len() - 1;
    let y = (chain[0].y + chain[last].y) / 2.0;
    chain[0].y = y;
    chain[last].y = y;
    y
}

/// A half outline on the grid, its fold line at y = 0.
pub(super) struct Half {
    /// The half.
    pub(super) outline: Polygon,
    /// Its fold edge, from lower to higher x.
    pub(super) fold: (Point, Point),
    /// The half and its mirror image together.
    pub(super) full: Polygon,
}

impl Half {
    /// Opens out `outline` about y = 0.
    ///
    /// # Errors
    /// A point at which the outline meets y = 0 otherwise than along one edge.
    pub(super) fn open_out(outline: Polygon) -> Result<Half, Point> {
        let points = outline.points();
        let n = points.len();
        let on_line = |i: usize| points[i % n].y == 0;
        let length = |i: usize| (points[(i + 1) % n].x - points[i].x).abs();
        let edge = (0..n).filter(|&i| on_line(i) && on_line(i + 1)).max_by_key(|&i| length(i));
        let start = edge.ok_or(points[0])?;
        if let Some(again) = (0..n).find(|&i| on_line(i) && i != start && i != (start + 1) % n) {
            return Err(points[again]);
        }
        // From the end of the fold edge round to its start.
        let chain: Vec<Point> = (1..=n).map(|i| points[(start + i) % n]).collect();
        let side = chain[1].y.signum();
        if let Some(&across) = chain[1..n - 1].iter().find(|p| p.y.signum() != side) {
            return Err(across);
        }
        let mirrored = chain[1..n - 1].iter().rev().map(|p| Point::new(p.x, -p.y));
        let full = Polygon::new(chain.iter().copied().chain(mirrored).collect()).map_err(|_| chain[0])?;
        let (a, b) = (chain[0], chain[n - 1]);
        Ok(Half { outline, fold: (a.min(b), a.max(b)), full })
    }
}

/// The index of the ring's corner at `p`: the nearest corner within reach, or a new one put into the nearest edge.
fn corner_at(
    ring: &mut Vec<DrawnPoint>,
    p: DrawnPoint,
    which: &'static str,
    frame: &FileFrame,
) -> Result<usize, ProblemKind> {
    let n = ring.len();
    let nearest = (0..n).min_by(|&i, &j| ring[i].distance(p).total_cmp(&ring[j].distance(p)));
    if let Some(i) = nearest
        && ring[i].distance(p) <= REACH
    {
        return Ok(i);
    }
    let foot = |i: usize| nearest_on_segment(ring[i], ring[(i + 1) % n], p);
    let edge = (0..n).min_by(|&i, &j| foot(i).distance(p).total_cmp(&foot(j).distance(p)));
    let Some(edge) = edge else {
        return Err(ProblemKind::FewCorners(0));
    };
    let foot = foot(edge);
    let distance = foot.distance(p);
    if distance > REACH {
        return Err(ProblemKind::FoldOffOutline { which, distance: frame.measure(distance) });
    }
    ring.insert(edge + 1, foot);
    Ok(edge + 1)
}

/// How far a polyline leaves the segment between its ends.
fn departure(line: &[DrawnPoint]) -> f64 {
    let (a, b) = (line[0], line[line.len() - 1]);
    line.iter().map(|&p| nearest_on_segment(a, b, p).distance(p)).fold(0.0, f64::max)
}

/// The point of the segment a–b that is nearest to `p`.
pub(super) fn nearest_on_segment(a: DrawnPoint, b: DrawnPoint, p: DrawnPoint) -> DrawnPoint {
    let along = b - a;
    let squared = along.hypot2();
    let t = if squared > 0.0 { ((p - a).dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    a + along * t
}
