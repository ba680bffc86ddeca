//! All that the outside can see or say while a search runs.

use crate::answer::Origin;
use crate::length::Length;
use crate::spread::Kind;

/// Something happened.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub enum Event {
    /// The search of one cloth begins; so many spreads are admissible.
    Started {
        /// The kind of cloth.
        cloth: String,
        /// Admissible spreads.
        spreads: usize,
        /// Placements of the first lay, of the spread that has most.
        placements: usize,
    },
    /// A spread's shortest lay became shorter. What is told is of the marker it would give now: of sections that need as much to
    /// buy the one with the fewest pieces to lay.
    Improved {
        /// The spread.
        kind: Kind,
        /// Length of the lay on the table.
        lay: Length,
        /// Cloth it takes, without allowances.
        cloth: Length,
        /// Piece area over cloth area, 0 to 1.
        efficiency: f64,
        /// Which part of the search found it.
        origin: Origin,
        /// In which round.
        round: u64,
    },
    /// A round is over: the place to look at a clock.
    RoundDone {
        /// Rounds done so far.
        round: u64,
        /// Shortest cloth of any spread so far.
        best_cloth: Option<Length>,
        /// Least cloth that any spread could take, by its bound.
        bound_cloth: Length,
    },
}

impl Event {
    /// The end of a round of which no length is told: only a place to look at a clock.
    pub(crate) fn pause(round: u64) -> Event {
        Event::RoundDone { round, best_cloth: None, bound_cloth: Length::ZERO }
    }
}

/// Whether to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Continue {
    /// Go on.
    Yes,
    /// Stop at the end of this round and keep what there is.
    Stop,
}

/// Watches a search, and may end it.
pub trait Observer {
    /// Told of every event, on the thread that called the search; the answer counts after a round.
    fn event(&mut self, event: &Event) -> Continue;
}

/// Watches nothing and never stops: for a search limited by rounds.
pub struct Silent;

impl Observer for Silent {
    fn event(&mut self, _: &Event) -> Continue {
        Continue::Yes
    }
}

impl<F: FnMut(&Event) -> Continue> Observer for F {
    fn event(&mut self, event: &Event) -> Continue {
        self(event)
    }
}
