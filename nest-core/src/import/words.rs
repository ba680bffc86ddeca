//! What a drawn thing says of itself: a role, and traits of the piece, from names and ids by a convention of ours.
//!
//! A name is `name--word--word`: the piece's name, and after each double hyphen a word with its value, such as
//! `front--cut-2--pairs--size-38--cloth-lining--grain-crosswise--seam-10mm`. With nothing before the first double hyphen
//! the words hold for everything in the group. A name without double hyphens whose first or last word is `grain`,
//! `grainline`, `fold`, `notch`, `drill`, `outline`, `scale` or `ignore` (or their plural) is a role: `grainline`,
//! `front-grainline`, `notches_2`.

use crate::piece::Grain;

/// What a drawn thing is on its piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Role {
    /// What is cut.
    Outline,
    /// Laid along the grain, drawn from the bottom of the piece to its top.
    Grainline,
    /// The edge of a half piece that lies on a fold.
    Fold,
    /// A mark on the edge.
    Notch,
    /// A mark inside.
    DrillHole,
    /// A line to draw.
    Internal,
    /// A line of known length, by which the scale is checked.
    Scale,
    /// Not part of the pattern.
    Ignore,
}

/// What is said of a piece beside its shape. What is not said is inherited from the group around.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Traits {
    pub(super) cut: Option<u32>,
    pub(super) pairs: Option<bool>,
    pub(super) cloth: Option<String>,
    pub(super) size: Option<String>,
    pub(super) grain: Option<Grain>,
    /// In millimetres.
    pub(super) seam: Option<f64>,
}

impl Traits {
    /// These, and where they are silent those of the group around.
    pub(super) fn within(self, around: &Traits) -> Traits {
        Traits {
            cut: self.cut.or(around.cut),
            pairs: self.pairs.or(around.pairs),
            cloth: self.cloth.or_else(|| around.cloth.clone()),
            size: self.size.or_else(|| around.size.clone()),
            grain: self.grain.or(around.grain),
            seam: self.seam.or(around.seam),
        }
    }

    /// Takes in one word and its value.
    ///
    /// # Errors
    /// What would be right, when the word is not known or its value is not one.
    pub(super) fn take(&mut self, word: &str, value: &str) -> Result<(), &'static str> {
        let value = value.trim();
        let wanted = match word.trim().to_lowercase().as_str() {
            "cut" => match value.parse::<u32>() {
                Ok(cut) if (1..=crate::job::limits::MAX_CUT).contains(&cut) => {
                    self.cut = Some(cut);
                    return Ok(());
                }
                _ => "a whole number of 1 or more",
            },
            "pair" | "pairs" => match value.to_lowercase().as_str() {
                "" | "yes" | "true" | "1" => {
                    self.pairs = Some(true);
                    return Ok(());
                }
                "no" | "false" | "0" => {
                    self.pairs = Some(false);
                    return Ok(());
                }
                _ => "yes or no",
            },
            "cloth" if !value.is_empty() => {
                self.cloth = Some(tidy_name(value));
                return Ok(());
            }
            "size" if !value.is_empty() => {
                self.size = Some(tidy_name(value));
                return Ok(());
            }
            "cloth" | "size" => "a name",
            "grain" => match value.to_lowercase().as_str() {
                "lengthwise" => {
                    self.grain = Some(Grain::Lengthwise);
                    return Ok(());
                }
                "crosswise" => {
                    self.grain = Some(Grain::Crosswise);
                    return Ok(());
                }
                "either" => {
                    self.grain = Some(Grain::Either);
                    return Ok(());
                }
                _ => "lengthwise, crosswise or either",
            },
            "seam" => match measure(value) {
                Some(mm) if (0.0..=200.0).contains(&mm) => {
                    self.seam = Some(mm);
                    return Ok(());
                }
                _ => "a measure with its unit, such as 10mm or 3/8in",
            },
            _ => return Err("one of cut, pairs, cloth, size, grain or seam"),
        };
        Err(wanted)
    }
}

