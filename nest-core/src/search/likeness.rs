//! [`Likeness`]: by how much outlines differ in shape and size.

use std::collections::HashMap;

use super::shapes::{Outline, OutlineId, Shapes};
use crate::geometry::{Point, clipper};

/// Differences between outlines, each worked out once.
#[derive(Debug, Default)]
pub(crate) struct Likeness {
    known: HashMap<(OutlineId, OutlineId), i64>,
}

impl Likeness {
    /// Twice the area that one of two outlines covers and the other does not, when the middles of their boxes are one.
    pub(crate) fn difference(&mut self, shapes: &Shapes, one: OutlineId, other: OutlineId) -> i64 {
        let pair = (one.min(other), one.max(other));
        let work_out = || difference(shapes.outline(pair.0), shapes.outline(pair.1));
        *self.known.entry(pair).or_insert_with(work_out)
    }
}

fn difference(one: &Outline, other: &Outline) -> i64 {
    let middle = |outline: &Outline| {
        let box_of = outline.polygon.bounds();
        Point::new((box_of.low.x + box_of.high.x) / 2, (box_of.low.y + box_of.high.y) / 2)
    };
    let moved = other.polygon.shifted(middle(one) - middle(other));
    let together = clipper::union(&[one.polygon.clone(), moved]);
    let rings = together.iter().flat_map(|area| std::iter::once(&area.outer).chain(&area.holes));
    // Holes run the other way round and count against it.
    let covered: i128 = rings.map(|ring| clipper::twice_area(ring)).sum();
    2 * covered as i64 - one.polygon.doubled_area() - other.polygon.doubled_area()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Pose, Turn};
    use crate::invented::hook;

    #[test]
    fn only_what_one_of_the_two_covers_counts() {
        let mut shapes = Shapes::default();
        let mut add = |polygon: &Polygon, turn| shapes.add(polygon, Pose { mirrored: false, turn });
        let [slab, larger, across] = [(3000, 1000), (3400, 1200), (1000, 3000)]
            .map(|(width, height)| add(&Polygon::rectangle(width, height), Turn::None));
        let [hook, turned] = [Turn::None, Turn::Half].map(|turn| add(&hook(), turn));
        shapes.seal();
        let mut likeness = Likeness::default();
        let mut difference = |one, other| {
            let there = likeness.difference(&shapes, one, other);
            assert_eq!(there, likeness.difference(&shapes, other, one));
            there
        };
        assert_eq!(difference(slab, slab), 0);
        assert_eq!(difference(slab, larger), 2 * (3400 * 1200 - 3000 * 1000));
        // A cross of two bars has a middle that both cover.
        assert_eq!(difference(slab, across), 2 * (2 * 3_000_000 - 2 * 1_000_000));
        assert!(difference(hook, turned) > 2_000_000, "a hook is not what it is upside down");
    }
}
