//! A plot file in HP-GL, with a pen for every kind of line.
//!
//! # Frame and units
//! The plotter's unit is 0.025 mm: 40 to the millimetre, 1016 to the inch (HP PCL 5 Reference, part II, p. 17 to 20). x runs along the
//! cloth from the start, y across it.
//!
//! # Large lays
//! Plotters of the second generation (HP-GL/2) take coordinates up to 2²³ − 1, 209 m; [`plot_file`] is for them. Older ones
//! take 16 bits, ±32 767, which is 819 mm: for them [`plot_file_in_frames`] cuts the lay into frames of at most 800 mm, each
//! plotted from a zero of its own, with the origin in the middle of the width where that is needed.
//!
//! | pen | what it draws |
//! |---|---|
//! | 1 | outlines to cut, notches |
//! | 2 | edges on a fold, creases, the cloth |
//! | 3 | stitching lines, internal lines, drill holes |
//! | 4 | grainlines, words |

use std::fmt::Write as _;

use super::ascii;
use super::linework::{At, Kind, Line, LineWork, PieceLines, Stroke};
use super::route::{begun_near, visits};
use crate::check::Checked;
use crate::draw::lettering::{CAPITAL, Weight, width};
use crate::job::Job;

/// Units to the millimetre.
const UNITS: f64 = 40.0;
/// The largest coordinate of 16 bits.
const SHORT: i64 = 32_767;
/// Along a frame, in millimetres: 32 000 units.
const FRAME: f64 = 800.0;
/// Outlines last: when they are cut, nothing moves any more.
const PENS: [u8; 4] = [4, 3, 2, 1];

fn pen(kind: Kind) -> u8 {
    match kind {
        Kind::Cut | Kind::Notch => 1,
        Kind::OnFold | Kind::Crease | Kind::ClothFold | Kind::ClothEdge => 2,
        Kind::Stitching | Kind::Internal => 3,
        Kind::Grain => 4,
    }
}

/// Why a lay cannot be plotted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HpglFault {
    /// Too wide for 16 bits even from its middle.
    #[error(
        "the lay is {0:.0} mm wide; a plotter with coordinates of 16 bits reaches 1638 mm across: plot it without frames \
         on a plotter that takes HP-GL/2, or use a PDF"
    )]
    TooWide(f64),
}

/// The plot file of a marker in one frame, for plotters that take HP-GL/2. The same marker gives the same bytes.
///
/// # Complexity
/// O(n²) in the number of pieces, for their order.
pub fn plot_file(job: &Job, checked: &Checked) -> Vec<u8> {
    let lines = LineWork::new(job, checked);
    let order = visits(&lines);
    let mut plot = Plot { text: "IN;PA;".to_owned(), window: None, middle: 0.0, at: (0.0, 0.0) };
    plot.frame(&lines, &order);
    plot.text.push_str("PU0,0;SP0;\n");
    plot.text.into_bytes()
}

/// The plot file of a marker in frames of at most 800 mm along the cloth, for plotters with coordinates of 16 bits.
///
/// # Errors
/// When the lay is wider than 1638 mm.
pub fn plot_file_in_frames(job: &Job, checked: &Checked) -> Result<Vec<u8>, HpglFault> {
    let lines = LineWork::new(job, checked);
    let units = (lines.width * UNITS).round() as i64;
    if units > 2 * SHORT {
        return Err(HpglFault::TooWide(lines.width));
    }
    let middle = if units > SHORT { lines.width / 2.0 } else { 0.0 };
    let order = visits(&lines);
    let mut text = String::new();
    let frames = (lines.length / FRAME - 1e-9).ceil().max(1.0) as i64;
    for i in 0..frames {
        let from = i as f64 * FRAME;
        let to = (from + FRAME).min(lines.length);
        let mut plot = Plot { text: "IN;PA;".to_owned(), window: Some((from, to)), middle, at: (from, 0.0) };
        plot.frame(&lines, &order);
        // The page goes out; what follows begins at a zero of its own.
        plot.text.push_str("PU;SP0;PG;\n");
        text.push_str(&plot.text);
    }
    Ok(text.into_bytes())
}

/// A plot being written.
struct Plot {
    text: String,
    /// What is plotted, along the lay; everything where nothing is said.
    window: Option<(f64, f64)>,
    /// The y that is the plotter's zero.
    middle: f64,
    at: At,
}

