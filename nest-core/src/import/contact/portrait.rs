//! [`Portrait`]: one piece in all its sizes, its grainline upright, sizes laid over one another.

use svg::node::element::{Circle, Group, Path};

use crate::draw::ink::{GREY, INK, arrowhead, mm};
use crate::draw::lettering::{self, Anchor, Weight};
use crate::geometry::{DrawnPoint, Point};
use crate::import::line::{Frame, Line, area, nearest_on_segment, thinned};
use crate::import::pattern::{PatternPiece, PatternShape};
use crate::length::GRID_PER_MM;
use crate::piece::Piece;

/// What is left out of an outline on the sheet, in millimetres there: less than a pen is wide.
const FINE: f64 = 0.03;

/// The stitching line on the sheet.
const STITCHES: &str = "1.6 1";

/// One size.
struct Likeness<'a> {
    shape: &'a PatternShape,
    /// The line that is cut, in the frame of the portrait, where an allowance is added to what is drawn.
    cut: Option<Vec<DrawnPoint>>,
    /// From the shape's own frame to that of the portrait, in millimetres of the pattern, y up.
    shift: kurbo::Vec2,
    weight: f64,
    /// Are its grainline and its fold drawn?
    is_shown: bool,
}

/// A piece drawn upright. Sizes lie with their lowest edge on one line, and with their fold or else their left edge.
pub(super) struct Portrait<'a> {
    likenesses: Vec<Likeness<'a>>,
    frame: Frame,
}

/// The weight of line of one of several sizes, the smallest first, in millimetres of the sheet.
pub(super) fn weight(size: usize, sizes: usize) -> f64 {
    if sizes < 2 { 0.35 } else { 0.15 + 0.5 * size as f64 / (sizes - 1) as f64 }
}

/// A point of the shape's frame with the grainline turned straight up.
fn turned(shape: &PatternShape, p: DrawnPoint) -> DrawnPoint {
    let Some([bottom, top]) = shape.grainline else { return p };
    let along = top - bottom;
    let run = along.hypot();
    if run == 0.0 {
        return p;
    }
    let u = along / run;
    DrawnPoint::new(p.x * u.y - p.y * u.x, p.x * u.x + p.y * u.y)
}

/// The box around points of a shape, its grainline turned straight up: as high as they are long along the grain.
pub(super) fn upright(shape: &PatternShape, points: &[DrawnPoint]) -> Frame {
    let points: Vec<DrawnPoint> = points.iter().map(|&p| turned(shape, p)).collect();
    Frame::of(&points)
}

impl<'a> Portrait<'a> {
    /// `shown` is the size whose grainline is drawn; of a piece that is not there in it, the first. `in_job` is the piece in
    /// the job, where the line that is cut is known.
    pub(super) fn new(
        piece: &'a PatternPiece,
        in_job: Option<&Piece>,
        sizes: &[String],
        shown: Option<&str>,
    ) -> Portrait<'a> {
        let is_it = |(size, _): &(Option<String>, PatternShape)| size.as_deref() == shown;
        let chosen = piece.shapes.iter().position(is_it).unwrap_or(0);
        let mut frame: Option<Frame> = None;
        let mut likenesses = Vec::new();
        for (i, (size, shape)) in piece.shapes.iter().enumerate() {
            let own = upright(shape, &shape.outline);
            let fold = shape.fold.map(|[a, b]| turned(shape, a.midpoint(b)).x);
            let shift = kurbo::Vec2::new(-fold.unwrap_or(own.low.x), -own.low.y);
            let own = Frame { low: own.low + shift, high: own.high + shift };
            let cut = in_job.and_then(|piece| cut_around(piece, size.as_ref(), own));
            let mut reach = vec![own.low, own.high];
            reach.extend(cut.iter().flatten());
            reach.extend(frame.iter().flat_map(|all| [all.low, all.high]));
            frame = Some(Frame::of(&reach));
            let weight = match sizes.iter().position(|s| Some(s) == size.as_ref()) {
                Some(at) => weight(at, sizes.len()),
                None => weight(0, 1),
            };
            likenesses.push(Likeness { shape, cut, shift, weight, is_shown: i == chosen });
        }
        let none = Frame { low: DrawnPoint::ORIGIN, high: DrawnPoint::ORIGIN };
        Portrait { likenesses, frame: frame.unwrap_or(none) }
    }

    /// In millimetres of the pattern.
    pub(super) fn width(&self) -> f64 {
        self.frame.width()
    }

    /// In millimetres of the pattern.
    pub(super) fn height(&self) -> f64 {
        self.frame.height()
    }

    /// The drawing at one to `scale`, about its upper left corner.
    pub(super) fn drawn(&self, scale: f64) -> Group {
        let mut group = Group::new();
        for likeness in &self.likenesses {
            let on_sheet = |p: DrawnPoint| {
                DrawnPoint::new((p.x - self.frame.low.x) / scale, (self.frame.high.y - p.y) / scale)
            };
            if let Some(cut) = &likeness.cut {
                let ring = Line::ring(cut.iter().map(|&p| on_sheet(p)).collect());
                group = group.add(path(&ring, likeness.weight).set("class", "cutting"));
            }
            let at = |p: DrawnPoint| on_sheet(turned(likeness.shape, p) + likeness.shift);
            group = likeness.drawn(group, &at);
        }
        group
    }
}

