//! [`LineWork`]: a marker as lines of known kinds and words, for whatever draws or cuts: paper, projector, plotter, knife.
//!
//! # Frame and units
//! Millimetres in the lay frame: x along the cloth from the start, y across it, upwards from the edge nearest the cutter.
//! Outlines keep the grid's hundredths exactly.

use std::collections::BTreeMap;

use crate::check::Checked;
use crate::cloth::Nap;
use crate::draw::label::{Label, Words, label};
use crate::draw::lettering::clean;
use crate::draw::marks::{Marks, on_page};
use crate::draw::piece::{shown_size, told};
use crate::geometry::{Point, Polygon, Pose};
use crate::job::Job;
use crate::length::GRID_PER_MM;
use crate::marker::{Form, Marker, Placement};
use crate::piece::PieceShape;
use crate::spread::{BandEdge, Plies};

/// A point in millimetres.
pub(super) type At = (f64, f64);

/// Largest size of the words on a piece, in millimetres: they are read at arm's length, at true size.
const TEXT: f64 = 9.0;

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    /// To be cut along.
    Cut,
    /// The edge of a piece that lies on a fold: never cut.
    OnFold,
    /// A notch, from the edge inwards.
    Notch,
    /// Drawn on the piece.
    Internal,
    /// The stitching line.
    Stitching,
    /// The grainline, from bottom to top, with its heads.
    Grain,
    /// The line about which a half is opened out.
    Crease,
    /// A fold of the cloth.
    ClothFold,
    /// Any other edge of the cloth, and of a flap.
    ClothEdge,
}

/// A line through some points.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stroke {
    pub(super) kind: Kind,
    pub(super) points: Vec<At>,
    /// Is the last point joined to the first?
    pub(super) closed: bool,
}

/// A line of words.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Line {
    pub(super) text: String,
    /// The middle of its foot.
    pub(super) foot: At,
    /// Size of type; capitals are 0.73 of it.
    pub(super) size: f64,
    /// Degrees counter-clockwise.
    pub(super) angle: f64,
}

/// All lines of one placement.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PieceLines {
    /// What is drawn, in the order in which a knife or a pen should go: the outline last.
    pub(super) strokes: Vec<Stroke>,
    /// Centres of drill holes.
    pub(super) holes: Vec<At>,
    pub(super) words: Vec<Line>,
}

/// All lines of a marker.
pub(super) struct LineWork {
    /// Of the lay.
    pub(super) length: f64,
    /// Of the lay.
    pub(super) width: f64,
    /// In the order of the placements.
    pub(super) pieces: Vec<PieceLines>,
    /// The edges of the cloth and of its flaps.
    pub(super) cloth: Vec<Stroke>,
}

/// What decides the marks and words of a placement.
type Laid = (usize, usize, Form, Pose, Plies);

impl LineWork {
    pub(super) fn new(job: &Job, checked: &Checked) -> LineWork {
        let marker = checked.marker();
        let nap = job.cloths.iter().find(|c| c.kind == marker.cloth).map_or(Nap::None, |c| c.nap);
        let mut alike: BTreeMap<Laid, (Marks, Option<Label>)> = BTreeMap::new();
        let pieces = marker
            .placements
            .iter()
            .map(|p| {
                let shape = job.style.shape(p.piece, p.size);
                let dressed = alike
                    .entry((p.piece, p.size, p.form, p.pose, p.plies))
                    .or_insert_with(|| dressed(job, p, shape, nap));
                piece(p, shape, &dressed.0, dressed.1.as_ref())
            })
            .collect();
        let width = marker.spread.sections.iter().map(|s| s.width.mm()).fold(0.0, f64::max);
        LineWork { length: marker.spread.lay_length().mm(), width, pieces, cloth: cloth(marker) }
    }
}

fn dressed(job: &Job, placement: &Placement, shape: &PieceShape, nap: Nap) -> (Marks, Option<Label>) {
    let marks = Marks::new(shape, placement.form, placement.pose, nap, TEXT);
    let outline = placement.outline(shape).shifted(-placement.position);
    let ring: Vec<At> = outline.points().iter().map(|&p| on_page(p)).collect();
    let words = Words {
        number: (placement.piece + 1).to_string(),
        name: clean(&job.style.pieces[placement.piece].name),
        size: clean(shown_size(job, placement.size)),
        way: told(placement, shape),
    };
    let label = label(&words, &ring, &marks.in_the_way(), TEXT);
    (marks, label)
}

