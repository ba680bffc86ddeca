//! Comparing every way to use the cloth: a matrix over spreads, cloth widths, nap, views and sizes.
//!
//! A *column* is one order on one cloth; its *cells* are the kinds of spread, searched together as [`lay`](crate::lay)
//! does. [`Axes`] say what is varied and make the columns; [`compare`] searches them, each a short look and then where a
//! step less to buy is near, and lends markers to cloth that can hold them: a wider cloth never takes more than a narrower
//! one on the same spread, nor cloth without nap more than with, but for flaws, which one cloth has and another has not. Where
//! cloth in hand is too short, part of the rounds goes into what to leave out. Every figure is that of a marker that passed the check on
//! the cloth of its own column.

mod axes;
mod contest;
mod effort;
mod in_hand;
pub mod json;
mod leave_out;
mod lend;
mod page;
mod result;
mod table;
mod text;

pub use axes::{Axes, AxisFault, Case, MAX_COLUMNS, Pick, Width};
pub use contest::{Progress, Stage, compare};
pub use in_hand::InHand;
pub use leave_out::LEAVING_OUT;
pub use result::{Column, Comparison, Marks, NapCost};

#[cfg(test)]
mod tests;
