//! `nest export`: a marker for paper, projector, plotter or cutter, by the ending of the file.

use anyhow::{Result, anyhow, bail};
use nest_core::check::Checked;
use nest_core::job::Job;
use nest_core::output::{Paper, dxf, hpgl, pdf, png, projector_svg};

use crate::args;
use crate::deposit::{Deposit, Litter};
use crate::exit::Exit;
use crate::markers;

/// Writes one cloth of a marker file that passes the check.
pub(crate) fn run(args: &args::Export) -> Result<Exit> {
    let ending =
        args.output.extension().map(|e| e.to_string_lossy().to_ascii_lowercase()).unwrap_or_default();
    let known = match ending.as_str() {
        "pdf" => true,
        "png" => args.paper.is_none(),
        "svg" => args.projector,
        "dxf" | "plt" => args.paper.is_none() && !args.projector,
        _ => false,
    };
    if !known || (args.frames && ending != "plt") {
        bail!(
            "{}: give a name that ends in .pdf, .png, .dxf or .plt; --paper goes with .pdf, --projector with .svg, .pdf or \
             .png, --frames with .plt",
            args.output.display()
        );
    }
    for input in [&args.input.marker, &args.input.job] {
        super::not_over(&args.output, input)?;
    }
    let (_, parts) = markers::checked(&args.input, args.cloth.as_slice())?;
    let main = parts.iter().find(|(_, c)| c.marker().cloth == "self").or(parts.first());
    let (job, main) = main.ok_or_else(|| anyhow!("{} holds no marker", args.input.marker.display()))?;
    let deposit = Deposit::open(&args.output, &Litter::default())?;
    deposit.complete(content(job, main, &ending, args)?)?;
    Ok(Exit::Done)
}

fn content(job: &Job, checked: &Checked, ending: &str, args: &args::Export) -> Result<Vec<u8>> {
    let paper = args.paper.map(Paper::from);
    Ok(match (ending, paper) {
        ("pdf", Some(paper)) => pdf::tiled(job, checked, paper)?,
        ("pdf", None) if args.projector => pdf::projector(job, checked)?,
        ("pdf", None) => pdf::whole(job, checked)?,
        ("png", _) if args.projector => png::projector(job, checked)?,
        ("png", _) => png::preview(job, checked)?,
        ("svg", _) => projector_svg(job, checked).into_bytes(),
        ("dxf", _) => dxf::cut_file(job, checked)?,
        _ if args.frames => hpgl::plot_file_in_frames(job, checked)?,
        _ => hpgl::plot_file(job, checked),
    })
}
