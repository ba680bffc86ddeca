//! [`Report`]: what was found, made comparable: length to buy, efficiency, bound, handling, and why the others lose.
//!
//! A report holds only markers that have passed the [check](crate::check): it runs the check itself, and a marker that
//! fails is withheld and said to be.

pub mod json;

mod calculation;
mod caution;
mod garments;
mod handling;
mod in_hand;
mod rank;
mod text;
mod why;

#[cfg(test)]
mod tests;

use crate::answer::{Answer, Bound, Found, Origin, StopReason};
use crate::check::{Checked, Violation, check};
use crate::cloth::Cloth;
use crate::in_hand::{LeftOver, Without};
use crate::job::{Job, Portion, Want};
use crate::length::{Length, Unit};
use crate::marker::Form;
use crate::purchase::{Efficiency, Purchase};
use crate::remnant::roll_job;
use crate::search::Settings;
use crate::spread::{Family, Kind, Refusal};

pub use calculation::{Term, calculation};
pub use caution::Caution;
pub(crate) use caution::due as cautions_due;
pub use garments::garment_numbers;
pub use handling::Handling;
pub(crate) use text::{long as long_length, percent, small as small_length, wrapped};

/// Why single thickness takes more of a tube than the tube as it comes.
pub(crate) const INTERLOCKED: &str =
    "Pieces on both folds of the tube interlock; slit open they need more length.";

/// What was found for all the cloths of a job.
#[derive(Clone, Debug)]
pub struct Report {
    /// The job's name.
    pub job: String,
    /// The unit of small lengths.
    pub unit: Unit,
    /// What decided the result, apart from the job.
    pub settings: Settings,
    /// One for each answer, in their order.
    pub cloths: Vec<ClothReport>,
    /// What goes into none of the remnants that it was to be cut from: for who shared them out to put in. Of a report that was
    /// [made to fit](Report::made_to_fit) also what is left out.
    pub not_cut: Vec<NotCut>,
}

/// What goes into none of a cloth's remnants, or is left out of a cloth that is too short.
#[derive(Clone, Debug)]
pub struct NotCut {
    /// The kind of cloth.
    pub cloth: String,
    /// Copies of pieces.
    pub wants: Vec<Want>,
    /// Of these the copies that had room on a remnant, which others of their garment had not.
    pub kept_whole: Vec<Want>,
    /// What was found for just these off the roll, where that was searched.
    pub from_roll: Option<Box<ClothReport>>,
}

impl NotCut {
    /// The job of cutting everything else from this cloth.
    pub fn rest(&self, job: &Job) -> Job {
        job.without(&self.cloth, &self.wants)
    }

    /// The job of cutting just these from the roll, after what the remnants give; none when the job has no such cloth.
    pub fn roll_job(&self, job: &Job) -> Option<Job> {
        let cloth = job.cloths.iter().find(|cloth| cloth.kind == self.cloth)?;
        let before = job.wants(&self.cloth).into_iter().filter_map(|want| want.less(&self.wants));
        let portion = Portion { wants: self.wants.clone(), before: before.collect() };
        Some(roll_job(job, cloth, portion))
    }
}

/// What was found for one cloth.
#[derive(Clone, Debug)]
pub struct ClothReport {
    /// The cloth as the job has it.
    pub cloth: Cloth,
    /// Every kind of spread, in the order of the answer.
    pub lines: Vec<LineReport>,
    /// The lines with a marker, best first: what goes into the cloth in hand, where there is some; by length to buy, but of
    /// a remnant, which is not bought; then by handling, then by cloth lying in the lay. Indices into `lines`.
    pub ranking: Vec<usize>,
    /// Why the search ended.
    pub stopped: StopReason,
    /// Rounds done.
    pub rounds: u64,
    /// Candidate positions evaluated.
    pub evaluations: u64,
    /// What to mind with the best marker; none when there is none.
    pub cautions: Vec<Caution>,
    /// What the best marker leaves of the cloth in hand, when that is enough.
    pub left_over: Option<LeftOver>,
    /// Is the lay of a tube shorter than any found on it slit open, with pieces on both its folds?
    pub interlocked: bool,
    /// What to leave out when the cloth in hand is too short: for who made the report to look for and put in.
    pub without: Option<Without>,
    /// The job of cutting just what this cloth gives, where that is a remnant.
    pub portion: Option<Box<Job>>,
}

