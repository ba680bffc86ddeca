//! Bounds against exhaustive search on narrow cloth: every depth of every fold, every way of cutting, every place.
//!
//! Pieces are rectangles of whole cells. Pushed towards the start of the lay and towards a side of its band as far as they go,
//! they lie at whole cells (normal patterns: N. Christofides & C. Whitlock, "An algorithm for two-dimensional cutting
//! problems", Operations Research 25, 1977), and a fold that is made shallower to a whole cell loses nothing; so whole cells
//! are all that has to be tried.

use super::admissible;
use crate::answer::{Bound, BoundReason};
use crate::job::Job;
use crate::spread::{Family, Kind};

/// A cell is a centimetre.
const CELL: i64 = 1000;

/// A rectangle, or the half of one that has its fold edge along the cloth.
#[derive(Clone, Copy, Debug)]
struct Piece {
    length: usize,
    height: usize,
    half: bool,
    copies: usize,
}

fn whole(length: usize, height: usize, copies: usize) -> Piece {
    Piece { length, height, half: false, copies }
}

fn half(length: usize, height: usize, copies: usize) -> Piece {
    Piece { length, height, half: true, copies }
}

/// What lies on the table.
#[derive(Clone, Copy, Debug)]
struct Placed {
    length: usize,
    height: usize,
    plies: usize,
    on_fold: bool,
}

/// A band: its height in cells, its plies, and whether its low and its high edge are folds.
#[derive(Clone, Copy, Debug)]
struct Strip {
    rows: usize,
    plies: usize,
    folds: [bool; 2],
}

impl Piece {
    /// Every way to cut all its copies: so many on a fold, in pairs on two plies, and for themselves on one.
    fn ways(&self) -> Vec<Vec<Placed>> {
        let height = if self.half { 2 * self.height } else { self.height };
        let lying = |plies| Placed { length: self.length, height, plies, on_fold: false };
        let on_fold = Placed { length: self.length, height: self.height, plies: 2, on_fold: true };
        let most_on_fold = if self.half { self.copies } else { 0 };
        let mut ways = Vec::new();
        for folded in 0..=most_on_fold {
            for pairs in 0..=(self.copies - folded) / 2 {
                let mut way = vec![on_fold; folded];
                way.extend(vec![lying(2); pairs]);
                way.extend(vec![lying(1); self.copies - folded - 2 * pairs]);
                ways.push(way);
            }
        }
        ways
    }

    fn area(&self) -> usize {
        self.copies * self.length * self.height * if self.half { 2 } else { 1 }
    }
}

/// Every division of cloth of so many cells into bands, from the table in the README.
fn divisions(family: Family, width: usize) -> Vec<Vec<Strip>> {
    let single = |rows| Strip { rows, plies: 1, folds: [false, false] };
    let near = |rows| Strip { rows, plies: 2, folds: [true, false] };
    let far = |rows| Strip { rows, plies: 2, folds: [false, true] };
    let depths = 0..=width / 2;
    match family {
        Family::Single => vec![vec![single(width)]],
        Family::LengthwiseFold => vec![vec![near(width / 2)]],
        Family::OffCentreFold => depths.map(|d| vec![near(d), single(width - 2 * d)]).collect(),
        Family::TwoFolds => depths
            .flat_map(|a| (0..=width / 2 - a).map(move |b| (a, b)))
            .map(|(a, b)| vec![near(a), single(width - 2 * (a + b)), far(b)])
            .collect(),
        Family::Tubular => vec![vec![Strip { rows: width, plies: 2, folds: [true, true] }]],
        Family::CrosswiseFold | Family::TurnedDouble => Vec::new(),
    }
}

