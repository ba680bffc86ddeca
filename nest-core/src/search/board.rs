//! The search of a board: one strip without bands or plies, for instances of the packing literature and for tests.

use super::runner::{Effort, Runner};
use super::task::{Lay, Task};
use super::{Continue, Settings};
use crate::answer::{Bound, StopReason};
use crate::board::{Board, BoardLay, BoardPlacement};
use crate::bound::board_bound;
use crate::geometry::Turn;

/// How far the search of a board has come at the end of a round.
#[derive(Clone, Debug)]
pub struct BoardProgress {
    /// Rounds done.
    pub round: u64,
    /// Length of the shortest lay so far.
    pub length: i64,
    /// Candidate positions evaluated so far.
    pub evaluations: u64,
}

/// What was found for a board.
#[derive(Clone, Debug)]
pub struct BoardAnswer {
    /// The shortest lay found; not yet checked.
    pub lay: BoardLay,
    /// No lay can be shorter.
    pub bound: Bound,
    /// Why the search ended.
    pub stopped: StopReason,
    /// Rounds done: with the same board, seed and lanes, as many rounds give the same lay on any number of threads.
    pub rounds: u64,
    /// Candidate positions evaluated.
    pub evaluations: u64,
}

/// Searches for the shortest lay of a board until the rounds are done, the bound is met, or `watch` says stop.
///
/// `watch` is told of the first lay, as round 0, and of the best so far after every round, on the calling thread.
///
/// # Complexity
/// As long as the settings or `watch` allow, and some milliseconds to push what was found together; memory as for
/// [`lay`](super::lay).
///
/// # Panics
/// When the settings ask for no lane.
pub fn lay_board(
    board: &Board,
    settings: &Settings,
    mut watch: impl FnMut(&BoardProgress) -> Continue,
) -> BoardAnswer {
    assert!(settings.lanes > 0, "a search needs a lane");
    let pieces: Vec<_> =
        board.pieces().iter().map(|p| (p.outline.clone(), p.quantity, p.turns.clone())).collect();
    let task = Task::board(board.height(), &pieces);
    task.shapes.prepare(&task.outlines());
    let bound = board_bound(board);
    // The board has proved that every piece fits across in some turn.
    let mut runner = Runner::new(0, &task, settings, Effort::BOARD).expect("every piece fits across");
    let mut round = 0;
    let stopped = loop {
        let (length, evaluations) = (runner.best().length, runner.evaluations());
        let told = watch(&BoardProgress { round, length, evaluations });
        if length <= bound.length.grid() {
            break StopReason::Optimal;
        }
        if settings.rounds == Some(round) {
            break StopReason::Rounds;
        }
        if told == Continue::Stop {
            break StopReason::Observer;
        }
        round += 1;
        runner.work();
        runner.share(round);
    };
    let evaluations = runner.evaluations();
    runner.compact();
    BoardAnswer { lay: plain(board, runner.best()), bound, stopped, rounds: round, evaluations }
}

/// A lay of the task as plain data.
fn plain(board: &Board, lay: &Lay) -> BoardLay {
    // Items are the pieces in their order, each as often as wanted.
    let piece_of: Vec<usize> = board
        .pieces()
        .iter()
        .enumerate()
        .flat_map(|(index, piece)| std::iter::repeat_n(index, piece.quantity as usize))
        .collect();
    let placements = lay.spots.iter().map(|spot| {
        let piece = piece_of[spot.item as usize];
        let is_label = |turn: &Turn| u32::from(turn.degrees()) == spot.choice.label;
        let turn = Turn::ALL.into_iter().find(is_label).unwrap_or_default();
        let low = board.pieces()[piece].turned(turn).bounds().low;
        BoardPlacement { piece, turn, position: spot.at - low }
    });
    BoardLay { length: lay.length, placements: placements.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::BoardPiece;
    use crate::check::check_board;
    use crate::geometry::Polygon;

    fn hook(quantity: u32) -> BoardPiece {
        BoardPiece {
            name: "hook".to_owned(),
            outline: crate::invented::hook(),
            quantity,
            turns: vec![Turn::Quarter, Turn::ThreeQuarter],
        }
    }

    #[test]
    fn the_answer_passes_the_check_and_is_not_below_its_bound() {
        let board = Board::new(9000, vec![hook(6)]).expect("a board");
        let mut told = Vec::new();
        let settings = Settings { rounds: Some(2), ..Settings::default() };
        let answer = lay_board(&board, &settings, |progress| {
            told.push((progress.round, progress.length));
            Continue::Yes
        });
        let checked = check_board(&board, &answer.lay).expect("nothing is wrong");
        assert!(checked.density() <= 1.0 && answer.lay.length >= answer.bound.length.grid());
        assert_eq!(told.iter().map(|t| t.0).collect::<Vec<_>>(), [0, 1, 2]);
        assert!(told.windows(2).all(|t| t[1].1 <= t[0].1), "never longer: {told:?}");
        assert_eq!(told[2].1, answer.lay.length);
        assert_eq!((answer.stopped, answer.rounds), (StopReason::Rounds, 2));
        assert!(answer.evaluations > 0);
    }

    #[test]
    fn one_piece_as_large_as_all_others_leaves_no_group_empty() {
        let slab = |width: i64, height: i64, quantity: u32| BoardPiece {
            name: format!("slab {width}"),
            outline: Polygon::rectangle(width, height),
            quantity,
            turns: vec![Turn::None],
        };
        let small = (0..56).map(|k| slab(150 + k, 166, 2));
        let pieces = std::iter::once(slab(3300, 1000, 1)).chain(small).collect();
        let board = Board::new(1000, pieces).expect("a board");
        let settings = Settings { rounds: Some(8), ..Settings::default() };
        let answer = lay_board(&board, &settings, |_| Continue::Yes);
        assert!(check_board(&board, &answer.lay).expect("nothing is wrong").density() > 0.9);
    }

    #[test]
    fn a_lay_at_its_bound_ends_the_search_at_once() {
        let slab = BoardPiece {
            name: "slab".to_owned(),
            outline: Polygon::rectangle(500, 300),
            quantity: 6,
            turns: vec![Turn::None],
        };
        let board = Board::new(600, vec![slab]).expect("a board");
        let answer = lay_board(&board, &Settings::default(), |_| Continue::Yes);
        assert_eq!((answer.stopped, answer.rounds, answer.lay.length), (StopReason::Optimal, 0, 1500));
        assert!(check_board(&board, &answer.lay).expect("nothing is wrong").is_full());
    }
}
