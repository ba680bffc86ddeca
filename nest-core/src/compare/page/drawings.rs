//! The markers that are best at something, side by side and all at one scale.

use std::fmt::Write as _;

use super::{anchor, escaped};
use crate::compare::result::{Column, Comparison, Marks};
use crate::compare::text::spread_told;
use crate::draw::draw_small;
use crate::report::{Lay, calculation, percent, small_length};
use crate::spread::Kind;

/// A cell to draw.
struct Shown<'a> {
    column: &'a Column,
    name: String,
    kind: Kind,
    lay: &'a Lay,
    marks: Marks,
    borrowed: Option<String>,
}

/// A figure for each cell with a mark.
pub(super) fn drawings(page: &mut String, comparison: &Comparison) {
    let shown: Vec<Shown<'_>> = comparison
        .columns
        .iter()
        .enumerate()
        .flat_map(|(c, column)| {
            column.laid().filter(|(.., marks)| !marks.is_none()).map(move |(k, line, lay, marks)| Shown {
                column,
                name: anchor(c, k),
                kind: line.kind,
                lay,
                marks,
                borrowed: column.lent[k].map(|lender| comparison.columns[lender].case.title()),
            })
        })
        .collect();
    let Some(longest) = shown.iter().map(|s| s.lay.purchase.lay).max() else { return };
    page.push_str(
        "<h2>The markers</h2>\n<p>All at one scale; the edge nearest the cutter lies at the bottom. A doubled outline is cut \
         through two plies, a bracket points at the edge that lies on a fold, a line of dashes and dots runs down the middle \
         of a half piece that is opened out, and slanting strokes say that the pattern lies printed side down.</p>\n\
         <div class=\"beside\">\n",
    );
    let drawn: Vec<_> =
        shown.iter().map(|s| draw_small(&s.column.case.job, &s.lay.checked, longest, &s.name)).collect();
    let widest = drawn.iter().map(|d| d.width_mm).fold(1.0, f64::max);
    for (s, small) in shown.iter().zip(drawn) {
        let _ = writeln!(
            page,
            "<figure class=\"lay\" id=\"{}\">\n<figcaption>{}</figcaption>\n<div style=\"width: {:.2}%\">{}</div>\n{}</figure>",
            s.name,
            caption(s),
            100.0 * small.width_mm / widest,
            small.svg,
            sum(s)
        );
    }
    page.push_str("</div>\n");
}

fn caption(s: &Shown<'_>) -> String {
    let (p, h, unit) = (&s.lay.purchase, &s.lay.handling, s.column.case.job.unit);
    let borrowed = s.borrowed.as_ref().map_or_else(String::new, |from| format!(" The marker of {from}."));
    format!(
        "<strong>{}: {}</strong> ({}). {} to buy, {} of lay, {} of the cloth used; {} pieces to lay, {} to open out, {} to flip.{}",
        escaped(&s.column.case.title()),
        escaped(&spread_told(s.kind, s.lay)),
        s.marks.told().join(", "),
        escaped(&p.to_buy_text()),
        small_length(p.lay, unit),
        percent(s.lay.efficiency.of_cloth()),
        h.placements,
        h.opened_out,
        h.flipped,
        escaped(&borrowed)
    )
}

/// The calculation of the length to buy, under the shortest.
fn sum(s: &Shown<'_>) -> String {
    if !s.marks.shortest {
        return String::new();
    }
    let mut table = String::from("<table>\n<tbody>\n");
    for term in calculation(&s.lay.purchase, s.column.case.job.unit) {
        let _ = writeln!(
            table,
            "<tr><td>{}</td><td>{}</td><td>{}</td></tr>",
            escaped(term.sign),
            escaped(&term.what),
            escaped(&term.figure)
        );
    }
    table.push_str("</tbody>\n</table>\n");
    table
}
