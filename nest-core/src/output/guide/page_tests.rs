//! Printed pages: everything is there once, within the margins, and reads back from the PDF.

use lopdf::Document as Pdf;
use roxmltree::{Document, Node};

use super::pages::pages;
use super::{Guide, Paper};
use crate::check::check;
use crate::draw::lettering::{self, Weight};
use crate::invented;
use crate::job::Job;
use crate::marker::Marker;

fn guide(job: &Job, marker: &Marker) -> Guide {
    Guide::new(job, &[check(job, marker).expect("a good marker")])
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).and_then(|value| value.parse().ok()).unwrap_or_else(|| panic!("{name} of {node:?}"))
}

/// Left and right end of a line of words, by the widths of the face that pages are set in.
fn extent(text: Node<'_, '_>) -> (f64, f64) {
    let weight = if text.attribute("font-weight").is_some() { Weight::Bold } else { Weight::Plain };
    let wide = lettering::width(text.text().unwrap_or(""), weight) * number(text, "font-size");
    let x = number(text, "x");
    match text.attribute("text-anchor") {
        Some("end") => (x - wide, x),
        Some(_) => (x - wide / 2.0, x + wide / 2.0),
        None => (x, x + wide),
    }
}

#[test]
fn everything_is_on_the_pages_once_and_within_the_margins() {
    for (name, job, marker) in invented::good_markers() {
        let guide = guide(&job, &marker);
        for paper in [Paper::A4, Paper::Letter] {
            let mut steps = Vec::new();
            let mut figures = 0;
            for page in pages(&guide.document, paper) {
                let page = Document::parse(&page).unwrap();
                let (wide, high) = paper.size();
                let root = page.root_element();
                assert_eq!(root.attribute("width"), Some(format!("{wide}mm").as_str()), "{name}");
                let in_figure =
                    |n: Node<'_, '_>| n.ancestors().any(|a| a.attribute("class") == Some("figure"));
                let texts = page.descendants().filter(|n| n.has_tag_name("text") && !in_figure(*n));
                let mut lowest: f64 = 0.0;
                for text in texts {
                    let (from, to) = extent(text);
                    let words = text.text().unwrap_or("");
                    assert!(from > 14.9 && to < wide - 14.9, "{name}: {words:?} runs from {from} to {to}");
                    lowest = lowest.max(number(text, "y"));
                }
                assert!(lowest <= high - 14.9, "{name}: words at {lowest}");
                for figure in page.descendants().filter(|n| n.attribute("class") == Some("figure")) {
                    figures += 1;
                    assert!(number(figure, "data-width") <= wide - 29.9, "{name}");
                    assert!(number(figure, "data-height") <= high - 35.9, "{name}");
                }
                steps.extend(
                    page.descendants()
                        .filter_map(|n| n.attribute("data-placement"))
                        .map(|n| n.parse::<usize>().expect("a number")),
                );
                // No two cells of a row lie over one another.
                for row in page.descendants().filter(|n| n.has_attribute("data-placement")) {
                    let cells = row.children().filter(|n| n.attribute("class") == Some("cell"));
                    let ranges: Vec<(f64, f64)> = cells
                        .map(|cell| {
                            let lines = cell.children().filter(|n| n.has_tag_name("text")).map(extent);
                            lines.fold((f64::INFINITY, 0.0), |r, e| (r.0.min(e.0), f64::max(r.1, e.1)))
                        })
                        .filter(|r| r.0.is_finite())
                        .collect();
                    assert!(ranges.windows(2).all(|w| w[0].1 <= w[1].0 + 1e-6), "{name}: {ranges:?}");
                }
            }
            steps.sort_unstable();
            assert_eq!(steps, (1..=marker.placements.len()).collect::<Vec<_>>(), "{name}: each piece once");
            assert!(figures >= 3, "{name}: sketches of the folding and a map");
        }
    }
}

#[test]
fn the_pdf_reads_back() {
    for (name, job, marker) in [invented::two_sections(), invented::off_centre_fold()] {
        let bytes = guide(&job, &marker).pdf(Paper::A4).unwrap();
        if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
            std::fs::write(format!("{folder}/guide-{}.pdf", name.replace([' ', ','], "-")), &bytes).unwrap();
        }
        assert!(bytes == guide(&job, &marker).pdf(Paper::A4).unwrap(), "{name}: the same bytes");
        let pdf = Pdf::load_mem(&bytes).unwrap();
        // What is written can be searched and copied.
        let pages: Vec<u32> = pdf.get_pages().keys().copied().collect();
        let said = pdf.extract_text(&pages).unwrap();
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        for words in
            ["Laying guide: ", "Check list of pieces", "every garment gets every piece", "Keep the cut-offs"]
        {
            assert!(said.contains(words), "{name}: {words} is not in {said}");
        }
        for &page in pdf.get_pages().values() {
            let media = pdf.get_dictionary(page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
            let mm = |i: usize| f64::from(media[i].as_float().unwrap()) * 25.4 / 72.0;
            assert!((mm(2) - 210.0).abs() < 0.05 && (mm(3) - 297.0).abs() < 0.05, "{name}: A4 by ISO 216");
        }
    }
}

#[test]
fn the_map_shows_stitching_lines() {
    let (_, mut job, marker) = invented::single();
    assert!(!guide(&job, &marker).html().contains("class=\"stitching\""));
    for piece in &mut job.style.pieces {
        for shape in piece.shapes.values_mut() {
            shape.stitching = Some(shape.outline.points().to_vec());
        }
    }
    let html = guide(&job, &marker).html();
    assert!(html.matches("class=\"stitching\"").count() >= marker.placements.len(), "one for every piece");
    assert!(html.contains("dashed line inside a piece is its stitching line"));
}
