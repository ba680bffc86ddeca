//! The guide as plain text for a terminal.

use super::columns::{set, widths};
use super::document::{Align, Block, Document, Row, TICK, Table};
use crate::draw::lettering::clean;

/// Characters of a line.
const COLUMNS: usize = 110;
/// Characters of a line of running words: longer ones are hard to read.
const MEASURE: usize = 90;

pub(super) fn text(document: &Document) -> String {
    let mut text = String::new();
    heading(&mut text, &document.title, '=');
    for block in &document.blocks {
        match block {
            Block::Heading(1, words) => heading(&mut text, words, '='),
            Block::Heading(2, words) => heading(&mut text, words, '-'),
            Block::Heading(_, words) => text.push_str(&format!("\n{}\n", clean(words))),
            Block::Paragraph(words) => {
                text.push('\n');
                wrapped(&mut text, "", words);
            }
            Block::Facts(facts) => {
                text.push('\n');
                let wide = facts.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0);
                for (name, what) in facts {
                    wrapped(&mut text, &format!("{name:<wide$}  "), what);
                }
            }
            Block::Steps(steps) => {
                text.push('\n');
                for (i, step) in steps.iter().enumerate() {
                    wrapped(&mut text, &format!("{:>3}. ", i + 1), &step.words);
                }
            }
            Block::Points(points) => {
                text.push('\n');
                for point in points {
                    wrapped(&mut text, "  - ", point);
                }
            }
            Block::Table(rows) => {
                text.push('\n');
                table(&mut text, rows);
            }
            Block::Figure(figure) => text.push_str(&format!("\n({})\n", figure.told)),
            Block::NewPage => text.push('\n'),
        }
    }
    text
}

fn heading(text: &mut String, words: &str, under: char) {
    let words = clean(words);
    if !text.is_empty() {
        text.push('\n');
    }
    let line: String = std::iter::repeat_n(under, words.chars().count()).collect();
    text.push_str(&format!("{words}\n{line}\n"));
}

fn count(words: &str) -> f64 {
    words.chars().count() as f64
}

/// Words after `lead`, their further lines under the first.
fn wrapped(text: &mut String, lead: &str, words: &str) {
    let indent = lead.chars().count();
    for (i, line) in set(&clean(words), (MEASURE - indent) as f64, count).into_iter().enumerate() {
        let lead = if i == 0 { lead.to_owned() } else { " ".repeat(indent) };
        text.push_str(format!("{lead}{line}").trim_end());
        text.push('\n');
    }
}

/// What a cell says where there are only letters.
fn lettered(cell: &str) -> String {
    clean(cell).replace(TICK, "[ ]")
}

fn table(text: &mut String, table: &Table) {
    let heads: Vec<String> = table.columns.iter().map(|c| c.head.clone()).collect();
    let cells: Vec<Vec<String>> = table
        .rows
        .iter()
        .filter_map(|row| match row {
            Row::Cells(cells, _) => Some(cells.iter().map(|c| lettered(c)).collect()),
            Row::Group(_) => None,
        })
        .collect();
    let column = |i: usize| std::iter::once(&heads[i]).chain(cells.iter().map(move |row| &row[i]));
    let longest_word = |s: &String| s.split_whitespace().map(count).fold(1.0, f64::max);
    // The box to tick is one sign, not two.
    let least: Vec<f64> = (0..heads.len())
        .map(|i| column(i).map(|s| if s == "[ ]" { 3.0 } else { longest_word(s) }).fold(0.0, f64::max))
        .collect();
    let most: Vec<f64> = (0..heads.len()).map(|i| column(i).map(|s| count(s)).fold(1.0, f64::max)).collect();
    let room = COLUMNS as f64 - 2.0 * (heads.len() as f64 - 1.0);
    let wide: Vec<usize> = widths(&least, &most, room).iter().map(|w| *w as usize).collect();

    let line = |text: &mut String, cells: &[String]| {
        let set: Vec<Vec<String>> = cells
            .iter()
            .zip(&wide)
            .map(|(cell, &w)| if cell == "[ ]" { vec![cell.clone()] } else { set(cell, w as f64, count) })
            .collect();
        let deep = set.iter().map(Vec::len).max().unwrap_or(0);
        for k in 0..deep {
            let row: Vec<String> = set
                .iter()
                .zip(&wide)
                .zip(&table.columns)
                .map(|((lines, &w), column)| {
                    let words = lines.get(k).map_or("", String::as_str);
                    match column.align {
                        Align::Left => format!("{words:<w$}"),
                        Align::Right => format!("{words:>w$}"),
                    }
                })
                .collect();
            text.push_str(row.join("  ").trim_end());
            text.push('\n');
        }
    };
    line(text, &heads);
    line(text, &wide.iter().map(|&w| "-".repeat(w)).collect::<Vec<_>>());
    let mut next = cells.iter();
    for row in &table.rows {
        match row {
            Row::Group(words) => text.push_str(&format!("     {}\n", clean(words))),
            Row::Cells(..) => {
                if let Some(cells) = next.next() {
                    line(text, cells);
                }
            }
        }
    }
}
