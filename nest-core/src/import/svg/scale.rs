//! The scale of an SVG document: how many millimetres are one of its numbers.

use kurbo::{Affine, Vec2};
use roxmltree::Node;
use svgtypes::{Align, AspectRatio, Length, LengthUnit, ViewBox};

use crate::geometry::DrawnPoint;
use crate::import::line::Frame;
use crate::import::warning::{Notes, WarningKind};
use crate::length::Unit;

/// Pixels to the inch, as CSS defines them.
const PIXELS_PER_INCH: f64 = 96.0;

/// How the outermost numbers become millimetres.
pub(super) struct Scale {
    /// From the document's numbers to millimetres, y up.
    pub(super) to_mm: Affine,
    /// The unit that the document itself speaks, if it names one.
    pub(super) unit: Option<Unit>,
    /// The width and height that percentages are of, in the document's numbers.
    pub(super) viewport: Vec2,
    /// The page in millimetres.
    pub(super) page: Frame,
}

/// Reads the scale from `width`, `height` and `viewBox` (SVG 2, 8.2; lengths by CSS Values 3, 6.2).
pub(super) fn scale(root: &Node<'_, '_>, told: Option<Unit>, notes: &mut Notes) -> Scale {
    let [width, height] = ["width", "height"].map(|name| length(root, name));
    let view_box = view_box(root);
    let px = 25.4 / PIXELS_PER_INCH;
    // In millimetres, where the document says so itself.
    let absolute = |l: Option<Length>| l.and_then(|l| Some(l.number * mm(l.unit)?)).filter(|v| *v > 0.0);
    let pixels = |l: Option<Length>| {
        let is_pixels = |l: &Length| matches!(l.unit, LengthUnit::None | LengthUnit::Px);
        l.filter(|l| is_pixels(l) && l.number > 0.0).map(|l| l.number)
    };
    let [true_width, true_height] = [absolute(width), absolute(height)];
    let guessed = true_width.is_none() && true_height.is_none();
    let (sx, sy) = match (view_box, told) {
        // Who says what the numbers are knows better than the page.
        (_, Some(unit)) => (unit.mm(), unit.mm()),
        (None, None) => (px, px),
        (Some(view_box), None) => {
            let [w, h] = if guessed {
                [pixels(width).map(|w| w * px), pixels(height).map(|h| h * px)]
            } else {
                [true_width, true_height]
            };
            match (w.map(|w| w / view_box.w), h.map(|h| h / view_box.h)) {
                (Some(sx), Some(sy)) => fitted(root, sx, sy),
                (Some(s), None) | (None, Some(s)) => (s, s),
                (None, None) => (px, px),
            }
        }
    };
    // Without a view box a number is a pixel, which CSS ties to the inch; whether the program meant it so is not known.
    if told.is_none() && (guessed || view_box.is_none()) {
        notes.warn(WarningKind::PixelScale);
    }
    if let (Some(told), Some(w), Some(said)) = (told, view_box.map(|v| v.w), true_width)
        && (said / w / told.mm() - 1.0).abs() > 1e-3
    {
        let said = format!("that its {w} numbers across are {said:.2} mm");
        notes.warn(WarningKind::UnitsOverridden { said, taken: told.name() });
    }
    if (sx / sy - 1.0).abs() > 1e-3 {
        notes.warn(WarningKind::UnevenScale(sx, sy));
    }
    let (low, size) = match view_box {
        Some(v) => (DrawnPoint::new(v.x, v.y), Vec2::new(v.w, v.h)),
        None => (
            DrawnPoint::ORIGIN,
            Vec2::new(
                true_width.map(|w| w / px).or(pixels(width)).unwrap_or(0.0),
                true_height.map(|h| h / px).or(pixels(height)).unwrap_or(0.0),
            ),
        ),
    };
    let to_mm = Affine::scale_non_uniform(sx, -sy);
    let page = Frame::of(&[to_mm * low, to_mm * (low + size)]);
    Scale { to_mm, unit: told.or(unit(width).or(unit(height))), viewport: size, page }
}

/// The scales across and down after `preserveAspectRatio`.
fn fitted(node: &Node<'_, '_>, sx: f64, sy: f64) -> (f64, f64) {
    let aspect: AspectRatio =
        node.attribute("preserveAspectRatio").and_then(|a| a.parse().ok()).unwrap_or_default();
    if aspect.align == Align::None {
        return (sx, sy);
    }
    let s = if aspect.slice { sx.max(sy) } else { sx.min(sy) };
    (s, s)
}

/// The mapping that a nested `svg` or a `symbol` makes of its view box, in the numbers of what is around it. Where it is
/// put within a larger viewport does not matter: pieces are not laid where they are drawn.
pub(super) fn nested(node: &Node<'_, '_>, width: Option<f64>, height: Option<f64>) -> Affine {
    let Some(view_box) = view_box(node) else {
        return Affine::IDENTITY;
    };
    let (sx, sy) = match (width.map(|w| w / view_box.w), height.map(|h| h / view_box.h)) {
        (Some(sx), Some(sy)) => fitted(node, sx, sy),
        (Some(s), None) | (None, Some(s)) => (s, s),
        (None, None) => (1.0, 1.0),
    };
    Affine::scale_non_uniform(sx, sy) * Affine::translate((-view_box.x, -view_box.y))
}

fn view_box(node: &Node<'_, '_>) -> Option<ViewBox> {
    node.attribute("viewBox")?
        .parse::<ViewBox>()
        .ok()
        .filter(|v| [v.x, v.y, v.w, v.h].iter().all(|v| v.is_finite()) && v.w > 0.0 && v.h > 0.0)
}

fn length(node: &Node<'_, '_>, name: &str) -> Option<Length> {
    node.attribute(name)?.trim().parse::<Length>().ok().filter(|l| l.number.is_finite())
}

/// Millimetres to one of an absolute unit.
fn mm(unit: LengthUnit) -> Option<f64> {
    match unit {
        LengthUnit::Mm => Some(1.0),
        LengthUnit::Cm => Some(10.0),
        LengthUnit::In => Some(25.4),
        LengthUnit::Pt => Some(25.4 / 72.0),
        LengthUnit::Pc => Some(25.4 / 6.0),
        _ => None,
    }
}

/// The unit in which whoever drew it thinks.
fn unit(length: Option<Length>) -> Option<Unit> {
    match length?.unit {
        LengthUnit::Mm => Some(Unit::Mm),
        LengthUnit::Cm => Some(Unit::Cm),
        LengthUnit::In => Some(Unit::Inch),
        _ => None,
    }
}

/// A length attribute of a shape in the numbers around it; `whole` is what percentages are of.
///
/// # Errors
/// What is wrong with it.
pub(super) fn user_units(node: &Node<'_, '_>, name: &str, whole: f64) -> Result<Option<f64>, String> {
    let Some(text) = node.attribute(name) else {
        return Ok(None);
    };
    let length = text.trim().parse::<Length>().ok().filter(|l| l.number.is_finite());
    let value = length.and_then(|l| match l.unit {
        LengthUnit::None | LengthUnit::Px => Some(l.number),
        LengthUnit::Percent => Some(l.number / 100.0 * whole),
        unit => mm(unit).map(|mm| l.number * mm / 25.4 * PIXELS_PER_INCH),
    });
    match value {
        Some(value) => Ok(Some(value)),
        None => Err(format!("{name}=\"{}\" is no length", text.chars().take(40).collect::<String>())),
    }
}
