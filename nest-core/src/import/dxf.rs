//! DXF: patterns by ASTM D6673 and ANSI/AAMA-292, and plain drawings with one closed line for each piece.

mod carry;
mod curves;
mod keys;
mod outline;
mod plain;
mod standard;
mod tags;
mod things;

use super::ImportSettings;
use super::code_page::CodePage;
use super::fault::ImportError;
use super::pattern::Pattern;
use super::warning::{Notes, WarningKind};
use crate::length::Unit;
use tags::File;

/// Reads a DXF file.
///
/// # Errors
/// An [`ImportError`] when nothing can be taken from it.
///
/// # Complexity
/// O(file) for reading, and O(n²) in the lines of one outline for joining them.
pub(super) fn read(text: &str, settings: &ImportSettings, notes: &mut Notes) -> Result<Pattern, ImportError> {
    let file = File::read(text)?;
    match standard::read(&file, settings, notes)? {
        Some(pattern) => Ok(pattern),
        None => plain::read(&file, settings, notes),
    }
}

/// The code page that the file names, if it is one that can be read: `ANSI_1252`, `dos850` and the like.
pub(super) fn named_code_page(bytes: &[u8]) -> Option<CodePage> {
    let head = &bytes[..bytes.len().min(16 << 10)];
    let head: String = head.iter().map(|&b| char::from(b)).collect();
    // Lines end with a carriage return, a line feed or both.
    let head = head.replace("\r\n", "\n").replace('\r', "\n");
    let value = head.split("$DWGCODEPAGE").nth(1)?.lines().nth(2)?.trim().to_uppercase();
    if let Some(number) = value.strip_prefix("DOS") {
        return CodePage::dos(number);
    }
    match value.strip_prefix("ANSI_")? {
        "932" => CodePage::web("shift_jis"),
        "936" => CodePage::web("gbk"),
        "949" => CodePage::web("euc-kr"),
        "950" => CodePage::web("big5"),
        number => CodePage::web(&format!("windows-{number}")),
    }
}

/// The unit that the numbers are in: what is told, else what the file says, else millimetres and a warning.
fn unit(said: Option<(Unit, String)>, settings: &ImportSettings, notes: &mut Notes) -> Unit {
    match (settings.unit, said) {
        (Some(told), Some((unit, said))) => {
            if told != unit {
                notes.warn(WarningKind::UnitsOverridden { said, taken: told.name() });
            }
            told
        }
        (Some(told), None) => told,
        (None, Some((unit, _))) => unit,
        (None, None) => {
            notes.warn(WarningKind::UnitsGuessed(Unit::Mm.name()));
            Unit::Mm
        }
    }
}

/// The unit that the header says (`$INSUNITS`, else `$MEASUREMENT` of 0 for inches; by the DXF reference of 2000 and later).
fn header_unit(file: &File<'_>) -> Option<(Unit, String)> {
    let insertion = file.header("$INSUNITS")?.trim();
    let unit = match insertion {
        "1" => Unit::Inch,
        "4" => Unit::Mm,
        "5" => Unit::Cm,
        "6" => Unit::M,
        "10" => Unit::Yard,
        _ => return None,
    };
    Some((unit, format!("$INSUNITS {insertion}")))
}
