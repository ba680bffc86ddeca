//! [`Turned`]: the images of what moves on a floor that is its own image when it is turned by a half about its middle.

use std::sync::Arc;

use super::shapes::OutlineId;
use super::task::{Choice, Extent, Spot, Task};
use super::twins::{Twins, corners, opposite};
use crate::geometry::Point;

/// Who the images are of, and where.
#[derive(Clone, Debug)]
pub(crate) struct Turned {
    twins: Arc<Twins>,
    /// The sum of two opposite corners of the floor.
    sum: Point,
    /// For each spot that moves which one is its image.
    images: Vec<Option<u32>>,
}

impl Turned {
    pub(crate) fn new(twins: Arc<Twins>) -> Turned {
        Turned { twins, sum: Point::default(), images: Vec::new() }
    }

    /// The images, which come after all that moves.
    pub(crate) fn images_of(
        &mut self,
        task: &Task,
        moving: &[Spot],
        extents: &[Extent],
        bands: &[(i64, i64)],
    ) -> Vec<Spot> {
        self.sum = corners(moving, extents, bands);
        let images: Vec<Option<Spot>> =
            moving.iter().map(|spot| self.twins.image(task, spot, self.sum)).collect();
        let mut next = moving.len() as u32..;
        self.images = images.iter().map(|image| image.and_then(|_| next.next())).collect();
        images.into_iter().flatten().collect()
    }

    /// Which spot is the image of one that moves.
    #[inline]
    pub(crate) fn image_of(&self, k: usize) -> Option<usize> {
        self.images.get(k).copied().flatten().map(|image| image as usize)
    }

    /// Does it move and have no image?
    #[inline]
    pub(crate) fn is_single(&self, k: usize) -> bool {
        self.images.get(k).is_some_and(Option::is_none)
    }

    /// The image of a spot.
    pub(crate) fn image(&self, task: &Task, spot: &Spot) -> Option<Spot> {
        self.twins.image(task, spot, self.sum)
    }

    /// Outline and place of the image of a choice at a place.
    #[inline]
    pub(crate) fn opposite(&self, task: &Task, choice: Choice, at: Point) -> (OutlineId, Point) {
        let outline = self.twins.turned(choice.outline);
        (outline, opposite(task.shapes.outline(outline), at, self.sum))
    }
}
