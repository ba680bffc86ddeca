//! The pieces of the file, each with its shape in each size.

use std::collections::BTreeMap;

use super::cloths::DEFAULT_KIND;
use super::faults::Faults;
use super::frame::FileFrame;
use super::names::{Names, checked_name};
use super::numbers::{count, not_negative};
use super::shape::shape;
use crate::job::ProblemKind;
use crate::job::file::{GrainName, JobFile, PieceFile, ShapeFile};
use crate::job::limits::{MAX_CUT, MAX_PIECES, MAX_POINTS};
use crate::length::{Length, Unit};
use crate::piece::{Grain, Piece, PieceShape};

/// A piece, or at least its name.
pub(super) struct Resolved {
    pub(super) id: String,
    /// None when something was complained of.
    pub(super) piece: Option<Piece>,
}

/// Every piece of the file, in its order; none when the list itself is at fault.
pub(super) fn pieces(file: &JobFile, unit: Unit, sizes: &Names, faults: &mut Faults) -> Vec<Resolved> {
    let frame = FileFrame::new(file, unit, faults);
    if !faults.holds_some("pieces", file.pieces.len(), MAX_PIECES, "pieces", false) {
        return Vec::new();
    }
    let mut ids = Names::default();
    let mut points = 0;
    let mut resolved = Vec::new();
    for (i, piece) in file.pieces.iter().enumerate() {
        let place = format!("pieces[{i}]");
        ids.add(format!("{place}.id"), &piece.id, "piece", faults);
        faults.about(Some(&piece.id));
        let piece_read = if points <= MAX_POINTS {
            one_piece(piece, sizes, &frame, &place, &mut points, faults)
        } else {
            None
        };
        faults.about(None);
        resolved.push(Resolved { id: piece.id.clone(), piece: piece_read });
    }
    if points > MAX_POINTS {
        faults.add("pieces", ProblemKind::TooManyPointsInAll(MAX_POINTS));
    }
    resolved
}

/// How many to cut when the file does not say, or says something that is complained of elsewhere.
pub(super) fn default_cut(piece: &PieceFile) -> u32 {
    match piece.cut {
        Some(cut) if (1.0..=f64::from(MAX_CUT)).contains(&cut) => cut as u32,
        None if piece.pairs => 2,
        _ => 1,
    }
}

fn one_piece(
    file: &PieceFile,
    sizes: &Names,
    frame: &FileFrame,
    place: &str,
    points: &mut usize,
    faults: &mut Faults,
) -> Option<Piece> {
    let at = |field: &str| format!("{place}.{field}");
    let cut = match file.cut {
        Some(cut) => count(cut, MAX_CUT, &at("cut"), faults),
        None => default_cut(file),
    };
    if file.pairs && cut % 2 != 0 {
        faults.add(at("cut"), ProblemKind::OddPairs(cut));
    }
    let name = file.name.as_ref().map(|name| checked_name(at("name"), name, faults));
    let seam = not_negative(file.seam_allowance, frame.unit, &at("seam_allowance"), faults);
    let shapes = shapes(file, seam, sizes, frame, place, points, faults)?;
    Some(Piece {
        id: file.id.clone(),
        name: name.unwrap_or_else(|| file.id.clone()),
        cloth: file.cloth.clone().unwrap_or_else(|| DEFAULT_KIND.to_owned()),
        cut,
        pairs: file.pairs,
        grain: match file.grain {
            GrainName::Lengthwise => Grain::Lengthwise,
            GrainName::Crosswise => Grain::Crosswise,
            GrainName::Either => Grain::Either,
        },
        shapes,
    })
}

/// The shape in each size; none when one of them was complained of.
fn shapes(
    file: &PieceFile,
    seam: Length,
    sizes: &Names,
    frame: &FileFrame,
    place: &str,
    points: &mut usize,
    faults: &mut Faults,
) -> Option<BTreeMap<String, PieceShape>> {
    let mut one_shape = |shape_file: &ShapeFile, place: &str, faults: &mut Faults| {
        if file.pairs && shape_file.fold_edge.is_some() {
            faults.add(format!("{place}.fold_edge"), ProblemKind::FoldInPairs);
        }
        shape(shape_file, seam, frame, place, points, faults)
    };
    let Some(by_size) = &file.sizes else {
        let Some(own) = own_shape(file) else {
            faults.add(place, ProblemKind::NoShape);
            return None;
        };
        let shape = one_shape(&own, place, faults)?;
        *points += shape.outline.points().len() * sizes.as_slice().len().saturating_sub(1);
        if *points > MAX_POINTS {
            return None;
        }
        return Some(sizes.as_slice().iter().map(|size| (size.clone(), shape.clone())).collect());
    };
    if let Some(field) = own_field(file) {
        faults.add(format!("{place}.{field}"), ProblemKind::ShapeAndSizes(field));
        return None;
    }
    if by_size.0.is_empty() {
        faults.add(format!("{place}.sizes"), ProblemKind::Empty { what: "shapes", optional: false });
    }
    let mut shapes = BTreeMap::new();
    for (size, shape_file) in &by_size.0 {
        let place = format!("{place}.sizes.{size}");
        if sizes.index(size).is_none() {
            // With no sizes at all, the list of sizes was complained of.
            if !sizes.as_slice().is_empty() {
                let (name, known) = (size.clone(), sizes.choice());
                faults.add(place, ProblemKind::Unknown { what: "size", name, known, list: "sizes" });
            }
        } else if let Some(shape) = one_shape(shape_file, &place, faults) {
            shapes.insert(size.clone(), shape);
        }
    }
    (shapes.len() == by_size.0.len()).then_some(shapes)
}

/// The first field of a shape that stands beside the piece's id.
fn own_field(file: &PieceFile) -> Option<&'static str> {
    [
        ("outline", file.outline.is_some()),
        ("grainline", file.grainline.is_some()),
        ("fold_edge", file.fold_edge.is_some()),
        ("notches", !file.notches.is_empty()),
        ("drill_holes", !file.drill_holes.is_empty()),
        ("internal_lines", !file.internal_lines.is_empty()),
    ]
    .into_iter()
    .find_map(|(field, is_there)| is_there.then_some(field))
}

/// The shape that stands beside the piece's id.
fn own_shape(file: &PieceFile) -> Option<ShapeFile> {
    Some(ShapeFile {
        outline: file.outline.clone()?,
        grainline: file.grainline,
        fold_edge: file.fold_edge,
        notches: file.notches.clone(),
        drill_holes: file.drill_holes.clone(),
        internal_lines: file.internal_lines.clone(),
    })
}
