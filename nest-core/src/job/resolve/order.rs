//! The garments wanted, and whether the pieces and cloths of the file serve them.

use std::collections::BTreeSet;

use super::cloths::DEFAULT_KIND;
use super::faults::Faults;
use super::names::Names;
use super::numbers::count;
use super::pieces::default_cut;
use crate::cloth::{Cloth, ClothForm};
use crate::job::file::JobFile;
use crate::job::limits::{MAX_BY_AREA, MAX_COPIES, MAX_GARMENTS, MAX_ORDER_LINES};
use crate::job::problem::Choice;
use crate::job::{Job, Problem, ProblemKind};
use crate::length::Length;
use crate::order::OrderLine;
use crate::style::View;

/// The order's lines. A line that was complained of is left out.
pub(super) fn order(file: &JobFile, views: &[View], sizes: &Names, faults: &mut Faults) -> Vec<OrderLine> {
    let Some(list) = &file.order else {
        return vec![OrderLine { view: 0, size: 0, garments: 1 }];
    };
    if !faults.holds_some("order", list.len(), MAX_ORDER_LINES, "garments", true) {
        return Vec::new();
    }
    let view_choice = || Choice::of(views.iter().map(|view| &*view.name));
    let mut lines = Vec::new();
    for (i, line) in list.iter().enumerate() {
        let at = |field: &str| format!("order[{i}].{field}");
        let view = match &line.view {
            Some(name) => {
                let found = views.iter().position(|view| view.name == *name);
                found.ok_or_else(|| unknown(name, "view", view_choice(), "views"))
            }
            None if views.len() > 1 => Err(ProblemKind::ViewWanted(view_choice())),
            None => Ok(0),
        };
        let size = match &line.size {
            Some(name) => sizes.index(name).ok_or_else(|| unknown(name, "size", sizes.choice(), "sizes")),
            None if sizes.as_slice().len() > 1 => Err(ProblemKind::SizeWanted(sizes.choice())),
            None => Ok(0),
        };
        let garments = line.garments.map_or(1, |n| count(n, MAX_GARMENTS, &at("garments"), faults));
        match (view, size) {
            (Ok(view), Ok(size)) => lines.push(OrderLine { view, size, garments }),
            (view, size) => {
                for (field, missing, kind) in
                    [("view", line.view.is_none(), view.err()), ("size", line.size.is_none(), size.err())]
                {
                    if let Some(kind) = kind {
                        faults.add(if missing { format!("order[{i}]") } else { at(field) }, kind);
                    }
                }
            }
        }
    }
    lines
}

fn unknown(name: &str, what: &'static str, known: Choice, list: &'static str) -> ProblemKind {
    ProblemKind::Unknown { what, name: name.to_owned(), known, list }
}

/// Complains of ordered pieces that have no shape in the size or no cloth to be cut from, and of orders beyond measure.
pub(super) fn check_served(
    file: &JobFile,
    order: &[OrderLine],
    views: &[View],
    sizes: &Names,
    cloths: &[Cloth],
    faults: &mut Faults,
) {
    let kinds: BTreeSet<&str> = cloths.iter().map(|cloth| &*cloth.kind).collect();
    let shapes: Vec<Option<BTreeSet<&str>>> = file
        .pieces
        .iter()
        .map(|piece| piece.sizes.as_ref().map(|by_size| by_size.0.iter().map(|(size, _)| &**size).collect()))
        .collect();
    // The pieces whose cloth, and the pieces and sizes whose shape, was complained of already.
    let (mut no_cloth, mut no_shape) = (BTreeSet::new(), BTreeSet::new());
    let mut copies: u64 = 0;
    for (l, line) in order.iter().enumerate() {
        let (Some(view), Some(size)) = (views.get(line.view), sizes.as_slice().get(line.size)) else {
            continue;
        };
        let wanted_by = || if file.order.is_some() { format!("order[{l}]") } else { "the order".to_owned() };
        for &p in &view.pieces {
            let piece = &file.pieces[p];
            copies += u64::from(line.garments) * u64::from(default_cut(piece));
            let lacks_shape = shapes[p].as_ref().is_some_and(|sizes| !sizes.contains(&**size));
            if lacks_shape && no_shape.insert((p, line.size)) {
                faults.about(Some(&piece.id));
                let kind = ProblemKind::MissingSize { size: size.clone(), wanted_by: wanted_by() };
                faults.add(format!("pieces[{p}].sizes"), kind);
            }
            let kind = piece.cloth.as_deref().unwrap_or(DEFAULT_KIND);
            // With no cloth at all, the list of cloths was complained of.
            if !kinds.is_empty() && !kinds.contains(kind) && no_cloth.insert(p) {
                faults.about(Some(&piece.id));
                let known = Choice::of(cloths.iter().map(|cloth| &*cloth.kind));
                let (kind, wanted_by) = (kind.to_owned(), wanted_by());
                faults
                    .add(format!("pieces[{p}].cloth"), ProblemKind::MissingCloth { kind, wanted_by, known });
            }
        }
    }
    faults.about(None);
    if copies > MAX_COPIES {
        faults
            .add("order", ProblemKind::TooMany { what: "copies of pieces", count: copies, most: MAX_COPIES });
    }
}

/// Complains of cloths of which the order takes more than can be handled. What is cut from remnants is not laid on the roll.
pub(super) fn check_length(job: &Job) -> Result<(), Vec<Problem>> {
    let mut faults = Faults::default();
    for cloth in job.cloths.iter().filter(|cloth| cloth.remnants.is_empty()) {
        let area: f64 = job.wants(&cloth.kind).iter().map(|want| want.area_mm2(&job.style)).sum();
        let plies = if cloth.form == ClothForm::Tube { 2.0 } else { 1.0 };
        let length = area / (cloth.usable_width().mm() * plies);
        if length > Length::from_grid(MAX_BY_AREA).mm() {
            let (cloth, metres) = (cloth.kind.clone(), (length / 1000.0) as u64);
            faults.add("order", ProblemKind::TooMuchCloth { cloth, metres });
        }
    }
    faults.into_result()
}
