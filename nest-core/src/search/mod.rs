//! From demands to the shortest lays: bottom-left fill, annealing, separation, and the race between spreads.

mod alternation;
mod anneal;
#[cfg(feature = "bench-internals")]
#[doc(hidden)]
pub mod bench_internals;
mod board;
mod bottom_left;
mod boxes;
mod compact;
mod corners;
mod deal;
mod descent;
mod disturb;
mod division;
mod endless;
pub(crate) mod entry;
mod event;
mod exemplar;
mod floor;
mod garments;
mod groups;
mod half_turn;
mod lanes;
mod likeness;
mod measure;
mod model;
mod near;
mod partial;
mod piecemeal;
mod plan;
mod pool;
pub(crate) mod portfolio;
mod rival;
mod runner;
mod separate;
mod settings;
mod settle;
pub(crate) mod shapes;
mod stream;
pub(crate) mod task;
mod turned;
mod twins;
mod weights;
mod window;
mod windows;

pub(crate) use partial::first_fill;
pub(crate) use stream::random_stream;

pub use board::{BoardAnswer, BoardProgress, lay_board};
pub use event::{Continue, Event, Observer, Silent};
pub use portfolio::lay;
pub use settings::Settings;

#[cfg(test)]
mod tests;
