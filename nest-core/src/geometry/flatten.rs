//! SVG path data to a ring of points, curves as chords within a stated tolerance.

use kurbo::{Arc, CubicBez, PathEl, Point, QuadBez, SvgArc, Vec2};
use svgtypes::{PathParser, PathSegment};

use super::chords::append_chords;

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
    /// More points than the limit, at least so many.
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
    let mut tracer = Tracer { limits, scale, ring: Vec::new(), pen: Pen::default() };
    let mut closed = false;
    for segment in PathParser::from(data) {
        let segment = segment.map_err(|e| syntax_fault(&e, data))?;
        if let PathSegment::ClosePath { .. } = segment {
            closed = true;
            continue;
        }
        let moves = matches!(segment, PathSegment::MoveTo { .. });
        if closed || (moves && tracer.ring.len() > 1) {
            return Err(PathFault::Several);
        }
        tracer.trace(segment)?;
    }
    let mut ring = tracer.ring;
    let [first, .., last] = ring[..] else {
        return Err(PathFault::Empty);
    };
    let gap = first.distance(last);
    if !closed && gap > limits.tolerance {
        return Err(PathFault::Open(gap));
    }
    if gap <= limits.tolerance {
        ring.pop();
    }
    Ok(ring)
}

/// One subpath as chords.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Subpath {
    /// Its points, the first not repeated at the end when it is closed.
    pub(crate) points: Vec<Point>,
    /// Does it end in Z, or where it begins?
    pub(crate) closed: bool,
}

/// Every subpath drawn by SVG path data, open and closed, as [`flatten_path`] makes them; moves without a drawing after
/// them are left out. The limit of points is for each subpath.
///
/// # Errors
/// A [`PathFault`], but neither `Several` nor `Open` nor `Empty`.
///
/// # Complexity
/// O(text + points).
pub(crate) fn flatten_subpaths(
    data: &str,
    scale: f64,
    limits: FlattenLimits,
) -> Result<Vec<Subpath>, PathFault> {
    let mut tracer = Tracer { limits, scale, ring: Vec::new(), pen: Pen::default() };
    let mut subpaths = Vec::new();
    for segment in PathParser::from(data) {
        let segment = segment.map_err(|e| syntax_fault(&e, data))?;
        match segment {
            PathSegment::MoveTo { .. } => {
                subpaths.extend(tracer.finished(false));
                tracer.trace(segment)?;
            }
            PathSegment::ClosePath { .. } => {
                // What is drawn next without a move begins where this subpath began.
                let start = tracer.ring.first().copied().unwrap_or(tracer.pen.at);
                subpaths.extend(tracer.finished(true));
                tracer.pen = Pen { at: start, cubic: None, quadratic: None };
            }
            _ => {
                if tracer.ring.is_empty() {
                    tracer.ring.push(tracer.pen.at);
                }
                tracer.trace(segment)?;
            }
        }
    }
    subpaths.extend(tracer.finished(false));
    Ok(subpaths)
}

/// Draws segment by segment.
struct Tracer {
    limits: FlattenLimits,
    scale: f64,
    ring: Vec<Point>,
    pen: Pen,
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

impl Tracer {
    /// The subpath drawn so far, if it is one; the next begins empty.
    fn finished(&mut self, closed: bool) -> Option<Subpath> {
        let mut points = std::mem::take(&mut self.ring);
        let [first, .., last] = points[..] else {
            return None;
        };
        let meets = points.len() > 2 && first.distance(last) <= self.limits.tolerance;
        if meets {
            points.pop();
        }
        Some(Subpath { points, closed: closed || meets })
    }

