//! `nest check`: a marker file against its job.

use std::fmt::Write as _;

use anyhow::{Context, Result, anyhow, bail};
use nest_core::check::check;
use nest_core::job::limits::MAX_FILE_BYTES;
use nest_core::report::json;

use crate::args;
use crate::exit::Exit;
use crate::source::Source;

/// The largest marker file read: more than the largest that could be written for a job of the largest size.
const MAX_MARKER_BYTES: usize = 16 * MAX_FILE_BYTES;

/// Checks every marker of the file and says what is wrong with each.
pub(crate) fn run(args: &args::Check) -> Result<Exit> {
    let (marker, job) = (Source::from(&*args.marker), Source::from(&*args.job));
    if (&marker, &job) == (&Source::Stdin, &Source::Stdin) {
        bail!("only one of the marker and the job can come from standard input");
    }
    let job = job.job()?;
    let bytes = marker.read(MAX_MARKER_BYTES)?;
    if bytes.len() > MAX_MARKER_BYTES {
        bail!("{marker} is larger than any marker file: give the file that nest lay wrote");
    }
    let text = String::from_utf8(bytes).with_context(|| format!("{marker} is not text"))?;
    let markers =
        json::read(&text, &job).map_err(|fault| anyhow!("{marker} is not a marker of this job\n{fault}"))?;

    let mut told = String::new();
    let mut exit = Exit::Done;
    for marker in &markers {
        match check(&job, marker) {
            Ok(checked) => {
                let tally = checked.tally();
                let (placements, copies) = (tally.placements, tally.copies);
                let _ = writeln!(
                    told,
                    "{}: right: {placements} placements, {copies} pieces come off",
                    marker.cloth
                );
            }
            Err(violations) => {
                exit = Exit::NotMet;
                let faults = if violations.len() == 1 { "fault" } else { "faults" };
                let _ = writeln!(told, "{}: {} {faults}", marker.cloth, violations.len());
                for violation in &violations {
                    let _ = writeln!(told, "  {violation}");
                }
            }
        }
    }
    super::print(&told)?;
    Ok(exit)
}
