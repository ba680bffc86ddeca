//! Bounds against exhaustive search on narrow cloth: every depth of every fold, every way of cutting, every place, and every
//! mix of sections.
//!
//! Pieces are rectangles of whole cells. Pushed towards the start of the lay and towards a side of its band as far as they go,
//! they lie at whole cells (normal patterns: N. Christofides & C. Whitlock, "An algorithm for two-dimensional cutting
//! problems", Operations Research 25, 1977), and a fold that is made shallower to a whole cell loses nothing; so whole cells
//! are all that has to be tried. A section ends with the last of its pieces, at a whole cell too.

use super::admissible;
use crate::answer::{Bound, BoundReason};
use crate::job::Job;
use crate::spread::{Family, Kind};

/// A cell is a centimetre.
const CELL: i64 = 1000;

/// A fold on which the edge of a half piece lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fold {
    Lengthwise,
    Crosswise,
}

/// A rectangle as it lies, or the half of one that has its fold edge along the cloth or, on the crosswise grain, across it.
#[derive(Clone, Copy, Debug)]
struct Piece {
    length: usize,
    height: usize,
    half: Option<Fold>,
    copies: usize,
}

fn whole(length: usize, height: usize, copies: usize) -> Piece {
    Piece { length, height, half: None, copies }
}

fn half(length: usize, height: usize, copies: usize) -> Piece {
    Piece { length, height, half: Some(Fold::Lengthwise), copies }
}

/// A half on the crosswise grain: its fold edge is as long as it is high.
fn half_across(length: usize, height: usize, copies: usize) -> Piece {
    Piece { length, height, half: Some(Fold::Crosswise), copies }
}

/// What lies on the table.
#[derive(Clone, Copy, Debug)]
struct Placed {
    length: usize,
    height: usize,
    plies: usize,
    on: Option<Fold>,
}

/// A band: its height in cells, its plies, and whether its low and its high edge are folds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Strip {
    rows: usize,
    plies: usize,
    folds: [bool; 2],
}

/// The bands of a stretch of the lay.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stretch {
    strips: Vec<Strip>,
    /// Is there a crosswise fold where it begins?
    fold_at_start: bool,
    /// Lengths of cloth for one of lay.
    cloth_per_lay: usize,
}

impl Piece {
    /// Every way to cut all its copies: so many on a fold, in pairs on two plies, and for themselves on one.
    fn ways(&self) -> Vec<Vec<Placed>> {
        let (length, height) = self.opened();
        let lying = |plies| Placed { length, height, plies, on: None };
        let on_fold = Placed { length: self.length, height: self.height, plies: 2, on: self.half };
        let most_on_fold = if self.half.is_some() { self.copies } else { 0 };
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

    /// Length and height when it lies whole.
    fn opened(&self) -> (usize, usize) {
        match self.half {
            None => (self.length, self.height),
            Some(Fold::Lengthwise) => (self.length, 2 * self.height),
            Some(Fold::Crosswise) => (2 * self.length, self.height),
        }
    }

    fn area(&self) -> usize {
        let (length, height) = self.opened();
        self.copies * length * height
    }
}

/// Every division of cloth of so many cells into bands, from the table in the README.
fn divisions(family: Family, width: usize) -> Vec<Stretch> {
    let single = |rows| Strip { rows, plies: 1, folds: [false, false] };
    let near = |rows| Strip { rows, plies: 2, folds: [true, false] };
    let far = |rows| Strip { rows, plies: 2, folds: [false, true] };
    let depths = 0..=width / 2;
    let all: Vec<Vec<Strip>> = match family {
        Family::Single => vec![vec![single(width)]],
        Family::LengthwiseFold => vec![vec![near(width / 2)]],
        Family::OffCentreFold => depths.map(|d| vec![near(d), single(width - 2 * d)]).collect(),
        Family::TwoFolds => depths
            .flat_map(|a| (0..=width / 2 - a).map(move |b| (a, b)))
            .map(|(a, b)| vec![near(a), single(width - 2 * (a + b)), far(b)])
            .collect(),
        Family::Tubular => vec![vec![Strip { rows: width, plies: 2, folds: [true, true] }]],
        Family::CrosswiseFold | Family::TurnedDouble => {
            vec![vec![Strip { rows: width, plies: 2, folds: [false, false] }]]
        }
    };
    let fold_at_start = family == Family::CrosswiseFold;
    let cloth_per_lay = if fold_at_start || family == Family::TurnedDouble { 2 } else { 1 };
    all.into_iter().map(|strips| Stretch { strips, fold_at_start, cloth_per_lay }).collect()
}

/// A band of some length: a row has a bit for every cell along it that is taken.
struct Table {
    strip: Strip,
    fold_at_start: bool,
    length: usize,
    taken: Vec<u64>,
}

impl Table {
    /// The bands of stretches of these lengths of lay.
    fn of(lay: &[(&Stretch, usize)]) -> Vec<Table> {
        let tables = lay.iter().flat_map(|&(stretch, length)| {
            let of = move |&strip: &Strip| Table {
                strip,
                fold_at_start: stretch.fold_at_start,
                length,
                taken: vec![0; strip.rows],
            };
            stretch.strips.iter().map(of)
        });
        tables.collect()
    }

