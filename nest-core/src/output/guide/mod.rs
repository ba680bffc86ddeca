//! [`Guide`]: the laying guide, for the person at the table: what is needed, how to fold, what to lay where, what to cut.
//!
//! It is written once, as a document of headings, steps, tables and sketches, and set in several ways: as plain text, as a
//! web page that prints well, and as printed pages. All distances are those of the checked marker, to 1 mm or 1/8 in.

mod checklist;
mod columns;
mod cutting;
mod document;
mod edges;
mod flaws;
mod folding;
mod html;
mod laying;
mod map;
mod naming;
mod needs;
mod order;
#[cfg(feature = "print")]
mod pages;
#[cfg(feature = "print")]
mod printed_table;
mod reading;
mod sketch;
mod text;
mod views;

#[cfg(all(test, feature = "print"))]
mod page_tests;
#[cfg(test)]
mod tests;

use crate::check::Checked;
use crate::job::Job;
use crate::report::cautions_due;
use document::{Block, Document};

#[cfg(feature = "print")]
use super::{Paper, PrintFault};

/// The laying guide of one or more cloths of a job.
pub struct Guide {
    document: Document,
}

impl Guide {
    /// The guide for markers that have passed `job`'s check, one after the other.
    ///
    /// # Panics
    /// When a marker was checked against another job and names a cloth, a piece or a size that this one does not have.
    pub fn new(job: &Job, markers: &[Checked]) -> Guide {
        Guide::of_parts(&job.name, markers.iter().map(|checked| (job, checked)))
    }

    /// The guide for markers of one job of which some are for remnants, each with the job whose check it has passed.
    ///
    /// # Panics
    /// As [`Guide::new`].
    pub fn of_parts<'a>(name: &str, parts: impl IntoIterator<Item = (&'a Job, &'a Checked)>) -> Guide {
        let mut blocks = Vec::new();
        for (i, (job, checked)) in parts.into_iter().enumerate() {
            if i > 0 {
                blocks.push(Block::NewPage);
            }
            blocks.extend(cloth(job, checked));
        }
        Guide { document: Document { title: format!("Laying guide: {name}"), blocks } }
    }

    /// As plain text for a terminal, at most 110 columns wide but for long names. The sketches are left out; the words
    /// say what they show.
    pub fn text(&self) -> String {
        text::text(&self.document)
    }

    /// As a web page that needs nothing but itself, for screen and print.
    pub fn html(&self) -> String {
        html::html(&self.document)
    }

    /// As printed pages, PDF, in black and white: 11-point words that can be searched and copied, sketches at their size.
    ///
    /// # Errors
    /// When a page is too much for the PDF writer.
    #[cfg(feature = "print")]
    pub fn pdf(&self, paper: Paper) -> Result<Vec<u8>, PrintFault> {
        super::pdf::bound(&pages::pages(&self.document, paper), paper)
    }
}

/// The guide for one cloth.
fn cloth(job: &Job, checked: &Checked) -> Vec<Block> {
    let marker = checked.marker();
    let cloth =
        job.cloths.iter().find(|c| c.kind == marker.cloth).expect("a checked marker's cloth is in its job");
    let laid = order::order(job, cloth, marker);
    let part = |words: &str| Block::Heading(2, words.to_owned());

    let mut blocks = vec![Block::Heading(1, format!("Cloth: {}", cloth.kind)), part("1  What is needed")];
    blocks.extend(needs::needs(job, cloth, marker));
    let first = marker.spread.sections[0].family.title();
    blocks.push(Block::Heading(3, format!("Spread the cloth: {first}")));
    blocks.push(Block::Steps(folding::steps(job, cloth, &marker.spread, 0)));
    blocks.push(part("2  Check list of pieces"));
    blocks.extend(checklist::checklist(job, marker, &laid));
    blocks.push(part("3  Lay the pieces in this order"));
    blocks.extend(laying::laying(job, cloth, marker, &laid, 0));
    blocks.push(part("4  Cut"));
    blocks.extend(cutting::cutting(job, cloth, marker, &laid));
    blocks.push(part("5  Mind"));
    blocks.push(Block::Points(cautions_due(job, cloth, marker).iter().map(ToString::to_string).collect()));
    blocks
}