    fn trace(&mut self, segment: PathSegment) -> Result<(), PathFault> {
        let before = self.pen;
        let from = if segment.is_abs() { Vec2::ZERO } else { before.at.to_vec2() };
        let scale = self.scale;
        let at = |x: f64, y: f64| Point::new(x * scale, y * scale) + from;
        let plain = |at: Point| Pen { at, cubic: None, quadratic: None };
        match segment {
            PathSegment::MoveTo { x, y, .. } => {
                // A move without a drawing after it counts for nothing.
                self.ring.clear();
                self.pen = plain(at(x, y));
                self.line()
            }
            PathSegment::LineTo { x, y, .. } => {
                self.pen = plain(at(x, y));
                self.line()
            }
            PathSegment::HorizontalLineTo { x, .. } => {
                self.pen = plain(Point::new(x * scale + from.x, before.at.y));
                self.line()
            }
            PathSegment::VerticalLineTo { y, .. } => {
                self.pen = plain(Point::new(before.at.x, y * scale + from.y));
                self.line()
            }
            PathSegment::CurveTo { x1, y1, x2, y2, x, y, .. } => {
                self.pen = Pen { at: at(x, y), cubic: Some(at(x2, y2)), quadratic: None };
                self.cubic(CubicBez::new(before.at, at(x1, y1), at(x2, y2), at(x, y)))
            }
            PathSegment::SmoothCurveTo { x2, y2, x, y, .. } => {
                self.pen = Pen { at: at(x, y), cubic: Some(at(x2, y2)), quadratic: None };
                self.cubic(CubicBez::new(before.at, before.reflected(before.cubic), at(x2, y2), at(x, y)))
            }
            PathSegment::Quadratic { x1, y1, x, y, .. } => {
                self.pen = Pen { at: at(x, y), cubic: None, quadratic: Some(at(x1, y1)) };
                self.cubic(QuadBez::new(before.at, at(x1, y1), at(x, y)).raise())
            }
            PathSegment::SmoothQuadratic { x, y, .. } => {
                let control = before.reflected(before.quadratic);
                self.pen = Pen { at: at(x, y), cubic: None, quadratic: Some(control) };
                self.cubic(QuadBez::new(before.at, control, at(x, y)).raise())
            }
            PathSegment::EllipticalArc { rx, ry, x_axis_rotation, large_arc, sweep, x, y, .. } => {
                self.pen = plain(at(x, y));
                self.arc(SvgArc {
                    from: before.at,
                    to: at(x, y),
                    radii: Vec2::new(rx * scale, ry * scale),
                    x_rotation: (x_axis_rotation % 360.0).to_radians(),
                    large_arc,
                    sweep,
                })
            }
            PathSegment::ClosePath { .. } => Ok(()),
        }
    }

    fn line(&mut self) -> Result<(), PathFault> {
        self.within_reach(&[self.pen.at])?;
        if self.ring.len() > self.limits.points {
            return Err(PathFault::TooManyPoints(self.ring.len() + 1));
        }
        self.ring.push(self.pen.at);
        Ok(())
    }

    fn cubic(&mut self, curve: CubicBez) -> Result<(), PathFault> {
        self.chords(curve, self.limits.tolerance)
    }

    fn chords(&mut self, curve: CubicBez, tolerance: f64) -> Result<(), PathFault> {
        self.within_reach(&[curve.p1, curve.p2, curve.p3])?;
        let most = self.limits.points;
        append_chords(curve, tolerance, most, &mut self.ring).map_err(PathFault::TooManyPoints)?;
        if self.ring.len() > most + 1 {
            return Err(PathFault::TooManyPoints(self.ring.len()));
        }
        Ok(())
    }

    fn arc(&mut self, arc: SvgArc) -> Result<(), PathFault> {
        self.within_reach(&[arc.to, arc.radii.to_point()])?;
        if !arc.x_rotation.is_finite() {
            return Err(PathFault::TooLarge);
        }
        // Ends that all but coincide draw nothing (SVG 2, 9.5.1), and the conversion would divide by their distance.
        let converted = if arc.from.distance(arc.to) < 1e-9 { None } else { Arc::from_svg_arc(&arc) };
        let Some(converted) = converted else {
            return self.line();
        };
        // Radii too small to reach are enlarged in proportion, which can take a very flat ellipse out of bounds.
        self.within_reach(&[converted.radii.to_point()])?;
        // The arc becomes cubics first; a tenth of the tolerance for that leaves nearly all of it to the chords.
        let tolerance = self.limits.tolerance;
        let mut from = arc.from;
        let mut parts = converted.append_iter(tolerance * 0.1).peekable();
        while let Some(part) = parts.next() {
            if let PathEl::CurveTo(p1, p2, p3) = part {
                // The last point is given, not computed.
                let to = if parts.peek().is_none() { arc.to } else { p3 };
                self.chords(CubicBez::new(from, p1, p2, to), tolerance * 0.9)?;
                from = to;
            }
        }
        Ok(())
    }

