//! What is written on a piece, how large, and where: inside its outline, clear of its marks where there is room.
//!
//! Ways of setting number, name, size and way of cutting are tried in several directions; each is as large as the
//! outline lets it be, and the one that tells the most, most legibly, is kept.

use svg::node::element::Group;

use super::ink::mm;
use super::lettering::{self, Anchor, LEADING, Weight};
use super::room::{Stretch, largest_box};

/// Lines smaller than this many millimetres are not legible on a plot at arm's length: capitals of 2.2 mm. Chosen by
/// eye; the common smallest body type of books, 8 point, has capitals of 2 mm.
const LEGIBLE: f64 = 3.0;

/// Air left and right of the words, and above and below, in sizes.
const AIR: (f64, f64) = (0.3, 0.12);

/// Words stop growing at the size of running text, but the search for room goes on to so many times that size, so that
/// on a large piece they stand well inside it.
const ROOMY: f64 = 2.0;

/// How far the first line's foot lies under the top of its line, in sizes: as high as any usual face rises.
const RISE: f64 = 0.95;

/// What a piece's label may say.
pub(crate) struct Words {
    pub(crate) number: String,
    pub(crate) name: String,
    /// Empty where there is one size without a name.
    pub(crate) size: String,
    pub(crate) way: String,
}

/// Words in their place on a piece, in millimetres about the placement's position, y down.
#[derive(Clone, Debug)]
pub(crate) struct Label {
    middle: (f64, f64),
    /// Degrees clockwise on the page.
    angle: f64,
    /// Size of a line of factor 1, in millimetres.
    size: f64,
    setting: Setting,
}

#[derive(Clone, Debug)]
struct Line {
    text: String,
    /// Its size beside that of the name.
    factor: f64,
    weight: Weight,
}

/// One way to set the words, and what it tells.
#[derive(Clone, Debug)]
struct Setting {
    lines: Vec<Line>,
    /// Importance and factor of each thing told.
    told: Vec<(f64, f64)>,
}

impl Setting {
    fn extent(&self) -> (f64, f64) {
        let width =
            self.lines.iter().map(|l| l.factor * lettering::width(&l.text, l.weight)).fold(0.0, f64::max);
        let height: f64 = self.lines.iter().map(|l| l.factor * LEADING).sum();
        (width + 2.0 * AIR.0, height + 2.0 * AIR.1)
    }

    /// How well the words are told at a size: each by its importance and, as twice as large is not twice as legible, by
    /// the square root of its size, up to that of running text.
    fn worth(&self, size: f64, text: f64) -> f64 {
        self.told
            .iter()
            .map(|&(importance, factor)| importance * (size * factor / text).min(1.5).sqrt())
            .sum()
    }

    /// The least size at which every line is legible.
    fn legible(&self) -> f64 {
        LEGIBLE / self.lines.iter().map(|l| l.factor).fold(f64::INFINITY, f64::min)
    }
}

/// The best label for a piece, or nothing where not even its number can be read.
///
/// `outline` and `marks` are in millimetres, y down; `text` is the size of running text.
///
/// # Complexity
/// Some fifty searches for room, each O(n) for each place looked at.
pub(crate) fn label(words: &Words, outline: &[(f64, f64)], marks: &[Stretch], text: f64) -> Option<Label> {
    let mut best: Option<(f64, Label)> = None;
    let directions = directions(outline);
    for setting in settings(words) {
        for &angle in &directions {
            // Level words are read most easily, steep ones least.
            let ease = if angle == 0.0 {
                1.0
            } else if angle.abs() <= 50.0 {
                0.93
            } else {
                0.86
            };
            let turned: Vec<(f64, f64)> = outline.iter().map(|&p| turn(p, -angle)).collect();
            for (bars, clear) in [(marks, 1.0), (&[][..], 0.8)] {
                let worth = |size: f64| setting.worth(size, text) * ease * clear;
                let least = match &best {
                    Some((reached, _)) => least_size(worth, *reached, text).max(setting.legible()),
                    None => setting.legible(),
                };
                if least >= text {
                    continue;
                }
                let bars: Vec<Stretch> =
                    bars.iter().map(|&(a, b)| (turn(a, -angle), turn(b, -angle))).collect();
                if let Some(room) = largest_box(&turned, &bars, setting.extent(), least, ROOMY * text) {
                    let size = room.scale.min(text);
                    if best.as_ref().is_none_or(|(reached, _)| worth(size) > *reached) {
                        let middle = turn(room.middle, angle);
                        best = Some((worth(size), Label { middle, angle, size, setting: setting.clone() }));
                    }
                }
            }
        }
    }
    best.map(|(_, label)| label).or_else(|| smallest(words, outline, &directions, text))
}

