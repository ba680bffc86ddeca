//! [`Pool`]: failed layouts worth another try, no two of them alike.

use super::task::{Lay, Spot, Task};

/// Layouts with overlaps at about one length, least overlap first.
///
/// A layout that comes back to what is already there must not take another place: without that rule, most of the pool soon
/// holds copies of the best lay, shortened.
pub(crate) struct Pool {
    entries: Vec<(f32, Lay)>,
}

/// Layouts kept.
const SIZE: usize = 40;
/// Two layouts are alike when pieces making up this part of the area lie within this part of the lay's length of where a
/// piece of the same outline lies in the other.
const ALIKE: f64 = 0.95;
const NEAR: f64 = 0.01;

impl Pool {
    pub(crate) fn new() -> Pool {
        Pool { entries: Vec::new() }
    }

    pub(crate) fn clear(&mut self) {
        self.entries.clear();
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The least overlap of those here that a layout is like.
    pub(crate) fn twin(&self, task: &Task, spots: &[Spot]) -> Option<f32> {
        let twin = self.entries.iter().find(|(_, lay)| alike(task, spots, &lay.spots, lay.length));
        twin.map(|&(overlap, _)| overlap)
    }

    /// Takes in a failed layout; of two that are alike the one with less overlap stays.
    pub(crate) fn put(&mut self, task: &Task, overlap: f32, lay: Lay) {
        if let Some(twin) =
            self.entries.iter().position(|(_, other)| alike(task, &lay.spots, &other.spots, lay.length))
        {
            if self.entries[twin].0 <= overlap {
                return;
            }
            self.entries.remove(twin);
        }
        let at = self.entries.partition_point(|(t, _)| *t <= overlap);
        self.entries.insert(at, (overlap, lay));
        self.entries.truncate(SIZE);
    }

    /// One of the layouts, more often one near the top: `chance` from 0 to 1.
    pub(crate) fn pick(&self, chance: f64) -> &Lay {
        &self.entries[(chance * self.entries.len() as f64) as usize].1
    }
}

/// # Complexity
/// O(n²) for n placements.
fn alike(task: &Task, a: &[Spot], b: &[Spot], length: i64) -> bool {
    let near = (length as f64 * NEAR) as i64;
    let (mut same, mut all) = (0.0, 0.0);
    for spot in a {
        let area = task.shapes.outline(spot.choice.outline).polygon.area_mm2();
        all += area;
        let found = b.iter().any(|other| {
            other.choice == spot.choice
                && (other.at.x - spot.at.x).abs() <= near
                && (other.at.y - spot.at.y).abs() <= near
        });
        if found {
            same += area;
        }
    }
    same >= all * ALIKE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Point, Polygon, Turn};
    use crate::search::bottom_left::fill_large_first;

    #[test]
    fn of_layouts_that_are_alike_only_the_best_stays() {
        let large = Polygon::rectangle(4000, 3000);
        let task = Task::board(
            9000,
            &[(large, 6, vec![Turn::None]), (Polygon::rectangle(300, 200), 3, vec![Turn::None])],
        );
        let lay = fill_large_first(&task).expect("every piece fits across");
        let moved = |k: usize, by: i64| {
            let mut lay = lay.clone();
            lay.spots[k].at = lay.spots[k].at + Point::new(by, 0);
            lay
        };
        // The last three are small: where they lie makes no other layout.
        let other = moved(0, 2000);
        let mut pool = Pool::new();
        pool.put(&task, 5.0, lay.clone());
        pool.put(&task, 7.0, moved(0, 20));
        pool.put(&task, 3.0, moved(8, 2000));
        pool.put(&task, 9.0, other.clone());
        pool.put(&task, 8.0, other.clone());
        let overlaps: Vec<f32> = pool.entries.iter().map(|e| e.0).collect();
        assert_eq!(overlaps, [3.0, 8.0]);
        assert_eq!(pool.twin(&task, &lay.spots), Some(3.0));
        assert_eq!(pool.twin(&task, &other.spots), Some(8.0));
        assert_eq!(pool.twin(&task, &moved(1, 1500).spots), None);
        assert_eq!(pool.pick(0.0), &moved(8, 2000));
    }
}
