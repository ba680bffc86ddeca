//! One file per command; each reads, calls the library and writes.

pub(crate) mod check;
pub(crate) mod lay;
pub(crate) mod schema;
pub(crate) mod spreads;

use std::io::{self, Write};

/// Prints a result. A reader that has gone away is for `main` to notice.
pub(crate) fn print(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}
