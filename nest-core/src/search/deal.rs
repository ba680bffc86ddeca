//! [`Kinds`] and [`divide`]: what a task lays dealt out to groups that are as alike as can be.

use super::likeness::Likeness;
use super::shapes::OutlineId;
use super::task::{Part, Task};

/// What is dealt out as one: a part of an item that can be laid in one way only, or an item with all its parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Unit {
    item: u32,
    part: Option<u8>,
}

impl Unit {
    /// All units of a task.
    pub(crate) fn all(task: &Task) -> impl Iterator<Item = Unit> + '_ {
        task.items.iter().zip(0..).flat_map(|(item, number)| {
            let parts = item.ways[0].parts.len() as u8;
            let one_way = item.ways.len() == 1;
            (0..if one_way { parts } else { 1 })
                .map(move |p| Unit { item: number, part: one_way.then_some(p) })
        })
    }

    /// The size of what it is a piece of.
    pub(crate) fn size(&self, task: &Task) -> u32 {
        task.items[self.item as usize].size
    }

    /// Its parts in each way to lay it.
    pub(crate) fn ways<'a>(&self, task: &'a Task) -> impl Iterator<Item = &'a [Part]> {
        let range = self.part.map_or(0..usize::MAX, |p| p as usize..p as usize + 1);
        let ways = task.items[self.item as usize].ways.iter();
        ways.map(move |way| &way.parts[range.start..range.end.min(way.parts.len())])
    }

    /// Item and number of its parts, of as many as any way has.
    pub(crate) fn parts(self, task: &Task) -> impl Iterator<Item = (u32, u8)> {
        let count = self.ways(task).map(<[Part]>::len).max().unwrap_or(0) as u8;
        let first = self.part.unwrap_or(0);
        (first..first + count).map(move |part| (self.item, part))
    }

    /// Twice the area by which its parts differ from those of another that can be laid in as many ways, in the same bands;
    /// none when that is more than sizes of one piece differ by.
    pub(crate) fn difference(&self, other: &Unit, task: &Task, likeness: &mut Likeness) -> Option<i64> {
        let [own, others] = [self, other].map(|unit| unit.doubled_area(task));
        let most = (own + others) / RELATED;
        let offers_like = |a: &Part, b: &Part| a.offers_like(b, |c| (c.band, c.anchor));
        if (own - others).abs() > most || !self.is_laid_like(other, task, offers_like) {
            return None;
        }
        let pairs = self.first_outlines(task).zip(other.first_outlines(task));
        let sum = pairs.map(|(one, other)| likeness.difference(&task.shapes, one, other)).sum();
        (sum <= most).then_some(sum)
    }

    /// Twice the area of its parts in its first way.
    pub(crate) fn doubled_area(&self, task: &Task) -> i64 {
        let outlines = self.first_outlines(task);
        outlines.map(|outline| task.shapes.outline(outline).polygon.doubled_area()).sum()
    }

    /// The outline of the first choice of each of its parts in its first way.
    fn first_outlines<'a>(&self, task: &'a Task) -> impl Iterator<Item = OutlineId> + use<'a> {
        let parts = self.ways(task).next().into_iter().flatten();
        parts.map(|part| part.choices[0].outline)
    }

    /// Do both offer the same outlines in the same bands, in the same order?
    pub(crate) fn is_like(&self, other: &Unit, task: &Task) -> bool {
        self.is_laid_like(other, task, Part::is_like)
    }

    /// Do both have as many ways and parts of each, and are the parts alike, in their order?
    fn is_laid_like(&self, other: &Unit, task: &Task, alike: impl Fn(&Part, &Part) -> bool) -> bool {
        let way = |(own, others): (&[Part], &[Part])| {
            own.len() == others.len() && own.iter().zip(others).all(|(a, b)| alike(a, b))
        };
        self.ways(task).count() == other.ways(task).count() && self.ways(task).zip(other.ways(task)).all(way)
    }
}

/// Pieces are related when they differ by no more than one in so many of what both cover: sizes of a piece do by less.
const RELATED: i64 = 6;

/// Units that can be laid in the same ways, kind by kind, the largest first.
#[derive(Clone, Debug)]
pub(crate) struct Kinds {
    pub(super) units: Vec<Vec<Unit>>,
    /// Twice the area of a unit of each kind.
    areas: Vec<i64>,
    /// The first kind that each is related to: of one family are the sizes of a piece.
    families: Vec<usize>,
}

/// Groups of like units: how many of each kind one has, and how many groups there are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Share {
    pub(super) counts: Vec<usize>,
    pub(crate) groups: usize,
}

