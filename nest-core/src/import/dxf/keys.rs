//! The texts of ASTM D6673 and ANSI/AAMA-292: `Piece Name: Front`, `Quantity: 1,1` and the like, in any case.

use crate::import::words::tidy_name;

/// What the style's texts say: those on layer 1 among the entities.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct StyleTexts {
    pub(super) name: Option<String>,
    pub(super) base_size: Option<String>,
    pub(super) units: Option<String>,
}

/// What a piece's texts say (layer 1 in its block).
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PieceTexts {
    pub(super) name: Option<String>,
    pub(super) size: Option<String>,
    pub(super) quantity: Option<String>,
    pub(super) material: Option<String>,
}

/// A key in small letters with single blanks, and its value.
pub(super) fn key(text: &str) -> Option<(String, String)> {
    let (key, value) = text.split_once(':')?;
    let key = key.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    Some((key, tidy_name(value)))
}

impl StyleTexts {
    pub(super) fn take(&mut self, text: &str) {
        let Some((key, value)) = key(text).filter(|(_, value)| !value.is_empty()) else {
            return;
        };
        match key.as_str() {
            "style name" => self.name = self.name.take().or(Some(value)),
            "sample size" | "base size" => self.base_size = self.base_size.take().or(Some(value)),
            "units" => self.units = self.units.take().or(Some(value)),
            _ => {}
        }
    }
}

impl PieceTexts {
    pub(super) fn take(&mut self, text: &str) {
        let Some((key, value)) = key(text).filter(|(_, value)| !value.is_empty()) else {
            return;
        };
        let field = match key.as_str() {
            "piece name" => &mut self.name,
            "size" => &mut self.size,
            "quantity" => &mut self.quantity,
            // The standard says material; files say fabric too.
            "material" | "fabric" => &mut self.material,
            _ => return,
        };
        field.get_or_insert(value);
    }
}

/// How many to cut, as a quantity says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// So many, of which nothing more is said.
    Plain(u32),
    /// As drawn, and flipped over.
    Both(u32, u32),
}

/// Reads `2` (ANSI/AAMA-292) or `1,1` (ASTM D6673: as drawn, flipped).
pub(super) fn quantity(text: &str) -> Option<Quantity> {
    let number =
        |text: &str| text.trim().parse::<u32>().ok().filter(|n| *n <= crate::job::limits::MAX_CUT / 2);
    match text.split_once([',', ';']) {
        None => number(text).map(Quantity::Plain),
        Some((plain, flipped)) => Some(Quantity::Both(number(plain)?, number(flipped)?)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_read_in_any_case() {
        let mut piece = PieceTexts::default();
        for text in
            ["PIECE NAME:  Front  left ", "Size:38", "quantity : 1,1", "FABRIC:", "Fabric: Lining", "# 12"]
        {
            piece.take(text);
        }
        assert_eq!(piece.name.as_deref(), Some("Front left"));
        assert_eq!(piece.size.as_deref(), Some("38"));
        assert_eq!(piece.quantity.as_deref(), Some("1,1"));
        assert_eq!(piece.material.as_deref(), Some("Lining"));
        assert_eq!(quantity("1,1"), Some(Quantity::Both(1, 1)));
        assert_eq!(quantity(" 2 "), Some(Quantity::Plain(2)));
        for wrong in ["", "two", "1,", "-1", "999999999999"] {
            assert_eq!(quantity(wrong), None, "{wrong}");
        }
    }
}
