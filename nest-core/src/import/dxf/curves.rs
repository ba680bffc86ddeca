//! Arcs, bulges, ellipses and splines as points.

use dxf::entities::Spline;
use kurbo::Vec2;

use crate::geometry::{DrawnPoint, FlattenLimits, flatten_subpaths};
use crate::import::limits::MAX_LINE_POINTS;
use crate::import::line::thinned;

/// The largest coordinate, in the numbers of the file.
const REACH: f64 = 1e9;

/// Curves are flattened to this, in the numbers of the file.
#[derive(Clone, Copy)]
pub(super) struct Tolerance(pub(super) f64);

impl Tolerance {
    /// The chords of SVG path data, which has the arcs that are needed.
    fn chords(self, data: &str) -> Option<Vec<DrawnPoint>> {
        let limits = FlattenLimits { tolerance: self.0, reach: REACH, points: MAX_LINE_POINTS };
        flatten_subpaths(data, 1.0, limits).ok()?.into_iter().next().map(|subpath| subpath.points)
    }

    /// The points of a polyline after its first bulged edge began at `from`: without `from`, with `to`. A bulge is the
    /// tangent of a quarter of the arc's angle, positive when the arc turns left (DXF reference, group 42).
    pub(super) fn bulge(self, from: DrawnPoint, to: DrawnPoint, bulge: f64) -> Option<Vec<DrawnPoint>> {
        let chord = from.distance(to);
        if bulge.abs() < 1e-9 || chord < 1e-9 {
            return Some(vec![to]);
        }
        let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
        let large = u8::from(bulge.abs() > 1.0);
        let left = u8::from(bulge > 0.0);
        let data = format!("M{},{} A{radius},{radius} 0 {large} {left} {},{}", from.x, from.y, to.x, to.y);
        let mut points = self.chords(&data)?;
        points.remove(0);
        // Ends that all but meet are taken for one by whoever reads path data.
        if points.last() != Some(&to) {
            points.push(to);
        }
        Some(points)
    }

    /// An arc of an ellipse with the semi-axis `major` and the other `ratio` times as long, from one parameter to another,
    /// to the left. A whole ellipse is a ring, without its first point repeated.
    pub(super) fn ellipse(
        self,
        center: DrawnPoint,
        major: Vec2,
        ratio: f64,
        [from, to]: [f64; 2],
    ) -> Option<(Vec<DrawnPoint>, bool)> {
        use std::f64::consts::TAU;
        let (rx, ry) = (major.hypot(), major.hypot() * ratio.abs());
        if !(rx > 1e-9 && ry > 1e-9) {
            return None;
        }
        let mut sweep = (to - from).rem_euclid(TAU);
        let whole = sweep < 1e-9 || TAU - sweep < 1e-9;
        if whole {
            sweep = TAU;
        }
        let minor = Vec2::new(-major.y, major.x) * ratio.abs();
        let at = |parameter: f64| center + major * parameter.cos() + minor * parameter.sin();
        let turn = major.atan2().to_degrees();
        // In three parts, none of which is half a turn, where the choice between two arcs would hang by a thread.
        let mut data = format!("M{},{}", at(from).x, at(from).y);
        for part in 1..=3 {
            let p = if whole && part == 3 { at(from) } else { at(from + sweep * f64::from(part) / 3.0) };
            data.push_str(&format!(" A{rx},{ry} {turn} 0 1 {},{}", p.x, p.y));
        }
        Some((self.chords(&data)?, whole))
    }

    /// A spline by its control points (de Boor 1972), or through its fit points where it has no others: 64 points to each
    /// span between knots, thinned to half the tolerance.
    pub(super) fn spline(self, spline: &Spline) -> Option<Vec<DrawnPoint>> {
        const PER_SPAN: usize = 64;
        let control: Vec<DrawnPoint> =
            spline.control_points.iter().map(|p| DrawnPoint::new(p.x, p.y)).collect();
        let degree = usize::try_from(spline.degree_of_curve).ok().filter(|d| (1..=10).contains(d))?;
        let knots = &spline.knot_values;
        if control.len() <= degree || knots.len() != control.len() + degree + 1 {
            let fit: Vec<DrawnPoint> = spline.fit_points.iter().map(|p| DrawnPoint::new(p.x, p.y)).collect();
            return (fit.len() > 1).then_some(fit);
        }
        if knots.windows(2).any(|pair| pair[0] > pair[1]) {
            return None;
        }
        let weight = |i: usize| spline.weight_values.get(i).copied().filter(|w| *w > 0.0).unwrap_or(1.0);
        let mut points = Vec::new();
        for span in degree..control.len() {
            let (low, high) = (knots[span], knots[span + 1]);
            if high <= low {
                continue;
            }
            if points.len() > MAX_LINE_POINTS * PER_SPAN {
                return None;
            }
            let first = usize::from(!points.is_empty());
            for step in first..=PER_SPAN {
                let t = low + (high - low) * step as f64 / PER_SPAN as f64;
                points.push(de_boor(&control, &weight, knots, degree, span, t));
            }
        }
        (points.len() > 1).then(|| thinned(&points, self.0 / 2.0))
    }
}

