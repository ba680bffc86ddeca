//! The exit codes and their meaning.

use std::process::ExitCode;

/// How a run ended. What went wrong with the input or the usage is an error instead, and ends with [`Exit::BadInput`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Exit {
    /// The marker is written, or the check passed.
    Done = 0,
    /// The job cannot be met, the check found faults, or a density fell.
    NotMet = 1,
    /// The input or the usage is wrong.
    BadInput = 2,
    /// Interrupted before anything was written: 128 and the number of the signal, as shells have it.
    Interrupted = 130,
}

/// The table for the help.
pub(crate) const TABLE: &str = "\
Exit codes:
  0    the marker is written (also when time was up or Ctrl-C ended the search), or the check passed
  1    the job cannot be met: no spread serves, or the cloth in hand is too short; or the check found faults;
       or a measured density fell by more than the margin, or was not measured again
  2    wrong input or usage; nothing is written
  130  interrupted a second time; nothing is written";

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit as u8)
    }
}
