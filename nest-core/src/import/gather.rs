//! Drawn lines sorted to pieces: which closed line is an outline, and what lies on whose piece.
//!
//! A group that a person named as a piece is one piece. Everything else goes by where it lies: a closed line that lies in no
//! other is an outline, and what lies on it belongs to it.

use std::collections::BTreeMap;

use super::chain::{GAP, join};
use super::line::{Frame, Line, area, farthest, holds, nearest_on_ring};
use super::pattern::PatternShape;
use super::warning::{Notes, WarningKind};
use super::words::{Role, Traits};
use crate::geometry::DrawnPoint;

/// A closed line around less than this is a mark, not a piece, in square millimetres: a tab of 1 cm by 1 cm. Chosen by
/// hand.
const LEAST_PIECE: f64 = 100.0;

/// How far off its piece a mark may lie, in millimetres: a notch drawn outside the edge.
const NEAR: f64 = 15.0;

/// A circle on a piece up to this diameter is a drill hole, in millimetres. Chosen by hand.
const DRILL_HOLE: f64 = 15.0;

/// Something drawn.
#[derive(Clone, Debug)]
pub(super) struct Mark {
    pub(super) line: Line,
    pub(super) role: Option<Role>,
    /// Its own name, if a person gave it one.
    pub(super) name: Option<String>,
    /// With those of the groups around it.
    pub(super) traits: Traits,
    /// The group that is its piece, if it stands in one.
    pub(super) piece: Option<usize>,
    /// The innermost group it stands in.
    pub(super) group: usize,
    /// Is it a circle or an ellipse?
    pub(super) round: bool,
}

/// A piece found.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) name: Option<String>,
    pub(super) traits: Traits,
    pub(super) shape: PatternShape,
}

/// An outline, and the marks on it.
struct Heap {
    outline: Mark,
    name: Option<String>,
    marks: Vec<Mark>,
    chained: Option<(usize, f64)>,
}

/// Sorts what was drawn to pieces, in the order of drawing. `groups` gives the names of groups that a person named.
///
/// # Complexity
/// O(lines · pieces) box tests, and O(points) for each line in whose box another lies.
pub(super) fn gather(marks: Vec<Mark>, groups: &BTreeMap<usize, String>, notes: &mut Notes) -> Vec<Found> {
    let mut named: BTreeMap<usize, Vec<Mark>> = BTreeMap::new();
    let mut rest = Vec::new();
    for mark in
        marks.into_iter().filter(|mark| !mark.line.points.is_empty() && mark.role != Some(Role::Ignore))
    {
        match mark.piece {
            Some(group) => named.entry(group).or_default().push(mark),
            None => rest.push(mark),
        }
    }
    let mut heaps = Vec::new();
    for (group, marks) in named {
        let name = groups.get(&group).cloned();
        let place = name.clone().unwrap_or_else(|| "a group".to_owned());
        match one_piece(marks, name, &place, notes) {
            Some(heap) => heaps.push(heap),
            None => notes.leave_out(place, "has no closed outline: close it, or draw its edges end to end"),
        }
    }
    heaps.extend(by_place(rest, groups, notes));
    heaps.into_iter().map(|heap| found(heap, notes)).collect()
}

/// The piece that a named group is.
fn one_piece(mut marks: Vec<Mark>, name: Option<String>, place: &str, notes: &mut Notes) -> Option<Heap> {
    let closed = |role: Option<Role>| move |mark: &Mark| mark.line.closed && mark.role == role;
    let largest = |marks: &[Mark], wanted: &dyn Fn(&Mark) -> bool| {
        (0..marks.len())
            .filter(|&i| wanted(&marks[i]))
            .max_by(|&a, &b| size_of(&marks[a]).total_cmp(&size_of(&marks[b])).then(b.cmp(&a)))
    };
    let mut at = largest(&marks, &closed(Some(Role::Outline))).or_else(|| {
        let at = largest(&marks, &|mark| closed(None)(mark) && size_of(mark) >= LEAST_PIECE);
        if let Some(at) = at {
            let aside = marks.iter().enumerate().filter(|(i, mark)| {
                *i != at && closed(None)(mark) && size_of(mark) >= LEAST_PIECE && !lies_in(mark, &marks[at])
            });
            match aside.count() {
                0 => {}
                n => notes.warn_of(place, WarningKind::SeveralOutlines(n + 1)),
            }
        }
        at
    });
    let mut chained = None;
    if at.is_none() {
        let wanted = if marks.iter().any(|mark| mark.role == Some(Role::Outline)) {
            Some(Role::Outline)
        } else {
            None
        };
        chained = chain(&mut marks, wanted, usize::MAX);
        at = largest(&marks, &closed(Some(Role::Outline)));
    }
    let outline = marks.swap_remove(at?);
    Some(Heap { outline, name, marks, chained })
}

