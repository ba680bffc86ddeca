//! The check list of pieces, and the tally that proves that every garment gets every piece.

use std::collections::BTreeMap;

use super::document::{Block, TICK, Table};
use super::naming;
use super::order::Laid;
use crate::job::{Job, Want};
use crate::marker::{Form, Marker};
use crate::report::garment_numbers;
use crate::spread::Plies;

/// Pieces side by side in a table of garments, at the most: more do not go on a page.
const ABREAST: usize = 8;

pub(super) fn checklist(job: &Job, marker: &Marker, laid: &[Laid<'_>]) -> Vec<Block> {
    let wants = job.wants(&marker.cloth);
    let mut table = Table::new(&["", "Piece", ">Cut", "Laid", "Steps"]);
    for want in &wants {
        let mine: Vec<&Laid<'_>> = laid.iter().filter(|l| is_for(want, l)).collect();
        table.row([
            TICK.to_owned(),
            naming::piece(job, want.piece, want.size),
            number_cut(want),
            ways(job, &mine),
            steps(&mine),
        ]);
    }
    let mut blocks = vec![
        Block::Paragraph(
            "Gather the pattern pieces and tick each. Where a piece is laid more often than there are copies of it on \
             paper, it is used again."
                .to_owned(),
        ),
        Block::Table(table),
    ];
    blocks.extend(tally(job, marker, laid, &wants));
    blocks
}

fn is_for(want: &Want, laid: &Laid<'_>) -> bool {
    (laid.placement.piece, laid.placement.size) == (want.piece, want.size)
}

/// "4", or "4 (2 pairs)".
fn number_cut(want: &Want) -> String {
    let copies = want.copies();
    if want.mirrored == 0 {
        copies.to_string()
    } else if want.mirrored == 1 {
        format!("{copies} (1 pair)")
    } else {
        format!("{copies} ({} pairs)", want.mirrored)
    }
}

/// "1 on the fold", "2 on one ply, printed side up; 2 on one ply, printed side down".
fn ways(job: &Job, mine: &[&Laid<'_>]) -> String {
    let mut counts: BTreeMap<(u8, &str, &str), usize> = BTreeMap::new();
    for laid in mine {
        let rank = match (laid.placement.form, laid.placement.plies) {
            (Form::OnFold, _) => 0,
            (_, Plies::Two) => 1,
            (_, Plies::One) => 2,
        };
        let plies = match (laid.placement.form, laid.placement.plies) {
            (Form::OpenedOut, Plies::One) => "opened out, on one ply",
            (Form::OpenedOut, Plies::Two) => "opened out, on two plies",
            (Form::Whole, Plies::One) => "on one ply",
            (Form::Whole, Plies::Two) => "on two plies",
            (Form::OnFold, _) => "on the fold",
        };
        *counts.entry((rank, plies, naming::printed_side(job, laid.placement))).or_default() += 1;
    }
    let told: Vec<String> = counts
        .into_iter()
        .map(|((_, plies, side), count)| match side {
            "either" => format!("{count} {plies}"),
            side => format!("{count} {plies}, printed side {side}"),
        })
        .collect();
    told.join("; ")
}

fn steps(mine: &[&Laid<'_>]) -> String {
    mine.iter().map(|l| l.step.to_string()).collect::<Vec<_>>().join(", ")
}

/// Wanted and coming off, piece by piece; and, where there are several garments, for each which step gives it what.
fn tally(job: &Job, marker: &Marker, laid: &[Laid<'_>], wants: &[Want]) -> Vec<Block> {
    let numbers = garment_numbers(job, marker);
    let mut table = Table::new(&["Piece", ">Wanted", ">Come off", ">Spare"]);
    let (mut wanted, mut given, mut spare) = (0, 0, 0);
    for want in wants {
        let copies = want.copies() as usize;
        let mine = || laid.iter().filter(|l| is_for(want, l));
        let for_garments: usize = mine().map(|l| numbers[l.number - 1].len()).sum();
        let off: usize = mine().map(|l| comes_off(l)).sum();
        let over = off.saturating_sub(for_garments);
        table.row([
            naming::piece(job, want.piece, want.size),
            wanted_sum(job, want),
            off.to_string(),
            if over == 0 { "-".to_owned() } else { over.to_string() },
        ]);
        (wanted, given, spare) = (wanted + copies, given + for_garments, spare + over);
    }
    let garments = garments(job);
    let mut missing = 0;
    let mut by_garment: Vec<Vec<String>> = Vec::new();
    for garment in &garments {
        let mut row = Vec::new();
        for &(piece, due) in &pieces_of(job, &marker.cloth, garment) {
            let mut cell = Vec::new();
            let mut got = 0;
            for l in laid.iter().filter(|l| (l.placement.piece, l.placement.size) == (piece, garment.size)) {
                let copies = numbers[l.number - 1].iter().filter(|&&n| n == garment.number).count();
                got += copies;
                match copies {
                    0 => {}
                    1 => cell.push(l.step.to_string()),
                    more => cell.push(format!("{} ({more})", l.step)),
                }
            }
            missing += due.saturating_sub(got);
            row.push(cell.join(", "));
        }
        by_garment.push(row);
    }
    let total = format!(
        "{} wanted for {}, {given} come off{}: {}.",
        naming::counted(wanted, "piece"),
        naming::counted(garments.len(), "garment"),
        if spare > 0 { format!(" and {spare} spare") } else { String::new() },
        if missing == 0 && wanted == given {
            "every garment gets every piece of this cloth".to_owned()
        } else if job.portion.is_some() && wanted == given {
            "what is cut here is complete; the rest is cut from other cloth".to_owned()
        } else {
            format!("{missing} are missing")
        }
    );
    let mut blocks =
        vec![Block::Heading(3, "Tally".to_owned()), Block::Table(table), Block::Paragraph(total)];
    if garments.len() > 1 {
        blocks.push(Block::Paragraph(
            "Which steps of laying give each garment its pieces. The columns are the numbers of the pieces; in brackets how \
             many the step gives, where it is more than one. Mark what is cut with the number of its garment."
                .to_owned(),
        ));
        blocks.extend(garment_tables(job, marker, &garments, &by_garment));
    }
    blocks
}

fn comes_off(laid: &Laid<'_>) -> usize {
    match laid.placement.form {
        Form::OnFold => 1,
        _ => laid.placement.plies.count() as usize,
    }
}

/// "2 x 3 = 6": copies for a garment times garments, for every order line that asks for it.
fn wanted_sum(job: &Job, want: &Want) -> String {
    let cut = job.style.pieces[want.piece].cut;
    let garments: u32 = job
        .order
        .iter()
        .filter(|line| line.size == want.size && job.style.views[line.view].pieces.contains(&want.piece))
        .map(|line| line.garments)
        .sum();
    if garments == 1 { cut.to_string() } else { format!("{cut} x {garments} = {}", cut * garments) }
}

/// One of the garments ordered, numbered as in [`garment_numbers`].
struct Garment {
    number: u32,
    view: usize,
    size: usize,
}

fn garments(job: &Job) -> Vec<Garment> {
    let lines = job.order.iter().flat_map(|line| (0..line.garments).map(move |_| (line.view, line.size)));
    lines.zip(1..).map(|((view, size), number)| Garment { number, view, size }).collect()
}

/// The pieces of one cloth in a garment, and how many of each.
fn pieces_of(job: &Job, cloth: &str, garment: &Garment) -> Vec<(usize, usize)> {
    let mut pieces = job.style.views[garment.view].pieces.clone();
    pieces.sort_unstable();
    pieces.retain(|&p| job.style.pieces[p].cloth == cloth);
    pieces.into_iter().map(|p| (p, job.style.pieces[p].cut as usize)).collect()
}

/// A row for each garment, a column for each piece of its view; views apart, and few enough columns for a page.
fn garment_tables(job: &Job, marker: &Marker, garments: &[Garment], cells: &[Vec<String>]) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut views: Vec<usize> = garments.iter().map(|g| g.view).collect();
    views.sort_unstable();
    views.dedup();
    for view in views {
        let mine: Vec<usize> = (0..garments.len()).filter(|&i| garments[i].view == view).collect();
        let pieces = pieces_of(job, &marker.cloth, &garments[mine[0]]);
        for from in (0..pieces.len()).step_by(ABREAST) {
            let shown = from..(from + ABREAST).min(pieces.len());
            let heads: Vec<String> = pieces[shown.clone()].iter().map(|(p, _)| (p + 1).to_string()).collect();
            let mut columns = vec!["Garment"];
            columns.extend(heads.iter().map(String::as_str));
            let mut table = Table::new(&columns);
            for &i in &mine {
                let mut row = vec![garment_name(job, &garments[i])];
                row.extend(cells[i][shown.clone()].iter().cloned());
                table.row(row);
            }
            blocks.push(Block::Table(table));
        }
    }
    blocks
}

fn garment_name(job: &Job, garment: &Garment) -> String {
    let view = if job.style.views.len() > 1 {
        format!(", {}", job.style.views[garment.view].name)
    } else {
        String::new()
    };
    match naming::size(job, garment.size) {
        "" => format!("{}{view}", garment.number),
        size => format!("{}{view}, {size}", garment.number),
    }
}
