//! A file or standard input to bytes, with its name kept for messages.

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use nest_core::instance::Instance;
use nest_core::job::limits::MAX_FILE_BYTES;
use nest_core::job::{Job, ReadError};

/// Where input comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Source {
    /// A file.
    File(PathBuf),
    /// Standard input, written `-`.
    Stdin,
}

impl From<&Path> for Source {
    fn from(path: &Path) -> Source {
        if path == Path::new("-") { Source::Stdin } else { Source::File(path.to_owned()) }
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Source::File(path) => write!(f, "{}", path.display()),
            Source::Stdin => f.write_str("standard input"),
        }
    }
}

impl Source {
    /// Everything there is to read, but no more than `most` bytes and one, so that an endless stream comes to an end.
    pub(crate) fn read(&self, most: usize) -> Result<Vec<u8>> {
        let mut bytes = Vec::new();
        let limit = most as u64 + 1;
        match self {
            Source::Stdin => io::stdin().lock().take(limit).read_to_end(&mut bytes),
            Source::File(path) => {
                if path.is_dir() {
                    bail!("{self} is a folder: give the path of a file");
                }
                File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes))
            }
        }
        .with_context(|| format!("cannot read {self}"))?;
        Ok(bytes)
    }

    /// A job from a job file.
    pub(crate) fn job(&self) -> Result<Job> {
        let bytes = self.read(MAX_FILE_BYTES)?;
        Job::read_bytes(&bytes).map_err(|error| match error {
            ReadError::Syntax(_) if Instance::read_bytes(&bytes).is_ok() => anyhow::anyhow!(
                "{self} is not a job file but an instance of the packing literature\n\
                 `nest bench` measures how densely that can be laid"
            ),
            ReadError::Syntax(fault) => anyhow::anyhow!("{self} is not a job file\n{fault}"),
            problems @ ReadError::Problems(_) => {
                anyhow::anyhow!("{self} cannot be laid as it stands\n{problems}")
            }
        })
    }
}
