//! Pattern files of every kind, read as a user of the library reads them, and looked at with readers of these tests' own.
#![allow(clippy::disallowed_methods, reason = "tests read files")]

/// The contact sheet shows what the job file says.
mod contact;
/// Files that no pattern program writes.
mod hostile;
/// Several files as one pattern.
mod merging;
/// Sample files changed at random are read or refused, never worse.
mod mutations;
/// Drawings of closed lines.
mod plain;
/// A garment of our own, and its files by ASTM D6673 and ANSI/AAMA-292.
mod smock;
/// Those files, read back.
mod standard;
/// Points from a digitiser.
mod tables;
/// DXF as pairs of group code and value: the independent reader.
mod tags;

use std::path::PathBuf;

use nest_core::import::{Import, ImportSettings, JobSettings, import, pretty};
use nest_core::job::Job;
use nest_core::piece::{Piece, PieceShape};

/// The folder of pattern files.
fn fixtures() -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/import"))
}

fn fixture(name: &str) -> Vec<u8> {
    std::fs::read(fixtures().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// A pattern file that is read without a piece left out.
fn read(bytes: &[u8]) -> Import {
    let found = import(bytes, &ImportSettings::default()).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(found.left_out, [], "every piece is understood");
    found
}

/// The job it makes, by way of the text that is written.
fn job(found: &Import) -> Job {
    Job::read(&pretty(&found.job_file(&JobSettings::default()))).unwrap_or_else(|error| panic!("{error}"))
}

fn piece<'a>(job: &'a Job, name: &str) -> &'a Piece {
    let named = job.style.pieces.iter().find(|piece| piece.name == name);
    named.unwrap_or_else(|| panic!("{name} is not in the job"))
}

fn shape<'a>(piece: &'a Piece, size: &str) -> &'a PieceShape {
    piece.shapes.get(size).unwrap_or_else(|| panic!("{} is not there in {size}", piece.name))
}

/// Length along the grain and width across it, in millimetres.
fn extent(shape: &PieceShape) -> (f64, f64) {
    let bounds = shape.outline.bounds();
    (bounds.width() as f64 / 100.0, bounds.height() as f64 / 100.0)
}
