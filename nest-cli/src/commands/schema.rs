//! `nest schema`: the JSON Schema of the job file.

use anyhow::Result;
use nest_core::job::JobFile;

use crate::exit::Exit;

/// Prints the schema.
pub(crate) fn run() -> Result<Exit> {
    let mut text = serde_json::to_string_pretty(&JobFile::schema())?;
    text.push('\n');
    super::print(&text)?;
    Ok(Exit::Done)
}
