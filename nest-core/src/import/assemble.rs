//! Pieces found in a drawing put together to a pattern: named, their sizes brought together, each shape settled.

use std::collections::BTreeMap;

use super::gather::Found;
use super::pattern::{Pattern, PatternPiece};
use super::settle::settle;
use super::warning::{Notes, WarningKind};
use super::words::tidy_name;
use crate::length::Unit;
use crate::piece::Grain;

/// The pattern that the pieces make.
pub(super) fn assemble(found: Vec<Found>, unit: Unit, notes: &mut Notes) -> Pattern {
    let mut pieces: Vec<PatternPiece> = Vec::new();
    let mut sizes: Vec<String> = Vec::new();
    // By name, without regard to case.
    let mut index: BTreeMap<String, usize> = BTreeMap::new();
    for (n, found) in found.into_iter().enumerate() {
        let mut name =
            found.name.map(|name| tidy_name(&name)).filter(|name| !name.is_empty()).unwrap_or_else(|| {
                let name = format!("piece {}", n + 1);
                notes.warn_of(&name, WarningKind::Named(name.clone()));
                name
            });
        let size = found.traits.size.clone();
        let taken = |key: &str, index: &BTreeMap<String, usize>, pieces: &[PatternPiece]| {
            index.get(key).is_some_and(|&i| {
                size.is_none() || pieces[i].shapes.iter().any(|(s, _)| s.is_none() || *s == size)
            })
        };
        if taken(&name.to_lowercase(), &index, &pieces) {
            notes.warn_of(&name, WarningKind::SameName);
            let first = name.clone();
            let mut number = 2;
            while taken(&name.to_lowercase(), &index, &pieces) {
                name = format!("{first} {number}");
                number += 1;
            }
        }
        let at = *index.entry(name.to_lowercase()).or_insert(pieces.len());
        let place = match &size {
            Some(size) => format!("{name}, size {size}"),
            None => name.clone(),
        };
        let traits = found.traits;
        if at == pieces.len() {
            if traits.cut.is_none() && traits.pairs != Some(true) {
                notes.warn_of(&name, WarningKind::NoCount);
            }
            pieces.push(PatternPiece {
                name: name.clone(),
                cloth: traits.cloth,
                cut: traits.cut.unwrap_or(if traits.pairs == Some(true) { 2 } else { 1 }),
                pairs: traits.pairs.unwrap_or(false),
                grain: traits.grain.unwrap_or(Grain::Lengthwise),
                seam: traits.seam.unwrap_or(0.0),
                shapes: Vec::new(),
            });
        }
        let pairs = pieces[at].pairs;
        match settle(found.shape, &place, notes) {
            Ok(shape) => {
                pieces[at].pairs = pairs && shape.fold.is_none();
                if pairs && shape.fold.is_some() {
                    notes.warn_of(&name, WarningKind::FoldInPairs);
                }
                if let Some(size) = &size
                    && !sizes.contains(size)
                {
                    sizes.push(size.clone());
                }
                pieces[at].shapes.push((size, shape));
            }
            Err(reason) => notes.leave_out(place, reason),
        }
        if pieces[at].pairs && !pieces[at].cut.is_multiple_of(2) {
            notes.warn_of(&name, WarningKind::OddPairs(pieces[at].cut));
            pieces[at].cut += 1;
        }
    }
    pieces.retain(|piece| !piece.shapes.is_empty());
    let sizes = smallest_first(sizes, &pieces, notes);
    Pattern { name: None, unit, sizes, base_size: None, pieces }
}

/// The sizes in the order of the area of the pieces that are there in all of them.
pub(super) fn smallest_first(sizes: Vec<String>, pieces: &[PatternPiece], notes: &mut Notes) -> Vec<String> {
    let in_all = |piece: &&PatternPiece| {
        sizes.iter().all(|size| piece.shapes.iter().any(|(s, _)| s.as_ref() == Some(size)))
    };
    let common: Vec<&PatternPiece> = pieces.iter().filter(in_all).collect();
    let mut by_area: Vec<(f64, &String)> = sizes
        .iter()
        .map(|size| {
            let shapes = common.iter().flat_map(|piece| &piece.shapes);
            (shapes.filter(|(s, _)| s.as_ref() == Some(size)).map(|(_, shape)| shape.area()).sum(), size)
        })
        .collect();
    by_area.sort_by(|a, b| a.0.total_cmp(&b.0));
    let ordered: Vec<String> = by_area.into_iter().map(|(_, size)| size.clone()).collect();
    if ordered != sizes {
        notes.warn(WarningKind::SizesByArea(ordered.join(", ")));
    }
    ordered
}
