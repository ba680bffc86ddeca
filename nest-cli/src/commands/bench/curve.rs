//! Density against time as SVG: for every instance the mean over its runs of the best so far, on a logarithmic time axis.

use svg::Document;
use svg::node::element::{Circle, Element, Group, Line, Path, Rectangle, Text};

use super::results::{Measured, Results};

/// The page and the frame of the axes in it, in user units; a unit is about a pixel.
const PAGE: (f64, f64) = (960.0, 600.0);
const LEFT: f64 = 64.0;
const TOP: f64 = 24.0;
const RIGHT: f64 = 720.0;
const BOTTOM: f64 = 544.0;

const FONTS: &str = "Arial, Helvetica, 'DejaVu Sans', sans-serif";
const INK: &str = "#1a1a1a";
const RULE: &str = "#dddddd";

/// Colours that differ under the common kinds of colour blindness (M. Okabe & K. Ito, "Color universal design", 2008, without
/// its yellow, which is too light for lines; from memory), and dashes for when they are used up.
const COLOURS: [&str; 7] = ["#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#000000"];
const DASHES: [&str; 4] = ["none", "7 3", "2 3", "9 3 2 3"];

/// The drawing; empty axes when no run found anything.
pub(super) fn draw(results: &Results) -> String {
    let curves: Vec<(&Measured, Vec<(f64, f64)>)> =
        results.instances.iter().map(|m| (m, mean_curve(m))).filter(|(_, curve)| !curve.is_empty()).collect();
    let axes = Axes::around(curves.iter().map(|(_, curve)| &curve[..]));
    let mut document = Document::new()
        .set("viewBox", (0, 0, PAGE.0, PAGE.1))
        .set("width", PAGE.0)
        .set("height", PAGE.1)
        .set("font-family", FONTS)
        .set("font-size", 13)
        .add(Element::from(svg::node::element::Title::new("Density against time")))
        .add(Rectangle::new().set("width", PAGE.0).set("height", PAGE.1).set("fill", "#ffffff"))
        .add(axes.drawn());
    let ends: Vec<f64> = curves.iter().map(|(_, curve)| axes.y(curve[curve.len() - 1].1)).collect();
    let labels = spread(&ends, 16.0, TOP, BOTTOM);
    for (k, ((measured, curve), label)) in curves.iter().zip(labels).enumerate() {
        document = document.add(line(&axes, measured, curve, k, label));
    }
    format!("{document}\n")
}

/// The mean over runs of the best density so far, as (seconds, percent) at every time when it changes; it begins when every
/// run has found something and ends with the longest run.
fn mean_curve(measured: &Measured) -> Vec<(f64, f64)> {
    let runs: Vec<_> = measured.runs.iter().filter(|run| run.density_percent.is_some()).collect();
    let mut times: Vec<f64> = runs.iter().flat_map(|run| run.curve.iter().map(|&(when, _)| when)).collect();
    times.extend(runs.iter().map(|run| run.seconds).max_by(f64::total_cmp));
    times.sort_by(f64::total_cmp);
    times.dedup();
    let best = |run: &super::results::Run, at: f64| {
        run.curve.iter().take_while(|&&(when, _)| when <= at).last().map(|&(_, density)| density)
    };
    let mean = |at: f64| -> Option<f64> {
        let densities: Option<Vec<f64>> = runs.iter().map(|run| best(run, at)).collect();
        densities.map(|d| d.iter().sum::<f64>() / d.len() as f64)
    };
    if runs.is_empty() {
        return Vec::new();
    }
    times.into_iter().filter_map(|at| Some((at, mean(at)?))).collect()
}

/// What the axes run over: seconds, logarithmically, and percent.
struct Axes {
    seconds: (f64, f64),
    percent: (f64, f64),
    step: f64,
}

