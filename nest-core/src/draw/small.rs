//! A marker without title and key, for a place where several are shown side by side on one page.

use svg::node::element::{Group, SVG};

use super::ink::{self, mm};
use super::lettering;
use super::sheet::Sheet;
use super::{cloth, piece, ruler};
use crate::check::Checked;
use crate::job::Job;
use crate::length::Length;

/// An `svg` element to set into a page.
#[derive(Clone, Debug, PartialEq)]
pub struct SmallDrawing {
    /// The element; it has a view box in millimetres and no size of its own.
    pub svg: String,
    /// Width of the view box.
    pub width_mm: f64,
    /// Height of the view box.
    pub height_mm: f64,
}

/// Draws a marker that has passed `job`'s check: cloth, pieces and rulers. Words are sized for half a page's width that
/// holds a lay as long as `longest`. Names inside the drawing begin with `name`, which must be a name by itself (letters,
/// digits, dashes) and another for each drawing of a page.
///
/// # Panics
/// When the marker was checked against another job and names a piece or a size that this one does not have.
pub fn draw_small(job: &Job, checked: &Checked, longest: Length, name: &str) -> SmallDrawing {
    let marker = checked.marker();
    // Half of a screen or of a printed page shows some forty characters beside one another.
    let text = (longest.mm() / 42.0).max(3.0);
    let mut sheet = Sheet::with_text(&marker.spread, text);
    sheet.put_lay_first();
    let mut draughtsman = piece::Pieces::new(&sheet, job, &marker.cloth);
    let mut pieces = Group::new().set("id", "pieces");
    for (n, placement) in marker.placements.iter().enumerate() {
        pieces = pieces.add(draughtsman.drawn(n, placement));
    }
    let edged = cloth::shows_flaws(job, marker) || cloth::shows_edge(job, marker);
    let title = format!("{}: {}, {}", job.name, marker.cloth, marker.spread.title());
    let svg = SVG::new()
        .set("viewBox", format!("0 0 {} {}", mm(sheet.width()), mm(sheet.height())))
        .set("font-family", ink::FONTS)
        .set("role", "img")
        .add(lettering::told("title", &title))
        .add(ink::definitions(&sheet, marker, edged))
        .add(cloth::cloth(&sheet, job, marker))
        .add(ruler::rulers(&sheet, job.unit))
        .add(pieces);
    SmallDrawing { svg: named(&svg.to_string(), name), width_mm: sheet.width(), height_mm: sheet.height() }
}

/// Puts `name` before every name inside the drawing, and wherever it is referred to.
fn named(svg: &str, name: &str) -> String {
    let mut told = String::with_capacity(svg.len() + svg.len() / 8);
    for (i, part) in svg.split('<').enumerate() {
        if i > 0 {
            told.push('<');
        }
        // Words between tags stay as they are, whatever they say.
        let (tag, words) = part.split_at(part.find('>').unwrap_or(0));
        let tag = ["id=\"", "href=\"#", "url(#"]
            .into_iter()
            .fold(tag.to_owned(), |tag, mark| tag.replace(&format!(" {mark}"), &format!(" {mark}{name}-")))
            .replace("=\"url(#", &format!("=\"url(#{name}-"));
        told.push_str(&tag);
        told.push_str(words);
    }
    told
}

#[cfg(test)]
mod small_tests {
    use super::*;
    use crate::check::check;
    use crate::invented;
    use std::collections::BTreeSet;

    #[test]
    fn drawings_on_one_page_have_names_of_their_own() {
        for (name, job, marker) in invented::good_markers() {
            let checked = check(&job, &marker).expect("a good marker");
            let longest = marker.spread.lay_length();
            let [a, b] = ["one", "two"].map(|n| draw_small(&job, &checked, longest, n).svg);
            let page = format!("<page>{a}{b}</page>");
            let page = roxmltree::Document::parse(&page).unwrap_or_else(|e| panic!("{name}: {e}"));
            let mut names = BTreeSet::new();
            for node in page.descendants() {
                if let Some(id) = node.attribute("id") {
                    assert!(names.insert(id.to_owned()), "{name}: {id} twice");
                }
            }
            let mut used = 0;
            for node in page.descendants() {
                for attribute in node.attributes() {
                    let value = attribute.value();
                    let target = match attribute.name() {
                        "href" => value.strip_prefix('#'),
                        _ => value.strip_prefix("url(#"),
                    };
                    let Some(target) = target else { continue };
                    assert!(names.contains(target.trim_end_matches(')')), "{name}: {target} is not there");
                    used += 1;
                }
            }
            assert!(used > 0, "{name}");
            let pieces = page.descendants().filter(|n| n.attribute("class") == Some("piece")).count();
            assert_eq!(pieces, 2 * marker.placements.len(), "{name}");
        }
    }

    #[test]
    fn words_that_look_like_names_stay() {
        let svg = "<text x=\"1\"> id=\"a\"</text><path id=\"a\" clip-path=\"url(#b)\"/><use href=\"#a\"/>";
        let told =
            "<text x=\"1\"> id=\"a\"</text><path id=\"n-a\" clip-path=\"url(#n-b)\"/><use href=\"#n-a\"/>";
        assert_eq!(named(svg, "n"), told);
    }
}
