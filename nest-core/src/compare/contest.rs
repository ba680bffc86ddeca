//! The searches of all columns: a short look at each, then rounds where they pay, then markers lent from cloth to cloth, and
//! what to leave out where cloth in hand is too short.

use super::axes::Case;
use super::effort::{Standing, next, reach};
use super::leave_out::{LEAVING_OUT, is_any_short, left_out};
use super::lend::laid_on;
use super::result::{Column, Comparison};
use crate::answer::{Answer, Bound, BoundReason, Found, Line, Origin, StopReason};
use crate::check::check;
use crate::demand::Demands;
use crate::length::Length;
use crate::report::{ClothReport, LineReport};
use crate::search::entry::Terms;
use crate::search::portfolio::{Aim, LOOK, Race};
use crate::search::{Continue, Settings, Silent};
use crate::spread::Refusal;

/// How far a comparison has come: the place to look at a clock.
#[derive(Clone, Copy, Debug)]
pub struct Progress<'a> {
    /// The column that was worked on.
    pub case: &'a Case,
    /// Its number, from 0.
    pub column: usize,
    /// How many columns there are.
    pub columns: usize,
    /// Rounds done so far, all columns together.
    pub rounds: u64,
    /// What the rounds are spent on.
    pub stage: Stage,
    /// Does any cell need more than is in hand, by what is known of it so far?
    pub is_short: bool,
    /// The shortest cloth of any spread of this column so far.
    pub best: Option<Length>,
}

/// What the rounds of a comparison are spent on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Every column has a short look.
    Look,
    /// The columns in which a step less to buy is near.
    Lays,
    /// What to leave out where the cloth in hand is too short.
    LeavingOut,
}

/// Compares: searches every case, and lends what it finds to those that can hold it.
///
/// `settings.rounds` counts rounds for each column on the average; they are shared out where they pay, and of those beyond the
/// look [`LEAVING_OUT`] goes into what to leave out, when a cell needs more than is in hand. After each round `observer` says
/// whether to go on: [`Continue::Stop`] ends the search for lays, and, asked again there, that for what to leave out. Before
/// the last column has its first lays it is not asked. The same cases, settings and rounds give the same comparison on any
/// number of threads.
///
/// # Complexity
/// As for [`lay`](crate::lay) for each column, with the tables of all columns in memory at once; and for each cell whose marker is
/// too long for the cloth in hand as for [`leave_out_without_search`](crate::in_hand::leave_out_without_search), whatever the
/// observer says, and at most as for [`leave_out`](crate::in_hand::leave_out).
pub fn compare(
    cases: Vec<Case>,
    settings: &Settings,
    observer: &mut dyn FnMut(&Progress<'_>) -> Continue,
) -> Comparison {
    let demands: Vec<Demands> = cases.iter().map(|case| Demands::new(&case.job, case.cloth())).collect();
    let mut contest = Contest::enter(&cases, &demands, settings);
    let stopped = contest.run(observer);
    let (mut rounds, most) = (contest.rounds, contest.most);
    let mut answers: Vec<Answer> = contest.races.into_iter().map(|race| race.finish(stopped)).collect();
    let evaluations = answers.iter().map(|answer| answer.evaluations).sum();
    let lent = lend(&cases, &demands, &mut answers);
    let reports: Vec<ClothReport> = cases
        .iter()
        .zip(&answers)
        .map(|(case, answer)| ClothReport::new(&case.job, case.cloth(), answer))
        .collect();
    let mut patience = |column: usize| {
        if most.is_some_and(|most| rounds >= most) {
            return Continue::Stop;
        }
        rounds += 1;
        let shortest = reports[column].shortest_line().and_then(LineReport::lay);
        observer(&Progress {
            case: &cases[column],
            column,
            columns: cases.len(),
            rounds,
            stage: Stage::LeavingOut,
            is_short: true,
            best: shortest.map(|lay| lay.purchase.cloth_in_lay),
        })
    };
    let without = left_out(&cases, &answers, &reports, settings, &mut patience);
    let columns = cases.into_iter().zip(reports).zip(lent).zip(without);
    let columns =
        columns.map(|(((case, report), lent), without)| Column { case, report, lent, without }).collect();
    Comparison { columns, settings: settings.clone(), stopped, rounds, evaluations }
}

/// All races, each with its rounds beyond the look.
struct Contest<'a> {
    cases: &'a [Case],
    races: Vec<Race<'a>>,
    extra: Vec<u64>,
    /// Has a column a lay that needs more than is in hand?
    short: Vec<bool>,
    rounds: u64,
    /// Rounds that all of the comparison may take.
    most: Option<u64>,
}

