//! The order of laying, section by section: the map of the lay and a line for each piece with its distances.

use super::document::{Block, Row, TICK, Table};
use super::edges::LongSide;
use super::map::map;
use super::naming;
use super::order::Laid;
use super::reading::read;
use crate::cloth::Cloth;
use crate::geometry::Turn;
use crate::job::Job;
use crate::marker::Marker;
use crate::report::garment_numbers;

pub(super) fn laying(
    job: &Job,
    cloth: &Cloth,
    marker: &Marker,
    laid: &[Laid<'_>],
    section: usize,
) -> Vec<Block> {
    let mine: Vec<&Laid<'_>> = laid.iter().filter(|l| l.placement.section == section).collect();
    let mut key = "The map shows the lay as you see it from the near edge, the start at your left. The number on a piece is its \
                   step; the arrow is its grainline, with its head at the top of the piece; a grey piece lies printed side \
                   down."
        .to_owned();
    let is_stitched = |l: &&Laid<'_>| {
        let p = l.placement;
        job.style.shape(p.piece, p.size).stitching.is_some()
    };
    if mine.iter().any(is_stitched) {
        key.push_str(" The dashed line inside a piece is its stitching line; cut along the full one.");
    }
    if LongSide::of(cloth) == LongSide::Line {
        key.push_str(" What is dark lies beyond the edge of the remnant.");
    }
    let mut blocks = vec![Block::Paragraph(key)];
    blocks.extend(map(job, cloth, marker, &mine, section).into_iter().map(Block::Figure));
    blocks.push(Block::Paragraph(
        "Lay each piece with its nearest point as far from the start as the list says. Then measure from both ends of its \
         grainline to the line named: the piece lies true when the two distances are equal, as they are listed. The top of \
         the piece points to the side named. Pieces may touch; none may lie over another."
            .to_owned(),
    ));
    blocks.push(Block::Table(table(job, marker, &mine)));
    blocks
}

fn table(job: &Job, marker: &Marker, mine: &[&Laid<'_>]) -> Table {
    let garments: u32 = job.order.iter().map(|line| line.garments).sum();
    let numbers = garment_numbers(job, marker);
    let mut heads = vec![
        "",
        ">Step",
        "Piece",
        "Lay it",
        "Printed side",
        "Top",
        ">From the start",
        "Bottom of grainline",
        "Top of grainline",
    ];
    if garments > 1 {
        heads.push("Garment");
    }
    let mut table = Table::new(&heads);
    let mut batch = None;
    for laid in mine {
        if batch != Some(laid.batch) {
            table.rows.push(Row::Group(laid.batch.title().to_owned()));
            batch = Some(laid.batch);
        }
        let unit = job.unit;
        let placement = laid.placement;
        let ([bottom, top], from) = laid.grain;
        let measured = |distance: i64| {
            if distance == 0 {
                format!("on the {from}")
            } else {
                format!("{} from {from}", read(distance, unit))
            }
        };
        let begins = read(laid.from_start, unit);
        // A grainline across the cloth says nothing of how far the piece is from the edges.
        let begins = if matches!(placement.pose.turn, Turn::Quarter | Turn::ThreeQuarter) {
            let (distance, edge) = laid.from_edge;
            format!("{begins}; {} from {edge}", read(distance, unit))
        } else {
            begins
        };
        let mut cells = vec![
            TICK.to_owned(),
            laid.step.to_string(),
            naming::piece(job, placement.piece, placement.size),
            naming::way(placement).to_owned(),
            naming::printed_side(job, placement).to_owned(),
            naming::top(placement.pose).to_owned(),
            begins,
            measured(bottom),
            measured(top),
        ];
        if garments > 1 {
            let mut own = numbers[laid.number - 1].clone();
            own.dedup();
            cells.push(own.iter().map(u32::to_string).collect::<Vec<_>>().join(", "));
        }
        table.rows.push(Row::Cells(cells, Some(laid.number)));
    }
    table
}