/// The bare number on a piece too small for legible words, as large as it goes; under a millimetre it is left out.
fn smallest(words: &Words, outline: &[(f64, f64)], directions: &[f64], text: f64) -> Option<Label> {
    let setting = Setting { lines: vec![line(&words.number, 1.0, Weight::Bold)], told: vec![(1.0, 1.0)] };
    let rooms = directions.iter().filter_map(|&angle| {
        let turned: Vec<(f64, f64)> = outline.iter().map(|&p| turn(p, -angle)).collect();
        let room = largest_box(&turned, &[], setting.extent(), 1.0, text)?;
        Some(Label {
            middle: turn(room.middle, angle),
            angle,
            size: room.scale.min(text),
            setting: setting.clone(),
        })
    });
    rooms.fold(None, |best: Option<Label>, label| match best {
        Some(best) if best.size >= label.size => Some(best),
        _ => Some(label),
    })
}

/// The size from which on `worth`, which grows with it, is more than `reached`; up to `text`.
fn least_size(worth: impl Fn(f64) -> f64, reached: f64, text: f64) -> f64 {
    let (mut low, mut high) = (0.0, text);
    for _ in 0..20 {
        let middle = (low + high) / 2.0;
        if worth(middle) > reached { high = middle } else { low = middle }
    }
    high
}

fn line(text: &str, factor: f64, weight: Weight) -> Line {
    Line { text: text.to_string(), factor, weight }
}

/// The ways to set the words, from those that tell everything to the bare number.
fn settings(words: &Words) -> Vec<Setting> {
    const NUMBER: f64 = 1.2;
    const NAME: f64 = 1.0;
    const SIZE: f64 = 0.6;
    const WAY: f64 = 0.3;
    let (number, name, size) = (words.number.as_str(), words.name.as_str(), words.size.as_str());
    let mut tails = Vec::new();
    if size.is_empty() {
        tails.push((words.way.clone(), vec![(WAY, 0.8)]));
        tails.push((String::new(), vec![]));
    } else {
        tails.push((format!("{size}, {}", words.way), vec![(SIZE, 0.8), (WAY, 0.8)]));
        tails.push((size.to_string(), vec![(SIZE, 0.8)]));
    }
    let mut settings = Vec::new();
    for lines in 1..=3 {
        let Some(broken) = lettering::broken(name, lines) else { break };
        for (tail, tail_told) in &tails {
            for factor in [1.6, 2.6] {
                let mut set = vec![line(number, factor, Weight::Bold)];
                set.extend(broken.iter().map(|l| line(l, 1.0, Weight::Plain)));
                if !tail.is_empty() {
                    set.push(line(tail, 0.8, Weight::Plain));
                }
                let mut told = vec![(NUMBER, factor), (NAME, 1.0)];
                told.extend(tail_told);
                settings.push(Setting { lines: set, told });
            }
            if lines == 1 {
                let told: Vec<(f64, f64)> =
                    [(NUMBER, 1.0), (NAME, 1.0)].into_iter().chain(tail_told.clone()).collect();
                let named = format!("{number} {name}");
                let row = if tail.is_empty() { named.clone() } else { format!("{named}, {tail}") };
                if !tail.is_empty() {
                    let set = vec![line(&named, 1.0, Weight::Bold), line(tail, 0.8, Weight::Plain)];
                    settings.push(Setting { lines: set, told: told.clone() });
                }
                let told = told.into_iter().map(|(importance, _)| (importance, 1.0)).collect();
                settings.push(Setting { lines: vec![line(&row, 1.0, Weight::Bold)], told });
            }
        }
    }
    if !size.is_empty() {
        settings.push(Setting {
            lines: vec![line(number, 1.0, Weight::Bold), line(size, 0.6, Weight::Plain)],
            told: vec![(NUMBER, 1.0), (SIZE, 0.6)],
        });
        settings.push(Setting {
            lines: vec![line(&format!("{number} {size}"), 1.0, Weight::Bold)],
            told: vec![(NUMBER, 1.0), (SIZE, 1.0)],
        });
    }
    settings.push(Setting { lines: vec![line(number, 1.0, Weight::Bold)], told: vec![(NUMBER, 1.0)] });
    settings
}

/// The directions to try, in degrees clockwise on the page, from -90 (read upwards) to below 90: level, upright, and along
/// and across the piece's own long axis.
fn directions(outline: &[(f64, f64)]) -> Vec<f64> {
    let axis = long_axis(outline);
    let mut directions: Vec<f64> = vec![0.0];
    for angle in [-90.0, axis, axis + 90.0] {
        let settled = (angle + 90.0f64).rem_euclid(180.0) - 90.0;
        // Nearer to one that is there than anybody would see.
        if directions.iter().all(|d| {
            let apart = (settled - d).abs();
            apart > 4.0 && apart < 176.0
        }) {
            directions.push(settled);
        }
    }
    directions
}

