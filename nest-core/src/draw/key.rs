//! The key: every sign that this drawing uses, told in words, and none that it does not.

use svg::node::element::{Circle, Group, Path, Rectangle};

use super::ink::{self, INK, mm};
use super::lettering::{self, Anchor, Weight, width};
use super::sheet::{Block, Sheet};
use super::way::{Way, face_down};
use crate::cloth::Nap;
use crate::job::Job;
use crate::marker::{Marker, Placement};
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

/// What the drawing shows, in the order of the key.
fn entries(sheet: &Sheet, job: &Job, marker: &Marker) -> Vec<Entry> {
    let signs = Signs { sheet, text: sheet.text(), pen: sheet.pen() };
    let placements = &marker.placements;
    let shape = |p: &Placement| job.style.shape(p.piece, p.size);
    let any = |shown: &dyn Fn(&Placement) -> bool| placements.iter().any(shown);
    let nap = job.cloths.iter().find(|c| c.kind == marker.cloth).map_or(Nap::None, |c| c.nap);
    let ways = Way::ALL.into_iter().filter(|&way| any(&|p| Way::of(p) == way));
    ways.map(|way| signs.way(way))
        .chain(any(&|p| p.plies == Plies::Two).then(|| signs.two_plies()))
        .chain(any(&|p| face_down(p, shape(p))).then(|| signs.face_down()))
        .chain(marker.spread.sections.iter().any(|s| s.bands.len() > 1).then(|| signs.boundary()))
        .chain(super::cloth::shows_edge(job, marker).then(|| signs.edge()))
        .chain(super::cloth::shows_flaws(job, marker).then(|| signs.flaw()))
        .chain([signs.grainline(nap)])
        .chain(any(&|p| !shape(p).notches.is_empty()).then(|| signs.notch()))
        .chain(any(&|p| !shape(p).drill_holes.is_empty()).then(|| signs.drill_hole()))
        .chain(any(&|p| shape(p).stitching.is_some()).then(|| signs.stitching()))
        .collect()
}

/// Draws the signs; points are in text sizes from a sign's upper left corner.
struct Signs<'a> {
    sheet: &'a Sheet,
    text: f64,
    pen: f64,
}

impl Signs<'_> {
    fn way(&self, way: Way) -> Entry {
        let sign = Group::new().add(self.board(way.tint()));
        let sign = match way {
            Way::OnFold => sign
                .add(self.thin(&[(0.3, 1.1), (0.3, 0.7), (1.7, 0.7), (1.7, 1.1)]))
                .add(self.head((0.3, 0.7), (0.3, 1.1), 0.3))
                .add(self.head((1.7, 0.7), (1.7, 1.1), 0.3)),
            Way::OpenedOut => sign.add(self.dashed(&[9.0, 3.0, 1.5, 3.0])),
            Way::TwoPlies | Way::Single => sign,
        };
        Entry { sign, meaning: way.explained() }
    }

    fn two_plies(&self) -> Entry {
        let inset = 3.0 * self.pen;
        let inner = self
            .board("none")
            .set("x", mm(inset))
            .set("y", mm(inset))
            .set("width", mm(2.0 * self.text - 2.0 * inset))
            .set("height", mm(1.1 * self.text - 2.0 * inset));
        let sign = Group::new().add(self.board("#ffffff")).add(inner);
        Entry { sign, meaning: "doubled outline: cut through two plies" }
    }

    fn face_down(&self) -> Entry {
        let sign = Group::new().add(self.board(&format!("url(#{})", ink::FACE_DOWN)));
        Entry { sign, meaning: "strokes: the pattern lies printed side down; without them, printed side up" }
    }

    fn boundary(&self) -> Entry {
        let half = |fill: &str| self.board(fill).set("height", mm(0.55 * self.text)).set("stroke", "none");
        let sign = Group::new()
            .add(half(ink::TWO_PLIES).set("y", mm(0.55 * self.text)))
            .add(half(ink::ONE_PLY))
            .add(self.dashed(&[6.0, 3.0]).set("stroke", ink::GREY));
        Entry { sign, meaning: "where two plies end and one goes on" }
    }

    fn edge(&self) -> Entry {
        Entry { sign: Group::new().add(self.board(ink::UNUSABLE)), meaning: "beyond the edge of the remnant" }
    }

    fn flaw(&self) -> Entry {
        let board = self.board(&format!("url(#{})", ink::FLAWED)).set("stroke", ink::FLAW);
        Entry {
            sign: Group::new().add(board),
            meaning: "flaw of the cloth, on one of the plies: nothing is cut there",
        }
    }

    fn grainline(&self, nap: Nap) -> Entry {
        let arrow = Group::new().add(self.thin(&MIDDLE)).add(self.head(MIDDLE[0], MIDDLE[1], 0.5));
        match nap {
            Nap::None => Entry {
                sign: arrow.add(self.head(MIDDLE[1], MIDDLE[0], 0.5)),
                meaning: "grainline: keep it parallel to the cloth's edges",
            },
            Nap::OneWay => Entry { sign: arrow, meaning: "grainline: all heads point one way, with the nap" },
        }
    }

    fn notch(&self) -> Entry {
        let notch = self.thin(&[(1.0, 1.1), (1.0, 0.6)]).set("stroke-width", mm(1.6 * self.pen));
        Entry { sign: Group::new().add(self.thin(&[(0.0, 1.1), (2.0, 1.1)])).add(notch), meaning: "notch" }
    }

    fn drill_hole(&self) -> Entry {
        let circle = |r: f64, fill: &str| {
            Circle::new()
                .set("cx", mm(self.text))
                .set("cy", mm(0.55 * self.text))
                .set("r", mm(r * self.text))
                .set("fill", fill)
                .set("stroke", INK)
                .set("stroke-width", mm(self.pen))
                .set("vector-effect", "non-scaling-stroke")
        };
        Entry { sign: Group::new().add(circle(0.25, "none")).add(circle(0.06, INK)), meaning: "drill hole" }
    }

    fn stitching(&self) -> Entry {
        Entry { sign: Group::new().add(self.dashed(&[3.0, 3.0])), meaning: "stitching line" }
    }

    /// The whole box, as if it were a piece.
    fn board(&self, fill: &str) -> Rectangle {
        Rectangle::new()
            .set("width", mm(2.0 * self.text))
            .set("height", mm(1.1 * self.text))
            .set("fill", fill)
            .set("stroke", INK)
            .set("stroke-width", mm(self.pen))
            .set("vector-effect", "non-scaling-stroke")
    }

    fn thin(&self, points: &[(f64, f64)]) -> Path {
        let points: Vec<(f64, f64)> = points.iter().map(|&p| self.at(p)).collect();
        ink::line(&points).set("stroke-width", mm(self.pen)).set("vector-effect", "non-scaling-stroke")
    }

    /// A line across the middle, in dashes and gaps of so many widths of the pen.
    fn dashed(&self, pattern: &[f64]) -> Path {
        self.thin(&MIDDLE).set("stroke-dasharray", ink::dashes(self.sheet, pattern))
    }

    fn head(&self, from: (f64, f64), tip: (f64, f64), length: f64) -> Path {
        ink::arrowhead(self.at(from), self.at(tip), length * self.text, 0.75)
    }

    fn at(&self, point: (f64, f64)) -> (f64, f64) {
        (point.0 * self.text, point.1 * self.text)
    }
}

/// The line across the middle of a sign.
const MIDDLE: [(f64, f64); 2] = [(0.0, 0.55), (2.0, 0.55)];
