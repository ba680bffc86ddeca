//! `nest spreads`: the ways to spread each cloth, and why the others do not serve, without a search.

use std::fmt::Write as _;

use anyhow::Result;
use nest_core::admissible;

use crate::args;
use crate::console::length;
use crate::exit::Exit;
use crate::source::Source;

/// Lists every kind of spread for every cloth of the job; it is met when each cloth has one that serves.
pub(crate) fn run(args: &args::Spreads) -> Result<Exit> {
    let job = Source::from(&*args.job).job()?;
    let mut told = format!("{}\n", job.name);
    let mut exit = Exit::Done;
    for cloth in &job.cloths {
        if job.wants(&cloth.kind).is_empty() {
            let _ = writeln!(told, "\nCloth \"{}\": nothing ordered is cut from it", cloth.kind);
            continue;
        }
        let _ = writeln!(told, "\nCloth \"{}\": {} wide", cloth.kind, length(cloth.width, job.unit));
        let spreads = admissible(&job, cloth);
        for (kind, admission) in &spreads {
            let words = match admission {
                Ok(bound) => format!("serves; takes at least {} of cloth", length(bound.length, job.unit)),
                Err(refusal) => format!("does not serve: {refusal}"),
            };
            let _ = writeln!(told, "  {:<34} {words}", kind.title());
        }
        if spreads.iter().all(|(_, admission)| admission.is_err()) {
            exit = Exit::NotMet;
        }
    }
    super::print(&told)?;
    Ok(exit)
}