    fn within_reach(&self, points: &[Point]) -> Result<(), PathFault> {
        let ok = |v: f64| v.abs() <= self.limits.reach;
        if points.iter().all(|p| ok(p.x) && ok(p.y)) { Ok(()) } else { Err(PathFault::TooLarge) }
    }
}

fn syntax_fault(error: &svgtypes::Error, data: &str) -> PathFault {
    use svgtypes::Error as E;
    let end = data.chars().count() + 1;
    let (at, expected) = match error {
        E::UnexpectedEndOfStream => (end, "write the numbers that are missing at the end"),
        E::InvalidNumber(at) => (*at, "write a number there"),
        E::UnexpectedData(at) | E::InvalidChar(_, at) | E::InvalidString(_, at) => (
            *at,
            "write a command letter (M L H V C S Q T A Z, or small) or a number there, and M first of all",
        ),
        E::InvalidValue | E::InvalidIdent => (end, "write path data"),
    };
    PathFault::Syntax { at: at.min(end), expected }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{BezPath, ParamCurve, ParamCurveNearest, Shape};

    const LIMITS: FlattenLimits = FlattenLimits { tolerance: 10.0, reach: 1e7, points: 5000 };

    fn ring(data: &str) -> Vec<(f64, f64)> {
        let ring = flatten_path(data, 1.0, LIMITS).unwrap_or_else(|fault| panic!("{data}: {fault:?}"));
        ring.iter().map(|p| (p.x, p.y)).collect()
    }

    fn fault(data: &str) -> PathFault {
        flatten_path(data, 1.0, LIMITS).unwrap_err()
    }

    #[test]
    fn every_way_to_write_a_square_gives_the_same_ring() {
        let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)];
        for data in [
            "M0,0 L100,0 L100,100 L0,100 Z",
            "M0 0 100 0 100 100 0 100z",
            "m0,0 l100,0 0,100 -100,0 z",
            "M0,0H100V100H0Z",
            "M0 0h100v100h-100V0",
            "M0,0L1e2-0L100,1.e2L0 100ZZ",
            "M7,7 M0,0 L100,0 L100,100 L0,100 L0,0 Z",
            "M0,0 A0,5 0 0 1 100,0 A5,0 0 0 1 100,100 L0,100 Z",
        ] {
            assert_eq!(ring(data), square, "{data}");
        }
    }

    #[test]
    fn curves_follow_kurbos_reading_of_the_same_path_within_tolerance() {
        // Only commands that kurbo reads by the standard: its smooth commands remember the control point of any curve.
        for data in [
            "M0,0 C0,20000 10000,40000 30000,30000 S60000,10000 50000,0 Z",
            "M0,0 Q20000,30000 40000,0 T80000,0 L40000,-20000 Z",
            "M0,0 c5000,9000 9000,5000 9000,0 l0,-9000 z",
            "M10000,0 A30000,20000 30 1 0 40000,10000 Z",
            "M0,0 A25000,25000 0 0 1 50000,0 A25000,25000 0 0 1 0,0 Z",
        ] {
            let ring = flatten_path(data, 1.0, LIMITS).unwrap();
            let edges: Vec<_> =
                (0..ring.len()).map(|i| kurbo::Line::new(ring[i], ring[(i + 1) % ring.len()])).collect();
            for segment in BezPath::from_svg(data).unwrap().path_segments(1e-3) {
                for i in 0..=200 {
                    let p = segment.eval(f64::from(i) / 200.0);
                    let off =
                        edges.iter().map(|e| e.nearest(p, 1e-9).distance_sq).fold(f64::INFINITY, f64::min);
                    // Its arcs are within 0.1 of the true ones, which counts here.
                    assert!(off.sqrt() <= LIMITS.tolerance + 0.1, "{data}: {} off", off.sqrt());
                }
            }
        }
    }

    #[test]
    fn subpaths_are_told_apart_and_begin_where_the_last_one_closed() {
        let subpaths = flatten_subpaths("M5,5 m0,0 h9 v9 z l-5,0 M1,2 3,4 M8,8", 100.0, LIMITS).unwrap();
        let told: Vec<(bool, Vec<(f64, f64)>)> =
            subpaths.iter().map(|s| (s.closed, s.points.iter().map(|p| (p.x, p.y)).collect())).collect();
        assert_eq!(
            told,
            [
                (true, vec![(500.0, 500.0), (1400.0, 500.0), (1400.0, 1400.0)]),
                (false, vec![(500.0, 500.0), (0.0, 500.0)]),
                (false, vec![(100.0, 200.0), (300.0, 400.0)]),
            ]
        );
        assert_eq!(flatten_subpaths("", 1.0, LIMITS), Ok(vec![]));
        assert!(matches!(flatten_subpaths("L1,1", 1.0, LIMITS), Err(PathFault::Syntax { .. })));
    }

    #[test]
    fn arcs_are_within_tolerance_of_the_true_circle_at_any_scale() {
        // A full-circle hem of 1 m radius in inches: the path's own numbers are small, the cloth is not.
        let inches = 1000.0 / 25.4;
        let data =
            format!("M{inches},0 A{inches},{inches} 0 0 1 -{inches},0 A{inches},{inches} 0 0 1 {inches},0 Z");
        let ring = flatten_path(&data, 2540.0, LIMITS).unwrap();
        for i in 0..ring.len() {
            let middle = ring[i].midpoint(ring[(i + 1) % ring.len()]);
            assert!((ring[i].to_vec2().hypot() - 1e5).abs() <= 1.0 + 1e-6);
            assert!((1e5 - middle.to_vec2().hypot()) <= 10.0 + 1e-6);
        }
    }

    #[test]
    fn a_smooth_command_after_another_kind_begins_straight() {
        // SVG 2, 9.3.6 and 9.3.7: without a curve of its kind before it, the control point is the current point.
        assert_eq!(
            ring("M0,0 L9000,0 T9000,9000 L0,9000 Z"),
            ring("M0,0 L9000,0 Q9000,0 9000,9000 L0,9000 Z")
        );
        assert_eq!(
            ring("M0,0 Q9000,0 9000,9000 S0,18000 0,9000 Z"),
            ring("M0,0 Q9000,0 9000,9000 C9000,9000 0,18000 0,9000 Z")
        );
    }

    #[test]
    fn what_is_no_closed_ring_is_told_apart() {
        assert!(matches!(fault("M0,0 L5,x"), PathFault::Syntax { at: 9, .. }), "{:?}", fault("M0,0 L5,x"));
        assert!(matches!(fault("L0,0 5,5"), PathFault::Syntax { at: 1, .. }));
        assert!(matches!(fault("M0,0 L100,0 L50,90 Z #"), PathFault::Syntax { .. }), "nothing is skipped");
        assert!(matches!(fault("M0,0 L100,0 L50,90 Z 5 5"), PathFault::Syntax { .. }));
        assert_eq!(fault(""), PathFault::Empty);
        assert_eq!(fault("M3,4"), PathFault::Empty);
        assert_eq!(fault("M0,0 L90,0 L30,40"), PathFault::Open(50.0));
        assert_eq!(fault("M0,0 L90,0 L30,40 Z M1,1 L2,2 L1,2 Z"), PathFault::Several);
        assert_eq!(fault("M0,0 L90,0 L30,40 Z L5,5"), PathFault::Several);
        assert!(matches!(fault("M0,0 L1e999,0 L30,40 Z"), PathFault::Syntax { at: 7, .. }));
        assert_eq!(fault("M0,0 L1e300,0 L30,40 Z"), PathFault::TooLarge);
        assert_eq!(fault("M0,0 A1e300,1 0 0 1 5,5 Z"), PathFault::TooLarge);
        assert_eq!(
            fault("M0,0 A1e6,1e-4 0 0 1 5000,5000 Z"),
            PathFault::TooLarge,
            "the flat ellipse is enlarged"
        );
        assert!(matches!(
            fault(&format!("M0,0 {}Z", "L1,1 L0,0 ".repeat(5000))),
            PathFault::TooManyPoints(_)
        ));
        assert!(matches!(
            fault(&format!("M0,0 {}Z", "h1e7h-1e7c0,1e7 9e6,0 0,0".repeat(500))),
            PathFault::TooManyPoints(_)
        ));
    }

    #[test]
    fn the_area_of_a_drawn_circle_is_nearly_that_of_the_circle() {
        let points =
            flatten_path("M0,0 A25000,25000 0 0 1 50000,0 A25000,25000 0 0 1 0,0 Z", 1.0, LIMITS).unwrap();
        let mut path = BezPath::new();
        path.move_to(points[0]);
        points[1..].iter().for_each(|&p| path.line_to(p));
        path.close_path();
        let circle = std::f64::consts::PI * 25_000f64.powi(2);
        let lost = circle - path.area().abs();
        // Chords of sagitta s take at most two thirds of s times the arc away.
        assert!(lost > 0.0 && lost < 2.0 / 3.0 * 10.0 * std::f64::consts::TAU * 25_000.0, "{lost}");
    }
}
