//! What to leave out of the cells whose marker is too long for the cloth in hand: certain for each, then searched for by turns.
//!
//! A search of what stands as number r in its column has its next turn when (r + 1)² (n + 1) is least, for n rounds had: the
//! winners come first, as do kinds of spread in a race, and none starves. A look at a set of pieces counts as a round, like
//! every round of the search for the rest, since it makes the tables anew.

use rayon::prelude::*;

use super::axes::Case;
use crate::answer::Answer;
use crate::in_hand::{Choices, Looked, Quest, Without, most_in_lay};
use crate::job::Job;
use crate::length::Length;
use crate::report::ClothReport;
use crate::search::{Continue, Event, Settings};

/// The part of a comparison's time or rounds in which what to leave out is searched for, when a cell needs more than is in
/// hand: chosen by hand. Lays come first, as what is certain is cut out of them.
pub const LEAVING_OUT: f64 = 0.3;

/// A cell whose marker is too long for the cloth in hand.
struct Short {
    column: usize,
    line: usize,
    /// Its place in the ranking of its column, from 0.
    rank: u64,
    /// The job of the column on this kind of spread alone, and what was found for it.
    job: Job,
    own: Answer,
}

/// For each line of each answer whose marker is too long for the cloth in hand, what to leave out so that the rest goes in on the
/// same kind of spread; none for the others. `observer` is told of the column before every set that is looked at and after
/// every round, and may end it.
///
/// # Complexity
/// As [`leave_out`](crate::in_hand::leave_out) for each such line, as far as the observer allows; what is certain without a
/// search is worked out for all of them.
pub(super) fn left_out(
    cases: &[Case],
    answers: &[Answer],
    reports: &[ClothReport],
    settings: &Settings,
    observer: &mut dyn FnMut(usize) -> Continue,
) -> Vec<Vec<Option<Without>>> {
    let short = short(cases, answers, reports);
    // Columns of the same order have the same to choose from, whatever their cloth.
    let mut choices: Vec<(usize, Choices)> = Vec::new();
    for case in short.iter().map(|short| &cases[short.column]) {
        if choices.iter().all(|(group, _)| *group != case.group) {
            choices.push((case.group, Choices::of(&case.job, case.cloth())));
        }
    }
    let begun: Vec<Option<Quest<'_>>> = short
        .par_iter()
        .map(|short| {
            let case = &cases[short.column];
            let (_, choices) = choices.iter().find(|(group, _)| *group == case.group)?;
            Quest::begin(&short.job, case.cloth(), choices, &short.own)
        })
        .collect();
    let mut told: Vec<Vec<Option<Without>>> = answers.iter().map(|a| vec![None; a.lines.len()]).collect();
    let mut turns: Vec<Turn<'_>> =
        short.iter().zip(begun).filter_map(|(short, quest)| Some(Turn::new(short, quest?))).collect();
    take_turns(&mut turns, settings, observer);
    for Turn { short, quest, .. } in turns {
        told[short.column][short.line] = quest.told();
    }
    told
}

/// The cells that need more than is in hand, the winners of all columns first, then the second best, and so on.
fn short(cases: &[Case], answers: &[Answer], reports: &[ClothReport]) -> Vec<Short> {
    let mut all: Vec<Short> = Vec::new();
    for (column, (case, answer)) in cases.iter().zip(answers).enumerate() {
        let Some(most) = most_in_lay(case.cloth()) else { continue };
        for (rank, &line) in reports[column].ranking.iter().enumerate() {
            let own = &answer.lines[line];
            let is_short = |cloth: Length| cloth > most;
            if own.result.as_ref().is_ok_and(|found| is_short(found.marker.spread.cloth_length())) {
                let job = Job { spreads: vec![own.kind], ..case.job.clone() };
                let own = Answer { cloth: answer.cloth.clone(), lines: vec![own.clone()], ..*answer };
                all.push(Short { column, line, rank: rank as u64, job, own });
            }
        }
    }
    all.sort_by_key(|short| (short.rank, short.column));
    all
}

/// A cell with its search.
struct Turn<'a> {
    short: &'a Short,
    quest: Quest<'a>,
    /// Rounds had.
    rounds: u64,
    is_over: bool,
}

