//! `nest lay`: a job to its shortest marker, the drawing, the placements and the summary.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::Result;
use nest_core::answer::Answer;
use nest_core::cloth::Cloth;
use nest_core::draw::{Caption, draw};
use nest_core::in_hand::{leave_out, most_in_lay};
use nest_core::job::Job;
use nest_core::length::{Length, Unit};
use nest_core::report::{LineReport, NotCut, Report, json};
use nest_core::search::{Continue, Event, Observer, Settings, lay};
use nest_core::share_out::share_out;

use crate::args;
use crate::complaint::tell;
use crate::console::{Console, Work};
use crate::deposit::Litter;
use crate::exit::Exit;
use crate::interrupt::Interrupt;
use crate::outputs::{Outputs, remove_result, settled};
use crate::source::Source;

/// How long to search when nothing is said.
const USUAL_TIME: Duration = Duration::from_secs(20);

/// Lays the job.
pub(crate) fn run(args: &args::Lay) -> Result<Exit> {
    let job = Source::from(&*args.job).job()?;
    let cloths = super::chosen(&job, &args.cloth)?;
    let litter = Litter::default();
    // Standard output takes one drawing: that of a single remnant, not that of what does not go into it.
    let with_rolls = args.output != Path::new("-");
    let laid_on: Vec<Cloth> = cloths.iter().flat_map(|cloth| laid_on(cloth, with_rolls)).collect();
    let outputs = Outputs::open(args, &laid_on.iter().collect::<Vec<_>>(), &litter)?;
    let interrupt = Interrupt::listen(litter, args.quiet)?;
    super::use_threads(args.parallel.threads)?;

    let settings = Settings { seed: args.seed, rounds: args.rounds, lanes: args.parallel.lanes };
    let report = search(&job, &cloths, &settings, args, &interrupt);
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
    deliver(&job, &report, &laid_on, outputs)?;
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
) -> Report {
    let time = super::time_limit(args.time, args.rounds, USUAL_TIME);
    let end = time.map(|time| Instant::now() + time);
    let areas: Vec<f64> = cloths.iter().map(|cloth| area_wanted(job, cloth)).collect();
    let run = Run { settings, interrupt, unit: job.unit, quiet: args.quiet, rounds: args.rounds };
    let mut report = Report::new(job, &[], settings);
    for (i, cloth) in cloths.iter().enumerate() {
        let share = areas[i] / areas[i..].iter().sum::<f64>();
        let budget = end.map(|end| end.saturating_duration_since(Instant::now()).mul_f64(share));
        report = report.joined(if cloth.remnants.is_empty() {
            run.off_the_roll(job, cloth, budget)
        } else {
            run.off_remnants(job, cloth, budget)
        });
    }
    report
}

/// What all searches of one run have in common.
struct Run<'a> {
    settings: &'a Settings,
    interrupt: &'a Interrupt,
    unit: Unit,
    quiet: bool,
    rounds: Option<u64>,
}

impl Run<'_> {
    /// Searches one cloth, and where that is in hand and too short, what to leave out.
    fn off_the_roll(&self, job: &Job, cloth: &Cloth, budget: Option<Duration>) -> Report {
        let now = Instant::now();
        let end = budget.map(|budget| now + budget);
        let most = most_in_lay(cloth);
        let doubtful = budget.zip(most).map(|(budget, most)| (now + budget.mul_f64(DOUBTFUL), most));
        let answer = self.laid(job, cloth, budget, doubtful);
        let mut report = Report::new(job, std::slice::from_ref(&answer), self.settings);
        if let (Some(most), Some(cloth_report)) = (most, report.cloths.first_mut())
            && cloth_report
                .shortest_line()
                .and_then(LineReport::lay)
                .is_none_or(|lay| lay.purchase.cloth_in_lay > most)
        {
            let mut patience = |_: &Event| super::stop_at(end, self.interrupt);
            cloth_report.without = leave_out(job, cloth, &answer, self.settings, &mut patience);
        }
        report
    }

    /// Shares the pieces out over the remnants, then searches each for the best way to lay what it gives.
    fn off_remnants(&self, job: &Job, cloth: &Cloth, budget: Option<Duration>) -> Report {
        let end = budget.map(|budget| Instant::now() + budget);
        let sharing = budget.map(|budget| Instant::now() + budget.mul_f64(SHARING));
        let mut patience = |_: &Event| super::stop_at(sharing, self.interrupt);
        let shares = share_out(job, cloth, self.settings, &mut patience);
        let mut report = Report::new(job, &[], self.settings);
        // What has no room is searched once more, off the roll.
        let also = usize::from(!shares.left.is_empty());
        for (k, lot) in shares.lots.iter().enumerate() {
            let left = (shares.lots.len() + also - k) as u32;
            let budget = end.map(|end| end.saturating_duration_since(Instant::now()) / left);
            let answer = lot.completed(self.laid(&lot.job, lot.cloth(), budget, None));
            report = report.joined(Report::new(&lot.job, &[answer], self.settings));
        }
        if !shares.left.is_empty() {
            let mut not_cut = NotCut {
                cloth: cloth.kind.clone(),
                wants: shares.left,
                kept_whole: shares.kept_whole,
                from_roll: None,
            };
            if let Some(own) = not_cut.roll_job(job) {
                let budget = end.map(|end| end.saturating_duration_since(Instant::now()));
                let answer = self.laid(&own, &own.cloths[0], budget, None);
                not_cut.from_roll = Report::new(&own, &[answer], self.settings).cloths.pop().map(Box::new);
            }
            report.not_cut.push(not_cut);
        }
        report
    }

    fn laid(
        &self,
        job: &Job,
        cloth: &Cloth,
        budget: Option<Duration>,
        doubtful: Option<(Instant, Length)>,
    ) -> Answer {
        let work = match (budget, self.rounds) {
            (Some(budget), _) => Work::Time(budget),
            (None, rounds) => Work::Rounds(rounds.unwrap_or(1)),
        };
        let mut watch = Watch {
            end: budget.map(|budget| Instant::now() + budget),
            doubtful,
            interrupt: self.interrupt,
            console: Console::new(&cloth.kind, self.unit, work, self.quiet),
        };
        let answer = lay(job, cloth, self.settings, &mut watch);
        watch.console.finish(answer.rounds);
        answer
    }
}

