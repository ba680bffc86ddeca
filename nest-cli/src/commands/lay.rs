//! `nest lay`: a job to its shortest marker, the drawing, the placements and the summary.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use anyhow::{Context, Result};
use nest_core::answer::Answer;
use nest_core::cloth::Cloth;
use nest_core::draw::{Caption, draw};
use nest_core::job::Job;
use nest_core::report::{Report, json};
use nest_core::search::{Continue, Event, Observer, Settings, lay};

use crate::args;
use crate::complaint::tell;
use crate::console::{Console, Work};
use crate::deposit::Litter;
use crate::exit::Exit;
use crate::interrupt::Interrupt;
use crate::outputs::Outputs;
use crate::source::Source;

/// How long to search when nothing is said.
const USUAL_TIME: Duration = Duration::from_secs(20);

/// Lays the job.
pub(crate) fn run(args: &args::Lay) -> Result<Exit> {
    let job = Source::from(&*args.job).job()?;
    let cloths = super::chosen(&job, &args.cloth)?;
    let litter = Litter::default();
    let outputs = Outputs::open(args, &cloths, &litter)?;
    let interrupt = Interrupt::listen(litter, args.quiet)?;
    if let Some(threads) = args.threads {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads.into()).build_global();
        pool.context("cannot start the threads")?;
    }

    let settings = Settings { seed: args.seed, rounds: args.rounds, lanes: args.lanes };
    let answers = search(&job, &cloths, &settings, args, &interrupt);
    let report = Report::new(&job, &answers, &settings);
    for (cloth, spread, violations) in report.withheld() {
        let kind = &cloth.cloth.kind;
        tell(&format!(
            "nest: a marker for {kind} on {} did not pass the check and is left out:",
            spread.title()
        ));
        for violation in violations {
            tell(&format!("  {violation}"));
        }
    }
    deliver(&job, &report, outputs)?;
    Ok(if report.is_met() { Exit::Done } else { Exit::NotMet })
}

/// Searches one cloth after the other. Each gets its share of the time that is left, by the area of its pieces, so that
/// what one does not need goes to the next.
fn search(
    job: &Job,
    cloths: &[&Cloth],
    settings: &Settings,
    args: &args::Lay,
    interrupt: &Interrupt,
) -> Vec<Answer> {
    let time = args.time.or(if args.rounds.is_none() { Some(USUAL_TIME) } else { None });
    let end = time.map(|time| Instant::now() + time);
    let areas: Vec<f64> = cloths.iter().map(|cloth| area_wanted(job, cloth)).collect();
    let mut answers = Vec::new();
    for (i, cloth) in cloths.iter().enumerate() {
        let share = areas[i] / areas[i..].iter().sum::<f64>();
        let budget = end.map(|end| end.saturating_duration_since(Instant::now()).mul_f64(share));
        let work = match (budget, args.rounds) {
            (Some(budget), _) => Work::Time(budget),
            (None, rounds) => Work::Rounds(rounds.unwrap_or(1)),
        };
        let mut watch = Watch {
            end: budget.map(|budget| Instant::now() + budget),
            interrupt,
            console: Console::new(&cloth.kind, job.unit, work, args.quiet),
        };
        let answer = lay(job, cloth, settings, &mut watch);
        watch.console.finish(answer.rounds);
        answers.push(answer);
    }
    answers
}

/// The area of every copy to be cut from a cloth, in square millimetres.
fn area_wanted(job: &Job, cloth: &Cloth) -> f64 {
    let of = |want: &nest_core::job::Want| {
        let shape = &job.style.pieces[want.piece].shapes[&job.style.sizes[want.size]];
        shape.full.area_mm2() * f64::from(want.as_drawn + want.mirrored)
    };
    job.wants(&cloth.kind).iter().map(of).sum()
}

/// Looks at the clock and for Ctrl-C, and passes on what happens.
struct Watch<'a> {
    end: Option<Instant>,
    interrupt: &'a Interrupt,
    console: Console,
}

impl Observer for Watch<'_> {
    fn event(&mut self, event: &Event) -> Continue {
        self.console.event(event);
        if self.interrupt.asked() || self.end.is_some_and(|end| Instant::now() >= end) {
            Continue::Stop
        } else {
            Continue::Yes
        }
    }
}

/// Writes what was found and prints the summary.
fn deliver(job: &Job, report: &Report, outputs: Outputs) -> Result<()> {
    let mut files = Vec::new();
    let mut any = false;
    for (cloth, deposit) in report.cloths.iter().zip(outputs.drawings) {
        if let Some(lay) = cloth.winner() {
            any = true;
            let caption = Caption::new(cloth, lay, report.unit);
            files.extend(deposit.complete(draw(job, &lay.checked, &caption))?);
        }
    }
    if let Some(deposit) = outputs.placements.filter(|_| any) {
        files.extend(deposit.complete(json::write(job, report))?);
    }
    let mut summary = report.text();
    if !files.is_empty() {
        let names: Vec<String> = files.iter().map(|file| shown(file)).collect();
        let _ = writeln!(summary, "\nWritten: {}", names.join(", "));
    }
    if outputs.on_stdout {
        tell(summary.trim_end());
    } else {
        super::print(&summary)?;
    }
    Ok(())
}

/// A path as it was most likely typed: from the current folder, where the file lies in it.
fn shown(path: &std::path::Path) -> String {
    let here = std::env::current_dir().and_then(std::fs::canonicalize);
    let short = here.ok().and_then(|here| path.strip_prefix(here).ok());
    short.unwrap_or(path).display().to_string()
}
