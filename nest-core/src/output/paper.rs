//! Paper, and how a sheet larger than it is cut into pages that overlap.

use crate::length::Unit;

/// The sizes of paper that a household printer takes.
///
/// A3 and A4 are those of ISO 216; Letter is 8 1/2 by 11 in (ANSI A).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
    /// 215.9 by 279.4 mm.
    Letter,
}

impl Paper {
    /// Width and height in millimetres, upright.
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0, 297.0),
            Paper::A3 => (297.0, 420.0),
            Paper::Letter => (215.9, 279.4),
        }
    }

    /// What is at hand where lengths are given in `unit`.
    pub fn usual(unit: Unit) -> Paper {
        match unit {
            Unit::Inch | Unit::Yard => Paper::Letter,
            Unit::Mm | Unit::Cm | Unit::M => Paper::A4,
        }
    }
}

/// Pages that together show a sheet, in columns from the left and rows from the top. Millimetres.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tiling {
    /// The paper, as it lies.
    pub(super) page: (f64, f64),
    /// Kept white around the picture on every page.
    pub(super) margin: f64,
    /// What neighbouring pages both show.
    pub(super) overlap: f64,
    pub(super) columns: usize,
    pub(super) rows: usize,
}

impl Tiling {
    /// The fewest pages of one paper, upright or lying, for a sheet of some size.
    pub(super) fn new(sheet: (f64, f64), paper: (f64, f64), margin: f64, overlap: f64) -> Tiling {
        let lain = |page: (f64, f64)| {
            // A millionth of a millimetre more than a page is no page more.
            let count = |sheet: f64, page: f64| {
                (((sheet - overlap) / (page - 2.0 * margin - overlap)) - 1e-6).ceil().max(1.0) as usize
            };
            Tiling { page, margin, overlap, columns: count(sheet.0, page.0), rows: count(sheet.1, page.1) }
        };
        let (upright, lying) = (lain(paper), lain((paper.1, paper.0)));
        if lying.pages() < upright.pages() { lying } else { upright }
    }

    pub(super) fn pages(&self) -> usize {
        self.columns * self.rows
    }

    /// Width and height of the picture on a page.
    pub(super) fn window(&self) -> (f64, f64) {
        (self.page.0 - 2.0 * self.margin, self.page.1 - 2.0 * self.margin)
    }

    /// Where on the sheet the picture of a page begins.
    pub(super) fn corner(&self, column: usize, row: usize) -> (f64, f64) {
        let (wide, high) = self.window();
        (column as f64 * (wide - self.overlap), row as f64 * (high - self.overlap))
    }

    /// "B3": the row as a letter, the column as a number.
    pub(super) fn name(column: usize, row: usize) -> String {
        let mut letters = String::new();
        let mut left = row;
        loop {
            letters.insert(0, char::from(b'A' + (left % 26) as u8));
            if left < 26 {
                break;
            }
            left = left / 26 - 1;
        }
        format!("{letters}{}", column + 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_cover_the_sheet_and_overlap() {
        for sheet in [(100.0, 100.0), (2130.0, 1120.0), (744.0, 801.0), (15_600.0, 1500.0)] {
            for paper in [Paper::A4, Paper::A3, Paper::Letter] {
                let tiling = Tiling::new(sheet, paper.size(), 12.0, 15.0);
                let (wide, high) = tiling.window();
                let (x, y) = tiling.corner(tiling.columns - 1, tiling.rows - 1);
                assert!(x + wide >= sheet.0 - 1e-5 && y + high >= sheet.1 - 1e-5, "{sheet:?} {paper:?}");
                assert!(tiling.columns == 1 || x + 15.0 < sheet.0, "no column shows only what another shows");
                assert!(tiling.rows == 1 || y + 15.0 < sheet.1);
            }
        }
        // 186 by 273 mm on each page of A4, 171 by 258 anew: a lying page is 273 by 186.
        let tiling = Tiling::new((2130.0, 1120.0), Paper::A4.size(), 12.0, 15.0);
        assert_eq!((tiling.columns, tiling.rows, tiling.pages()), (9, 7, 63));
    }

    #[test]
    fn pages_are_named_by_row_and_column() {
        assert_eq!(Tiling::name(0, 0), "A1");
        assert_eq!(Tiling::name(11, 25), "Z12");
        assert_eq!(Tiling::name(0, 26), "AA1");
        assert_eq!(Tiling::name(0, 26 * 27), "AAA1");
    }
}
