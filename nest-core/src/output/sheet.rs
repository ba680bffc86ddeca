//! [`Sheet`]: a page of any size with the lay on it at true size: for paper with a head and squares to measure, for a
//! projector with a grid to set it by.

use svg::node::element::{Group, Path, Rectangle};
use svg::{Document, Node};

use super::lines::{Look, lay};
use super::linework::LineWork;
use crate::check::Checked;
use crate::draw::Caption;
use crate::draw::ink::{FONTS, mm};
use crate::draw::lettering::{self, Anchor, Weight};
use crate::draw::measure::imperial;
use crate::job::Job;

/// Around everything, in millimetres.
const MARGIN: f64 = 15.0;
/// Height of the head, with its test squares of 100 mm and 4 in, over the lay on paper.
const HEAD: f64 = 122.0;

/// A drawing of some size in millimetres.
pub(super) struct Sheet {
    pub(super) width: f64,
    pub(super) height: f64,
    /// Where on it the lay's upper left corner is.
    #[cfg_attr(not(test), expect(dead_code, reason = "tests find the lay on the sheet by it"))]
    pub(super) lay: (f64, f64),
    drawn: Group,
    ground: &'static str,
}

impl Sheet {
    /// The sheet as a whole document.
    pub(super) fn svg(&self) -> String {
        let (width, height) = (mm(self.width), mm(self.height));
        let document = Document::new()
            .set("width", format!("{width}mm"))
            .set("height", format!("{height}mm"))
            .set("viewBox", format!("0 0 {width} {height}"))
            .set("font-family", FONTS)
            .add(Rectangle::new().set("width", width).set("height", height).set("fill", self.ground))
            .add(self.drawn.clone());
        format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
    }
}

/// The lay alone, without head or margin: what is cut into pages.
pub(super) fn bare(job: &Job, checked: &Checked) -> Sheet {
    let lines = LineWork::new(job, checked);
    Sheet {
        width: lines.length,
        height: lines.width,
        lay: (0.0, 0.0),
        drawn: lay(&lines, Look::PAPER),
        ground: Look::PAPER.ground,
    }
}

/// The lay in thin black lines under a head that tells what it is, with squares to prove its size.
pub(super) fn paper(job: &Job, checked: &Checked) -> Sheet {
    let lines = LineWork::new(job, checked);
    let at = (MARGIN, MARGIN + HEAD);
    // A short lay still has room for its head.
    let width = (lines.length + 2.0 * MARGIN).max(480.0);
    let drawn = Group::new()
        .add(head(job, checked).set("transform", format!("translate({0} {0})", mm(MARGIN))))
        .add(lay(&lines, Look::PAPER).set("transform", format!("translate({} {})", mm(at.0), mm(at.1))));
    Sheet { width, height: at.1 + lines.width + MARGIN, lay: at, drawn, ground: Look::PAPER.ground }
}

/// Test squares, name and figures, about their own corner; 450 by 110 mm.
fn head(job: &Job, checked: &Checked) -> Group {
    let mut group = Group::new().set("id", "head").add(squares());
    let caption = Caption::of(job, checked);
    let spread: Vec<&str> = checked.marker().spread.sections.iter().map(|s| s.family.title()).collect();
    let x = 225.0;
    let title = lettering::shortened(&job.name, Weight::Bold, 22.0);
    group = group.add(lettering::text(&title, (x, 10.0), 10.0, Weight::Bold, Anchor::Start));
    let lines = [
        format!("{}: {}", checked.marker().cloth, spread.join(", then ")),
        format!("cloth width {}, lay length {}", caption.width, caption.lay_length),
        format!("length to buy {}, efficiency {}", caption.to_buy, caption.efficiency),
        "True size: measure a square before use.".to_owned(),
        "Thin line: cut. Thick line: on the fold, do not cut. Dashes: edge of the cloth,".to_owned(),
        "or, inside a piece, the stitching line.".to_owned(),
        "The start is at the left, the near edge below.".to_owned(),
    ];
    for (i, line) in lines.iter().enumerate() {
        let line = lettering::shortened(line, Weight::Plain, 38.0);
        let foot = 22.0 + 9.0 * i as f64;
        group = group.add(lettering::text(&line, (x, foot), 5.8, Weight::Plain, Anchor::Start));
    }
    group
}

