//! A checked marker made ready for the cutting table: the laying guide, and files for paper, projector, plotter and cutter.
//!
//! Everything here takes a [`Checked`] marker and returns text or bytes; nothing touches a file.
//! The same marker gives the same bytes on every machine: no clock, no fonts but those built in.
//!
//! PDF and PNG need the feature `print`, whose crates are heavy to build.

pub mod dxf;
pub mod guide;
pub mod hpgl;

#[cfg(feature = "print")]
pub mod pdf;
#[cfg(feature = "print")]
pub mod png;

#[cfg(feature = "print")]
mod face;
#[cfg_attr(not(feature = "print"), allow(dead_code, reason = "only printed pages use all of it"))]
mod lines;
mod linework;
#[cfg_attr(not(feature = "print"), allow(dead_code, reason = "only printed pages use all of it"))]
mod paper;
mod route;
#[cfg(feature = "print")]
mod searchable;
#[cfg_attr(not(feature = "print"), allow(dead_code, reason = "only printed pages use all of it"))]
mod sheet;

#[cfg(test)]
mod cut_tests;
#[cfg(all(test, feature = "print"))]
mod print_tests;

pub use paper::Paper;

use crate::check::Checked;
use crate::job::Job;

/// Words in plain ASCII, for machines that know no other letters.
fn ascii(words: &str) -> String {
    deunicode::deunicode_with_tofu(words, "?").chars().filter(|c| (' '..='~').contains(c)).collect()
}

/// Why something cannot be printed.
#[cfg(feature = "print")]
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PrintFault {
    /// The library that reads drawings or writes pages gave up.
    #[error("the drawing cannot be printed: {0}; use the SVG or the DXF file instead")]
    Drawing(String),
    /// The picture would be too large.
    #[error("the lay is too long for a picture at this scale: ask for a PDF or an SVG file instead")]
    TooManyPixels,
}

/// What a projector shows, as SVG at true size: white lines on black over a grid to set it by.
pub fn projector_svg(job: &Job, checked: &Checked) -> String {
    sheet::projector(job, checked).svg()
}

/// The characters of a text that the built-in face cannot show: they come out as empty boxes on printed pages.
#[cfg(feature = "print")]
pub fn not_in_face(text: &str) -> Vec<char> {
    face::missing(text)
}
