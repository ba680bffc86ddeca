//! Tests of the library as a whole, on the files in `fixtures`.
#![allow(clippy::disallowed_methods, reason = "tests read files")]

/// Every kind of broken job file is refused with the message beside it.
mod bad_input;
/// Texts of job, marker and instance files with stretches damaged.
mod damaged;
/// What folding does to a length, known beforehand.
mod folds;
/// Good jobs changed at random are read or refused, never worse.
mod mutations;
/// The search gives the same on every machine.
mod same_everywhere;
/// Every sample job is read, and agrees with the schema.
mod samples;
/// The committed schema is the one that the types make.
mod schema;
/// Spreads in sections on every sample.
mod sections;

use std::path::PathBuf;

/// The folder of sample jobs.
fn fixtures() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures"))
}
