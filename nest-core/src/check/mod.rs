//! The independent judge: proves a marker against its job, exactly, or says everything that is wrong with it.
//!
//! It takes the job and the marker as plain data and works everything out anew: how the pieces lie, what the spread does
//! with the cloth, what may touch what. It shares no code with what makes markers beyond the integer points and polygons
//! and their exact predicates, and it believes nothing the marker says of itself.
//!
//! # What is proved
//! 1. The spread uses the cloth as it is: folds, plies and bands account for its width, selvages are left out, and the
//!    kind of spread suits the cloth's nap and form.
//! 2. Every placement names a piece, a size, a section and a band that exist.
//! 3. No two interiors meet; with a spacing, no two outlines come nearer than that. Touching is not meeting.
//! 4. Every piece lies inside its band and inside its section's length.
//! 5. A half piece lies with its fold edge exactly on a fold, or is opened out; other pieces are laid whole.
//! 6. Turns agree with the grain each piece accepts and with the nap.
//! 7. No piece lies over a flaw of the cloth, on whichever of its plies that falls.
//! 8. Every piece comes off exactly as often as ordered, left and right.

mod band;
mod board;
mod count;
mod flaw;
mod fold;
mod footprint;
mod orientation;
mod overlap;
mod spacing;
mod spread;
mod violation;

#[cfg(test)]
mod good;
#[cfg(test)]
mod tampered;

use crate::job::Job;
use crate::marker::Marker;

pub use board::{BoardViolation, CheckedBoard, check_board};
pub use violation::{FamilyMisfit, Fault, Laid, LengthEnd, Violation};

use footprint::Footprint;

/// A marker that has passed [`check`]. It cannot be made in any other way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Checked {
    marker: Marker,
    tally: Tally,
}

/// How much was looked at in a check that found nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tally {
    /// Placements that lie as they should.
    pub placements: usize,
    /// Copies that come off and are wanted.
    pub copies: u64,
    /// Pairs of outlines near enough to be compared edge by edge.
    pub pairs: usize,
}

impl Checked {
    /// The marker that passed.
    pub fn marker(&self) -> &Marker {
        &self.marker
    }

    /// What the check looked at.
    pub fn tally(&self) -> Tally {
        self.tally
    }
}

/// Proves `marker` against `job`.
///
/// # Errors
/// All violations at once, in the order of the marker's placements within each kind. One fault may hide another: a
/// placement whose piece does not exist is not compared with its neighbours. Never panics, whatever the marker holds.
///
/// # Complexity
/// O(p log p) in the number of placements for ordinary markers, and for every pair of outlines whose boxes meet
/// O(n log n) in their edges near each other.
pub fn check(job: &Job, marker: &Marker) -> Result<Checked, Vec<Violation>> {
    let Some(cloth) = job.cloths.iter().find(|c| c.kind == marker.cloth) else {
        return Err(vec![Violation::general(Fault::UnknownCloth { kind: marker.cloth.clone() })]);
    };
    let mut found = Vec::new();
    spread::judge(cloth, &marker.spread, &mut found);
    let footprints = Footprint::of_marker(job, cloth, marker, &mut found);
    for footprint in &footprints {
        fold::judge_form(footprint, &mut found);
        orientation::judge(footprint, cloth, &mut found);
        band::judge(footprint, &mut found);
        fold::judge_place(footprint, &mut found);
        flaw::judge(footprint, cloth, &marker.spread, &mut found);
    }
    let pairs = spacing::judge(&footprints, job.spacing, &mut found);
    let copies = count::judge(job, cloth, &footprints, &mut found);
    if found.is_empty() {
        let tally = Tally { placements: footprints.len(), copies, pairs };
        Ok(Checked { marker: marker.clone(), tally })
    } else {
        Err(found)
    }
}
