//! `nest check`: a marker file against its job.

use std::fmt::Write as _;

use anyhow::Result;
use nest_core::check::check;
use nest_core::job::Job;
use nest_core::marker::Marker;
use nest_core::remnant;

use crate::args;
use crate::exit::Exit;
use crate::markers;

/// Checks every marker of the file and says what is wrong with each.
pub(crate) fn run(args: &args::Check) -> Result<Exit> {
    let sheet = markers::read(&args.input)?;
    let (job, markers) = (&sheet.job, &sheet.markers);
    let cloths = super::chosen(job, &args.cloth)?;

    let mut told = String::new();
    let mut exit = Exit::Done;
    for cloth in cloths {
        // A file may hold two markers of one cloth: both have to be right.
        let of_cloth = |k: &usize| markers::is_of(job, &markers[*k], &cloth.kind);
        let mut of_cloth = (0..markers.len()).filter(of_cloth).peekable();
        if of_cloth.peek().is_none() {
            exit = Exit::NotMet;
            let _ = writeln!(told, "{}: no marker in this file", cloth.kind);
            continue;
        }
        for k in of_cloth {
            if !judge(&sheet.job_of(k), &markers[k], &mut told) {
                exit = Exit::NotMet;
            }
        }
        let left_out = sheet.not_cut.iter().find(|not_cut| not_cut.cloth == cloth.kind);
        if let Some(left_out) = left_out.filter(|_| cloth.remnants.is_empty()) {
            exit = Exit::NotMet;
            let pieces = job.told(&left_out.wants).join(", ");
            let _ = writeln!(told, "{}: not everything is cut, left out: {pieces}", cloth.kind);
        }
        if !cloth.remnants.is_empty() {
            let missing = remnant::missing(job, cloth, markers);
            if !missing.is_empty() {
                exit = Exit::NotMet;
                let _ =
                    writeln!(told, "{}: not everything comes off once: {}", cloth.kind, missing.join(", "));
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