/// The cloths that are laid on for one of the job: itself; or its remnants, and with them the roll, as there may be something
/// that goes into none of them.
fn laid_on(cloth: &Cloth, with_rolls: bool) -> Vec<Cloth> {
    let remnants = cloth.remnants.iter().map(|remnant| remnant.as_cloth(cloth));
    let roll = cloth.remnants.is_empty() || with_rolls;
    remnants.chain(roll.then(|| cloth.clone())).collect()
}

/// The part of the time in which pieces are shared out over remnants.
const SHARING: f64 = 0.5;

/// When cloth in hand still seems too short after this part of the time, the rest of it goes into what to leave out.
const DOUBTFUL: f64 = 0.6;

/// The area of every copy to be cut from a cloth, in square millimetres.
fn area_wanted(job: &Job, cloth: &Cloth) -> f64 {
    job.wants(&cloth.kind).iter().map(|want| want.area_mm2(&job.style)).sum()
}

/// Looks at the clock and for Ctrl-C, and passes on what happens.
struct Watch<'a> {
    end: Option<Instant>,
    /// When to give up, and the most cloth that is not too much.
    doubtful: Option<(Instant, Length)>,
    interrupt: &'a Interrupt,
    console: Console,
}

impl Observer for Watch<'_> {
    fn event(&mut self, event: &Event) -> Continue {
        self.console.event(event);
        if let (Event::RoundDone { best_cloth, .. }, Some((give_up, most))) = (event, self.doubtful)
            && Instant::now() >= give_up
            && best_cloth.is_none_or(|best| best > most)
        {
            return Continue::Stop;
        }
        super::stop_at(self.end, self.interrupt)
    }
}

/// Writes what was found and prints the summary.
fn deliver(job: &Job, report: &Report, laid_on: &[Cloth], outputs: Outputs) -> Result<()> {
    let mut files = Vec::new();
    let mut any = false;
    for (own, deposit) in laid_on.iter().zip(outputs.drawings) {
        let of_own = report.all_cloths().find(|cloth| cloth.cloth.kind == own.kind);
        if let Some((cloth, lay)) = of_own.and_then(|cloth| Some((cloth, cloth.winner()?))) {
            any = true;
            let job = cloth.portion.as_deref().unwrap_or(job);
            let caption = Caption::new(cloth, lay, report.unit);
            files.extend(deposit.complete(draw(job, &lay.checked, &caption))?);
        }
    }
    if let Some(deposit) = outputs.placements.filter(|_| any) {
        files.extend(deposit.complete(json::write(job, report))?);
    }
    if let Some(fitted) = report.made_to_fit() {
        for (own, deposit) in laid_on.iter().zip(outputs.fitted) {
            let of_own = fitted.cloths.iter().find(|cloth| cloth.cloth.kind == own.kind);
            let was_short = report.cloths.iter().any(|c| c.cloth.kind == own.kind && c.without.is_some());
            if let (Some(cloth), Some(deposit)) = (of_own.filter(|_| was_short), deposit)
                && let (Some(rest), Some(lay)) = (&cloth.portion, cloth.winner())
            {
                files.extend(deposit.complete(draw(
                    rest,
                    &lay.checked,
                    &Caption::new(cloth, lay, report.unit),
                ))?);
            }
        }
        if let Some(deposit) = outputs.fitted_placements {
            files.extend(deposit.complete(json::write(job, &fitted))?);
        }
    }
    let mut summary = report.text();
    for not_cut in &report.not_cut {
        summary.push('\n');
        summary.push_str(&report.not_cut_told(job, not_cut));
    }
    if !files.is_empty() {
        let names: Vec<String> = files.iter().map(|file| shown(file)).collect();
        let _ = writeln!(summary, "\nWritten: {}", names.join(", "));
        let written: Vec<PathBuf> = files.iter().map(|file| settled(file)).collect();
        let mut removed = Vec::new();
        for path in outputs.passing.iter().filter(|path| !written.contains(&settled(path))) {
            if remove_result(path)? {
                removed.push(shown(path));
            }
        }
        if !removed.is_empty() {
            let _ = writeln!(summary, "Removed, as it was of an earlier run: {}", removed.join(", "));
        }
    }
    if outputs.on_stdout {
        tell(summary.trim_end());
    } else {
        super::print(&summary)?;
    }
    Ok(())
}

/// A path as it was most likely typed: from the current folder, where the file lies in it.
fn shown(path: &Path) -> String {
    let here = std::env::current_dir().and_then(std::fs::canonicalize);
    let short = here.ok().and_then(|here| path.strip_prefix(here).ok());
    short.unwrap_or(path).display().to_string()
}
