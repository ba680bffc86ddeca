//! What the page says in words and tables: the verdicts, the matrices, every cell to be sorted, and what does not serve.

use std::fmt::Write as _;

use super::{anchor, escaped};
use crate::compare::axes::nap_word;
use crate::compare::result::{Column, Comparison, Marks};
use crate::compare::text::spread_told;
use crate::report::{Lay, Outcome, long_length, percent, small_length};
use crate::spread::{Kind, Refusal};

/// For each column, what to do.
pub(super) fn verdicts(page: &mut String, comparison: &Comparison) {
    page.push_str("<h2>In short</h2>\n<ul>\n");
    for (c, column) in comparison.columns.iter().enumerate() {
        let title = escaped(&column.case.title());
        match (column.report.winning_line(), column.report.winner()) {
            (Some(line), Some(lay)) => {
                let k = column.report.ranking[0];
                let told = escaped(&spread_told(line.kind, lay));
                let cost = lay.purchase.cost_text().map_or_else(String::new, |cost| format!(", {cost}"));
                let _ = writeln!(
                    page,
                    "<li>{title}: <a href=\"#{}\">{told}</a>, {} to buy{}{}{}. <span class=\"why\">{}</span></li>",
                    anchor(c, k),
                    lay.purchase.to_buy_text(),
                    escaped(&cost),
                    escaped(&in_hand_told(column, k)),
                    escaped(&other_advice(column)),
                    escaped(&column.why().unwrap_or_default())
                );
            }
            _ => {
                let _ = writeln!(page, "<li>{title}: no spread can take this job</li>");
            }
        }
    }
    page.push_str("</ul>\n");
    for words in comparison.notes() {
        let _ = writeln!(page, "<p>{}</p>", escaped(&words));
    }
    for words in comparison.least_areas_told() {
        let _ = writeln!(page, "<p>{}</p>", escaped(&words));
    }
}

/// Is the cloth in hand enough?
fn in_hand_told(column: &Column, k: usize) -> String {
    let told = column.in_hand(k).map(|hand| hand.told(column.case.job.unit));
    told.map_or_else(String::new, |told| format!("; of the cloth in hand {told}"))
}

/// The best trade, where it is another.
fn other_advice(column: &Column) -> String {
    let Some((_, line, lay, _)) = column.laid().find(|(.., marks)| marks.trade && !marks.shortest) else {
        return String::new();
    };
    let h = &lay.handling;
    let told = spread_told(line.kind, lay);
    format!("; easier for {}: {told}, {} pieces to lay", lay.purchase.to_buy_text(), h.placements)
}

