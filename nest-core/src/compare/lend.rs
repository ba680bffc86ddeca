//! A marker of one cloth laid on another that can hold it: a wider one, or one without nap.
//!
//! Widening only adds room. Single thickness, the crosswise fold and the turned double keep their lower selvage where it
//! is, and their band ends higher up; so does the single ply beside an off-centre fold; a lengthwise fold of the wider
//! cloth is deeper. Of two folds both keep their depths: the far one moves away as a whole with all that lies in it, and
//! the ply between them becomes wider. Only on a tube both folds belong to one band: what lies on the far fold moves with
//! it, and so does all that would be run over; where that comes to what lies on the near fold, the marker is not one of
//! the wider tube. Without nap every turn is allowed that nap allows. The check has the last word.

use crate::check::{Checked, check};
use crate::cloth::Cloth;
use crate::geometry::clipper::with_clearance;
use crate::geometry::{ConvexParts, Point};
use crate::job::Job;
use crate::marker::{Form, Marker, Placement};
use crate::spread::{BandEdge, Family, Layout, Plies, Section, Spread};

/// The marker as one of `job` on `cloth`, which is no narrower than its own; none when it cannot be laid there.
pub(super) fn laid_on(job: &Job, cloth: &Cloth, marker: &Marker) -> Option<Checked> {
    let mut placements = marker.placements.clone();
    let mut sections = Vec::new();
    for (s, section) in marker.spread.sections.iter().enumerate() {
        let layout = Layout::new(section.family, cloth).ok()?;
        let depths = depths(section, layout.selvage);
        let wider = layout.section(depths, section.start, section.length);
        let by = wider.width.grid() - section.width.grid();
        if by < 0 {
            return None;
        }
        let far: Vec<bool> = placements.iter().map(|p| p.section == s && is_far(section, p)).collect();
        let far = if section.family == Family::Tubular {
            pushed(job, section, &placements, s, far, by)?
        } else {
            far
        };
        for (placement, far) in placements.iter_mut().zip(far) {
            if placement.section == s {
                placement.band = band_after(section, &wider, placement.band)?;
                placement.position.y += if far { by } else { 0 };
            }
        }
        sections.push(wider);
    }
    let marker = Marker { cloth: cloth.kind.clone(), spread: Spread { sections }, placements };
    check(job, &marker).ok()
}

/// The depths of a section's folds, read off its bands.
fn depths(section: &Section, selvage: i64) -> [i64; 2] {
    match (section.family, &section.bands[..]) {
        (Family::OffCentreFold, [fold, ..]) => [fold.high + selvage, 0],
        (Family::TwoFolds, [near, .., far]) => {
            [near.high + selvage, section.width.grid() - far.low + selvage]
        }
        _ => [0, 0],
    }
}

/// Does a placement go with the far edge of its section?
fn is_far(section: &Section, placement: &Placement) -> bool {
    match section.family {
        Family::TwoFolds => placement.band + 1 == section.bands.len(),
        // On a tube only what lies on the far fold is tied to it; `pushed` finds what it takes along.
        Family::Tubular => true,
        _ => false,
    }
}

/// The band of the wider section that a band becomes: the ply between two folds may be new.
fn band_after(section: &Section, wider: &Section, band: usize) -> Option<usize> {
    let is_last = band + 1 == section.bands.len();
    let after = if is_last && band > 0 { wider.bands.len() - 1 } else { band };
    let (old, new) = (section.bands.get(band)?, wider.bands.get(after)?);
    (old.plies == new.plies).then_some(after)
}

/// On a tube that becomes wider by `by`: which placements of section `s` move with the far fold; none when something that
/// lies on the near one would have to.
fn pushed(
    job: &Job,
    section: &Section,
    placements: &[Placement],
    s: usize,
    mut far: Vec<bool>,
    by: i64,
) -> Option<Vec<bool>> {
    let outlines: Vec<_> = placements.iter().map(|p| p.outline(job.style.shape(p.piece, p.size))).collect();
    // With clear space kept all round, what would come too near is taken along as well.
    let wide: Vec<ConvexParts> =
        outlines.iter().map(|o| ConvexParts::of(&with_clearance(o, job.spacing.grid()))).collect();
    let parts: Vec<ConvexParts> = outlines.iter().map(ConvexParts::of).collect();
    let high = section.bands.first().filter(|b| b.high_edge == BandEdge::Fold)?.high;
    let is_on_fold = |p: &Placement| p.form == Form::OnFold && p.plies == Plies::Two;
    let at_fold = |k: usize, y: i64| {
        let bounds = outlines[k].bounds();
        is_on_fold(&placements[k]) && (bounds.low.y == y || bounds.high.y == y)
    };
    for (k, far) in far.iter_mut().enumerate() {
        *far = *far && placements[k].section == s && at_fold(k, high);
    }
    let up = Point::new(0, by);
    let mut waiting: Vec<usize> = (0..far.len()).filter(|&k| far[k]).collect();
    while let Some(mover) = waiting.pop() {
        for k in 0..far.len() {
            let meets = placements[k].section == s && !far[k] && parts[k].overlaps(&wide[mover], up);
            if meets {
                if at_fold(k, 0) {
                    return None;
                }
                far[k] = true;
                waiting.push(k);
            }
        }
    }
    Some(far)
}
