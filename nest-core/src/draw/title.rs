//! The title: what is cut, from which cloth, how it is spread, and the figures; and the notes under the lay.

use svg::node::element::Group;

use super::Caption;
use super::lettering::{self, Anchor, Weight, width};
use super::sheet::{Block, Sheet};
use crate::job::Job;
use crate::marker::Marker;

/// The title, its corner at the page's margin.
pub(super) fn title(sheet: &Sheet, job: &Job, marker: &Marker, caption: &Caption) -> Block {
    let text = sheet.text();
    let left = sheet.margin();
    let mut group = Group::new().set("id", "title");
    let mut right: f64 = 0.0;

    let name = lettering::shortened(&job.name, Weight::Bold, 40.0);
    let mut foot = left + 1.7 * text;
    group = group.add(lettering::text(&name, (left, foot), 1.9 * text, Weight::Bold, Anchor::Start));
    right = right.max(1.9 * text * width(&name, Weight::Bold));

    let kind = lettering::shortened(&marker.cloth, Weight::Plain, 20.0);
    let spread = format!("{kind}: {}", marker.spread.title());
    foot += 2.0 * text;
    group = group.add(lettering::text(&spread, (left, foot), 1.3 * text, Weight::Plain, Anchor::Start));
    right = right.max(1.3 * text * width(&spread, Weight::Plain));

    if !caption.left_out.is_empty() {
        let words = format!("Without {}: not on this marker", caption.left_out);
        let size = 1.3 * text;
        let most = ((sheet.width() - 2.0 * left) / size).max(40.0);
        for line in set(&words, most, Weight::Bold) {
            foot += 1.9 * text;
            group = group.add(lettering::text(&line, (left, foot), size, Weight::Bold, Anchor::Start));
            right = right.max(size * width(&line, Weight::Bold));
        }
    }

    foot += 1.6 * text;
    let mut x = left;
    for (label, value) in [
        ("cloth width", &caption.width),
        ("lay length", &caption.lay_length),
        ("length to buy", &caption.to_buy),
        ("length in hand", &caption.in_hand),
        ("efficiency", &caption.efficiency),
    ] {
        if value.is_empty() {
            continue;
        }
        group = group.add(lettering::text(label, (x, foot), 0.8 * text, Weight::Plain, Anchor::Start));
        group = group.add(lettering::text(
            value,
            (x, foot + 1.5 * text),
            1.4 * text,
            Weight::Bold,
            Anchor::Start,
        ));
        x += (0.8 * text * width(label, Weight::Plain)).max(1.4 * text * width(value, Weight::Bold))
            + 1.8 * text;
        right = right.max(x - left);
    }
    Block { drawn: group, width: right, height: foot + 1.9 * text }
}

/// What to mind before cutting, about its own corner; nothing when there is nothing to say.
pub(super) fn notes(sheet: &Sheet, caption: &Caption) -> Option<Block> {
    if caption.notes.is_empty() {
        return None;
    }
    let size = 0.9 * sheet.text();
    let mut group = Group::new().set("id", "notes");
    let mut foot = size;
    group = group.add(lettering::text("Before cutting", (0.0, foot), size, Weight::Bold, Anchor::Start));
    let mut right: f64 = 0.0;
    let most = (sheet.width() - 2.0 * sheet.margin()) / size;
    for note in &caption.notes {
        for line in set(note, most, Weight::Plain) {
            foot += 1.3 * size;
            group = group.add(lettering::text(&line, (0.0, foot), size, Weight::Plain, Anchor::Start));
            right = right.max(size * width(&line, Weight::Plain));
        }
    }
    Some(Block { drawn: group, width: right, height: foot + 0.4 * size })
}

/// A sentence set into lines of at most `most` sizes.
fn set(sentence: &str, most: f64, weight: Weight) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in sentence.split_whitespace() {
        let last = lines.len() - 1;
        let longer =
            if lines[last].is_empty() { word.to_string() } else { format!("{} {word}", lines[last]) };
        if lines[last].is_empty() || width(&longer, weight) <= most {
            lines[last] = longer;
        } else {
            lines.push(word.to_string());
        }
    }
    lines
}
