//! [`Board`]: one strip without bands or plies, for instances of the packing literature and for tests.

use rayon::prelude::*;

use super::bottom_left::fill;
use super::plan::Plan;
use super::separate::Lane;
use super::stream::stream;
use super::task::Task;
use super::{Continue, Settings};
use crate::geometry::{Point, Polygon, Turn};

/// A strip of some height and the pieces to lay on it.
#[derive(Debug)]
pub struct Board {
    task: Task,
    height: i64,
}

/// A kind of piece on a board.
#[derive(Clone, Debug)]
pub struct BoardPiece {
    /// Its outline.
    pub outline: Polygon,
    /// How many.
    pub quantity: u32,
    /// Allowed turns.
    pub turns: Vec<Turn>,
}

/// A layout on a board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BoardLay {
    /// Its length, in grid units.
    pub length: i64,
    /// Each outline as it lies.
    pub outlines: Vec<Polygon>,
}

impl Board {
    /// A board of `height` grid units.
    pub fn new(height: i64, pieces: &[BoardPiece]) -> Board {
        let pieces: Vec<_> =
            pieces.iter().map(|p| (p.outline.clone(), p.quantity, p.turns.clone())).collect();
        Board { task: Task::board(height, &pieces), height }
    }

    /// Searches until the rounds are done or `watch`, called after each round with the best lay and the evaluations so
    /// far, says stop.
    pub fn search(
        &self,
        settings: &Settings,
        mut watch: impl FnMut(u64, &BoardLay, u64) -> Continue,
    ) -> BoardLay {
        let depths = [0, 0];
        let plan = Plan::large_first(&self.task, depths).expect("every piece fits the board across");
        let (start, _) = fill(&self.task, &plan).expect("a plan that fits can be laid");
        let mut lanes: Vec<Lane<'_>> = (0..settings.lanes)
            .map(|k| Lane::new(&self.task, start.clone(), stream(settings.seed, 0, u64::from(k), 1)))
            .collect();
        let mut round = 0;
        loop {
            round += 1;
            lanes.par_iter_mut().for_each(|lane| lane.run(500_000));
            let best =
                lanes.iter().map(Lane::best).min_by_key(|l| l.length).expect("there is a lane").clone();
            for lane in &mut lanes {
                lane.adopt(&best);
            }
            let evaluations = lanes.iter().map(Lane::evaluations).sum();
            let lay = self.lay_of(&best);
            if watch(round, &lay, evaluations) == Continue::Stop || settings.rounds == Some(round) {
                return lay;
            }
        }
    }

    /// The height.
    pub fn height(&self) -> i64 {
        self.height
    }

    fn lay_of(&self, lay: &super::task::Lay) -> BoardLay {
        let place = |at: Point, outline: u32| self.task.shapes.outline(outline).polygon.shifted(at);
        BoardLay {
            length: lay.length,
            outlines: lay.spots.iter().map(|s| place(s.at, s.choice.outline)).collect(),
        }
    }
}
