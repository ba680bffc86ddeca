//! The line drawing of a marker as SVG: black on white for paper, white on black for a projector.

use svg::Node;
use svg::node::element::{Circle, Group, Path};

use super::linework::{At, Kind, LineWork, Stroke};
use crate::draw::ink::mm;
use crate::draw::lettering::{self, Anchor, Weight};

/// How lines look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Look {
    pub(super) ink: &'static str,
    /// Under the lines.
    pub(super) ground: &'static str,
    /// Width of an outline in millimetres.
    pub(super) pen: f64,
}

impl Look {
    /// Thin black lines, for paper.
    pub(super) const PAPER: Look = Look { ink: "#000000", ground: "#ffffff", pen: 0.5 };
    /// White lines on black, thick enough for a projector, whose picture points are about a millimetre large on a table.
    pub(super) const PROJECTOR: Look = Look { ink: "#ffffff", ground: "#000000", pen: 1.6 };

    /// Width and dashes of a kind of line; dashes in widths of the pen.
    fn of(self, kind: Kind) -> (f64, &'static [f64]) {
        let (width, dashes): (f64, &[f64]) = match kind {
            Kind::Cut => (1.0, &[]),
            Kind::OnFold => (2.4, &[]),
            Kind::Notch => (1.6, &[]),
            Kind::Internal => (0.7, &[]),
            Kind::Stitching => (0.7, &[6.0, 4.0]),
            Kind::Grain => (0.7, &[]),
            Kind::Crease => (0.7, &[14.0, 4.0, 2.0, 4.0]),
            Kind::ClothFold => (2.4, &[]),
            Kind::ClothEdge => (0.7, &[10.0, 6.0]),
        };
        (width * self.pen, dashes)
    }

    /// A stroke on the page.
    pub(super) fn stroke(self, stroke: &Stroke, at: impl Fn(At) -> At) -> Path {
        let mut data = String::new();
        for (i, &p) in stroke.points.iter().enumerate() {
            let (x, y) = at(p);
            data.push_str(&format!("{}{},{}", if i == 0 { "M" } else { " L" }, mm(x), mm(y)));
        }
        if stroke.closed {
            data.push('Z');
        }
        let (width, dashes) = self.of(stroke.kind);
        let path = Path::new()
            .set("d", data)
            .set("fill", "none")
            .set("stroke", self.ink)
            .set("stroke-width", mm(width))
            .set("stroke-linejoin", "round");
        if dashes.is_empty() {
            path
        } else {
            let dashes: Vec<String> = dashes.iter().map(|d| mm(d * self.pen)).collect();
            path.set("stroke-dasharray", dashes.join(" "))
        }
    }
}

/// The lay, its upper left corner at the origin of the page, one unit a millimetre.
pub(super) fn lay(lines: &LineWork, look: Look) -> Group {
    let at = |(x, y): At| (x, lines.width - y);
    let mut group = Group::new().set("id", "lay");
    for stroke in &lines.cloth {
        group = group.add(look.stroke(stroke, at));
    }
    for (n, piece) in lines.pieces.iter().enumerate() {
        let mut own = Group::new().set("class", "piece").set("id", format!("piece-{}", n + 1));
        for stroke in &piece.strokes {
            own = own.add(look.stroke(stroke, at).set("class", class(stroke.kind)));
        }
        for &hole in &piece.holes {
            let (x, y) = at(hole);
            for (radius, fill) in [(2.0, "none"), (0.5, look.ink)] {
                own = own.add(
                    Circle::new()
                        .set("cx", mm(x))
                        .set("cy", mm(y))
                        .set("r", mm(radius))
                        .set("fill", fill)
                        .set("stroke", look.ink)
                        .set("stroke-width", mm(0.7 * look.pen)),
                );
            }
        }
        for line in &piece.words {
            let (x, y) = at(line.foot);
            let mut words = lettering::text(&line.text, (0.0, 0.0), line.size, Weight::Plain, Anchor::Middle);
            words.assign("fill", look.ink);
            let place = format!("translate({} {}) rotate({})", mm(x), mm(y), mm(-line.angle));
            own = own.add(Group::new().set("transform", place).add(words));
        }
        group = group.add(own);
    }
    group
}

/// The name of a kind of line in the drawing.
fn class(kind: Kind) -> &'static str {
    match kind {
        Kind::Cut => "cut",
        Kind::OnFold => "on-fold",
        Kind::Notch => "notch",
        Kind::Internal => "internal",
        Kind::Stitching => "stitching",
        Kind::Grain => "grainline",
        Kind::Crease => "crease",
        Kind::ClothFold => "fold",
        Kind::ClothEdge => "edge",
    }
}
