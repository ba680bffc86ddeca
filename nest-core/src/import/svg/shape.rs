//! The basic shapes as path data (SVG 2, chapter 10), so that one reader draws them all.

use std::fmt::Write;

use kurbo::Vec2;
use roxmltree::Node;
use svgtypes::PointsParser;

use super::scale::user_units;

/// The path data of a shape element; nothing for what draws nothing. `viewport` is what percentages are of.
///
/// # Errors
/// What is wrong with its attributes.
pub(super) fn path_data(node: &Node<'_, '_>, viewport: Vec2) -> Result<Option<String>, String> {
    let diagonal = viewport.hypot() / std::f64::consts::SQRT_2;
    let across = |name: &str| user_units(node, name, viewport.x);
    let down = |name: &str| user_units(node, name, viewport.y);
    let round = |name: &str| user_units(node, name, diagonal);
    match node.tag_name().name() {
        "path" => {
            Ok(node.attribute("d").filter(|d| !d.trim().is_empty() && d.trim() != "none").map(str::to_owned))
        }
        "line" => {
            let [x1, y1] = [across("x1")?.unwrap_or(0.0), down("y1")?.unwrap_or(0.0)];
            let [x2, y2] = [across("x2")?.unwrap_or(0.0), down("y2")?.unwrap_or(0.0)];
            Ok(Some(format!("M{x1},{y1} L{x2},{y2}")))
        }
        "polyline" => Ok(points(node, false)),
        "polygon" => Ok(points(node, true)),
        "circle" => {
            let r = round("r")?.unwrap_or(0.0);
            Ok(ellipse(across("cx")?.unwrap_or(0.0), down("cy")?.unwrap_or(0.0), r, r))
        }
        "ellipse" => {
            let (rx, ry) = (across("rx")?, down("ry")?);
            let [cx, cy] = [across("cx")?.unwrap_or(0.0), down("cy")?.unwrap_or(0.0)];
            Ok(ellipse(cx, cy, rx.or(ry).unwrap_or(0.0), ry.or(rx).unwrap_or(0.0)))
        }
        "rect" => {
            let [x, y] = [across("x")?.unwrap_or(0.0), down("y")?.unwrap_or(0.0)];
            let [w, h] = [across("width")?.unwrap_or(0.0), down("height")?.unwrap_or(0.0)];
            let (rx, ry) = (across("rx")?, down("ry")?);
            let corner = [rx.or(ry).unwrap_or(0.0).min(w / 2.0), ry.or(rx).unwrap_or(0.0).min(h / 2.0)];
            Ok(rectangle([x, y], [w, h], corner))
        }
        _ => Ok(None),
    }
}

fn points(node: &Node<'_, '_>, closed: bool) -> Option<String> {
    let mut data = String::new();
    for (i, (x, y)) in PointsParser::from(node.attribute("points")?).enumerate() {
        // Writing to a string does not fail.
        let _ = write!(data, "{}{x},{y} ", if i == 0 { 'M' } else { 'L' });
    }
    if closed {
        data.push('Z');
    }
    data.starts_with('M').then_some(data)
}

fn ellipse(cx: f64, cy: f64, rx: f64, ry: f64) -> Option<String> {
    let (left, right) = (cx - rx, cx + rx);
    (rx > 0.0 && ry > 0.0)
        .then(|| format!("M{right},{cy} A{rx},{ry} 0 0 1 {left},{cy} A{rx},{ry} 0 0 1 {right},{cy} Z"))
}

fn rectangle([x, y]: [f64; 2], [w, h]: [f64; 2], [rx, ry]: [f64; 2]) -> Option<String> {
    let (right, bottom) = (x + w, y + h);
    if !(w > 0.0 && h > 0.0) {
        return None;
    }
    if !(rx > 0.0 && ry > 0.0) {
        return Some(format!("M{x},{y} H{right} V{bottom} H{x} Z"));
    }
    let corner = |to_x: f64, to_y: f64| format!("A{rx},{ry} 0 0 1 {to_x},{to_y}");
    Some(format!(
        "M{},{y} H{} {} V{} {} H{} {} V{} {} Z",
        x + rx,
        right - rx,
        corner(right, y + ry),
        bottom - ry,
        corner(right - rx, bottom),
        x + rx,
        corner(x, bottom - ry),
        y + ry,
        corner(x + rx, y)
    ))
}
