//! A comparison as one web page: complete in itself, well-formed as XML too, readable in black and white and on paper.
//!
//! Nothing is fetched: a policy in the head forbids it. The page works from a file; without scripts all is there but the
//! sorting.

mod chart;
mod drawings;
mod tables;

use std::fmt::Write as _;

use super::result::Comparison;
use super::text::KEY_WORDS;
use crate::draw::ink::FONTS;
use crate::draw::lettering::clean;

const STYLE: &str = include_str!("style.css");
const SCRIPT: &str = include_str!("sort.js");

/// Allows what is in the page and nothing from anywhere else.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

impl Comparison {
    /// The comparison as a web page. The same comparison gives the same bytes.
    pub fn html(&self) -> String {
        let Some(first) = self.columns.first() else { return page("Nothing to compare", "") };
        let title = format!("{}: the cloth \"{}\" compared", first.case.job.name, first.case.cloth().kind);
        let mut body = String::new();
        tables::verdicts(&mut body, self);
        for (i, block) in self.blocks().iter().enumerate() {
            tables::matrix(&mut body, self, block);
            if i == 0 {
                // Beside the first words that it explains, on paper on the same page.
                let _ = writeln!(body, "<p class=\"key\">{}</p>", escaped(KEY_WORDS));
            }
            if block.len() > 1 {
                chart::chart(&mut body, self, block);
            }
        }
        tables::to_make_it_fit(&mut body, self);
        tables::nap(&mut body, self);
        tables::cells(&mut body, self);
        tables::refusals(&mut body, self);
        drawings::drawings(&mut body, self);
        let _ = writeln!(
            body,
            "<p class=\"foot\">Every figure is that of a marker that passed the check. {} rounds in all, seed {}, lanes {}.</p>",
            self.rounds, self.settings.seed, self.settings.lanes
        );
        page(&title, &body)
    }
}

fn page(title: &str, body: &str) -> String {
    let title = escaped(title);
    format!(
        "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>{title}</title>\n\
         <style>\nbody {{ font-family: {FONTS}; }}\n{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n{body}</main>\n\
         <script>\n{SCRIPT}</script>\n</body>\n</html>\n"
    )
}

/// Words made safe for the page.
fn escaped(words: &str) -> String {
    clean(words).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// The name of a drawing on the page.
fn anchor(column: usize, cell: usize) -> String {
    format!("lay-{}-{}", column + 1, cell + 1)
}
