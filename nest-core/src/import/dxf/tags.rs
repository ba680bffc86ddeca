//! DXF as pairs of a group code and a value, screened: faults with their line, and only what a pattern needs goes on.
//!
//! The `dxf` crate makes entities of the pairs. It is given one block at a time, and of each entity only the kinds and the
//! codes that are read here: so memory is bounded by the largest block, what it does not need to see cannot trouble it, and a
//! number that is none is told with its line instead of ending the list of entities.

use std::fmt::Write;

use crate::import::fault::ImportError;
use crate::import::limits::{MAX_BLOCK_ENTITIES, MAX_BLOCKS};

/// A file taken apart into blocks of text.
pub(super) struct File<'a> {
    header: Vec<(&'a str, &'a str)>,
    pub(super) blocks: Vec<RawBlock<'a>>,
    /// The entities outside all blocks.
    pub(super) entities: RawBlock<'a>,
}

/// The pairs of one block, not yet read.
#[derive(Clone, Debug, Default)]
pub(super) struct RawBlock<'a> {
    pub(super) name: String,
    /// The line with which its text begins, from 1.
    line: usize,
    text: &'a str,
}

#[derive(Clone, Copy, Debug)]
struct Pair<'a> {
    /// The line of the code, from 1.
    line: usize,
    code: i32,
    value: &'a str,
    /// Where in the text the pair begins.
    start: usize,
}

/// Reads pairs from the lines of a text.
struct Pairs<'a> {
    text: &'a str,
    at: usize,
    line: usize,
}

impl<'a> Pairs<'a> {
    fn next_line(&mut self) -> Option<&'a str> {
        let rest = &self.text[self.at..];
        if rest.is_empty() {
            return None;
        }
        let end = rest.find('\n').unwrap_or(rest.len());
        self.at = (self.at + end + 1).min(self.text.len());
        self.line += 1;
        Some(rest[..end].strip_suffix('\r').unwrap_or(&rest[..end]))
    }

    /// The next pair, or nothing at the end of the text. Empty lines at the end are no pair.
    fn next(&mut self) -> Result<Option<Pair<'a>>, ImportError> {
        let start = self.at;
        let Some(code) = self.next_line() else {
            return Ok(None);
        };
        let line = self.line;
        if code.trim().is_empty() && self.text[self.at..].trim().is_empty() {
            return Ok(None);
        }
        let code = code.trim().parse::<i32>().map_err(|_| {
            fault(
                line,
                format!("a group code is wanted, a whole number, and \"{}\" stands there", shortened(code)),
            )
        })?;
        let Some(value) = self.next_line() else {
            return Err(fault(line, format!("the file ends after group code {code}; it was cut off")));
        };
        Ok(Some(Pair { line, code, value, start }))
    }
}

fn fault(line: usize, what: impl Into<String>) -> ImportError {
    ImportError::Dxf { line, what: what.into() }
}

fn unended(block: &RawBlock<'_>) -> ImportError {
    fault(block.line.saturating_sub(2), "a block begins here and does not end")
}

fn shortened(text: &str) -> String {
    text.trim().chars().filter(|c| !c.is_control()).take(30).collect()
}

impl<'a> File<'a> {
    /// Takes a file apart.
    ///
    /// # Errors
    /// With its line, whatever is no pair, and a section or a block that does not end.
    ///
    /// # Complexity
    /// O(text).
    pub(super) fn read(text: &'a str) -> Result<File<'a>, ImportError> {
        let mut file = File { header: Vec::new(), blocks: Vec::new(), entities: RawBlock::default() };
        let mut pairs = Pairs { text, at: 0, line: 0 };
        let mut ended = false;
        while let Some(pair) = pairs.next()? {
            match (pair.code, pair.value.trim()) {
                // A comment.
                (999, _) => {}
                (0, "SECTION") => file.section(&mut pairs, pair.line)?,
                (0, "EOF") => {
                    ended = true;
                    break;
                }
                (0, "ENDSEC") => {}
                (code, value) => {
                    let what = format!(
                        "a section is wanted, and group {code} \"{}\" stands there",
                        shortened(value)
                    );
                    return Err(fault(pair.line, what));
                }
            }
        }
        if !ended && file.blocks.is_empty() && file.entities.text.is_empty() {
            return Err(fault(pairs.line, "the file ends without blocks or entities; it was cut off"));
        }
        Ok(file)
    }

    /// The value of a header variable.
    pub(super) fn header(&self, name: &str) -> Option<&'a str> {
        self.header.iter().find(|(n, _)| *n == name).map(|(_, value)| *value)
    }

