//! What to leave out, or to cut from other cloth, so that the rest goes into the cloth in hand with the least loss.
//!
//! First what is [certain](super::certain): a lay of some pieces that goes in, found without a search. From there a
//! [`Quest`] tries sets with less loss. So time only makes the answer better, and what is told is a marker that exists and has
//! passed the check.

use super::certain::{Known, certain};
use super::loss::Choices;
use super::quest::{Looked, Quest};
use super::{LeftOut, most_in_lay};
use crate::answer::{Answer, Bound, BoundReason, Found, Line, StopReason};
use crate::bound::admissible;
use crate::check::Checked;
use crate::cloth::Cloth;
use crate::job::Job;
use crate::length::Length;
use crate::purchase::Purchase;
use crate::search::{Observer, Settings};

/// A way to make a job go into the cloth in hand.
#[derive(Clone, Debug)]
pub struct Without {
    /// What is not cut.
    pub left_out: Vec<LeftOut>,
    /// Its area, in square millimetres.
    pub area_mm2: f64,
    /// The same with half the area of what is commonly cut from another cloth: what was made small.
    pub loss_mm2: f64,
    /// The area of everything ordered from this cloth.
    pub ordered_mm2: f64,
    /// The job without it.
    pub job: Job,
    /// A marker of the rest that goes into the cloth in hand; it has passed the check of that job.
    pub checked: Checked,
    /// What the search says of it.
    pub answer: Answer,
    /// Its figures.
    pub purchase: Purchase,
    /// How many sets were searched for; those that were not needed no search.
    pub tried: usize,
}

/// What to leave out by what is certain without a search; none when nothing is in hand or no piece goes in. `answer` is
/// what was found for the whole job.
///
/// # Complexity
/// O(n²) for every marker of n placements; at most 24 bottom-left fills of all pieces, and one of each piece alone on each
/// spread.
pub fn leave_out_without_search(job: &Job, cloth: &Cloth, answer: &Answer) -> Option<Without> {
    let known = certain(job, cloth, &Choices::of(job, cloth).elements, answer, most_in_lay(cloth)?)?;
    Some(known.told(job, cloth, 0))
}

/// Looks for the least loss with which the rest of a job goes into the cloth in hand. `answer` is what was found for the
/// whole job. None only when nothing is in hand or no piece goes in even alone. The observer's patience is asked for before
/// every set that is looked at and after every round.
///
/// # Complexity
/// As [`leave_out_without_search`], and at most 24 searches of 8 rounds each.
pub fn leave_out(
    job: &Job,
    cloth: &Cloth,
    answer: &Answer,
    settings: &Settings,
    observer: &mut dyn Observer,
) -> Option<Without> {
    let choices = Choices::of(job, cloth);
    let mut quest = Quest::begin(job, cloth, &choices, answer)?;
    while quest.look(settings, observer) == Looked::More {}
    quest.told()
}

impl Without {
    /// What is left out as a part of everything ordered from the cloth, by area, 0 to 1.
    pub fn part(&self) -> f64 {
        self.area_mm2 / self.ordered_mm2
    }
}

