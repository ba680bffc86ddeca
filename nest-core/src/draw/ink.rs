//! Pens, tints and the hatch: how things look, and the numbers as they are written into the drawing.

use svg::node::element::{ClipPath, Definitions, Path, Pattern, Rectangle, Use};

use super::sheet::Sheet;
use super::way::Way;
use crate::geometry::{Point, Polygon};
use crate::marker::Marker;
use crate::spread::{Plies, Ply};

/// Any sans serif; the widths in `lettering` are those of the widest in common use.
pub(crate) const FONTS: &str = "Arial, Helvetica, 'DejaVu Sans', sans-serif";

/// Lines and words.
pub(crate) const INK: &str = "#1a1a1a";
/// Lesser lines and words.
pub(crate) const GREY: &str = "#5a5a5a";
/// Cloth, one ply.
pub(crate) const ONE_PLY: &str = "#dcdcdc";
/// Cloth, two plies.
pub(crate) const TWO_PLIES: &str = "#c4c4c4";
/// What of the cloth is not used: selvages.
pub(crate) const UNUSABLE: &str = "#9d9d9d";

/// The hatch's name inside the drawing.
pub(crate) const FACE_DOWN: &str = "printed-side-down";
/// The name of the lattice over flaws.
pub(crate) const FLAWED: &str = "flawed";
/// The lattice over flaws and the line around them: dark, with little red for those who see it.
pub(crate) const FLAW: &str = "#7a1420";

impl Way {
    /// Blue, orange, near white and rose differ under the common kinds of colour blindness, and all are lighter than the
    /// cloth, so that in grey too a piece stands out; what grey cannot tell is told by the build of the piece.
    pub(crate) fn tint(self) -> &'static str {
        match self {
            Way::TwoPlies => "#d2e7fa",
            Way::OnFold => "#fde0ab",
            Way::Single => "#fffdf0",
            Way::OpenedOut => "#f7d8ec",
        }
    }
}

/// A number of millimetres as it is written: two decimals at the most.
pub(crate) fn mm(value: f64) -> String {
    grid((value * 100.0).round() as i64)
}

/// A whole number of hundredths as it is written, exactly.
pub(crate) fn grid(hundredths: i64) -> String {
    let sign = if hundredths < 0 { "-" } else { "" };
    let (whole, rest) = (hundredths.abs() / 100, hundredths.abs() % 100);
    match rest {
        0 => format!("{sign}{whole}"),
        r if r % 10 == 0 => format!("{sign}{whole}.{}", r / 10),
        r => format!("{sign}{whole}.{r:02}"),
    }
}

/// Path data of a ring or a line through points of the page in hundredths of a millimetre.
pub(crate) fn trace(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    for (i, p) in points.iter().enumerate() {
        data.push_str(if i == 0 { "M" } else { " L" });
        data.push_str(&format!("{},{}", grid(p.x), grid(p.y)));
    }
    if closed {
        data.push('Z');
    }
    data
}

/// Path data of an outline on the page.
pub(super) fn ring(sheet: &Sheet, outline: &Polygon) -> String {
    let points: Vec<Point> = outline.points().iter().map(|&p| sheet.at(p)).collect();
    trace(&points, true)
}

/// A line through points of the page in millimetres.
pub(crate) fn line(points: &[(f64, f64)]) -> Path {
    Path::new().set("d", line_data(points, false)).set("fill", "none").set("stroke", INK)
}

/// A filled shape through points of the page in millimetres.
pub(crate) fn solid(points: &[(f64, f64)]) -> Path {
    Path::new().set("d", line_data(points, true)).set("fill", INK).set("stroke", "none")
}

fn line_data(points: &[(f64, f64)], closed: bool) -> String {
    let points: Vec<Point> = points
        .iter()
        .map(|p| Point::new((p.0 * 100.0).round() as i64, (p.1 * 100.0).round() as i64))
        .collect();
    trace(&points, closed)
}

