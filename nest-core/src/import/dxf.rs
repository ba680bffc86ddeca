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

/// The code page that the file names, if it is one that can be read.
pub(super) fn named_code_page(bytes: &[u8]) -> Option<&'static encoding_rs::Encoding> {
    let head = &bytes[..bytes.len().min(16 << 10)];
    let head: String = head.iter().map(|&b| char::from(b)).collect();
    let value = head.split("$DWGCODEPAGE").nth(1)?.lines().nth(2)?.trim();
    let number = value.to_uppercase().strip_prefix("ANSI_")?.to_owned();
    let label = match number.as_str() {
        "932" => "shift_jis".to_owned(),
        "936" => "gbk".to_owned(),
        "949" => "euc-kr".to_owned(),
        "950" => "big5".to_owned(),
        _ => format!("windows-{number}"),
    };
    encoding_rs::Encoding::for_label(label.as_bytes())
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
