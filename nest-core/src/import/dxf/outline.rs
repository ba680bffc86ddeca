//! An outline put together from the lines of its layer.

use crate::geometry::DrawnPoint;
use crate::import::chain::{GAP, join};
use crate::import::line::{Line, area};

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

impl Boundary {
    /// Its area.
    pub(super) fn size(&self) -> f64 {
        area(&self.ring).abs()
    }
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
