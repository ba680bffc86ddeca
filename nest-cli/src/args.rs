//! The command line: what may be typed, and the help. Nothing here reads a file.

use std::path::PathBuf;
use std::time::Duration;

use clap::{Args, Parser, Subcommand};
use nest_core::length::{Length, Unit};
use nest_core::report::json::kind_name;
use nest_core::spread::Kind;

use crate::exit;

/// The shortest marker for pattern pieces on cloth.
///
/// Given pattern pieces, cloth of some width and the garments wanted, works out every way to fold or spread the cloth
/// that serves, searches each for the shortest layout, and tells how to fold, where every piece goes and how much cloth
/// to buy.
#[derive(Debug, Parser)]
#[command(name = "nest", version, max_term_width = 100, after_help = exit::TABLE, disable_help_subcommand = true)]
pub(crate) struct CommandLine {
    #[command(subcommand)]
    pub(crate) command: Command,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Import(Import),
    Lay(Lay),
    Check(Check),
    Guide(Guide),
    Export(Export),
    Spreads(Spreads),
    Compare(Compare),
    Bench(Bench),
    Schema(Schema),
}

/// Read pattern files, SVG, DXF or CSV, and write them as a job file to be looked through and laid.
///
/// What was assumed is told on standard error and drawn on a contact sheet with every piece as it was understood, since a
/// wrong guess is better seen before cloth is cut. Several files make one pattern: a piece that comes again in other sizes is
/// one piece in all of them.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  nest import fixtures/import/garden-apron.svg -o apron.json\n  nest import shell.dxf lining.dxf pocket.svg -o coat.json --width 150cm --size 40"
)]
pub(crate) struct Import {
    /// The pattern files; - reads standard input. Their kind is told by what is in them.
    #[arg(value_name = "FILE", required = true)]
    pub(crate) files: Vec<PathBuf>,

    /// Where the job file goes; - writes it to standard output.
    #[arg(short, long, value_name = "JOB")]
    pub(crate) output: PathBuf,

    /// Where the contact sheet goes, as SVG.
    ///
    /// Left out: beside the job file, apron-contact-sheet.svg for apron.json; nowhere when that goes to standard output.
    #[arg(long, value_name = "FILE")]
    pub(crate) contact_sheet: Option<PathBuf>,

    /// What the job is called; left out: what the pattern is called.
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,

    /// The width of the cloth, such as 140cm or 60in [default: 150cm, or 60in for patterns in inches].
    ///
    /// Every kind of cloth is written with this width; the job file is the place to tell them apart.
    #[arg(long, value_name = "WIDTH", value_parser = width)]
    pub(crate) width: Option<Length>,

    /// The size of the one garment that is ordered; left out: the pattern's base size, or the middle one.
    #[arg(long, value_name = "SIZE")]
    pub(crate) size: Option<String>,

    /// What the numbers in the file are, whatever it says itself.
    #[arg(long, value_enum, value_name = "UNIT")]
    pub(crate) units: Option<DrawnUnit>,

    /// Grainlines are drawn from the top of each piece to its bottom.
    #[arg(long)]
    pub(crate) grain_reversed: bool,
}

/// A unit that pattern files are drawn in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum DrawnUnit {
    /// Millimetres.
    Mm,
    /// Centimetres.
    Cm,
    /// Inches.
    In,
}

/// Lay a job: its shortest marker, drawn at true size, and how much cloth to buy.
///
/// Searches until the time is up, writes the drawing and a file with every placement, and prints a summary. Ctrl-C ends
/// the search early and keeps the best so far.
#[derive(Debug, Args)]
#[command(after_help = LAY_EXAMPLES)]
pub(crate) struct Lay {
    /// The job file; - reads standard input.
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,

    /// Where the drawing goes, as SVG; - writes it to standard output, and the summary to standard error.
    ///
    /// The drawing of the main cloth (the kind "self", or else the first of the job) gets this name; those of the others
    /// have their kind added: marker-lining.svg.
    #[arg(short, long, value_name = "FILE", default_value = "marker.svg")]
    pub(crate) output: PathBuf,

    /// Where the placements of all cloths go, as JSON; - writes them to standard output.
    ///
    /// Left out: beside the drawing, with the ending .json; nowhere when the drawing goes to standard output.
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,

