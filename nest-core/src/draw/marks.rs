//! The marks on a piece as it lies: grainline, notches, drill holes, lines, and the sign for its fold.
//!
//! Everything here is in millimetres about the placement's position, already turned over for the page (y down).

use super::room::Stretch;
use crate::cloth::Nap;
use crate::geometry::{Point, PointLocation, Polygon, Pose, locate};
use crate::length::GRID_PER_MM;
use crate::marker::Form;
use crate::piece::PieceShape;

type At = (f64, f64);

/// The marks of one piece in one size, form and pose.
pub(crate) struct Marks {
    /// Bottom to top of the piece, within its outline.
    pub(crate) grainline: Stretch,
    /// Does an arrowhead stand at the bottom too? Not under nap, where the piece points one way only.
    pub(crate) both_heads: bool,
    /// The bracket beside a fold edge that lies on a fold, from the edge over the middle and back to the edge.
    pub(crate) bracket: Option<[At; 4]>,
    /// The line about which a half was opened out.
    pub(crate) crease: Option<Stretch>,
    /// From the edge inwards.
    pub(crate) notches: Vec<Stretch>,
    /// Centres.
    pub(crate) holes: Vec<At>,
    /// Lines drawn on the piece.
    pub(crate) lines: Vec<Vec<At>>,
    /// The stitching line.
    pub(crate) stitching: Vec<Vec<At>>,
}

/// A point of the lay's frame on the page, about the origin.
pub(crate) fn on_page(p: Point) -> At {
    (p.x as f64 / GRID_PER_MM as f64, -p.y as f64 / GRID_PER_MM as f64)
}

impl Marks {
    /// The marks of `shape`, laid as `form` in `pose`; `text` is the size of running text, which some follow.
    pub(crate) fn new(shape: &PieceShape, form: Form, pose: Pose, nap: Nap, text: f64) -> Marks {
        let posed = |p: Point| on_page(pose.apply(p));
        // What is drawn on one half of an opened-out piece is on the other half too.
        let crease_y = match (form, shape.fold) {
            (Form::OpenedOut, Some((from, _))) => Some(from.y),
            _ => None,
        };
        let both = |p: Point| {
            let twin = crease_y.map(|y| Point::new(p.x, 2 * y - p.y)).filter(|&twin| twin != p);
            [Some(p), twin].into_iter().flatten()
        };
        let both_lines = |line: &[Point]| -> Vec<Vec<At>> {
            let own = line.iter().map(|&p| posed(p)).collect();
            let twin = crease_y.map(|y| line.iter().map(|p| posed(Point::new(p.x, 2 * y - p.y))).collect());
            [Some(own), twin].into_iter().flatten().collect()
        };
        let outline = form.of(shape);
        let grainline = inside(outline, shape.grainline);
        let narrow = outline.bounds().width().min(outline.bounds().height()) as f64 / GRID_PER_MM as f64;
        let notch = (text * 0.35).clamp(4.0, 8.0).min(narrow / 3.0);
        Marks {
            grainline: (posed(grainline.0), posed(grainline.1)),
            both_heads: nap == Nap::None,
            bracket: match (form, shape.fold) {
                (Form::OnFold, Some(fold)) => Some(bracket(outline, fold, pose, text, narrow)),
                _ => None,
            },
            crease: match (form, shape.fold) {
                (Form::OpenedOut, Some((from, to))) => Some((posed(from), posed(to))),
                _ => None,
            },
            notches: shape
                .notches
                .iter()
                .flat_map(|&p| both(p))
                .map(|p| inward(outline, p, notch))
                .map(|(from, to)| (turned(from, pose), turned(to, pose)))
                .collect(),
            holes: shape.drill_holes.iter().flat_map(|&p| both(p)).map(posed).collect(),
            lines: shape.internal_lines.iter().flat_map(|line| both_lines(line)).collect(),
            stitching: shape.stitching.iter().flat_map(|line| both_lines(line)).collect(),
        }
    }