    fn section(&mut self, pairs: &mut Pairs<'a>, line: usize) -> Result<(), ImportError> {
        let Some(name) = pairs.next()?.filter(|pair| pair.code == 2) else {
            return Err(fault(line, "a section begins here without a name"));
        };
        let name = name.value.trim();
        let begin = (pairs.at, pairs.line + 1);
        let mut variable = None;
        let mut block: Option<RawBlock<'a>> = None;
        while let Some(pair) = pairs.next()? {
            let value = pair.value.trim();
            match (name, pair.code, value) {
                (_, 0, "ENDSEC") => {
                    if let Some(block) = block {
                        return Err(unended(&block));
                    }
                    if name == "ENTITIES" && self.entities.text.is_empty() {
                        let text = &pairs.text[begin.0..pair.start];
                        self.entities = RawBlock { name: String::new(), line: begin.1, text };
                    }
                    return Ok(());
                }
                ("HEADER", 9, name) => variable = Some(name),
                ("HEADER", _, value) => {
                    // Some variables are points; their first number is enough.
                    if let Some(name) = variable.take() {
                        self.header.push((name, value));
                    }
                }
                ("BLOCKS", 0, "BLOCK") => {
                    if let Some(block) = block {
                        return Err(unended(&block));
                    }
                    block = Some(RawBlock {
                        name: String::new(),
                        line: pairs.line + 1,
                        text: &pairs.text[pairs.at..],
                    });
                }
                ("BLOCKS", 2, value) => {
                    if let Some(block) = block.as_mut().filter(|block| block.name.is_empty()) {
                        block.name = value.to_owned();
                    }
                }
                ("BLOCKS", 0, "ENDBLK") => {
                    if let Some(mut block) = block.take() {
                        // From the block's own pairs to here.
                        let length = block.text.len() - (pairs.text.len() - pair.start);
                        block.text = &block.text[..length];
                        self.blocks.push(block);
                    }
                    if self.blocks.len() > MAX_BLOCKS {
                        return Err(ImportError::TooMany { what: "blocks", most: MAX_BLOCKS });
                    }
                }
                _ => {}
            }
        }
        Err(fault(
            line,
            format!("the section {} begins here and does not end; the file was cut off", shortened(name)),
        ))
    }
}

/// The entities of a block, ready for the `dxf` crate, and where each stands.
pub(super) struct Screened {
    /// A DXF file of one section.
    pub(super) text: String,
    /// The lines of the entities, without vertices and ends of sequences.
    pub(super) lines: Vec<usize>,
    /// Kinds passed over, and how many of each.
    pub(super) passed: std::collections::BTreeMap<String, usize>,
}

/// The kinds that draw or say something.
const KINDS: [&str; 13] = [
    "LINE",
    "POLYLINE",
    "VERTEX",
    "SEQEND",
    "LWPOLYLINE",
    "POINT",
    "TEXT",
    "MTEXT",
    "ARC",
    "CIRCLE",
    "ELLIPSE",
    "SPLINE",
    "INSERT",
];

