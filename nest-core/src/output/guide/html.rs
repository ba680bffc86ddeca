//! The guide as a web page: complete in itself, well-formed as XML too, and made to be printed in black and white.

use std::fmt::Write as _;

use svg::node::element::SVG;

use super::document::{Align, Block, Document, Figure, Row, Table};
use crate::draw::ink::{FONTS, mm};
use crate::draw::lettering::clean;

pub(super) fn html(document: &Document) -> String {
    let title = escaped(&document.title);
    let mut page = format!(
        "<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n<title>{title}</title>\n\
         <style>\n{}</style>\n</head>\n<body>\n<h1>{title}</h1>\n",
        style()
    );
    for block in &document.blocks {
        let _ = match block {
            Block::Heading(level, words) => {
                let level = level + 1;
                writeln!(page, "<h{level}>{}</h{level}>", escaped(words))
            }
            Block::Paragraph(words) => writeln!(page, "<p>{}</p>", escaped(words)),
            Block::Facts(facts) => {
                let rows: Vec<String> = facts
                    .iter()
                    .map(|(name, what)| {
                        format!("<tr><th>{}</th><td>{}</td></tr>", escaped(name), escaped(what))
                    })
                    .collect();
                writeln!(page, "<table class=\"facts\"><tbody>\n{}\n</tbody></table>", rows.join("\n"))
            }
            Block::Steps(steps) => {
                page.push_str("<ol class=\"steps\">\n");
                for step in steps {
                    let figure = step.figure.as_ref().map_or_else(String::new, drawn);
                    let _ = writeln!(page, "<li><p>{}</p>{figure}</li>", escaped(&step.words));
                }
                writeln!(page, "</ol>")
            }
            Block::Points(points) => {
                let items: Vec<String> = points.iter().map(|p| format!("<li>{}</li>", escaped(p))).collect();
                writeln!(page, "<ul>\n{}\n</ul>", items.join("\n"))
            }
            Block::Table(rows) => {
                table(&mut page, rows);
                Ok(())
            }
            Block::Figure(figure) => writeln!(page, "<figure>{}</figure>", drawn(figure)),
            Block::NewPage => writeln!(page, "<hr class=\"page\"/>"),
        };
    }
    page.push_str("</body>\n</html>\n");
    page
}

fn table(page: &mut String, table: &Table) {
    let class = |i: usize| match table.columns[i].align {
        Align::Left => "",
        Align::Right => " class=\"right\"",
    };
    page.push_str("<table>\n<thead><tr>");
    for (i, column) in table.columns.iter().enumerate() {
        let _ = write!(page, "<th{}>{}</th>", class(i), escaped(&column.head));
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for row in &table.rows {
        match row {
            Row::Group(words) => {
                let across = table.columns.len();
                let _ = writeln!(
                    page,
                    "<tr class=\"group\"><th colspan=\"{across}\">{}</th></tr>",
                    escaped(words)
                );
            }
            Row::Cells(cells, placement) => {
                match placement {
                    Some(number) => {
                        let _ = write!(page, "<tr data-placement=\"{number}\">");
                    }
                    None => page.push_str("<tr>"),
                }
                for (i, cell) in cells.iter().enumerate() {
                    // Short cells stay on one line, so that the rows are easy to follow across the page.
                    let class = match (table.columns[i].align, cell.chars().count() < 14) {
                        (Align::Right, _) => " class=\"right\"",
                        (Align::Left, true) => " class=\"short\"",
                        (Align::Left, false) => "",
                    };
                    let _ = write!(page, "<td{class}>{}</td>", escaped(cell));
                }
                page.push_str("</tr>\n");
            }
        }
    }
    page.push_str("</tbody>\n</table>\n");
}

/// A drawing set into the page, at its size on paper where there is room.
fn drawn(figure: &Figure) -> String {
    let (width, height) = (mm(figure.width), mm(figure.height));
    SVG::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", FONTS)
        .set("role", "img")
        .set("aria-label", clean(&figure.told))
        .add(figure.drawn.clone())
        .to_string()
}

fn escaped(words: &str) -> String {
    clean(words).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn style() -> String {
    format!(
        "body {{ font: 12pt/1.4 {FONTS}; color: #000; background: #fff; max-width: 190mm; margin: 8mm auto; padding: 0 4mm; }}
h1 {{ font-size: 20pt; margin: 0 0 4mm; }}
h2 {{ font-size: 16pt; margin: 8mm 0 2mm; border-bottom: 1pt solid #000; }}
h3 {{ font-size: 14pt; margin: 7mm 0 2mm; }}
h4 {{ font-size: 12pt; margin: 5mm 0 1mm; }}
h2, h3, h4 {{ break-after: avoid; }}
p, ul, ol {{ margin: 2mm 0; }}
table {{ border-collapse: collapse; margin: 3mm 0; }}
th, td {{ border: 0.5pt solid #000; padding: 0.8mm 1.6mm; text-align: left; vertical-align: top; }}
thead {{ display: table-header-group; }}
thead th {{ border-bottom: 1.5pt solid #000; vertical-align: bottom; }}
tr, li, figure, svg {{ break-inside: avoid; }}
.right {{ text-align: right; }}
td.right, .short {{ white-space: nowrap; }}
.group th {{ background: #eee; }}
.facts th {{ white-space: nowrap; }}
.steps li {{ margin: 3mm 0; }}
.steps p {{ margin: 0 0 1mm; }}
figure {{ margin: 3mm 0; }}
svg {{ display: block; max-width: 100%; height: auto; }}
hr.page {{ border: 0; border-top: 2pt solid #000; margin: 10mm 0; }}
@page {{ margin: 12mm; }}
@media print {{
  body {{ font-size: 11pt; margin: 0; padding: 0; max-width: none; }}
  hr.page {{ border: 0; margin: 0; break-after: page; }}
}}
"
    )
}
