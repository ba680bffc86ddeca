//! `nest check`: a marker file against its job.

use std::fmt::Write as _;

use anyhow::{Context, Result, anyhow, bail};
use nest_core::check::check;
use nest_core::job::Job;
use nest_core::job::limits::MAX_FILE_BYTES;
use nest_core::marker::Marker;
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
    let cloths = super::chosen(&job, &args.cloth)?;
    let bytes = marker.read(MAX_MARKER_BYTES)?;
    if bytes.len() > MAX_MARKER_BYTES {
        bail!("{marker} is larger than any marker file: give the file that nest lay wrote");
    }
    let text = String::from_utf8(bytes).with_context(|| format!("{marker} is not text"))?;
    let markers =
        json::read(&text, &job).map_err(|fault| anyhow!("{marker} is not a marker of this job\n{fault}"))?;

    let mut told = String::new();
    let mut exit = Exit::Done;
    for cloth in cloths {
        // A file may hold two markers of one cloth: both have to be right.
        let mut of_cloth = markers.iter().filter(|marker| marker.cloth == cloth.kind).peekable();
        if of_cloth.peek().is_none() {
            exit = Exit::NotMet;
            let _ = writeln!(told, "{}: no marker in this file", cloth.kind);
        }
        for marker in of_cloth {
            if !judge(&job, marker, &mut told) {
                exit = Exit::NotMet;
            }
        }
    }
    super::print(&told)?;
    Ok(exit)
}

/// Is the marker right? What there is to say of it is added to `told`.
fn judge(job: &Job, marker: &Marker, told: &mut String) -> bool {
    match check(job, marker) {
        Ok(checked) => {
            let (placements, copies) = (checked.tally().placements, checked.tally().copies);
            let _ =
                writeln!(told, "{}: right: {placements} placements, {copies} pieces come off", marker.cloth);
            true
        }
        Err(violations) => {
            let faults = if violations.len() == 1 { "fault" } else { "faults" };
            let _ = writeln!(told, "{}: {} {faults}", marker.cloth, violations.len());
            for violation in &violations {
                let _ = writeln!(told, "  {violation}");
            }
            false
        }
    }
}
