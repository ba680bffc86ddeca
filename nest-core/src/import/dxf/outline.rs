//! An outline put together from the lines of its layer, and the places on it carried to another size.

use crate::geometry::DrawnPoint;
use crate::import::chain::{GAP, join};
use crate::import::line::{Line, area, nearest_on_segment};

/// How far from the ends of its mirror line a half outline may end, in millimetres; and how wide a gap in an outline may be
/// and still be closed by a straight line, with a warning.
const WIDE_GAP: f64 = 10.0;

/// An outline.
#[derive(Clone, Debug)]
pub(super) struct Boundary {
    pub(super) ring: Vec<DrawnPoint>,
    /// Where its lines meet, as indices into the ring.
    pub(super) joints: Vec<usize>,
    /// The widest gap that was closed.
    pub(super) gap: f64,
    /// Lines of the layer that are no part of it.
    pub(super) rest: Vec<Line>,
}

/// The outline that the lines make: the largest closed one among them, or else what they make joined end to end, closed
/// along the mirror line of a half.
///
/// # Errors
/// Why they make none.
pub(super) fn boundary(lines: Vec<Line>, mirror: Option<[DrawnPoint; 2]>) -> Result<Boundary, String> {
    let (mut rings, open): (Vec<Line>, Vec<Line>) = lines.into_iter().partition(|line| line.closed);
    let size = |line: &Line| area(&line.points).abs();
    rings.sort_by(|a, b| size(b).total_cmp(&size(a)));
    if !rings.is_empty() {
        let ring = rings.remove(0).points;
        rings.extend(open);
        return Ok(Boundary { joints: vec![0], ring, gap: 0.0, rest: rings });
    }
    let mut chains = join(open.into_iter().map(|line| line.points).collect(), GAP);
    if chains.is_empty() {
        return Err("has no outline: there is no line on layer 1 or 84".to_owned());
    }
    // The first that is closed and largest, or else the longest.
    chains.sort_by(|a, b| {
        let key = |line: &Line| if line.closed { (1, size(line)) } else { (0, line.length()) };
        let (a, b) = (key(&a.line), key(&b.line));
        b.0.cmp(&a.0).then(b.1.total_cmp(&a.1))
    });
    let chain = chains.remove(0);
    let ring = chain.line.points;
    let rest = chains.into_iter().map(|chain| chain.line).collect();
    let mut gap = chain.widest_gap;
    if !chain.line.closed {
        let (first, last) = (ring[0], ring[ring.len() - 1]);
        let open = first.distance(last);
        let ends_on = |[a, b]: [DrawnPoint; 2]| first.distance(a).max(last.distance(b)) <= WIDE_GAP;
        let along_mirror = mirror.is_some_and(|[a, b]| ends_on([a, b]) || ends_on([b, a]));
        if !along_mirror {
            if open > WIDE_GAP {
                return Err(format!(
                    "its outline is open: its ends are {open:.1} mm apart; close it in the program it comes from"
                ));
            }
            gap = gap.max(open);
        }
    }
    Ok(Boundary { joints: chain.joints, ring, gap, rest })
}

impl Boundary {
    /// The places on `to` that have the same part of the same seam behind them as the points on `self`.
    ///
    /// None when the two outlines are not made of the same number of lines, or when a seam has another length than grading
    /// would give it: then they are not known to be drawn alike.
    pub(super) fn carried(&self, points: &[DrawnPoint], to: &Boundary) -> Option<Vec<DrawnPoint>> {
        let (own, other) = (self.seams(), to.seams());
        if own.len() != other.len() || own.len() < 2 {
            return None;
        }
        let lengths = |seams: &[Vec<DrawnPoint>]| -> Vec<f64> {
            seams.iter().map(|seam| Line::open(seam.clone()).length()).collect()
        };
        let (lengths_own, lengths_other) = (lengths(&own), lengths(&other));
        let alike = |(a, b): (&f64, &f64)| a / b < 2.0 && b / a < 2.0 || (a - b).abs() < 30.0;
        if !lengths_own.iter().zip(&lengths_other).all(alike) {
            return None;
        }
        let carry = |&p: &DrawnPoint| {
            let (seam, at) = (0..own.len())
                .map(|k| (k, place_on(&own[k], p)))
                .min_by(|a, b| a.1.1.total_cmp(&b.1.1))
                .map(|(k, (at, _))| (k, at))?;
            let part = if lengths_own[seam] > 0.0 { at / lengths_own[seam] } else { 0.0 };
            Some(point_at(&other[seam], part * lengths_other[seam]))
        };
        points.iter().map(carry).collect()
    }

    /// The lines of which it is made, each from joint to joint.
    fn seams(&self) -> Vec<Vec<DrawnPoint>> {
        let n = self.ring.len();
        let stretch = |from: usize, to: usize| -> Vec<DrawnPoint> {
            let count = (to + n - from - 1) % n + 1;
            (0..=count).map(|i| self.ring[(from + i) % n]).collect()
        };
        (0..self.joints.len())
            .map(|k| stretch(self.joints[k], self.joints[(k + 1) % self.joints.len()]))
            .collect()
    }
}

/// How far along a line the place nearest to `p` is, and how far from it.
fn place_on(line: &[DrawnPoint], p: DrawnPoint) -> (f64, f64) {
    let mut behind = 0.0;
    let mut best = (0.0, f64::INFINITY);
    for pair in line.windows(2) {
        let foot = nearest_on_segment(pair[0], pair[1], p);
        if foot.distance(p) < best.1 {
            best = (behind + foot.distance(pair[0]), foot.distance(p));
        }
        behind += pair[0].distance(pair[1]);
    }
    best
}

/// The place so far along a line.
fn point_at(line: &[DrawnPoint], mut along: f64) -> DrawnPoint {
    for pair in line.windows(2) {
        let length = pair[0].distance(pair[1]);
        if along <= length && length > 0.0 {
            return pair[0].lerp(pair[1], along / length);
        }
        along -= length;
    }
    line.last().copied().unwrap_or(DrawnPoint::ORIGIN)
}
