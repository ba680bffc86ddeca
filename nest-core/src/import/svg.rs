//! SVG: shapes and paths at true size, sorted to pieces by name, by role and by where they lie.
//!
//! One piece is one group that a person named as a piece, or one closed line that lies in no other. What a thing is and how
//! the piece is cut is said in `data-` attributes, or in names by the convention in `words`:
//!
//! | attribute | on | meaning |
//! |---|---|---|
//! | `data-piece="Front"` | group or outline | the name of the piece; a group with it is one piece |
//! | `data-cut="2"`, `data-pairs="yes"` | piece, or a group around pieces | how many to cut, and whether as left and right |
//! | `data-size="38"`, `data-cloth="lining"` | the same | the size, the kind of cloth |
//! | `data-grain="crosswise"` | the same | `lengthwise`, `crosswise` or `either` |
//! | `data-seam="10mm"` | the same | seam allowance to add, when the outline is the stitching line |
//! | `data-role="grainline"` | any line, or a group of them | `outline`, `grainline`, `fold`, `notch`, `drill`, `internal`, `scale`, `ignore` |
//! | `data-length="100mm"` | a line with the role `scale` | its true length |
//!
//! Where there is no such attribute, the name is read: the layer or object name of a drawing program, a `<title>`, or the
//! `id`. A grainline is drawn from the bottom of the piece to its top. A small circle on a piece is a drill hole, and any
//! other line on it without a role is drawn on it.

mod css;
mod element;
mod scale;
mod shape;
mod walk;
mod xml;

use super::ImportSettings;
use super::assemble::assemble;
use super::fault::ImportError;
use super::gather::gather;
use super::line::Frame;
use super::pattern::Pattern;
use super::warning::{Notes, WarningKind};
use super::words::tidy_name;
use crate::length::Unit;
use walk::Drawing;

/// Reads an SVG document.
///
/// # Errors
/// An [`ImportError`] when nothing can be taken from it.
///
/// # Complexity
/// That of sorting the lines to pieces; bounded by the limits.
pub(super) fn read(text: &str, settings: &ImportSettings, notes: &mut Notes) -> Result<Pattern, ImportError> {
    xml::check_entities(text)?;
    let document = xml::parse(text)?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        return Err(ImportError::NotSvg(root.tag_name().name().chars().take(40).collect()));
    }
    let scale = scale::scale(&root, settings.unit, notes);
    let mut drawing = walk::walk(&document, &scale, settings.tolerance, notes)?;
    correct_scale(&mut drawing, notes);
    drop_page_frame(&mut drawing, notes);
    let found = gather(drawing.marks, &drawing.names, notes);
    let mut pattern = assemble(found, scale.unit.unwrap_or(Unit::Mm), notes);
    let title = root.children().find(|child| child.has_tag_name((xml::SVG, "title")));
    pattern.name = title.and_then(|t| t.text()).map(tidy_name).filter(|name| !name.is_empty());
    if pattern.pieces.is_empty() && notes.left_out.is_empty() {
        leave_out_bad_shapes(notes);
    }
    if pattern.pieces.is_empty() && notes.left_out.is_empty() {
        return Err(ImportError::NoPieces("a piece is a closed path or shape of at least 1 cm2"));
    }
    Ok(pattern)
}

/// Of a drawing without a piece, the shapes that could not be drawn are what its pieces should have been.
fn leave_out_bad_shapes(notes: &mut Notes) {
    for warning in std::mem::take(&mut notes.warnings) {
        match warning.kind {
            WarningKind::BadShape(fault) => {
                warning.places.into_iter().for_each(|place| notes.leave_out(place, fault.clone()));
            }
            _ => notes.warnings.push(warning),
        }
    }
}

/// Multiplies everything so that the line of known length gets that length.
fn correct_scale(drawing: &mut Drawing, notes: &mut Notes) {
    /// A line drawn by hand is as true as its ends.
    const TRUE: f64 = 0.002;
    for (line, said) in &drawing.scales {
        let Some(said) = *said else {
            notes.warn(WarningKind::ScaleWithoutLength);
            continue;
        };
        let frame = line.frame();
        let drawn = if line.closed { frame.width().max(frame.height()) } else { line.length() };
        let factor = said / drawn;
        if !factor.is_finite() || factor <= 0.0 {
            continue;
        }
        // The line tells the scale, so it is no longer a guess.
        notes.warnings.retain(|warning| warning.kind != WarningKind::PixelScale);
        if (factor - 1.0).abs() > TRUE {
            notes.warn(WarningKind::ScaleCorrected { drawn, said });
            for p in drawing.marks.iter_mut().flat_map(|mark| &mut mark.line.points) {
                *p = (p.to_vec2() * factor).to_point();
            }
            let [low, high] = [drawing.page.low, drawing.page.high];
            drawing.page = Frame {
                low: (low.to_vec2() * factor).to_point(),
                high: (high.to_vec2() * factor).to_point(),
            };
        }
        return;
    }
}

/// Drops a rectangle without a name that frames the page, when there is something else to take.
fn drop_page_frame(drawing: &mut Drawing, notes: &mut Notes) {
    let page = drawing.page;
    let slack = 0.005 * page.width().max(page.height());
    let is_frame = |mark: &super::gather::Mark| {
        let frame = mark.line.frame();
        mark.line.closed
            && mark.line.points.len() == 4
            && mark.role.is_none()
            && mark.name.is_none()
            && mark.piece.is_none()
            && frame.low.distance(page.low) <= slack
            && frame.high.distance(page.high) <= slack
    };
    let others = drawing.marks.iter().any(|mark| mark.line.closed && !is_frame(mark));
    let before = drawing.marks.len();
    if others {
        drawing.marks.retain(|mark| !is_frame(mark));
    }
    if drawing.marks.len() < before {
        notes.warn(WarningKind::PageFrame);
    }
}