fn mm(p: Point) -> At {
    (p.x as f64 / GRID_PER_MM as f64, p.y as f64 / GRID_PER_MM as f64)
}

fn piece(placement: &Placement, shape: &PieceShape, marks: &Marks, label: Option<&Label>) -> PieceLines {
    let origin = mm(placement.position);
    // Marks are about the placement's position with y down, as a page has it.
    let at = |p: At| (origin.0 + p.0, origin.1 - p.1);
    let open = |kind: Kind, points: Vec<At>| Stroke { kind, points, closed: false };
    let mut strokes = Vec::new();
    let (bottom, top) = marks.grainline;
    let head = |from: At, tip: At| {
        let run = (tip.0 - from.0).hypot(tip.1 - from.1);
        let long = (TEXT * 0.55).min(run * 0.25);
        let (ux, uy) = ((tip.0 - from.0) / run, (tip.1 - from.1) / run);
        let wing =
            |side: f64| (tip.0 - long * (ux - side * 0.35 * uy), tip.1 - long * (uy + side * 0.35 * ux));
        [wing(1.0), tip, wing(-1.0)].map(at).to_vec()
    };
    strokes.push(open(Kind::Grain, vec![at(bottom), at(top)]));
    strokes.push(open(Kind::Grain, head(bottom, top)));
    if marks.both_heads {
        strokes.push(open(Kind::Grain, head(top, bottom)));
    }
    if let Some((from, to)) = marks.crease {
        strokes.push(open(Kind::Crease, vec![at(from), at(to)]));
    }
    for line in &marks.lines {
        strokes.push(open(Kind::Internal, line.iter().map(|&p| at(p)).collect()));
    }
    for line in &marks.stitching {
        // Of a half it runs from one end of the fold to the other; of a whole piece it closes.
        strokes.push(Stroke {
            kind: Kind::Stitching,
            points: line.iter().map(|&p| at(p)).collect(),
            closed: shape.fold.is_none(),
        });
    }
    for &(from, to) in &marks.notches {
        strokes.push(open(Kind::Notch, vec![at(from), at(to)]));
    }
    strokes.extend(outline(placement, shape));
    let words = label.map_or_else(Vec::new, |label| {
        label
            .placed()
            .into_iter()
            .map(|l| Line { text: l.text, foot: at(l.foot), size: l.size, angle: -l.angle })
            .collect()
    });
    PieceLines { strokes, holes: marks.holes.iter().map(|&p| at(p)).collect(), words }
}

/// The outline: closed and all to be cut; or, of a half on a fold, open, its fold edge apart and before it.
fn outline(placement: &Placement, shape: &PieceShape) -> Vec<Stroke> {
    let ring = placement.outline(shape);
    let fold = shape.fold.filter(|_| placement.form == Form::OnFold);
    if let Some((a, b)) = fold {
        let lies = |p: Point| placement.pose.apply(p) + placement.position;
        if let Some((cut, fold)) = without(&ring, lies(a), lies(b)) {
            let stroke = |kind, points: Vec<Point>| Stroke {
                kind,
                points: points.into_iter().map(mm).collect(),
                closed: false,
            };
            return vec![stroke(Kind::OnFold, fold), stroke(Kind::Cut, cut)];
        }
    }
    let points = ring.points().iter().map(|&p| mm(p)).collect();
    vec![Stroke { kind: Kind::Cut, points, closed: true }]
}

/// The ring without the stretch from `a` to `b` (in either direction) of one of its edges: what is left, and the stretch.
fn without(ring: &Polygon, a: Point, b: Point) -> Option<(Vec<Point>, Vec<Point>)> {
    let points = ring.points();
    let n = points.len();
    let on = |p: Point, q: Point, m: Point| {
        (q - p).cross(m - p) == 0 && (m - p).dot(q - p) >= 0 && (m - q).dot(p - q) >= 0
    };
    let i =
        (0..n).find(|&i| on(points[i], points[(i + 1) % n], a) && on(points[i], points[(i + 1) % n], b))?;
    let (p, q) = (points[i], points[(i + 1) % n]);
    let (first, second) = if (a - p).dot(q - p) <= (b - p).dot(q - p) { (a, b) } else { (b, a) };
    let mut left = vec![second];
    left.extend((1..=n).map(|k| points[(i + k) % n]));
    left.push(first);
    left.dedup();
    Some((left, vec![first, second]))
}

