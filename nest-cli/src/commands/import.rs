//! `nest import`: a pattern file to a job file.

use anyhow::{Result, anyhow, bail};
use nest_core::import::limits::MAX_BYTES;
use nest_core::import::{ImportSettings, JobSettings, import, pretty};
use nest_core::length::Unit;

use crate::args::{self, DrawnUnit};
use crate::complaint::tell;
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::source::Source;

/// Reads one pattern file and writes what was understood.
pub(crate) fn run(args: &args::Import) -> Result<Exit> {
    super::not_over(&args.output, &args.file)?;
    let source = Source::from(args.file.as_path());
    let bytes = source.read(MAX_BYTES)?;
    let unit = args.units.map(|unit| match unit {
        DrawnUnit::Mm => Unit::Mm,
        DrawnUnit::Cm => Unit::Cm,
        DrawnUnit::In => Unit::Inch,
    });
    let settings = ImportSettings { unit, grain_reversed: args.grain_reversed, ..ImportSettings::default() };
    let found = import(&bytes, &settings).map_err(|fault| anyhow!("{source} cannot be imported\n{fault}"))?;
    for warning in &found.warnings {
        tell(&format!("nest: {warning}"));
    }
    for piece in &found.left_out {
        tell(&format!("nest: left out: {piece}"));
    }
    if found.pattern.piece_count() == 0 {
        bail!("{source} holds no piece that can be laid");
    }
    let deposit = Deposit::open(&args.output, &Litter::default())?;
    deposit.complete(pretty(&found.job_file(&JobSettings::default())))?;
    Ok(Exit::Done)
}
