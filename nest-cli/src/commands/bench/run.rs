//! One run: a search under a budget, watched with a clock, and its marker checked before its density counts.

use std::time::{Duration, Instant};

use nest_core::answer::StopReason;
use nest_core::check::check_board;
use nest_core::instance::Scaled;
use nest_core::job::Job;
use nest_core::length::Length;
use nest_core::purchase::Efficiency;
use nest_core::report::Report;
use nest_core::search::{Continue, Event, Observer, Settings, lay, lay_board};

use super::results::Run;
use super::subject::{Kind, Subject};
use crate::interrupt::Interrupt;

/// When a run ends, and who may end it sooner.
pub(super) struct Budget<'a> {
    pub(super) time: Option<Duration>,
    pub(super) interrupt: &'a Interrupt,
}

/// A run and the lower bound that it proved, in the subject's unit.
pub(super) struct Measurement {
    pub(super) run: Run,
    pub(super) lower_bound: Option<f64>,
}

/// Runs one search. None when it was interrupted before its budget was spent: what it found so far would only lower the
/// mean.
///
/// The clock runs from before the no-fit tables are built until the search returns; checking is not counted.
pub(super) fn measure(subject: &Subject, settings: &Settings, budget: &Budget<'_>) -> Option<Measurement> {
    match &subject.kind {
        Kind::Board(scaled) => board(scaled, settings, budget),
        Kind::Cloth { job, index } => cloth(job, *index, settings, budget),
    }
}

fn board(scaled: &Scaled, settings: &Settings, budget: &Budget<'_>) -> Option<Measurement> {
    let board = &scaled.board;
    let mut clock = Clock::start(budget);
    let answer = lay_board(board, settings, |progress| {
        clock.improved(progress.length);
        clock.asked()
    });
    let (seconds, seconds_to_best) = (clock.seconds(), clock.seconds_to_best());
    if answer.stopped == StopReason::Observer && clock.cut_short {
        return None;
    }
    // What was found is pushed together at the end, which was not told.
    clock.improved(answer.lay.length);
    let percent = |length: i64| 100.0 * board.density(length);
    let units = |grid: i64| grid as f64 / scaled.scale;
    let checked = check_board(board, &answer.lay);
    let length = answer.lay.length;
    // What is proved of rounded corners is not proved of those in the file.
    let proved = scaled.exact && checked.is_ok() && length <= answer.bound.length.grid();
    let run = Run {
        seed: settings.seed,
        density_percent: checked.as_ref().ok().map(|_| percent(length)),
        length: checked.as_ref().ok().map(|_| units(length)),
        fault: checked.err().map(|faults| sentences(&faults)),
        proved,
        rounds: answer.rounds,
        evaluations: answer.evaluations,
        seconds,
        seconds_to_best,
        curve: clock.curve(percent),
    };
    Some(Measurement { run, lower_bound: Some(units(answer.bound.length.grid())) })
}

fn cloth(job: &Job, index: usize, settings: &Settings, budget: &Budget<'_>) -> Option<Measurement> {
    let cloth = &job.cloths[index];
    let mut clock = Clock::start(budget);
    let answer = lay(job, cloth, settings, &mut clock);
    let (seconds, seconds_to_best) = (clock.seconds(), clock.seconds_to_best());
    // What was found is pushed together at the end, which was not told.
    let found = answer.lines.iter().filter_map(|line| line.result.as_ref().ok());
    if let Some(length) = found.map(|found| found.marker.spread.cloth_length().grid()).min() {
        clock.improved(length);
    }
    if answer.stopped == StopReason::Observer && clock.cut_short {
        return None;
    }
    let (rounds, evaluations) = (answer.rounds, answer.evaluations);
    let percent = |grid: i64| 100.0 * Efficiency::new(job, cloth, Length::from_grid(grid)).of_cloth();
    let report = Report::new(job, &[answer], settings);
    let mut fault: Vec<String> = report
        .withheld()
        .map(|(_, family, violations)| format!("{}: {}", family.title(), sentences(violations)))
        .collect();
    // The least cloth in the lay is also the least to buy; ends and rounding are the same for all.
    let line = report.cloths.first();
    let found = line.and_then(|cloth| cloth.shortest_line()?.lay());
    if found.is_none() && fault.is_empty() {
        fault.push("no spread serves; see nest spreads".to_owned());
    }
    let good = found.filter(|_| fault.is_empty()).map(|lay| lay.purchase.cloth_in_lay);
    let bound = line.and_then(|cloth| cloth.least_cloth());
    let run = Run {
        seed: settings.seed,
        density_percent: good.map(|length| percent(length.grid())),
        length: good.map(Length::mm),
        fault: (!fault.is_empty()).then(|| fault.join("; ")),
        proved: good.zip(bound).is_some_and(|(length, bound)| length <= bound),
        rounds,
        evaluations,
        seconds,
        seconds_to_best,
        curve: clock.curve(percent),
    };
    Some(Measurement { run, lower_bound: bound.map(Length::mm) })
}

fn sentences(faults: &[impl ToString]) -> String {
    /// The first ones tell enough.
    const SHOWN: usize = 3;
    let mut told: Vec<String> = faults.iter().take(SHOWN).map(ToString::to_string).collect();
    if faults.len() > SHOWN {
        told.push(format!("and {} more", faults.len() - SHOWN));
    }
    told.join("; ")
}

/// Notes when the best length fell, and says when to stop.
struct Clock<'a> {
    begun: Instant,
    budget: &'a Budget<'a>,
    improvements: Vec<(Duration, i64)>,
    /// Was the search told to stop before its time was over? What comes after the search may take until then.
    cut_short: bool,
}

impl<'a> Clock<'a> {
    fn start(budget: &'a Budget<'a>) -> Clock<'a> {
        Clock { begun: Instant::now(), budget, improvements: Vec::new(), cut_short: false }
    }

    fn improved(&mut self, length: i64) {
        if self.improvements.last().is_none_or(|&(_, best)| length < best) {
            self.improvements.push((self.begun.elapsed(), length));
        }
    }

    fn is_over(&self) -> bool {
        self.budget.time.is_some_and(|time| self.begun.elapsed() >= time)
    }

    fn asked(&mut self) -> Continue {
        let is_over = self.is_over();
        self.cut_short |= self.budget.interrupt.asked() && !is_over;
        if self.cut_short || is_over { Continue::Stop } else { Continue::Yes }
    }

    fn seconds(&self) -> f64 {
        self.begun.elapsed().as_secs_f64()
    }

    fn seconds_to_best(&self) -> f64 {
        self.improvements.last().map_or(0.0, |(when, _)| when.as_secs_f64())
    }

    fn curve(&self, percent: impl Fn(i64) -> f64) -> Vec<(f64, f64)> {
        self.improvements.iter().map(|&(when, length)| (when.as_secs_f64(), percent(length))).collect()
    }
}

impl Observer for Clock<'_> {
    fn event(&mut self, event: &Event) -> Continue {
        match event {
            Event::Improved { cloth, .. } => self.improved(cloth.grid()),
            // What is measured is the shortest: the search might go on for another spread that is easier to handle.
            Event::RoundDone { best_cloth: Some(best), bound_cloth, .. } if best <= bound_cloth => {
                return Continue::Stop;
            }
            _ => (),
        }
        self.asked()
    }
}