/// Folds, selvages, flaps' ends, and the ends of the sections.
fn cloth(marker: &Marker) -> Vec<Stroke> {
    let mut strokes = Vec::new();
    for section in &marker.spread.sections {
        let (from, to) = (section.start.mm(), section.start.mm() + section.length.mm());
        let width = section.width.mm();
        let stroke = |kind, points: [At; 2]| Stroke { kind, points: points.to_vec(), closed: false };
        let kind = |edge: BandEdge| if edge == BandEdge::Fold { Kind::ClothFold } else { Kind::ClothEdge };
        if let (Some(first), Some(last)) = (section.bands.first(), section.bands.last()) {
            strokes.push(stroke(kind(first.low_edge), [(from, 0.0), (to, 0.0)]));
            strokes.push(stroke(kind(last.high_edge), [(from, width), (to, width)]));
        }
        for pair in section.bands.windows(2) {
            // Where two plies end and one begins; two flaps that meet have a line each.
            let mut ys: Vec<f64> = match (pair[0].plies, pair[1].plies) {
                (Plies::Two, Plies::One) => vec![pair[1].low as f64 / 100.0],
                (Plies::One, Plies::Two) => vec![pair[0].high as f64 / 100.0],
                _ => vec![pair[0].high as f64 / 100.0, pair[1].low as f64 / 100.0],
            };
            ys.dedup();
            strokes.extend(ys.into_iter().map(|y| stroke(Kind::ClothEdge, [(from, y), (to, y)])));
        }
        let start = if section.fold_at_start { Kind::ClothFold } else { Kind::ClothEdge };
        strokes.push(stroke(start, [(from, 0.0), (from, width)]));
        strokes.push(stroke(Kind::ClothEdge, [(to, 0.0), (to, width)]));
    }
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::check;
    use crate::invented;

    #[test]
    fn a_fold_edge_is_never_cut() {
        let (_, job, marker) = invented::lengthwise_fold();
        let lines = LineWork::new(&job, &check(&job, &marker).unwrap());
        for (piece, placement) in lines.pieces.iter().zip(&marker.placements) {
            let of = |kind| piece.strokes.iter().filter(move |s| s.kind == kind).collect::<Vec<_>>();
            let (cut, fold) = (of(Kind::Cut), of(Kind::OnFold));
            assert_eq!(cut.len(), 1);
            if placement.form == Form::OnFold {
                assert!(!cut[0].closed && fold.len() == 1);
                assert!(fold[0].points.iter().all(|p| p.1 == 0.0), "it lies on the fold");
                let ends = [cut[0].points[0], *cut[0].points.last().unwrap()];
                assert_eq!(
                    ends,
                    [fold[0].points[1], fold[0].points[0]],
                    "the cut begins where the fold edge ends"
                );
                let inner = &cut[0].points[1..cut[0].points.len() - 1];
                assert!(inner.iter().all(|p| p.1 > 0.0));
            } else {
                assert!(cut[0].closed && fold.is_empty());
            }
        }
    }

    #[test]
    fn a_stretch_of_an_edge_is_taken_out() {
        let ring = Polygon::rectangle(10, 4);
        let at = Point::new;
        let (left, out) = without(&ring, at(7, 0), at(2, 0)).unwrap();
        assert_eq!(out, [at(2, 0), at(7, 0)]);
        assert_eq!(left, [at(7, 0), at(10, 0), at(10, 4), at(0, 4), at(0, 0), at(2, 0)]);
        let (left, _) = without(&ring, at(0, 0), at(10, 0)).unwrap();
        assert_eq!(left, [at(10, 0), at(10, 4), at(0, 4), at(0, 0)]);
        assert_eq!(without(&ring, at(1, 1), at(2, 1)), None);
    }
}
