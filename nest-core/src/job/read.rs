//! [`Job::read`](super::Job::read): from the text of a job file to a job, or to everything that is wrong with it.

use std::fmt;
use std::str::FromStr;

use serde::de::DeserializeOwned;

use super::Job;
use super::file::{JobFile, VERSION, VersionProbe};
use super::limits::MAX_FILE_BYTES;
use super::problem::{Problem, ProblemKind, printable};
use super::resolve::resolve;

/// Why a text is not a job.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ReadError {
    /// Not JSON, or not in the form of a job file; reading stops at the first such fault.
    #[error(transparent)]
    Syntax(#[from] SyntaxError),
    /// The form is right and the meaning is not: every problem found, in the order of the file. One problem can hide
    /// another: what lies in an outline that cannot be read is not looked at.
    #[error("{}", Lines(.0))]
    Problems(Vec<Problem>),
}

/// A fault in the form of a job file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SyntaxError {
    /// The line, from 1.
    pub line: usize,
    /// The character in the line, from 1.
    pub column: usize,
    /// The path inside the file, such as `pieces[3].cut`; empty at the top and where the text is not JSON.
    pub place: String,
    /// What is wrong, what was expected, and how to mend it.
    pub message: String,
}

impl std::error::Error for SyntaxError {}

impl fmt::Display for SyntaxError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = if self.place.is_empty() { String::new() } else { format!("{}: ", self.place) };
        let message = printable(&format!("{place}{}", self.message));
        write!(f, "{message} (line {}, column {})", self.line, self.column)
    }
}

struct Lines<'a>(&'a [Problem]);

impl fmt::Display for Lines<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        /// A page of problems; mending these usually mends the rest.
        const SHOWN: usize = 50;
        for (i, problem) in self.0.iter().take(SHOWN).enumerate() {
            write!(f, "{}{problem}", if i > 0 { "\n" } else { "" })?;
        }
        let untold = self.0.iter().skip(SHOWN).map(|problem| match problem.kind {
            ProblemKind::More(count) => count,
            _ => 1,
        });
        match untold.sum::<usize>() {
            0 => Ok(()),
            more => write!(f, "\nand {more} more"),
        }
    }
}

impl Job {
    /// Reads a job from the text of a job file.
    ///
    /// # Frame and units
    /// Lengths are brought to the grid, rounded to the nearest 0.01 mm; curves become chords within the file's tolerance;
    /// each piece is turned so that its grainline runs along +x and moved so that its outline's box begins at the origin,
    /// and its corners are rounded once, after turning (see [`PieceShape`](crate::piece::PieceShape)). Where the file's y
    /// points down, all is flipped first.
    ///
    /// # Errors
    /// [`ReadError::Syntax`] with line and column when the text is not in the form of a job file; otherwise
    /// [`ReadError::Problems`] with every fault in the meaning, each with its place in the file and the way to mend it.
    ///
    /// # Complexity
    /// O(text + n log n) in the points of the outlines, on ordinary ones; bounded by the [`limits`](super::limits).
    ///
    /// # Example
    /// ```
    /// use nest_core::job::{Job, ReadError};
    ///
    /// let text = r#"{
    ///     "version": 1,
    ///     "units": "cm",
    ///     "pieces": [{
    ///         "id": "skirt-front",
    ///         "outline": [[0, 0], [62, 0], [62, 26], [0, 31]],
    ///         "fold_edge": [[0, 0], [62, 0]],
    ///         "seam_allowance": 1.5
    ///     }],
    ///     "cloths": [{ "width": 150 }]
    /// }"#;
    /// let job = Job::read(text)?;
    /// let front = &job.style.pieces[0].shapes["one"];
    /// // Half of the front with 1.5 cm at hem, side and waist, none along the fold: 65 cm along the grain.
    /// assert_eq!(front.outline.bounds().width(), 65_000);
    /// assert_eq!(front.full.doubled_area(), 2 * front.outline.doubled_area());
    ///
    /// let error = Job::read(&text.replace("[62, 0]],", "[62, 31]],")).unwrap_err();
    /// assert!(matches!(&error, ReadError::Problems(problems) if problems[0].place == "pieces[0].fold_edge"));
    /// # Ok::<(), ReadError>(())
    /// ```
    pub fn read(text: &str) -> Result<Job, ReadError> {
        resolve(&text.parse()?).map_err(ReadError::Problems)
    }