impl Kinds {
    /// # Complexity
    /// O(kinds · families) differences, and as many comparisons as units · kinds.
    pub(crate) fn of(task: &Task, likeness: &mut Likeness) -> Kinds {
        let mut kinds: Vec<(i64, Vec<Unit>)> = Vec::new();
        for unit in Unit::all(task) {
            match kinds.iter_mut().find(|(_, known)| known[0].is_like(&unit, task)) {
                Some((_, known)) => known.push(unit),
                None => kinds.push((unit.doubled_area(task), vec![unit])),
            }
        }
        kinds.sort_by_key(|(area, units)| (-area, units[0]));
        let (areas, units): (Vec<i64>, Vec<Vec<Unit>>) = kinds.into_iter().unzip();
        let mut families: Vec<usize> = Vec::with_capacity(units.len());
        for (kind, own) in units.iter().enumerate() {
            let related = (0..kind)
                .find(|&k| families[k] == k && own[0].difference(&units[k][0], task, likeness).is_some());
            families.push(related.unwrap_or(kind));
        }
        Kinds { units, areas, families }
    }

    /// The units of each group of each share; like units stand at the same place in the groups of one share.
    pub(crate) fn hand_out(&self, shares: &[Share]) -> Vec<Vec<Vec<Unit>>> {
        let mut left = self.units.clone();
        let mut group = |share: &Share| {
            let own = left.iter_mut().zip(&share.counts);
            own.flat_map(|(units, &n)| units.drain(..n).collect::<Vec<_>>()).collect()
        };
        shares.iter().map(|share| (0..share.groups).map(|_| group(share)).collect()).collect()
    }

    /// Twice the area of so many units of each kind.
    pub(super) fn area(&self, counts: &[usize]) -> i64 {
        counts.iter().zip(&self.areas).map(|(&n, area)| n as i64 * area).sum()
    }
}

/// The units in so many groups of about the same area; as many of them as can be are alike.
///
/// # Complexity
/// O(groups² · kinds).
pub(crate) fn divide(kinds: &Kinds, groups: usize) -> Vec<Share> {
    let mut left: Vec<usize> = kinds.units.iter().map(Vec::len).collect();
    let mut shares = Vec::new();
    let mut wanted = groups;
    while wanted > 0 {
        let Some(share) = (2..=wanted).rev().find_map(|alike| common(kinds, &left, wanted, alike)) else {
            break;
        };
        left.iter_mut().zip(&share.counts).for_each(|(n, own)| *n -= own * share.groups);
        wanted -= share.groups;
        shares.push(share);
    }
    shares.extend(deal(kinds, &left, wanted));
    shares
}

/// What so many of the groups wanted can have alike; none when that or what is left for the others is far from their part.
fn common(kinds: &Kinds, left: &[usize], wanted: usize, alike: usize) -> Option<Share> {
    let nearest = |n: usize| (2 * n + wanted) / (2 * wanted);
    let counts: Vec<usize> = left.iter().map(|&n| nearest(n).min(n / alike)).collect();
    let (part, others) = (kinds.area(left) / wanted as i64, (wanted - alike) as i64);
    let off = (kinds.area(&counts) - part).abs();
    let rest = left.iter().sum::<usize>() - alike * counts.iter().sum::<usize>();
    let serves = match others {
        // The others must have something to lay each.
        _ if rest < others as usize => false,
        0 => counts.iter().zip(left).all(|(own, n)| own * alike == *n),
        _ => off * FAIR <= part && off * alike as i64 * FAIR <= part * others,
    };
    serves.then_some(Share { counts, groups: alike })
}

/// A group may be larger or smaller than its part by one in so many.
const FAIR: i64 = 8;