/// Joins the open lines with a role, of one group or of all, and puts the largest ring they make in their place as an
/// outline; tells how many lines it was made of and the widest gap between them.
fn chain(marks: &mut Vec<Mark>, role: Option<Role>, group: usize) -> Option<(usize, f64)> {
    let wanted =
        |mark: &Mark| !mark.line.closed && mark.role == role && (group == usize::MAX || mark.group == group);
    let lines: Vec<Vec<DrawnPoint>> =
        marks.iter().filter(|mark| wanted(mark)).map(|mark| mark.line.points.clone()).collect();
    let (count, like) = (lines.len(), marks.iter().find(|mark| wanted(mark))?.clone());
    let chains = join(lines, GAP);
    let largest = (0..chains.len())
        .filter(|&i| chains[i].line.closed && area(&chains[i].line.points).abs() >= LEAST_PIECE)
        .max_by(|&a, &b| {
            let size = |i: usize| area(&chains[i].line.points).abs();
            size(a).total_cmp(&size(b)).then(b.cmp(&a))
        })?;
    let told = (chains[largest].joints.len().min(count), chains[largest].widest_gap);
    marks.retain(|mark| !wanted(mark));
    for (i, chain) in chains.into_iter().enumerate() {
        let role = if i == largest { Some(Role::Outline) } else { like.role };
        marks.push(Mark { line: chain.line, role, name: None, ..like.clone() });
    }
    Some(told)
}

/// The pieces among what stands in no named group.
fn by_place(mut marks: Vec<Mark>, groups: &BTreeMap<usize, String>, notes: &mut Notes) -> Vec<Heap> {
    let mut chained = BTreeMap::new();
    let mut all_groups: Vec<usize> = marks.iter().map(|mark| mark.group).collect();
    all_groups.sort_unstable();
    all_groups.dedup();
    for group in all_groups {
        let has_outline = marks.iter().any(|mark| {
            mark.group == group
                && mark.line.closed
                && matches!(mark.role, None | Some(Role::Outline))
                && size_of(mark) >= LEAST_PIECE
        });
        if !has_outline && let Some(told) = chain(&mut marks, None, group) {
            chained.insert(group, told);
        }
    }

    // The largest come first, so that what lies in another is met after it.
    let mut order: Vec<usize> = (0..marks.len()).filter(|&i| may_be_outline(&marks[i])).collect();
    order.sort_by(|&a, &b| size_of(&marks[b]).total_cmp(&size_of(&marks[a])).then(a.cmp(&b)));
    let mut outlines: Vec<usize> = Vec::new();
    for i in order {
        let told =
            marks[i].role == Some(Role::Outline) || marks[i].traits.size.is_some() && marks[i].name.is_some();
        if told || !outlines.iter().any(|&o| lies_in(&marks[i], &marks[o])) {
            outlines.push(i);
        }
    }
    outlines.sort_unstable();

    let mut heaps: Vec<Heap> = Vec::new();
    let mut others = Vec::new();
    for (i, mark) in marks.into_iter().enumerate() {
        if outlines.binary_search(&i).is_ok() {
            let chained = chained.get(&mark.group).copied();
            heaps.push(Heap { name: mark.name.clone(), outline: mark, marks: Vec::new(), chained });
        } else {
            others.push(mark);
        }
    }
    let frames: Vec<Frame> = heaps.iter().map(|heap| heap.outline.line.frame()).collect();
    let mut in_group: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (h, heap) in heaps.iter().enumerate() {
        in_group.entry(heap.outline.group).or_default().push(h);
    }
    let mut stray = 0;
    for mark in others {
        let own = match in_group.get(&mark.group).map(Vec::as_slice) {
            Some(&[only]) if mark.group != 0 => Some(only),
            _ => owner(&mark, &heaps, &frames),
        };
        match own {
            Some(h) => heaps[h].marks.push(mark),
            None if mark.role == Some(Role::Scale) => {}
            None => stray += 1,
        }
    }
    if stray > 0 {
        notes.warn(WarningKind::Stray(stray));
    }
    for heap in &mut heaps {
        if heap.name.is_none() && in_group.get(&heap.outline.group).is_some_and(|all| all.len() == 1) {
            heap.name = groups.get(&heap.outline.group).cloned();
        }
    }
    heaps
}

