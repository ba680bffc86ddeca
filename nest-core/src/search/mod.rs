//! From demands to the shortest lays: bottom-left fill, annealing, separation, and the race between spreads.

mod board;
mod bottom_left;
mod boxes;
mod event;
mod floor;
mod measure;
mod plan;
mod separate;
mod settings;
mod settle;
mod shapes;
mod task;

pub use board::{Board, BoardLay, BoardPiece};
pub use event::{Continue, Event, Observer, Silent};
pub use settings::Settings;
