//! A lay of some of the pieces that is certain to go into the cloth in hand, found without a search.
//!
//! Candidates are what lies in a stretch of the markers found for the whole job, and what ends on the cloth in a few
//! bottom-left fills; where copies that belong to one garment do not go in together, single copies; at last one alone. So
//! there is an answer whenever any piece can be laid alone.

use super::loss::{Element, Set};
use super::stock::{Stock, apart, groups, in_order, units};
use super::stretch::stretches;
use crate::answer::{Answer, Origin};
use crate::check::{Checked, check};
use crate::cloth::Cloth;
use crate::demand::Demands;
use crate::job::{Job, Want};
use crate::length::Length;
use crate::marker::Marker;
use crate::search::first_fill;
use crate::spread::{Family, Kind};

/// What to leave out, and a marker of the rest that goes in.
#[derive(Clone, Debug)]
pub(super) struct Known {
    pub(super) set: Set,
    pub(super) rest: Job,
    pub(super) kind: Kind,
    pub(super) checked: Checked,
    pub(super) origin: Origin,
    /// The round in which the marker was found that it is a part of.
    pub(super) round: u64,
}

/// A marker that may hold what is looked for.
struct Source {
    kind: Kind,
    marker: Marker,
    origin: Origin,
    round: u64,
}

impl Source {
    fn bottom_left(kind: Kind, marker: Marker) -> Source {
        Source { kind, marker, origin: Origin::BottomLeft, round: 0 }
    }
}

/// The least loss that needs no search; none when no piece goes in.
pub(super) fn certain(
    job: &Job,
    cloth: &Cloth,
    elements: &[Element],
    answer: &Answer,
    most: Length,
) -> Option<Known> {
    let mut sources: Vec<Source> = answer
        .found()
        .map(|(kind, found)| Source {
            kind,
            marker: found.marker.clone(),
            origin: Origin::Stretch,
            round: found.round,
        })
        .collect();
    sources.extend(fills(job, cloth, elements));
    best_of(job, cloth, &sources, most, elements, true)
        .or_else(|| best_of(job, cloth, &sources, most, elements, false))
        .or_else(|| best_of(job, cloth, &one_alone(job, cloth, most), most, elements, false))
}

/// The job without some copies; on single thickness where that is allowed, or else on the spreads of the job.
pub(super) fn rest(job: &Job, cloth: &Cloth, set: &Set, only_single: bool) -> Job {
    let left_out: Vec<Want> = set.left_out.iter().map(super::LeftOut::want).collect();
    let rest = job.without(&cloth.kind, &left_out);
    let single = Kind::Whole(Family::Single);
    let spreads = if only_single { vec![single] } else { job.spreads.clone() };
    Job { spreads, ..rest }
}

/// Of everything that some markers hold the least loss that passes the check.
fn best_of(
    job: &Job,
    cloth: &Cloth,
    sources: &[Source],
    most: Length,
    elements: &[Element],
    whole: bool,
) -> Option<Known> {
    let mut all: Vec<(usize, Set, Marker)> = Vec::new();
    for (s, source) in sources.iter().enumerate() {
        let stretches = stretches(job, cloth, &source.marker, most, elements, whole);
        all.extend(stretches.into_iter().map(|(set, marker)| (s, set, marker)));
    }
    // The sort is stable: of equals the first source's.
    all.sort_by(|a, b| a.1.loss.total_cmp(&b.1.loss));
    all.into_iter().find_map(|(s, set, marker)| {
        let Source { kind, origin, round, .. } = sources[s];
        if marker.spread.cloth_length() > most || set.left_out.is_empty() {
            return None;
        }
        let rest = rest(job, cloth, &set, kind == Kind::Whole(Family::Single));
        let checked = check(&rest, &marker).ok()?;
        Some(Known { set, rest, kind, checked, origin, round })
    })
}

/// Bottom-left fills of the cloth in hand: the largest first, what is worth most first, the smallest first.
fn fills(job: &Job, cloth: &Cloth, elements: &[Element]) -> Vec<Source> {
    let units = units(job, cloth);
    let job_of = |wants: Vec<Want>| job.with_portion(&cloth.kind, wants);
    let Some(stock) = Stock::new(&units, &job_of) else { return Vec::new() };
    let areas: Vec<f64> = units.iter().map(|unit| unit.area_mm2(&job.style)).collect();
    let worth: Vec<f64> = units
        .iter()
        .map(|unit| {
            let own = |e: &&Element| (e.want.piece, e.want.size) == (unit.piece, unit.size);
            elements.iter().find(own).map_or(0.0, |e| e.loss(unit.copies()))
        })
        .collect();
    let negative: Vec<f64> = areas.iter().map(|area| -area).collect();
    let mut sources = Vec::new();
    for groups in [groups(job, &units), apart(&units)] {
        for keys in [&areas, &worth, &negative] {
            let order = in_order(keys, &groups);
            if let Some(filled) = stock.fill(&order, &vec![0; units.len()], &groups, &worth) {
                sources.push(Source::bottom_left(filled.kind, filled.marker));
            }
        }
    }
    sources
}

/// Every unit laid alone on every spread, as far as it goes in.
fn one_alone(job: &Job, cloth: &Cloth, most: Length) -> Vec<Source> {
    let mut units = units(job, cloth);
    units.dedup();
    let mut sources = Vec::new();
    for unit in units {
        let own = job.with_portion(&cloth.kind, vec![unit]);
        let demands = Demands::new(&own, cloth);
        let whole = Family::ALL
            .into_iter()
            .filter_map(|family| Some((Kind::Whole(family), demands.whole(family).as_ref().ok()?)));
        let sections = demands.sections.iter().flatten().map(|demand| (Kind::Sections, demand));
        for (kind, demand) in whole.chain(sections) {
            if let Some(lay) = first_fill(demand, &[0], &[0])
                && demand.cloth(&lay) <= most.grid()
            {
                sources.push(Source::bottom_left(kind, demand.marker(&lay)));
            }
        }
    }
    sources
}