    /// How long to search, all cloths together: 20s, 2m, 1h30m [default: 20s, or without limit when --rounds is given].
    ///
    /// The time is shared between the cloths by the area of their pieces.
    #[arg(short, long, value_name = "TIME", value_parser = time)]
    pub(crate) time: Option<Duration>,

    /// How many rounds to search on each cloth; the same job, seed, lanes and rounds give the same marker, byte for byte.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub(crate) rounds: Option<u64>,

    /// Another seed gives another marker, as good on the average.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,

    #[command(flatten)]
    pub(crate) parallel: Parallel,

    /// Lay this kind of cloth only; may be given several times.
    #[arg(long, value_name = "KIND")]
    pub(crate) cloth: Vec<String>,

    /// No progress; the summary is still printed.
    #[arg(short, long)]
    pub(crate) quiet: bool,
}

/// What a search does side by side.
#[derive(Debug, Args)]
pub(crate) struct Parallel {
    /// Searches of one spread side by side: the first in the end keeps to the shortest lay, others begin anew. Part of the result.
    #[arg(long, value_name = "N", default_value_t = 2, value_parser = clap::value_parser!(u32).range(1..=64))]
    pub(crate) lanes: u32,

    /// Threads to use, as many as there are cores when left out. Not part of the result.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
}

const LAY_EXAMPLES: &str = "\
Examples:
  nest lay fixtures/work-shirt/job.json -o shirt.svg
  nest lay job.json --time 2m --cloth lining
  nest lay job.json --rounds 200 --seed 7 -o -   > marker.svg";

/// A marker file and the job it was made from.
#[derive(Debug, Args)]
pub(crate) struct MarkerAndJob {
    /// The marker file that `nest lay` wrote; - reads standard input.
    #[arg(value_name = "MARKER")]
    pub(crate) marker: PathBuf,

    /// The job file it is a marker of; - reads standard input.
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
}

/// Verify a marker file against its job, exactly and independently of the search.
///
/// Says what is wrong and where: pieces that overlap, lie outside the cloth, off their fold or off the grain, are missing
/// or too many.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  nest check marker.json job.json")]
pub(crate) struct Check {
    #[command(flatten)]
    pub(crate) input: MarkerAndJob,

    /// Check the marker of this kind of cloth only; may be given several times. Left out: every cloth must have one.
    #[arg(long, value_name = "KIND")]
    pub(crate) cloth: Vec<String>,
}

/// Write the laying guide of a marker: how to fold, what to lay where, what to cut when.
///
/// For the person at the table: what is needed, how to spread the cloth step by step, a check list of pieces, the order of
/// laying with the distances of every piece from the start and from the nearest selvage or fold, and how to cut.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  nest guide marker.json job.json\n  nest guide marker.json job.json -o guide.html\n  nest guide marker.json job.json -o guide.pdf --paper letter"
)]
pub(crate) struct Guide {
    #[command(flatten)]
    pub(crate) input: MarkerAndJob,

    /// Where the guide goes: a web page (.html), printed pages (.pdf) or plain text (.txt); - prints it as text.
    #[arg(short, long, value_name = "FILE", default_value = "-")]
    pub(crate) output: PathBuf,

    /// The paper of printed pages; left out: A4, or Letter for jobs in inches.
    #[arg(long, value_enum, value_name = "PAPER")]
    pub(crate) paper: Option<Paper>,

    /// Only for this kind of cloth; may be given several times.
    #[arg(long, value_name = "KIND")]
    pub(crate) cloth: Vec<String>,
}

/// Write a marker for paper, projector, plotter or cutter: PDF, PNG, DXF, HP-GL or SVG, at true size.
#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  nest export marker.json job.json -o marker.pdf\n  nest export marker.json job.json -o pages.pdf --paper a4\n  nest export marker.json job.json -o cut.dxf --cloth lining"
)]
pub(crate) struct Export {
    #[command(flatten)]
    pub(crate) input: MarkerAndJob,

    /// Where it goes; the ending says what is written: .pdf, .png, .dxf (a cut file), .plt (HP-GL) or .svg (for a
    /// projector, with --projector).
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: PathBuf,

    /// The kind of cloth; left out: the one called "self", or else the first in the file.
    #[arg(long, value_name = "KIND")]
    pub(crate) cloth: Option<String>,