/// What became of one kind of spread.
#[derive(Clone, Debug)]
pub struct LineReport {
    /// The kind of spread.
    pub kind: Kind,
    /// Its marker, or why there is none.
    pub outcome: Outcome,
}

/// The end of the search of one kind of spread.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// A marker that passed the check.
    Lay(Box<Lay>),
    /// Why there is none.
    Refused(Refusal),
    /// A marker that did not pass the check: a fault of this program. It is not shown.
    Withheld(Vec<Violation>),
}

/// A marker that passed the check, and its figures.
#[derive(Clone, Debug)]
pub struct Lay {
    /// The marker.
    pub checked: Checked,
    /// From the length of the lay to the length to buy.
    pub purchase: Purchase,
    /// How much of the cloth becomes garment.
    pub efficiency: Efficiency,
    /// The work it makes.
    pub handling: Handling,
    /// No lay of this kind can do with less cloth.
    pub bound: Bound,
    /// Which part of the search found it.
    pub origin: Origin,
    /// In which round.
    pub round: u64,
}

impl Report {
    /// Checks every marker of the answers and works out its figures. Answers for cloths that the job does not have are
    /// left out.
    pub fn new(job: &Job, answers: &[Answer], settings: &Settings) -> Report {
        let cloths = answers
            .iter()
            .filter_map(|answer| {
                let cloth = job.cloths.iter().find(|c| c.kind == answer.cloth)?;
                Some(ClothReport::new(job, cloth, answer))
            })
            .collect();
        Report {
            job: job.name.clone(),
            unit: job.unit,
            settings: settings.clone(),
            cloths,
            not_cut: Vec::new(),
        }
    }

    /// Every cloth with what was found for it: those of the job, and the rolls of what goes into no remnant.
    pub fn all_cloths(&self) -> impl Iterator<Item = &ClothReport> {
        let rolls = self.not_cut.iter().filter_map(|not_cut| not_cut.from_roll.as_deref());
        self.cloths.iter().chain(rolls)
    }

    /// The same with the cloths of another report after its own, and what could not be cut of them.
    pub fn joined(mut self, other: Report) -> Report {
        self.cloths.extend(other.cloths);
        self.not_cut.extend(other.not_cut);
        self
    }

    /// The report for a person, in plain text of at most 110 columns, but for long names.
    pub fn text(&self) -> String {
        text::report(self)
    }

    /// What can be cut of cloths in hand that are too short: the same with the marker of the rest in the place of each that
    /// does not go in, and what is left out. None when there is no such marker.
    pub fn made_to_fit(&self) -> Option<Report> {
        if self.cloths.iter().all(|cloth| cloth.without.is_none()) {
            return None;
        }
        let mut fitted = self.clone();
        for cloth in &mut fitted.cloths {
            if let Some(without) = cloth.without.take() {
                fitted.not_cut.push(without.not_cut(&cloth.cloth.kind));
                *cloth = ClothReport::new(&without.job, &cloth.cloth, &without.answer);
            }
        }
        Some(fitted)
    }

    /// What goes into no remnant, in words: "1 x Front", of `job`, whose report this is; and what it needs off the roll,
    /// where that was searched.
    pub fn not_cut_told(&self, job: &Job, not_cut: &NotCut) -> String {
        let pieces = job.told(&not_cut.wants).join(", ");
        let mut told = format!(
            "Not cut from the remnants of \"{}\", where no room was found for it: {pieces}",
            not_cut.cloth
        );
        if let Some(roll) = &not_cut.from_roll {
            told.push_str(&match (roll.winner(), roll.winning_line()) {
                (Some(lay), Some(line)) => format!(
                    ". Off the roll, {} wide, that needs {}: buy {} (found and checked on {}; no lay needs less than {})",
                    small_length(roll.cloth.width, self.unit),
                    small_length(lay.purchase.needed, self.unit),
                    lay.purchase.to_buy_text(),
                    line.kind.title(),
                    small_length(
                        Purchase::needed_for(&roll.cloth, roll.least_cloth().unwrap_or_default()),
                        self.unit
                    ),
                ),
                _ => format!(
                    ". No spread of the roll, {} wide, takes that either",
                    small_length(roll.cloth.width, self.unit)
                ),
            });
        }
        if !not_cut.kept_whole.is_empty() {
            told.push_str(&format!(
                ". A remnant had room for {}, but not for all the copies of a garment, which are kept together as shades may \
                 differ: that may take more of the roll",
                job.told(&not_cut.kept_whole).join(", ")
            ));
        }
        let mut lines = String::new();
        wrapped(&mut lines, "", &told);
        lines
    }