/// Direction in degrees of the axis about which the area's second moment is least: along the piece.
fn long_axis(ring: &[(f64, f64)]) -> f64 {
    let o = ring[0];
    let (mut area, mut sx, mut sy, mut sxx, mut syy, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (i, a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        let (ax, ay, bx, by) = (a.0 - o.0, a.1 - o.1, b.0 - o.0, b.1 - o.1);
        let cross = ax * by - bx * ay;
        area += cross / 2.0;
        sx += (ax + bx) * cross / 6.0;
        sy += (ay + by) * cross / 6.0;
        sxx += (ax * ax + ax * bx + bx * bx) * cross / 12.0;
        syy += (ay * ay + ay * by + by * by) * cross / 12.0;
        sxy += (ax * by + 2.0 * ax * ay + 2.0 * bx * by + bx * ay) * cross / 24.0;
    }
    let (cx, cy) = (sx / area, sy / area);
    let (mxx, myy, mxy) = (sxx / area - cx * cx, syy / area - cy * cy, sxy / area - cx * cy);
    (0.5 * (2.0 * mxy).atan2(mxx - myy)).to_degrees()
}

fn turn((x, y): (f64, f64), degrees: f64) -> (f64, f64) {
    let (sin, cos) = degrees.to_radians().sin_cos();
    (x * cos - y * sin, x * sin + y * cos)
}

/// A line of a label: its words, the middle of its foot about the placement's position in millimetres (y down), the size,
/// and the angle in degrees clockwise on the page.
pub(crate) struct Placed {
    pub(crate) text: String,
    pub(crate) foot: (f64, f64),
    pub(crate) size: f64,
    pub(crate) angle: f64,
}

impl Label {
    /// Every line at its place, for those who set words in another way than SVG.
    pub(crate) fn placed(&self) -> Vec<Placed> {
        let height: f64 = self.setting.lines.iter().map(|l| l.factor * LEADING).sum();
        let mut top = -height / 2.0;
        let place = |l: &Line| {
            let foot = turn((0.0, (top + RISE * l.factor) * self.size), self.angle);
            top += l.factor * LEADING;
            Placed {
                text: l.text.clone(),
                foot: (self.middle.0 + foot.0, self.middle.1 + foot.1),
                size: l.factor * self.size,
                angle: self.angle,
            }
        };
        self.setting.lines.iter().map(place).collect()
    }

    /// The words at their place, the placement's position being at `origin` on the page; `ground` is the tint under
    /// them, drawn around each letter so that hatch and lines do not run into it.
    pub(crate) fn drawn(&self, origin: (f64, f64), ground: &str) -> Group {
        let (x, y) = (origin.0 + self.middle.0, origin.1 + self.middle.1);
        let mut shift = format!("translate({} {})", mm(x), mm(y));
        if self.angle != 0.0 {
            shift.push_str(&format!(" rotate({})", mm(self.angle)));
        }
        let mut group = Group::new()
            .set("class", "label")
            .set("transform", shift)
            .set("stroke", ground)
            .set("stroke-width", mm(self.size * 0.22))
            .set("stroke-linejoin", "round")
            .set("paint-order", "stroke");
        let height: f64 = self.setting.lines.iter().map(|l| l.factor * LEADING).sum();
        let mut top = -height / 2.0;
        for l in &self.setting.lines {
            let foot = (top + RISE * l.factor) * self.size;
            group = group.add(lettering::text(
                &l.text,
                (0.0, foot),
                l.factor * self.size,
                l.weight,
                Anchor::Middle,
            ));
            top += l.factor * LEADING;
        }
        group
    }
}

#[cfg(test)]
mod label_tests {
    use super::*;

    #[test]
    fn the_long_axis_of_a_slanting_strip_is_its_slant() {
        // A 100 by 10 rectangle turned by 30 degrees.
        let strip: Vec<(f64, f64)> =
            [(0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (0.0, 10.0)].iter().map(|&p| turn(p, 30.0)).collect();
        assert!((long_axis(&strip) - 30.0).abs() < 1e-9, "{}", long_axis(&strip));
    }

    #[test]
    fn less_room_says_less_but_always_the_number() {
        let words = Words {
            number: "14".into(),
            name: "pocket welt interfacing".into(),
            size: "42".into(),
            way: "two plies".into(),
        };
        let said = |width: f64, height: f64| {
            let board = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
            let label = label(&words, &board, &[], 12.0).unwrap();
            label.setting.lines.iter().map(|l| l.text.clone()).collect::<Vec<_>>().join("|")
        };
        assert_eq!(said(400.0, 300.0), "14|pocket welt interfacing|42, two plies");
        assert!(said(30.0, 60.0).contains("interfacing"), "{}", said(30.0, 60.0));
        assert_eq!(said(14.0, 6.0), "14 42");
        assert_eq!(said(3.0, 2.0), "14");
    }
}
