//! `nest compare`: a matrix over spreads, cloth widths, nap, views and sizes, as table, CSV, JSON and web page.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use nest_core::cloth::Nap;
use nest_core::compare::{Axes, Case, Comparison, LEAVING_OUT, Pick, Progress, Stage, Width, compare};
use nest_core::job::Job;
use nest_core::length::Length;
use nest_core::search::Settings;

use crate::args::{self, NapChoice};
use crate::complaint::tell;
use crate::console::{counted, length};
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::interrupt::Interrupt;
use crate::outputs::{MAIN, settled};
use crate::source::Source;

/// How long to search when nothing is said.
const USUAL_TIME: Duration = Duration::from_secs(60);

/// Compares.
pub(crate) fn run(args: &args::Compare) -> Result<Exit> {
    let job = Source::from(&*args.job).job()?;
    let cases = axes(args, &job)?.cases(&job)?;
    let litter = Litter::default();
    let outputs = Outputs::open(args, &litter)?;
    let interrupt = Interrupt::listen(litter, args.quiet)?;
    super::use_threads(args.parallel.threads)?;
    let settings = Settings { seed: args.seed, rounds: args.rounds, lanes: args.parallel.lanes };
    let comparison = search(cases, &settings, args, &interrupt);
    for column in &comparison.columns {
        for violations in column.report.withheld() {
            tell(&format!(
                "nest: a marker on {} did not pass the check and is left out",
                column.case.title()
            ));
            violations.iter().for_each(|violation| tell(&format!("  {violation}")));
        }
    }
    outputs.deliver(&comparison)?;
    Ok(if comparison.is_met() { Exit::Done } else { Exit::NotMet })
}

/// What is asked for, in the library's words.
fn axes(args: &args::Compare, job: &Job) -> Result<Axes> {
    let main = job.cloths.iter().find(|cloth| cloth.kind == MAIN).or(job.cloths.first());
    let cloth = args.cloth.clone().or(main.map(|cloth| cloth.kind.clone())).unwrap_or_default();
    let mut widths = Vec::new();
    for &(value, unit) in args.widths.iter().flat_map(|widths| &widths.0) {
        let unit = unit.unwrap_or(job.unit);
        let told = || format!("--widths: {value} {}", unit.sign());
        let length = Length::from_unit(value, unit).with_context(told)?;
        if length <= Length::ZERO {
            bail!("{} is too narrow: write a width of at least 0.01 mm", told());
        }
        widths.push(Width { length, unit });
    }
    let naps = args.nap.iter().map(|nap| match nap {
        NapChoice::None => Nap::None,
        NapChoice::OneWay => Nap::OneWay,
    });
    let views: Vec<&str> = job.style.views.iter().map(|view| view.name.as_str()).collect();
    let sizes: Vec<&str> = job.style.sizes.iter().map(String::as_str).collect();
    Ok(Axes {
        cloth,
        widths,
        naps: naps.collect(),
        views: pick(&args.views, &views),
        sizes: pick(&args.sizes, &sizes),
        spreads: args.spreads.clone(),
    })
}

/// `all` stands for every one, unless one is called so.
fn pick(names: &[String], there: &[&str]) -> Pick {
    match names {
        [] => Pick::AsOrdered,
        [all] if all == "all" && !there.contains(&"all") => Pick::All,
        _ => Pick::Named(names.to_vec()),
    }
}

/// Searches until time is up, the rounds are done or a person asks to stop.
fn search(cases: Vec<Case>, settings: &Settings, args: &args::Compare, interrupt: &Interrupt) -> Comparison {
    let time = super::time_limit(args.time, args.rounds, USUAL_TIME);
    let now = Instant::now();
    let end = time.map(|time| now + time);
    // When lays give way to what to leave out, if there is anything to be left out.
    let give_way = time.map(|time| now + time.mul_f64(1.0 - LEAVING_OUT));
    let all = settings.rounds.map(|rounds| rounds.saturating_mul(cases.len() as u64));
    let mut bar = Bar::new(args.quiet, cases.len(), time, all);
    let comparison = compare(cases, settings, &mut |progress| {
        bar.show(progress);
        let until = if progress.is_short && progress.stage != Stage::LeavingOut { give_way } else { end };
        super::stop_at(until, interrupt)
    });
    bar.finish(&comparison);
    comparison
}