    /// Has every cloth a marker that is not withheld, and is what is in hand enough?
    pub fn is_met(&self) -> bool {
        let enough = |w: &Lay| w.purchase.missing().is_none();
        self.not_cut.is_empty() && self.cloths.iter().all(|c| c.winner().is_some_and(enough))
    }

    /// The markers that failed the check, with everything that is wrong with them.
    pub fn withheld(&self) -> impl Iterator<Item = (&ClothReport, Kind, &[Violation])> {
        self.all_cloths().flat_map(|cloth| {
            cloth.lines.iter().filter_map(move |line| match &line.outcome {
                Outcome::Withheld(violations) => Some((cloth, line.kind, &violations[..])),
                _ => None,
            })
        })
    }
}

impl ClothReport {
    pub(crate) fn new(job: &Job, cloth: &Cloth, answer: &Answer) -> ClothReport {
        let lines: Vec<LineReport> = answer
            .lines
            .iter()
            .map(|line| LineReport {
                kind: line.kind,
                outcome: match &line.result {
                    Ok(found) => Outcome::of(job, cloth, found),
                    Err(refusal) => Outcome::Refused(refusal.clone()),
                },
            })
            .collect();
        let ranking = rank::ranked(cloth, &lines);
        let mut report = ClothReport {
            cloth: cloth.clone(),
            lines,
            ranking,
            stopped: answer.stopped,
            rounds: answer.rounds,
            evaluations: answer.evaluations,
            cautions: Vec::new(),
            left_over: None,
            interlocked: false,
            without: None,
            portion: job.portion.is_some().then(|| Box::new(job.clone())),
        };
        report.cautions =
            report.winner().map_or_else(Vec::new, |lay| caution::due(job, cloth, lay.checked.marker()));
        report.interlocked = report.is_interlocked(job);
        report.left_over = report.winner().and_then(|lay| LeftOver::of(job, cloth, lay.checked.marker()));
        report
    }

    /// Every lay of a tube that can be slit between its pieces is one of single thickness too; where the best of these is
    /// longer, and pieces lie on both folds, they interlock.
    fn is_interlocked(&self, job: &Job) -> bool {
        let lay = |family| self.lines.iter().find(|line| line.kind == Kind::Whole(family))?.lay();
        let (Some(tube), Some(single)) = (lay(Family::Tubular), lay(Family::Single)) else { return false };
        let marker = tube.checked.marker();
        let on_fold = |far: bool| {
            marker.placements.iter().filter(|p| p.form == Form::OnFold).any(|p| {
                let bounds = p.outline(job.style.shape(p.piece, p.size)).bounds();
                let high = marker.spread.sections[p.section].bands[p.band].high;
                if far { bounds.high.y == high } else { bounds.low.y == 0 }
            })
        };
        tube.purchase.cloth_in_lay < single.purchase.cloth_in_lay && on_fold(false) && on_fold(true)
    }

    /// What is wrong with each marker that failed the check.
    pub fn withheld(&self) -> impl Iterator<Item = &[Violation]> {
        self.lines.iter().filter_map(|line| match &line.outcome {
            Outcome::Withheld(violations) => Some(&violations[..]),
            _ => None,
        })
    }

