//! [`Garments`]: what a task lays taken apart into whole garments, to be dealt to groups as they are.
//!
//! In groups of whole garments all pieces of one are of the same sizes, so a dense lay of one group fits another nearly as well:
//! where a piece is a size larger, so are those beside it.

use std::collections::BTreeMap;

use super::deal::{Kinds, Share};
use super::task::Task;

/// Garments that lie on about as much cloth, size by size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Garments(Vec<Size>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Size {
    /// Units of each kind in a garment.
    counts: Vec<usize>,
    /// Twice the area of a garment.
    area: i64,
    /// How many garments there are.
    number: usize,
}

/// The largest garment has no more than so many times the area of the smallest: groups of as many are to be about as long.
const UNEVEN: i64 = 2;

impl Garments {
    /// As many as can be of each size, all with the same pieces; none where sizes are too uneven.
    ///
    /// # Complexity
    /// O(units + sizes² · kinds).
    pub(crate) fn of(task: &Task, kinds: &Kinds) -> Option<Garments> {
        let mut all: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (kind, units) in kinds.units.iter().enumerate() {
            for unit in units {
                all.entry(unit.size(task)).or_insert_with(|| vec![0; kinds.units.len()])[kind] += 1;
            }
        }
        let mut sizes: Vec<Size> = Vec::new();
        for mut counts in all.into_values() {
            let number = counts.iter().copied().fold(0, common_divisor);
            counts.iter_mut().for_each(|n| *n /= number);
            match sizes.iter_mut().find(|size| size.counts == counts) {
                Some(known) => known.number += number,
                None => sizes.push(Size { area: kinds.area(&counts), counts, number }),
            }
        }
        let areas = || sizes.iter().map(|size| size.area);
        let even = areas().max()? <= UNEVEN * areas().min()?;
        (even && sizes.len() > 1).then_some(Garments(sizes))
    }

    /// All of them in as many groups as can be, but no more than `most`: equally many in each, or two at least and in some groups
    /// one more. None where that takes a single group.
    pub(crate) fn divide(&self, most: usize) -> Option<Vec<Share>> {
        let mut left: Vec<usize> = self.0.iter().map(|size| size.number).collect();
        let total: usize = left.iter().sum();
        let groups = (2..=most).rev().find(|groups| total.is_multiple_of(*groups) || total / groups >= 2)?;
        let (each, over) = (total / groups, total % groups);
        let mut shares = Vec::new();
        for (each, mut wanted) in [(each, groups - over), (each + 1, over)] {
            while wanted > 0 {
                let common = |alike| Some((alike, self.common(&left, each, alike)?));
                let (alike, own) = (1..=wanted).rev().find_map(common)?;
                left.iter_mut().zip(&own).for_each(|(n, own)| *n -= own * alike);
                wanted -= alike;
                shares.push(Share { counts: self.counts(&own), groups: alike });
            }
        }
        Some(shares)
    }

    /// So many garments, of each size, that so many groups can have alike, of about the mean area; none when they are too few.
    fn common(&self, left: &[usize], each: usize, alike: usize) -> Option<Vec<usize>> {
        let areas = self.0.iter().map(|size| size.area);
        let all: i64 = left.iter().zip(areas).map(|(&n, area)| n as i64 * area).sum();
        let mut missing = all * each as i64 / left.iter().sum::<usize>() as i64;
        let mut own = vec![0; left.len()];
        for rest in (1..=each as i64).rev() {
            let free = (0..left.len()).filter(|&at| left[at] / alike > own[at]);
            let at = free.min_by_key(|&at| (self.0[at].area - missing / rest).abs())?;
            own[at] += 1;
            missing -= self.0[at].area;
        }
        Some(own)
    }

    /// Units of each kind in so many garments of each size.
    fn counts(&self, garments: &[usize]) -> Vec<usize> {
        let of_kind = |kind: usize| self.0.iter().zip(garments).map(|(size, n)| size.counts[kind] * n).sum();
        (0..self.0[0].counts.len()).map(of_kind).collect()
    }
}