impl Plot {
    /// Everything in the window, pen by pen.
    fn frame(&mut self, lines: &LineWork, order: &[usize]) {
        for number in PENS {
            let _ = write!(self.text, "\nSP{number};");
            if number == 2 {
                for stroke in &lines.cloth {
                    self.stroke(stroke);
                }
                if let Some((from, to)) = self.window {
                    // Where one frame is joined to the next.
                    for x in [from, to] {
                        let points = vec![(x, 0.0), (x, lines.width)];
                        self.stroke(&Stroke { kind: Kind::ClothEdge, points, closed: false });
                    }
                }
            }
            for &i in order {
                self.piece(&lines.pieces[i], number);
            }
        }
    }

    fn piece(&mut self, piece: &PieceLines, number: u8) {
        for stroke in piece.strokes.iter().filter(|s| pen(s.kind) == number) {
            self.stroke(stroke);
        }
        if number == 3 {
            for &(x, y) in &piece.holes {
                for (dx, dy) in [(1.5, 0.0), (0.0, 1.5)] {
                    let points = vec![(x - dx, y - dy), (x + dx, y + dy)];
                    self.stroke(&Stroke { kind: Kind::Internal, points, closed: false });
                }
            }
        }
        if number == 4 {
            for words in &piece.words {
                self.words(words);
            }
        }
    }

    fn stroke(&mut self, stroke: &Stroke) {
        let points = begun_near(stroke, self.at);
        match self.window {
            None => self.polyline(&points),
            Some(window) => {
                for part in within(&points, window) {
                    self.polyline(&part);
                }
            }
        }
    }

    fn polyline(&mut self, points: &[At]) {
        let [first, rest @ ..] = points else { return };
        let _ = write!(self.text, "PU{};PD", self.units(*first));
        let told: Vec<String> = rest.iter().map(|&p| self.units(p)).collect();
        self.text.push_str(&told.join(","));
        self.text.push_str(";PU;\n");
        self.at = *points.last().unwrap_or(first);
    }

    fn units(&self, (x, y): At) -> String {
        let from = self.window.map_or(0.0, |w| w.0);
        let round = |mm: f64| (mm * UNITS).round() as i64;
        format!("{},{}", round(x - from), round(y - self.middle))
    }

    /// Words in the plotter's own letters, each of which takes one and a half times its width (from
    /// memory), no wider than they were given room for.
    fn words(&mut self, words: &Line) {
        if self.window.is_some_and(|(from, to)| words.foot.0 < from || words.foot.0 >= to) {
            return;
        }
        let text = ascii(&words.text);
        let letters = text.chars().count() as f64;
        if letters == 0.0 {
            return;
        }
        let room = words.size * width(&words.text, Weight::Plain);
        let wide = (room / (1.5 * letters)).min(0.5 * words.size);
        let (sin, cos) = words.angle.to_radians().sin_cos();
        let half = 0.75 * letters * wide;
        let start = (words.foot.0 - half * cos, words.foot.1 - half * sin);
        // Sizes in centimetres; the text ends at the character ETX.
        let _ = writeln!(
            self.text,
            "PU{};DI{cos:.4},{sin:.4};SI{:.3},{:.3};LB{text}\u{3}",
            self.units(start),
            wide / 10.0,
            CAPITAL * words.size / 10.0
        );
    }
}

/// The parts of a line whose x lies in a window; what runs along its border counts as inside.
fn within(points: &[At], (from, to): (f64, f64)) -> Vec<Vec<At>> {
    let mut parts: Vec<Vec<At>> = Vec::new();
    let mut open = false;
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (low, high) = (a.0.min(b.0), a.0.max(b.0));
        if high < from || low > to {
            open = false;
            continue;
        }
        let at = |x: f64| if a.0 == b.0 { a } else { (x, a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)) };
        let clipped = |p: At| if (from..=to).contains(&p.0) { p } else { at(p.0.clamp(from, to)) };
        let (start, end) = (clipped(a), clipped(b));
        match parts.last_mut() {
            Some(part) if open && start == a => part.push(end),
            _ => parts.push(vec![start, end]),
        }
        open = end == b;
    }
    parts.retain(|part| part.windows(2).any(|pair| pair[0] != pair[1]));
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_the_window() {
        let zigzag = [(-2.0, 0.0), (2.0, 4.0), (6.0, 0.0), (8.0, 2.0), (1.0, 9.0)];
        let parts = within(&zigzag, (0.0, 5.0));
        assert_eq!(parts, [vec![(0.0, 2.0), (2.0, 4.0), (5.0, 1.0)], vec![(5.0, 5.0), (1.0, 9.0)]]);
        assert_eq!(within(&[(5.0, 0.0), (5.0, 9.0)], (0.0, 5.0)).len(), 1, "along the border");
        assert!(within(&[(6.0, 0.0), (7.0, 9.0)], (0.0, 5.0)).is_empty());
    }
}
