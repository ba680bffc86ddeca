//! [`Twins`]: placements in twos, of which each is the image of the other when the lay is turned by a half about its middle.
//!
//! Two copies of a shape, one of them turned, lie well in each other: copies of any convex shape on a lattice, with turned
//! ones on another like it, can be laid so that they cover at least sqrt(3)/2 (G. Kuperberg & W. Kuperberg, "Double-lattice
//! packings of convex bodies in the plane", Discrete & Computational Geometry 5, 1990; from memory).

use std::collections::HashMap;

use super::shapes::{Outline, OutlineId};
use super::task::{Anchor, Extent, Lay, Part, Spot, Task};
use crate::geometry::Point;

/// Which placement is the image of which.
#[derive(Clone, Debug)]
pub(crate) struct Twins {
    /// Item and part of the image of each original.
    images: HashMap<(u32, u8), (u32, u8)>,
    /// What has no image.
    singles: Vec<(u32, u8)>,
    /// For each outline the same turned by a half; where there is none it is no twin's.
    turned: Vec<Option<OutlineId>>,
}

/// Least twos: fewer pieces are soon searched as they are.
const FEWEST: usize = 8;
/// Of the area of all no more than one part in so many may have no image.
const ALONE: i64 = 10;

impl Twins {
    /// Can a lay be its own image? Not with several stretches, fold depths or ways to choose, or flaws.
    pub(crate) fn can_be(task: &Task) -> bool {
        let room = &task.room;
        room.stretches.len() == 1 && room.freedom() == 0 && room.obstacles.is_empty() && !task.flexible
    }

    /// Of some items and parts; none where there [can be](Twins::can_be) none, or unless there are [`FEWEST`] twos or more and
    /// nearly everything is in them.
    pub(crate) fn of(task: &Task, some: impl IntoIterator<Item = (u32, u8)>) -> Option<Twins> {
        if !Twins::can_be(task) {
            return None;
        }
        let turned: Vec<Option<OutlineId>> =
            (0..task.shapes.count()).map(|id| task.shapes.half_turned(id)).collect();
        let mut left: Vec<(u32, u8)> = some.into_iter().collect();
        left.sort_unstable();
        let band = part(task, *left.first()?).choices.first()?.band;
        let can_turn = |one: (u32, u8)| {
            let choices = &part(task, one).choices;
            choices.iter().all(|choice| {
                let image = turned[choice.outline as usize];
                let is_offered = image.is_some_and(|image| choices.iter().any(|c| c.outline == image));
                is_offered && choice.anchor == Anchor::Free && choice.band == band
            })
        };
        let (mut images, mut singles) = (HashMap::new(), Vec::new());
        while let Some(one) = left.pop() {
            let own = part(task, one);
            let twin = left.iter().position(|&other| part(task, other).is_like(own));
            match twin.filter(|_| can_turn(one)) {
                Some(at) => {
                    images.insert(one, left.remove(at));
                }
                None => singles.push(one),
            }
        }
        let area =
            |&one: &(u32, u8)| task.shapes.outline(part(task, one).choices[0].outline).polygon.doubled_area();
        let alone: i64 = singles.iter().map(area).sum();
        let all = alone + 2 * images.keys().map(area).sum::<i64>();
        let serve = images.len() >= FEWEST && alone * ALONE <= all;
        serve.then_some(Twins { images, singles, turned })
    }

    /// Has everything an image?
    pub(crate) fn are_all(&self) -> bool {
        self.singles.is_empty()
    }

    /// Items and parts that move freely: one of each two, and what has no image.
    pub(crate) fn moving(&self) -> impl Iterator<Item = (u32, u8)> {
        self.images.keys().chain(&self.singles).copied()
    }

    /// The outline of the image of what has this outline.
    #[inline]
    pub(crate) fn turned(&self, outline: OutlineId) -> OutlineId {
        self.turned[outline as usize].expect("a twin can be turned")
    }

    /// The image of a spot, if it has one; `sum` is that of two opposite corners of the lay.
    pub(crate) fn image(&self, task: &Task, spot: &Spot, sum: Point) -> Option<Spot> {
        let &(item, p) = self.images.get(&(spot.item, spot.part))?;
        let outline = self.turned(spot.choice.outline);
        let choices = &part(task, (item, p)).choices;
        let choice = *choices.iter().find(|c| c.outline == outline).expect("a twin can be turned");
        let at = opposite(task.shapes.outline(outline), spot.at, sum);
        Some(Spot { item, part: p, choice, at })
    }

