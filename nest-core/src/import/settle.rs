//! A shape as drawn made fit for a job: tidy outline, fold edge on it or opened out, a grainline, and marks on the piece.

use super::limits::MAX_OUTLINE_POINTS;
use super::line::{Line, beside, holds, mirrored, nearest_on_ring, nearest_on_segment, thinned};
use super::pattern::PatternShape;
use super::warning::{Notes, WarningKind};
use crate::geometry::DrawnPoint;

/// Points closer than this are one, in millimetres: half the grid on which pieces are laid.
const SAME: f64 = 0.005;

/// How far off the outline the ends of a fold line may lie, in millimetres. In six public sample files they lay up to
/// 0.19 mm off; a line drawn by hand over an edge lies within a pen's width.
const FOLD_REACH: f64 = 2.0;

/// How far the outline may leave its fold line between the ends, in millimetres: what a job file accepts.
const FOLD_STRAIGHT: f64 = 0.5;

/// How far a fold edge may turn from the grainline, in degrees: what a job file accepts, and a little less.
const FOLD_SLANT: f64 = 0.24;

/// How far off its piece a mark may lie, in millimetres: what a job file accepts.
const MARK_REACH: f64 = 10.0;

/// The shape ready for a job, or why it cannot be one.
pub(super) fn settle(
    mut shape: PatternShape,
    place: &str,
    notes: &mut Notes,
) -> Result<PatternShape, String> {
    tidy(&mut shape.outline);
    if shape.outline.len() < 3 || shape.area() < 1.0 {
        return Err("its outline encloses no area: check the units, and that it is a closed line".to_owned());
    }
    thin(&mut shape.outline, place, notes)?;
    settle_fold(&mut shape, place, notes);
    if shape.grainline.is_none_or(|[a, b]| a.distance(b) < 1.0) {
        let (line, taken) = match shape.fold {
            Some(fold) => (upwards(fold), "the fold edge"),
            None => {
                let frame = shape.frame();
                let x = frame.middle().x;
                let at = |part: f64| DrawnPoint::new(x, frame.low.y + frame.height() * part);
                ([at(0.2), at(0.8)], "the drawing's upright")
            }
        };
        shape.grainline = Some(line);
        notes.warn_of(place, WarningKind::NoGrainline(taken));
    }
    if let (Some(fold), Some(grain)) = (shape.fold, shape.grainline)
        && slant(fold, grain) > FOLD_SLANT
    {
        open_out(&mut shape, fold);
        notes.warn_of(place, WarningKind::OpenedOut("its fold line does not run along the grainline"));
        thin(&mut shape.outline, place, notes)?;
    }
    settle_marks(&mut shape, place, notes);
    Ok(shape)
}

/// Drops points that are repeated.
fn tidy(ring: &mut Vec<DrawnPoint>) {
    ring.dedup_by(|b, a| a.distance(*b) < SAME);
    while ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) < SAME {
        ring.pop();
    }
}

fn thin(ring: &mut Vec<DrawnPoint>, place: &str, notes: &mut Notes) -> Result<(), String> {
    let from = ring.len();
    for off in [0.02, 0.05, 0.1] {
        if ring.len() <= MAX_OUTLINE_POINTS {
            break;
        }
        // Closed, so that the edge from the last point to the first is kept too.
        let mut closed = ring.clone();
        closed.push(ring[0]);
        let mut kept = thinned(&closed, off);
        kept.pop();
        if kept.len() <= MAX_OUTLINE_POINTS {
            notes.warn_of(place, WarningKind::Thinned { from, to: kept.len(), off });
            *ring = kept;
        }
    }
    if ring.len() > MAX_OUTLINE_POINTS {
        return Err(format!(
            "its outline has {from} points, and the most that can be handled is {MAX_OUTLINE_POINTS}: simplify it"
        ));
    }
    Ok(())
}

/// Brings a fold line onto the outline, or takes it away when the outline is no half beside it.
fn settle_fold(shape: &mut PatternShape, place: &str, notes: &mut Notes) {
    let Some([a, b]) = shape.fold.take() else {
        return;
    };
    if a.distance(b) < 1.0 {
        notes.warn_of(place, WarningKind::FoldIgnored("has no length"));
        return;
    }
    let sides = shape.outline.iter().map(|&p| beside(a, b, p));
    let (low, high) = sides.fold((0.0_f64, 0.0_f64), |(l, h), s| (l.min(s), h.max(s)));
    if low < -FOLD_REACH && high > FOLD_REACH {
        notes.warn_of(place, WarningKind::FoldIgnored("runs through the piece, which is drawn whole"));
        return;
    }
    let foot = |p: DrawnPoint| {
        let corner = shape.outline.iter().copied().min_by(|x, y| x.distance(p).total_cmp(&y.distance(p)));
        match corner {
            Some(corner) if corner.distance(p) <= FOLD_REACH => corner,
            _ => nearest_on_ring(&shape.outline, p),
        }
    };
    let on = [foot(a), foot(b)];
    let moved = on[0].distance(a).max(on[1].distance(b));
    if moved > FOLD_REACH || on[0].distance(on[1]) < 1.0 {
        notes.warn_of(place, WarningKind::FoldIgnored("does not lie on the outline"));
        return;
    }
    if !straight_between(&shape.outline, on) {
        notes.warn_of(place, WarningKind::FoldIgnored("lies along an edge that is not straight"));
        return;
    }
    if moved > 0.05 {
        notes.warn_of(place, WarningKind::FoldMoved(moved));
    }
    shape.fold = Some(on);
}