    /// The job that a file already taken apart describes; otherwise as [`Job::read`].
    ///
    /// # Errors
    /// Every fault in its meaning.
    pub fn of_file(file: &JobFile) -> Result<Job, Vec<Problem>> {
        resolve(file)
    }

    /// Reads a job from the bytes of a job file, which are UTF-8; otherwise as [`Job::read`].
    ///
    /// # Errors
    /// As [`Job::read`], and a [`ReadError::Syntax`] at the first byte that is not text.
    pub fn read_bytes(bytes: &[u8]) -> Result<Job, ReadError> {
        within_size(bytes.len())?;
        match std::str::from_utf8(bytes) {
            Ok(text) => Job::read(text),
            Err(error) => {
                let valid = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
                let line = valid.lines().count().max(1);
                let column = valid.lines().last().map_or(0, |last| last.chars().count()) + 1;
                let message = "this is not text: a job file is JSON, saved as UTF-8".to_owned();
                Err(SyntaxError { line, column, place: String::new(), message }.into())
            }
        }
    }
}

impl FromStr for JobFile {
    type Err = ReadError;

    /// The form alone: JSON with the fields of a job file of version 1.
    fn from_str(text: &str) -> Result<JobFile, ReadError> {
        within_size(text.len())?;
        let text = unmarked(text);
        // Another version has other fields: say so before complaining of the first of them.
        if let Ok(VersionProbe { version }) = serde_json::from_str(text)
            && version != f64::from(VERSION)
        {
            return Err(problem("version", ProblemKind::Version(version)));
        }
        Ok(strictly(text, "a job")?)
    }
}

/// A text without the byte order mark that some editors put first, which JSON does not know.
pub fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// A file of ours, with every field known and nothing after it; `what` it is, with its article, is for messages.
pub(crate) fn strictly<T: DeserializeOwned>(text: &str, what: &str) -> Result<T, SyntaxError> {
    let mut deserializer = serde_json::Deserializer::from_str(text);
    let file = serde_path_to_error::deserialize(&mut deserializer)
        .map_err(|e| (place(e.path()), e.into_inner()))
        .and_then(|file| deserializer.end().map(|()| file).map_err(|e| (String::new(), e)));
    file.map_err(|(place, error)| complaint(text, what, place, &error))
}

fn within_size(bytes: usize) -> Result<(), ReadError> {
    if bytes > MAX_FILE_BYTES {
        let (count, most) = (bytes as u64, MAX_FILE_BYTES as u64);
        return Err(problem("", ProblemKind::TooMany { what: "bytes", count, most }));
    }
    Ok(())
}

fn problem(place: &str, kind: ProblemKind) -> ReadError {
    ReadError::Problems(vec![Problem { place: place.to_owned(), of: None, kind }])
}

fn place(path: &serde_path_to_error::Path) -> String {
    match path.to_string() {
        root if root == "." => String::new(),
        place => place,
    }
}

/// A fault as serde tells it, in our words.
fn complaint(text: &str, what: &str, place: String, error: &serde_json::Error) -> SyntaxError {
    let told = error.to_string();
    let told = told.rsplit_once(" at line ").map_or(&*told, |(what, _)| what);
    let begin = text.trim_start();
    let at = |place: String, message: String| SyntaxError {
        line: error.line().max(1),
        column: error.column().max(1),
        place,
        message,
    };
    let nowhere = String::new();
    if begin.is_empty() {
        at(nowhere, format!("the file is empty: write {what}, beginning with {{"))
    } else if !begin.starts_with('{') {
        let name = what.split_once(' ').map_or(what, |(_, name)| name);
        at(nowhere, format!("this is no {name} file: write a JSON object, beginning with {{"))
    } else if error.is_data() {
        at(place, form_complaint(told))
    } else if told == "number out of range" {
        at(place, "the number is too large for any use: write a smaller one".to_owned())
    } else if told == "trailing characters" && !place.is_empty() {
        // Said of an array that is not over when it should be.
        at(
            place,
            "there are more entries than are wanted: write a point as [x, y], a line as two points"
                .to_owned(),
        )
    } else {
        at(nowhere, format!("this is not JSON: {}", json_complaint(told, around(text, error))))
    }
}

