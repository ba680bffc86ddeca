//! One file per command; each reads, calls the library and writes.

pub(crate) mod bench;
pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod export;
pub(crate) mod guide;
pub(crate) mod import;
pub(crate) mod lay;
pub(crate) mod schema;
pub(crate) mod spreads;

use std::io::{self, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use nest_core::cloth::Cloth;
use nest_core::job::Job;
use nest_core::search::Continue;

use crate::interrupt::Interrupt;

/// Prints a result. A reader that has gone away is for `main` to notice.
pub(crate) fn print(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.flush()
}

/// Lets the search use so many threads.
pub(crate) fn use_threads(threads: Option<u16>) -> Result<()> {
    if let Some(threads) = threads {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads.into()).build_global();
        pool.context("cannot start the threads")?;
    }
    Ok(())
}

/// How long to search: as asked, or the usual time, unless rounds are counted.
pub(crate) fn time_limit(time: Option<Duration>, rounds: Option<u64>, usual: Duration) -> Option<Duration> {
    time.or(if rounds.is_none() { Some(usual) } else { None })
}

/// Whether to go on with a search that has time until `end`, unless somebody asks it to stop.
pub(crate) fn stop_at(end: Option<Instant>, interrupt: &Interrupt) -> Continue {
    let over = interrupt.asked() || end.is_some_and(|end| Instant::now() >= end);
    if over { Continue::Stop } else { Continue::Yes }
}

/// The cloths of the kinds asked for, or all, as far as anything ordered is cut from them.
pub(crate) fn chosen<'a>(job: &'a Job, kinds: &[String]) -> Result<Vec<&'a Cloth>> {
    for kind in kinds {
        if job.cloths.iter().all(|cloth| cloth.kind != *kind) {
            let there: Vec<&str> = job.cloths.iter().map(|cloth| cloth.kind.as_str()).collect();
            bail!("the job has no cloth of the kind \"{kind}\"; it has {}", there.join(", "));
        }
    }
    let wanted = |cloth: &&Cloth| {
        (kinds.is_empty() || kinds.contains(&cloth.kind)) && !job.wants(&cloth.kind).is_empty()
    };
    let cloths: Vec<&Cloth> = job.cloths.iter().filter(wanted).collect();
    if cloths.is_empty() {
        bail!(
            "nothing that is ordered is cut from this cloth: check `order`, `views` and the pieces' `cloth`"
        );
    }
    Ok(cloths)
}

/// Refuses to write a result over what it is made from.
pub(crate) fn not_over(output: &Path, input: &Path) -> Result<()> {
    if output != Path::new("-") && crate::outputs::settled(output) == crate::outputs::settled(input) {
        bail!("{} is what is read: write to another file", output.display());
    }
    Ok(())
}
