//! The race between spreads: all get a short look, then the rounds go to the most promising.
//!
//! Work is cut into rounds and lanes. A lane works a counted amount in a round and shares nothing until the round is over,
//! so what is found depends on the job, the seed, the number of lanes and the number of rounds, never on threads or time.

use rayon::prelude::*;

use super::entry::{Entry, Terms};
use super::{Continue, Event, Observer, Settings};
use crate::answer::{Answer, Line, Origin, StopReason};
use crate::bound::{bound, sections_bound};
use crate::cloth::Cloth;
use crate::demand::Demands;
use crate::job::Job;
use crate::length::Length;
use crate::spread::{Family, Kind, Refusal};

/// Rounds in which every spread takes part; after them one that stands as number r gets one round in r², so that the
/// shortest gets six rounds in ten.
const LOOK: u64 = 2;

/// Searches every admissible spread of one cloth of a job.
///
/// # Complexity
/// As long as the settings or the observer allow; memory is dominated by the no-fit tables, about 3 KiB for each pair of
/// distinct pieces in each relative turn that comes near each other.
pub fn lay(job: &Job, cloth: &Cloth, settings: &Settings, observer: &mut dyn Observer) -> Answer {
    let demands = Demands::new(job, cloth);
    demands.prepare();
    let terms = Terms { cloth, settings };
    let started: Vec<Result<Entry<'_>, Refusal>> =
        Kind::ALL.par_iter().map(|&kind| enter(kind, &demands, terms)).collect();
    let mut refused: Vec<Option<Refusal>> = started.iter().map(|s| s.as_ref().err().cloned()).collect();
    let mut entries: Vec<Entry<'_>> = started.into_iter().flatten().collect();
    let area = demands.total_area_mm2();
    observer.event(&Event::Started {
        cloth: cloth.kind.clone(),
        spreads: entries.len(),
        placements: entries.iter().map(Entry::placements).max().unwrap_or(0),
    });
    let mut round = 0;
    let stopped = loop {
        if entries.is_empty() {
            break StopReason::Nothing;
        }
        hand_over(&mut entries, round);
        for entry in &mut entries {
            entry.report(area, observer);
        }
        if entries.iter().all(Entry::is_optimal) {
            break StopReason::Optimal;
        }
        if settings.rounds == Some(round) {
            break StopReason::Rounds;
        }
        round += 1;
        let ranks = ranks(&entries);
        let mut turns: Vec<&mut Entry<'_>> = entries
            .iter_mut()
            .zip(ranks)
            .filter(|(e, rank)| !e.is_optimal() && (round <= LOOK || round % (rank + 1).pow(2) == 0))
            .map(|(e, _)| e)
            .collect();
        turns.par_iter_mut().for_each(|e| e.work());
        for entry in &mut turns {
            entry.share(round);
        }
        let best_cloth = entries.iter().map(Entry::cloth).min().map(Length::from_grid);
        let bound_cloth = entries.iter().map(Entry::bound).min().unwrap_or_default();
        let event = Event::RoundDone { round, best_cloth, bound_cloth };
        if observer.event(&event) == Continue::Stop {
            hand_over(&mut entries, round);
            break StopReason::Observer;
        }
    };
    let evaluations = entries.iter().map(Entry::evaluations).sum();
    let lines = Kind::ALL
        .iter()
        .zip(&mut refused)
        .map(|(&kind, refused)| Line {
            kind,
            result: match entries.iter().find(|entry| entry.kind == kind) {
                Some(entry) => Ok(entry.found()),
                None => Err(refused.take().unwrap_or(Refusal::NoneFound)),
            },
        })
        .collect();
    Answer { cloth: cloth.kind.clone(), lines, stopped, rounds: round, evaluations }
}

fn enter<'a>(kind: Kind, demands: &'a Demands, terms: Terms<'a>) -> Result<Entry<'a>, Refusal> {
    let entry = match kind {
        Kind::Whole(family) => {
            let demand = demands.whole(family).as_ref().map_err(Clone::clone)?;
            Entry::whole(kind, demand, bound(demand), terms)
        }
        Kind::Sections => {
            let all = demands.sections.as_ref().map_err(Clone::clone)?;
            Entry::sections(all, sections_bound(demands), terms)
        }
    };
    entry.ok_or(Refusal::NoDepth)
}

/// For each entry, how many others have shorter cloth; equals by their order.
fn ranks(entries: &[Entry<'_>]) -> Vec<u64> {
    let cloths: Vec<i64> = entries.iter().map(Entry::cloth).collect();
    let key = |k: usize| (cloths[k], k);
    (0..cloths.len()).map(|k| (0..cloths.len()).filter(|&j| key(j) < key(k)).count() as u64).collect()
}

/// The shortest folded lay is one of a single section; and folded lays opened out are starts for single thickness: neither
/// is therefore ever longer.
fn hand_over(entries: &mut [Entry<'_>], round: u64) {
    let single = Kind::Whole(Family::Single);
    if let Some(at) = entries.iter().position(|e| e.kind == Kind::Sections) {
        let (before, sections) = entries.split_at_mut(at);
        let folded = before.iter().filter(|e| e.kind != single);
        if let Some(shortest) = folded.min_by_key(|e| e.cloth()) {
            sections[0].welcome(shortest);
        }
    }
    let Some(at) = entries.iter().position(|e| e.kind == single) else { return };
    let opened = {
        let (flat, cloth) = (entries[at].leader().demand, entries[at].cloth());
        let others = entries.iter().map(Entry::leader).filter(|leader| leader.cloth() < cloth);
        others.filter_map(|leader| leader.demand.opened_out(leader.best(), flat)).min_by_key(|lay| lay.length)
    };
    if let Some(lay) = opened {
        entries[at].runner_mut().take(lay, Origin::OpenedOut, round);
    }
}
