//! [`Board`]: one strip without folds, bands or plies, as the packing literature has it, and the lays on it.

use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::length::MAX_GRID;

/// A strip of some height, and the pieces to lay on it in the least length.
///
/// # Frame and units
/// As in the lay frame: x along the strip, from 0 to the length sought; y across it, from 0 to the height. Grid units,
/// which a board may take for anything: a density is a ratio.
///
/// # Validity
/// Every piece has a turn in which it fits across, and a lay of a quarter of the density that area alone would allow is
/// still within the grid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Board {
    height: i64,
    pieces: Vec<BoardPiece>,
}

/// A kind of piece on a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardPiece {
    /// What messages call it.
    pub name: String,
    /// Its outline.
    pub outline: Polygon,
    /// How many to lay, each of them.
    pub quantity: u32,
    /// Allowed turns.
    pub turns: Vec<Turn>,
}

/// Why there is no such board.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BoardFault {
    /// There is no height to lay on.
    #[error("the strip is {0} grid units wide; it needs at least one")]
    NoHeight(i64),
    /// There is nothing to lay.
    #[error("there are no pieces to lay")]
    NoPieces,
    /// No turn is allowed.
    #[error("piece {0} may not lie in any turn: allow 0 at least")]
    NoTurn(String),
    /// A piece is too high in every allowed turn.
    #[error(
        "piece {name} is {least} grid units across the strip in its narrowest turn; the strip has {height}"
    )]
    TooHigh {
        /// The piece.
        name: String,
        /// Its least height over the allowed turns.
        least: i64,
        /// The strip's.
        height: i64,
    },
    /// A loose lay would leave the grid.
    #[error("a loose lay of the pieces takes {0} grid units; the most that can be handled is {MAX_GRID}")]
    TooLong(i64),
}

/// A layout on a board, as plain data.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardLay {
    /// Its length.
    pub length: i64,
    /// Where the pieces lie.
    pub placements: Vec<BoardPlacement>,
}

/// One piece on a board: its outline turned about the origin, then moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BoardPlacement {
    /// Index into the board's pieces.
    pub piece: usize,
    /// The turn.
    pub turn: Turn,
    /// The shift after it.
    pub position: Point,
}

/// Beside the longest piece a loose lay is as long as so many times the area would take with no waste. Bottom-left fills of
/// real pieces are two thirds full; a quarter leaves room for odd ones.
pub(crate) const LOOSE: i64 = 4;

impl BoardPiece {
    /// The outline in a turn, about the origin.
    pub fn turned(&self, turn: Turn) -> Polygon {
        self.outline.posed(Pose { mirrored: false, turn })
    }

    /// The outline in every allowed turn in which it fits a strip of some height.
    pub(crate) fn fitting(&self, height: i64) -> Vec<Polygon> {
        let turned = self.turns.iter().map(|&turn| self.turned(turn));
        turned.filter(|outline| outline.bounds().height() <= height).collect()
    }
}

impl Board {
    /// A board `height` grid units across.
    ///
    /// # Errors
    /// A [`BoardFault`] when nothing can be laid on it.
    pub fn new(height: i64, pieces: Vec<BoardPiece>) -> Result<Board, BoardFault> {
        if height <= 0 {
            return Err(BoardFault::NoHeight(height));
        }
        let pieces: Vec<BoardPiece> = pieces.into_iter().filter(|piece| piece.quantity > 0).collect();
        if pieces.is_empty() {
            return Err(BoardFault::NoPieces);
        }
        let mut longest = 0;
        for piece in &pieces {
            let heights = piece.turns.iter().map(|&turn| piece.turned(turn).bounds().height());
            let Some(least) = heights.min() else { return Err(BoardFault::NoTurn(piece.name.clone())) };
            if least > height {
                return Err(BoardFault::TooHigh { name: piece.name.clone(), least, height });
            }
            let widths = piece.fitting(height).into_iter().map(|outline| outline.bounds().width());
            longest = widths.fold(longest, i64::max);
        }
        let board = Board { height, pieces };
        let loose = board.doubled_area() / height * LOOSE / 2 + longest;
        if height.max(loose) > MAX_GRID {
            return Err(BoardFault::TooLong(height.max(loose)));
        }
        Ok(board)
    }

    /// The height of the strip.
    pub fn height(&self) -> i64 {
        self.height
    }

    /// The pieces, none of them wanted zero times.
    pub fn pieces(&self) -> &[BoardPiece] {
        &self.pieces
    }

    /// How many placements there are to make.
    pub fn count(&self) -> u32 {
        self.pieces.iter().map(|piece| piece.quantity).sum()
    }

    /// Twice the area of all pieces, exactly.
    pub fn doubled_area(&self) -> i64 {
        self.pieces.iter().map(|piece| piece.outline.doubled_area() * i64::from(piece.quantity)).sum()
    }

    /// Area of all pieces over the area of the strip up to some length, 0 to 1 for a length that a lay can have.
    pub fn density(&self, length: i64) -> f64 {
        self.doubled_area() as f64 / (2.0 * self.height as f64 * length as f64)
    }

    /// The outline of a placement where it lies.
    ///
    /// # Panics
    /// When the board has no such piece.
    pub fn outline(&self, placement: &BoardPlacement) -> Polygon {
        self.pieces[placement.piece].turned(placement.turn).shifted(placement.position)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slab(width: i64, height: i64, quantity: u32, turns: &[Turn]) -> BoardPiece {
        BoardPiece {
            name: format!("{width} by {height}"),
            outline: Polygon::rectangle(width, height),
            quantity,
            turns: turns.to_vec(),
        }
    }

    #[test]
    fn what_cannot_be_laid_is_refused() {
        let board = |height, piece| Board::new(height, vec![piece]).map(|board| board.count());
        assert_eq!(board(0, slab(1, 1, 1, &Turn::ALL)), Err(BoardFault::NoHeight(0)));
        assert_eq!(board(9, slab(1, 1, 0, &Turn::ALL)), Err(BoardFault::NoPieces));
        assert_eq!(board(9, slab(1, 1, 1, &[])), Err(BoardFault::NoTurn("1 by 1".into())));
        let name = "7 by 12".to_owned();
        assert_eq!(
            board(9, slab(7, 12, 1, &[Turn::None])),
            Err(BoardFault::TooHigh { name, least: 12, height: 9 })
        );
        assert_eq!(board(9, slab(7, 12, 3, &Turn::ALL)), Ok(3), "it fits when turned");
        assert_eq!(board(9, slab(7, 9, 2_000_000, &[Turn::None])), Err(BoardFault::TooLong(56_000_007)));
    }

    #[test]
    fn density_is_area_over_area() {
        let board = Board::new(10, vec![slab(6, 5, 2, &[Turn::None]), slab(4, 5, 1, &[Turn::None])]).unwrap();
        assert_eq!((board.doubled_area(), board.count()), (160, 3));
        assert_eq!(board.density(10), 0.8);
    }
}