    /// Cut a PDF into pages of this paper, with a map and squares to measure; left out: one long page.
    #[arg(long, value_enum, value_name = "PAPER", conflicts_with = "projector")]
    pub(crate) paper: Option<Paper>,

    /// White lines on black over a grid to set a projector by: .svg, .pdf or .png.
    #[arg(long)]
    pub(crate) projector: bool,

    /// Cut a plot file into frames whose coordinates fit into 16 bits, for older plotters.
    #[arg(long)]
    pub(crate) frames: bool,
}

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
    /// 8.5 by 11 in.
    Letter,
}

impl From<Paper> for nest_core::output::Paper {
    fn from(paper: Paper) -> nest_core::output::Paper {
        match paper {
            Paper::A4 => nest_core::output::Paper::A4,
            Paper::A3 => nest_core::output::Paper::A3,
            Paper::Letter => nest_core::output::Paper::Letter,
        }
    }
}

/// List the ways to spread each cloth, and why the others do not serve, without a search.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  nest spreads fixtures/corduroy-jacket/job.json")]
pub(crate) struct Spreads {
    /// The job file; - reads standard input.
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
}

/// Compare every way to use the cloth: spreads, cloth widths, nap, views and sizes, with the winners marked.
///
/// Every combination gets a short look, then the time goes to those that are close to a step less to buy. Markers are lent:
/// a wider cloth never takes more than a narrower one on the same spread, nor cloth without nap more than cloth with nap.
/// Where the job has a length in hand, each cell says whether it is enough, or else what to leave out: up to three tenths of
/// the time or rounds go into the search for less, the winners first. Flaws are kept clear on the width that the job
/// gives the cloth, other widths are taken to have none. Remnants are left out: a comparison is about cloth off the roll.
/// The comparison is printed as a table; every figure is that of a marker that passed the check.
#[derive(Debug, Args)]
#[command(after_help = COMPARE_EXAMPLES)]
pub(crate) struct Compare {
    /// The job file; - reads standard input.
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,

    /// The kind of cloth; left out: the one called "self", or else the first of the job.
    #[arg(long, value_name = "KIND")]
    pub(crate) cloth: Option<String>,

    /// Widths of that cloth from selvage to selvage as bought (of a tube, laid flat): 90,115,150cm or 36in,45in.
    ///
    /// A number without a unit has that of the next one with a unit, or else the job's. Left out: the job's width.
    #[arg(long, value_name = "WIDTHS", value_parser = widths)]
    pub(crate) widths: Option<Widths>,

    /// With nap, without, or both: none,one-way. Left out: as the job has it.
    #[arg(long, value_name = "NAP", value_enum, value_delimiter = ',')]
    pub(crate) nap: Vec<NapChoice>,

    /// Views, each laid for itself: their names with commas between, or all. Left out: all that are ordered, together.
    ///
    /// A view or size of which the job orders none is laid for one garment.
    #[arg(long, value_name = "VIEWS", value_delimiter = ',')]
    pub(crate) views: Vec<String>,

    /// Sizes, each laid for itself: their names with commas between, or all. Left out: all that are ordered, together.
    #[arg(long, value_name = "SIZES", value_delimiter = ',')]
    pub(crate) sizes: Vec<String>,

    /// Kinds of spread, as the job file names them: single,lengthwise-fold. Left out: those that the job considers.
    #[arg(long, value_name = "SPREADS", value_delimiter = ',', value_parser = spread)]
    pub(crate) spreads: Vec<Kind>,

    /// Where a line for each cell goes, as CSV; - writes it to standard output, and the table to standard error.
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,

    /// Where all figures go, as JSON; - likewise.
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,

    /// Where the page with the matrix, a chart and the drawings goes, as HTML that needs no network; - likewise.
    #[arg(long, value_name = "FILE")]
    pub(crate) html: Option<PathBuf>,

    /// How long to search, the whole matrix together: 20s, 2m, 1h30m [default: 1m, or without limit when --rounds is given].
    #[arg(short, long, value_name = "TIME", value_parser = time)]
    pub(crate) time: Option<Duration>,

    /// How many rounds to search for each column on the average; the same job, axes, seed, lanes and rounds give the same
    /// comparison, byte for byte.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub(crate) rounds: Option<u64>,

    /// Another seed gives other markers, as good on the average.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,

