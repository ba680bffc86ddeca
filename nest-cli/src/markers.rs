//! A marker file read against its job, and checked before anything is made of it.

use anyhow::{Context, Result, anyhow, bail};
use nest_core::check::{Checked, check};
use nest_core::job::Job;
use nest_core::job::limits::MAX_FILE_BYTES;
use nest_core::marker::Marker;
use nest_core::remnant;
use nest_core::report::{NotCut, json};

use crate::args::MarkerAndJob;
use crate::source::Source;

/// The largest marker file read: more than the largest that could be written for a job of the largest size.
const MAX_MARKER_BYTES: usize = 16 * MAX_FILE_BYTES;

/// A marker file and its job.
pub(crate) struct MarkerSheet {
    /// The whole job.
    pub(crate) job: Job,
    /// The markers, not checked yet.
    pub(crate) markers: Vec<Marker>,
    /// What the file says is not cut.
    pub(crate) not_cut: Vec<NotCut>,
}

impl MarkerSheet {
    /// The job that marker `k` is for: the whole one, the part of it that a remnant gives or the roll after the remnants, or
    /// what is not left out.
    pub(crate) fn job_of(&self, k: usize) -> Job {
        let kind = &self.markers[k].cloth;
        let left_out = self.not_cut.iter().find(|not_cut| not_cut.cloth == *kind);
        match left_out.filter(|_| remnant::find_roll(&self.job, kind).is_none()) {
            Some(left_out) => left_out.rest(&self.job),
            None => remnant::job_of(&self.job, &self.markers, k),
        }
    }
}

/// The job and the marker file. Only one of the two can come from standard input.
pub(crate) fn read(input: &MarkerAndJob) -> Result<MarkerSheet> {
    let (marker, job) = (Source::from(input.marker.as_path()), Source::from(input.job.as_path()));
    if (&marker, &job) == (&Source::Stdin, &Source::Stdin) {
        bail!("only one of the marker and the job can come from standard input");
    }
    let bytes = marker.read(MAX_MARKER_BYTES)?;
    let job = job.job().map_err(|fault| with_order(fault, &marker, &bytes))?;
    if bytes.len() > MAX_MARKER_BYTES {
        bail!("{marker} is larger than any marker file: give the file that nest lay wrote");
    }
    let text = std::str::from_utf8(&bytes).with_context(|| format!("{marker} is not text"))?;
    let not_of_job =
        |fault| with_order(anyhow!("{marker} is not a marker of this job\n{fault}"), &marker, &bytes);
    let markers = json::read(text, &job).map_err(not_of_job)?;
    let not_cut = json::not_cut(text, &job).map_err(not_of_job)?;
    Ok(MarkerSheet { job, markers, not_cut })
}

/// A fault of two files, and in which order they are given if what should be the marker is a job.
fn with_order(fault: anyhow::Error, marker: &Source, bytes: &[u8]) -> anyhow::Error {
    match Job::read_bytes(bytes) {
        Ok(_) => anyhow!("{fault:#}\n{marker} is a job file: give the marker first, and the job after it"),
        Err(_) => fault,
    }
}

/// The job, and the markers of the cloths asked for (of all, when none is), each with the job whose check it has
/// passed: that of the file, or the part of it that is cut there.
pub(crate) fn checked(input: &MarkerAndJob, kinds: &[String]) -> Result<(Job, Vec<(Job, Checked)>)> {
    let sheet = read(input)?;
    let (job, markers) = (&sheet.job, &sheet.markers);
    for kind in kinds {
        if markers.iter().all(|marker| !is_of(job, marker, kind)) {
            let there: Vec<&str> = markers.iter().map(|marker| marker.cloth.as_str()).collect();
            bail!(
                "{} has no marker for the cloth \"{kind}\"; it has {}",
                input.marker.display(),
                there.join(", ")
            );
        }
    }
    let mut passed = Vec::new();
    for (k, marker) in markers.iter().enumerate() {
        if !kinds.is_empty() && !kinds.iter().any(|kind| is_of(job, marker, kind)) {
            continue;
        }
        let own = sheet.job_of(k);
        match check(&own, marker) {
            Ok(checked) => passed.push((own, checked)),
            Err(violations) => {
                let lines: Vec<String> = violations.iter().take(20).map(ToString::to_string).collect();
                bail!(
                    "the marker for \"{}\" does not pass the check, and nothing is made of it: lay the job anew\n{}",
                    marker.cloth,
                    lines.join("\n")
                );
            }
        }
    }
    Ok((sheet.job, passed))
}

/// Is a marker for cloth of this kind, off the roll or as a remnant, or for the remnant so called?
pub(crate) fn is_of(job: &Job, marker: &Marker, kind: &str) -> bool {
    marker.cloth == kind || remnant::find(job, &marker.cloth).is_some_and(|(cloth, _)| cloth.kind == kind)
}
