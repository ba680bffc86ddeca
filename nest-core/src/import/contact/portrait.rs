//! [`Portrait`]: one piece in all its sizes, its grainline upright, sizes laid over one another.

use svg::node::element::{Circle, Group, Path};

use crate::draw::ink::{GREY, INK, arrowhead, mm};
use crate::draw::lettering::{self, Anchor, Weight};
use crate::geometry::DrawnPoint;
use crate::import::line::{Frame, Line, area, nearest_on_segment, thinned};
use crate::import::pattern::{PatternPiece, PatternShape};

/// What is left out of an outline on the sheet, in millimetres there: less than a pen is wide.
const FINE: f64 = 0.03;

/// One size.
struct Likeness<'a> {
    shape: &'a PatternShape,
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
    /// `shown` is the size whose grainline is drawn; of a piece that is not there in it, the first.
    pub(super) fn new(piece: &'a PatternPiece, sizes: &[String], shown: Option<&str>) -> Portrait<'a> {
        let is_it = |(size, _): &(Option<String>, PatternShape)| size.as_deref() == shown;
        let chosen = piece.shapes.iter().position(is_it).unwrap_or(0);
        let mut frame: Option<Frame> = None;
        let mut likenesses = Vec::new();
        for (i, (size, shape)) in piece.shapes.iter().enumerate() {
            let own = upright(shape, &shape.outline);
            let fold = shape.fold.map(|[a, b]| turned(shape, a.midpoint(b)).x);
            let shift = kurbo::Vec2::new(-fold.unwrap_or(own.low.x), -own.low.y);
            let own = Frame { low: own.low + shift, high: own.high + shift };
            frame = Some(match frame {
                Some(all) => Frame::of(&[all.low, all.high, own.low, own.high]),
                None => own,
            });
            let weight = match sizes.iter().position(|s| Some(s) == size.as_ref()) {
                Some(at) => weight(at, sizes.len()),
                None => weight(0, 1),
            };
            likenesses.push(Likeness { shape, shift, weight, is_shown: i == chosen });
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
            let at = |p: DrawnPoint| {
                let p = turned(likeness.shape, p) + likeness.shift;
                DrawnPoint::new((p.x - self.frame.low.x) / scale, (self.frame.high.y - p.y) / scale)
            };
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
        let outline = Line::ring(ring.clone());
        group = group.add(path(&outline, self.weight).set("class", "outline"));
        for &notch in &shape.notches {
            group = group.add(tick(&ring, at(notch), self.weight));
        }
        for &hole in &shape.drill_holes {
            group = group.add(drill_hole(at(hole)));
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

/// A notch: a stroke from the edge inwards, square to it.
fn tick(ring: &[DrawnPoint], notch: DrawnPoint, weight: f64) -> Path {
    const LONG: f64 = 2.2;
    let n = ring.len();
    let off = |i: usize| nearest_on_segment(ring[i], ring[(i + 1) % n], notch).distance(notch);
    let edge = (0..n).min_by(|&i, &j| off(i).total_cmp(&off(j))).unwrap_or(0);
    let along = ring[(edge + 1) % n] - ring[edge];
    let inwards = along.turn_90() / along.hypot().max(1e-9) * area(ring).signum();
    path(&Line::open(vec![notch, notch + inwards * LONG]), weight.max(0.3)).set("class", "notch")
}

fn drill_hole(at: DrawnPoint) -> Group {
    let ring = |radius: f64, fill: &str| {
        Circle::new()
            .set("cx", mm(at.x))
            .set("cy", mm(at.y))
            .set("r", mm(radius))
            .set("fill", fill)
            .set("stroke", INK)
            .set("stroke-width", "0.15")
    };
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

/// A sample of the kinds of mark for the key, 8 mm wide.
pub(super) fn sample(kind: usize, x: f64, y: f64) -> Group {
    let at = |dx: f64, dy: f64| DrawnPoint::new(x + dx, y + dy);
    let bar = |weight: f64| path(&Line::open(vec![at(0.0, 0.0), at(8.0, 0.0)]), weight);
    match kind {
        0 => Group::new().add(bar(0.35)),
        1 => Group::new().add(bar(0.2)).add(arrowhead(pair(at(0.0, 0.0)), pair(at(8.0, 0.0)), 3.0, 0.6)),
        2 => Group::new().add(bar(0.9).set("stroke-dasharray", "3 1 0.8 1")),
        3 => Group::new()
            .add(path(&Line::open(vec![at(0.0, 1.2), at(8.0, 1.2)]), 0.35))
            .add(path(&Line::open(vec![at(4.0, 1.2), at(4.0, -1.0)]), 0.35)),
        4 => Group::new().add(drill_hole(at(4.0, 0.0))),
        _ => Group::new().add(bar(0.15).set("stroke", GREY)),
    }
}
