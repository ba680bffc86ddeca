//! [`Answer`]: everything found for one cloth of a job: a marker or a refusal for every kind of spread.

use crate::length::Length;
use crate::marker::Marker;
use crate::spread::{Kind, Refusal};

/// What was found for one cloth.
#[derive(Clone, Debug)]
pub struct Answer {
    /// The kind of cloth.
    pub cloth: String,
    /// One line for each of [`Kind::ALL`], in that order.
    pub lines: Vec<Line>,
    /// Why the search ended.
    pub stopped: StopReason,
    /// Rounds done: with the same job, seed and lanes, as many rounds give the same answer on any number of threads.
    pub rounds: u64,
    /// Candidate positions evaluated.
    pub evaluations: u64,
}

impl Answer {
    /// The kinds of spread for which a marker was found, with it.
    pub fn found(&self) -> impl Iterator<Item = (Kind, &Found)> {
        self.lines.iter().filter_map(|line| Some((line.kind, line.result.as_ref().ok()?)))
    }
}

/// What was found for one kind of spread.
#[derive(Clone, Debug)]
pub struct Line {
    /// The kind of spread.
    pub kind: Kind,
    /// What was found, or why there is nothing.
    pub result: Result<Found, Refusal>,
}

/// A marker and what is known of it.
#[derive(Clone, Debug)]
pub struct Found {
    /// The shortest marker found, not yet checked; of sections one with the least to buy and, of these, the fewest pieces to lay.
    pub marker: Marker,
    /// No marker of this spread can do with less cloth.
    pub bound: Bound,
    /// Which part of the search found it.
    pub origin: Origin,
    /// The round in which it was found.
    pub round: u64,
}

/// A length of cloth with less than which no lay can do, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// The least cloth lying in the lay: twice its length where the whole width lies double.
    pub length: Length,
    /// The argument.
    pub reason: BoundReason,
}

/// The argument behind a lower bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BoundReason {
    /// All the pieces' area over the usable width.
    Area,
    /// One piece is that long.
    LongestPiece(String),
    /// Pieces that cannot lie side by side follow one another.
    OneAfterAnother(Vec<String>),
    /// No more than so many of these pieces lie side by side.
    Abreast {
        /// How many.
        most: u32,
        /// Of which pieces.
        names: Vec<String>,
    },
    /// Pieces that can only lie on a fold share the folds there are.
    OnFold(Vec<String>),
}

/// Which part of the search found a marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Bottom-left fill.
    BottomLeft,
    /// Simulated annealing over bottom-left fill.
    Annealing,
    /// Separation at a fixed length.
    Separation,
    /// A folded marker opened out.
    OpenedOut,
    /// A marker of narrower cloth, or of cloth with nap, laid on this one.
    Lent,
    /// What lies in a stretch of a longer marker.
    Stretch,
}

/// Why a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StopReason {
    /// All the rounds asked for were done.
    Rounds,
    /// The observer said stop: time was up, or a person interrupted.
    Observer,
    /// The shortest lay of all is proved the shortest, and no other spread can come to cost as little as it that does not yet.
    Optimal,
    /// Nothing to search.
    Nothing,
}