fn common_divisor(a: usize, b: usize) -> usize {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};
    use crate::search::likeness::Likeness;

    /// So many garments of each size: two large pieces, a middling one and, alike in all sizes, three small ones. Sizes differ
    /// by so much in height.
    fn sizes(garments: &[u32], step: i64) -> Task {
        let piece = |height: i64, n: u32| (Polygon::rectangle(1000, height), n, vec![Turn::None]);
        let pieces: Vec<_> = (0..)
            .zip(garments)
            .flat_map(|(size, &n)| {
                [piece(8000 + size * step, 2 * n), piece(4000 + size * step / 2, n), piece(900, 3 * n)]
            })
            .collect();
        let mut task = Task::board(40_000, &pieces);
        let of_items = (0..).zip(garments).flat_map(|(size, &n)| std::iter::repeat_n(size, 6 * n as usize));
        task.items.iter_mut().zip(of_items).for_each(|(item, size)| item.size = size);
        task
    }

    fn garments(task: &Task) -> (Kinds, Option<Garments>) {
        let kinds = Kinds::of(task, &mut Likeness::default());
        let garments = Garments::of(task, &kinds);
        (kinds, garments)
    }

    /// Garments of each size in every group: how many middling pieces of that size it has, and twice as many large ones.
    fn handed_out(task: &Task, most: usize) -> Vec<(usize, Vec<usize>)> {
        let (kinds, garments) = garments(task);
        let shares = garments.expect("several sizes").divide(most).expect("several groups");
        let handed = kinds.hand_out(&shares);
        let mut all = Vec::new();
        for class in &handed {
            let mut of_size = [[0; 2]; 8];
            let mut small = 0;
            for unit in &class[0] {
                match unit.doubled_area(task) / 2000 {
                    900 => small += 1,
                    height => of_size[unit.size(task) as usize][usize::from(height > 6000)] += 1,
                }
            }
            assert!(of_size.iter().all(|[middling, large]| 2 * middling == *large), "whole garments");
            let own: Vec<usize> = of_size.iter().map(|[middling, _]| *middling).collect();
            assert_eq!(small, 3 * own.iter().sum::<usize>());
            all.push((class.len(), own));
        }
        let mut items: Vec<(u32, u8)> =
            handed.iter().flatten().flatten().flat_map(|unit| unit.parts(task)).collect();
        items.sort_unstable();
        assert!(items.into_iter().eq((0..task.items.len() as u32).map(|item| (item, 0))), "every item once");
        all
    }

    #[test]
    fn as_many_groups_as_can_be_hold_the_same_sizes() {
        let task = sizes(&[2, 4, 3, 1], 400);
        let told = |most| -> Vec<(usize, Vec<usize>)> {
            let all = handed_out(&task, most).into_iter();
            all.map(|(groups, own)| (groups, own[..4].to_vec())).collect()
        };
        assert_eq!(told(5), [(3, vec![0, 1, 1, 0]), (1, vec![1, 1, 0, 0]), (1, vec![1, 0, 0, 1])]);
        // Ten groups of one garment; six or seven of these would be of one or two.
        assert_eq!(told(7), told(5));
        let single = told(10).into_iter().map(|(groups, own)| (groups, own.iter().sum::<usize>()));
        assert!(single.eq([(4, 1), (3, 1), (2, 1), (1, 1)]));
    }

    #[test]
    fn what_is_over_makes_some_groups_larger_by_one() {
        let all = handed_out(&sizes(&[2, 3, 2], 400), 3);
        let held: Vec<(usize, usize)> = all.iter().map(|(groups, own)| (*groups, own.iter().sum())).collect();
        assert_eq!(held.iter().map(|(groups, _)| groups).sum::<usize>(), 3);
        assert!(held.iter().all(|&(_, n)| n == 2 || n == 3), "{held:?}");
        assert_eq!(garments(&sizes(&[1, 1], 400)).1.and_then(|garments| garments.divide(1)), None);
    }

    #[test]
    fn garments_of_one_size_or_of_sizes_far_apart_are_not_told_apart() {
        assert_eq!(garments(&sizes(&[6], 400)).1, None);
        assert_eq!(garments(&sizes(&[3, 3], 12_000)).1, None);
        assert!(garments(&sizes(&[3, 3], 4000)).1.is_some());
    }
}
