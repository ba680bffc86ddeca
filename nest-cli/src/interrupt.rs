//! The first Ctrl-C ends the search at the end of its round, the second leaves at once.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use anyhow::{Context, Result};

use crate::complaint::tell;
use crate::deposit::Litter;
use crate::exit::Exit;

/// Whether a person, or the system on its behalf, asked to stop.
#[derive(Clone, Debug)]
pub(crate) struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Listens from now on. A request to terminate counts as a Ctrl-C, so that a run under a time limit of the shell's
    /// keeps what it has found.
    pub(crate) fn listen(litter: Litter, quiet: bool) -> Result<Interrupt> {
        let asked = Arc::new(AtomicBool::new(false));
        let set = Arc::clone(&asked);
        ctrlc::set_handler(move || {
            if set.swap(true, Ordering::SeqCst) {
                litter.sweep();
                std::process::exit(Exit::Interrupted as i32);
            }
            if !quiet {
                tell("\nStopping at the end of this round with the best so far; again to leave at once.");
            }
        })
        .context("cannot listen for Ctrl-C")?;
        Ok(Interrupt(asked))
    }

    /// Has anybody asked?
    pub(crate) fn asked(&self) -> bool {
        self.0.load(Ordering::SeqCst)
    }
}