impl Likeness<'_> {
    fn drawn(&self, mut group: Group, at: &dyn Fn(DrawnPoint) -> DrawnPoint) -> Group {
        let shape = self.shape;
        let on_sheet = |points: &[DrawnPoint]| points.iter().map(|&p| at(p)).collect::<Vec<_>>();
        let ring = on_sheet(&shape.outline);
        for line in &shape.lines {
            let line = Line { points: on_sheet(&line.points), closed: line.closed };
            group = group.add(path(&line, 0.15).set("stroke", GREY).set("class", "line"));
        }
        let outline = path(&Line::ring(ring.clone()), self.weight).set("class", "outline");
        group = group.add(match self.cut {
            // Then what is drawn is the stitching line.
            Some(_) => outline.set("stroke-dasharray", STITCHES),
            None => outline,
        });
        for &notch in &shape.notches {
            group = group.add(match shape.carried.notches {
                true => open_notch(&ring, at(notch)),
                false => tick(&ring, at(notch), self.weight),
            });
        }
        for &hole in &shape.drill_holes {
            group = group.add(drill_hole(at(hole), shape.carried.drill_holes));
        }
        if self.is_shown {
            if let Some(fold) = shape.fold {
                group = group.add(fold_edge(&ring, fold.map(at)));
            }
            if let Some(grainline) = shape.grainline {
                group = group.add(arrow(grainline.map(at)));
            }
        }
        group
    }
}

fn pair(p: DrawnPoint) -> (f64, f64) {
    (p.x, p.y)
}

fn path(line: &Line, weight: f64) -> Path {
    let mut points = line.points.clone();
    if line.closed {
        points.extend(line.points.first());
    }
    let mut kept = thinned(&points, FINE);
    if line.closed {
        kept.pop();
    }
    let mut data = String::new();
    for (i, p) in kept.iter().enumerate() {
        data.push_str(&format!("{}{:.3},{:.3}", if i == 0 { "M" } else { " L" }, p.x, p.y));
    }
    if line.closed {
        data.push('Z');
    }
    Path::new()
        .set("d", data)
        .set("fill", "none")
        .set("stroke", INK)
        .set("stroke-width", mm(weight))
        .set("stroke-linejoin", "round")
}

/// The line that is cut in one size, about the box of the stitching line as it is drawn; none where they are one.
fn cut_around(piece: &Piece, size: Option<&String>, drawn: Frame) -> Option<Vec<DrawnPoint>> {
    let shape = match size {
        Some(size) => piece.shapes.get(size)?,
        None => piece.shapes.values().next()?,
    };
    // The piece's own frame has its grainline along x, and its left at y.
    let mm = |grid: i64| grid as f64 / GRID_PER_MM as f64;
    let upright = |p: &Point| DrawnPoint::new(-mm(p.y), mm(p.x));
    let stitching: Vec<DrawnPoint> = shape.stitching.as_ref()?.iter().map(upright).collect();
    let shift = drawn.low - Frame::of(&stitching).low;
    Some(shape.outline.points().iter().map(|p| upright(p) + shift).collect())
}

/// How long a notch is drawn.
const NOTCH: f64 = 2.2;

/// The way inwards, square to the edge of the ring that is nearest to a point.
fn inwards(ring: &[DrawnPoint], notch: DrawnPoint) -> kurbo::Vec2 {
    let n = ring.len();
    let off = |i: usize| nearest_on_segment(ring[i], ring[(i + 1) % n], notch).distance(notch);
    let edge = (0..n).min_by(|&i, &j| off(i).total_cmp(&off(j))).unwrap_or(0);
    let along = ring[(edge + 1) % n] - ring[edge];
    along.turn_90() / along.hypot().max(1e-9) * area(ring).signum()
}

/// A notch: a stroke from the edge inwards, square to it.
fn tick(ring: &[DrawnPoint], notch: DrawnPoint, weight: f64) -> Path {
    let tip = notch + inwards(ring, notch) * NOTCH;
    path(&Line::open(vec![notch, tip]), weight.max(0.3)).set("class", "notch")
}

/// A notch that was placed as another size has it: a hollow triangle.
fn open_notch(ring: &[DrawnPoint], notch: DrawnPoint) -> Path {
    let inwards = inwards(ring, notch);
    let half = inwards.turn_90() * (NOTCH * 0.35);
    let triangle = Line::ring(vec![notch - half, notch + half, notch + inwards * NOTCH]);
    path(&triangle, 0.15).set("fill", "#ffffff").set("class", "notch carried")
}