/// A square of 100 mm and one of 4 in, each with its name; 215 mm wide.
pub(super) fn squares() -> Group {
    let mut group = Group::new().set("id", "squares");
    for (x, side, name) in [(0.0, 100.0, "100 mm"), (110.0, 101.6, "4 in")] {
        let square = Rectangle::new()
            .set("x", mm(x))
            .set("y", "0")
            .set("width", mm(side))
            .set("height", mm(side))
            .set("fill", "none")
            .set("stroke", "#000000")
            .set("stroke-width", "0.3")
            .set("class", "test-square");
        let middle = (x + side / 2.0, side / 2.0);
        group = group.add(square).add(lettering::text(name, middle, 7.0, Weight::Bold, Anchor::Middle)).add(
            lettering::text("test square", (middle.0, middle.1 + 8.0), 5.0, Weight::Plain, Anchor::Middle),
        );
    }
    group
}

/// The lay in white on black, over a grid to set the projector by.
///
/// The grid has a line every 50 mm (every 2 in in jobs in inches) and reaches beyond the lay; a heavy square of ten by ten
/// of its meshes, five by five in inches, at the start is the one to measure.
pub(super) fn projector(job: &Job, checked: &Checked) -> Sheet {
    let lines = LineWork::new(job, checked);
    let look = Look::PROJECTOR;
    let (mesh, across, told) = if imperial(job.unit) { (50.8, 5.0, "10 in") } else { (50.0, 10.0, "500 mm") };
    // The lay's lower left corner, where the person stands, is a corner of the grid.
    let columns = (lines.length / mesh).ceil() + 2.0;
    let rows = (lines.width / mesh).ceil() + 2.0;
    let (width, height) = (columns * mesh, rows * mesh);
    let corner = (mesh, height - mesh);
    let mut data = String::new();
    for k in 0..=columns as i64 {
        let x = mm(k as f64 * mesh);
        data.push_str(&format!("M{x},0 L{x},{}", mm(height)));
    }
    for k in 0..=rows as i64 {
        let y = mm(k as f64 * mesh);
        data.push_str(&format!("M0,{y} L{},{y}", mm(width)));
    }
    let grid = Path::new()
        .set("id", "grid")
        .set("d", data)
        .set("fill", "none")
        .set("stroke", "#4a4a4a")
        .set("stroke-width", "0.8");
    let side = (mesh * across).min(width - corner.0).min(corner.1);
    let square = Rectangle::new()
        .set("id", "calibration")
        .set("x", mm(corner.0))
        .set("y", mm(corner.1 - side))
        .set("width", mm(side))
        .set("height", mm(side))
        .set("fill", "none")
        .set("stroke", "#9a9a9a")
        .set("stroke-width", "2");
    let told = if (side - mesh * across).abs() < 1e-6 {
        format!("grid {}; heavy square {told}", if imperial(job.unit) { "2 in" } else { "50 mm" })
    } else {
        format!("grid {}", if imperial(job.unit) { "2 in" } else { "50 mm" })
    };
    let mut words = lettering::text(&told, (corner.0, corner.1 + 20.0), 14.0, Weight::Plain, Anchor::Start);
    words.assign("fill", "#9a9a9a");
    let at = (corner.0, corner.1 - lines.width);
    let drawn = Group::new()
        .add(grid)
        .add(square)
        .add(words)
        .add(lay(&lines, look).set("transform", format!("translate({} {})", mm(at.0), mm(at.1))));
    Sheet { width, height, lay: at, drawn, ground: look.ground }
}