    /// A lay of what moves, and the images of that with it.
    pub(crate) fn whole(&self, task: &Task, moving: &Lay) -> Lay {
        let sum = corners(&moving.spots, &moving.extents, &task.room.bands(moving.depths()));
        let images = moving.spots.iter().filter_map(|spot| self.image(task, spot, sum));
        Lay { spots: moving.spots.iter().copied().chain(images).collect(), ..moving.clone() }
    }
}

/// The sum of two opposite corners of a lay in one band: what two points add up to of which each is the image of the other.
pub(crate) fn corners(spots: &[Spot], extents: &[Extent], bands: &[(i64, i64)]) -> Point {
    let (low, high) = spots.first().map_or((0, 0), |spot| bands[spot.choice.band as usize]);
    Point::new(extents[0].start + extents[0].end, low + high)
}

/// Where the image lies of what lies at `at`; both have boxes of the same size.
#[inline]
pub(crate) fn opposite(outline: &Outline, at: Point, sum: Point) -> Point {
    sum - at - Point::new(outline.width, outline.height)
}

/// A part of an item in the first way to lay that, the only one where there are twins.
fn part(task: &Task, (item, part): (u32, u8)) -> &Part {
    &task.items[item as usize].ways[0].parts[part as usize]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::invented::hook;
    use crate::search::bottom_left::fill;
    use crate::search::plan::Plan;

    fn board(hooks: u32, turns: &[Turn], bars: u32) -> Task {
        let bar = (Polygon::rectangle(700, 900), bars, vec![Turn::None]);
        Task::board(9000, &[(hook(), hooks, turns.to_vec()), bar])
    }

    fn twins(task: &Task) -> Option<Twins> {
        Twins::of(task, (0..task.items.len() as u32).map(|item| (item, 0)))
    }

    #[test]
    fn what_comes_in_twos_has_images_and_a_little_may_be_over() {
        let either = [Turn::None, Turn::Half];
        let count = |hooks, bars| {
            let task = board(hooks, &either, bars);
            twins(&task).map(|twins| (twins.images.len(), twins.singles.len()))
        };
        assert_eq!(count(16, 2), Some((9, 0)));
        // A bar that lies as it is when turned may be over, a tenth of the area may not.
        assert_eq!(count(16, 3), Some((9, 1)));
        assert_eq!(count(17, 1), Some((8, 2)));
        assert_eq!(count(9, 7), None);
        assert_eq!(count(14, 0), None, "too few");
        assert!(twins(&board(16, &[Turn::None], 2)).is_none(), "a hook that must not be turned has no image");
        assert!(twins(&board(16, &[Turn::None, Turn::Quarter], 2)).is_none());
    }

    #[test]
    fn a_lay_with_its_images_is_its_own_image() {
        let task = board(16, &[Turn::None, Turn::Half], 2);
        let twins = twins(&task).expect("everything is there twice");
        let plan = Plan::large_first(&task, task.room.deepest()).expect("every piece fits across");
        let (mut lay, _) = fill(&task, &plan.limited_to(twins.moving())).expect("a plan that fits");
        lay.extents[0].end = 2 * lay.length + 17;
        lay.length = lay.extents[0].end;
        let whole = twins.whole(&task, &lay);
        let mut items: Vec<u32> = whole.spots.iter().map(|spot| spot.item).collect();
        items.sort_unstable();
        assert!(items.into_iter().eq(0..18), "every item once");
        let outlines = |turned: bool| {
            let place = |spot: &Spot| {
                let outline = task.shapes.outline(spot.choice.outline);
                let low = |polygon: &Polygon| polygon.bounds().low;
                let placed = outline.polygon.shifted(spot.at - low(&outline.polygon));
                // Turned by a half, every corner goes to the opposite place.
                let corner = |p: &Point| {
                    if turned { Point::new(whole.length - p.x, 9000 - p.y) } else { *p }
                };
                let mut corners: Vec<Point> = placed.points().iter().map(corner).collect();
                corners.sort_unstable();
                corners
            };
            let mut all: Vec<Vec<Point>> = whole.spots.iter().map(place).collect();
            all.sort_unstable();
            all
        };
        assert_eq!(outlines(false), outlines(true));
    }
}