/// The smallest piece that the mark lies on, or else the nearest to it.
fn owner(mark: &Mark, heaps: &[Heap], frames: &[Frame]) -> Option<usize> {
    let some_points = sample(&mark.line);
    let ring = |h: usize| &heaps[h].outline.line.points;
    let near: Vec<usize> =
        (0..heaps.len()).filter(|&h| some_points.iter().any(|&p| frames[h].holds(p, NEAR))).collect();
    let on = near.iter().copied().filter(|&h| some_points.iter().any(|&p| holds(ring(h), p)));
    on.min_by(|&a, &b| size_of(&heaps[a].outline).total_cmp(&size_of(&heaps[b].outline)).then(a.cmp(&b)))
        .or_else(|| {
            let off = |h: usize| {
                let each = some_points.iter().map(|&p| nearest_on_ring(ring(h), p).distance(p));
                each.fold(f64::INFINITY, f64::min)
            };
            let near = near.into_iter().map(|h| (h, off(h))).filter(|(_, off)| *off <= NEAR);
            near.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(h, _)| h)
        })
}

fn found(heap: Heap, notes: &mut Notes) -> Found {
    let Heap { outline, name, marks, chained } = heap;
    let place = name.clone().unwrap_or_else(|| "a piece without a name".to_owned());
    if let Some((lines, gap)) = chained {
        notes.warn_of(&place, WarningKind::Chained(lines));
        if gap > 0.01 {
            notes.warn_of(&place, WarningKind::GapClosed(gap));
        }
    }
    let whole = size_of(&outline);
    let mut shape = PatternShape { outline: outline.line.points, ..PatternShape::default() };
    let mut grainlines = Vec::new();
    for mark in marks {
        let middle = mark.line.frame().middle();
        match mark.role {
            Some(Role::Grainline) => grainlines.push(mark.line),
            Some(Role::Fold) => shape.fold = shape.fold.or_else(|| ends(&mark.line)),
            Some(Role::Notch) => {
                let on_edge = nearest_on_ring(&shape.outline, middle);
                mark_once(&mut shape.notches, on_edge);
            }
            Some(Role::DrillHole) => mark_once(&mut shape.drill_holes, middle),
            Some(Role::Ignore | Role::Scale) => {}
            Some(Role::Outline | Role::Internal) => shape.lines.push(mark.line),
            None => {
                let frame = mark.line.frame();
                if mark.round && frame.width().max(frame.height()) <= DRILL_HOLE {
                    mark_once(&mut shape.drill_holes, middle);
                    continue;
                }
                if mark.line.closed && size_of(&mark) > whole / 3.0 {
                    notes.warn_of(&place, WarningKind::Nested);
                }
                shape.lines.push(mark.line);
            }
        }
    }
    shape.grainline = grainline(grainlines, &place, notes);
    Found { name, traits: outline.traits, shape }
}

/// Adds a mark unless the one before it is at the same place: the strokes of a cross are one mark.
fn mark_once(marks: &mut Vec<DrawnPoint>, at: DrawnPoint) {
    if marks.last().is_none_or(|last| last.distance(at) > 0.1) {
        marks.push(at);
    }
}

/// The longest of the lines, from its first end to its last.
fn grainline(mut lines: Vec<Line>, place: &str, notes: &mut Notes) -> Option<[DrawnPoint; 2]> {
    // The sort is stable: of equals the first drawn is taken.
    lines.sort_by(|a, b| b.length().total_cmp(&a.length()));
    let rivals = lines.iter().filter(|line| line.length() > lines[0].length() / 2.0).count();
    if rivals > 1 {
        notes.warn_of(place, WarningKind::SeveralGrainlines(rivals));
    }
    let line = lines.first()?;
    if line.closed {
        notes.warn_of(place, WarningKind::GrainlineWithoutDirection);
    }
    ends(line)
}

/// The two ends of a straight line or of an arrow, in the order of drawing; of a closed shape the lower first.
fn ends(line: &Line) -> Option<[DrawnPoint; 2]> {
    let [a, b] = farthest(&line.points)?;
    let position = |p: DrawnPoint| line.points.iter().position(|&q| q == p);
    let in_order = if line.closed { (a.y, a.x) <= (b.y, b.x) } else { position(a) <= position(b) };
    Some(if in_order { [a, b] } else { [b, a] })
}

fn size_of(mark: &Mark) -> f64 {
    area(&mark.line.points).abs()
}

fn may_be_outline(mark: &Mark) -> bool {
    mark.line.closed && matches!(mark.role, None | Some(Role::Outline)) && size_of(mark) >= LEAST_PIECE
}

/// Does a line lie in a closed one? Told by a few of its points.
fn lies_in(mark: &Mark, outline: &Mark) -> bool {
    let frame = outline.line.frame();
    sample(&mark.line).iter().all(|&p| frame.holds(p, 0.0) && holds(&outline.line.points, p))
}

/// The first, the middle and the last point.
fn sample(line: &Line) -> [DrawnPoint; 3] {
    let n = line.points.len();
    [line.points[0], line.points[n / 2], line.points[n - 1]]
}
