//! [`Entry`]: one kind of spread in the race; of sections, many combinations that race among themselves.

use rayon::prelude::*;

use super::descent::Descent;
use super::runner::{Effort, Runner};
use super::{Event, Observer, Settings};
use crate::answer::{Bound, Found, Origin};
use crate::cloth::Cloth;
use crate::demand::Demand;
use crate::length::Length;
use crate::marker::Marker;
use crate::purchase::Purchase;
use crate::spread::Kind;

/// One kind of spread in the race.
pub(crate) struct Entry<'a> {
    pub(crate) kind: Kind,
    terms: Terms<'a>,
    bound: Bound,
    runners: Vec<Runner<'a>>,
    /// Combinations not yet looked at, and how many of them are in the next turn.
    waiting: &'a [Demand],
    glances: usize,
    /// Turns had, and which runner worked in the last.
    turns: u64,
    worked: Option<usize>,
    /// How the shortest lay became shorter, told in turns.
    descent: Descent,
    /// The shortest lay of another entry that is one of this kind as well.
    guest: Option<Guest>,
    reported: i64,
}

/// What all entries have in common.
#[derive(Clone, Copy)]
pub(crate) struct Terms<'a> {
    pub(crate) cloth: &'a Cloth,
    pub(crate) settings: &'a Settings,
}

/// A lay found by another entry.
struct Guest {
    cloth: i64,
    marker: Marker,
    origin: Origin,
    round: u64,
}

/// Combinations looked at in one turn at the most.
const GLANCES: usize = 4;

/// Turns, half a second or a second, in which a first gain is expected.
const SHORT: u64 = 10;

