//! [`Instance::scaled`]: from the units of a paper to the grid, by one factor for everything.

use super::read::Faults;
use super::{Instance, InstanceError, InstancePiece};
use crate::board::{Board, BoardFault, BoardPiece, LOOSE};
use crate::geometry::{Point, Polygon, PolygonFault};
use crate::length::MAX_GRID;

/// Grid units across the strip, about: fine enough that rounding costs no density that could be seen, coarse enough that a
/// lay of fifty times the width is still on the grid. For a longer one the strip is less finely divided.
const ACROSS: f64 = 200_000.0;

/// The strip is divided up to so many times as finely where the decimals of the file need it: better than rounding them.
const FINER: f64 = 10.0;

/// So many grid units across at least: with fewer, rounding would be seen.
const COARSEST: f64 = 2000.0;

/// A piece is so many grid units thick at least: to the search, which measures how deep pieces overlap inside a boundary shrunk by
/// a unit, thinner ones are nothing.
const THINNEST: i64 = 4;

/// An instance on the grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Scaled {
    /// The board.
    pub board: Board,
    /// Grid units to one unit of the paper: a whole number unless the strip is wider than the grid is fine.
    pub scale: f64,
    /// Did every corner and the width come to lie exactly on the grid? Otherwise the width is rounded down, and so is how far each
    /// corner lies from the lowest of its outline: what fits side by side does so on the grid, too.
    pub exact: bool,
}

impl Instance {
    /// The instance on the grid, scaled so that the strip is about 200 000 grid units across, or fewer where a loose lay is
    /// longer than fifty times the strip is wide, so that it stays on the grid. Where an outline lies in the file does not matter:
    /// on the board its lowest corner is the origin.
    ///
    /// The factor is the greatest whole number that does not make the strip wider than that; where the file's decimals need
    /// it, the greatest multiple of their power of ten, so that nothing is rounded, and where a lay leaves room for it that power
    /// itself even if it makes the strip up to ten times as fine. A strip of more units than 200 000 is brought to it by a broken
    /// factor.
    ///
    /// # Errors
    /// [`InstanceError::Problems`] when an outline is not a simple polygon on the grid, is too thin for it or does not fit across
    /// the strip, or when a loose lay is some thousand times as long as the strip is wide.
    ///
    /// # Complexity
    /// O(v log v) for v corners of ordinary outlines.
    pub fn scaled(&self) -> Result<Scaled, InstanceError> {
        let scale = self.scale();
        let mut exact = true;
        let mut faults = Faults::default();
        let mut pieces = Vec::new();
        for (index, piece) in self.pieces.iter().enumerate() {
            let place = format!("pieces[{index}].outline");
            let low = low(&piece.outline);
            let mut on_grid = |v: f64| {
                exact &= is_whole(v * scale);
                down(v * scale)
            };
            let corners: Vec<[f64; 2]> =
                piece.outline.iter().map(|&[x, y]| [x - low[0], y - low[1]].map(&mut on_grid)).collect();
            if corners.iter().flatten().any(|&v| v > MAX_GRID as f64) {
                let most = MAX_GRID as f64 / scale;
                faults.add(place, format!("is more than {most} long or wide: correct its corners"));
                continue;
            }
            let points = corners.iter().map(|&[x, y]| Point::new(x as i64, y as i64)).collect();
            match Polygon::new(points) {
                Ok(outline) if outline.is_thinner_than(THINNEST) => faults.add(
                    place,
                    format!(
                        "is thinner than {} units, which is nothing beside the strip: take it out, or correct its corners",
                        THINNEST as f64 / scale
                    ),
                ),
                Ok(outline) => pieces.push(BoardPiece {
                    name: piece.id.clone(),
                    outline,
                    quantity: piece.quantity,
                    turns: piece.turns.clone(),
                }),
                Err(fault) => faults.add(place, in_own_units(&fault, scale, low)),
            }
        }
        let width = self.strip_width * scale;
        exact &= is_whole(width);
        faults.or(())?;
        match Board::new(down(width) as i64, pieces) {
            Ok(board) => Ok(Scaled { board, scale, exact }),
            Err(BoardFault::TooHigh { name, least, height }) => {
                let units = |grid: i64| grid as f64 / scale;
                let told = format!(
                    "{name} is {} across in its narrowest turn, and the strip {}: allow other turns or widen the strip",
                    units(least),
                    units(height)
                );
                Err(Faults::one("pieces", told))
            }
            Err(BoardFault::TooLong(grid)) => {
                let told = format!(
                    "a loose lay of them is about {:.0} times as long as the strip is wide: lay fewer, or widen the strip",
                    grid as f64 / (self.strip_width * scale)
                );
                Err(Faults::one("pieces", told))
            }
            Err(other) => Err(Faults::one("pieces", other.to_string())),
        }
    }

