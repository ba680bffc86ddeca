//! From demands to the shortest lays: bottom-left fill, annealing, separation, and the race between spreads.

mod event;
mod settings;

pub use event::{Continue, Event, Observer, Silent};
pub use settings::Settings;