/// Is one of the two ways round from the one point of the ring to the other a straight line?
fn straight_between(ring: &[DrawnPoint], [a, b]: [DrawnPoint; 2]) -> bool {
    stretches(ring, [a, b])
        .iter()
        .any(|stretch| stretch.iter().all(|&p| nearest_on_segment(a, b, p).distance(p) <= FOLD_STRAIGHT))
}

/// The two ways round from a to b, which lie on the ring, both from a to b.
fn stretches(ring: &[DrawnPoint], [a, b]: [DrawnPoint; 2]) -> [Vec<DrawnPoint>; 2] {
    let n = ring.len();
    // The edge on which a point lies, and how far along it.
    let along = |p: DrawnPoint| {
        let edge = (0..n)
            .min_by(|&i, &j| {
                let off = |i: usize| nearest_on_segment(ring[i], ring[(i + 1) % n], p).distance(p);
                off(i).total_cmp(&off(j))
            })
            .unwrap_or(0);
        (edge, ring[edge].distance(p))
    };
    let ((ea, da), (eb, db)) = (along(a), along(b));
    let between = |(from, dfrom): (usize, f64), (to, dto): (usize, f64)| -> Vec<DrawnPoint> {
        let count = if from == to && dfrom <= dto { 0 } else { (to + n - from - 1) % n + 1 };
        (1..=count).map(|i| ring[(from + i) % n]).collect()
    };
    let mut back = between((eb, db), (ea, da));
    back.reverse();
    let full = |middle: Vec<DrawnPoint>| [vec![a], middle, vec![b]].concat();
    [full(between((ea, da), (eb, db))), full(back)]
}

/// Opens a half out about its fold edge, with everything that is marked on it.
pub(super) fn open_out(shape: &mut PatternShape, fold: [DrawnPoint; 2]) {
    let [a, b] = fold;
    let [one, other] = stretches(&shape.outline, fold);
    let off = |line: &[DrawnPoint]| line.iter().map(|&p| beside(a, b, p).abs()).fold(0.0, f64::max);
    let chain = if off(&one) > off(&other) { one } else { other };
    let turn = |p: DrawnPoint| mirrored(a, b, p);
    let mut ring = chain.clone();
    ring.extend(chain[1..chain.len() - 1].iter().rev().map(|&p| turn(p)));
    tidy(&mut ring);
    shape.outline = ring;
    shape.fold = None;
    let far = |p: &DrawnPoint| beside(a, b, *p).abs() > SAME;
    let twice = |points: &mut Vec<DrawnPoint>| {
        let more: Vec<DrawnPoint> = points.iter().filter(|p| far(p)).map(|&p| turn(p)).collect();
        points.extend(more);
    };
    twice(&mut shape.notches);
    twice(&mut shape.drill_holes);
    let more: Vec<Line> = shape
        .lines
        .iter()
        .filter(|line| line.points.iter().any(&far))
        .map(|line| Line { points: line.points.iter().map(|&p| turn(p)).collect(), closed: line.closed })
        .collect();
    shape.lines.extend(more);
}

/// The angle between two lines, whichever way they point, in degrees.
fn slant([a, b]: [DrawnPoint; 2], [c, d]: [DrawnPoint; 2]) -> f64 {
    let (one, other) = (b - a, d - c);
    one.cross(other).abs().atan2(one.dot(other).abs()).to_degrees()
}

/// From the lower end to the higher; of a level line from left to right.
fn upwards([a, b]: [DrawnPoint; 2]) -> [DrawnPoint; 2] {
    if (a.y, a.x) <= (b.y, b.x) { [a, b] } else { [b, a] }
}

/// Leaves out what lies off the piece and more than can be handled, and puts notches on the edge.
fn settle_marks(shape: &mut PatternShape, place: &str, notes: &mut Notes) {
    // First to as many points as a job file takes, which bounds the work of what follows too.
    let mut room = MAX_OUTLINE_POINTS;
    let mut too_many = 0;
    for marks in [&mut shape.notches, &mut shape.drill_holes] {
        too_many += marks.len().saturating_sub(room);
        marks.truncate(room);
        room -= marks.len();
    }
    let lines = shape.lines.len();
    shape.lines.iter_mut().for_each(|line| line.points = thinned(&line.points, 0.05));
    shape.lines.retain(|line| {
        // A closed line is written with its first point at the end again.
        let needed = line.points.len() + usize::from(line.closed);
        let fits = (2..=room).contains(&needed);
        room -= if fits { needed } else { 0 };
        fits
    });
    too_many += lines - shape.lines.len();
    if too_many > 0 {
        notes.warn_of(place, WarningKind::TooManyMarks(too_many));
    }

    let ring = &shape.outline;
    let off_edge = |p: DrawnPoint| nearest_on_ring(ring, p).distance(p);
    let off_piece = |p: DrawnPoint| if holds(ring, p) { 0.0 } else { off_edge(p) };
    let mut left_out = |what: &'static str, before: usize, after: usize| {
        if after < before {
            notes.warn_of(place, WarningKind::MarksOff { count: before - after, what });
        }
    };
    let before = shape.notches.len();
    shape.notches.retain(|&p| off_edge(p) < MARK_REACH);
    shape.notches.iter_mut().for_each(|p| *p = nearest_on_ring(ring, *p));
    left_out("notches", before, shape.notches.len());
    let before = shape.drill_holes.len();
    shape.drill_holes.retain(|&p| off_piece(p) < MARK_REACH);
    left_out("drill holes", before, shape.drill_holes.len());
    let before = shape.lines.len();
    shape.lines.retain(|line| line.points.iter().all(|&p| off_piece(p) < MARK_REACH));
    left_out("lines", before, shape.lines.len());
}
