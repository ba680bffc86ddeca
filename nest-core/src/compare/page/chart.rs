//! The chart of cloth length against cloth width, a line for each kind of spread, told apart without colour.

use std::fmt::Write as _;

use svg::node::element::{Group, Path, SVG};

use super::escaped;
use crate::compare::axes::nap_word;
use crate::compare::result::Comparison;
use crate::draw::ink::{INK, mm};
use crate::draw::lettering::{self, Anchor, Weight, clean};
use crate::length::{Length, Unit};
use crate::spread::{Family, Kind};

/// The drawing in its own units, as pixels on a screen; the frame of the plot lies inside.
const WIDE: f64 = 860.0;
const HIGH: f64 = 430.0;
const LEFT: f64 = 64.0;
const RIGHT: f64 = 560.0;
const TOP: f64 = 34.0;
const FOOT: f64 = 376.0;
const TEXT: f64 = 13.0;
/// From name to name beside the plot.
const LINE: f64 = 18.0;

/// The line of one kind of spread.
struct Series {
    kind: Kind,
    /// Width and length in millimetres, from the narrowest on.
    points: Vec<(f64, f64)>,
}

/// Writes the chart of some columns that differ in width only.
pub(super) fn chart(page: &mut String, comparison: &Comparison, block: &[usize]) {
    let series: Vec<Series> = comparison
        .kinds()
        .into_iter()
        .map(|kind| Series { kind, points: points(comparison, block, kind) })
        .filter(|series| !series.points.is_empty())
        .collect();
    let case = &comparison.columns[block[0]].case;
    let unit = case.job.unit;
    let Some(scale) = Scale::of(&series, unit) else { return };
    let mut words = vec![nap_word(case.cloth().nap).to_owned()];
    words.extend(case.garment());
    let title = format!("Cloth on the table against width, {}", words.join(", "));
    let mut drawing = Group::new().add(axes(comparison, block, &scale));
    drawing = drawing.add(same_area(&series, &scale));
    let places = label_places(&series, &scale);
    for (series, place) in series.iter().zip(places) {
        drawing = drawing.add(line(series, &scale, place));
    }
    let told = format!("{title}: {}", told(&series, unit));
    let svg = SVG::new()
        .set("viewBox", format!("0 0 {WIDE} {HIGH}"))
        .set("role", "img")
        .set("aria-label", clean(&told))
        .add(drawing);
    let _ = writeln!(
        page,
        "<figure class=\"chart\">\n<figcaption>{}</figcaption>\n{svg}\n</figure>",
        escaped(&title)
    );
}

fn points(comparison: &Comparison, block: &[usize], kind: Kind) -> Vec<(f64, f64)> {
    let of = |&c: &usize| {
        let column = &comparison.columns[c];
        let (_, _, lay, _) = column.laid().find(|(_, line, ..)| line.kind == kind)?;
        Some((column.case.width.length.mm(), lay.purchase.cloth.mm()))
    };
    block.iter().filter_map(of).collect()
}

/// From millimetres to the drawing.
struct Scale {
    x: (f64, f64),
    y: (f64, f64),
    step: f64,
    unit: Unit,
}

impl Scale {
    fn of(series: &[Series], unit: Unit) -> Option<Scale> {
        let all = || series.iter().flat_map(|s| &s.points);
        let least = |value: fn(&(f64, f64)) -> f64| all().map(value).reduce(f64::min);
        let most = |value: fn(&(f64, f64)) -> f64| all().map(value).reduce(f64::max);
        let (x0, x1, y0, y1) = (least(|p| p.0)?, most(|p| p.0)?, least(|p| p.1)?, most(|p| p.1)?);
        // Six steps or so, of 1, 2 or 5 of the unit, tens or hundreds of it.
        let rough = ((y1 - y0).max(y1 * 0.02) / 6.0 / unit.mm()).max(1e-3);
        let ten = 10f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|s| s * ten).find(|&s| s >= rough)? * unit.mm();
        let (low, high) = ((y0 / step).floor() * step, (y1 / step).ceil() * step);
        let margin = 0.04 * (x1 - x0).max(1.0);
        Some(Scale { x: (x0 - margin, x1 + margin), y: (low, high.max(low + step)), step, unit })
    }

    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let across = (x - self.x.0) / (self.x.1 - self.x.0);
        let up = (y - self.y.0) / (self.y.1 - self.y.0);
        (LEFT + across * (RIGHT - LEFT), FOOT - up * (FOOT - TOP))
    }
}

