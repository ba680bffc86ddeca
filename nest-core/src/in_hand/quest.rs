//! [`Quest`]: the search for less to leave out, a set of pieces at a time, so that several can take turns.
//!
//! Of the sets that promise to make room with less loss than what is known to go in, the middle one is left out and the rest
//! searched for; and according to what comes of it then one with less loss or with more.

use std::collections::BTreeSet;

use super::certain::{Known, certain, rest};
use super::loss::{Choices, Set, neighbours};
use super::{LeftOut, Without, lay_within, most_in_lay};
use crate::answer::Answer;
use crate::bound::admissible;
use crate::cloth::Cloth;
use crate::job::Job;
use crate::length::Length;
use crate::search::{Continue, Event, Observer, Settings};
use crate::spread::{Family, Kind};

/// Searches at the most.
const TRIES: usize = 24;
/// Sets looked at for one, at the most; those whose bound is too long are not searched for.
const LOOKS: usize = 80;
/// Rounds given to each search.
const ROUNDS: u64 = 8;
/// What part of its length a search may be expected to take off beyond what the area says.
const HOPE: f64 = 0.015;

/// The search for less loss in one job, from what is certain on.
pub(crate) struct Quest<'a> {
    job: &'a Job,
    cloth: &'a Cloth,
    choices: &'a Choices,
    most: Length,
    /// The least cloth found to lie in a lay of the whole job.
    shortest: Option<Length>,
    known: Option<Known>,
    seen: BTreeSet<Vec<LeftOut>>,
    tried: usize,
    /// The most loss with which a search has failed since the last that has not.
    failed: f64,
}

/// What comes of looking at a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Looked {
    /// There may be more to find.
    More,
    /// Nothing is left to look at.
    Over,
    /// The observer said stop.
    Stopped,
}

impl<'a> Quest<'a> {
    /// Begins with what is certain without a search; none when no length is in hand, or the ends alone take all of it.
    /// `answer` is what was found for the whole job, `choices` what can be left out of it.
    pub(crate) fn begin(
        job: &'a Job,
        cloth: &'a Cloth,
        choices: &'a Choices,
        answer: &Answer,
    ) -> Option<Quest<'a>> {
        let most = most_in_lay(cloth)?;
        Some(Quest {
            job,
            cloth,
            choices,
            most,
            shortest: answer.found().map(|(_, found)| found.marker.spread.cloth_length()).min(),
            known: certain(job, cloth, &choices.elements, answer, most),
            seen: BTreeSet::new(),
            tried: 0,
            failed: f64::NEG_INFINITY,
        })
    }

    /// Looks at one more set: leaves it out, and searches for the rest unless its bound is too long. The observer is asked
    /// before, and after every round.
    pub(crate) fn look(&mut self, settings: &Settings, observer: &mut dyn Observer) -> Looked {
        if self.tried >= TRIES || self.seen.len() >= LOOKS {
            return Looked::Over;
        }
        if observer.event(&Event::pause(0)) == Continue::Stop {
            return Looked::Stopped;
        }
        let Some(next) = self.next() else { return Looked::Over };
        self.seen.insert(next.left_out.clone());
        let single = self.job.spreads.contains(&Kind::Whole(Family::Single));
        let rest = rest(self.job, self.cloth, &next, single);
        if least(&rest, self.cloth).is_none_or(|least| least > self.most) {
            self.failed = self.failed.max(next.loss);
            return Looked::More;
        }
        self.tried += 1;
        let settings = Settings { rounds: Some(ROUNDS), ..settings.clone() };
        let within = lay_within(&rest, self.cloth, self.most, &settings, observer);
        let found = within.found.and_then(|(kind, checked)| {
            let (_, found) = within.answer.found().find(|(other, _)| *other == kind)?;
            Some((kind, checked, found.origin, found.round))
        });
        match found {
            Some((kind, checked, origin, round)) => {
                self.known = Some(Known { set: next, rest, kind, checked, origin, round });
                self.failed = f64::NEG_INFINITY;
            }
            None => self.failed = self.failed.max(next.loss),
        }
        if within.stopped { Looked::Stopped } else { Looked::More }
    }

    /// The least loss found; none when no piece goes in even alone.
    pub(crate) fn told(self) -> Option<Without> {
        Some(self.known?.told(self.job, self.cloth, self.tried))
    }

    /// Of the sets with less loss than the one that is known, which may be expected to make room, the middle one of those
    /// that lose more than has failed; the last of all, where none does.
    fn next(&self) -> Option<Set> {
        let Choices { elements, small, ordered } = self.choices;
        let limit = self.known.as_ref().map_or(f64::INFINITY, |known| known.set.loss);
        let near: Vec<Set> = self.known.iter().flat_map(|known| neighbours(elements, &known.set)).collect();
        let is_promising = |set: &&Set| {
            let expected = self
                .shortest
                .map_or(0.0, |shortest| shortest.grid() as f64 * (1.0 - set.area / ordered.max(1.0)));
            set.loss < limit
                && set.area < *ordered
                && expected <= self.most.grid() as f64 * (1.0 + HOPE)
                && !set.left_out.is_empty()
                && !self.seen.contains(&set.left_out)
        };
        let mut all: Vec<&Set> = small.iter().chain(&near).filter(is_promising).collect();
        all.sort_by(|a, b| {
            let fewer = a.left_out.len().cmp(&b.left_out.len());
            a.loss.total_cmp(&b.loss).then(fewer).then_with(|| a.left_out.cmp(&b.left_out))
        });
        all.dedup_by(|a, b| a.left_out == b.left_out);
        let above = all.partition_point(|set| set.loss <= self.failed);
        all.get((above + all.len()) / 2).or(all.last()).copied().cloned()
    }
}

/// Cloth with less than which no lay of a job can do; none when no spread serves.
fn least(job: &Job, cloth: &Cloth) -> Option<Length> {
    admissible(job, cloth).into_iter().filter_map(|(_, bound)| Some(bound.ok()?.length)).min()
}
