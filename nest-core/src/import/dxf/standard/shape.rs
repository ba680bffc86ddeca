//! The outline, grainline, fold edge, marks and lines of one block, from its layers.

use super::{Draft, Layer, layer};
use crate::geometry::DrawnPoint;
use crate::import::dxf::outline::{Boundary, boundary};
use crate::import::line::{Frame, Line, farthest};
use crate::import::pattern::PatternShape;
use crate::import::warning::{Notes, WarningKind};

/// One block's shape, before it is settled.
pub(super) struct Drawn {
    pub(super) shape: PatternShape,
    /// The outline on layer 1, whose lines meet at the same corners in every size.
    pub(super) boundary: Option<Boundary>,
}

/// Reads the layers of one block.
///
/// # Errors
/// Why its lines make no outline.
pub(super) fn shape(
    draft: &Draft,
    has_curve_points: bool,
    name: &str,
    place: &str,
    notes: &mut Notes,
) -> Result<Drawn, String> {
    let mirror = longest(draft.layer(layer::MIRROR)).and_then(ends);
    let given = boundary(draft.layer(layer::BOUNDARY).lines, mirror);
    let outline = match dense_outline(draft, mirror, given.as_ref().ok()) {
        Dense::Serves(dense) => dense,
        none => {
            let given = given.clone()?;
            if matches!(none, Dense::Differs) {
                notes.warn_of(place, WarningKind::DenseDiffers);
            } else if has_curve_points {
                notes.warn_of(name, WarningKind::ChordsOnly);
            }
            given
        }
    };
    if outline.gap > 0.05 {
        notes.warn_of(place, WarningKind::GapClosed(outline.gap));
    }
    let within = lines_to_draw(draft, name, notes);
    if let Ok(sew) = boundary(draft.layer(layer::SEW).lines, mirror)
        && sew.size() > outline.size()
    {
        notes.warn_of(name, WarningKind::SewLineOutside);
    }
    // Grainlines are drawn along +x in all six files.
    let grainline = longest(draft.layer(layer::GRAIN)).and_then(ends).unwrap_or_else(|| {
        notes.warn_of(place, WarningKind::NoGrainline("the file's x axis"));
        let frame = Frame::of(&outline.ring);
        let at = |part: f64| DrawnPoint::new(frame.low.x + frame.width() * part, frame.middle().y);
        [at(0.2), at(0.8)]
    });
    tell_unknown_layers(draft, notes);
    let shape = PatternShape {
        outline: outline.ring,
        grainline: Some(grainline),
        fold: mirror,
        notches: marks(draft, &layer::NOTCHES),
        drill_holes: marks(draft, &[layer::DRILL]),
        lines: [outline.rest, within].concat(),
        ..PatternShape::default()
    };
    Ok(Drawn { shape, boundary: given.ok() })
}

fn longest(layer: Layer) -> Option<Line> {
    layer.lines.into_iter().max_by(|a, b| a.length().total_cmp(&b.length()))
}

/// The two ends of a line, in the order in which it is drawn.
fn ends(line: Line) -> Option<[DrawnPoint; 2]> {
    let [a, b] = farthest(&line.points)?;
    let at = |p: DrawnPoint| line.points.iter().position(|&q| q == p);
    Some(if at(a) <= at(b) { [a, b] } else { [b, a] })
}

/// What layer 84 says of the outline.
enum Dense {
    Absent,
    /// It is not the outline of layer 1, or none at all.
    Differs,
    Serves(Boundary),
}

/// Layer 84 repeats the outline densely; layer 1 holds the control points of its curves alone.
fn dense_outline(draft: &Draft, mirror: Option<[DrawnPoint; 2]>, given: Option<&Boundary>) -> Dense {
    let lines = draft.layer(layer::DENSE).lines;
    if lines.is_empty() {
        return Dense::Absent;
    }
    // In the sample files the two areas differ by up to 0.34 %.
    let agrees =
        |dense: &Boundary| given.is_none_or(|given| (dense.size() / given.size() - 1.0).abs() < 0.05);
    boundary(lines, mirror).ok().filter(agrees).map_or(Dense::Differs, Dense::Serves)
}

/// Internal lines, cut-outs, stitching lines and lines of stripes, each from its dense layer where it has one.
fn lines_to_draw(draft: &Draft, name: &str, notes: &mut Notes) -> Vec<Line> {
    let drawn = |plain: u32, dense: Option<u32>| -> Vec<Line> {
        let found = dense.map(|d| draft.layer(d).lines).filter(|lines| !lines.is_empty());
        found.unwrap_or_else(|| draft.layer(plain).lines)
    };
    let internal = drawn(layer::INTERNAL, Some(layer::DENSE + 1));
    let cut_outs = drawn(layer::CUT_OUTS, Some(layer::DENSE + 2));
    let sew = drawn(layer::SEW, Some(layer::DENSE + 3));
    let stripes = [drawn(layer::STRIPE, None), drawn(layer::PLAID, None)].concat();
    if !cut_outs.is_empty() {
        notes.warn_of(name, WarningKind::CutOuts(cut_outs.len()));
    }
    if !stripes.is_empty() {
        notes.warn_of(name, WarningKind::StripeLines(stripes.len()));
    }
    [internal, cut_outs, sew, stripes].concat()
}

/// The points of some layers, and the middles of their lines.
fn marks(draft: &Draft, layers: &[u32]) -> Vec<DrawnPoint> {
    let mut marks = Vec::new();
    for layer in layers.iter().map(|&number| draft.layer(number)) {
        marks.extend(layer.points);
        marks.extend(layer.lines.iter().map(|line| line.frame().middle()));
    }
    marks
}

fn tell_unknown_layers(draft: &Draft, notes: &mut Notes) {
    let is_known = |number: &u32| {
        layer::SILENT.contains(number)
            || layer::NOTCHES.contains(number)
            || matches!(number, 1..=14)
            || (84..=87).contains(number)
    };
    for (number, layer) in draft.layers.iter().filter(|(number, _)| !is_known(number)) {
        let count = layer.lines.len() + layer.points.len();
        notes.warn(WarningKind::UnknownLayer { layer: number.to_string(), count });
    }
}