impl Known {
    /// With the figures of what is left out of `job`, after so many searches.
    pub(super) fn told(self, job: &Job, cloth: &Cloth, tried: usize) -> Without {
        let Known { set, rest, kind, checked, origin, round } = self;
        let bound = admissible(&rest, cloth).into_iter().find(|(other, _)| *other == kind);
        let nothing = || Bound { length: Length::ZERO, reason: BoundReason::Area };
        let bound = bound.and_then(|(_, bound)| bound.ok()).unwrap_or_else(nothing);
        let marker = checked.marker().clone();
        let line = Line { kind, result: Ok(Found { marker, bound, origin, round }) };
        Without {
            area_mm2: set.area,
            loss_mm2: set.loss,
            ordered_mm2: job.wants(&cloth.kind).iter().map(|want| want.area_mm2(&job.style)).sum(),
            left_out: set.left_out,
            purchase: Purchase::new(cloth, &checked.marker().spread),
            job: rest,
            checked,
            answer: Answer {
                cloth: cloth.kind.clone(),
                lines: vec![line],
                stopped: StopReason::Observer,
                rounds: round,
                evaluations: 0,
            },
            tried,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::check;
    use crate::geometry::{Point, Polygon};
    use crate::invented;
    use crate::job::Want;
    use crate::search::{Continue, Event, Silent, lay};

    /// Two panels as wide as the cloth, and pieces that go beside each other.
    fn job(in_hand: f64) -> Job {
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [
                {{ "id": "panel", "cut": 2, "outline": [[0, 0], [50, 0], [50, 100], [0, 100]], "grainline": [[5, 50], [45, 50]] }},
                {{ "id": "yoke", "outline": [[0, 0], [20, 0], [20, 100], [0, 100]], "grainline": [[5, 50], [15, 50]] }},
                {{ "id": "facing", "cut": 2, "outline": [[0, 0], [15, 0], [15, 50], [0, 50]], "grainline": [[5, 25], [10, 25]] }},
                {{ "id": "band", "outline": [[0, 0], [10, 0], [10, 100], [0, 100]], "grainline": [[2, 50], [8, 50]] }}
            ], "cloths": [{{ "width": 100, "length_in_hand": {in_hand} }}] }}"#
        );
        Job::read(&text).expect("a job")
    }

    fn laid(job: &Job, rounds: u64) -> Answer {
        let settings = Settings { rounds: Some(rounds), ..Settings::default() };
        lay(job, &job.cloths[0], &settings, &mut Silent)
    }

    /// All together take 50 + 50 + 20 + 15 + 10 = 145 cm.
    fn left_out(in_hand: f64) -> Option<Vec<(String, u32)>> {
        let job = job(in_hand);
        let answer = laid(&job, 2);
        let certain = leave_out_without_search(&job, &job.cloths[0], &answer);
        let without = leave_out(&job, &job.cloths[0], &answer, &Settings::default(), &mut Silent);
        assert_eq!(certain.is_some(), without.is_some());
        let without = without?;
        assert!(certain.is_some_and(|certain| certain.loss_mm2 >= without.loss_mm2));
        assert!(without.purchase.missing().is_none(), "it goes in");
        assert!(check(&without.job, without.checked.marker()).is_ok());
        assert!(check(&job, without.checked.marker()).is_err(), "it is not the whole job");
        assert_eq!(without.answer.lines.len(), 1, "the one spread of the marker");
        let told = without.job.left_out(&job.cloths[0].kind);
        let same = |(l, w): (&LeftOut, &Want)| (l.piece, l.size, l.copies) == (w.piece, w.size, w.copies());
        assert!(
            told.len() == without.left_out.len() && without.left_out.iter().zip(&told).all(same),
            "{told:?}"
        );
        let name = |l: &LeftOut| (job.style.pieces[l.piece].id.clone(), l.copies);
        Some(without.left_out.iter().map(name).collect())
    }

    #[test]
    fn the_least_loss_that_makes_room_is_left_out() {
        let of = |list: &[(&str, u32)]| -> Option<Vec<(String, u32)>> {
            Some(list.iter().map(|&(name, copies)| (name.to_owned(), copies)).collect())
        };
        // 10 cm too little: two facings count half, as 7.5 cm, and make 15 cm of room; the band makes 10 and counts all.
        assert_eq!(left_out(135.0), of(&[("facing", 2)]));
        // 16 cm too little: yoke (20), or facings and band (7.5 + 10).
        assert_eq!(left_out(129.0), of(&[("facing", 2), ("band", 1)]));
        assert_eq!(left_out(125.0), of(&[("facing", 2), ("band", 1)]), "20 of 25 cm");
        assert_eq!(left_out(100.0), of(&[("yoke", 1), ("facing", 2), ("band", 1)]));
        assert_eq!(left_out(45.0), of(&[("panel", 2)]));
        assert_eq!(left_out(9.0), None, "nothing goes in, whatever is left out");
    }

    /// Jobs of which a part of the shortest lay is in hand.
    fn short_jobs() -> Vec<(String, Job, Answer)> {
        let mut jobs = Vec::new();
        for (name, job, marker) in invented::good_markers() {
            let cloth =
                job.cloths.iter().find(|cloth| cloth.kind == marker.cloth).expect("its cloth").clone();
            for (share, flaw) in [(80, false), (45, false), (60, true)] {
                let mut job = Job { cloths: vec![cloth.clone()], ..job.clone() };
                let needed = Purchase::new(&cloth, &marker.spread).needed.grid();
                job.cloths[0].length_in_hand = Some(Length::from_grid(needed * share / 100));
                if flaw {
                    let spot = Polygon::rectangle(4000, 3000).shifted(Point::new(9000, 20_000));
                    job.cloths[0].flaws.push(crate::cloth::Flaw::Area(spot));
                }
                let answer = laid(&job, 1);
                jobs.push((format!("{name}, {share} %, flaw {flaw}"), job, answer));
            }
        }
        jobs
    }

    #[test]
    fn what_is_certain_exists_wherever_a_piece_goes_in_alone() {
        let mut told = 0;
        for (name, job, answer) in short_jobs() {
            let cloth = &job.cloths[0];
            let Some(most) = most_in_lay(cloth) else { continue };
            let alone = Choices::of(&job, cloth).elements.iter().any(|element| {
                let one = Want { as_drawn: 1, mirrored: 0, ..element.want.clone() };
                let own = job.with_portion(&cloth.kind, vec![one]);
                let found = laid(&own, 1).lines.into_iter().filter_map(|line| line.result.ok());
                found.into_iter().any(|found| found.marker.spread.cloth_length() <= most)
            });
            let without = leave_out_without_search(&job, cloth, &answer);
            assert!(without.is_some() || !alone, "{name}");
            let Some(without) = without else { continue };
            told += 1;
            assert!(without.purchase.missing().is_none(), "{name}: it goes in");
            assert!(check(&without.job, without.checked.marker()).is_ok(), "{name}");
            let left: f64 = without.job.left_out(&cloth.kind).iter().map(|w| w.area_mm2(&job.style)).sum();
            assert!((left - without.area_mm2).abs() < 1.0, "{name}: {left} and {}", without.area_mm2);
            assert_eq!(without.tried, 0, "{name}");
        }
        assert!(told > 10, "{told}");
    }

    #[test]
    fn a_search_never_loses_more_than_what_is_certain() {
        let (mut better, mut told) = (0, 0);
        for (name, job, answer) in short_jobs().into_iter().step_by(4) {
            let cloth = &job.cloths[0];
            let Some(certain) = leave_out_without_search(&job, cloth, &answer) else { continue };
            // Patience for three rounds of searching.
            let mut rounds = 0;
            let mut patience = |event: &Event| {
                rounds += usize::from(matches!(event, Event::RoundDone { round, .. } if *round > 0));
                if rounds >= 3 { Continue::Stop } else { Continue::Yes }
            };
            let without = leave_out(&job, cloth, &answer, &Settings::default(), &mut patience);
            let without = without.unwrap_or_else(|| panic!("{name}"));
            told += 1;
            better += usize::from(without.loss_mm2 < certain.loss_mm2);
            assert!(without.loss_mm2 <= certain.loss_mm2, "{name}");
            assert!(without.purchase.missing().is_none(), "{name}: it goes in");
            assert!(check(&without.job, without.checked.marker()).is_ok(), "{name}");
        }
        assert!(told > 3, "{told}");
        assert!(better > 0, "time makes it better somewhere");
    }

    #[test]
    fn a_piece_too_wide_for_the_cloth_is_left_out() {
        // No lay of the whole exists.
        let text = r#"{ "version": 1, "units": "cm", "pieces": [
            { "id": "wide", "outline": [[0, 0], [50, 0], [50, 100], [0, 100]], "grainline": [[5, 50], [45, 50]] },
            { "id": "narrow", "cut": 2, "outline": [[0, 0], [50, 0], [50, 30], [0, 30]], "grainline": [[5, 15], [45, 15]] }
        ], "cloths": [{ "width": 70, "length_in_hand": 80 }] }"#;
        let job = Job::read(text).expect("a job");
        let answer = laid(&job, 1);
        assert!(answer.found().next().is_none());
        let without = leave_out_without_search(&job, &job.cloths[0], &answer).expect("the narrow ones go in");
        assert_eq!(without.told(), ["1 x wide"]);
    }

    #[test]
    fn one_of_a_pair_is_better_than_nothing() {
        // 30 cm hold one of the two side by side on the cloth, but not both.
        let text = r#"{ "version": 1, "units": "cm", "pieces": [
            { "id": "sleeve", "cut": 2, "pairs": true, "outline": [[0, 0], [25, 0], [20, 60], [0, 60]],
              "grainline": [[5, 30], [15, 30]] }
        ], "cloths": [{ "width": 80, "length_in_hand": 30, "end_allowance": 0, "straightening": 0 }] }"#;
        let job = Job::read(text).expect("a job");
        let without = leave_out_without_search(&job, &job.cloths[0], &laid(&job, 1)).expect("one goes in");
        assert_eq!(without.told(), ["1 x sleeve"]);
        assert!(check(&without.job, without.checked.marker()).is_ok());
    }
}