/// A filled arrowhead with its tip at `tip`, pointing away from `from`: `length` long, or `share` of the way where that
/// is less.
pub(crate) fn arrowhead(from: (f64, f64), tip: (f64, f64), length: f64, share: f64) -> Path {
    let (dx, dy) = (tip.0 - from.0, tip.1 - from.1);
    let run = dx.hypot(dy);
    if run == 0.0 {
        return solid(&[tip]);
    }
    let (ux, uy) = (dx / run, dy / run);
    let length = length.min(run * share);
    let half = length * 0.32;
    let foot = (tip.0 - ux * length, tip.1 - uy * length);
    solid(&[tip, (foot.0 - uy * half, foot.1 + ux * half), (foot.0 + uy * half, foot.1 - ux * half)])
}

/// A pattern of dashes and gaps given in pen widths.
pub(super) fn dashes(sheet: &Sheet, widths: &[f64]) -> String {
    widths.iter().map(|w| mm(w * sheet.pen())).collect::<Vec<_>>().join(" ")
}

/// The hatch, and for each piece on two plies the outline that keeps its second line inside; and the lattice over flaws
/// where some are shown.
pub(super) fn definitions(sheet: &Sheet, marker: &Marker, flawed: bool) -> Definitions {
    // Short strokes, broken so that they are taken neither for a line to cut nor for a stripe of the cloth.
    let step = sheet.text() * 0.6;
    let stroke = |from: (f64, f64), to: (f64, f64)| {
        format!("M{},{} L{},{}", mm(from.0 * step), mm(from.1 * step), mm(to.0 * step), mm(to.1 * step))
    };
    let hatch = Pattern::new()
        .set("id", FACE_DOWN)
        .set("patternUnits", "userSpaceOnUse")
        .set("width", mm(step))
        .set("height", mm(step))
        .add(
            Path::new()
                .set("d", format!("{} {}", stroke((0.1, 0.4), (0.4, 0.1)), stroke((0.6, 0.9), (0.9, 0.6))))
                .set("stroke", "#7d7d7d")
                .set("stroke-width", mm(step * 0.075))
                .set("fill", "none"),
        );
    let mut definitions = Definitions::new().add(hatch);
    if flawed {
        definitions = with_lattice(definitions, sheet, marker);
    }
    for (n, placement) in marker.placements.iter().enumerate() {
        if placement.plies == Plies::Two {
            definitions = definitions.add(
                ClipPath::new()
                    .set("id", format!("inside-{}", n + 1))
                    .add(Use::new().set("href", format!("#outline-{}", n + 1))),
            );
        }
    }
    definitions
}

/// Adds the lattice over flaws, and for each section the outline that keeps it within.
fn with_lattice(definitions: Definitions, sheet: &Sheet, marker: &Marker) -> Definitions {
    // A lattice of crossed strokes: no other sign of the drawing has any that cross.
    let cell = sheet.text() * 0.35;
    let lattice = Pattern::new()
        .set("id", FLAWED)
        .set("patternUnits", "userSpaceOnUse")
        .set("width", mm(cell))
        .set("height", mm(cell))
        .add(
            Path::new()
                .set("d", format!("M0,0 L{0},{0} M0,{0} L{0},0", mm(cell)))
                .set("stroke", FLAW)
                .set("stroke-width", mm(cell * 0.14))
                .set("fill", "none"),
        );
    let mut definitions = definitions.add(lattice);
    for (n, section) in marker.spread.sections.iter().enumerate() {
        let extent = Ply::extent(section);
        let low = sheet.at(Point::new(extent.low.x, extent.high.y));
        definitions = definitions.add(
            ClipPath::new().set("id", format!("within-section-{}", n + 1)).add(
                Rectangle::new()
                    .set("x", grid(low.x))
                    .set("y", grid(low.y))
                    .set("width", grid(extent.width()))
                    .set("height", grid(extent.height())),
            ),
        );
    }
    definitions
}

#[cfg(test)]
mod number_tests {
    use super::*;

    #[test]
    fn numbers_are_written_exactly_and_briefly() {
        for (hundredths, written) in
            [(0, "0"), (5, "0.05"), (50, "0.5"), (-7, "-0.07"), (-1230, "-12.3"), (99_999, "999.99")]
        {
            assert_eq!(grid(hundredths), written);
        }
        assert_eq!(mm(0.004), "0", "no minus nought, no needless decimals");
        assert_eq!(mm(-0.004), "0");
    }
}