/// A name taken apart.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Label {
    /// The name of the piece, when the thing has a name that a person gave it and that is no role.
    pub(super) name: Option<String>,
    pub(super) role: Option<Role>,
    pub(super) traits: Traits,
    /// Are words given with the name? Then a group of that name is one piece.
    pub(super) is_piece: bool,
    /// Words that could not be taken in, and what would be right.
    pub(super) unknown: Vec<(String, &'static str)>,
}

/// Reads a name or an id.
pub(super) fn label(text: &str) -> Label {
    let text = unescaped(text);
    let mut parts = text.split("--");
    let name = tidy_name(parts.next().unwrap_or(""));
    let mut label = Label::default();
    let mut words = false;
    for part in parts.filter(|part| !part.trim().is_empty()) {
        words = true;
        let part = part.trim();
        let end = part.find(|c: char| !c.is_alphabetic()).unwrap_or(part.len());
        let value = part[end..].trim_start_matches(['-', '_', ' ', '=', ':']);
        if let Err(wanted) = label.traits.take(&part[..end], value) {
            label.unknown.push((part.to_owned(), wanted));
        }
    }
    if words {
        label.is_piece = !name.is_empty();
        label.name = (!name.is_empty()).then_some(name);
        return label;
    }
    label.role = role(&name);
    label.name = (label.role.is_none() && !name.is_empty() && !is_automatic(&name)).then_some(name);
    label
}

/// The role that a name tells by its first or last word.
pub(super) fn role(name: &str) -> Option<Role> {
    let mut words: Vec<String> = name
        .split(|c: char| !c.is_alphabetic())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    // "grain line" and "drill hole" are one word each.
    for (a, b) in
        [("grain", "line"), ("fold", "line"), ("fold", "edge"), ("drill", "hole"), ("drill", "holes")]
    {
        if let Some(i) = words.windows(2).position(|pair| pair[0] == a && pair[1] == b) {
            words.remove(i + 1);
        }
    }
    let told = |word: &String| match word.as_str() {
        "outline" | "outlines" => Some(Role::Outline),
        "grain" | "grainline" | "grainlines" => Some(Role::Grainline),
        "fold" | "folds" | "foldline" | "foldedge" => Some(Role::Fold),
        "notch" | "notches" => Some(Role::Notch),
        "drill" | "drills" | "drillhole" | "drillholes" => Some(Role::DrillHole),
        "internal" => Some(Role::Internal),
        "scale" => Some(Role::Scale),
        "ignore" => Some(Role::Ignore),
        _ => None,
    };
    words.last().and_then(told).or_else(|| words.first().and_then(told))
}

/// Is it a name that a drawing program gives of its own accord, such as `path1234` or `Layer_1`?
fn is_automatic(name: &str) -> bool {
    const GIVEN: [&str; 22] = [
        "path",
        "rect",
        "rectangle",
        "circle",
        "ellipse",
        "polygon",
        "polyline",
        "line",
        "compound path",
        "group",
        "g",
        "layer",
        "svg",
        "use",
        "shape",
        "object",
        "clone",
        "image",
        "text",
        "tspan",
        "root",
        "surface",
    ];
    let letters: String = name
        .to_lowercase()
        .split(|c: char| !c.is_alphabetic())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ");
    letters.is_empty() && !name.chars().any(char::is_numeric)
        || GIVEN.contains(&letters.as_str())
        // A bare number is an automatic id of some programs; a person names a piece with a letter.
        || letters.is_empty()
}

/// An id with the escapes of drawing programs undone: `_x2D_` for a hyphen, `_2_` at the end of a repeated id, and
/// underscores for spaces.
fn unescaped(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("_x") {
        let code = rest[at + 2..].split('_').next().unwrap_or("");
        let ends = rest[at + 2 + code.len()..].starts_with('_');
        let character =
            u32::from_str_radix(code, 16).ok().and_then(char::from_u32).filter(|c| !c.is_control());
        plain.push_str(&rest[..at]);
        match character {
            Some(c) if ends && code.len() <= 6 => {
                plain.push(c);
                rest = &rest[at + 3 + code.len()..];
            }
            _ => {
                plain.push_str("_x");
                rest = &rest[at + 2..];
            }
        }
    }
    plain.push_str(rest);
    if let Some(shorter) = plain.strip_suffix('_') {
        let stem = shorter.trim_end_matches(|c: char| c.is_ascii_digit());
        if stem.len() < shorter.len() && stem.ends_with('_') {
            plain = stem.trim_end_matches('_').to_owned();
        }
    }
    plain.replace('_', " ")
}