impl RawBlock<'_> {
    /// Screens the block's entities.
    ///
    /// # Errors
    /// With its line, a number that is none; and more entities than the limit.
    pub(super) fn screened(&self) -> Result<Screened, ImportError> {
        let mut pairs = Pairs { text: self.text, at: 0, line: self.line.saturating_sub(1) };
        let mut screened = Screened {
            text: "0\nSECTION\n2\nENTITIES\n".to_owned(),
            lines: Vec::new(),
            passed: Default::default(),
        };
        let mut count = 0;
        let mut kind = "";
        let mut has_vertex = false;
        while let Some(pair) = pairs.next()? {
            if pair.code == 0 {
                kind = pair.value.trim();
                has_vertex = false;
                if !KINDS.contains(&kind) {
                    if screened.passed.len() < 20 || screened.passed.contains_key(kind) {
                        *screened.passed.entry(shortened(kind)).or_insert(0) += 1;
                    }
                    kind = "";
                    continue;
                }
                count += 1;
                if count > MAX_BLOCK_ENTITIES {
                    return Err(ImportError::TooMany {
                        what: "entities in one block",
                        most: MAX_BLOCK_ENTITIES,
                    });
                }
                if !matches!(kind, "VERTEX" | "SEQEND") {
                    screened.lines.push(pair.line);
                }
                screened.put(0, kind);
                continue;
            }
            if kind.is_empty() {
                continue;
            }
            has_vertex |= pair.code == 10;
            if let Some(value) = wanted(kind, &pair, has_vertex)? {
                screened.put(pair.code, &value);
            }
        }
        screened.text.push_str("0\nENDSEC\n0\nEOF\n");
        Ok(screened)
    }
}

impl Screened {
    fn put(&mut self, code: i32, value: &str) {
        // Writing to a string does not fail.
        let _ = write!(self.text, "{code}\n{value}\n");
    }
}

/// The value of a pair that goes on, as it is to be written.
fn wanted(kind: &str, pair: &Pair<'_>, has_vertex: bool) -> Result<Option<String>, ImportError> {
    let is_text = matches!(kind, "TEXT" | "MTEXT");
    match pair.code {
        8 => Ok(Some(escaped(pair.value.trim()))),
        1 | 3 if is_text => Ok(Some(escaped(pair.value))),
        2 if kind == "INSERT" => Ok(Some(escaped(pair.value.trim()))),
        // A vertex of this kind begins with its x; what comes before would belong to none.
        20 | 40..=42 if kind == "LWPOLYLINE" && !has_vertex => Ok(None),
        10..=39 | 40..=43 | 50 | 51 | 210 | 220 | 230 => {
            // Numbers with a decimal comma are written by programs that follow the computer's language.
            let text = pair.value.trim();
            let number = text.parse::<f64>().or_else(|_| text.replace(',', ".").parse::<f64>());
            match number {
                Ok(number) if number.is_finite() && number.abs() < 1e12 => Ok(Some(format!("{number:?}"))),
                _ => Err(fault(
                    pair.line + 1,
                    format!(
                        "a number is wanted for group {}, and \"{}\" stands there",
                        pair.code,
                        shortened(text)
                    ),
                )),
            }
        }
        // How many knots and points a spline claims to have is counted, not believed.
        72..=74 if kind == "SPLINE" => Ok(None),
        66 | 67 | 70 | 71 => {
            let number = pair.value.trim().parse::<i16>();
            let fault = |_| {
                let what = format!(
                    "a small whole number is wanted for group {}, and \"{}\" stands there",
                    pair.code,
                    shortened(pair.value)
                );
                fault(pair.line + 1, what)
            };
            number.map(|number| Some(number.to_string())).map_err(fault)
        }
        _ => Ok(None),
    }
}

/// A text in ASCII: other characters as the format's own escapes, which the `dxf` crate undoes.
fn escaped(text: &str) -> String {
    let mut ascii = String::new();
    for c in text.chars() {
        match c {
            ' '..='~' => ascii.push(c),
            c if c.is_control() => ascii.push(' '),
            c if (c as u32) < 0x10000 => {
                let _ = write!(ascii, "\\U+{:04X}", c as u32);
            }
            _ => ascii.push('?'),
        }
    }
    ascii
}