    /// About the length of a loose lay: [`LOOSE`] times what the area takes, and the longest piece.
    fn loose_length(&self) -> f64 {
        let all = |p: &InstancePiece| f64::from(p.quantity) * area(&p.outline);
        let longest = self.pieces.iter().map(|p| side(&p.outline)).fold(0.0, f64::max);
        LOOSE as f64 * self.pieces.iter().map(all).sum::<f64>() / self.strip_width + longest
    }

    fn scale(&self) -> f64 {
        let fine = ACROSS / self.strip_width;
        // A ten-thousandth less, as corners are rounded.
        let longest = 0.9999 * MAX_GRID as f64 / self.loose_length();
        let most = fine.min(longest).max(COARSEST / self.strip_width);
        if most < 1.0 {
            return most;
        }
        let distances = self.pieces.iter().flat_map(|piece| {
            let low = low(&piece.outline);
            piece.outline.iter().flat_map(move |p| [p[0] - low[0], p[1] - low[1]])
        });
        let values: Vec<f64> = distances.chain([self.strip_width]).collect();
        let finest = most.max((FINER * fine).min(longest));
        let tens = (0..=5).map(|digits| 10f64.powi(digits)).take_while(|&ten| ten <= finest);
        let ten = tens.into_iter().find(|ten| values.iter().all(|v| is_whole(v * ten))).unwrap_or(1.0);
        (most / ten).floor().max(1.0) * ten
    }
}

/// A polygon's fault tells places in millimetres of the grid, which mean nothing here.
fn in_own_units(fault: &PolygonFault, scale: f64, low: [f64; 2]) -> String {
    match fault {
        PolygonFault::SelfContact(at) => {
            let (x, y) = (low[0] + at.x as f64 / scale, low[1] + at.y as f64 / scale);
            format!("crosses or touches itself near ({x}, {y}): correct its corners")
        }
        other => format!("{other}: correct its corners"),
    }
}

/// The least x and the least y of a ring of corners.
fn low(ring: &[[f64; 2]]) -> [f64; 2] {
    ring.iter().fold([f64::INFINITY; 2], |low, p| [low[0].min(p[0]), low[1].min(p[1])])
}

/// The area inside a ring of corners.
fn area(ring: &[[f64; 2]]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum::<f64>().abs() / 2.0
}

/// The longer side of the box about a ring of corners.
fn side(ring: &[[f64; 2]]) -> f64 {
    let reach = |k: usize| {
        let low = ring.iter().map(|p| p[k]).fold(f64::INFINITY, f64::min);
        ring.iter().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max) - low
    };
    reach(0).max(reach(1))
}

/// Is a number whole, but for what binary fractions make of decimals? A coordinate of 10⁷ is good to 10⁻⁹.
fn is_whole(value: f64) -> bool {
    (value.round() - value).abs() < 1e-6
}

