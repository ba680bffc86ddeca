//! `nest bench`: instances and jobs to a table of densities and times, comparable with an earlier one.

mod against;
mod curve;
mod published;
mod results;
mod run;
mod subject;
mod table;

use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Result, bail};
use nest_core::length::{GRID_PER_MM, Length};
use nest_core::purchase::Efficiency;
use nest_core::search::Settings;

use crate::args;
use crate::complaint;
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::interrupt::Interrupt;
use crate::outputs::settled;
use published::Published;
use results::{Conditions, Measured, Results};
use run::{Budget, measure};
use subject::{Kind, Subject, Subjects};

/// How long a run searches when nothing is said.
const USUAL_TIME: Duration = Duration::from_secs(10);

/// Measures everything, and tells whether it is as good as before.
pub(crate) fn run(args: &args::Bench) -> Result<Exit> {
    let subjects = Subjects::read(&args.files)?;
    let published = args.reference.as_deref().map(Published::read).transpose()?;
    let earlier = args.against.as_deref().map(Results::read).transpose()?;
    let litter = Litter::default();
    let files = Files::open(args, &subjects, &litter)?;
    let interrupt = Interrupt::listen(litter, args.quiet)?;
    super::use_threads(args.parallel.threads)?;
    for path in &subjects.left_out {
        complaint::tell(&format!("left out, being neither an instance nor a job: {}", path.display()));
    }

    let (results, is_whole) = measure_all(&subjects.all, args, &files, &interrupt)?;
    if results.instances.is_empty() {
        complaint::tell("nest: interrupted before the first run was over");
        return Ok(Exit::Interrupted);
    }
    let mut text = table::table(&results, published.as_ref());
    let mut exit = if results.faults().next().is_some() { Exit::NotMet } else { Exit::Done };
    if let Some(earlier) = earlier {
        let comparison = against::compare(&results, &earlier, args.margin);
        text.push('\n');
        text.push_str(&comparison.text);
        // What an interrupt left out may have fallen.
        if !comparison.holds() || !is_whole {
            exit = Exit::NotMet;
        }
    }
    super::print(&text)?;
    Ok(exit)
}

/// Every subject with every seed, one run after the other, so that none disturbs another; the files are written anew after
/// each run. Tells, too, whether nothing was left out on request.
fn measure_all(
    subjects: &[Subject],
    args: &args::Bench,
    files: &Files,
    interrupt: &Interrupt,
) -> Result<(Results, bool)> {
    let time = super::time_limit(args.time, args.rounds, USUAL_TIME);
    let mut results = Results::new(Conditions {
        time_s: time.map(|time| time.as_secs_f64()),
        rounds: args.rounds,
        seeds: args.seeds,
        lanes: args.parallel.lanes,
        threads: rayon::current_num_threads(),
    });
    for subject in subjects {
        let mut measured = nothing_yet(subject);
        for seed in 1..=args.seeds {
            let settings = Settings { seed, rounds: args.rounds, lanes: args.parallel.lanes };
            let measurement = if interrupt.asked() {
                None
            } else {
                measure(subject, &settings, &Budget { time, interrupt })
            };
            let Some(measurement) = measurement else {
                if !args.quiet {
                    complaint::tell(&format!(
                        "interrupted at {}, seed {seed}: that run is not counted",
                        subject.name
                    ));
                }
                return Ok((results, false));
            };
            if !args.quiet {
                tell(subject, &measurement.run);
            }
            measured.add(measurement.run, measurement.lower_bound);
            if seed > 1 {
                results.instances.pop();
            }
            results.instances.push(measured.clone());
            files.write(&results)?;
        }
    }
    Ok((results, true))
}

fn nothing_yet(subject: &Subject) -> Measured {
    let (unit, scale, exact, [pieces_area, width]) = match &subject.kind {
        Kind::Board(scaled) => {
            let (board, scale) = (&scaled.board, scaled.scale);
            let area = board.doubled_area() as f64 / 2.0 / (scale * scale);
            ("own", Some(scale), scaled.exact, [area, board.height() as f64 / scale])
        }
        Kind::Cloth { job, index } => {
            // Of a millimetre of cloth, the area is as many square millimetres as all its plies are wide.
            let a_millimetre = Efficiency::new(job, &job.cloths[*index], Length::from_grid(GRID_PER_MM));
            ("mm", None, true, [a_millimetre.pieces_mm2, a_millimetre.cloth_mm2])
        }
    };
    Measured {
        name: subject.name.clone(),
        file: subject.file.display().to_string(),
        pieces: subject.pieces,
        unit: unit.to_owned(),
        scale,
        exact,
        width: Some(width),
        pieces_area: Some(pieces_area),
        lower_bound: None,
        density_percent: None,
        runs: Vec::new(),
    }
}

fn tell(subject: &Subject, run: &results::Run) {
    let found = match (run.density_percent, &run.fault) {
        (Some(density), _) => format!("{density:.2} %, found after {:.1} s", run.seconds_to_best),
        (None, fault) => format!("NOT COUNTED: {}", fault.as_deref().unwrap_or("nothing found")),
    };
    let proved = if run.proved { ", proved the shortest" } else { "" };
    let (name, seed, seconds) = (&subject.name, run.seed, run.seconds);
    complaint::tell(&format!("{name}, seed {seed}: {found}{proved} ({seconds:.1} s, {} rounds)", run.rounds));
}

/// The files of a measurement.
struct Files {
    json: Option<PathBuf>,
    csv: Option<PathBuf>,
    curve: Option<PathBuf>,
    litter: Litter,
}

impl Files {
    /// Makes sure, before the first run, that all can be written and nothing is written over that was read.
    fn open(args: &args::Bench, subjects: &Subjects, litter: &Litter) -> Result<Files> {
        let files = Files {
            json: args.json.clone(),
            csv: args.csv.clone(),
            curve: args.curve.clone(),
            litter: litter.clone(),
        };
        let measured = subjects.all.iter().map(|subject| &subject.file);
        let read: Vec<PathBuf> =
            measured.chain(&args.against).chain(&args.reference).map(|path| settled(path)).collect();
        let all: Vec<&PathBuf> = [&files.json, &files.csv, &files.curve].into_iter().flatten().collect();
        for (i, path) in all.iter().enumerate() {
            if *path == Path::new("-") {
                bail!(
                    "the files of a measurement are written anew after each run: give the name of a file, not -"
                );
            }
            if all[..i].contains(path) {
                bail!("{} cannot hold two kinds of result: give two names", path.display());
            }
            if read.contains(&settled(path)) {
                bail!("{} is read by this measurement: write to another file", path.display());
            }
            drop(Deposit::open(path, litter)?);
        }
        Ok(files)
    }

    fn write(&self, results: &Results) -> Result<()> {
        let put = |path: &Option<PathBuf>, content: &dyn Fn() -> Result<String>| -> Result<()> {
            if let Some(path) = path {
                Deposit::open(path, &self.litter)?.complete(&content()?)?;
            }
            Ok(())
        };
        put(&self.json, &|| results.to_json())?;
        put(&self.csv, &|| table::csv(results))?;
        put(&self.curve, &|| Ok(curve::draw(results)))
    }
}