    #[command(flatten)]
    pub(crate) parallel: Parallel,

    /// No progress; the table is still printed.
    #[arg(short, long)]
    pub(crate) quiet: bool,
}

const COMPARE_EXAMPLES: &str = "\
Examples:
  nest compare job.json --widths 90,115,140,150cm
  nest compare job.json --widths 45,60in --nap none,one-way --html compare.html
  nest compare job.json --sizes all --spreads single,lengthwise-fold --rounds 20 --csv - > cells.csv";

/// Does nap run one way?
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum NapChoice {
    /// Pieces may be turned end for end.
    None,
    /// Every piece points the same way.
    OneWay,
}

/// Widths with the units that were written.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Widths(pub(crate) Vec<(f64, Option<Unit>)>);

/// Measure the search: densities and times on instances and jobs, compared with published ones or an earlier measurement.
///
/// Runs one search after the other, checks every marker exactly before its density counts, and prints a table; the files
/// are written anew after each run. Ctrl-C keeps the runs that were over.
#[derive(Debug, Args)]
#[command(after_help = BENCH_EXAMPLES)]
pub(crate) struct Bench {
    /// Instances of the packing literature, and job files.
    ///
    /// An instance is a JSON object with name, source, strip_width and pieces, each with id, quantity, turns and outline.
    /// Of a job, every cloth is measured over all its spreads. A folder stands for the .json files in it and for the
    /// job.json of each folder in it.
    #[arg(value_name = "FILE", required = true)]
    pub(crate) files: Vec<PathBuf>,

    /// How long a run searches: 10s, 1m, 5m [default: 10s, or without limit when --rounds is given].
    #[arg(short, long, value_name = "TIME", value_parser = time)]
    pub(crate) time: Option<Duration>,

    /// How many rounds a run searches; the same seed, lanes and rounds give the same density on any number of threads.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u64).range(1..))]
    pub(crate) rounds: Option<u64>,

    /// How many runs of each, with the seeds 1, 2, 3 and so on.
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u64).range(1..=1000))]
    pub(crate) seeds: u64,

    #[command(flatten)]
    pub(crate) parallel: Parallel,

    /// Where all figures go, as JSON: what --against reads.
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,

    /// Where a line for each run goes, as CSV.
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,

    /// Where the drawing of density against time goes, as SVG.
    #[arg(long, value_name = "FILE")]
    pub(crate) curve: Option<PathBuf>,

    /// Compare with figures that --json wrote earlier; exit code 1 when a mean density fell by more than the margin, or when
    /// something that the earlier file holds was not measured.
    #[arg(long, value_name = "EARLIER")]
    pub(crate) against: Option<PathBuf>,

    /// By how much a mean density may fall, in points (a fall from 88.5 to 88 percent is half a point).
    #[arg(
        long,
        value_name = "POINTS",
        default_value_t = 0.5,
        requires = "against",
        value_parser = points,
        allow_negative_numbers = true
    )]
    pub(crate) margin: f64,

    /// Show the difference to published densities, from a JSON file such as benches/published.json.
    #[arg(long, value_name = "FILE")]
    pub(crate) reference: Option<PathBuf>,

    /// No line for each run; the table is still printed.
    #[arg(short, long)]
    pub(crate) quiet: bool,
}

const BENCH_EXAMPLES: &str = "\
Examples:
  nest bench instances/ --time 1m --json now.json --curve now.svg --reference benches/published.json
  nest bench fixtures/ --time 5s --seeds 1
  nest bench our-jobs/ --rounds 50 --json now.json --against last-release.json --margin 0.3";

/// Print the JSON Schema of the job file, for editors that complete and check while one types.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  nest schema > job.schema.json")]
pub(crate) struct Schema {}

/// A span of time such as `20s` or `1h30m`; a bare number counts seconds.
fn time(written: &str) -> Result<Duration, String> {
    let span = match written.parse::<u64>() {
        Ok(seconds) => Duration::from_secs(seconds),
        Err(_) => humantime::parse_duration(written)
            .map_err(|_| "write a time such as 20s, 2m or 1h30m".to_string())?,
    };
    let day = Duration::from_secs(24 * 60 * 60);
    if span.is_zero() || span > day {
        return Err("write a time of more than nothing and of a day at the most".to_string());
    }
    Ok(span)
}