impl<'a> Contest<'a> {
    fn enter(cases: &'a [Case], demands: &'a [Demands], settings: &'a Settings) -> Contest<'a> {
        let race = |(case, demands): (&'a Case, &'a Demands)| {
            demands.prepare();
            Race::enter(demands, Terms { cloth: case.cloth(), settings }, Aim::Comparison, &mut Silent)
        };
        let races: Vec<Race<'a>> = cases.iter().zip(demands).map(race).collect();
        let columns = races.len();
        let most = settings.rounds.map(|each| each.saturating_mul(columns as u64));
        let mut contest =
            Contest { cases, extra: vec![0; columns], races, short: vec![false; columns], rounds: 0, most };
        for column in 0..columns {
            contest.short[column] = contest.is_short(column);
        }
        contest
    }

    fn run(&mut self, observer: &mut dyn FnMut(&Progress<'_>) -> Continue) -> StopReason {
        if self.races.iter().all(|race| race.is_over() == Some(StopReason::Nothing)) {
            return StopReason::Nothing;
        }
        for _ in 0..LOOK {
            for column in 0..self.races.len() {
                if self.races[column].is_over().is_some() {
                    continue;
                }
                if self.most.is_some_and(|most| self.rounds >= most) {
                    return StopReason::Rounds;
                }
                if self.work(column, Stage::Look, observer) == Continue::Stop {
                    return StopReason::Observer;
                }
            }
        }
        loop {
            let reaches = (0..self.races.len()).map(|column| (self.reach(column), self.extra[column]));
            let Some(column) = next(reaches) else { return StopReason::Optimal };
            if self.most.is_some_and(|most| self.rounds >= most - self.kept(most)) {
                return StopReason::Rounds;
            }
            self.extra[column] += 1;
            if self.work(column, Stage::Lays, observer) == Continue::Stop {
                return StopReason::Observer;
            }
        }
    }

    /// Rounds that are kept for what to leave out, none of them of the look.
    fn kept(&self, most: u64) -> u64 {
        if !self.short.contains(&true) {
            return 0;
        }
        let beyond = most.saturating_sub(LOOK * self.races.len() as u64);
        ((most as f64 * LEAVING_OUT).round() as u64).min(beyond)
    }

    fn work(
        &mut self,
        column: usize,
        stage: Stage,
        observer: &mut dyn FnMut(&Progress<'_>) -> Continue,
    ) -> Continue {
        self.races[column].advance(&mut Silent);
        self.rounds += 1;
        self.short[column] = self.is_short(column);
        observer(&Progress {
            case: &self.cases[column],
            column,
            columns: self.races.len(),
            rounds: self.rounds,
            stage,
            is_short: self.short.contains(&true),
            best: self.races[column].standing().map(|(_, cloth, _)| cloth).min(),
        })
    }

    /// How far a column is from a step less, with what other columns can lend it.
    fn reach(&self, column: usize) -> Option<f64> {
        if self.races[column].is_over().is_some() {
            return None;
        }
        reach(self.cases[column].cloth(), &self.standings(column))
    }

    fn is_short(&self, column: usize) -> bool {
        let cloths = self.standings(column).into_iter().map(|standing| standing.cloth);
        is_any_short(&self.cases[column], cloths)
    }

    /// How the spreads of a column stand, with what other columns can lend it.
    fn standings(&self, column: usize) -> Vec<Standing> {
        let case = &self.cases[column];
        let mut standings: Vec<Standing> = self.races[column]
            .standing()
            .map(|(kind, cloth, bound)| Standing { kind, cloth, bound })
            .collect();
        for (lender, race) in self.cases.iter().zip(&self.races) {
            // What lies on a flaw here is not lent, and only the check tells.
            let keeps_clear = case.cloth().flaws.is_empty() || case.cloth().flaws == lender.cloth().flaws;
            if case.can_hold(lender) && keeps_clear {
                for (kind, cloth, _) in race.standing() {
                    for own in standings.iter_mut().filter(|own| own.kind == kind && cloth < own.cloth) {
                        own.cloth = cloth;
                    }
                }
            }
        }
        standings
    }
}

/// Puts shorter markers of other columns into those that can hold them; tells for each line from which column it came.
fn lend(cases: &[Case], demands: &[Demands], answers: &mut [Answer]) -> Vec<Vec<Option<usize>>> {
    let mut lent: Vec<Vec<Option<usize>>> = answers.iter().map(|a| vec![None; a.lines.len()]).collect();
    // In this order every column has what it can get before it lends itself.
    let mut order: Vec<usize> = (0..cases.len()).collect();
    order.sort_by_key(|&column| {
        let cloth = cases[column].cloth();
        (cases[column].group, cloth.lay_width(), cloth.nap == crate::cloth::Nap::None, column)
    });
    for (done, &column) in order.iter().enumerate() {
        let lines = 0..answers[column].lines.len();
        let taken: Vec<(usize, Found, usize)> = lines
            .filter_map(|k| {
                let (found, lender) = taken(cases, demands, answers, &order[..done], (column, k))?;
                Some((k, found, lent[lender][k].unwrap_or(lender)))
            })
            .collect();
        for (k, found, lender) in taken {
            answers[column].lines[k].result = Ok(found);
            lent[column][k] = Some(lender);
        }
        debug_assert!(answers[column].lines.iter().all(|line| passes(&cases[column], line)));
    }
    lent
}

/// The shortest marker that a column can take for one of its lines from those before it, and whose it is; none when its
/// own is as short.
fn taken(
    cases: &[Case],
    demands: &[Demands],
    answers: &[Answer],
    before: &[usize],
    (column, k): (usize, usize),
) -> Option<(Found, usize)> {
    let (case, own) = (&cases[column], &answers[column].lines[k]);
    // What does not serve here takes nothing; a line without a marker only when the search came to nothing.
    if !can_take(own) {
        return None;
    }
    let shorter = |cloth: &Length| cloth_of(own).is_none_or(|own| *cloth < own);
    let mut lenders: Vec<(Length, usize)> = before
        .iter()
        .filter(|&&lender| case.can_hold(&cases[lender]))
        .filter_map(|&lender| Some((cloth_of(&answers[lender].lines[k]).filter(shorter)?, lender)))
        .collect();
    lenders.sort();
    lenders.into_iter().find_map(|(_, lender)| {
        let theirs = answers[lender].lines[k].result.as_ref().ok()?;
        let laid = laid_on(&case.job, case.cloth(), &theirs.marker)?;
        let bound = bound_of(own, &demands[column]);
        let found = Found { marker: laid.marker().clone(), bound, origin: Origin::Lent, round: theirs.round };
        Some((found, lender))
    })
}

fn passes(case: &Case, line: &Line) -> bool {
    line.result.as_ref().map_or(true, |found| check(&case.job, &found.marker).is_ok())
}

fn cloth_of(line: &Line) -> Option<Length> {
    line.result.as_ref().ok().map(|found| found.marker.spread.cloth_length())
}

/// Is there a marker, or might there be one?
fn can_take(line: &Line) -> bool {
    matches!(&line.result, Ok(_) | Err(Refusal::NoneFound | Refusal::NoDepth))
}

fn bound_of(line: &Line, demands: &Demands) -> Bound {
    match &line.result {
        Ok(found) => found.bound.clone(),
        Err(_) => Bound { length: Length::from_grid(demands.area_bound()), reason: BoundReason::Area },
    }
}
