//! The race between spreads: all get a short look, then the rounds go to the most promising.
//!
//! Work is cut into rounds and lanes. A lane works a counted amount in a round and shares nothing until the round is over,
//! so what is found depends on the job, the seed, the number of lanes and the number of rounds, never on threads or time.

use rayon::prelude::*;

use super::descent::Descent;
use super::entry::{Entry, Terms};
use super::task::Lay;
use super::{Continue, Event, Observer, Settings};
use crate::answer::{Answer, Line, Origin, StopReason};
use crate::bound::{sections_bound, whole_bound};
use crate::cloth::{Cloth, ClothForm};
use crate::demand::{Demands, Opened};
use crate::in_hand::most_in_lay;
use crate::job::Job;
use crate::length::Length;
use crate::purchase::Purchase;
use crate::spread::{Family, Kind, Refusal};

/// Rounds in which every spread takes part that may come out the shortest. A round of a large lay takes long: with two of them
/// half of the first five seconds of one core went into looks at 140 pieces.
pub(crate) const LOOK: u64 = 1;

/// Searches every admissible spread of one cloth of a job.
///
/// # Complexity
/// As long as the settings or the observer allow, the observer being asked at the end of every round, and longer to push what
/// was found together: some milliseconds for a garment, about half a second on one core for 140 curved pieces on four spreads,
/// 7 s for a board of 3000. Memory: about 4 KiB for each pair of distinct pieces in each relative turn that comes near each
/// other, which is most of it for garments; and, whether they come near or not, 128 bytes for each two distinct pieces and 16
/// for each two of their outlines in all poses, which of 1000 pieces in two turns is some 200 MB.
///
/// # Panics
/// When the settings ask for no lane.
pub fn lay(job: &Job, cloth: &Cloth, settings: &Settings, observer: &mut dyn Observer) -> Answer {
    assert!(settings.lanes > 0, "a search needs a lane");
    let demands = Demands::new(job, cloth);
    demands.prepare();
    let mut race = Race::enter(&demands, Terms { cloth, settings }, Aim::Shortest, observer);
    let stopped = loop {
        if let Some(over) = race.is_over() {
            break over;
        }
        if settings.rounds == Some(race.round) {
            break StopReason::Rounds;
        }
        if race.advance(observer) == Continue::Stop {
            break StopReason::Observer;
        }
    };
    race.finish(stopped)
}

/// A race under way: every admissible spread of one cloth of a job, advanced a round at a time.
pub(crate) struct Race<'a> {
    cloth: &'a Cloth,
    area: f64,
    entries: Vec<Entry<'a>>,
    /// For each of [`Kind::ALL`], why it does not take part.
    refused: Vec<Option<Refusal>>,
    aim: Aim,
    round: u64,
    /// How the least cloth became less, told in rounds.
    descent: Descent,
}

/// What a race is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Aim {
    /// A marker that is short soon: as long as the shortest spread gains, it gets nearly all the work.
    Shortest,
    /// How the spreads compare: each gets its share at all times.
    Comparison,
}

/// Rounds after a gain, one or two seconds, in which another is expected: no descent is over sooner.
const EXPECTING: u64 = 20;