    fn lies_right(&self, placed: &Placed, x: usize, y: usize) -> bool {
        match placed.on {
            None => true,
            Some(Fold::Lengthwise) => {
                let [low, high] = self.strip.folds;
                low && y == 0 || high && y + placed.height == self.strip.rows
            }
            Some(Fold::Crosswise) => self.fold_at_start && x == 0,
        }
    }
}

/// Can what is left be laid, in any of its ways, beside what is taken?
fn goes_in(tables: &mut [Table], placed: &[Placed], rest: &[Vec<Vec<Placed>>]) -> bool {
    let Some((next, others)) = placed.split_first() else {
        let Some((item, rest)) = rest.split_first() else { return true };
        return item.iter().any(|way| goes_in(tables, way, rest));
    };
    for t in 0..tables.len() {
        if tables[t].strip.plies != next.plies {
            continue;
        }
        for y in 0..(tables[t].strip.rows + 1).saturating_sub(next.height) {
            for x in 0..(tables[t].length + 1).saturating_sub(next.length) {
                let cells = ((1u64 << next.length) - 1) << x;
                let rows = y..y + next.height;
                let is_taken = tables[t].taken[rows.clone()].iter().any(|row| row & cells != 0);
                if is_taken || !tables[t].lies_right(next, x, y) {
                    continue;
                }
                tables[t].taken[rows.clone()].iter_mut().for_each(|row| *row |= cells);
                if goes_in(tables, others, rest) {
                    return true;
                }
                tables[t].taken[rows].iter_mut().for_each(|row| *row &= !cells);
            }
        }
    }
    false
}

fn items(pieces: &[Piece]) -> Vec<Vec<Vec<Placed>>> {
    pieces.iter().map(Piece::ways).collect()
}

/// From the cloth that has the area of the pieces to what they take one after another, each pair on two plies.
fn lengths((width, plies): (usize, usize), pieces: &[Piece]) -> std::ops::RangeInclusive<usize> {
    let area: usize = pieces.iter().map(Piece::area).sum();
    let one_after_another: usize = pieces.iter().map(|p| p.copies * 2 * p.opened().0).sum();
    area.div_ceil(width * plies)..=one_after_another
}

/// The least cloth in cells, if the pieces can be laid at all; `plies` of the cloth lie over one another all along.
fn shortest(family: Family, (width, plies): (usize, usize), pieces: &[Piece]) -> Option<usize> {
    let across = if family == Family::Single { width * plies } else { width };
    shortest_on_any(&divisions(family, across), lengths((width, plies), pieces), pieces)
}

/// The least of some lengths of cloth on which the pieces can be laid in one of these ways from end to end.
fn shortest_on_any(
    all: &[Stretch],
    mut lengths: std::ops::RangeInclusive<usize>,
    pieces: &[Piece],
) -> Option<usize> {
    let items = items(pieces);
    lengths.find(|&cloth| sections_take(&mut Vec::new(), cloth, (&[], all), 0, &items))
}

/// Can the pieces be laid on so much cloth, after the sections there are already on up to `more` others that are `folded`
/// and one that is the `last`?
fn sections_take<'a>(
    lay: &mut Vec<(&'a Stretch, usize)>,
    cloth: usize,
    (folded, last): (&'a [Stretch], &'a [Stretch]),
    more: usize,
    items: &[Vec<Vec<Placed>>],
) -> bool {
    for end in last.iter().filter(|end| cloth.is_multiple_of(end.cloth_per_lay)) {
        lay.push((end, cloth / end.cloth_per_lay));
        let taken = goes_in(&mut Table::of(lay), &[], items);
        lay.pop();
        if taken {
            return true;
        }
    }
    if more == 0 {
        return false;
    }
    for next in folded {
        for own in (next.cloth_per_lay..cloth).step_by(next.cloth_per_lay) {
            lay.push((next, own / next.cloth_per_lay));
            let taken = sections_take(lay, cloth - own, (folded, last), more - 1, items);
            lay.pop();
            if taken {
                return true;
            }
        }
    }
    false
}

/// Every way of folding flat cloth from end to end.
fn folded(width: usize) -> Vec<Stretch> {
    const FOLDED: [Family; 5] = [
        Family::LengthwiseFold,
        Family::OffCentreFold,
        Family::TwoFolds,
        Family::CrosswiseFold,
        Family::TurnedDouble,
    ];
    // A band without height is none, and a fold without depth is no fold.
    let mut folded: Vec<Stretch> = Vec::new();
    for mut stretch in FOLDED.iter().flat_map(|&family| divisions(family, width)) {
        stretch.strips.retain(|strip| strip.rows > 0);
        if stretch.strips.iter().any(|strip| strip.plies == 2) && !folded.contains(&stretch) {
            folded.push(stretch);
        }
    }
    folded
}

/// The least cloth in cells on one fold from end to end, if there is one that takes all.
fn shortest_on_a_fold(width: usize, pieces: &[Piece]) -> Option<usize> {
    shortest_on_any(&folded(width), lengths((width, 1), pieces), pieces)
}

/// The same for two or three sections one after another on flat cloth, of which only the last may be single thickness.
fn shortest_in_sections(width: usize, pieces: &[Piece]) -> Option<usize> {
    let folded = folded(width);
    let last: Vec<Stretch> = folded.iter().cloned().chain(divisions(Family::Single, width)).collect();
    let items = items(pieces);
    lengths((width, 1), pieces).find(|&cloth| {
        folded.iter().any(|first| {
            (first.cloth_per_lay..cloth).step_by(first.cloth_per_lay).any(|own| {
                let mut lay = vec![(first, own / first.cloth_per_lay)];
                sections_take(&mut lay, cloth - own, (&folded, &last), 1, &items)
            })
        })
    })
}

fn job((width, form): (usize, &str), pieces: &[Piece]) -> Job {
    let piece = |(k, p): (usize, &Piece)| {
        // As it is drawn, its grain runs along x.
        let across = p.half == Some(Fold::Crosswise);
        let (l, h) = if across { (p.height, p.length) } else { (p.length, p.height) };
        let mut fold = p.half.map_or_else(String::new, |_| format!(r#", "fold_edge": [[0, 0], [{l}, 0]]"#));
        if across {
            fold.push_str(r#", "grain": "crosswise""#);
        }
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

fn bound_of(kind: Kind, width: usize, pieces: &[Piece]) -> Bound {
    let all = bounds((width, "flat"), pieces);
    let own = all.into_iter().find(|(other, _)| *other == kind);
    own.and_then(|(_, bound)| bound).unwrap_or_else(|| panic!("{kind:?} serves {pieces:?}"))
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
fn no_bound_passes_the_shortest_lay_on_cloth_that_is_double_all_across_or_in_sections() {
    let mut random = numbers(31);
    // Of the crosswise fold, the turned ply, and sections.
    let (mut tried, mut tight, mut argued, mut mixed) = ([0; 3], [0; 3], 0, 0);
    for trial in 0..160 {
        let width = 4 + 2 * random(2);
        let mut pieces: Vec<Piece> = (0..1 + random(2))
            .map(|_| match random(4) {
                0 => half(1 + random(3), 1 + random(width / 2), 1 + random(2)),
                1 => half_across(1 + random(2), 1 + random(width), 1 + random(2)),
                _ => whole(1 + random(4), 1 + random(width), 1 + random(4).min(1)),
            })
            .collect();
        if trial % 2 == 1 {
            // What goes on a fold, and an odd one that may be too wide to lie beside it.
            let folded = match random(2) {
                0 => half(1 + random(3), 1 + random(width / 2), 1),
                _ => whole(1 + random(4), 1 + random(width / 2), 2),
            };
            pieces = vec![folded, whole(1 + random(2), 1 + random(width), 1)];
        }
        let bounds = bounds((width, "flat"), &pieces);
        let bound_of = |kind: Kind| bounds.iter().find(|(other, _)| *other == kind)?.1.as_ref();
        for (at, family) in [Family::CrosswiseFold, Family::TurnedDouble].into_iter().enumerate() {
            let found = shortest(family, (width, 1), &pieces);
            let Some((bound, found)) = bound_of(Kind::Whole(family)).zip(found) else { continue };
            let short = found as i64 * CELL - bound.length.grid();
            assert!(short >= 0, "{family:?}, {width}, {pieces:?}: {bound:?} past {found}");
            tried[at] += 1;
            // A unit is given away in the length of the lay, of which the cloth is twice.
            tight[at] += usize::from(short <= 2);
            argued += usize::from(!matches!(bound.reason, BoundReason::Area | BoundReason::LongestPiece(_)));
        }
        let Some(bound) = bound_of(Kind::Sections) else { continue };
        let (fold, sections) = (shortest_on_a_fold(width, &pieces), shortest_in_sections(width, &pieces));
        let Some(found) = sections.into_iter().chain(fold).min() else { continue };
        let short = found as i64 * CELL - bound.length.grid();
        assert!(short >= 0, "sections, {width}, {pieces:?}: {bound:?} past {found}");
        tried[2] += 1;
        tight[2] += usize::from(short <= 1);
        mixed += usize::from(fold.is_none_or(|fold| found < fold));
    }
    // As found; what matters is that every kind is put to the test, that sections are often shorter than any fold from end
    // to end, and that bounds are reached.
    assert!(tried.iter().all(|&n| n >= 30), "{tried:?}");
    assert!(tight.iter().all(|&n| n >= 10), "{tight:?} of {tried:?}");
    assert!(argued >= 10, "{argued} by more than area and length");
    assert!(mixed >= 10, "{mixed} shorter in sections");
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
        let bound = bound_of(Kind::Whole(family), width, pieces);
        let short = length as i64 * CELL - bound.length.grid();
        assert!((0..=1).contains(&short), "{name}: {bound:?}");
        assert!(argument(&bound.reason), "{name}: {bound:?}");
    }
}

#[test]
fn bounds_that_are_reached_where_cloth_is_double_all_across_or_in_sections() {
    let by_area = |reason: &BoundReason| *reason == BoundReason::Area;
    let longest = |reason: &BoundReason| matches!(reason, BoundReason::LongestPiece(_));
    let one_after_another = |reason: &BoundReason| matches!(reason, BoundReason::OneAfterAnother(_));
    let (crosswise, turned) = (Kind::Whole(Family::CrosswiseFold), Kind::Whole(Family::TurnedDouble));
    type Case<'a> = (&'a str, Kind, usize, &'a [Piece], usize, &'a dyn Fn(&BoundReason) -> bool);
    let cases: [Case<'_>; 8] = [
        ("a half on the crosswise fold", crosswise, 4, &[half_across(3, 4, 1)], 6, &by_area),
        ("a sash and its like", crosswise, 4, &[whole(7, 1, 2)], 14, &longest),
        ("panels over half the width", crosswise, 5, &[whole(2, 3, 4)], 8, &one_after_another),
        ("a half opened out, and its like over it", turned, 8, &[half_across(3, 4, 2)], 12, &longest),
        ("panels on a turned ply", turned, 5, &[whole(2, 3, 4)], 8, &one_after_another),
        ("a pair of the whole width", turned, 4, &[whole(3, 4, 2)], 6, &by_area),
        // The pair on a fold along the middle, the odd one opened out.
        ("a pair, then an odd one", Kind::Sections, 4, &[whole(3, 2, 2), whole(2, 4, 1)], 5, &by_area),
        (
            "a pair, then an odd one over half the width",
            Kind::Sections,
            6,
            &[whole(3, 3, 2), whole(2, 4, 1)],
            5,
            &one_after_another,
        ),
    ];
    for (name, kind, width, pieces, cloth, argument) in cases {
        let found = match kind {
            Kind::Whole(family) => shortest(family, (width, 1), pieces),
            Kind::Sections => shortest_in_sections(width, pieces),
        };
        assert_eq!(found, Some(cloth), "{name}");
        let bound = bound_of(kind, width, pieces);
        let short = cloth as i64 * CELL - bound.length.grid();
        assert!((0..=2).contains(&short), "{name}: {bound:?}");
        assert!(argument(&bound.reason), "{name}: {bound:?}");
    }
}
