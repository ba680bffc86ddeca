//! [`ImportError`]: why a file as a whole is no pattern; [`LeftOut`]: why one piece of it could not be read.

use std::fmt;

/// Why nothing can be taken from a file. Each message says what, where, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ImportError {
    /// No bytes, or blanks alone.
    #[error("the file is empty: export the pattern again")]
    Empty,
    /// More bytes than can be handled.
    #[error("the file has more than {most} bytes, which is the most that can be handled: divide the pattern")]
    TooLarge {
        /// How many there are.
        bytes: usize,
        /// How many there may be.
        most: usize,
    },
    /// A kind of file that is known, and known not to serve.
    #[error("this is {what}: {remedy}")]
    OtherKind {
        /// What it is.
        what: &'static str,
        /// What to do.
        remedy: &'static str,
    },
    /// Nothing that is known.
    #[error("this is neither SVG nor DXF nor a table of points: export the pattern in one of these forms")]
    UnknownKind,
    /// XML that cannot be read.
    #[error(
        "line {line}, column {column}: this is not well-formed XML ({what}): export the drawing again, or mend it there"
    )]
    Xml {
        /// From 1.
        line: u32,
        /// From 1.
        column: u32,
        /// In the words of the XML reader.
        what: String,
    },
    /// XML whose entities could grow without bound, or that lie outside the file.
    #[error(
        "the document {0}: nothing outside the file is read and entities may only be short texts; save it as plain SVG"
    )]
    Entities(&'static str),
    /// XML that is not SVG.
    #[error("the document's outermost element is <{0}>, not <svg>: export the pattern as SVG")]
    NotSvg(String),
    /// Groups in groups.
    #[error("line {line}: groups are nested more than {most} deep: ungroup them")]
    TooDeep {
        /// From 1.
        line: u32,
        /// How deep they may be.
        most: usize,
    },
    /// More of something than can be handled.
    #[error("the file holds more than {most} {what}: divide the pattern, or leave out what is not needed")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there may be.
        most: usize,
    },
    /// A line of a DXF file that is not what it must be.
    #[error("line {line}: {what}: export the file again as ASCII DXF, or mend it there")]
    Dxf {
        /// From 1.
        line: usize,
        /// What is wrong.
        what: String,
    },
    /// A row of a table that is not what it must be.
    #[error("line {line}: {what}")]
    Table {
        /// From 1.
        line: u64,
        /// What is wrong and how to mend it.
        what: String,
    },
    /// Pieces that are well each by itself and too much together.
    #[error("the pieces together are more than a job can be: {0}")]
    NoJob(String),
    /// A file in which there is no piece.
    #[error("there is no piece in the file: {0}")]
    NoPieces(&'static str),
}

/// A piece that could not be read; the others could.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The piece and where it is in the file.
    pub place: String,
    /// Why, and how to mend it.
    pub reason: String,
}

impl fmt::Display for LeftOut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place, self.reason)
    }
}