/// Evenly, kind by kind; what is over goes to whoever has least of its family, then least of all. So groups that differ come to
/// hold the same pieces in other sizes.
fn deal(kinds: &Kinds, left: &[usize], wanted: usize) -> Vec<Share> {
    let mut shares = vec![Share { counts: vec![0; left.len()], groups: 1 }; wanted];
    for (kind, &n) in left.iter().enumerate().filter(|_| wanted > 0) {
        shares.iter_mut().for_each(|share| share.counts[kind] = n / wanted);
        let mut poorest: Vec<usize> = (0..wanted).collect();
        let of_family = |g: usize| -> usize {
            let counts = shares[g].counts.iter().zip(&kinds.families);
            counts.filter(|(_, family)| **family == kinds.families[kind]).map(|(n, _)| n).sum()
        };
        poorest.sort_by_key(|&g| (of_family(g), kinds.area(&shares[g].counts), g));
        poorest[..n % wanted].iter().for_each(|&g| shares[g].counts[kind] += 1);
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Polygon, Turn};

    /// A board of rectangles: height in hundreds, and how many.
    fn board(counts: &[(i64, u32)]) -> Task {
        let piece = |&(height, n): &(i64, u32)| (Polygon::rectangle(1000, height * 100), n, vec![Turn::None]);
        Task::board(10_000, &counts.iter().map(piece).collect::<Vec<_>>())
    }

    /// The item of every unit of every group, which is each once.
    fn all_items(handed: &[Vec<Vec<Unit>>]) -> Vec<u32> {
        let mut all: Vec<u32> = handed.iter().flatten().flatten().map(|unit| unit.item).collect();
        all.sort_unstable();
        all
    }

    #[test]
    fn what_can_be_divided_makes_groups_all_alike() {
        let task = board(&[(3, 6), (7, 12), (2, 24), (7, 6)]);
        let kinds = Kinds::of(&task, &mut Likeness::default());
        assert_eq!(kinds.areas, [1_400_000, 600_000, 400_000]);
        for (count, own) in [(2, [9, 3, 12]), (3, [6, 2, 8]), (6, [3, 1, 4])] {
            let shares = divide(&kinds, count);
            assert_eq!(shares, [Share { counts: own.to_vec(), groups: count }]);
            let handed = kinds.hand_out(&shares);
            assert!(all_items(&handed).into_iter().eq(0..48));
            let alike = |group: &Vec<Unit>| group.iter().zip(&handed[0][0]).all(|(a, b)| a.is_like(b, &task));
            assert!(handed[0].iter().all(|group| group.len() == handed[0][0].len() && alike(group)));
        }
    }

    #[test]
    fn sizes_ordered_unevenly_share_groups_of_about_the_same_area() {
        // Two, four, three and one garment of four sizes, each of two large pieces, a middling one and four small ones.
        let garments = [(0, 2), (1, 4), (2, 3), (3, 1)];
        let pieces: Vec<(i64, u32)> = garments
            .iter()
            .flat_map(|&(size, n)| [(80 + 4 * size, 2 * n), (40 + 2 * size, n), (10 + size, 4 * n)])
            .map(|(height, n)| (height, n as u32))
            .collect();
        let kinds = Kinds::of(&board(&pieces), &mut Likeness::default());
        let counts: Vec<usize> = kinds.units.iter().map(Vec::len).collect();
        let all = kinds.area(&counts);
        for count in 2..=5 {
            let shares = divide(&kinds, count);
            assert_eq!(shares.iter().map(|share| share.groups).sum::<usize>(), count);
            assert!(all_items(&kinds.hand_out(&shares)).into_iter().eq(0..70));
            for share in &shares {
                let part = kinds.area(&share.counts) as f64 * count as f64 / all as f64;
                assert!((0.8..1.2).contains(&part), "{part} of its part, {count} groups");
            }
        }
        assert!(divide(&kinds, 5).len() < 5, "some are alike");
    }

    #[test]
    fn no_group_has_nothing_to_lay() {
        // One piece as large as all the others, of which there are two each.
        let slab = |width, height, n| (Polygon::rectangle(width, height), n, vec![Turn::None]);
        let small = (0..56).map(|k| slab(150 + k, 166, 2));
        let task = Task::board(1000, &std::iter::once(slab(3300, 1000, 1)).chain(small).collect::<Vec<_>>());
        let kinds = Kinds::of(&task, &mut Likeness::default());
        for count in 1..=9 {
            let shares = divide(&kinds, count);
            assert_eq!(shares.iter().map(|share| share.groups).sum::<usize>(), count);
            assert!(shares.iter().all(|share| share.counts.iter().any(|&n| n > 0)), "{count}: {shares:?}");
        }
    }

    #[test]
    fn one_of_each_makes_groups_that_differ() {
        let task = board(&[(90, 1), (80, 1), (30, 1), (20, 1)]);
        let shares = divide(&Kinds::of(&task, &mut Likeness::default()), 2);
        let counts: Vec<&[usize]> = shares.iter().map(|share| &share.counts[..]).collect();
        assert_eq!(counts, [[1, 0, 0, 1], [0, 1, 1, 0]]);
    }

    #[test]
    fn groups_that_differ_hold_the_same_pieces_in_other_sizes() {
        // Five sizes, the middle ones twice: seven of each piece in three groups.
        let piece =
            |height: i64| (0..5).zip([1, 2, 2, 1, 1]).map(move |(size, n)| (height + size * height / 30, n));
        let task = board(&[piece(85), piece(50), piece(30)].into_iter().flatten().collect::<Vec<_>>());
        let kinds = Kinds::of(&task, &mut Likeness::default());
        let mut families = kinds.families.clone();
        families.sort_unstable();
        families.dedup();
        assert_eq!(families.len(), 3, "{families:?}");
        for share in divide(&kinds, 3) {
            for family in &families {
                let own = share.counts.iter().zip(&kinds.families).filter(|(_, of)| *of == family);
                let count: usize = own.map(|(n, _)| n).sum();
                assert!((2..=3).contains(&count), "{count} of seven in one of three groups");
            }
        }
    }
}