    /// The stretches that words had better not cross.
    pub(crate) fn in_the_way(&self) -> Vec<Stretch> {
        let mut bars = vec![self.grainline];
        bars.extend(self.crease);
        bars.extend(self.bracket.iter().flat_map(|b| b.windows(2)).map(|w| (w[0], w[1])));
        bars.extend(self.notches.iter());
        bars.extend(self.holes.iter().map(|&h| (h, h)));
        bars.extend(self.lines.iter().flat_map(|line| line.windows(2)).map(|w| (w[0], w[1])));
        bars
    }
}

/// The grainline where it lies within the outline. Where the pattern has it beside the piece, or a size has shrunk away
/// from it, the longest stretch along the grain that does: only its direction says how to lay the piece.
pub(crate) fn inside(outline: &Polygon, grainline: (Point, Point)) -> (Point, Point) {
    let (bottom, top) = grainline;
    let step =
        |k: i64| Point::new(bottom.x + (top.x - bottom.x) * k / 16, bottom.y + (top.y - bottom.y) * k / 16);
    if (0..=16).all(|k| locate(outline.points(), step(k)) != PointLocation::Outside) {
        return grainline;
    }
    let bounds = outline.bounds();
    let mut longest = grainline;
    let mut reach = 0;
    for k in 1..24 {
        let y = bounds.low.y + bounds.height() * k / 24;
        let mut crossings: Vec<i64> = outline
            .edges()
            .filter(|(a, b)| (a.y > y) != (b.y > y))
            .map(|(a, b)| a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y))
            .collect();
        crossings.sort_unstable();
        for pair in crossings.chunks_exact(2) {
            let length = pair[1] - pair[0];
            if length > reach {
                reach = length;
                let room = length / 6;
                longest = (Point::new(pair[0] + room, y), Point::new(pair[1] - room, y));
            }
        }
    }
    longest
}

/// A mirrored and turned point in millimetres, turned over for the page.
fn turned(p: At, pose: Pose) -> At {
    // A pose is linear: its columns are what it does to the unit vectors.
    let (x, y) = (pose.apply(Point::new(1, 0)), pose.apply(Point::new(0, 1)));
    (p.0 * x.x as f64 + p.1 * y.x as f64, -(p.0 * x.y as f64 + p.1 * y.y as f64))
}

/// From a mark on the edge of `outline` straight inwards, in the outline's frame in millimetres.
fn inward(outline: &Polygon, mark: Point, length: f64) -> Stretch {
    let at = (mark.x as f64 / GRID_PER_MM as f64, mark.y as f64 / GRID_PER_MM as f64);
    let distance = |(a, b): (Point, Point)| {
        let (ab, am) = (b - a, mark - a);
        let t = (am.dot(ab) as f64 / ab.dot(ab) as f64).clamp(0.0, 1.0);
        (am.x as f64 - t * ab.x as f64).hypot(am.y as f64 - t * ab.y as f64)
    };
    let nearest = outline.edges().min_by(|&e, &f| distance(e).total_cmp(&distance(f)));
    let Some((a, b)) = nearest else { return (at, at) };
    let (dx, dy) = ((b - a).x as f64, (b - a).y as f64);
    let run = dx.hypot(dy);
    // The ring runs counter-clockwise: its inside is to the left.
    (at, (at.0 - dy / run * length, at.1 + dx / run * length))
}

/// The trade's sign for "place on the fold": a line beside the edge with both its ends turned to it.
fn bracket(outline: &Polygon, fold: (Point, Point), pose: Pose, text: f64, narrow: f64) -> [At; 4] {
    let middle = Point::new((fold.0.x + fold.1.x) / 2, fold.0.y);
    let above = locate(outline.points(), middle + Point::new(0, 1)) == PointLocation::Inside;
    let depth = (text * 0.55).min(narrow / 5.0) * if above { 1.0 } else { -1.0 };
    let (from, to) = (fold.0.x as f64 / GRID_PER_MM as f64, fold.1.x as f64 / GRID_PER_MM as f64);
    let inset = ((to - from) * 0.12).min(text * 2.0);
    let y = fold.0.y as f64 / GRID_PER_MM as f64;
    [(from + inset, y), (from + inset, y + depth), (to - inset, y + depth), (to - inset, y)]
        .map(|p| turned(p, pose))
}
