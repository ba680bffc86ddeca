//! The judge of a lay on a board: every piece in an allowed turn, inside the strip, as often as wanted, none over another.

use super::overlap::{common_area, interiors_meet};
use crate::board::{Board, BoardLay};
use crate::geometry::{Bounds, Point, Turn};

/// A lay that has passed [`check_board`]. It cannot be made in any other way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckedBoard {
    lay: BoardLay,
    doubled_area: i64,
    height: i64,
    pairs: usize,
}

/// What is wrong with a lay on a board.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BoardViolation {
    /// A placement is of a piece that the board does not have.
    #[error("placement {placement} is of piece number {piece}, which is not among the pieces")]
    UnknownPiece {
        /// Index into the placements.
        placement: usize,
        /// What it names.
        piece: usize,
    },
    /// A placement lies in a turn that its piece does not allow.
    #[error("placement {placement}: piece {name} is turned by {} degrees, which is not allowed", .turn.degrees())]
    Turn {
        /// Index into the placements.
        placement: usize,
        /// The piece.
        name: String,
        /// Its turn.
        turn: Turn,
    },
    /// A placement does not lie wholly on the strip.
    #[error(
        "placement {placement}: piece {name} reaches from ({}, {}) to ({}, {}), over the edge of the strip",
        .bounds.low.x, .bounds.low.y, .bounds.high.x, .bounds.high.y
    )]
    Outside {
        /// Index into the placements.
        placement: usize,
        /// The piece.
        name: String,
        /// Where it lies, in grid units.
        bounds: Bounds,
    },
    /// Two interiors meet.
    #[error(
        "placements {first} and {second}: pieces {first_name} and {second_name} overlap by {:.0} square grid units \
         near ({}, {})",
        .area, .near.x, .near.y
    )]
    Overlap {
        /// Index into the placements.
        first: usize,
        /// The other's.
        second: usize,
        /// The piece.
        first_name: String,
        /// The other piece.
        second_name: String,
        /// The common area in square grid units, about.
        area: f64,
        /// A point in the middle of it, about.
        near: Point,
    },
    /// A piece is there too often or too rarely.
    #[error("piece {name} is wanted {wanted} times and laid {laid} times")]
    Count {
        /// The piece.
        name: String,
        /// How often it should be there.
        wanted: u32,
        /// How often it is.
        laid: u32,
    },
}

/// Proves a lay against its board, exactly.
///
/// # Errors
/// All violations at once; of a piece that is not the board's, nothing more is said. Never panics, whatever the lay holds.
///
/// # Complexity
/// O(p log p) in the number of placements for ordinary lays, and for every pair of outlines whose boxes meet O(n log n) in
/// their edges near each other.
pub fn check_board(board: &Board, lay: &BoardLay) -> Result<CheckedBoard, Vec<BoardViolation>> {
    let mut found = Vec::new();
    let mut laid = vec![0; board.pieces().len()];
    let mut outlines = Vec::new();
    for (index, placement) in lay.placements.iter().enumerate() {
        let Some(piece) = board.pieces().get(placement.piece) else {
            found.push(BoardViolation::UnknownPiece { placement: index, piece: placement.piece });
            continue;
        };
        laid[placement.piece] += 1;
        if !piece.turns.contains(&placement.turn) {
            let (name, turn) = (piece.name.clone(), placement.turn);
            found.push(BoardViolation::Turn { placement: index, name, turn });
        }
        let outline = board.outline(placement);
        let bounds = outline.bounds();
        let strip = Point::new(lay.length, board.height());
        let inside =
            bounds.low.x >= 0 && bounds.low.y >= 0 && bounds.high.x <= strip.x && bounds.high.y <= strip.y;
        if !inside {
            found.push(BoardViolation::Outside { placement: index, name: piece.name.clone(), bounds });
        }
        outlines.push((index, piece, outline, bounds));
    }
    outlines.sort_by_key(|(index, _, _, bounds)| (bounds.low.x, *index));
    let mut pairs = 0;
    for (k, (first, piece, outline, bounds)) in outlines.iter().enumerate() {
        for (second, other, other_outline, other_bounds) in &outlines[k + 1..] {
            if other_bounds.low.x >= bounds.high.x {
                break;
            }
            if !bounds.interiors_meet(other_bounds) {
                continue;
            }
            pairs += 1;
            if interiors_meet(outline.points(), other_outline.points()) {
                let (area, near) = common_area(outline.points(), other_outline.points());
                found.push(BoardViolation::Overlap {
                    first: *first,
                    second: *second,
                    first_name: piece.name.clone(),
                    second_name: other.name.clone(),
                    // The amount is told in square millimetres of 100 by 100 grid units.
                    area: area * 10_000.0,
                    near,
                });
            }
        }
    }
    for (piece, laid) in board.pieces().iter().zip(laid) {
        if laid != piece.quantity {
            let (name, wanted) = (piece.name.clone(), piece.quantity);
            found.push(BoardViolation::Count { name, wanted, laid });
        }
    }
    if found.is_empty() {
        let (doubled_area, height) = (board.doubled_area(), board.height());
        Ok(CheckedBoard { lay: lay.clone(), doubled_area, height, pairs })
    } else {
        Err(found)
    }
}

