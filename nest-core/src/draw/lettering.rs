//! Words on the drawing: how wide they run, where to break them, and as SVG text.

use svg::node::Node;
use svg::node::element::Element;

use super::ink::{INK, mm};

/// Advance widths of the characters from space to `~`, in thousandths of the size, of DejaVu Sans: the widest of the
/// sans serif faces in common use, read from version 2.37 of the font. In any other face words come out narrower.
const PLAIN: [u16; 95] = [
    318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337, 637, 637, 637, 637, 637,
    637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 531, 1000, 685, 687, 699, 771, 632, 576, 775, 752, 295,
    295, 656, 558, 863, 749, 788, 604, 788, 695, 635, 611, 732, 685, 989, 686, 611, 686, 391, 337, 391, 838,
    500, 500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612, 635, 635, 412, 521,
    393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
];

/// The same of the bold face.
const BOLD: [u16; 95] = [
    349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366, 696, 696, 696, 696, 696,
    696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 581, 1000, 774, 763, 734, 831, 684, 684, 821, 837, 373,
    373, 775, 638, 996, 837, 851, 733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838,
    500, 500, 675, 716, 593, 716, 679, 436, 716, 712, 343, 343, 666, 343, 1042, 712, 688, 716, 716, 494, 596,
    479, 712, 652, 924, 646, 652, 583, 712, 366, 712, 838,
];

/// From the line's foot to the top of capitals and figures, as a part of the size: 0.73 in DejaVu Sans.
pub(crate) const CAPITAL: f64 = 0.73;

/// From line to line, as a part of the size.
pub(crate) const LEADING: f64 = 1.2;

/// A weight of type.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    Plain,
    Bold,
}

/// Which part of a text its anchor is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How wide a text of size 1 runs, at the most in any usual face.
pub(crate) fn width(text: &str, weight: Weight) -> f64 {
    let table = match weight {
        Weight::Plain => &PLAIN,
        Weight::Bold => &BOLD,
    };
    let thousandths: u32 = text
        .chars()
        .map(|c| match c as u32 {
            code @ 32..=126 => u32::from(table[code as usize - 32]),
            // Latin, Greek and Cyrillic letters beyond ASCII are no wider than a bold W; all others, ideographs and
            // pictures among them, may fill their square and a little more.
            0xa0..=0x52f => 1104,
            _ => 1300,
        })
        .sum();
    f64::from(thousandths) / 1000.0
}

/// A name as it can stand in XML: control characters, which no XML may hold, become the sign for what cannot be shown;
/// line breaks become spaces.
pub(crate) fn clean(text: &str) -> String {
    let shown = |c: char| match c {
        '\t' | '\n' | '\r' => ' ',
        c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => '\u{fffd}',
        c => c,
    };
    text.chars().map(shown).collect()
}

/// A text cut to a width given in sizes, with an ellipsis where something is left out.
pub(crate) fn shortened(text: &str, weight: Weight, most: f64) -> String {
    if width(text, weight) <= most {
        return text.to_string();
    }
    let mut kept = String::new();
    for c in text.chars() {
        let longer = format!("{kept}{c}");
        if width(&longer, weight) + width("…", weight) > most {
            break;
        }
        kept = longer;
    }
    format!("{}…", kept.trim_end())
}

/// The text broken between words into at most `lines` lines, the widest as narrow as can be; nothing when it has fewer
/// words than lines.
///
/// # Complexity
/// O(w³) for w words; a name of more than thirty is not broken but left whole.
pub(crate) fn broken(text: &str, lines: usize) -> Option<Vec<String>> {
    let words: Vec<&str> = text.split_whitespace().collect();
    if words.len() < lines || lines == 0 || words.len() > 30 {
        return (lines == 1 && !words.is_empty()).then(|| vec![words.join(" ")]);
    }
    // Some stretch of words fills the widest line of the best way: the narrowest such measure that serves is it.
    let mut measures: Vec<f64> = Vec::new();
    for from in 0..words.len() {
        for to in from..words.len() {
            measures.push(width(&words[from..=to].join(" "), Weight::Plain));
        }
    }
    measures.sort_by(f64::total_cmp);
    measures.into_iter().find_map(|measure| filled(&words, measure).filter(|set| set.len() <= lines))
}

/// Words set into as few lines as can be, none wider than `measure`; nothing when a single word is wider.
fn filled(words: &[&str], measure: f64) -> Option<Vec<String>> {
    let mut set: Vec<String> = Vec::new();
    for word in words {
        if width(word, Weight::Plain) > measure {
            return None;
        }
        match set.last_mut() {
            Some(last) if width(&format!("{last} {word}"), Weight::Plain) <= measure => {
                last.push(' ');
                last.push_str(word);
            }
            _ => set.push((*word).to_string()),
        }
    }
    Some(set)
}

/// A text with its foot at a point of the page.
pub(crate) fn text(content: &str, (x, y): (f64, f64), size: f64, weight: Weight, anchor: Anchor) -> Element {
    let mut element = told("text", content);
    element.assign("x", mm(x));
    element.assign("y", mm(y));
    element.assign("font-size", mm(size));
    element.assign("fill", INK);
    if weight == Weight::Bold {
        element.assign("font-weight", "bold");
    }
    match anchor {
        Anchor::Start => {}
        Anchor::Middle => element.assign("text-anchor", "middle"),
        Anchor::End => element.assign("text-anchor", "end"),
    }
    element
}

/// An element that holds words and nothing else.
///
/// The plain [`Element`] is written on one line; the writer's own elements for text put line breaks around the words,
/// which some readers show as spaces.
pub(crate) fn told(name: &str, content: &str) -> Element {
    let mut element = Element::new(name);
    element.append(svg::node::Text::new(clean(content)));
    element
}

#[cfg(test)]
mod lettering_tests {
    use super::*;

    #[test]
    fn words_break_where_the_widest_line_is_narrowest() {
        assert_eq!(broken("left front facing", 1).unwrap(), ["left front facing"]);
        assert_eq!(broken("left front facing", 2).unwrap(), ["left front", "facing"]);
        assert_eq!(broken("left front facing", 3).unwrap(), ["left", "front", "facing"]);
        assert_eq!(broken("left front facing", 4), None);
        assert_eq!(broken("", 1), None);
    }

    #[test]
    fn what_is_too_wide_is_cut_and_says_so() {
        let cut = shortened("under collar interfacing", Weight::Plain, 6.0);
        assert!(cut.ends_with('…') && width(&cut, Weight::Plain) <= 6.0, "{cut}");
        assert_eq!(shortened("yoke", Weight::Plain, 6.0), "yoke");
    }

    #[test]
    fn what_xml_cannot_hold_is_replaced() {
        assert_eq!(clean("a\u{0}b\nc\u{1b}"), "a\u{fffd}b c\u{fffd}");
    }
}
