//! Every piece comes off exactly as often as ordered, left and right.

use std::collections::BTreeMap;

use super::fold::form_fault;
use super::footprint::{Footprint, turned};
use super::violation::{Fault, Violation};
use crate::cloth::{Cloth, Nap};
use crate::geometry::{Point, Polygon, Turn};
use crate::job::Job;
use crate::marker::Form;
use crate::spread::Plies;

/// Copies of one piece in one size.
#[derive(Clone, Copy, Default)]
struct Copies {
    drawn: u64,
    mirrored: u64,
    /// What counts as either: whole pieces that are their own mirror image, and the wanted one of two facing copies.
    either: u64,
}

/// Compares what comes off with what is ordered; returns how many wanted copies come off.
///
/// Two plies face each other, so one placement gives one copy as drawn and one mirrored; a single ply lies right side up
/// and gives the face that is laid. A half piece on the fold gives one whole piece.
pub(super) fn judge(
    job: &Job,
    cloth: &Cloth,
    footprints: &[Footprint<'_>],
    found: &mut Vec<Violation>,
) -> u64 {
    let mut laid: BTreeMap<(usize, usize), Copies> = BTreeMap::new();
    for footprint in footprints {
        let copies = laid.entry((footprint.placement.piece, footprint.placement.size)).or_default();
        tally(footprint, cloth, copies, found);
    }
    let total = laid.values().map(|c| c.drawn + c.mirrored + c.either).sum();
    let wants: BTreeMap<(usize, usize), (u64, u64)> = job
        .wants(&cloth.kind)
        .into_iter()
        .map(|w| ((w.piece, w.size), (u64::from(w.as_drawn), u64::from(w.mirrored))))
        .collect();
    let mut keys: Vec<(usize, usize)> = wants.keys().chain(laid.keys()).copied().collect();
    keys.sort_unstable();
    keys.dedup();
    for key in keys {
        let wanted = wants.get(&key).copied().unwrap_or_default();
        let mut have = laid.get(&key).copied().unwrap_or_default();
        let piece = &job.style.pieces[key.0];
        let size = &job.style.sizes[key.1];
        let free = piece.shapes.get(size).is_some_and(|s| either_face_serves(&s.full, cloth.nap));
        if free {
            have = Copies { either: have.drawn + have.mirrored + have.either, ..Copies::default() };
        }
        let right = have.drawn + have.mirrored + have.either == wanted.0 + wanted.1
            && have.drawn <= wanted.0
            && have.mirrored <= wanted.1;
        if !right {
            found.push(Violation::general(Fault::Count {
                piece: piece.name.clone(),
                size: size.clone(),
                wanted,
                laid: (have.drawn, have.mirrored),
                either: have.either,
            }));
        }
    }
    total
}

/// Adds what one placement gives.
fn tally(footprint: &Footprint<'_>, cloth: &Cloth, copies: &mut Copies, found: &mut Vec<Violation>) {
    let placement = footprint.placement;
    let said = placement.yields;
    let plies_fit = footprint.ground.is_none_or(|(_, band)| band.plies == placement.plies);
    if form_fault(footprint).is_some() || !plies_fit {
        // What it gives cannot be told; that is reported already, so the marker's word is taken here.
        copies.either += u64::from(said);
        return;
    }
    let gives = match (placement.form, placement.plies) {
        (Form::OnFold, _) | (_, Plies::One) => 1,
        (_, Plies::Two) => 2,
    };
    let counted = if said == 0 || said > gives {
        found.push(footprint.violation(Fault::Yields { said, gives }, Some(footprint.middle())));
        gives
    } else {
        if said < gives && !cloth.spare_copies {
            found.push(footprint.violation(Fault::Spare { said, gives }, Some(footprint.middle())));
        }
        said
    };
    match (placement.form, placement.plies) {
        (Form::Whole | Form::OpenedOut, Plies::Two) if counted == 2 => {
            copies.drawn += 1;
            copies.mirrored += 1;
        }
        (Form::Whole, Plies::One) => {
            *(if placement.pose.mirrored { &mut copies.mirrored } else { &mut copies.drawn }) += 1;
        }
        _ => copies.either += u64::from(counted),
    }
}

/// Is a mirrored copy of the whole piece as good as one as drawn?
///
/// It is when the piece is the same flipped over about its grainline. When it is the same only flipped over and turned end
/// for end, the mirrored copy points the other way, which does no harm on cloth without nap.
fn either_face_serves(full: &Polygon, nap: Nap) -> bool {
    let same = mirror_images_of_itself(full);
    same.about_grain || (same.about_cross && nap == Nap::None)
}

/// In which ways a whole piece is its own mirror image.
pub(super) struct MirrorImages {
    /// Flipped over about its grainline.
    pub(super) about_grain: bool,
    /// Flipped over and turned end for end.
    pub(super) about_cross: bool,
}

/// Compares a polygon with its mirror images, exactly.
pub(super) fn mirror_images_of_itself(full: &Polygon) -> MirrorImages {
    let own = settled(full.points().to_vec());
    let flipped = |turn: Turn| {
        let mut ring: Vec<Point> = full.points().iter().map(|&p| turned(p, true, turn)).collect();
        ring.reverse();
        settled(ring)
    };
    MirrorImages { about_grain: flipped(Turn::None) == own, about_cross: flipped(Turn::Half) == own }
}

/// The ring begun at its least point and moved there.
fn settled(mut ring: Vec<Point>) -> Vec<Point> {
    let start = (0..ring.len()).min_by_key(|&i| ring[i]).unwrap_or(0);
    ring.rotate_left(start);
    let first = ring[0];
    ring.into_iter().map(|p| p - first).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("simple")
    }

    #[test]
    fn mirror_images_are_told_apart() {
        let cases = [
            ("rectangle", polygon(&[(0, 0), (9, 0), (9, 4), (0, 4)]), (true, true)),
            ("trapezoid along the grain", polygon(&[(0, 0), (9, 1), (9, 3), (0, 4)]), (true, false)),
            ("trapezoid across", polygon(&[(0, 0), (9, 0), (7, 4), (2, 4)]), (false, true)),
            ("parallelogram", polygon(&[(0, 0), (9, 0), (11, 4), (2, 4)]), (false, false)),
        ];
        for (name, shape, expected) in cases {
            let same = mirror_images_of_itself(&shape);
            assert_eq!((same.about_grain, same.about_cross), expected, "{name}");
        }
    }
}
