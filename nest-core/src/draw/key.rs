//! The key: every sign that this drawing uses, told in words, and none that it does not.

use svg::node::element::{Circle, Group, Rectangle};

use super::ink::{self, INK, mm};
use super::lettering::{self, Anchor, Weight, width};
use super::sheet::{Block, Sheet};
use super::way::{Way, face_down};
use crate::cloth::Nap;
use crate::job::Job;
use crate::marker::Marker;
use crate::spread::Plies;

/// A sign drawn from its upper left corner into a box of two by one text sizes, and its meaning.
struct Entry {
    sign: Group,
    meaning: &'static str,
}

/// The key, about its own corner.
pub(super) fn key(sheet: &Sheet, job: &Job, marker: &Marker) -> Block {
    let entries = entries(sheet, job, marker);
    let text = sheet.text();
    let size = 0.9 * text;
    let column =
        entries.iter().map(|e| size * width(e.meaning, Weight::Plain)).fold(0.0, f64::max) + 4.2 * text;
    let columns = (((sheet.width() - 2.0 * sheet.margin()) / column) as usize).clamp(1, entries.len().max(1));
    let rows = entries.len().div_ceil(columns);
    let mut group = Group::new().set("id", "key");
    group = group.add(lettering::text("Key", (0.0, size), size, Weight::Bold, Anchor::Start));
    for (i, entry) in entries.into_iter().enumerate() {
        let x = (i / rows) as f64 * column;
        let y = 1.6 * text + (i % rows) as f64 * 1.6 * text;
        group = group.add(entry.sign.set("transform", format!("translate({} {})", mm(x), mm(y))));
        let place = (x + 2.8 * text, y + 0.8 * text);
        group = group.add(lettering::text(entry.meaning, place, size, Weight::Plain, Anchor::Start));
    }
    Block { drawn: group, width: columns as f64 * column, height: 1.6 * text + rows as f64 * 1.6 * text }
}