fn axes(comparison: &Comparison, block: &[usize], scale: &Scale) -> Group {
    let mut group = Group::new();
    let steps = ((scale.y.1 - scale.y.0) / scale.step).round() as i64;
    for i in 0..=steps {
        let value = scale.y.0 + i as f64 * scale.step;
        let (_, y) = scale.at((scale.x.0, value));
        group = group.add(stroke(&[(LEFT, y), (RIGHT, y)], 1.0, "").set("stroke", "#cfcfcf"));
        let number = Length::from_mm(value).map_or(0.0, |length| length.in_unit(scale.unit));
        let number = format!("{}", (number * 100.0).round() / 100.0);
        group = group.add(lettering::text(&number, (LEFT - 8.0, y + 4.5), TEXT, Weight::Plain, Anchor::End));
    }
    let mut free = f64::NEG_INFINITY;
    for &c in block {
        let width = comparison.columns[c].case.width;
        let (x, _) = scale.at((width.length.mm(), scale.y.0));
        group = group.add(stroke(&[(x, FOOT), (x, FOOT + 6.0)], 1.2, ""));
        let words = width.told();
        let half = lettering::width(&words, Weight::Plain) * TEXT / 2.0;
        // A number that would run into the one before it is left out; its mark stays.
        if x - half > free {
            group = group.add(lettering::text(&words, (x, FOOT + 22.0), TEXT, Weight::Plain, Anchor::Middle));
            free = x + half + 4.0;
        }
    }
    let name = format!("cloth on the table, {}", scale.unit.sign());
    group = group.add(lettering::text(&name, (LEFT - 56.0, TOP - 16.0), TEXT, Weight::Plain, Anchor::Start));
    let middle = (LEFT + RIGHT) / 2.0;
    group = group.add(lettering::text(
        "width of the cloth",
        (middle, FOOT + 44.0),
        TEXT,
        Weight::Plain,
        Anchor::Middle,
    ));
    group.add(stroke(&[(LEFT, TOP), (LEFT, FOOT), (RIGHT, FOOT)], 1.2, ""))
}

/// What the shortest on the narrowest cloth would be elsewhere, were its area always the same.
fn same_area(series: &[Series], scale: &Scale) -> Group {
    let first = series.iter().filter_map(|s| s.points.first().copied());
    let Some((width, length)) = first.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))) else {
        return Group::new();
    };
    let (from, to) = (width, scale.x.1);
    let curve: Vec<(f64, f64)> = (0..=60)
        .map(|i| from + (to - from) * f64::from(i) / 60.0)
        .map(|x| (x, length * width / x))
        .take_while(|&(_, y)| y >= scale.y.0)
        .map(|p| scale.at(p))
        .collect();
    if curve.len() < 2 {
        return Group::new();
    }
    // Told over the names of the kinds, where no line runs.
    let (x, y) = (RIGHT + 22.0, TOP - 4.0);
    let sample = stroke(&[(x, y), (x + 24.0, y)], 1.4, "1 4").set("stroke", "#5a5a5a");
    let words = lettering::text("the same area", (x + 30.0, y + 4.5), TEXT, Weight::Plain, Anchor::Start);
    Group::new().add(stroke(&curve, 1.4, "1 4").set("stroke", "#5a5a5a")).add(sample).add(words)
}

/// Heights of the names beside the plot, near the ends of their lines and clear of one another.
fn label_places(series: &[Series], scale: &Scale) -> Vec<f64> {
    let end = |s: &Series| s.points.last().map_or(FOOT, |&p| scale.at(p).1);
    let mut order: Vec<usize> = (0..series.len()).collect();
    order.sort_by(|&a, &b| end(&series[a]).total_cmp(&end(&series[b])).then(a.cmp(&b)));
    let mut places = vec![0.0; series.len()];
    let mut free = TOP + LINE;
    for (n, &k) in order.iter().enumerate() {
        // Those below need their room too.
        let last = FOOT - LINE * (order.len() - 1 - n) as f64;
        places[k] = end(&series[k]).max(free).min(last);
        free = places[k] + LINE;
    }
    places
}

