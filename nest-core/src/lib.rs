//! Cloth nesting: from pattern pieces and cloth to the shortest marker, exactly checked.
//!
//! Given the pieces of a garment (or of a small run of several sizes) and the cloth they are to be cut from, this
//! library works out every admissible way to fold or spread that cloth, searches each for the shortest layout, and
//! returns markers that have passed an exact, independent check.
//!
//! # The lay frame
//!
//! `x` runs along the cloth (lengthwise grain), `y` across it. `y = 0` is the edge nearest the cutter (the fold, when
//! the cloth is folded); `x = 0` is the starting cut end. A coordinate is a whole number of hundredths of a
//! millimetre, the *grid*, held in an `i64`; nothing is larger than [`length::MAX_GRID`], so every predicate is exact.
//! Pieces may touch; they never overlap.
//!
//! # The way of a job
//!
//! ```text
//! job file -> Job -> spreads (or refusals) -> Demand -> search -> Marker -> check -> Report -> text, JSON, SVG
//! ```

#![warn(clippy::print_stderr, clippy::print_stdout)]
#![cfg_attr(
    test,
    allow(clippy::disallowed_methods, reason = "tests read samples and write drawings to be looked at")
)]

pub mod geometry;
pub mod length;

pub mod cloth;
pub mod order;
pub mod piece;
pub mod remnant;
pub mod style;

pub mod import;
pub mod instance;
pub mod job;
pub mod marker;
pub mod spread;

pub mod check;
pub mod in_hand;
pub mod purchase;

pub mod answer;
pub mod board;
pub mod draw;
pub mod search;

pub mod report;

pub mod compare;

pub mod output;

#[cfg(test)]
mod invented;

mod bound;
pub mod demand;

pub mod share_out;

pub use bound::admissible;
pub use search::lay;