/// Can what is left be laid, in any of its ways, beside what is taken? A row of a band has a bit for every cell along it.
fn goes_in(
    strips: &[Strip],
    taken: &mut [Vec<u64>],
    length: usize,
    placed: &[Placed],
    rest: &[Vec<Vec<Placed>>],
) -> bool {
    let Some((next, others)) = placed.split_first() else {
        let Some((item, rest)) = rest.split_first() else { return true };
        return item.iter().any(|way| goes_in(strips, taken, length, way, rest));
    };
    for (s, strip) in strips.iter().enumerate().filter(|(_, strip)| strip.plies == next.plies) {
        for y in 0..(strip.rows + 1).saturating_sub(next.height) {
            let touches = strip.folds[0] && y == 0 || strip.folds[1] && y + next.height == strip.rows;
            if next.on_fold && !touches {
                continue;
            }
            for x in 0..(length + 1).saturating_sub(next.length) {
                let cells = ((1u64 << next.length) - 1) << x;
                let rows = y..y + next.height;
                if taken[s][rows.clone()].iter().any(|row| row & cells != 0) {
                    continue;
                }
                taken[s][rows.clone()].iter_mut().for_each(|row| *row |= cells);
                if goes_in(strips, taken, length, others, rest) {
                    return true;
                }
                taken[s][rows].iter_mut().for_each(|row| *row &= !cells);
            }
        }
    }
    false
}

/// The least length in cells, if the pieces can be laid at all; `plies` of the cloth lie over one another all along.
fn shortest(family: Family, (width, plies): (usize, usize), pieces: &[Piece]) -> Option<usize> {
    let items: Vec<Vec<Vec<Placed>>> = pieces.iter().map(Piece::ways).collect();
    let area: usize = pieces.iter().map(Piece::area).sum();
    let one_after_another: usize = pieces.iter().map(|p| p.copies * p.length).sum();
    let across = if family == Family::Single { width * plies } else { width };
    let all = divisions(family, across);
    (area.div_ceil(width * plies)..=one_after_another).find(|&length| {
        all.iter().any(|strips| {
            let mut taken: Vec<Vec<u64>> = strips.iter().map(|strip| vec![0; strip.rows]).collect();
            goes_in(strips, &mut taken, length, &[], &items)
        })
    })
}

fn job((width, form): (usize, &str), pieces: &[Piece]) -> Job {
    let piece = |(k, p): (usize, &Piece)| {
        let (l, h) = (p.length, p.height);
        let fold = if p.half { format!(r#", "fold_edge": [[0, 0], [{l}, 0]]"#) } else { String::new() };
        format!(
            r#"{{ "id": "piece {k}", "cut": {}, "outline": [[0, 0], [{l}, 0], [{l}, {h}], [0, {h}]],
                 "grainline": [[0.2, 0.5], [0.8, 0.5]]{fold} }}"#,
            p.copies
        )
    };
    let pieces: Vec<String> = pieces.iter().enumerate().map(piece).collect();
    let text = format!(
        r#"{{ "version": 1, "units": "cm", "pieces": [{}], "cloths": [{{ "width": {width}, "form": "{form}" }}] }}"#,
        pieces.join(", ")
    );
    Job::read(&text).unwrap_or_else(|problems| panic!("{text}: {problems:?}"))
}

fn bounds(width: (usize, &str), pieces: &[Piece]) -> Vec<(Kind, Option<Bound>)> {
    let job = job(width, pieces);
    admissible(&job, &job.cloths[0]).into_iter().map(|(kind, bound)| (kind, bound.ok())).collect()
}

fn bound_of(family: Family, width: usize, pieces: &[Piece]) -> Bound {
    let all = bounds((width, "flat"), pieces);
    let own = all.into_iter().find(|(kind, _)| *kind == Kind::Whole(family));
    own.and_then(|(_, bound)| bound).unwrap_or_else(|| panic!("{family:?} serves {pieces:?}"))
}

/// A stream of numbers below `n`: the multiplier and the increment are Knuth's MMIX generator.
fn numbers(mut state: u64) -> impl FnMut(usize) -> usize {
    move |n| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % n
    }
}