impl<'a> Race<'a> {
    /// Looks for the first lays.
    pub(crate) fn enter(
        demands: &'a Demands,
        terms: Terms<'a>,
        aim: Aim,
        observer: &mut dyn Observer,
    ) -> Race<'a> {
        let started: Vec<Result<Entry<'a>, Refusal>> =
            Kind::ALL.par_iter().map(|&kind| enter(kind, demands, terms)).collect();
        let refused = started.iter().map(|s| s.as_ref().err().cloned()).collect();
        let entries: Vec<Entry<'a>> = started.into_iter().flatten().collect();
        observer.event(&Event::Started {
            cloth: terms.cloth.kind.clone(),
            spreads: entries.len(),
            placements: entries.iter().map(Entry::placements).max().unwrap_or(0),
        });
        let area = demands.total_area_mm2();
        let descent = Descent::new(i64::MAX, 0, EXPECTING / 2);
        let mut race = Race { cloth: terms.cloth, area, entries, refused, aim, round: 0, descent };
        race.settle(observer);
        race
    }

    /// Is there nothing left to find?
    pub(crate) fn is_over(&self) -> Option<StopReason> {
        let least = self.least_cloth();
        if self.entries.is_empty() {
            Some(StopReason::Nothing)
        } else if self.entries.iter().any(|entry| self.is_of_use(entry, least)) {
            None
        } else {
            Some(StopReason::Optimal)
        }
    }

    /// Is more work on an entry of use? A lay proved the shortest of its kind needs none. In a race for the shortest, neither
    /// does one of a kind that can neither take less cloth than the shortest of all so far nor cost less than its own: where
    /// its bound allows as few steps of the seller as that one's, it may yet win by being easier to handle.
    /// `least` is the cloth of that one.
    fn is_of_use(&self, entry: &Entry<'_>, least: i64) -> bool {
        if entry.is_optimal() {
            return false;
        }
        if self.aim == Aim::Comparison || entry.bound().grid() < least {
            return true;
        }
        let [bound, least, own] = [entry.bound().grid(), least, entry.cloth()]
            .map(|in_lay| cost(self.cloth, Length::from_grid(in_lay)));
        bound <= least && least < own
    }

    /// Cloth that the shortest lay of all takes so far.
    fn least_cloth(&self) -> i64 {
        self.entries.iter().map(Entry::cloth).min().unwrap_or(0)
    }

    /// In one round of how many works an entry that stands as number `rank`, from 1? Of five spreads the shortest then gets
    /// two thirds of the work, and five sixths while it gains. Where it does not, another may well win: the work is better
    /// spent there, and when the search has gone on in vain for twice as long as it took to get there, it gets less than half.
    /// Not so where no other can be shorter, as it is single thickness: it gets five sixths, and more than nine tenths once the
    /// others gain no more themselves. These have no first look either: at 400 pieces on four spreads it took four seconds.
    fn interval(&self, entry: &Entry<'_>, rank: u64) -> u64 {
        match self.aim {
            Aim::Shortest if self.is_covered(entry) => rank.pow(if entry.gains() { 3 } else { 4 }),
            _ if self.round <= LOOK => 1,
            Aim::Comparison => rank.pow(2),
            Aim::Shortest if self.descent.since(self.round) <= EXPECTING => rank.pow(3),
            Aim::Shortest if self.descent.is_over(self.round) => rank,
            Aim::Shortest => rank.pow(2),
        }
    }

    /// For each entry, as which it stands by the cloth of its shortest lay among those on which more work is of use, from 1;
    /// equals by their order. None for the others.
    fn ranks(&self) -> impl Iterator<Item = Option<u64>> {
        let least = self.least_cloth();
        let key =
            |(entry, at): (&Entry<'_>, usize)| self.is_of_use(entry, least).then(|| (entry.cloth(), at));
        let keys: Vec<Option<(i64, usize)>> = self.entries.iter().zip(0..).map(key).collect();
        (0..keys.len()).map(move |k| {
            let own = keys[k]?;
            Some(keys.iter().flatten().filter(|&&other| other <= own).count() as u64)
        })
    }

    /// Is every lay of an entry one on single thickness as well, once opened out? Only of a tube it need not be.
    fn is_covered(&self, entry: &Entry<'_>) -> bool {
        let single = Kind::Whole(Family::Single);
        let flat = self.cloth.form == ClothForm::Flat;
        flat && entry.kind != single && self.entries.iter().any(|other| other.kind == single)
    }

    /// Does one round; the observer says whether another is wanted.
    pub(crate) fn advance(&mut self, observer: &mut dyn Observer) -> Continue {
        self.round += 1;
        let round = self.round;
        self.descent.note(self.least_cloth(), round);
        let is_turn = |(entry, rank): (&Entry<'_>, Option<u64>)| {
            rank.is_some_and(|rank| round.is_multiple_of(self.interval(entry, rank)))
        };
        let wanted: Vec<bool> = self.entries.iter().zip(self.ranks()).map(is_turn).collect();
        let all = self.entries.iter_mut().zip(wanted);
        let mut turns: Vec<&mut Entry<'_>> = all.filter(|(_, wanted)| *wanted).map(|(e, _)| e).collect();
        turns.par_iter_mut().for_each(|e| e.work());
        for entry in &mut turns {
            entry.share(round);
        }
        let best_cloth = self.entries.iter().map(Entry::cloth).min().map(Length::from_grid);
        let bound_cloth = self.entries.iter().map(Entry::bound).min().unwrap_or_default();
        let go_on = observer.event(&Event::RoundDone { round, best_cloth, bound_cloth });
        self.settle(observer);
        go_on
    }

    /// Each kind that takes part: the cloth of its shortest lay, and what none can beat.
    pub(crate) fn standing(&self) -> impl Iterator<Item = (Kind, Length, Length)> {
        self.entries.iter().map(|e| (e.kind, Length::from_grid(e.cloth()), e.bound()))
    }

    /// Ends the race: the pieces of what was found are pushed together.
    pub(crate) fn finish(mut self, stopped: StopReason) -> Answer {
        self.entries.par_iter_mut().for_each(Entry::compact);
        hand_over(&mut self.entries, self.round);
        let line = |(&kind, refused): (&Kind, &Option<Refusal>)| Line {
            kind,
            result: match self.entries.iter().find(|entry| entry.kind == kind) {
                Some(entry) => Ok(entry.found()),
                None => Err(refused.clone().unwrap_or(Refusal::NoneFound)),
            },
        };
        Answer {
            cloth: self.cloth.kind.clone(),
            lines: Kind::ALL.iter().zip(&self.refused).map(line).collect(),
            stopped,
            rounds: self.round,
            evaluations: self.entries.iter().map(Entry::evaluations).sum(),
        }
    }

    /// After a round: lays go to the spreads that they are lays of as well, and what is new is told.
    fn settle(&mut self, observer: &mut dyn Observer) {
        if self.entries.is_empty() {
            return;
        }
        hand_over(&mut self.entries, self.round);
        for entry in &mut self.entries {
            entry.report(self.area, observer);
        }
    }
}