/// A few characters of the text from just before the fault.
fn around<'a>(text: &'a str, error: &serde_json::Error) -> &'a str {
    let line = text.lines().nth(error.line().saturating_sub(1)).unwrap_or("");
    // Serde counts bytes, and a fault may stand in the middle of a character.
    let column = error.column().saturating_sub(2).min(line.len());
    line.get(column..).unwrap_or("")
}

/// What is wrong with valid JSON that has not the form of a job file.
fn form_complaint(told: &str) -> String {
    let split = |prefix: &str| told.strip_prefix(prefix).and_then(|rest| rest.rsplit_once(", expected "));
    let out_of_range = || split("invalid value: ").filter(|(found, _)| found.starts_with("integer"));
    if let Some((found, wanted)) = split("invalid type: ").or_else(out_of_range) {
        let wanted = in_words(wanted);
        return format!("{} stands where {wanted} is wanted: write {wanted}", in_words(found));
    }
    if let Some((found, wanted)) = split("invalid length ") {
        let entries = if found == "1" { "entry" } else { "entries" };
        return format!("it has {found} {entries}: write {}", in_words(wanted));
    }
    let remedy = match told.split('`').next().unwrap_or("") {
        "unknown field " => "correct its spelling, or take it out",
        "unknown variant " => "write one of those",
        "missing field " => "add it",
        "duplicate field " => "keep one of the two",
        _ if told.starts_with("more than ") => "divide the job",
        _ => "correct it",
    };
    format!("{told}: {remedy}")
}

/// What serde calls a kind of value, in the words of JSON.
fn in_words(kind: &str) -> String {
    let (word, rest) = kind.split_at(kind.find(['`', '"']).unwrap_or(kind.len()));
    let word = match word.trim_end() {
        "f64" => "a number",
        "u32" | "u64" => "a whole number from 0 up",
        "sequence" | "a sequence" => "an array",
        "an array of length 2" => "two entries in [ ]",
        "map" | "a map" => "an object",
        "integer" | "floating point" => "the number ",
        "string" => "the text ",
        "boolean" => "the value ",
        other => other,
    };
    format!("{word}{rest}")
}

/// What is wrong with a text that is not JSON.
fn json_complaint(told: &str, around: &str) -> String {
    let near: String = around.chars().take(10).collect();
    if ["NaN", "nan", "Inf", "inf"].iter().any(|word| near.contains(word)) {
        return "there is no such number in JSON: write a finite one in figures".to_owned();
    }
    if let Some(inside) = told.strip_prefix("EOF while parsing ") {
        return format!("the file ends inside {inside}: complete it, and close every bracket and quote");
    }
    let near = near.trim_start_matches(|c: char| c.is_whitespace() || "[{:,".contains(c));
    let remedy = match told {
        "recursion limit exceeded" => "brackets are nested far deeper than in any job; take them out",
        "trailing comma" => "take out the comma before the closing bracket",
        "trailing characters" => "take out what follows the closing brace",
        _ if near.starts_with('\'') => "write names and texts in double quotes",
        _ if near.starts_with('/') || near.starts_with('#') => "JSON has no comments; take them out",
        "key must be a string" => "write field names in double quotes",
        _ if told.starts_with("expected `,`") => {
            "put in the comma or the bracket that is missing before this"
        }
        _ => "correct it",
    };
    format!("{told}: {remedy}")
}
