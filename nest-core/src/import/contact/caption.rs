//! [`Caption`]: what is said of a piece below its drawing, and words broken into lines.

use std::collections::BTreeSet;

use super::portrait::upright;
use crate::draw::lettering::{Weight, shortened, width};
use crate::draw::measure::measure;
use crate::import::pattern::{Pattern, PatternPiece, PatternShape};
use crate::length::{Length, Unit};
use crate::piece::Grain;

/// More sizes than this are told by the smallest, the one ordered and the largest.
const SIZES: usize = 6;

/// The lines below a piece.
pub(super) struct Caption {
    lines: Vec<String>,
}

impl Caption {
    pub(super) fn new(piece: &PatternPiece, pattern: &Pattern, shown: Option<&str>) -> Caption {
        let mut lines = vec![count(piece)];
        match piece.grain {
            Grain::Lengthwise => {}
            Grain::Crosswise => lines.push("its grainline lies across the cloth".to_owned()),
            Grain::Either => lines.push("its grainline lies along the cloth or across it".to_owned()),
        }
        if piece.seam > 0.0 {
            lines.push(format!(
                "{} seam allowance is added around what is measured here",
                told(piece.seam, pattern.unit)
            ));
        }
        lines.extend(measures(piece, pattern, shown));
        lines.extend(marks(piece));
        Caption { lines }
    }

    pub(super) fn lines(&self) -> impl Iterator<Item = &str> {
        self.lines.iter().map(String::as_str)
    }
}

fn told(mm: f64, unit: Unit) -> String {
    Length::from_mm(mm).map_or_else(|_| "more than 100 m".to_owned(), |length| measure(length, unit))
}

/// How many, as pairs or on a fold, of which cloth.
fn count(piece: &PatternPiece) -> String {
    let mut said = format!("cut {}", piece.cut);
    if piece.pairs {
        let pairs = piece.cut / 2;
        said.push_str(&if pairs == 1 { ", 1 pair".to_owned() } else { format!(", {pairs} pairs") });
    }
    if piece.shapes.iter().any(|(_, shape)| shape.fold.is_some()) {
        said.push_str(", half of it drawn, on a fold or opened out");
    }
    if let Some(cloth) = &piece.cloth {
        said.push_str(&format!("; cloth: {cloth}"));
    }
    said
}

/// Length along the grain and width across it, in each size.
fn measures(piece: &PatternPiece, pattern: &Pattern, shown: Option<&str>) -> Vec<String> {
    let one = |shape: &PatternShape| {
        let frame = upright(shape, &shape.outline);
        let wide = told(frame.width(), pattern.unit);
        let twice = if shape.fold.is_some() { "2 × " } else { "" };
        format!("{} long, {twice}{wide} wide", told(frame.height(), pattern.unit))
    };
    let sized: Vec<(&String, &PatternShape)> = pattern
        .sizes
        .iter()
        .filter_map(|size| {
            piece.shapes.iter().find(|(s, _)| s.as_ref() == Some(size)).map(|(_, shape)| (size, shape))
        })
        .collect();
    if sized.is_empty() {
        return piece.shapes.iter().map(|(_, shape)| one(shape)).collect();
    }
    let last = sized.len() - 1;
    let wanted = |(i, (size, _)): &(usize, &(&String, &PatternShape))| {
        sized.len() <= SIZES || *i == 0 || *i == last || shown == Some(size.as_str())
    };
    let told = sized.iter().enumerate().filter(wanted);
    told.map(|(_, (size, shape))| format!("{size}: {}", one(shape))).collect()
}

/// How many marks there are, where there are any.
fn marks(piece: &PatternPiece) -> Option<String> {
    let range = |count: fn(&PatternShape) -> usize, one: &str, more: &str| {
        let counts: BTreeSet<usize> = piece.shapes.iter().map(|(_, shape)| count(shape)).collect();
        match (counts.first(), counts.last()) {
            (_, None | Some(0)) => None,
            (Some(1), Some(1)) => Some(format!("1 {one}")),
            (Some(low), Some(high)) if low == high => Some(format!("{high} {more}")),
            (low, Some(high)) => Some(format!("{} to {high} {more}", low.copied().unwrap_or(0))),
        }
    };
    let said: Vec<String> = [
        range(|shape| shape.notches.len(), "notch", "notches"),
        range(|shape| shape.drill_holes.len(), "drill hole", "drill holes"),
        range(|shape| shape.lines.len(), "line drawn on it", "lines drawn on it"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// Words in lines of a width given in sizes of type.
pub(super) fn wrapped(text: &str, weight: Weight, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let word = shortened(word, weight, room);
        match lines.last_mut() {
            Some(line) if width(&format!("{line} {word}"), weight) <= room => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

#[cfg(test)]
mod caption_tests {
    use super::*;

    #[test]
    fn words_fill_lines_and_keep_their_order() {
        let text = "a piece of cloth cut twice on the fold";
        let lines = wrapped(text, Weight::Plain, 8.0);
        assert!(lines.len() > 1 && lines.iter().all(|line| width(line, Weight::Plain) <= 8.0), "{lines:?}");
        assert_eq!(lines.join(" "), text);
        assert!(wrapped("", Weight::Plain, 8.0).is_empty());
        let long = "W".repeat(50);
        assert_eq!(wrapped(&long, Weight::Plain, 5.0).len(), 1, "a word too long is cut, not lost");
    }
}