impl Axes {
    fn around<'a>(curves: impl Iterator<Item = &'a [(f64, f64)]>) -> Axes {
        let points: Vec<(f64, f64)> = curves.flatten().copied().collect();
        let over = |values: Vec<f64>, default: (f64, f64)| {
            let low = values.iter().copied().min_by(f64::total_cmp);
            let high = values.iter().copied().max_by(f64::total_cmp);
            low.zip(high).unwrap_or(default)
        };
        let (first, last) = over(points.iter().map(|p| p.0).collect(), (0.1, 10.0));
        let (least, most) = over(points.iter().map(|p| p.1).collect(), (0.0, 100.0));
        // A millisecond is the least that a clock read once a round can tell.
        let first = first.max(0.001);
        let seconds = (first, last.max(first * 2.0));
        // The least of the usual steps that makes ten of them enough.
        let span = (most - least).max(0.5);
        let step =
            [0.1, 0.2, 0.5, 1.0, 2.0, 5.0].into_iter().find(|step| span / step <= 10.0).unwrap_or(10.0);
        let percent = ((least / step).floor() * step, ((most / step).ceil() * step).max(least + step));
        Axes { seconds, percent, step }
    }

    fn x(&self, seconds: f64) -> f64 {
        let (low, high) = (self.seconds.0.ln(), self.seconds.1.ln());
        LEFT + (seconds.max(self.seconds.0).ln() - low) / (high - low) * (RIGHT - LEFT)
    }

    fn y(&self, percent: f64) -> f64 {
        let (low, high) = self.percent;
        BOTTOM - (percent - low) / (high - low) * (BOTTOM - TOP)
    }

    /// 1, 2 and 5 of every power of ten within the axis; where that is too many, the powers alone.
    fn marks(&self) -> Vec<f64> {
        let decades = -3..=6;
        let of = |firsts: &[f64]| -> Vec<f64> {
            let all = decades.clone().flat_map(|d| firsts.iter().map(move |f| f * 10f64.powi(d)));
            all.filter(|t| (self.seconds.0..=self.seconds.1).contains(t)).collect()
        };
        let marks = of(&[1.0, 2.0, 5.0]);
        if marks.len() > 14 { of(&[1.0]) } else { marks }
    }

    fn drawn(&self) -> Group {
        let mut group = Group::new().set("fill", INK);
        let rule = |from: (f64, f64), to: (f64, f64), colour: &str| {
            Line::new()
                .set("x1", round(from.0))
                .set("y1", round(from.1))
                .set("x2", round(to.0))
                .set("y2", round(to.1))
                .set("stroke", colour)
        };
        let words = |text: String, x: f64, y: f64, anchor: &str| {
            Text::new(text).set("x", round(x)).set("y", round(y)).set("text-anchor", anchor)
        };
        let steps = ((self.percent.1 - self.percent.0) / self.step).round() as i32;
        for k in 0..=steps {
            let percent = self.percent.0 + f64::from(k) * self.step;
            let y = self.y(percent);
            let decimals = usize::from(self.step < 1.0);
            group = group.add(rule((LEFT, y), (RIGHT, y), RULE)).add(words(
                format!("{percent:.decimals$}"),
                LEFT - 8.0,
                y + 4.5,
                "end",
            ));
        }
        for seconds in self.marks() {
            let x = self.x(seconds);
            let told = format!("{}", (seconds * 1000.0).round() / 1000.0);
            group = group.add(rule((x, TOP), (x, BOTTOM), RULE)).add(words(told, x, BOTTOM + 20.0, "middle"));
        }
        let middle = (TOP + BOTTOM) / 2.0;
        group
            .add(rule((LEFT, BOTTOM), (RIGHT, BOTTOM), INK))
            .add(rule((LEFT, TOP), (LEFT, BOTTOM), INK))
            .add(words("seconds".to_owned(), (LEFT + RIGHT) / 2.0, BOTTOM + 44.0, "middle"))
            .add(
                words("density, percent".to_owned(), 18.0, middle, "middle")
                    .set("transform", format!("rotate(-90 18 {middle})")),
            )
    }
}