impl CheckedBoard {
    /// The lay that passed.
    pub fn lay(&self) -> &BoardLay {
        &self.lay
    }

    /// Area of the pieces over the area of the strip, 0 to 1.
    pub fn density(&self) -> f64 {
        self.doubled_area as f64 / (2.0 * self.height as f64 * self.lay.length as f64)
    }

    /// Do the pieces cover the strip without a gap? Exact.
    pub fn is_full(&self) -> bool {
        i128::from(self.doubled_area) == 2 * i128::from(self.height) * i128::from(self.lay.length)
    }

    /// Pairs of outlines near enough to be compared edge by edge.
    pub fn pairs(&self) -> usize {
        self.pairs
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::{BoardPiece, BoardPlacement};
    use crate::geometry::Polygon;

    /// Two triangles that make a square of 100, and a slab beside them.
    fn board() -> Board {
        let corner = Polygon::new([(0, 0), (100, 0), (0, 100)].map(|(x, y)| Point::new(x, y)).to_vec());
        let triangle = BoardPiece {
            name: "corner".to_owned(),
            outline: corner.expect("a triangle"),
            quantity: 2,
            turns: vec![Turn::None, Turn::Half],
        };
        let slab = BoardPiece {
            name: "slab".to_owned(),
            outline: Polygon::rectangle(30, 100),
            quantity: 1,
            turns: vec![Turn::None],
        };
        Board::new(100, vec![triangle, slab]).expect("a board")
    }

    fn lay() -> BoardLay {
        let at = |piece, turn, x, y| BoardPlacement { piece, turn, position: Point::new(x, y) };
        let placements =
            vec![at(0, Turn::None, 0, 0), at(1, Turn::None, 100, 0), at(0, Turn::Half, 100, 100)];
        BoardLay { length: 130, placements }
    }

    #[test]
    fn a_good_lay_passes_with_its_density() {
        let checked = check_board(&board(), &lay()).expect("nothing is wrong");
        assert_eq!((checked.density(), checked.is_full(), checked.pairs()), (1.0, true, 1));
        let longer = check_board(&board(), &BoardLay { length: 131, ..lay() }).expect("still right");
        assert!(!longer.is_full() && longer.density() < 1.0);
    }

    #[test]
    fn every_damage_is_found_and_nothing_else() {
        let told = |damage: &dyn Fn(&mut BoardLay)| -> Vec<String> {
            let mut lay = lay();
            damage(&mut lay);
            check_board(&board(), &lay).unwrap_err().iter().map(ToString::to_string).collect()
        };
        assert_eq!(
            told(&|lay| lay.length = 129),
            ["placement 1: piece slab reaches from (100, 0) to (130, 100), over the edge of the strip"]
        );
        assert_eq!(
            told(&|lay| lay.placements[0].position.y = -1),
            ["placement 0: piece corner reaches from (0, -1) to (100, 99), over the edge of the strip"]
        );
        let overlap = told(&|lay| {
            lay.length = 131;
            lay.placements[0].position.x = 1;
        });
        assert!(overlap.len() == 2, "over the other corner and over the slab: {overlap:?}");
        assert!(
            overlap[0].starts_with("placements 2 and 0: pieces corner and corner overlap by"),
            "{overlap:?}"
        );
        assert_eq!(
            told(&|lay| lay.placements[1].turn = Turn::Half)[0],
            "placement 1: piece slab is turned by 180 degrees, which is not allowed"
        );
        assert_eq!(
            told(&|lay| lay.placements.truncate(2)),
            ["piece corner is wanted 2 times and laid 1 times"]
        );
        assert_eq!(
            told(&|lay| lay.placements[1].piece = 7),
            [
                "placement 1 is of piece number 7, which is not among the pieces",
                "piece slab is wanted 1 times and laid 0 times"
            ]
        );
    }
}