    /// Indices of all lines, the ranked ones first, best first; then those without a lay.
    pub fn in_order(&self) -> impl Iterator<Item = usize> + '_ {
        let others = (0..self.lines.len()).filter(|i| !self.ranking.contains(i));
        self.ranking.iter().copied().chain(others)
    }

    /// The best: the least to buy; of those, the easiest to handle; of those, the shortest.
    pub fn winner(&self) -> Option<&Lay> {
        self.ranking.first().and_then(|&i| self.lines[i].lay())
    }

    /// The line of the best.
    pub fn winning_line(&self) -> Option<&LineReport> {
        self.ranking.first().map(|&i| &self.lines[i])
    }

    /// The line that takes the least cloth of all, before rounding to the seller's step; the better ranked of equals.
    pub fn shortest_line(&self) -> Option<&LineReport> {
        self.least_by(|lay| Some(lay.purchase.cloth_in_lay))
    }

    /// The easiest to handle of those that cost at most one step of the seller more than the best: another than the best
    /// only when it is easier by more than the length of the cuts.
    pub fn easiest_line(&self) -> Option<&LineReport> {
        let mut easiest = self.winning_line()?;
        let best = &self.winner()?.purchase;
        let most = best.to_buy.grid() + best.step.grid();
        for &i in &self.ranking[1..] {
            let line = &self.lines[i];
            if let (Some(lay), Some(before)) = (line.lay(), easiest.lay())
                && lay.purchase.to_buy.grid() <= most
                && lay.handling.is_plainly_easier_than(&before.handling)
            {
                easiest = line;
            }
        }
        Some(easiest)
    }

    /// The easiest to handle of all, whatever it takes; of those as easy the better ranked.
    pub fn least_handling_line(&self) -> Option<&LineReport> {
        let mut easiest = self.winning_line()?;
        for &i in &self.ranking[1..] {
            let line = &self.lines[i];
            if let (Some(lay), Some(before)) = (line.lay(), easiest.lay())
                && lay.handling.compare(&before.handling).is_lt()
            {
                easiest = line;
            }
        }
        Some(easiest)
    }

    /// No spread with a marker can do with less cloth lying in the lay than this.
    pub fn least_cloth(&self) -> Option<Length> {
        self.lines.iter().filter_map(|line| line.lay().map(|lay| lay.bound.length)).min()
    }

    /// Is it proved that no spread that serves can do with the cloth in hand?
    pub fn is_impossible(&self) -> bool {
        self.least_cloth().is_some_and(|least| crate::in_hand::is_impossible(&self.cloth, least))
    }

    fn least_by<K: Ord>(&self, key: impl Fn(&Lay) -> Option<K>) -> Option<&LineReport> {
        // `min_by_key` keeps the first of equals, and the ranking is best first.
        self.ranking.iter().map(|&i| &self.lines[i]).min_by_key(|line| line.lay().and_then(&key))
    }
}

impl LineReport {
    /// The marker and its figures, when there is one.
    pub fn lay(&self) -> Option<&Lay> {
        match &self.outcome {
            Outcome::Lay(lay) => Some(lay),
            Outcome::Refused(_) | Outcome::Withheld(_) => None,
        }
    }
}

impl Outcome {
    fn of(job: &Job, cloth: &Cloth, found: &Found) -> Outcome {
        match check(job, &found.marker) {
            Err(violations) => Outcome::Withheld(violations),
            Ok(checked) => {
                let purchase = Purchase::new(cloth, &checked.marker().spread);
                Outcome::Lay(Box::new(Lay {
                    efficiency: Efficiency::new(job, cloth, purchase.cloth),
                    handling: Handling::of(job, checked.marker()),
                    purchase,
                    checked,
                    bound: found.bound.clone(),
                    origin: found.origin,
                    round: found.round,
                }))
            }
        }
    }
}

impl Lay {
    /// How far the lay is from its bound: (cloth − bound) / cloth, 0 when it is proved the shortest.
    pub fn gap(&self) -> f64 {
        let (cloth, bound) = (self.purchase.cloth_in_lay.grid(), self.bound.length.grid());
        if cloth > 0 { (cloth - bound) as f64 / cloth as f64 } else { 0.0 }
    }
}
