//! From the form of a job file to a [`Job`]: units, defaults and names are settled once, and every fault is gathered.

mod cloths;
mod faults;
mod flaws;
mod fold;
mod frame;
mod marks;
mod names;
mod numbers;
mod order;
mod pieces;
mod remnants;
mod seam;
mod shape;

use super::file::{FileUnit, JobFile, SpreadName};
use super::limits::{MAX_SIZES, MAX_VIEWS};
use super::problem::Choice;
use super::{Job, Problem, ProblemKind};
use crate::length::{Length, Unit};
use crate::spread::{Family, Kind};
use crate::style::{Style, View};
use faults::Faults;
use names::{Names, checked_name};

/// The job that a file describes.
///
/// # Errors
/// All problems found, in the order of the file.
pub(super) fn resolve(file: &JobFile) -> Result<Job, Vec<Problem>> {
    let mut faults = Faults::default();
    let unit = unit(file.units);
    let name = match &file.name {
        Some(name) => checked_name("name", name, &mut faults),
        None => "job".to_owned(),
    };
    let sizes = sizes(file, &mut faults);
    let pieces = pieces::pieces(file, unit, &sizes, &mut faults);
    let views = views(file, &pieces, &mut faults);
    let order = order::order(file, &views, &sizes, &mut faults);
    let cloths = cloths::cloths(file, unit, &mut faults);
    order::check_served(file, &order, &views, &sizes, &cloths, &mut faults);
    let spacing = numbers::not_negative(file.spacing, unit, "spacing", &mut faults);
    let spreads = spreads(file, &mut faults);
    faults.into_result()?;
    let style = Style {
        name: name.clone(),
        pieces: pieces.into_iter().flat_map(|p| p.piece).collect(),
        views,
        sizes: sizes.into_vec(),
    };
    let job = Job { name, unit, style, order, cloths, spacing, spreads, portion: None };
    order::check_length(&job)?;
    Ok(job)
}

fn unit(name: FileUnit) -> Unit {
    match name {
        FileUnit::Mm => Unit::Mm,
        FileUnit::Cm => Unit::Cm,
        FileUnit::Inch => Unit::Inch,
    }
}

fn sizes(file: &JobFile, faults: &mut Faults) -> Names {
    let Some(list) = &file.sizes else {
        return Names::of([super::ONE_SIZE]);
    };
    if !faults.holds_some("sizes", list.len(), MAX_SIZES, "sizes", true) {
        return Names::default();
    }
    let mut sizes = Names::default();
    for (i, size) in list.iter().enumerate() {
        sizes.add(format!("sizes[{i}]"), size, "size", faults);
    }
    sizes
}

fn views(file: &JobFile, pieces: &[pieces::Resolved], faults: &mut Faults) -> Vec<View> {
    let Some(list) = &file.views else {
        return vec![View { name: "all".to_owned(), pieces: (0..pieces.len()).collect() }];
    };
    if !faults.holds_some("views", list.len(), MAX_VIEWS, "views", true) {
        return Vec::new();
    }
    let ids: std::collections::BTreeMap<&str, usize> =
        pieces.iter().enumerate().rev().map(|(i, p)| (&*p.id, i)).collect();
    let mut names = Names::default();
    let mut views = Vec::new();
    for (v, view) in list.iter().enumerate() {
        names.add(format!("views[{v}].name"), &view.name, "view", faults);
        if view.pieces.is_empty() {
            faults.add(format!("views[{v}].pieces"), ProblemKind::Empty { what: "pieces", optional: false });
        }
        let mut used = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        for (i, id) in view.pieces.iter().enumerate() {
            let place = || format!("views[{v}].pieces[{i}]");
            match ids.get(&**id) {
                // Too many pieces were complained of, and none was kept.
                None if pieces.is_empty() => {}
                None => {
                    let known = Choice::of(pieces.iter().map(|p| &*p.id));
                    let kind =
                        ProblemKind::Unknown { what: "piece", name: id.clone(), known, list: "pieces" };
                    faults.add(place(), kind);
                }
                Some(&piece) if seen.insert(piece) => used.push(piece),
                Some(_) => faults.add(place(), ProblemKind::RepeatedPiece(id.clone())),
            }
        }
        views.push(View { name: view.name.clone(), pieces: used });
    }
    views
}

fn spreads(file: &JobFile, faults: &mut Faults) -> Vec<Kind> {
    let Some(list) = &file.spreads else {
        return Kind::ALL.to_vec();
    };
    if list.is_empty() {
        faults.add("spreads", ProblemKind::Empty { what: "spreads", optional: true });
    }
    let named = |kind: &Kind| {
        let name = match kind {
            Kind::Whole(Family::Single) => SpreadName::Single,
            Kind::Whole(Family::LengthwiseFold) => SpreadName::LengthwiseFold,
            Kind::Whole(Family::OffCentreFold) => SpreadName::OffCentreFold,
            Kind::Whole(Family::TwoFolds) => SpreadName::TwoFolds,
            Kind::Whole(Family::CrosswiseFold) => SpreadName::CrosswiseFold,
            Kind::Whole(Family::TurnedDouble) => SpreadName::TurnedDouble,
            Kind::Whole(Family::Tubular) => SpreadName::Tubular,
            Kind::Sections => SpreadName::Sections,
        };
        list.contains(&name)
    };
    // In the order of reports, whatever the order of the file, and each once.
    Kind::ALL.into_iter().filter(named).collect()
}

/// How a length field of the file that was complained of goes on: as nothing, so that reading can.
const FALLBACK: Length = Length::ZERO;
