//! Errors laid out for a person: what is wrong, where, and how to mend it.

use std::io;

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
    eprintln!("nest: {}", format!("{error:#}").trim_end().replace('\n', "\n  "));
    Exit::BadInput
}
