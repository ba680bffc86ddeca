//! SVG path data and curves to chords within a stated tolerance.

use kurbo::{Arc, BezPath, PathEl, Point, SvgArc, Vec2};
use svgtypes::{PathParser, PathSegment};

/// Why path data does not make one closed ring.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum PathFault {
    /// Not in the grammar of SVG path data.
    Syntax {
        /// The character at which reading stopped, from 1.
        at: usize,
        /// What would be right.
        expected: &'static str,
    },
    /// Nothing is drawn.
    Empty,
    /// More than one subpath.
    Several,
    /// The last point is that far from the first, and no Z closes the gap.
    Open(f64),
    /// A coordinate or radius beyond the limit, or not a number.
    TooLarge,
    /// More chords than the limit.
    TooManyPoints(usize),
}

/// What flattening has to keep to; lengths in the unit of the result.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FlattenLimits {
    /// How far a chord may leave its curve.
    pub(crate) tolerance: f64,
    /// The largest coordinate, control point or radius.
    pub(crate) reach: f64,
    /// The most points of the ring.
    pub(crate) points: usize,
}

/// The ring drawn by SVG path data, its coordinates multiplied by `scale`, curves as chords.
///
/// The grammar is SVG 2's (all commands, absolute and relative); the ring is one subpath that ends in Z or within the
/// tolerance of its first point. Of a curve's chords the ends lie on the curve. A path and its mirror image, or the same
/// path drawn backwards, give the same chords up to rounding in the last place.
///
/// # Errors
/// A [`PathFault`].
///
/// # Complexity
/// O(text + points); the work is bounded by the limits, whatever the numbers in the text.
pub(crate) fn flatten_path(data: &str, scale: f64, limits: FlattenLimits) -> Result<Vec<Point>, PathFault> {
    let path = closed_subpath(data, scale, limits)?;
    let mut ring = Vec::new();
    let mut from = Point::ORIGIN;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => {
                ring.push(p);
                from = p;
            }
            PathEl::QuadTo(_, to) | PathEl::CurveTo(_, _, to) => {
                kurbo::flatten([PathEl::MoveTo(from), *element], limits.tolerance, |chord| {
                    if let PathEl::LineTo(p) = chord {
                        ring.push(p);
                    }
                });
                from = to;
            }
            PathEl::ClosePath => {}
        }
        if ring.len() > limits.points + 1 {
            return Err(PathFault::TooManyPoints(ring.len()));
        }
    }
    if ring.len() > 1 && ring[0].distance(ring[ring.len() - 1]) <= limits.tolerance {
        ring.pop();
    }
    Ok(ring)
}

/// The path's single subpath as lines and Bezier curves, scaled.
fn closed_subpath(data: &str, scale: f64, limits: FlattenLimits) -> Result<BezPath, PathFault> {
    // Arcs become cubics first; a tenth of the tolerance for that leaves nearly all of it to the chords.
    let arc_tolerance = limits.tolerance / 10.0;
    let mut path = BezPath::new();
    let mut pen = Pen::default();
    let mut closed = false;
    for segment in PathParser::from(data) {
        let segment = segment.map_err(|e| syntax_fault(&e, data))?;
        if closed && matches!(segment, PathSegment::ClosePath { .. }) {
            continue;
        }
        if closed || (matches!(segment, PathSegment::MoveTo { .. }) && path.elements().len() > 1) {
            return Err(PathFault::Several);
        }
        let relative = if segment.is_abs() { Vec2::ZERO } else { pen.at.to_vec2() };
        let at = |x: f64, y: f64| Point::new(x * scale, y * scale) + relative;
        let before = pen;
        pen = Pen::default();
        match segment {
            PathSegment::MoveTo { x, y, .. } => {
                pen.at = at(x, y);
                path = BezPath::new();
                path.move_to(pen.at);
            }
            PathSegment::LineTo { x, y, .. } => {
                pen.at = at(x, y);
                path.line_to(pen.at);
            }
            PathSegment::HorizontalLineTo { x, .. } => {
                pen.at = Point::new(x * scale + relative.x, before.at.y);
                path.line_to(pen.at);
            }
            PathSegment::VerticalLineTo { y, .. } => {
                pen.at = Point::new(before.at.x, y * scale + relative.y);
                path.line_to(pen.at);
            }
            PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => {
                pen = Pen { at: at(x, y), cubic: Some(at(x2, y2)), quadratic: None };
                path.curve_to(at(x1, y1), at(x2, y2), pen.at);
            }
            PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => {
                pen = Pen { at: at(x, y), cubic: Some(at(x2, y2)), quadratic: None };
                path.curve_to(before.reflected(before.cubic), at(x2, y2), pen.at);
            }
            PathSegment::Quadratic { x1, y1, x, y, .. } => {
                pen = Pen { at: at(x, y), cubic: None, quadratic: Some(at(x1, y1)) };
                path.quad_to(at(x1, y1), pen.at);
            }
            PathSegment::SmoothQuadratic { x, y, .. } => {
                let control = before.reflected(before.quadratic);
                pen = Pen { at: at(x, y), cubic: None, quadratic: Some(control) };
                path.quad_to(control, pen.at);
            }
            PathSegment::EllipticalArc { rx, ry, x_axis_rotation, large_arc, sweep, x, y, .. } => {
                pen.at = at(x, y);
                let radii = Vec2::new(rx * scale, ry * scale);
                let arc = SvgArc {
                    from: before.at,
                    to: pen.at,
                    radii,
                    x_rotation: (x_axis_rotation % 360.0).to_radians(),
                    large_arc,
                    sweep,
                };
                // Checked before the arc is converted, whose number of parts grows with its radius.
                let in_reach = |v: f64| v.abs() <= limits.reach;
                if ![radii.x, radii.y, pen.at.x, pen.at.y].into_iter().all(in_reach)
                    || !arc.x_rotation.is_finite()
                {
                    return Err(PathFault::TooLarge);
                }
                append_arc(&mut path, &arc, arc_tolerance, limits.reach)?;
            }
            PathSegment::ClosePath { .. } => {
                closed = true;
                path.close_path();
            }
        }
        if !within_reach(path.elements().last(), limits.reach) {
            return Err(PathFault::TooLarge);
        }
        // Each element gives at least one point, so a long text need not be read to its end.
        if path.elements().len() > limits.points + 2 {
            return Err(PathFault::TooManyPoints(path.elements().len()));
        }
    }
    if path.elements().len() < 2 {
        return Err(PathFault::Empty);
    }
    if !closed && let Some(PathEl::MoveTo(first)) = path.elements().first() {
        let gap = first.distance(pen.at);
        if gap > limits.tolerance {
            return Err(PathFault::Open(gap));
        }
    }
    Ok(path)
}