/// A width of cloth such as `140cm` or `60in`.
fn width(written: &str) -> Result<Length, String> {
    let units = [("mm", Unit::Mm), ("cm", Unit::Cm), ("in", Unit::Inch)];
    let read = units.into_iter().find_map(|(sign, unit)| {
        let number = written.trim().strip_suffix(sign)?.trim_end().parse::<f64>().ok()?;
        Length::from_unit(number, unit).ok()
    });
    match read {
        Some(width) if width > Length::ZERO => Ok(width),
        _ => Err("write a width with its unit, such as 140cm, 1400mm or 60in".to_string()),
    }
}

/// Widths such as `90,115cm` or `36in`, a unit counting for the numbers without one before it.
fn widths(written: &str) -> Result<Widths, String> {
    let mut widths: Vec<(f64, Option<Unit>)> = Vec::new();
    for word in written.split(',') {
        let word = word.trim();
        let digits = word.trim_end_matches(|c: char| c.is_ascii_alphabetic());
        let value: Option<f64> = digits.trim().parse().ok();
        let value = value.filter(|value| value.is_finite() && *value > 0.0).ok_or_else(|| {
            format!("\"{word}\" is no width: write numbers with commas between, such as 90,115,150cm")
        })?;
        let sign = word[digits.len()..].trim();
        let units = [Unit::Mm, Unit::Cm, Unit::M, Unit::Inch, Unit::Yard];
        let unit = units.into_iter().find(|unit| unit.sign() == sign);
        if unit.is_none() && !sign.is_empty() {
            return Err(format!("\"{sign}\" is no unit of width: write mm, cm, m, in or yd"));
        }
        if unit.is_some() {
            let unnamed = widths.iter_mut().rev().take_while(|(_, unit)| unit.is_none());
            unnamed.for_each(|(_, missing)| *missing = unit);
        }
        widths.push((value, unit));
    }
    Ok(Widths(widths))
}

/// A kind of spread by its name in job files.
fn spread(written: &str) -> Result<Kind, String> {
    Kind::ALL.into_iter().find(|&kind| kind_name(kind) == written).ok_or_else(|| {
        let names: Vec<&str> = Kind::ALL.into_iter().map(kind_name).collect();
        format!("write one of {}", names.join(", "))
    })
}

/// A number of percentage points.
fn points(written: &str) -> Result<f64, String> {
    match written.parse::<f64>() {
        Ok(points) if (0.0..=100.0).contains(&points) => Ok(points),
        _ => Err("write a number of points from 0 to 100, such as 0.5".to_string()),
    }
}

#[cfg(test)]
mod args_tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_command_line_is_sound() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn widths_have_a_unit() {
        assert_eq!(width("140cm"), Ok(Length::from_grid(140_000)));
        assert_eq!(width("60 in"), Ok(Length::from_grid(152_400)));
        for wrong in ["", "140", "cm", "-3cm", "0mm", "1e9mm", "NaNmm", "wide"] {
            assert!(width(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn widths_take_the_unit_that_follows() {
        let cm = Some(Unit::Cm);
        assert_eq!(widths("90,115, 150cm"), Ok(Widths(vec![(90.0, cm), (115.0, cm), (150.0, cm)])));
        assert_eq!(
            widths("45in,1.5 m,60"),
            Ok(Widths(vec![(45.0, Some(Unit::Inch)), (1.5, Some(Unit::M)), (60.0, None)]))
        );
        for wrong in ["", "wide", "90;115", "90,,115cm", "-90cm", "0", "90 ells", "inf", "nancm", "1e999"] {
            assert!(widths(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn spreads_have_the_names_of_the_job_file() {
        assert_eq!(spread("sections"), Ok(Kind::Sections));
        assert!(spread("folded").unwrap_err().contains("lengthwise-fold"));
    }

    #[test]
    fn times_are_written_as_people_write_them() {
        assert_eq!(time("20s"), Ok(Duration::from_secs(20)));
        assert_eq!(time("90"), Ok(Duration::from_secs(90)));
        assert_eq!(time("1h30m"), Ok(Duration::from_secs(5400)));
        for wrong in ["", "soon", "-5s", "0s", "2days", "999999999999999999999"] {
            assert!(time(wrong).is_err(), "{wrong}");
        }
    }
}
