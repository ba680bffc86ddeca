//! `nest guide`: the laying guide of a marker file, as text, web page or printed pages.

use std::path::Path;

use anyhow::{Result, bail};
use nest_core::output::Paper;
use nest_core::output::guide::Guide;

use crate::args;
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::markers;

/// The forms a guide is written in, by the ending of the file.
#[derive(Clone, Copy)]
enum Form {
    Text,
    Html,
    Pdf,
}

impl Form {
    fn of(output: &Path) -> Result<Form> {
        if output == Path::new("-") {
            return Ok(Form::Text);
        }
        let ending = output.extension().map(|e| e.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
        match ending.as_str() {
            "txt" => Ok(Form::Text),
            "html" | "htm" => Ok(Form::Html),
            "pdf" => Ok(Form::Pdf),
            _ => bail!("{}: give the guide a name that ends in .html, .pdf or .txt", output.display()),
        }
    }
}

/// Writes the guide for all cloths of the file, or for those asked for.
pub(crate) fn run(args: &args::Guide) -> Result<Exit> {
    let form = Form::of(&args.output)?;
    if args.paper.is_some() && !matches!(form, Form::Pdf) {
        bail!("{}: --paper goes with a guide whose name ends in .pdf", args.output.display());
    }
    for input in [&args.input.marker, &args.input.job] {
        super::not_over(&args.output, input)?;
    }
    let (job, parts) = markers::checked(&args.input, &args.cloth)?;
    let deposit = Deposit::open(&args.output, &Litter::default())?;
    let guide = Guide::of_parts(&job.name, parts.iter().map(|(job, checked)| (job, checked)));
    let content = match form {
        Form::Text => guide.text().into_bytes(),
        Form::Html => guide.html().into_bytes(),
        Form::Pdf => guide.pdf(args.paper.map_or(Paper::usual(job.unit), Into::into))?,
    };
    deposit.complete(content)?;
    Ok(Exit::Done)
}