#[test]
fn no_bound_passes_the_shortest_lay_however_cloth_is_folded() {
    const FLAT: [Family; 4] =
        [Family::Single, Family::LengthwiseFold, Family::OffCentreFold, Family::TwoFolds];
    const TUBE: [Family; 2] = [Family::Single, Family::Tubular];
    let mut random = numbers(25);
    let (mut tried, mut tight, mut argued) = ([0; 5], [0; 5], 0);
    for round in 0..160 {
        let is_tube = round % 4 == 3;
        let width = if is_tube { 2 + random(3) } else { 4 + 2 * random(3) };
        let pieces: Vec<Piece> = (0..1 + random(3))
            .map(|_| match random(2) {
                0 => half(1 + random(4), 1 + random(if is_tube { width } else { width / 2 }), 1 + random(2)),
                _ => whole(1 + random(4), 1 + random(width), 1 + random(2)),
            })
            .collect();
        let (form, plies, families) = if is_tube { ("tube", 2, &TUBE[..]) } else { ("flat", 1, &FLAT[..]) };
        let bounds = bounds((width, form), &pieces);
        let mut least: Option<usize> = None;
        for (at, &family) in families.iter().enumerate() {
            let found = shortest(family, (width, plies), &pieces);
            if family != Family::Single {
                least = least.into_iter().chain(found).min();
            }
            let bound = bounds.iter().find(|(kind, _)| *kind == Kind::Whole(family));
            let (Some((_, Some(bound))), Some(found)) = (bound, found) else {
                let serves = bound.is_some_and(|(_, bound)| bound.is_some());
                assert!(
                    family != Family::Single || !serves,
                    "what cannot be laid is not refused: {pieces:?}"
                );
                continue;
            };
            let (bound_grid, found) = (bound.length.grid(), found as i64 * CELL);
            assert!(bound_grid <= found, "{family:?}, {width} {form}, {pieces:?}: {bound:?} past {found}");
            let at = if family == Family::Tubular { 4 } else { at };
            tried[at] += 1;
            tight[at] += usize::from(found - bound_grid <= 1);
            argued += usize::from(!matches!(bound.reason, BoundReason::Area | BoundReason::LongestPiece(_)));
        }
        let sections = bounds.iter().find(|(kind, _)| *kind == Kind::Sections);
        if let (Some((_, Some(bound))), Some(least)) = (sections, least) {
            assert!(
                bound.length.grid() <= least as i64 * CELL,
                "{width} {form}, {pieces:?}: {bound:?} past {least}"
            );
        }
    }
    // As found; what matters is that every kind is put to the test, and that bounds are reached on each.
    assert!(tried.iter().all(|&n| n >= 15), "{tried:?}");
    assert!(tight.iter().all(|&n| n >= 5), "{tight:?} of {tried:?}");
    assert!(argued >= 20, "{argued} by more than area and length");
}

#[test]
fn bounds_that_are_reached() {
    let one_after_another =
        |reason: &BoundReason| matches!(reason, BoundReason::OneAfterAnother(names) if names.len() == 1);
    let by_area = |reason: &BoundReason| *reason == BoundReason::Area;
    let longest = |reason: &BoundReason| matches!(reason, BoundReason::LongestPiece(_));
    let two_abreast = |reason: &BoundReason| matches!(reason, BoundReason::Abreast { most: 2, .. });
    type Case<'a> = (&'a str, Family, usize, &'a [Piece], usize, &'a dyn Fn(&BoundReason) -> bool);
    let cases: [Case<'_>; 8] = [
        (
            "a rectangle closed",
            Family::Single,
            5,
            &[whole(2, 2, 1), whole(2, 3, 1), whole(3, 5, 1)],
            5,
            &by_area,
        ),
        ("a sash", Family::Single, 4, &[whole(7, 1, 1), whole(1, 2, 1)], 7, &longest),
        ("panels over half the width", Family::Single, 5, &[whole(2, 3, 4)], 8, &one_after_another),
        ("panels over a third of it", Family::Single, 8, &[whole(2, 3, 6)], 6, &two_abreast),
        // On the fold they are low, but no fold leaves room for the second beside the first: 2 + 2 + 4 of 6 cells.
        (
            "halves that open past the middle",
            Family::OffCentreFold,
            6,
            &[half(3, 2, 2), whole(1, 1, 1)],
            6,
            &one_after_another,
        ),
        ("a half beside singles", Family::OffCentreFold, 6, &[half(4, 2, 1), whole(2, 2, 2)], 4, &by_area),
        ("a half on each fold", Family::TwoFolds, 8, &[half(3, 2, 2)], 3, &by_area),
        (
            "panels beside a fold",
            Family::TwoFolds,
            8,
            &[half(2, 1, 1), whole(3, 5, 2)],
            6,
            &one_after_another,
        ),
    ];
    for (name, family, width, pieces, length, argument) in cases {
        assert_eq!(shortest(family, (width, 1), pieces), Some(length), "{name}");
        let bound = bound_of(family, width, pieces);
        let short = length as i64 * CELL - bound.length.grid();
        assert!((0..=1).contains(&short), "{name}: {bound:?}");
        assert!(argument(&bound.reason), "{name}: {bound:?}");
    }
}