impl<'a> Turn<'a> {
    fn new(short: &'a Short, quest: Quest<'a>) -> Turn<'a> {
        Turn { short, quest, rounds: 0, is_over: false }
    }
}

/// Lets one search after the other look at a set, until nothing is left to look at or the observer says stop.
fn take_turns(turns: &mut [Turn<'_>], settings: &Settings, observer: &mut dyn FnMut(usize) -> Continue) {
    // The first of equals is the best ranked.
    let weight = |turn: &&mut Turn<'_>| (turn.short.rank + 1).pow(2) * (turn.rounds + 1);
    while let Some(turn) = turns.iter_mut().filter(|turn| !turn.is_over).min_by_key(weight) {
        let mut rounds = turn.rounds;
        let mut counted = |_: &Event| {
            rounds += 1;
            observer(turn.short.column)
        };
        let looked = turn.quest.look(settings, &mut counted);
        turn.rounds = rounds;
        match looked {
            Looked::More => {}
            Looked::Over => turn.is_over = true,
            Looked::Stopped => return,
        }
    }
}

/// Is a lay of any of these lengths too long for the cloth in hand?
pub(super) fn is_any_short(case: &Case, cloths: impl IntoIterator<Item = Length>) -> bool {
    most_in_lay(case.cloth()).is_some_and(|most| cloths.into_iter().any(|cloth| cloth > most))
}

#[cfg(test)]
mod leave_out_tests {
    use super::*;
    use crate::check::check;
    use crate::compare::{Axes, Comparison, Progress, Stage, Width, compare};
    use crate::in_hand::leave_out_without_search;
    use crate::invented::{self, mm};
    use crate::length::Unit;
    use crate::spread::{Family, Kind};

    /// A garment with too little in hand on each of two widths.
    fn cases() -> Vec<Case> {
        let mut job = invented::job(&["back", "front", "cuff", "yoke", "pocket"], invented::cloth());
        job.cloths[0].length_in_hand = Some(mm(700));
        job.spreads = vec![Kind::Whole(Family::Single), Kind::Whole(Family::LengthwiseFold), Kind::Sections];
        let widths = [800, 1100].map(|width| Width { length: mm(width), unit: Unit::Cm }).to_vec();
        Axes { cloth: "self".to_owned(), widths, ..Axes::default() }.cases(&job).expect("cases")
    }

    fn compared(rounds: u64, observer: &mut dyn FnMut(&Progress<'_>) -> Continue) -> Comparison {
        compare(cases(), &Settings { rounds: Some(rounds), ..Settings::default() }, observer)
    }

    /// Every cell that is too long, with its column, its place in the ranking there, and what is left out of it.
    fn short_cells(comparison: &Comparison) -> Vec<(usize, usize, &Without)> {
        let mut all = Vec::new();
        for (c, column) in comparison.columns.iter().enumerate() {
            for (rank, &k) in column.report.ranking.iter().enumerate() {
                let missing = column.in_hand(k).expect("in hand").missing();
                assert_eq!(missing.is_some(), column.without[k].is_some(), "{c}, {k}");
                all.extend(column.without[k].as_ref().map(|without| (c, rank, without)));
            }
        }
        all
    }

    /// What is certain for a cell.
    fn certain(comparison: &Comparison, c: usize, rank: usize) -> Without {
        let column = &comparison.columns[c];
        let line = &column.report.lines[column.report.ranking[rank]];
        let lay = line.lay().expect("a lay");
        let job = Job { spreads: vec![line.kind], ..column.case.job.clone() };
        let found = crate::answer::Found {
            marker: lay.checked.marker().clone(),
            bound: lay.bound.clone(),
            origin: lay.origin,
            round: lay.round,
        };
        let answer = Answer {
            cloth: "self".to_owned(),
            lines: vec![crate::answer::Line { kind: line.kind, result: Ok(found) }],
            stopped: comparison.stopped,
            rounds: comparison.rounds,
            evaluations: 0,
        };
        leave_out_without_search(&job, column.case.cloth(), &answer).expect("something goes in")
    }

    #[test]
    fn a_search_loses_no_more_than_what_is_certain_and_what_it_tells_goes_in() {
        let (mut asked, mut leaving_out) = (0, 0);
        let comparison = compared(60, &mut |progress| {
            asked += 1;
            assert_eq!(progress.rounds, asked, "every round is told");
            assert!(progress.is_short);
            leaving_out += u64::from(progress.stage == Stage::LeavingOut);
            Continue::Yes
        });
        assert_eq!(comparison.rounds, asked);
        // Of 120 for two columns three in ten are kept for what to leave out; here fewer are enough.
        assert!(comparison.rounds <= 84 + leaving_out && (1..=36).contains(&leaving_out), "{leaving_out}");
        let (mut better, mut searched) = (0, 0);
        let cells = short_cells(&comparison);
        assert!(cells.len() >= 4, "{}", cells.len());
        for &(c, rank, without) in &cells {
            let column = &comparison.columns[c];
            let kind = column.report.lines[column.report.ranking[rank]].kind;
            let certain = certain(&comparison, c, rank);
            assert!(without.loss_mm2 <= certain.loss_mm2, "{}", kind.title());
            assert!(without.tried > 0 || without.loss_mm2 == certain.loss_mm2, "{}", kind.title());
            assert!(without.purchase.needed <= mm(700), "{}", kind.title());
            assert!(check(&without.job, without.checked.marker()).is_ok(), "{}", kind.title());
            assert!(without.answer.lines.iter().all(|line| line.kind == kind), "{}", kind.title());
            better += usize::from(without.loss_mm2 < certain.loss_mm2);
            searched += usize::from(without.tried > 0);
            let told = column.without_told(column.report.ranking[rank]).expect("told");
            assert!(told.ends_with(&format!("{})", without.tried_told())), "{told}");
        }
        assert!(better > 0 && searched > 0, "{better} better, {searched} searched for");
    }

    #[test]
    fn the_winners_have_their_turns_first() {
        // 2 rounds of the look, 16 for lays, and 8 for what to leave out.
        let mut columns = Vec::new();
        let comparison = compared(13, &mut |progress| {
            if progress.stage == Stage::LeavingOut {
                columns.push(progress.column);
            }
            Continue::Yes
        });
        assert_eq!(columns.len(), 8, "{columns:?}");
        let cells = short_cells(&comparison);
        assert!(cells.iter().any(|(_, rank, without)| *rank == 0 && without.tried > 0));
        assert!(cells.iter().all(|(_, rank, without)| *rank == 0 || without.tried == 0));
        // A comparison of no more than the look has none to spare.
        let brief = compared(1, &mut |progress| {
            assert_eq!(progress.stage, Stage::Look);
            Continue::Yes
        });
        assert_eq!(brief.rounds, 2);
        assert!(short_cells(&brief).iter().all(|(.., without)| without.tried == 0));
    }

    #[test]
    fn threads_change_nothing() {
        let on = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
            pool.install(|| compared(20, &mut |_| Continue::Yes))
        };
        let (one, two) = (on(1), on(2));
        assert!(short_cells(&one).iter().any(|(.., without)| without.tried > 0));
        assert_eq!((one.text(), one.csv(), one.json()), (two.text(), two.csv(), two.json()));
        let markers = |comparison: &Comparison| -> Vec<_> {
            short_cells(comparison).iter().map(|(.., w)| w.checked.marker().clone()).collect()
        };
        assert_eq!(markers(&one), markers(&two));
    }

    #[test]
    fn whoever_says_stop_has_what_is_certain_or_better() {
        let stopped = compared(60, &mut |_| Continue::Stop);
        assert_eq!(stopped.rounds, 2, "asked once for lays, once for what to leave out");
        let cells = short_cells(&stopped);
        assert!(!cells.is_empty());
        assert!(cells.iter().all(|(.., without)| without.tried == 0));
        // Lays end after ten rounds; what to leave out after ten more, in the middle of a search.
        let comparison = compared(60, &mut |progress| {
            let most = if progress.stage == Stage::LeavingOut { 20 } else { 10 };
            if progress.rounds >= most { Continue::Stop } else { Continue::Yes }
        });
        assert_eq!(comparison.rounds, 20);
        let cells = short_cells(&comparison);
        assert!(cells.iter().any(|(.., without)| without.tried > 0));
        for (c, rank, without) in cells {
            assert!(without.loss_mm2 <= certain(&comparison, c, rank).loss_mm2);
            assert!(check(&without.job, without.checked.marker()).is_ok());
        }
    }
}