fn enter<'a>(kind: Kind, demands: &'a Demands, terms: Terms<'a>) -> Result<Entry<'a>, Refusal> {
    let entry = match kind {
        Kind::Whole(family) => {
            let demand = demands.whole(family).as_ref().map_err(Clone::clone)?;
            Entry::whole(kind, demand, whole_bound(demand, demands), terms)
        }
        Kind::Sections => {
            let all = demands.sections.as_ref().map_err(Clone::clone)?;
            Entry::sections(all, sections_bound(demands), terms)
        }
    };
    entry.ok_or(Refusal::NoDepth)
}

/// What decides first between lays that take so much cloth, as the report ranks them: whether they are too long for the cloth
/// in hand, and how many of the seller's steps they need, if they are bought.
fn cost(cloth: &Cloth, in_lay: Length) -> (bool, i64) {
    let is_short = most_in_lay(cloth).is_some_and(|most| in_lay > most);
    let is_bought = cloth.within.is_none();
    (is_short, if is_bought { Purchase::steps_for(cloth, in_lay) } else { 0 })
}

/// The shortest folded lay is one of a single section; and folded lays opened out are starts for single thickness: neither
/// is therefore ever longer. A tube with pieces on both folds may have no lay slit open; it is then where a search starts.
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
    let mut sound: Option<Lay> = None;
    let mut rough: Option<Lay> = None;
    let (flat, cloth) = (entries[at].leader().demand, entries[at].cloth());
    for leader in entries.iter().map(Entry::leader).filter(|leader| leader.cloth() < cloth) {
        let (lay, shortest) = match leader.demand.opened_out(leader.best(), flat) {
            Some(Opened::Sound(lay)) => (lay, &mut sound),
            Some(Opened::Rough(lay)) => (lay, &mut rough),
            None => continue,
        };
        if shortest.as_ref().is_none_or(|known| lay.length < known.length) {
            *shortest = Some(lay);
        }
    }
    if let Some(lay) = sound {
        entries[at].runner_mut().take(lay, Origin::OpenedOut, round);
    }
    if let Some(lay) = rough {
        entries[at].runner_mut().pursue(&lay);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented;
    use crate::search::Silent;

    /// Of every kind but single thickness, after so many rounds and more turns of its own: does it gain, and in one round of
    /// how many would it work as the second?
    fn second(job: &Job, aim: Aim, rounds: u64, turns: u64) -> Vec<(bool, u64)> {
        let (cloth, settings) = (&job.cloths[0], Settings { lanes: 1, ..Settings::default() });
        let demands = Demands::new(job, cloth);
        let mut race = Race::enter(&demands, Terms { cloth, settings: &settings }, aim, &mut Silent);
        (0..rounds).for_each(|_| assert_eq!(race.advance(&mut Silent), Continue::Yes));
        let single = Kind::Whole(Family::Single);
        for turn in 0..turns {
            for entry in race.entries.iter_mut().filter(|entry| entry.kind != single) {
                entry.work();
                entry.share(rounds + turn);
            }
        }
        let others = race.entries.iter().filter(|entry| entry.kind != single);
        others.map(|entry| (entry.gains(), race.interval(entry, 2))).collect()
    }

    #[test]
    fn what_single_thickness_covers_works_little_and_less_once_it_gains_no_more() {
        let (_, job, _) = invented::lengthwise_fold();
        let intervals = |aim, rounds, turns| -> Vec<u64> {
            second(&job, aim, rounds, turns).into_iter().map(|(_, interval)| interval).collect()
        };
        assert!(intervals(Aim::Shortest, LOOK, 0).iter().all(|&interval| interval == 8));
        assert!(intervals(Aim::Comparison, LOOK, 0).iter().all(|&interval| interval == 1));
        assert!(intervals(Aim::Comparison, 3, 0).iter().all(|&interval| interval == 4));
        let mut seen = [0; 2];
        for turns in [0, 40] {
            for (gains, interval) in second(&job, Aim::Shortest, 3, turns) {
                assert_eq!(interval, if gains { 8 } else { 16 }, "after {turns} turns");
                seen[usize::from(gains)] += 1;
            }
        }
        assert!(seen.iter().all(|&count| count > 0), "{seen:?}");
    }

    #[test]
    fn on_a_tube_another_spread_works_more_once_the_shortest_gains_no_more() {
        let (_, job, _) = invented::tubular();
        for (rounds, interval) in [(LOOK, 1), (3, 8), (70, 2)] {
            let others = second(&job, Aim::Shortest, rounds, 0);
            assert!(!others.is_empty() && others.iter().all(|&(_, own)| own == interval), "{others:?}");
        }
    }
}