fn line(series: &Series, scale: &Scale, place: f64) -> Group {
    let points: Vec<(f64, f64)> = series.points.iter().map(|&p| scale.at(p)).collect();
    let (dash, sign) = look(series.kind);
    let mut group = Group::new().set("class", "series").add(stroke(&points, 1.6, dash));
    for &at in &points {
        group = group.add(glyph(sign, at));
    }
    let Some(&end) = points.last() else { return group };
    let beside = RIGHT + 34.0;
    group = group.add(stroke(&[(end.0 + 7.0, end.1), (beside - 10.0, place)], 0.6, ""));
    group = group.add(glyph(sign, (beside, place)));
    let words = series.kind.title();
    group.add(lettering::text(words, (beside + 12.0, place + 4.5), TEXT, Weight::Plain, Anchor::Start))
}

/// A sign at a point.
#[derive(Clone, Copy)]
enum Sign {
    Polygon { corners: u32, turn: f64, filled: bool },
    Cross,
}

/// Dashes and sign of a kind's line: no two kinds have the same sign.
fn look(kind: Kind) -> (&'static str, Sign) {
    let polygon = |corners, turn, filled| Sign::Polygon { corners, turn, filled };
    match kind {
        Kind::Whole(Family::Single) => ("", polygon(24, 0.0, true)),
        Kind::Whole(Family::LengthwiseFold) => ("8 4", polygon(4, 0.125, true)),
        Kind::Whole(Family::OffCentreFold) => ("8 3 2 3", polygon(4, 0.125, false)),
        Kind::Whole(Family::TwoFolds) => ("3 3", polygon(3, 0.25, true)),
        Kind::Whole(Family::CrosswiseFold) => ("12 4", polygon(3, 0.75, false)),
        Kind::Whole(Family::TurnedDouble) => ("5 5", polygon(4, 0.0, false)),
        Kind::Whole(Family::Tubular) => ("2 2", polygon(24, 0.0, false)),
        Kind::Sections => ("10 3 3 3 3 3", Sign::Cross),
    }
}

fn glyph(sign: Sign, (x, y): (f64, f64)) -> Path {
    const R: f64 = 5.0;
    match sign {
        Sign::Polygon { corners, turn, filled } => {
            let mut data = String::new();
            for i in 0..corners {
                let angle = std::f64::consts::TAU * (f64::from(i) / f64::from(corners) + turn);
                let (px, py) = (x + R * angle.cos(), y - R * angle.sin());
                let _ = write!(data, "{}{},{}", if i == 0 { "M" } else { " L" }, mm(px), mm(py));
            }
            data.push('Z');
            let fill = if filled { INK } else { "#ffffff" };
            Path::new().set("d", data).set("fill", fill).set("stroke", INK).set("stroke-width", "1.4")
        }
        Sign::Cross => {
            let ends =
                [(x - R, y - R), (x + R, y + R), (x - R, y + R), (x + R, y - R)].map(|(x, y)| (mm(x), mm(y)));
            let [a, b, c, d] = ends.map(|(x, y)| format!("{x},{y}"));
            let data = format!("M{a} L{b} M{c} L{d}");
            Path::new().set("d", data).set("fill", "none").set("stroke", INK).set("stroke-width", "2")
        }
    }
}

fn stroke(points: &[(f64, f64)], width: f64, dash: &str) -> Path {
    let mut data = String::new();
    for (i, &(x, y)) in points.iter().enumerate() {
        let _ = write!(data, "{}{},{}", if i == 0 { "M" } else { " L" }, mm(x), mm(y));
    }
    let path =
        Path::new().set("d", data).set("fill", "none").set("stroke", INK).set("stroke-width", mm(width));
    if dash.is_empty() { path } else { path.set("stroke-dasharray", dash) }
}

/// The figures for those who do not see them.
fn told(series: &[Series], unit: Unit) -> String {
    let decimals = if unit == Unit::Mm { 0 } else { 1 };
    let one = |s: &Series| {
        let points: Vec<String> = s
            .points
            .iter()
            .map(|p| format!("{:.decimals$} at {:.decimals$}", p.1 / unit.mm(), p.0 / unit.mm()))
            .collect();
        format!("{} {}", s.kind.title(), points.join(", "))
    };
    let all: Vec<String> = series.iter().map(one).collect();
    format!("in {}, {}", unit.name(), all.join("; "))
}
