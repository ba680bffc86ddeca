//! [`Groups`]: a long lay made of groups of its items, each searched by itself and laid one after another.
//!
//! What is ordered several times over can be laid several times over: a group that others are like is searched once, and what it
//! gains counts as often as it is laid. Groups that hold the same pieces in other sizes learn from each other. How many groups
//! are best is not known beforehand: several divisions race, and a small lay as a whole with them once they gain no more.

use rand_pcg::Pcg64Mcg;

use super::deal::{Kinds, Share, divide};
use super::descent::Descent;
use super::division::Division;
use super::endless::Endless;
use super::garments::Garments;
use super::likeness::Likeness;
use super::plan::Plan;
use super::task::{Lay, Task, breadth};

/// The search of one task in groups.
pub(crate) struct Groups<'a> {
    task: &'a Task,
    /// A lay of the whole.
    first: Lay,
    divisions: Vec<Division<'a>>,
    /// Everything in one group, until it joins the race.
    waiting: Option<Division<'a>>,
    /// Like groups without ends between them, once that has been tried, and how long those were that it was tried with.
    endless: Option<Endless<'a>>,
    tried: i64,
    /// Evaluations of those that were tried before.
    past: u64,
    lanes: u32,
    rng: Pcg64Mcg,
    likeness: Likeness,
    /// Of the shortest division, in rounds.
    descent: Descent,
    round: u64,
    /// Whose round it is.
    turn: usize,
}

/// Divisions that race: where there is more than one, eight garments may lie best singly or in pairs.
const MOST: usize = 3;

/// Least placements of a group that others are like, and how long it is at least, as part of the breadth of the lay: a shorter
/// one would waste more at its two ends than it saves.
const ALIKE: (usize, f64) = (14, 0.7);

/// The same where groups differ and nothing counts twice. With 20 or 14 placements a run of ten aprons came out longer, and so
/// did a board of 99 pieces in two groups shorter than the breadth.
const UNLIKE: (usize, f64) = (28, 1.4);

/// A lay of no more placements has everything race as one group, too, once groups have gained nothing for so many rounds: two
/// garments that leave much open between them where each is laid by itself may lie closer together. From the start on, or in
/// equal turns, it took too much from what lies best in groups: three tiered skirts came to 88.4 and 90.4 % after 8 s instead of
/// 91.1, two work shirts after 3 s to 83.9 instead of 85.8. The trousers board, of 64 pieces, gained nothing by it. Where
/// nearly everything is there twice it joins at once, as its own image.
pub(crate) const SMALL: usize = 56;
const IDLE: u64 = 10;

/// Rounds so few that no gain is taken to have come sooner.
const SHORT: u64 = 20;

