//! The drawing board for small sketches of the cloth on the table: black on white, depths in proportion, lengths not.

use std::cell::Cell;

use svg::node::element::{Group, Path, Rectangle};

use super::document::Figure;
use crate::draw::ink::{self, INK, mm};
use crate::draw::lettering::{self, Anchor, Weight};

/// Size of words in a sketch, in millimetres on paper.
pub(super) const WORDS: f64 = 3.0;
/// Thin lines.
const THIN: f64 = 0.25;
/// A fold: the heaviest line, as in the drawing of the marker.
const FOLD: f64 = 1.1;

/// Which side of the cloth is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Right,
    Wrong,
}

/// How a line is drawn, by what it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Line {
    Fold,
    Selvage,
    CutEdge,
    /// Where cloth was before it was folded.
    Ghost,
    /// A measure or an arrow's shaft.
    Thin,
    /// A line to cut along.
    Cut,
}

/// A sketch being made. Points are in millimetres on paper from the lower left corner, y upwards.
pub(super) struct Sketch {
    width: f64,
    height: f64,
    drawn: Group,
    /// The highest that anything stands, from the upper edge of the paper.
    top: Cell<f64>,
}

pub(super) type At = (f64, f64);

impl Sketch {
    pub(super) fn new(width: f64, height: f64) -> Sketch {
        Sketch { width, height, drawn: Group::new().set("class", "sketch"), top: Cell::new(height) }
    }

    pub(super) fn done(self, told: impl Into<String>) -> Figure {
        // What is left white above folded cloth is not printed, but for half a line of words.
        let blank = (self.top.get() - 0.62 * WORDS - 0.5).max(0.0);
        let drawn = self.drawn.set("transform", format!("translate(0 {})", mm(-blank)));
        Figure { width: self.width, height: self.height - blank, drawn, told: told.into() }
    }

    fn page(&self, (x, y): At) -> At {
        let y = self.height - y;
        self.top.set(self.top.get().min(y));
        (x, y)
    }

    fn add(&mut self, node: impl Into<Box<dyn svg::Node>>) {
        self.drawn = std::mem::take(&mut self.drawn).add(node);
    }

    /// A rectangle of cloth without edges: plain where the right side is seen, hatched where the wrong side is.
    pub(super) fn cloth(&mut self, low: At, high: At, side: Side) {
        let (x, y) = self.page((low.0, high.1));
        let (wide, tall) = (high.0 - low.0, high.1 - low.1);
        let ground = Rectangle::new()
            .set("x", mm(x))
            .set("y", mm(y))
            .set("width", mm(wide))
            .set("height", mm(tall))
            .set("fill", "#ffffff")
            .set("stroke", "none");
        self.add(ground);
        if side == Side::Wrong {
            let mut data = String::new();
            for (from, to) in hatch(wide, tall, 2.2) {
                data.push_str(&format!(
                    "M{},{} L{},{}",
                    mm(x + from.0),
                    mm(y + from.1),
                    mm(x + to.0),
                    mm(y + to.1)
                ));
            }
            self.add(
                Path::new()
                    .set("d", data)
                    .set("fill", "none")
                    .set("stroke", "#8a8a8a")
                    .set("stroke-width", "0.18"),
            );
        }
    }

    pub(super) fn line(&mut self, points: &[At], line: Line) {
        let points: Vec<At> = points.iter().map(|&p| self.page(p)).collect();
        let (width, dashes) = match line {
            Line::Fold => (FOLD, ""),
            Line::Selvage => (0.5, "1 1"),
            Line::CutEdge => (0.35, ""),
            Line::Ghost => (THIN, "0.6 1.2"),
            Line::Thin => (THIN, ""),
            Line::Cut => (0.5, "3 1.2"),
        };
        let mut path = ink::line(&points).set("stroke-width", mm(width));
        if !dashes.is_empty() {
            path = path.set("stroke-dasharray", dashes);
        }
        self.add(path);
    }

    /// A straight arrow.
    pub(super) fn arrow(&mut self, from: At, to: At) {
        self.line(&[from, to], Line::Thin);
        let (from, to) = (self.page(from), self.page(to));
        self.add(ink::arrowhead(from, to, 2.2, 0.9));
    }

    /// An arrow that swings from one point to another over a third: cloth being moved.
    pub(super) fn swing(&mut self, from: At, over: At, to: At) {
        let (a, b, c) = (self.page(from), self.page(over), self.page(to));
        let data = format!("M{},{} Q{},{} {},{}", mm(a.0), mm(a.1), mm(b.0), mm(b.1), mm(c.0), mm(c.1));
        self.add(
            Path::new().set("d", data).set("fill", "none").set("stroke", INK).set("stroke-width", "0.6"),
        );
        self.add(ink::arrowhead(b, c, 3.0, 0.9));
    }

    /// Words on a white ground, their middle at a point.
    pub(super) fn words(&mut self, at: At, words: &str) {
        let wide = WORDS * lettering::width(words, Weight::Plain) + 1.2;
        let (x, y) = self.page(at);
        let ground = Rectangle::new()
            .set("x", mm(x - wide / 2.0))
            .set("y", mm(y - WORDS * 0.62))
            .set("width", mm(wide))
            .set("height", mm(WORDS * 1.24))
            .set("fill", "#ffffff");
        self.add(ground);
        self.put(words, (x, y), Anchor::Middle);
    }

    /// Words that begin at a point, half above it and half below.
    pub(super) fn words_from(&mut self, at: At, words: &str) {
        let at = self.page(at);
        self.put(words, at, Anchor::Start);
    }

    /// Words that end at a point.
    pub(super) fn words_to(&mut self, at: At, words: &str) {
        let at = self.page(at);
        self.put(words, at, Anchor::End);
    }

    fn put(&mut self, words: &str, (x, y): At, anchor: Anchor) {
        let foot = y + WORDS * lettering::CAPITAL / 2.0;
        self.add(lettering::text(words, (x, foot), WORDS, Weight::Plain, anchor));
    }

    /// A measure from one height to another beside the cloth, with its words.
    pub(super) fn depth(&mut self, x: f64, low: f64, high: f64, words: &str) {
        self.line(&[(x, low), (x, high)], Line::Thin);
        for y in [low, high] {
            self.line(&[(x - 1.0, y), (x + 1.0, y)], Line::Thin);
        }
        self.words_from((x + 1.6, (low + high) / 2.0), words);
    }
}

/// Slanting lines over a rectangle `wide` by `tall`, `step` apart along its lower edge.
fn hatch(wide: f64, tall: f64, step: f64) -> Vec<(At, At)> {
    // Lines x + y = c; c runs over all that meet the rectangle.
    (1..)
        .map(|k| f64::from(k) * step)
        .take_while(|&c| c < wide + tall)
        .map(|c| {
            let from = if c <= tall { (0.0, c) } else { (c - tall, tall) };
            let to = if c <= wide { (c, 0.0) } else { (wide, c - wide) };
            (from, to)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hatch_stays_in_its_rectangle() {
        for (wide, tall) in [(10.0, 30.0), (30.0, 10.0), (7.0, 7.0)] {
            let lines = hatch(wide, tall, 2.0);
            assert!(lines.len() as f64 > (wide + tall) / 2.0 - 2.0, "{wide} {tall}");
            for (a, b) in lines {
                for p in [a, b] {
                    assert!(
                        (0.0..=wide).contains(&p.0) && (0.0..=tall).contains(&p.1),
                        "{p:?} in {wide} {tall}"
                    );
                }
            }
        }
    }
}
