//! Exact plane geometry on the integer grid: points and rings, never cloth or garments.

mod chords;
pub mod clipper;
mod convex;
mod easing;
mod flatten;
mod geo_types;
#[cfg(test)]
mod kernel_properties;
mod motion;
mod no_fit;
mod octagon;
mod point;
mod polygon;
mod pose;
mod predicates;

pub use convex::{Between, ConvexParts};
pub(crate) use easing::eased;
pub(crate) use flatten::{FlattenLimits, PathFault, flatten_path, flatten_subpaths};
pub(crate) use kurbo::Point as DrawnPoint;
pub use motion::Motion;
pub use no_fit::NoFit;
pub use point::{Bounds, Point};
pub use polygon::{Polygon, PolygonFault};
pub use pose::{Pose, Turn};
pub use predicates::{
    Orientation, PointLocation, SegmentRelation, locate, on_segment, orientation, relate_segments,
};
