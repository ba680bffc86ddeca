//! Half pieces lie with their fold edge exactly on a fold or are opened out; other pieces are laid whole.

use super::footprint::Footprint;
use super::violation::{Fault, Violation};
use crate::geometry::Point;
use crate::marker::Form;
use crate::spread::BandEdge;

/// Judges the form in which a piece is laid, and whether its plies are those of its band.
pub(super) fn judge_form(footprint: &Footprint<'_>, found: &mut Vec<Violation>) {
    if let Some(what) = form_fault(footprint) {
        found.push(footprint.violation(Fault::Form { what }, Some(footprint.middle())));
    }
    if let Some((_, band)) = footprint.ground {
        let (said, there) = (footprint.placement.plies.count(), band.plies.count());
        if said != there {
            found.push(footprint.violation(Fault::Plies { said, there }, Some(footprint.middle())));
        }
    }
}

/// What is wrong with the form, if anything.
pub(super) fn form_fault(footprint: &Footprint<'_>) -> Option<&'static str> {
    match (footprint.placement.form, footprint.fold.is_some()) {
        (Form::Whole, true) => Some("is a half piece: lay it on a fold, or opened out"),
        (Form::OnFold, false) => Some("has no fold edge and cannot be laid on a fold"),
        (Form::OpenedOut, false) => Some("has no fold edge and cannot be opened out"),
        (Form::Whole, false) | (Form::OnFold | Form::OpenedOut, true) => None,
    }
}

/// Judges where the fold edge of a piece laid on the fold lies: on a long edge of its band that is a fold, or, for a
/// piece turned a quarter, on the crosswise fold at its section's start. That the piece lies on the cloth's side of the
/// fold follows from its lying inside the band.
pub(super) fn judge_place(footprint: &Footprint<'_>, found: &mut Vec<Violation>) {
    if footprint.placement.form != Form::OnFold {
        return;
    }
    let (Some((a, b)), Some((section, band))) = (footprint.fold, footprint.ground) else { return };
    let folds: Vec<i64> = if a.y == b.y {
        [(band.low_edge, band.low), (band.high_edge, band.high)]
            .into_iter()
            .filter(|&(edge, _)| edge == BandEdge::Fold)
            .map(|(_, y)| y.abs_diff(a.y))
            .map(saturated)
            .collect()
    } else if a.x == b.x && section.fold_at_start {
        vec![saturated(section.start.grid().abs_diff(a.x))]
    } else {
        Vec::new()
    };
    let by = folds.into_iter().min();
    if by != Some(0) {
        let place = Point::new((a.x + b.x) / 2, (a.y + b.y) / 2);
        found.push(footprint.violation(Fault::OffFold { by }, Some(place)));
    }
}

fn saturated(distance: u64) -> i64 {
    i64::try_from(distance).unwrap_or(i64::MAX)
}
