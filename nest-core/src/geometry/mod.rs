//! Exact plane geometry on the integer grid: points and rings, never cloth or garments.

mod point;
mod polygon;
mod pose;
mod predicates;

pub use point::{Bounds, Point};
pub use polygon::{Polygon, PolygonFault};
pub use pose::{Pose, Turn};
pub use predicates::{
    Orientation, PointLocation, SegmentRelation, locate, on_segment, orientation, relate_segments,
};