/// One instance: a stair of its densities, and its name beside the end.
fn line(axes: &Axes, measured: &Measured, curve: &[(f64, f64)], k: usize, label: f64) -> Group {
    let colour = COLOURS[k % COLOURS.len()];
    let dash = DASHES[k / COLOURS.len() % DASHES.len()];
    let mut data = String::new();
    for (i, &(seconds, percent)) in curve.iter().enumerate() {
        let (x, y) = (round(axes.x(seconds)), round(axes.y(percent)));
        data += &if i == 0 { format!("M{x},{y}") } else { format!("H{x}V{y}") };
    }
    let (end, density) = curve[curve.len() - 1];
    let (x, y) = (round(axes.x(end)), round(axes.y(density)));
    let leader = format!("M{x},{y}L{},{}", round(RIGHT + 12.0), round(label));
    Group::new()
        .set("stroke", colour)
        .set("fill", "none")
        .add(Path::new().set("d", data).set("stroke-width", 1.8).set("stroke-dasharray", dash))
        .add(Path::new().set("d", leader).set("stroke-width", 0.6))
        .add(Circle::new().set("cx", x).set("cy", y).set("r", 2.5).set("fill", colour))
        .add(
            Text::new(format!("{} {density:.2}", measured.name))
                .set("x", round(RIGHT + 16.0))
                .set("y", round(label + 4.5))
                .set("fill", colour)
                .set("stroke", "none"),
        )
}

/// Moves heights apart to at least `gap`, keeping their order, within limits as far as there is room.
fn spread(heights: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..heights.len()).collect();
    order.sort_by(|&a, &b| heights[a].total_cmp(&heights[b]));
    let mut placed = heights.to_vec();
    let mut next = low;
    for &k in &order {
        placed[k] = heights[k].max(next);
        next = placed[k] + gap;
    }
    // What was pushed past the end goes back up, and pushes the others.
    let mut next = high;
    for &k in order.iter().rev() {
        placed[k] = placed[k].min(next);
        next = placed[k] - gap;
    }
    placed
}

fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod curve_tests {
    use super::super::results::results_tests::results;
    use super::*;

    #[test]
    fn every_instance_has_its_line_and_its_name() {
        let many: Vec<String> = (0..9).map(|k| format!("instance <{k}>")).collect();
        let densities: Vec<[f64; 2]> = (0..9).map(|k| [80.0 + f64::from(k) * 0.1, 81.0]).collect();
        let given: Vec<(&str, &[f64])> =
            many.iter().zip(&densities).map(|(name, d)| (&**name, &d[..])).collect();
        let text = draw(&results(&given));
        assert_eq!(text.matches("stroke-width=\"1.8\"").count(), 9);
        assert_eq!(text.matches("instance &lt;").count(), 9, "names are escaped: {text}");
        assert!(text.contains("seconds") && text.contains("density, percent"));
        assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    }

    #[test]
    fn nothing_measured_gives_empty_axes() {
        let text = draw(&results(&[("none", &[])]));
        assert!(text.contains("seconds") && !text.contains("NaN"), "{text}");
    }

    #[test]
    fn the_curve_is_the_mean_of_the_best_so_far() {
        let two = results(&[("one", &[80.0, 82.0])]);
        // Both runs begin 9 below at 0.1 s and end at 6 s; the last point is the end of the run.
        assert_eq!(mean_curve(&two.instances[0]), [(0.1, 72.0), (6.0, 81.0), (10.0, 81.0)]);
    }

    #[test]
    fn names_are_moved_apart_and_stay_on_the_page() {
        let placed = spread(&[100.0, 101.0, 99.0, 118.0], 16.0, 24.0, 120.0);
        assert_eq!(placed, [88.0, 104.0, 72.0, 120.0]);
    }
}