impl<'a> Entry<'a> {
    /// A spread that is the same from end to end; none when no fold depths were found at which everything fits.
    pub(crate) fn whole(kind: Kind, demand: &'a Demand, bound: Bound, terms: Terms<'a>) -> Option<Entry<'a>> {
        // Every kind has random streams of its own.
        let id = Kind::ALL.iter().position(|&k| k == kind).unwrap_or(0) as u64;
        let runner = Runner::new(id, demand, terms.settings, Effort::FULL)?;
        Some(Entry { runners: vec![runner], ..Entry::empty(kind, bound, terms) })
    }

    /// Spreads in sections; none when nothing was found in the first few combinations that have a lay.
    pub(crate) fn sections(demands: &'a [Demand], bound: Bound, terms: Terms<'a>) -> Option<Entry<'a>> {
        let mut entry = Entry { waiting: demands, ..Entry::empty(Kind::Sections, bound, terms) };
        while entry.runners.is_empty() && !entry.waiting.is_empty() {
            entry.glance();
        }
        (!entry.runners.is_empty()).then_some(entry)
    }

    fn empty(kind: Kind, bound: Bound, terms: Terms<'a>) -> Entry<'a> {
        Entry {
            kind,
            terms,
            bound,
            runners: Vec::new(),
            waiting: &[],
            glances: GLANCES,
            turns: 0,
            worked: None,
            descent: Descent::new(i64::MAX, 0, SHORT),
            guest: None,
            reported: i64::MAX,
        }
    }

    /// Begins with the next few combinations: as many as take about as long as a round.
    fn glance(&mut self) {
        let (next, rest) = self.waiting.split_at(self.glances.min(self.waiting.len()));
        // Counted from the end, where the number that are left tells them apart.
        let id = |k: usize| (Kind::ALL.len() + self.waiting.len() - k) as u64;
        let settings = self.terms.settings;
        let begun: Vec<Option<Runner<'a>>> = next
            .par_iter()
            .enumerate()
            .map(|(k, demand)| Runner::new(id(k), demand, settings, Effort::BRIEF))
            .collect();
        self.waiting = rest;
        // A position tested costs about as much as a depth measured.
        let longest = begun.iter().flatten().map(Runner::began).max().unwrap_or(0);
        let in_a_round = u64::from(settings.lanes) * Effort::BRIEF.round / longest.max(1);
        self.glances = (in_a_round as usize).clamp(1, GLANCES);
        self.runners.extend(begun.into_iter().flatten());
    }

    /// Cloth that the shortest lay so far takes.
    pub(crate) fn cloth(&self) -> i64 {
        let own = self.runners.iter().map(Runner::cloth).min().unwrap_or(i64::MAX);
        own.min(self.guest.as_ref().map_or(i64::MAX, |guest| guest.cloth))
    }

    /// No lay can take less cloth than this.
    pub(crate) fn bound(&self) -> Length {
        self.bound.length
    }

    pub(crate) fn is_optimal(&self) -> bool {
        self.cloth() <= self.bound.length.grid()
    }

    /// The runner with the shortest lay; the first of equals.
    pub(crate) fn leader(&self) -> &Runner<'a> {
        let leader = self.runners.iter().min_by_key(|runner| runner.cloth());
        leader.expect("an entry has a runner")
    }

    /// The only runner of a spread that is the same from end to end.
    pub(crate) fn runner_mut(&mut self) -> &mut Runner<'a> {
        &mut self.runners[0]
    }

    /// Placements of the first lay.
    pub(crate) fn placements(&self) -> usize {
        self.leader().best().spots.len()
    }

    /// Works through one round: looks at a few more combinations while there are any, then lets one work, the shortest so
    /// far every other time, the next every fourth, and so on.
    pub(crate) fn work(&mut self) {
        self.worked = None;
        if !self.waiting.is_empty() {
            self.glance();
            return;
        }
        self.turns += 1;
        let mut order: Vec<usize> = (0..self.runners.len()).collect();
        order.sort_by_key(|&k| (self.runners[k].cloth(), k));
        let rank = (self.turns.trailing_zeros() as usize).min(order.len() - 1);
        self.worked = Some(order[rank]);
        self.runners[order[rank]].work();
    }

    /// After a round: what its lanes found is everybody's.
    pub(crate) fn share(&mut self, round: u64) {
        if let Some(k) = self.worked {
            self.runners[k].share(round);
        }
        self.descent.note(self.cloth(), self.turns);
    }

    /// Has it become shorter of late?
    pub(crate) fn gains(&self) -> bool {
        !self.descent.is_over(self.turns)
    }

    /// At the end of the search: pushes the pieces of the lays that may still turn out the best together.
    pub(crate) fn compact(&mut self) {
        if self.is_optimal() {
            return;
        }
        // There may be hundreds, and few that are a hundredth longer would come out the best.
        let most = self.cloth() + self.cloth() / 100;
        self.runners.par_iter_mut().filter(|runner| runner.cloth() <= most).for_each(Runner::compact);
    }

    /// Takes the shortest lay of another entry for one of its own, if it is shorter than those.
    pub(crate) fn welcome(&mut self, other: &Entry<'_>) {
        let leader = other.leader();
        let cloth = leader.cloth();
        if cloth < self.cloth() {
            let (origin, round) = leader.origin();
            self.guest = Some(Guest { cloth, marker: leader.demand.marker(leader.best()), origin, round });
        }
    }

    /// Tells the observer of a shorter lay.
    pub(crate) fn report(&mut self, area: f64, observer: &mut dyn Observer) {
        if self.cloth() >= self.reported {
            return;
        }
        self.reported = self.cloth();
        let found = self.found();
        let cloth = found.marker.spread.cloth_length();
        let width = self.leader().demand.layouts[0].width as f64 / 100.0;
        observer.event(&Event::Improved {
            kind: self.kind,
            lay: found.marker.spread.lay_length(),
            cloth,
            efficiency: area / (width * cloth.mm()).max(1.0),
            origin: found.origin,
            round: found.round,
        });
    }

    pub(crate) fn evaluations(&self) -> u64 {
        self.runners.iter().map(Runner::evaluations).sum()
    }

    /// The best lay of all: of several combinations none that is longer than the guest; of these the one with the least to
    /// buy, then with the fewest pieces to lay, then the shortest.
    pub(crate) fn found(&self) -> Found {
        let most = self.guest.as_ref().map_or(i64::MAX, |guest| guest.cloth);
        let own = self.runners.iter().filter(|runner| runner.cloth() <= most).map(|runner| {
            let (origin, round) = runner.origin();
            (runner.demand.marker(runner.best()), origin, round)
        });
        let guest = self.guest.iter().map(|guest| (guest.marker.clone(), guest.origin, guest.round));
        let all: Vec<(Marker, Origin, u64)> = guest.chain(own).collect();
        let best = all.into_iter().min_by_key(|(marker, ..)| {
            let cloth = marker.spread.cloth_length();
            (Purchase::steps_for(self.terms.cloth, cloth), marker.placements.len(), cloth)
        });
        let (marker, origin, round) = best.expect("an entry has a lay");
        Found { marker, bound: self.bound.clone(), origin, round }
    }
}