impl<'a> Groups<'a> {
    /// Groups for a lay that holds several times the same or is long enough for groups that differ; none of these where there
    /// are fold depths to choose, as depths are the same all along the lay.
    pub(crate) fn of(task: &'a Task, first: &Lay, lanes: u32, mut rng: Pcg64Mcg) -> Option<Groups<'a>> {
        let bands = task.room.bands(first.depths());
        let most = |(placements, part): (usize, f64)| {
            let along = first.extents[0].length() as f64 / (part * breadth(&bands).max(1) as f64);
            (first.spots.len() / placements).min(along as usize)
        };
        if most(ALIKE) < 2 {
            return None;
        }
        let unlike = (task.room.freedom() == 0).then(|| most(UNLIKE));
        let mut likeness = Likeness::default();
        let kinds = Kinds::of(task, &mut likeness);
        let serves = |count: usize| {
            let shares = divide(&kinds, count);
            (shares.len() == 1 || unlike == Some(count)).then_some(shares)
        };
        let mut dealt: Vec<Vec<Share>> = (2..=most(ALIKE)).rev().filter_map(serves).take(MOST).collect();
        // Which of the two suits the breadth of the cloth is not to be told: pieces dealt kind by kind left six aprons 0.7 points
        // denser after 12 s and eight graded pairs of trousers a whole one, whole garments thirty aprons one and six graded shirts
        // 0.4.
        let garments = unlike.and_then(|most| Garments::of(task, &kinds)?.divide(most));
        dealt.extend(garments.filter(|shares| !dealt.contains(shares)));
        let plan = Plan::large_first(task, first.depths().collect())?;
        let mut start = |shares: Vec<Share>| {
            Division::start(task, &plan, kinds.hand_out(&shares), lanes, &mut likeness, &mut rng)
        };
        let mut divisions: Vec<Division<'a>> = dealt.into_iter().map(&mut start).collect::<Option<_>>()?;
        let shortest = divisions.iter().map(Division::length).min()?;
        let classes = divisions.iter().map(|division| division.alike().len() as u64).max()?;
        let descent = Descent::new(shortest, 0, SHORT * classes);
        let mut waiting = if first.spots.len() <= SMALL { start(divide(&kinds, 1)) } else { None };
        divisions.extend(waiting.take_if(|whole| whole.has_exemplar()));
        Some(Groups {
            task,
            first: first.clone(),
            divisions,
            waiting,
            endless: None,
            tried: i64::MAX,
            past: 0,
            lanes,
            rng,
            likeness,
            descent,
            round: 0,
            turn: 0,
        })
    }

    /// Does the shortest division gain no more? What differs is searched in turn, and each is given time to begin anew: when
    /// groups that differ were left after 40 rounds without a gain, ten aprons came out 0.9 points less dense after 20 s.
    pub(crate) fn stand_still(&self) -> bool {
        self.descent.is_over(self.round)
    }

    /// Works until each lane of the group at hand has measured about so many more depths.
    pub(crate) fn work(&mut self, measures: u64) {
        let (before, from) = self.divisions.split_at_mut(self.turn);
        match from.split_first_mut() {
            Some((division, after)) => {
                let others = before.iter().chain(&*after).flat_map(Division::models).collect::<Vec<_>>();
                division.work(measures, &others, &mut self.likeness);
            }
            None => self.endless.iter_mut().for_each(|endless| endless.work(measures)),
        }
    }

    /// After a round of theirs.
    pub(crate) fn round_done(&mut self) {
        self.round += 1;
        if self.descent.since(self.round) >= IDLE {
            self.divisions.extend(self.waiting.take());
            self.try_endless();
        }
        let divisions = self.divisions.iter().map(|division| (division.length(), division.rounds()));
        let endless = self.endless.iter().map(|endless| (endless.whole().length, endless.rounds()));
        let all: Vec<(i64, u64)> = divisions.chain(endless).collect();
        if let Some(&(shortest, _)) = all.iter().min() {
            self.descent.note(shortest, self.round);
        }
        // The second has a quarter of the rounds of the first, the third a ninth.
        let cost = |&(length, rounds): &(i64, u64)| {
            let rank = all.iter().filter(|&&(other, _)| other <= length).count() as u64;
            (rounds + 1) * rank.pow(2)
        };
        self.turn = (0..all.len()).min_by_key(|&at| (cost(&all[at]), at)).unwrap_or(0);
    }

    /// Has the shortest groups that are many and alike race without ends between them, too: again when they have become shorter
    /// since, and than what came of that.
    fn try_endless(&mut self) {
        let straight = self.divisions.iter().filter_map(|division| {
            let (groups, start) = division.of_one_class()?;
            Endless::serves(self.task, groups).then_some((division.length(), groups, start))
        });
        let Some((length, groups, start)) = straight.min_by_key(|&(length, ..)| length) else { return };
        let known = self.endless.as_ref().map_or(i64::MAX, |endless| endless.whole().length);
        if length >= self.tried.min(known) {
            return;
        }
        self.tried = length;
        self.past += self.endless.as_ref().map_or(0, Endless::evaluations);
        let lanes = self.lanes as usize;
        self.endless = Some(Endless::of(self.task, &self.first, groups, start, lanes, &mut self.rng));
    }

    fn shortest(&self) -> &Division<'a> {
        self.divisions.iter().min_by_key(|division| division.length()).expect("a division at least")
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        let endless = self.endless.as_ref().map_or(0, Endless::evaluations);
        self.past + endless + self.divisions.iter().map(Division::evaluations).sum::<u64>()
    }

    /// Of their shortest lay, pushed together nowhere.
    pub(crate) fn length(&self) -> i64 {
        let endless = self.endless.as_ref().map_or(i64::MAX, |endless| endless.whole().length);
        self.shortest().length().min(endless)
    }