/// Lengths to buy: spreads down, widths across.
pub(super) fn matrix(page: &mut String, comparison: &Comparison, block: &[usize]) {
    let case = &comparison.columns[block[0]].case;
    let words: Vec<String> =
        [Some(nap_word(case.cloth().nap).to_owned()), case.garment()].into_iter().flatten().collect();
    let title = escaped(&format!("Length to buy, {}", words.join(", ")));
    let _ = writeln!(
        page,
        "<h2>{title}</h2>\n<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"{title}\">"
    );
    page.push_str("<table class=\"matrix\">\n<thead><tr><th scope=\"col\">Spread</th>");
    for &c in block {
        let width = escaped(&comparison.columns[c].case.width.told());
        let _ = write!(page, "<th scope=\"col\" class=\"number\">{width}</th>");
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for kind in comparison.kinds() {
        let _ = write!(page, "<tr><th scope=\"row\">{}</th>", kind.title());
        for &c in block {
            let column = &comparison.columns[c];
            match column.laid().find(|(_, line, ..)| line.kind == kind) {
                Some((k, _, lay, marks)) => {
                    let class = if marks.is_none() { "number" } else { "number best" };
                    let _ = write!(
                        page,
                        "<td class=\"{class}\">{}{}{}</td>",
                        linked(c, k, lay, marks),
                        column.in_hand(k).map_or_else(String::new, |hand| {
                            format!(
                                "<span class=\"hand\">{}</span>",
                                escaped(&hand.told(column.case.job.unit))
                            )
                        }),
                        told(marks)
                    );
                }
                None => page.push_str("<td class=\"number\">\u{2013}</td>"),
            }
        }
        page.push_str("</tr>\n");
    }
    page.push_str("</tbody>\n</table>\n</div>\n");
}

/// The length to buy, leading to the drawing where there is one.
fn linked(c: usize, k: usize, lay: &Lay, marks: Marks) -> String {
    let to_buy = escaped(&lay.purchase.to_buy_text());
    if marks.is_none() { to_buy } else { format!("<a href=\"#{}\">{to_buy}</a>", anchor(c, k)) }
}

fn told(marks: Marks) -> String {
    let words = marks.told().join(", ");
    if words.is_empty() { words } else { format!("<span class=\"marks\">{words}</span>") }
}

/// What to leave out of each cell that needs more than is in hand.
pub(super) fn to_make_it_fit(page: &mut String, comparison: &Comparison) {
    let mut list = String::new();
    for column in &comparison.columns {
        for &k in &column.report.ranking {
            if let Some(told) = column.without_told(k) {
                let (title, kind) = (column.case.title(), column.report.lines[k].kind.title());
                let _ = writeln!(list, "<li>{}</li>", escaped(&format!("{title}, {kind}: {told}")));
            }
        }
    }
    if !list.is_empty() {
        let _ = writeln!(
            page,
            "<h2>To make it fit</h2>\n<p>Where the cloth in hand is too short. To lay the job itself on that spread \
             looks longer for less to leave out, and draws the marker of the rest.</p>\n<ul>\n{list}</ul>"
        );
    }
}

/// What nap costs, where both were laid.
pub(super) fn nap(page: &mut String, comparison: &Comparison) {
    let costs = comparison.nap_costs();
    if costs.is_empty() {
        return;
    }
    page.push_str("<h2>The cost of nap</h2>\n<ul>\n");
    for cost in &costs {
        let _ = writeln!(page, "<li>{}</li>", escaped(&comparison.nap_cost_told(cost)));
    }
    page.push_str("</ul>\n");
}

/// A column of the table of all cells.
struct Head {
    words: &'static str,
    number: bool,
}

/// Every cell with a marker, to be sorted by any figure.
pub(super) fn cells(page: &mut String, comparison: &Comparison) {
    let some = |is: fn(&Column) -> bool| comparison.columns.iter().any(is);
    let views = some(|column| column.case.view.is_some());
    let sizes = some(|column| column.case.size.is_some());
    let priced = some(|column| column.case.cloth().price.is_some());
    let in_hand = comparison.is_in_hand();
    let word = |words| Some(Head { words, number: false });
    let number = |words| Some(Head { words, number: true });
    let heads: Vec<Head> = [
        word("Spread"),
        number("Width"),
        word("Nap"),
        views.then_some(Head { words: "View", number: false }),
        sizes.then_some(Head { words: "Size", number: false }),
        number("To buy"),
        priced.then_some(Head { words: "Cost", number: true }),
        in_hand.then_some(Head { words: "In hand", number: true }),
        number("Lay"),
        number("Used"),
        number("At least"),
        number("Gap"),
        number("Pieces"),
        number("Open out"),
        number("Flip"),
        number("Folds"),
        number("Refolds"),
        number("Cut"),
        word("Best at"),
    ]
    .into_iter()
    .flatten()
    .collect();
    page.push_str(
        "<h2>Every way</h2>\n<p class=\"screen\">A head sorts the table by its column, a second press turns the order round. \
         <span id=\"sorted\" role=\"status\" class=\"unseen\"></span></p>\n\
         <div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"Every way\">\n\
         <table class=\"cells sortable\" data-status=\"sorted\">\n\
         <caption>Used: part of the cloth that becomes garment. At least: no lay of this kind takes less cloth; \
         gap: how far it is from there. Pieces: outlines to lay and cut; some to open out (halves traced whole) or to flip \
         (printed side down). Refolds: times the cloth is folded anew.</caption>\n<thead><tr>",
    );
    for head in &heads {
        let class = if head.number { " class=\"number\"" } else { "" };
        let _ = write!(
            page,
            "<th scope=\"col\" aria-sort=\"none\" data-name=\"{0}\"{class}><button type=\"button\">{0}</button></th>",
            head.words
        );
    }
    page.push_str("</tr></thead>\n<tbody>\n");
    for (c, column) in comparison.columns.iter().enumerate() {
        for &k in &column.report.ranking {
            let line = &column.report.lines[k];
            if let Some(lay) = line.lay() {
                row(page, column, (c, k), (line.kind, lay), (views, sizes, priced));
            }
        }
    }
    page.push_str("</tbody>\n</table>\n</div>\n");
}

fn row(
    page: &mut String,
    column: &Column,
    (c, k): (usize, usize),
    (kind, lay): (Kind, &Lay),
    (views, sizes, priced): (bool, bool, bool),
) {
    let case = &column.case;
    let unit = case.job.unit;
    let (p, h, marks) = (&lay.purchase, &lay.handling, column.marks(k));
    let _ = write!(
        page,
        "<tr{}><th scope=\"row\">{}</th>",
        if marks.is_none() { "" } else { " class=\"best\"" },
        kind.title()
    );
    let mut number = |value: f64, told: String| {
        let _ = write!(page, "<td class=\"number\" data-value=\"{value}\">{told}</td>");
    };
    number(case.width.length.mm(), escaped(&case.width.told()));
    let _ = write!(page, "<td class=\"nap\">{}</td>", escaped(nap_word(case.cloth().nap)));
    let mut word = |told: &str| {
        let _ = write!(page, "<td>{}</td>", escaped(told));
    };
    if views {
        word(case.view.as_deref().unwrap_or_default());
    }
    if sizes {
        word(case.size.as_deref().unwrap_or_default());
    }
    let mut number = |value: f64, told: String| {
        let _ = write!(page, "<td class=\"number\" data-value=\"{value}\">{told}</td>");
    };
    number(p.to_buy.mm(), linked(c, k, lay, marks));
    if priced {
        number(p.cost().unwrap_or(0.0), escaped(&p.cost_text().unwrap_or_default()));
    }
    if let Some(hand) = column.in_hand(k) {
        let left = (hand.have.grid() - hand.needed.grid()) as f64;
        number(left, escaped(&hand.told(unit)));
    }
    number(p.lay.mm(), small_length(p.lay, unit));
    number(lay.efficiency.of_cloth(), percent(lay.efficiency.of_cloth()));
    number(lay.bound.length.mm(), small_length(lay.bound.length, unit));
    number(lay.gap(), percent(lay.gap()));
    for count in [h.placements, h.opened_out, h.flipped, h.folds, h.refolds] {
        number(count as f64, count.to_string());
    }
    number(h.cutting_mm, long_length(h.cutting_mm, unit));
    let _ = writeln!(page, "<td>{}</td></tr>", marks.told().join(", "));
}

/// The spreads that do not serve, each reason once.
pub(super) fn refusals(page: &mut String, comparison: &Comparison) {
    let mut reasons: Vec<(Kind, String, Vec<String>)> = Vec::new();
    for column in &comparison.columns {
        for line in &column.report.lines {
            let reason = match &line.outcome {
                Outcome::Lay(_) | Outcome::Refused(Refusal::NotAsked) => continue,
                Outcome::Refused(refusal) => refusal.to_string(),
                Outcome::Withheld(_) => {
                    "its marker did not pass the check, a fault of this program".to_owned()
                }
            };
            match reasons.iter_mut().find(|(kind, told, _)| *kind == line.kind && *told == reason) {
                Some((.., columns)) => columns.push(column.case.title()),
                None => reasons.push((line.kind, reason, vec![column.case.title()])),
            }
        }
    }
    if reasons.is_empty() {
        return;
    }
    reasons.sort_by_key(|(kind, ..)| *kind);
    page.push_str("<h2>What does not serve</h2>\n<ul>\n");
    for (kind, reason, columns) in reasons {
        let place = if columns.len() == comparison.columns.len() {
            String::new()
        } else {
            format!(" ({})", columns.join("; "))
        };
        let _ = writeln!(page, "<li>{}: {}{}</li>", kind.title(), escaped(&reason), escaped(&place));
    }
    page.push_str("</ul>\n");
}