fn entries(sheet: &Sheet, job: &Job, marker: &Marker) -> Vec<Entry> {
    let text = sheet.text();
    let pen = sheet.pen();
    let placements = &marker.placements;
    let shape = |p: &crate::marker::Placement| job.style.shape(p.piece, p.size);
    let mut entries = Vec::new();
    let mut put = |sign: Group, meaning: &'static str| entries.push(Entry { sign, meaning });
    let board = |fill: &str| {
        Rectangle::new()
            .set("width", mm(2.0 * text))
            .set("height", mm(1.1 * text))
            .set("fill", fill)
            .set("stroke", INK)
            .set("stroke-width", mm(pen))
            .set("vector-effect", "non-scaling-stroke")
    };
    let thin = |points: &[(f64, f64)]| {
        let points: Vec<(f64, f64)> = points.iter().map(|p| (p.0 * text, p.1 * text)).collect();
        ink::line(&points).set("stroke-width", mm(pen)).set("vector-effect", "non-scaling-stroke")
    };
    let head = |from: (f64, f64), tip: (f64, f64), length: f64| {
        ink::arrowhead((from.0 * text, from.1 * text), (tip.0 * text, tip.1 * text), length * text, 0.75)
    };

    for way in Way::ALL {
        if !placements.iter().any(|p| Way::of(p) == way) {
            continue;
        }
        let mut sign = Group::new().add(board(way.tint()));
        match way {
            Way::OnFold => {
                sign = sign
                    .add(thin(&[(0.3, 1.1), (0.3, 0.7), (1.7, 0.7), (1.7, 1.1)]))
                    .add(head((0.3, 0.7), (0.3, 1.1), 0.3))
                    .add(head((1.7, 0.7), (1.7, 1.1), 0.3));
            }
            Way::OpenedOut => {
                let dashes = ink::dashes(sheet, &[9.0, 3.0, 1.5, 3.0]);
                sign = sign.add(thin(&[(0.0, 0.55), (2.0, 0.55)]).set("stroke-dasharray", dashes));
            }
            Way::TwoPlies | Way::Single => {}
        }
        put(sign, way.explained());
    }
    if placements.iter().any(|p| p.plies == Plies::Two) {
        let inset = 3.0 * pen;
        let inner = Rectangle::new()
            .set("x", mm(inset))
            .set("y", mm(inset))
            .set("width", mm(2.0 * text - 2.0 * inset))
            .set("height", mm(1.1 * text - 2.0 * inset))
            .set("fill", "none")
            .set("stroke", INK)
            .set("stroke-width", mm(pen))
            .set("vector-effect", "non-scaling-stroke");
        put(Group::new().add(board("#ffffff")).add(inner), "doubled outline: cut through two plies");
    }
    if placements.iter().any(|p| face_down(p, shape(p))) {
        let hatched = board(&format!("url(#{})", ink::FACE_DOWN));
        put(
            Group::new().add(hatched),
            "strokes: the pattern lies printed side down; without them, printed side up",
        );
    }
    if marker.spread.sections.iter().any(|s| s.bands.len() > 1) {
        let dashes = ink::dashes(sheet, &[6.0, 3.0]);
        let boundary =
            thin(&[(0.0, 0.55), (2.0, 0.55)]).set("stroke", ink::GREY).set("stroke-dasharray", dashes);
        let two = board(ink::TWO_PLIES)
            .set("height", mm(0.55 * text))
            .set("y", mm(0.55 * text))
            .set("stroke", "none");
        let one = board(ink::ONE_PLY).set("height", mm(0.55 * text)).set("stroke", "none");
        put(Group::new().add(two).add(one).add(boundary), "where two plies end and one goes on");
    }
    if super::cloth::shows_edge(job, marker) {
        put(Group::new().add(board(ink::UNUSABLE)), "beyond the edge of the remnant");
    }
    if super::cloth::shows_flaws(job, marker) {
        let fill = format!("url(#{})", ink::FLAWED);
        put(
            Group::new().add(board(&fill).set("stroke", ink::FLAW)),
            "flaw of the cloth, on one of the plies: nothing is cut there",
        );
    }
    let nap = job.cloths.iter().find(|c| c.kind == marker.cloth).map_or(Nap::None, |c| c.nap);
    let arrow = Group::new().add(thin(&[(0.0, 0.55), (2.0, 0.55)])).add(head((0.0, 0.55), (2.0, 0.55), 0.5));
    let (arrow, meaning) = match nap {
        Nap::None => (
            arrow.add(head((2.0, 0.55), (0.0, 0.55), 0.5)),
            "grainline: keep it parallel to the cloth's edges",
        ),
        Nap::OneWay => (arrow, "grainline: all heads point one way, with the nap"),
    };
    put(arrow, meaning);
    if placements.iter().any(|p| !shape(p).notches.is_empty()) {
        let notch = thin(&[(1.0, 1.1), (1.0, 0.6)]).set("stroke-width", mm(1.6 * pen));
        put(Group::new().add(thin(&[(0.0, 1.1), (2.0, 1.1)])).add(notch), "notch");
    }
    if placements.iter().any(|p| !shape(p).drill_holes.is_empty()) {
        let circle = |r: f64, fill: &str| {
            Circle::new()
                .set("cx", mm(text))
                .set("cy", mm(0.55 * text))
                .set("r", mm(r * text))
                .set("fill", fill)
                .set("stroke", INK)
                .set("stroke-width", mm(pen))
                .set("vector-effect", "non-scaling-stroke")
        };
        put(Group::new().add(circle(0.25, "none")).add(circle(0.06, INK)), "drill hole");
    }
    if placements.iter().any(|p| shape(p).stitching.is_some()) {
        let dashes = ink::dashes(sheet, &[3.0, 3.0]);
        put(
            Group::new().add(thin(&[(0.0, 0.55), (2.0, 0.55)]).set("stroke-dasharray", dashes)),
            "stitching line",
        );
    }
    entries
}