    /// The shortest lay of one group after another.
    pub(crate) fn whole(&self) -> Lay {
        if let Some(endless) = &self.endless
            && endless.whole().length < self.shortest().length()
        {
            return endless.whole().clone();
        }
        let mut lay = Lay { spots: Vec::with_capacity(self.first.spots.len()), ..self.first.clone() };
        self.shortest().lay_out(&mut lay);
        lay.tighten(self.task);
        lay
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::{self, hook};
    use crate::search::bottom_left::fill_large_first;
    use crate::search::floor::Floor;
    use crate::search::stream::stream;

    /// So many sets of five hooks, seven slabs and four bars.
    fn sets(count: u32) -> Task {
        invented::sets(count, &[(2700, 1300, 7), (700, 3100, 4)])
    }

    fn first(task: &Task) -> Lay {
        fill_large_first(task).expect("every piece fits across")
    }

    fn groups<'a>(task: &'a Task, first: &Lay) -> Option<Groups<'a>> {
        Groups::of(task, first, 2, stream(3, 0, 0, 4))
    }

    #[test]
    fn a_group_counts_as_often_as_it_is_laid() {
        let task = sets(6);
        let lay = first(&task);
        let mut groups = groups(&task, &lay).expect("the same six times over");
        let alike: Vec<Vec<usize>> =
            groups.divisions.iter().map(|division| division.alike().collect()).collect();
        assert_eq!(alike, [[6], [3], [2]]);
        let start = groups.whole();
        for _ in 0..12 {
            groups.work(100_000);
            groups.round_done();
            let whole = groups.whole();
            assert!(Floor::of(&task, &whole).total() == 0.0, "nothing overlaps");
            let mut items: Vec<u32> = whole.spots.iter().map(|spot| spot.item).collect();
            items.sort_unstable();
            assert!(items.into_iter().eq(0..task.items.len() as u32), "every item once");
            let shortest = groups.divisions.iter().map(Division::length).min();
            assert_eq!(Some(whole.length), shortest);
        }
        assert!(groups.whole().length < start.length);
        let lengths: Vec<i64> = groups.divisions.iter().map(Division::length).collect();
        let rounds: Vec<u64> = groups.divisions.iter().map(|division| division.rounds()).collect();
        assert_eq!(rounds.iter().sum::<u64>(), 12);
        let shortest = (0..3).min_by_key(|&at| lengths[at]).expect("three divisions");
        assert!(rounds[shortest] >= 6 && rounds.iter().all(|&n| n > 0), "{rounds:?} for {lengths:?}");
    }

    #[test]
    fn whole_garments_of_several_sizes_race_with_pieces_dealt_kind_by_kind() {
        // One, two and one garment of three sizes.
        let pieces: Vec<_> = [(0, 1), (1, 2), (2, 1)]
            .into_iter()
            .flat_map(|(size, n)| {
                let [wide, narrow] = [2700, 700].map(|width| width + 60 * size);
                [
                    (Polygon::rectangle(wide, 1300), 12 * n, vec![Turn::None]),
                    (Polygon::rectangle(narrow, 3100), 5 * n, vec![Turn::None]),
                ]
            })
            .collect();
        let mut task = Task::board(8000, &pieces);
        let lay = first(&task);
        let alone = groups(&task, &lay).expect("long enough").divisions.len();
        let bounds = [17, 51, 68];
        for (number, item) in task.items.iter_mut().enumerate() {
            item.size = bounds.iter().position(|&bound| number < bound).expect("68 pieces") as u32;
        }
        let mut groups = groups(&task, &lay).expect("long enough");
        assert_eq!(groups.divisions.len(), alone + 1);
        for _ in 0..12 {
            groups.work(50_000);
            groups.round_done();
            assert!(Floor::of(&task, &groups.whole()).total() == 0.0, "nothing overlaps");
        }
        let rounds: Vec<u64> = groups.divisions.iter().map(|division| division.rounds()).collect();
        assert!(rounds.iter().all(|&n| n > 0), "{rounds:?}");
    }

    #[test]
    fn many_groups_that_are_alike_race_without_ends_between_them_too() {
        let task = sets(6);
        let lay = first(&task);
        let mut groups = groups(&task, &lay).expect("the same six times over");
        let (mut tried, mut led) = (0, 0);
        for _ in 0..150 {
            let before = groups.tried;
            groups.work(20_000);
            groups.round_done();
            tried += usize::from(groups.tried < before);
            let Some(endless) = &groups.endless else { continue };
            let (straight, whole) = (groups.shortest().length(), groups.whole());
            assert_eq!(whole.length, straight.min(endless.whole().length));
            led += usize::from(whole.length < straight);
            assert!(Floor::of(&task, &whole).total() == 0.0, "nothing overlaps");
        }
        assert!(tried > 0 && led > 0, "tried {tried} times, shortest for {led} rounds");
        // The work of those that were tried is not forgotten.
        let endless = groups.endless.as_ref().map_or(0, Endless::evaluations);
        let straight: u64 = groups.divisions.iter().map(Division::evaluations).sum();
        assert_eq!(groups.evaluations(), groups.past + endless + straight);
        assert!(endless > 0 && (groups.past > 0) == (tried > 1));
    }

    #[test]
    fn a_small_lay_joins_as_a_whole_once_its_groups_gain_no_more_or_at_once_where_it_can_be_its_own_image() {
        let either = [Turn::None, Turn::Half];
        for (count, turns, joins, at_once) in
            [(3, &either[..1], true, false), (3, &either[..], true, true), (4, &either[..], false, false)]
        {
            let slabs = (Polygon::rectangle(2700, 1300), 7 * count, vec![Turn::None]);
            let bars = (Polygon::rectangle(700, 3100), 4 * count, vec![Turn::None]);
            let task = Task::board(8000, &[(hook(), 5 * count, turns.to_vec()), slabs, bars]);
            let lay = first(&task);
            assert_eq!(lay.spots.len() <= SMALL, joins);
            let mut groups = groups(&task, &lay).expect("the same several times over");
            let before = groups.divisions.len() - usize::from(at_once);
            let mut idle = 0;
            while !groups.stand_still() {
                assert_eq!(groups.divisions.len() > before, at_once || (joins && idle >= IDLE));
                idle = idle.max(groups.descent.since(groups.round) + 1);
                groups.work(10_000);
                groups.round_done();
            }
            assert!(idle > IDLE);
            if joins {
                let whole = groups.divisions.last().expect("it has joined");
                assert!(whole.alike().eq([1]) && whole.rounds() > 0 && whole.has_exemplar() == at_once);
                let mut lay = Lay { spots: Vec::new(), ..lay };
                whole.lay_out(&mut lay);
                assert_eq!((lay.spots.len(), Floor::of(&task, &lay).total()), (48, 0.0));
            }
        }
    }

    #[test]
    fn groups_come_to_an_end() {
        let task = sets(4);
        let mut groups = groups(&task, &first(&task)).expect("the same four times over");
        let rounds = (1..2000).find(|_| {
            groups.work(10_000);
            groups.round_done();
            groups.stand_still()
        });
        assert!(rounds.is_some_and(|n| n > 2 * SHORT), "over after {rounds:?} rounds");
        assert!(groups.evaluations() > 0);
    }

    #[test]
    fn groups_that_differ_are_no_shorter_than_they_may_be() {
        // Three of twenty-three kinds: two groups cannot be alike.
        let odd = |height: i64| {
            let kinds = (0..23).map(|k| (Polygon::rectangle(1500 + 60 * k, 1000), 3, vec![Turn::None]));
            Task::board(height, &kinds.collect::<Vec<_>>())
        };
        for (height, wanted) in [(7000, Some(2)), (10_000, None)] {
            let task = odd(height);
            let lay = first(&task);
            let breadths = lay.length as f64 / height as f64;
            assert_eq!(breadths >= 2.0 * UNLIKE.1, wanted.is_some(), "{breadths} breadths");
            assert!(breadths < 4.0 && lay.spots.len() == 69);
            let differing = groups(&task, &lay).and_then(|groups| {
                groups.divisions.iter().map(|division| division.alike().len()).find(|&classes| classes > 1)
            });
            assert_eq!(differing, wanted, "{breadths} breadths");
        }
    }

    #[test]
    fn a_single_set_has_no_groups() {
        let task = sets(1);
        assert!(groups(&task, &first(&task)).is_none());
        // Twice five hooks and one more: nothing is there as often as something else.
        let odd = Task::board(8000, &[(Polygon::rectangle(3000, 1700), 41, vec![Turn::None])]);
        assert!(groups(&odd, &first(&odd)).is_none());
    }
}
