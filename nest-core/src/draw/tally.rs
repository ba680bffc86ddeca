//! The list of pieces: number, name, and how many come off in each size.

use std::collections::BTreeMap;

use svg::node::element::Group;

use super::lettering::{self, Anchor, Weight, width};
use super::piece::shown_size;
use super::sheet::{Block, Sheet};
use crate::job::Job;
use crate::marker::Marker;

/// The list, about its own corner, in as many columns as the page holds.
pub(super) fn tally(sheet: &Sheet, job: &Job, marker: &Marker) -> Block {
    let text = sheet.text();
    let size = 0.9 * text;
    let rows = rows(job, marker);
    let name_width =
        rows.iter().map(|r| size * width(&r.name, Weight::Plain)).fold(0.0, f64::max) + 1.2 * size;
    let count_width = rows.iter().map(|r| size * width(&r.counts, Weight::Plain)).fold(0.0, f64::max);
    let number_width = 2.2 * size;
    let column = number_width + name_width + count_width + 2.5 * size;
    let columns = (((sheet.width() - 2.0 * sheet.margin()) / column) as usize).clamp(1, rows.len().max(1));
    let deep = rows.len().div_ceil(columns);
    let mut group = Group::new().set("id", "tally");
    let heading = if job.style.sizes.len() > 1 {
        "Pieces: number, name, how many are cut in each size"
    } else {
        "Pieces: number, name, how many are cut"
    };
    group = group.add(lettering::text(heading, (0.0, size), size, Weight::Bold, Anchor::Start));
    for (i, row) in rows.iter().enumerate() {
        let x = (i / deep) as f64 * column;
        let foot = size + ((i % deep) + 1) as f64 * 1.45 * size;
        let number = (x + number_width - 0.6 * size, foot);
        group = group.add(lettering::text(&row.number, number, size, Weight::Bold, Anchor::End));
        let name = (x + number_width, foot);
        group = group.add(lettering::text(&row.name, name, size, Weight::Plain, Anchor::Start));
        let counts = (x + number_width + name_width, foot);
        group = group.add(lettering::text(&row.counts, counts, size, Weight::Plain, Anchor::Start));
    }
    let heading = size * width(heading, Weight::Bold);
    Block {
        drawn: group,
        width: heading.max(columns as f64 * column - 2.5 * size),
        height: size + deep as f64 * 1.45 * size + 0.4 * size,
    }
}

struct Row {
    number: String,
    name: String,
    counts: String,
}

fn rows(job: &Job, marker: &Marker) -> Vec<Row> {
    let mut cut: BTreeMap<usize, BTreeMap<usize, u32>> = BTreeMap::new();
    for placement in &marker.placements {
        *cut.entry(placement.piece).or_default().entry(placement.size).or_default() += placement.yields;
    }
    cut.into_iter()
        .map(|(piece, sizes)| Row {
            number: (piece + 1).to_string(),
            name: lettering::shortened(&job.style.pieces[piece].name, Weight::Plain, 22.0),
            counts: sizes
                .into_iter()
                .map(|(size, copies)| match shown_size(job, size) {
                    "" => copies.to_string(),
                    size => format!("{}: {copies}", lettering::shortened(size, Weight::Plain, 6.0)),
                })
                .collect::<Vec<_>>()
                .join("   "),
        })
        .collect()
}
