//! Errors laid out for a person: what is wrong, where, and how to mend it.

use std::io::{self, Write};

use anyhow::Error;

use crate::exit::Exit;

/// Prints an error to standard error: its first line after the program's name, the rest indented under it.
///
/// A reader of our output that has gone away has seen enough: that is no error.
pub(crate) fn complain(error: &Error) -> Exit {
    let gone = |cause: &(dyn std::error::Error + 'static)| {
        cause.downcast_ref::<io::Error>().is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe)
    };
    if error.chain().any(gone) {
        return Exit::Done;
    }
    tell(&format!("nest: {}", format!("{error:#}").trim_end().replace('\n', "\n  ")));
    Exit::BadInput
}

/// Prints a line to standard error, if anybody still listens there: a search is not given up for want of a listener.
pub(crate) fn tell(line: &str) {
    let _ = writeln!(io::stderr().lock(), "{line}");
}