/// The greatest whole number that is not above, but for the same.
fn down(value: f64) -> f64 {
    if is_whole(value) { value.round() } else { value.floor() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Turn;

    fn instance(strip_width: f64, outline: &[[f64; 2]]) -> Instance {
        let piece = InstancePiece {
            id: "only".to_owned(),
            quantity: 1,
            turns: vec![Turn::None],
            outline: outline.to_vec(),
        };
        Instance { name: "trial".to_owned(), source: String::new(), strip_width, pieces: vec![piece] }
    }

    const WEDGE: [[f64; 2]; 3] = [[0.0, 0.0], [5.0, 0.0], [0.0, 2.0]];

    #[test]
    fn the_factor_is_the_greatest_whole_one() {
        for (width, scale, height) in
            [(40.0, 5000.0, 200_000), (79.0, 2531.0, 199_949), (4900.0, 40.0, 196_000)]
        {
            let scaled = instance(width, &WEDGE).scaled().expect("fits");
            assert_eq!((scaled.scale, scaled.board.height(), scaled.exact), (scale, height, true));
        }
        let wide = instance(300_000.0, &WEDGE.map(|p| p.map(|v| v * 1000.0))).scaled().expect("fits");
        assert_eq!((wide.board.height(), wide.exact), (200_000, false));
    }

    #[test]
    fn a_long_lay_makes_the_factor_smaller() {
        // Seventeen squares of nine on a strip of ten, one after another: 153 long, and 4 · 17 · 81 / 10 + 9 when loose.
        let square = [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]];
        let mut squares = instance(10.0, &square);
        squares.pieces[0].quantity = 17;
        let scaled = squares.scaled().expect("fits");
        assert_eq!((scaled.scale, scaled.exact), (17_861.0, true));
        // One of 45 on a strip of one.
        let long = instance(1.0, &[[0.0, 0.0], [45.0, 0.0], [45.0, 1.0], [0.0, 1.0]]);
        assert_eq!(long.scaled().expect("fits").scale, 44_440.0);
        squares.pieces[0].quantity = 3_000_000;
        let told = squares.scaled().unwrap_err().to_string();
        assert!(told.starts_with("pieces: a loose lay of them is about 9720"), "{told}");
        assert!(
            told.ends_with("times as long as the strip is wide: lay fewer, or widen the strip"),
            "{told}"
        );
    }

    #[test]
    fn what_is_thinner_than_the_grid_can_tell_is_refused() {
        let bar = |thick: f64| instance(1.0, &[[0.0, 0.0], [0.5, 0.0], [0.5, thick], [0.0, thick]]).scaled();
        assert!(bar(0.000_02).is_ok());
        let told = bar(0.000_015).unwrap_err().to_string();
        assert!(told.starts_with("pieces[0].outline: is thinner than 0.00002 units"), "{told}");
    }

    #[test]
    fn decimals_come_out_exactly_where_there_is_room() {
        let scaled = instance(79.0, &[[0.0, 0.0], [5.25, 0.0], [0.125, 2.0]]).scaled().expect("fits");
        assert_eq!((scaled.scale, scaled.exact), (2000.0, true));
        // 0.9 and 1.2 are no binary fractions, yet a tenth of a unit is 2222 grid units exactly.
        let tenths = instance(9.0, &[[0.0, 0.0], [4.0, 0.9], [1.2, 1.1]]).scaled().expect("fits");
        assert_eq!((tenths.scale, tenths.board.height(), tenths.exact), (22_220.0, 199_980, true));
        // Four decimals make the strip finer than it would be otherwise.
        let fine = instance(79.0, &[[0.0, 0.0], [5.2501, 0.0], [0.125, 2.0]]).scaled().expect("fits");
        assert_eq!((fine.scale, fine.board.height(), fine.exact), (10_000.0, 790_000, true));
        let third = instance(79.0, &[[0.0, 0.0], [1.0 / 3.0, 0.0], [0.0, 2.0]]).scaled().expect("fits");
        assert_eq!((third.scale, third.exact), (2531.0, false), "no factor makes a third whole");
    }

    #[test]
    fn what_cannot_be_laid_is_told_in_the_units_of_the_file() {
        let told = |width, outline: &[[f64; 2]]| instance(width, outline).scaled().unwrap_err().to_string();
        assert_eq!(
            told(1.5, &WEDGE),
            "pieces: only is 2 across in its narrowest turn, and the strip 1.5: allow other turns or widen the strip"
        );
        let bow_tie = [[0.0, 0.0], [2.0, 2.0], [2.0, 0.0], [0.0, 2.0]];
        assert_eq!(
            told(4.0, &bow_tie),
            "pieces[0].outline: crosses or touches itself near (1, 1): correct its corners"
        );
        assert_eq!(
            told(4.0, &bow_tie.map(|[x, y]| [x - 3000.0, y + 7.0])),
            "pieces[0].outline: crosses or touches itself near (-2999, 8): correct its corners"
        );
        let needle = [[0.0, 0.0], [30_000.0, 0.0], [0.0, 0.001]];
        assert_eq!(
            told(4.0, &needle),
            "pieces[0].outline: is more than 20000 long or wide: correct its corners"
        );
    }

    #[test]
    fn where_an_outline_lies_in_the_file_does_not_matter() {
        let here = instance(4.0, &WEDGE).scaled().expect("fits");
        let away = instance(4.0, &WEDGE.map(|[x, y]| [x + 1e6, y - 3e5])).scaled().expect("fits");
        assert_eq!(here, away);
    }

    #[test]
    fn what_fills_the_strip_side_by_side_does_so_rounded() {
        // A third of a strip, a half of one with seven decimals, a sixth of a foot in millimetres less a hair.
        for (width, parts) in [(0.37, 3), (33.333_333_3, 2), (100.0 / 7.0, 6), (304.8, 7), (0.123_456_789, 1)]
        {
            let across = width / parts as f64;
            // The product of the parts may come out a last bit above the whole.
            let scaled = instance(
                width,
                &[[0.1, 0.3], [0.1 + width, 0.3], [0.1 + width, 0.3 + across], [0.1, 0.3 + across]],
            )
            .scaled()
            .expect("fits");
            let height = scaled.board.pieces()[0].outline.bounds().height();
            assert!(!scaled.exact && parts * height <= scaled.board.height(), "{parts} of {height}");
            assert!(parts * (height + 2) > scaled.board.height(), "{height} is hardly less than it was");
        }
    }
}