/// Tells a person how the comparison goes: a bar on a terminal, a line at the beginning and the end elsewhere.
struct Bar {
    bar: ProgressBar,
    begun: Instant,
    /// Of the bar in milliseconds; counts rounds when there is none.
    time: Option<Duration>,
    quiet: bool,
}

impl Bar {
    fn new(quiet: bool, columns: usize, time: Option<Duration>, rounds: Option<u64>) -> Bar {
        let full = time.map_or(rounds.unwrap_or(1), |time| time.as_millis() as u64);
        let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr() };
        let bar = ProgressBar::with_draw_target(Some(full.max(1)), target);
        let style = ProgressStyle::with_template("[{bar:24}] {wide_msg}");
        bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()).progress_chars("=> "));
        bar.set_message("looking for first lays");
        if !quiet && bar.is_hidden() {
            tell(&format!("{} to compare", counted(columns as u64, "column")));
        }
        Bar { bar, begun: Instant::now(), time, quiet }
    }

    fn show(&mut self, progress: &Progress<'_>) {
        self.bar.set_position(match self.time {
            Some(_) => self.begun.elapsed().as_millis() as u64,
            None => progress.rounds,
        });
        let what = match progress.stage {
            Stage::Look => "first look",
            Stage::Lays => "closer look",
            Stage::LeavingOut => "what to leave out",
        };
        let best = progress
            .best
            .map_or_else(String::new, |best| format!(": {} of cloth", length(best, progress.case.job.unit)));
        let (number, columns) = (progress.column + 1, progress.columns);
        self.bar.set_message(format!("{what}, {number} of {columns}, {}{best}", progress.case.title()));
    }

    fn finish(self, comparison: &Comparison) {
        let plain = self.bar.is_hidden();
        self.bar.finish_and_clear();
        if plain && !self.quiet {
            tell(&format!("compared in {}", counted(comparison.rounds, "round")));
        }
    }
}

/// Makes the content of a result.
type Make = fn(&Comparison) -> String;

/// Where the results go; opened before the search.
struct Outputs {
    /// Each with what makes its content.
    files: Vec<(Deposit, Make)>,
    on_stdout: bool,
}

impl Outputs {
    fn open(args: &args::Compare, litter: &Litter) -> Result<Outputs> {
        let wanted: [(&Option<PathBuf>, Make); 3] =
            [(&args.csv, Comparison::csv), (&args.json, Comparison::json), (&args.html, Comparison::html)];
        let wanted: Vec<_> =
            wanted.into_iter().filter_map(|(path, make)| Some((path.as_ref()?, make))).collect();
        let mut seen = BTreeSet::new();
        let mut on_stdout = false;
        for (path, _) in &wanted {
            if *path == Path::new("-") {
                if std::mem::replace(&mut on_stdout, true) {
                    bail!("only one of --csv, --json and --html can go to standard output");
                }
                continue;
            }
            super::not_over(path, &args.job)?;
            if !seen.insert(settled(path)) {
                bail!("{} would be written twice: give each result a name of its own", path.display());
            }
        }
        let open = |(path, make): &(&PathBuf, Make)| Ok((Deposit::open(path, litter)?, *make));
        Ok(Outputs { files: wanted.iter().map(open).collect::<Result<_>>()?, on_stdout })
    }

    fn deliver(self, comparison: &Comparison) -> Result<()> {
        for (deposit, make) in self.files {
            deposit.complete(make(comparison))?;
        }
        let table = comparison.text();
        if self.on_stdout {
            tell(table.trim_end());
        } else {
            super::print(&table)?;
        }
        Ok(())
    }
}