/// Where the pen stands, and the last control point of the curve that led there, for the smooth commands.
#[derive(Clone, Copy, Default)]
struct Pen {
    at: Point,
    cubic: Option<Point>,
    quadratic: Option<Point>,
}

impl Pen {
    /// The control point reflected in the pen's place; the place itself after any other command (SVG 2, 9.3.6).
    fn reflected(&self, control: Option<Point>) -> Point {
        control.map_or(self.at, |c| self.at + (self.at - c))
    }
}

fn append_arc(path: &mut BezPath, arc: &SvgArc, tolerance: f64, reach: f64) -> Result<(), PathFault> {
    // Ends that all but coincide draw nothing (SVG 2, 9.5.1), and the conversion would divide by their distance.
    if arc.from.distance(arc.to) < 1e-9 {
        path.line_to(arc.to);
        return Ok(());
    }
    let Some(converted) = Arc::from_svg_arc(arc) else {
        path.line_to(arc.to);
        return Ok(());
    };
    // Radii too small to reach are enlarged in proportion, which can take a very flat ellipse out of bounds.
    if !(converted.radii.x <= reach && converted.radii.y <= reach) {
        return Err(PathFault::TooLarge);
    }
    let mut parts: Vec<PathEl> = converted.append_iter(tolerance).collect();
    // The last point is given, not computed.
    if let Some(PathEl::CurveTo(_, _, end)) = parts.last_mut() {
        *end = arc.to;
    }
    parts.into_iter().for_each(|part| path.push(part));
    Ok(())
}

fn within_reach(element: Option<&PathEl>, reach: f64) -> bool {
    let ok = |p: Point| p.x.abs() <= reach && p.y.abs() <= reach;
    match element {
        Some(&(PathEl::MoveTo(p) | PathEl::LineTo(p))) => ok(p),
        Some(&PathEl::QuadTo(a, b)) => ok(a) && ok(b),
        Some(&PathEl::CurveTo(a, b, c)) => ok(a) && ok(b) && ok(c),
        Some(PathEl::ClosePath) | None => true,
    }
}

fn syntax_fault(error: &svgtypes::Error, data: &str) -> PathFault {
    use svgtypes::Error as E;
    let end = data.chars().count() + 1;
    let (at, expected) = match error {
        E::UnexpectedEndOfStream => (end, "more numbers are wanted before the end"),
        E::InvalidNumber(at) => (*at, "a number is wanted there"),
        E::UnexpectedData(at) | E::InvalidChar(_, at) | E::InvalidString(_, at) => {
            (*at, "a command letter (M L H V C S Q T A Z, or small) or a number is wanted there, and M first")
        }
        E::InvalidValue | E::InvalidIdent => (end, "path data is wanted"),
    };
    PathFault::Syntax { at: at.min(end), expected }
}
