//! XML made safe: entities that cannot grow, nothing from outside, and faults with their line.

use roxmltree::{Document, ParsingOptions};

use crate::import::fault::ImportError;
use crate::import::limits::{MAX_ENTITY, MAX_XML_NODES};

/// The namespace of SVG.
pub(super) const SVG: &str = "http://www.w3.org/2000/svg";

/// Refuses a document type whose entities could grow without bound or come from outside.
///
/// Drawing programs declare a few short entities for namespaces. Entities within entities double with each level, and a
/// long one that is referred to often multiplies; both are refused before anything is replaced.
pub(super) fn check_entities(text: &str) -> Result<(), ImportError> {
    let Some(start) = text.find("<!DOCTYPE") else {
        return Ok(());
    };
    let (most, longest, most_references) = MAX_ENTITY;
    let declarations: Vec<&str> = text[start..].split("<!ENTITY").skip(1).collect();
    if declarations.is_empty() {
        return Ok(());
    }
    if declarations.len() > most {
        return Err(ImportError::Entities("declares too many entities"));
    }
    for declaration in declarations {
        let head = declaration.split(['"', '\'']).next().unwrap_or("");
        if head.split_whitespace().any(|word| word == "SYSTEM" || word == "PUBLIC") {
            return Err(ImportError::Entities("has entities that lie outside it"));
        }
        let quote = declaration[head.len()..].chars().next().unwrap_or('"');
        let value = declaration[head.len()..].split(quote).nth(1).unwrap_or("");
        if value.len() > longest {
            return Err(ImportError::Entities("has an entity that is longer than any name"));
        }
        if value.contains(['&', '<']) || head.contains('%') {
            return Err(ImportError::Entities("has entities made of other entities or of elements"));
        }
    }
    if text.matches('&').count() > most_references {
        return Err(ImportError::Entities("refers to its entities too often"));
    }
    Ok(())
}

/// Reads the document.
pub(super) fn parse(text: &str) -> Result<Document<'_>, ImportError> {
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MAX_XML_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| match error {
        roxmltree::Error::NodesLimitReached => {
            ImportError::TooMany { what: "elements", most: MAX_XML_NODES as usize }
        }
        error => {
            let at = error.pos();
            let told = error.to_string();
            // The place is told apart from what is wrong.
            let what = told.rsplit_once(" at ").map_or(told.as_str(), |(what, _)| what);
            ImportError::Xml { line: at.row, column: at.col, what: what.chars().take(200).collect() }
        }
    })
}