/// A name on one line, without control characters, and no longer than a name may be.
pub(super) fn tidy_name(text: &str) -> String {
    let plain: String =
        text.chars().map(|c| if c.is_control() || c.is_whitespace() { ' ' } else { c }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    words.join(" ").chars().take(crate::job::limits::MAX_NAME).collect::<String>().trim_end().to_owned()
}

/// A measure with its unit, in millimetres: `10mm`, `1 cm`, `5/8in`, `1 1/2 in`.
pub(super) fn measure(text: &str) -> Option<f64> {
    let text = text.trim();
    let digits = text.trim_end_matches(|c: char| c.is_alphabetic() || c == '"');
    let unit = match text[digits.len()..].to_lowercase().as_str() {
        "mm" => 1.0,
        "cm" => 10.0,
        "in" | "inch" | "inches" | "\"" => 25.4,
        _ => return None,
    };
    let mut value = 0.0;
    for part in digits.split_whitespace() {
        value += match part.split_once('/') {
            Some((a, b)) => a.parse::<f64>().ok()? / b.parse::<f64>().ok().filter(|b| *b > 0.0)?,
            None => part.parse::<f64>().ok()?,
        };
    }
    (!digits.trim().is_empty() && value.is_finite()).then_some(value * unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_carries_the_traits_of_its_piece() {
        let front =
            label("Front_x20_upper--cut-2--pairs--size-38--cloth-lining--grain-crosswise--seam-3/8in");
        assert_eq!(front.name.as_deref(), Some("Front upper"));
        assert!(front.is_piece && front.unknown.is_empty());
        let traits = front.traits;
        assert_eq!((traits.cut, traits.pairs, traits.grain), (Some(2), Some(true), Some(Grain::Crosswise)));
        assert_eq!((traits.cloth.as_deref(), traits.size.as_deref()), (Some("lining"), Some("38")));
        assert!((traits.seam.unwrap() - 9.525).abs() < 1e-9);

        let layer = label("--size-M");
        assert_eq!((layer.name, layer.is_piece, layer.traits.size.as_deref()), (None, false, Some("M")));
        let wrong = label("back--cut-none--colour-red");
        assert_eq!(wrong.unknown.len(), 2);
        assert_eq!(wrong.traits, Traits::default());
    }

    #[test]
    fn roles_stand_first_or_last_and_pieces_keep_their_names() {
        for (name, expected) in [
            ("grainline", Some(Role::Grainline)),
            ("front-grain_line", Some(Role::Grainline)),
            ("Notches 2", Some(Role::Notch)),
            ("fold", Some(Role::Fold)),
            ("drill-hole-3", Some(Role::DrillHole)),
            ("ignore", Some(Role::Ignore)),
            ("foldover collar", None),
            ("waist fold band", None),
            ("front", None),
        ] {
            assert_eq!(label(name).role, expected, "{name}");
        }
        for automatic in ["path1234-5", "Layer_1", "g8", "rect", "svg_3", "12", "Compound_Path_2_"] {
            assert_eq!(label(automatic).name, None, "{automatic}");
        }
        for (given, name) in
            [("front_1_", "front"), ("Back yoke", "Back yoke"), ("line-of-buttons", "line-of-buttons")]
        {
            assert_eq!(label(given).name.as_deref(), Some(name));
        }
    }

    #[test]
    fn measures_need_a_unit() {
        for (text, mm) in
            [("10mm", 10.0), ("1 cm", 10.0), ("5/8in", 15.875), ("1 1/2 in", 38.1), ("2\"", 50.8)]
        {
            assert!((measure(text).unwrap() - mm).abs() < 1e-9, "{text}");
        }
        for wrong in ["", "10", "mm", "1/0in", "ten mm", "1e400mm"] {
            assert_eq!(measure(wrong), None, "{wrong}");
        }
    }
}