fn de_boor(
    control: &[DrawnPoint],
    weight: &dyn Fn(usize) -> f64,
    knots: &[f64],
    degree: usize,
    span: usize,
    t: f64,
) -> DrawnPoint {
    // In homogeneous coordinates, so that weights count.
    let mut d: Vec<(Vec2, f64)> = (0..=degree)
        .map(|j| {
            let i = j + span - degree;
            (control[i].to_vec2() * weight(i), weight(i))
        })
        .collect();
    for r in 1..=degree {
        for j in (r..=degree).rev() {
            let i = j + span - degree;
            let width = knots[i + degree + 1 - r] - knots[i];
            let a = if width > 0.0 { (t - knots[i]) / width } else { 0.0 };
            d[j] = (d[j - 1].0 * (1.0 - a) + d[j].0 * a, d[j - 1].1 * (1.0 - a) + d[j].1 * a);
        }
    }
    (d[degree].0 / d[degree].1).to_point()
}

#[cfg(test)]
mod tests {
    use super::*;

    const TOLERANCE: Tolerance = Tolerance(0.1);

    #[test]
    fn a_bulge_of_one_is_half_a_circle_to_the_left() {
        // DXF reference, group 42: "A bulge of 1 is a semicircle"; counter-clockwise when positive.
        let points = TOLERANCE.bulge(DrawnPoint::new(100.0, 0.0), DrawnPoint::new(-100.0, 0.0), 1.0).unwrap();
        assert!(points.iter().all(|p| (p.to_vec2().hypot() - 100.0).abs() < 0.02 && p.y >= -1e-9));
        assert_eq!(points.last(), Some(&DrawnPoint::new(-100.0, 0.0)));
        let quarter = (std::f64::consts::PI / 8.0).tan();
        for (bulge, side) in [(quarter, -1.0), (-quarter, 1.0)] {
            let (a, b) = (DrawnPoint::new(0.0, 0.0), DrawnPoint::new(100.0, 0.0));
            let points = TOLERANCE.bulge(a, b, bulge).unwrap();
            let deepest = points.iter().map(|p| p.y * side).fold(0.0, f64::max);
            // The height of a quarter circle over its chord: r - r/sqrt 2, with r = chord / sqrt 2.
            let height = 100.0 / 2f64.sqrt() * (1.0 - 1.0 / 2f64.sqrt());
            assert!((deepest - height).abs() < 0.11, "{deepest} {height}");
        }
        let most = TOLERANCE.bulge(DrawnPoint::new(0.0, 0.0), DrawnPoint::new(10.0, 0.0), 3.0).unwrap();
        let lowest = most.iter().map(|p| p.y).fold(0.0, f64::min);
        // The rise of an arc is half its chord times the bulge.
        assert!((lowest + 15.0).abs() < 0.11, "{lowest}");
    }

    #[test]
    fn arcs_of_ellipses_run_from_one_parameter_to_the_other() {
        use std::f64::consts::{FRAC_PI_2, PI};
        let center = DrawnPoint::new(5.0, 7.0);
        let (arc, whole) = TOLERANCE.ellipse(center, Vec2::new(0.0, 80.0), 0.5, [0.0, 1.5 * PI]).unwrap();
        assert!(!whole);
        for (p, x, y) in [(arc[0], 5.0, 87.0), (arc[arc.len() - 1], 45.0, 7.0)] {
            assert!(p.distance(DrawnPoint::new(x, y)) < 1e-9, "{p:?}");
        }
        let (ring, whole) =
            TOLERANCE.ellipse(center, Vec2::new(80.0, 0.0), 0.5, [FRAC_PI_2, FRAC_PI_2]).unwrap();
        assert!(whole);
        let lost = PI * 80.0 * 40.0 - crate::import::line::area(&ring);
        assert!(lost > 0.0 && lost < 30.0, "{lost}");
    }

    #[test]
    fn a_rational_spline_is_an_exact_circle() {
        // Piegl and Tiller, The NURBS Book, example 7.1: a quarter circle with weights 1, 1, 2.
        let mut spline = Spline { degree_of_curve: 2, ..Spline::default() };
        spline.knot_values = vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0];
        spline.weight_values = vec![1.0, 1.0, 2.0];
        spline.control_points =
            [(100.0, 0.0), (100.0, 100.0), (0.0, 100.0)].map(|(x, y)| dxf::Point::new(x, y, 0.0)).to_vec();
        let points = TOLERANCE.spline(&spline).unwrap();
        assert!(points.len() > 4);
        assert!(points.iter().all(|p| (p.to_vec2().hypot() - 100.0).abs() < 1e-9));
        spline.knot_values[2] = 7.0;
        assert_eq!(TOLERANCE.spline(&spline), None, "knots that run backwards");
    }
}
