//! The first part: what is needed, and what is done to the cloth before it is laid.

use super::document::Block;
use super::edges::LongSide;
use super::reading::{read, read_up};
use super::{flaws, naming};
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::job::Job;
use crate::length::Unit;
use crate::marker::Marker;
use crate::purchase::Purchase;

pub(super) fn needs(job: &Job, cloth: &Cloth, marker: &Marker) -> Vec<Block> {
    let unit = job.unit;
    let purchase = Purchase::new(cloth, &marker.spread);
    let mut facts: Vec<(String, String)> = Vec::new();
    let mut fact = |name: &str, what: String| facts.push((name.to_owned(), what));

    let cut_from_this = |line: &&crate::order::OrderLine| {
        let view = &job.style.views[line.view];
        view.pieces.iter().any(|&p| job.style.pieces[p].cloth == cloth.kind)
    };
    let garments: Vec<String> =
        job.order.iter().filter(cut_from_this).map(|line| naming::order_line(job, line)).collect();
    fact("To cut", garments.join("; "));
    // What a remnant does not give, another does.
    if job.portion.is_some() && cloth.within.is_none() {
        match &job.told(&job.left_out(&cloth.kind))[..] {
            [] => fact("From remnants", "the rest is cut from them".to_owned()),
            left_out => fact("Left out", format!("{}: cut it from other cloth", left_out.join(", "))),
        }
    }
    fact("Cloth", described(cloth, unit));
    fact(if cloth.within.is_some() { "In hand" } else { "To buy" }, to_buy(cloth, &purchase, unit));
    let width = match cloth.form {
        ClothForm::Flat => format!("{} wide", read(cloth.lay_width().grid(), unit)),
        ClothForm::Tube => format!("a tube {} wide laid flat", read(cloth.lay_width().grid(), unit)),
    };
    let ends = if purchase.ends.grid() > 0 {
        format!(", of which {} are for the ends", read(purchase.ends.grid(), unit))
    } else {
        String::new()
    };
    fact("On the table", format!("{width} and {} long{ends}", read_up(purchase.cloth.grid(), unit)));
    let ways: Vec<&str> = marker.spread.sections.iter().map(|s| s.family.title()).collect();
    fact(
        "The lay",
        format!(
            "{}; {} long; {} to lay",
            ways.join(", then "),
            read_up(purchase.lay.grid(), unit),
            naming::counted(marker.placements.len(), "pattern piece")
        ),
    );
    fact(
        "At hand",
        "ruler or tape, set square, chalk, pins or weights, shears or rotary cutter, something to mark the pieces with"
            .to_owned(),
    );
    let mut blocks = vec![Block::Facts(facts)];
    let mut points = preparation(cloth, unit);
    if !flaws::wait_for_lines(cloth, &marker.spread) {
        points.extend(flaws::before_spreading(cloth, &marker.spread, unit));
    }
    blocks.push(Block::Points(points));
    blocks
}

fn described(cloth: &Cloth, unit: Unit) -> String {
    let form = match cloth.form {
        ClothForm::Flat => LongSide::of(cloth).pick(
            "wide from selvage to selvage",
            "wide, a remnant without selvages",
            "wide where it is widest, a remnant without selvages",
        ),
        ClothForm::Tube => "wide, a knitted tube laid flat",
    };
    let nap = match cloth.nap {
        Nap::None => "no nap",
        Nap::OneWay => "with nap: every piece points the same way",
    };
    let mut told = format!("\"{}\", {} {form}, {nap}", cloth.kind, read(cloth.width.grid(), unit));
    if cloth.selvage.grid() > 0 {
        told.push_str(&format!("; {} along each selvage is not used", read(cloth.selvage.grid(), unit)));
    }
    told
}

fn to_buy(cloth: &Cloth, purchase: &Purchase, unit: Unit) -> String {
    let mut told = purchase.to_buy_text();
    if let Some(have) = purchase.in_hand {
        // A remnant is what it is: nothing of it can be bought.
        if cloth.within.is_some() {
            return format!("a remnant {} long", read(have.grid(), unit));
        }
        told = match purchase.missing() {
            None => format!("nothing: {} are in hand, which is enough", read(have.grid(), unit)),
            Some(short) => format!(
                "{told}; what is in hand, {}, is too short by {}",
                read(have.grid(), unit),
                read_up(short.grid(), unit)
            ),
        };
    }
    told
}

/// Before the cloth is spread. Common practice.
fn preparation(cloth: &Cloth, unit: Unit) -> Vec<String> {
    let mut points = Vec::new();
    if cloth.shrinkage_along > 0.0 || cloth.shrinkage_across > 0.0 {
        points.push(format!(
            "Pre-shrink the cloth: wash it as the garment will be washed. It is reckoned to lose {:.1} % of its length and \
             {:.1} % of its width. Press it.",
            100.0 * cloth.shrinkage_along,
            100.0 * cloth.shrinkage_across
        ));
    } else {
        points.push(
            "Press the cloth. No shrinkage is reckoned with: if the garment will be washed, wash a swatch first and see."
                .to_owned(),
        );
    }
    let long = LongSide::of(cloth);
    if long != LongSide::Selvage {
        points.push(
            "It has no selvages to go by: find its lengthwise grain by pulling a thread, or by its stretch, which is least \
             along the grain, and mark it with an arrow."
                .to_owned(),
        );
    }
    let wide = read_up(cloth.lay_width().grid(), unit);
    let length = read_up(cloth.length_in_hand.unwrap_or_default().grid(), unit);
    points.push(match (cloth.form, long) {
        (ClothForm::Tube, _) => {
            format!("Measure its width in several places. It must be at least {wide}, laid flat.")
        }
        (ClothForm::Flat, LongSide::Selvage) => {
            format!("Measure its width in several places. It must be at least {wide} from selvage to selvage.")
        }
        (ClothForm::Flat, LongSide::Edge) => format!(
            "Measure it in several places. It must be at least {length} along the grain and {wide} across, from edge to edge."
        ),
        (ClothForm::Flat, LongSide::Line) => format!(
            "Measure it against the map. It reaches {length} along the grain and {wide} across, and must cover the whole \
             shape that is shown light."
        ),
    });
    if long == LongSide::Selvage {
        points.push("Square one end: pull a thread or use a set square, and trim along it.".to_owned());
    }
    points
}
