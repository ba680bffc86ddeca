//! `nest import`: pattern files to a job file, and a contact sheet to look them over.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::{Result, anyhow, bail};
use nest_core::import::limits::MAX_BYTES;
use nest_core::import::{Import, ImportSettings, JobSettings, import, pretty};
use nest_core::length::Unit;

use crate::args::{self, DrawnUnit};
use crate::complaint::tell;
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::outputs::{settled, with_stem_and};
use crate::source::Source;

/// Reads the pattern files and writes what was understood.
pub(crate) fn run(args: &args::Import) -> Result<Exit> {
    let contact_sheet = contact_sheet_path(args);
    not_twice(args, contact_sheet.as_deref())?;
    let mut parts = Vec::new();
    for file in &args.files {
        parts.push(read(file, args)?);
    }
    let names: Vec<&str> = parts.iter().map(|(name, _)| name.as_str()).collect();
    let together = names.join(", ");
    let found = Import::merged(parts).map_err(|fault| anyhow!("{together}\n{fault}"))?;
    for warning in &found.warnings {
        tell(&format!("nest: {warning}"));
    }
    for piece in &found.left_out {
        tell(&format!("nest: left out: {piece}"));
    }
    if found.pattern.piece_count() == 0 {
        bail!("{together}: no piece that can be laid is in there");
    }
    if let Some(size) = args.size.as_ref().filter(|size| !found.pattern.sizes().contains(size)) {
        match found.pattern.sizes() {
            [] => bail!("--size {size}: the pattern names no sizes; leave it out"),
            sizes => bail!("--size {size}: the pattern has the sizes {}", sizes.join(", ")),
        }
    }
    let settings =
        JobSettings { name: args.name.clone(), width: args.width, size: args.size.clone(), unit: None };
    let litter = Litter::default();
    let job = Deposit::open(&args.output, &litter)?;
    let sheet = contact_sheet.map(|path| Deposit::open(&path, &litter)).transpose()?;
    job.complete(pretty(&found.job_file(&settings)))?;
    if let Some(sheet) = sheet
        && let Some(path) = sheet.complete(found.contact_sheet(&settings))?
    {
        tell(&format!("nest: look the pieces over on {}", path.display()));
    }
    Ok(Exit::Done)
}

/// One file, with its name for messages.
fn read(file: &Path, args: &args::Import) -> Result<(String, Import)> {
    let source = Source::from(file);
    let bytes = source.read(MAX_BYTES)?;
    let unit = args.units.map(|unit| match unit {
        DrawnUnit::Mm => Unit::Mm,
        DrawnUnit::Cm => Unit::Cm,
        DrawnUnit::In => Unit::Inch,
    });
    let settings = ImportSettings { unit, grain_reversed: args.grain_reversed, ..ImportSettings::default() };
    let found = import(&bytes, &settings).map_err(|fault| anyhow!("{source} cannot be imported\n{fault}"))?;
    let name = match &source {
        Source::File(path) => path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        Source::Stdin => source.to_string(),
    };
    Ok((name, found))
}

/// Where the contact sheet goes: as asked, or beside the job file.
fn contact_sheet_path(args: &args::Import) -> Option<PathBuf> {
    args.contact_sheet.clone().or_else(|| {
        (args.output != Path::new("-"))
            .then(|| with_stem_and(&args.output, "contact-sheet").with_extension("svg"))
    })
}

/// Refuses to read a file twice, and to write over what is read or over what was just written.
fn not_twice(args: &args::Import, contact_sheet: Option<&Path>) -> Result<()> {
    let mut read = BTreeSet::new();
    for file in &args.files {
        super::not_over(&args.output, file)?;
        if let Some(sheet) = contact_sheet {
            super::not_over(sheet, file)?;
        }
        if !read.insert(settled(file)) {
            bail!("{} is given twice: leave one out", file.display());
        }
    }
    if contact_sheet.is_some_and(|sheet| settled(sheet) == settled(&args.output)) {
        bail!("{} would be written twice: give --contact-sheet another name than -o", args.output.display());
    }
    Ok(())
}
