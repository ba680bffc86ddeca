//! Pattern files of other programs: bytes in; pieces, warnings and problems out. Nothing here reads a file.
//!
//! # What every importer finds
//! Pieces with an outline for each size, grainline, fold edge, notches, drill holes and lines to draw; how many to cut, as
//! pairs or not, and from which cloth. What the file does not say is assumed in the usual way and told in a [`Warning`];
//! a piece that cannot be read is a [`LeftOut`]. What was understood can be written as a job file ([`Import::job_file`]) and
//! drawn as a contact sheet ([`Import::contact_sheet`]), so that a wrong guess is seen before cloth is cut. Several files
//! make one pattern with [`Import::merged`].
//!
//! # Safety
//! Files are strangers. Their size, depth and numbers of things are bounded by the [`limits`]; nothing outside the bytes is
//! read; no name in a file is ever taken for a path.

mod assemble;
mod chain;
mod code_page;
mod contact;
mod csv;
mod dxf;
mod fault;
mod gather;
pub mod limits;
mod line;
mod merge;
mod pattern;
mod pretty;
mod settle;
mod svg;
mod text;
mod to_job;
mod warning;
mod words;

#[cfg(test)]
mod tests;

pub use fault::{ImportError, LeftOut};
pub use pattern::Pattern;
pub use pretty::pretty;
pub use to_job::JobSettings;
pub use warning::{Warning, WarningKind};

use crate::length::Unit;
use limits::MAX_BYTES;
use warning::Notes;

/// How a file is to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct ImportSettings {
    /// What the numbers in the file are, whatever it says itself. Default: what it says, or a guess and a warning.
    pub unit: Option<Unit>,
    /// How far a chord may leave the curve it stands for, in millimetres. Range: 0.01 to 5. Default: 0.1.
    pub tolerance: f64,
    /// Are grainlines drawn from the top of the piece to its bottom? Default: false. Pattern files tell no more than a
    /// line, and which of its ends is up is for the two who exchange them to agree.
    pub grain_reversed: bool,
}

impl Default for ImportSettings {
    fn default() -> ImportSettings {
        ImportSettings { unit: None, tolerance: 0.1, grain_reversed: false }
    }
}

/// The kinds of file that can be read.
enum Format {
    Svg,
    Dxf,
    Csv,
}

/// What a file was understood to hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Import {
    /// The pieces.
    pub pattern: Pattern,
    /// What was assumed.
    pub warnings: Vec<Warning>,
    /// Pieces that could not be read.
    pub left_out: Vec<LeftOut>,
}

/// Reads a pattern file, whose kind is told by what is in it.
///
/// # Errors
/// An [`ImportError`] when the file as a whole serves nothing. Pieces that cannot be read are in [`Import::left_out`].
///
/// # Complexity
/// Nearly linear on ordinary files; bounded by the [`limits`] on all.
pub fn import(bytes: &[u8], settings: &ImportSettings) -> Result<Import, ImportError> {
    let format = format_of(bytes)?;
    let settings = ImportSettings { tolerance: settings.tolerance.clamp(0.01, 5.0), ..settings.clone() };
    let mut notes = Notes::default();
    let mut pattern = match format {
        Format::Svg => {
            let text = text::decode(bytes, text::named_in_xml(bytes))?;
            text.guessed.into_iter().for_each(|page| notes.warn(WarningKind::CodePage(page)));
            svg::read(&text.text, &settings, &mut notes)?
        }
        Format::Dxf => {
            let text = text::decode(bytes, dxf::named_code_page(bytes))?;
            text.guessed.into_iter().for_each(|page| notes.warn(WarningKind::CodePage(page)));
            dxf::read(&text.text, &settings, &mut notes)?
        }
        Format::Csv => {
            let text = text::decode(bytes, None)?;
            text.guessed.into_iter().for_each(|page| notes.warn(WarningKind::CodePage(page)));
            csv::read(&text.text, &settings, &mut notes)?
        }
    };
    if settings.grain_reversed {
        let shapes = pattern.pieces.iter_mut().flat_map(|piece| &mut piece.shapes);
        shapes.flat_map(|(_, shape)| &mut shape.grainline).for_each(|line| line.reverse());
    }
    to_job::leave_out_what_no_job_takes(&mut pattern, &mut notes);
    note_missing_sizes(&pattern, &mut notes);
    let import = Import { pattern, warnings: notes.warnings, left_out: notes.left_out };
    to_job::proved(&import)?;
    Ok(import)
}

/// Tells of pieces that are there in some sizes only, and in which they are not.
fn note_missing_sizes(pattern: &Pattern, notes: &mut Notes) {
    for piece in pattern.pieces.iter().filter(|piece| piece.shapes.iter().any(|(size, _)| size.is_some())) {
        let has = |size: &&String| piece.shapes.iter().any(|(s, _)| s.as_ref() == Some(size));
        let lacks: Vec<&str> = pattern.sizes.iter().filter(|size| !has(size)).map(String::as_str).collect();
        if !lacks.is_empty() {
            notes.warn_of(&piece.name, WarningKind::LacksSizes(lacks.join(", ")));
        }
    }
}

/// The kind of a file by its first bytes.
fn format_of(bytes: &[u8]) -> Result<Format, ImportError> {
    if bytes.len() > MAX_BYTES {
        return Err(ImportError::TooLarge { bytes: bytes.len(), most: MAX_BYTES });
    }
    let other = |what, remedy| Err(ImportError::OtherKind { what, remedy });
    match bytes {
        [0x1f, 0x8b, ..] => return other("a compressed file", "unpack it, or save it as plain SVG"),
        [b'P', b'K', ..] => return other("an archive", "unpack it and import the files in it"),
        [b'%', b'P', b'D', b'F', ..] => {
            return other("a PDF", "open it in a vector editor and save it as SVG, at true size");
        }
        _ if bytes.starts_with(b"AutoCAD Binary DXF") => {
            return other("a binary DXF file", "save it as ASCII DXF");
        }
        _ if bytes.starts_with(b"AutoCAD DXB") => return other("a DXB file", "save it as ASCII DXF"),
        _ if bytes.starts_with(b"AC10") => return other("a DWG file", "save it as ASCII DXF"),
        [b'{' | b'[', ..] => return other("JSON", "a job file needs no import; lay it as it is"),
        _ => {}
    }
    let head = text::decode(&bytes[..bytes.len().min(4096)], None)?.text;
    if head.trim_start().starts_with('<') {
        return Ok(Format::Svg);
    }
    let mut lines = head.lines().map(str::trim).filter(|line| !line.is_empty());
    match (lines.next(), lines.next()) {
        (Some("0"), Some("SECTION" | "EOF")) | (Some("999"), _) => Ok(Format::Dxf),
        (Some(first), _) if csv::looks_like_a_table(first) => Ok(Format::Csv),
        _ => Err(ImportError::UnknownKind),
    }
}