/// A ring with a dot; of a hole that was placed as another size has it, a ring alone.
fn drill_hole(at: DrawnPoint, carried: bool) -> Group {
    let ring = |radius: f64, fill: &str| {
        Circle::new()
            .set("cx", mm(at.x))
            .set("cy", mm(at.y))
            .set("r", mm(radius))
            .set("fill", fill)
            .set("stroke", INK)
            .set("stroke-width", "0.15")
    };
    if carried {
        return Group::new().set("class", "drill-hole carried").add(ring(0.9, "#ffffff"));
    }
    Group::new().set("class", "drill-hole").add(ring(0.9, "none")).add(ring(0.2, INK))
}

fn arrow([bottom, top]: [DrawnPoint; 2]) -> Group {
    Group::new().set("class", "grainline").add(path(&Line::open(vec![bottom, top]), 0.2)).add(arrowhead(
        pair(bottom),
        pair(top),
        3.0,
        0.6,
    ))
}

/// The heavy edge, and beside it the trade's sign: a line with both its ends turned to the edge.
fn fold_edge(ring: &[DrawnPoint], [a, b]: [DrawnPoint; 2]) -> Group {
    let (along, run) = (b - a, a.distance(b));
    let mut group = Group::new()
        .set("class", "fold")
        .add(path(&Line::open(vec![a, b]), 0.9).set("stroke-dasharray", "3 1 0.8 1"));
    if run < 8.0 {
        return group;
    }
    let middle = Frame::of(ring).middle();
    let side = if along.cross(middle - a) >= 0.0 { 1.0 } else { -1.0 };
    let (u, inwards) = (along / run, along.turn_90() / run * side);
    let (from, to) = (a + u * (run * 0.15), b - u * (run * 0.15));
    let sign = vec![from + inwards * 0.6, from + inwards * 2.2, to + inwards * 2.2, to + inwards * 0.6];
    group = group.add(path(&Line::open(sign), 0.2));
    let foot = a.midpoint(b) + inwards * 3.0;
    // Read from the right, as drawings are, where the edge runs up the sheet.
    let mut angle = along.y.atan2(along.x).to_degrees();
    if !(-90.0..90.0).contains(&angle) {
        angle -= 180.0;
    }
    let place = format!("translate({} {}) rotate({})", mm(foot.x), mm(foot.y), mm(angle));
    // The foot of the words is towards the edge where the inside is above it.
    let up = DrawnPoint::ORIGIN + kurbo::Vec2::from_angle(angle.to_radians()).turn_90() * -1.0;
    let drop = if up.to_vec2().dot(inwards) > 0.0 { 0.0 } else { 2.0 };
    group.add(Group::new().set("transform", place).add(lettering::text(
        "fold",
        (0.0, drop),
        2.6,
        Weight::Plain,
        Anchor::Middle,
    )))
}

/// Kinds of mark that the key explains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    Outline,
    Grainline,
    Fold,
    Notch,
    DrillHole,
    Line,
    Stitching,
    CarriedNotch,
    CarriedHole,
}

/// A sample of a kind of mark for the key, 8 mm wide.
pub(super) fn sample(kind: Mark, x: f64, y: f64) -> Group {
    let at = |dx: f64, dy: f64| DrawnPoint::new(x + dx, y + dy);
    let bar = |weight: f64| path(&Line::open(vec![at(0.0, 0.0), at(8.0, 0.0)]), weight);
    let edge = || path(&Line::open(vec![at(0.0, 1.2), at(8.0, 1.2)]), 0.35);
    // Clockwise on the sheet, so that the inside is above the edge.
    let above = [at(0.0, 1.2), at(8.0, 1.2), at(8.0, -3.0), at(0.0, -3.0)];
    match kind {
        Mark::Outline => Group::new().add(bar(0.35)),
        Mark::Grainline => {
            Group::new().add(bar(0.2)).add(arrowhead(pair(at(0.0, 0.0)), pair(at(8.0, 0.0)), 3.0, 0.6))
        }
        Mark::Fold => Group::new().add(bar(0.9).set("stroke-dasharray", "3 1 0.8 1")),
        Mark::Notch => Group::new().add(edge()).add(tick(&above, at(4.0, 1.2), 0.35)),
        Mark::DrillHole => Group::new().add(drill_hole(at(4.0, 0.0), false)),
        Mark::Line => Group::new().add(bar(0.15).set("stroke", GREY)),
        Mark::Stitching => Group::new().add(bar(0.35).set("stroke-dasharray", STITCHES)),
        Mark::CarriedNotch => Group::new().add(edge()).add(open_notch(&above, at(4.0, 1.2))),
        Mark::CarriedHole => Group::new().add(drill_hole(at(4.0, 0.0), true)),
    }
}
