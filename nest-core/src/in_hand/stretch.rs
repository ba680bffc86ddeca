//! What of a longer marker goes into the cloth in hand as it lies: the pieces wholly inside a stretch of it that is as long.
//!
//! No search is needed: pieces that lie rightly on cloth still do when others are taken away and what lies before and after
//! them is cut off.

use super::loss::{Element, Set};
use crate::cloth::Cloth;
use crate::geometry::{Bounds, Point};
use crate::job::Job;
use crate::length::Length;
use crate::marker::{Marker, Placement};
use crate::remnant::faces;
use crate::spread::Spread;

/// What to leave out so that the rest lies as it does in a longer marker, one for each stretch worth a look, the least loss
/// first; with the marker of the rest, which takes at most `most` of cloth. With `whole` copies that belong to one garment
/// stay together.
///
/// # Complexity
/// O(n²) for n placements.
pub(super) fn stretches(
    job: &Job,
    cloth: &Cloth,
    marker: &Marker,
    most: Length,
    elements: &[Element],
    whole: bool,
) -> Vec<(Set, Marker)> {
    let bounds: Vec<Bounds> =
        marker.placements.iter().map(|p| p.outline(job.style.shape(p.piece, p.size)).bounds()).collect();
    let reach = reach(&marker.spread, most);
    let mut starts = vec![0];
    // Only cloth that lies the same from end to end can be begun anywhere.
    if let [section] = &marker.spread.sections[..]
        && !section.fold_at_start
    {
        starts.extend(bounds.iter().map(|b| b.low.x));
    }
    starts.sort_unstable();
    starts.dedup();
    let mut found: Vec<(Set, Marker)> = Vec::new();
    for start in starts {
        let inside = |k: &usize| bounds[*k].low.x >= start && bounds[*k].high.x <= start + reach;
        let inside: Vec<usize> = (0..bounds.len()).filter(inside).collect();
        let (kept, left) = kept(job, cloth, marker, &inside, elements, whole);
        if kept.is_empty() {
            continue;
        }
        let end = kept.iter().map(|&k| bounds[k].high.x).max().unwrap_or(start);
        let shifted = |k: &usize| {
            let p = &marker.placements[*k];
            Placement { position: p.position - Point::new(start, 0), ..p.clone() }
        };
        let marker = Marker {
            cloth: marker.cloth.clone(),
            spread: ended(&marker.spread, end - start),
            placements: kept.iter().map(shifted).collect(),
        };
        found.push((Set::of(elements, &left), marker));
    }
    found.sort_by(|a, b| a.0.loss.total_cmp(&b.0.loss));
    found
}

/// The same without some of its placements, and the cloth after the last of the rest; none when nothing is left.
pub(crate) fn thinned(job: &Job, marker: &Marker, gone: &[usize]) -> Option<Marker> {
    let placements: Vec<Placement> = (0..marker.placements.len())
        .filter(|k| !gone.contains(k))
        .map(|k| marker.placements[k].clone())
        .collect();
    let outline = |p: &Placement| p.outline(job.style.shape(p.piece, p.size));
    let end = placements.iter().map(|p| outline(p).bounds().high.x).max()?;
    Some(Marker { cloth: marker.cloth.clone(), spread: ended(&marker.spread, end), placements })
}

/// How far along the lay so much cloth reaches.
fn reach(spread: &Spread, most: Length) -> i64 {
    let (mut reach, mut left) = (0, most.grid());
    for section in &spread.sections {
        let length = section.length.grid().min(left / section.cloth_per_lay());
        reach += length;
        left -= length * section.cloth_per_lay();
        if length < section.length.grid() {
            break;
        }
    }
    reach
}

/// The spread cut off at a place along the lay; a first section stays.
fn ended(spread: &Spread, end: i64) -> Spread {
    let mut sections = spread.sections.clone();
    sections.retain(|s| s.start.grid() < end || s.start.grid() == 0);
    if let Some(last) = sections.last_mut() {
        last.length = Length::from_grid((end - last.start.grid()).min(last.length.grid()));
    }
    Spread { sections }
}

/// Of some placements those that give of each element a number of copies that may be left over, the most there is; and how
/// many copies of each they do not give.
fn kept(
    job: &Job,
    cloth: &Cloth,
    marker: &Marker,
    inside: &[usize],
    elements: &[Element],
    whole: bool,
) -> (Vec<usize>, Vec<u32>) {
    let mut kept = Vec::new();
    let mut left = Vec::new();
    for element in elements {
        let want = &element.want;
        let own = |k: &&usize| {
            let p = &marker.placements[**k];
            (p.piece, p.size) == (want.piece, want.size)
        };
        let own: Vec<(usize, (u32, u32))> =
            inside.iter().filter(own).map(|&k| (k, faces(job, cloth, &marker.placements[k]))).collect();
        let step = if whole { element.each } else { 1 };
        let (mut copies, mut mine) = (want.copies(), Vec::new());
        loop {
            // As what is left after leaving the others out is said to be drawn and mirrored.
            let mirrored = want.mirrored * copies / want.copies().max(1);
            if let Some(exactly) = exactly(&own, (copies - mirrored, mirrored)) {
                mine = exactly;
                break;
            }
            if copies <= step {
                copies = 0;
                break;
            }
            copies -= step;
        }
        left.push(want.copies() - copies);
        kept.append(&mut mine);
    }
    kept.sort_unstable();
    (kept, left)
}

/// Placements, in their order, that together give just so many copies as drawn and mirrored.
fn exactly(own: &[(usize, (u32, u32))], wanted: (u32, u32)) -> Option<Vec<usize>> {
    let mut sum = (0, 0);
    let mut taken = Vec::new();
    for &(k, faces) in own {
        let next = (sum.0 + faces.0, sum.1 + faces.1);
        if next.0 <= wanted.0 && next.1 <= wanted.1 {
            sum = next;
            taken.push(k);
        }
    }
    (sum == wanted).then_some(taken)
}
