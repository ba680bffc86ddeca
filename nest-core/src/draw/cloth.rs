//! The cloth under the pieces: its bands, what each edge is, and how deep a fold lies.

use svg::node::element::{Group, Path, Rectangle};

use super::ink::{self, GREY, mm};
use super::lettering::{self, Anchor, Weight};
use super::measure::measure;
use super::ruler;
use super::sheet::Sheet;
use crate::geometry::Point;
use crate::job::Job;
use crate::length::Length;
use crate::marker::Marker;
use crate::remnant::pockets;
use crate::spread::{Band, BandEdge, Family, Plies, Ply, Section};

/// The cloth of the whole lay.
pub(super) fn cloth(sheet: &Sheet, job: &Job, marker: &Marker) -> Group {
    let mut group = Group::new().set("id", "cloth");
    let sections = &marker.spread.sections;
    let remnant = job.cloths.iter().any(|c| c.kind == marker.cloth && c.within.is_some());
    for section in sections {
        group = group.add(ground(sheet, section));
    }
    group = group.add(measuring_lines(sheet, job));
    for (i, section) in sections.iter().enumerate() {
        group = group.add(edges(sheet, section, remnant));
        group = group.add(ends(sheet, section, i + 1 == sections.len()));
    }
    if let Some(last) = sections.last() {
        group = group.add(band_names(sheet, job, last));
    }
    if let Some(flaws) = flaws(sheet, job, marker) {
        group = group.add(flaws);
    }
    group
}

/// The flaws that come to lie in the lay, on whichever ply; none when there are none.
fn flaws(sheet: &Sheet, job: &Job, marker: &Marker) -> Option<Group> {
    let cloth = job.cloths.iter().find(|c| c.kind == marker.cloth)?;
    let mut group = Group::new().set("class", "flaws");
    let mut any = false;
    for (k, section) in marker.spread.sections.iter().enumerate() {
        let mut own = Group::new().set("clip-path", format!("url(#within-section-{})", k + 1));
        for ply in Ply::of_section(cloth, &marker.spread, k) {
            for beyond in cloth.within.iter().flat_map(pockets) {
                any = true;
                let outline = ply.motion.apply_outline(&beyond);
                own = own.add(
                    Path::new()
                        .set("class", "beyond")
                        .set("d", ink::ring(sheet, &outline))
                        .set("fill", ink::UNUSABLE)
                        .set("stroke", ink::INK)
                        .set("stroke-width", mm(1.4 * sheet.pen()))
                        .set("vector-effect", "non-scaling-stroke"),
                );
            }
            for (n, flaw) in ply.flaws_in(section, cloth) {
                any = true;
                let outline = ply.motion.apply_outline(&flaw.outline());
                own = own.add(
                    Path::new()
                        .set("class", "flaw")
                        .set("data-flaw", (n + 1).to_string())
                        .set("data-ply", if ply.over { "upper" } else { "lower" })
                        .set("d", ink::ring(sheet, &outline))
                        .set("fill", format!("url(#{})", ink::FLAWED))
                        .set("stroke", ink::FLAW)
                        .set("stroke-width", mm(1.4 * sheet.pen()))
                        .set("vector-effect", "non-scaling-stroke"),
                );
            }
        }
        group = group.add(own);
    }
    any.then_some(group)
}

/// Is the cloth a remnant of another shape than a rectangle?
pub(super) fn shows_edge(job: &Job, marker: &Marker) -> bool {
    let cloth = job.cloths.iter().find(|c| c.kind == marker.cloth);
    cloth.and_then(|c| c.within.as_ref()).is_some_and(|within| !pockets(within).is_empty())
}

/// Does a flaw of the cloth lie in this lay, on whichever ply?
pub(super) fn shows_flaws(job: &Job, marker: &Marker) -> bool {
    let Some(cloth) = job.cloths.iter().find(|c| c.kind == marker.cloth) else { return false };
    marker.spread.sections.iter().enumerate().any(|(k, section)| {
        let plies = Ply::of_section(cloth, &marker.spread, k);
        plies.iter().any(|ply| ply.flaws_in(section, cloth).next().is_some())
    })
}

/// Where a section begins and ends along the lay.
fn span(section: &Section) -> (i64, i64) {
    (section.start.grid(), section.start.grid() + section.length.grid())
}

/// A rectangle of the lay, from one corner to the other.
fn area(sheet: &Sheet, low: Point, high: Point, fill: &str) -> Rectangle {
    let (from, to) = (sheet.at(Point::new(low.x, high.y)), sheet.at(Point::new(high.x, low.y)));
    Rectangle::new()
        .set("x", ink::grid(from.x))
        .set("y", ink::grid(from.y))
        .set("width", ink::grid(to.x - from.x))
        .set("height", ink::grid(to.y - from.y))
        .set("fill", fill)
}

fn ground(sheet: &Sheet, section: &Section) -> Group {
    let (from, to) = span(section);
    let mut group = Group::new().set("class", "ground");
    group = group.add(area(sheet, Point::new(from, 0), Point::new(to, section.width.grid()), ink::UNUSABLE));
    for band in &section.bands {
        let (fill, plies) = match band.plies {
            Plies::One => (ink::ONE_PLY, "1"),
            Plies::Two => (ink::TWO_PLIES, "2"),
        };
        let ground = area(sheet, Point::new(from, band.low), Point::new(to, band.high), fill);
        group = group.add(ground.set("class", "band").set("data-plies", plies));
    }
    group
}

/// Faint lines across the cloth at the numbers of the ruler.
fn measuring_lines(sheet: &Sheet, job: &Job) -> Path {
    let long = sheet.lay_right() - sheet.lay_left();
    let mut data = String::new();
    for at in ruler::numbered_marks(job.unit, sheet.text(), long) {
        let x = mm(sheet.lay_left() + at);
        data.push_str(&format!("M{x},{} L{x},{}", mm(sheet.lay_top()), mm(sheet.lay_bottom())));
    }
    Path::new()
        .set("d", data)
        .set("fill", "none")
        .set("stroke", "#ffffff")
        .set("stroke-width", mm(sheet.pen()))
        .set("vector-effect", "non-scaling-stroke")
}

/// The section's long edges, and where one band meets the next.
fn edges(sheet: &Sheet, section: &Section, remnant: bool) -> Group {
    let (from, to) = span(section);
    let mut group = Group::new().set("class", "edges");
    let along = |y: i64| [sheet.at_mm(Point::new(from, y)), sheet.at_mm(Point::new(to, y))];
    let (Some(first), Some(last)) = (section.bands.first(), section.bands.last()) else { return group };
    for (edge, y) in [(first.low_edge, 0), (last.high_edge, section.width.grid())] {
        let line = ink::line(&along(y)).set("vector-effect", "non-scaling-stroke");
        let pen = sheet.pen();
        group = group.add(match edge {
            // A fold is the one edge that pieces lie on: it is drawn the heaviest.
            BandEdge::Fold => line.set("stroke-width", mm(4.0 * pen)),
            BandEdge::Selvage => line
                .set("stroke-width", mm(2.0 * pen))
                .set("stroke-dasharray", ink::dashes(sheet, &[2.0, 2.0])),
            BandEdge::CutEdge | BandEdge::NextBand => line
                .set("stroke-width", mm(1.4 * pen))
                .set("stroke-dasharray", ink::dashes(sheet, &[8.0, 4.0])),
        });
    }
    for pair in section.bands.windows(2) {
        for y in [pair[0].high, pair[1].low] {
            let line = ink::line(&along(y)).set("stroke", GREY).set("stroke-width", mm(1.2 * sheet.pen()));
            group = group.add(
                line.set("stroke-dasharray", ink::dashes(sheet, &[6.0, 3.0]))
                    .set("vector-effect", "non-scaling-stroke"),
            );
        }
    }
    let text = sheet.text();
    let size = 0.9 * text;
    for (edge, y, foot) in
        [(first.low_edge, 0, 0.3 * text + size), (last.high_edge, section.width.grid(), -0.55 * text)]
    {
        let name = match edge {
            BandEdge::Selvage if remnant => "edge of the remnant",
            _ => edge_name(edge, section.family),
        };
        let [(x1, y), (x2, _)] = along(y);
        // Once for each stretch that is on a screen at the same time.
        let times = ((x2 - x1) / (30.0 * text)).ceil().max(1.0);
        for i in 0..times as i64 {
            let x = x1 + (x2 - x1) * (i as f64 + 0.5) / times;
            group = group.add(lettering::text(name, (x, y + foot), size, Weight::Bold, Anchor::Middle));
        }
    }
    group
}

fn edge_name(edge: BandEdge, family: Family) -> &'static str {
    match (edge, family) {
        (BandEdge::Fold, _) => "fold",
        (BandEdge::Selvage, Family::Single | Family::OffCentreFold | Family::TwoFolds) => "selvage",
        (BandEdge::Selvage, _) => "selvages",
        (BandEdge::CutEdge, _) => "cut edge",
        (BandEdge::NextBand, _) => "end of the fold",
    }
}

/// The section's two ends, with their names upright beside them.
fn ends(sheet: &Sheet, section: &Section, last: bool) -> Group {
    let (from, to) = span(section);
    let mut group = Group::new().set("class", "ends");
    let across = |x: i64| [sheet.at_mm(Point::new(x, 0)), sheet.at_mm(Point::new(x, section.width.grid()))];
    let pen = sheet.pen();
    let end = if section.bands.iter().all(|b| b.plies == Plies::One) { "cut end" } else { "cut ends" };
    let start = if section.fold_at_start { "crosswise fold" } else { end };
    let mut put = |x: i64, name: &str, fold: bool, beside: f64| {
        let line = ink::line(&across(x)).set("vector-effect", "non-scaling-stroke");
        let drawn = if fold {
            line.set("stroke-width", mm(4.0 * pen))
        } else {
            line.set("stroke-width", mm(1.4 * pen)).set("stroke-dasharray", ink::dashes(sheet, &[8.0, 4.0]))
        };
        let [(x, low), (_, high)] = across(x);
        let place = format!("translate({} {}) rotate(-90)", mm(x + beside), mm((low + high) / 2.0));
        let size = 0.9 * sheet.text();
        let name = Group::new().set("transform", place).add(lettering::text(
            name,
            (0.0, 0.0),
            size,
            Weight::Bold,
            Anchor::Middle,
        ));
        group = std::mem::take(&mut group).add(drawn).add(name);
    };
    if section.start == Length::ZERO {
        put(from, start, section.fold_at_start, -0.5 * sheet.text());
    } else {
        put(from, "", false, 0.0);
    }
    if last {
        put(to, end, false, 1.2 * sheet.text());
    }
    group
}

/// At the right of the lay: how many plies each band has, and how deep it is.
fn band_names(sheet: &Sheet, job: &Job, section: &Section) -> Group {
    let mut group = Group::new().set("class", "bands").set("stroke-width", mm(sheet.pen()));
    let text = sheet.text();
    let x = sheet.lay_right() + 1.9 * text;
    for band in &section.bands {
        let (_, low) = sheet.at_mm(Point::new(0, band.low));
        let (_, high) = sheet.at_mm(Point::new(0, band.high));
        let brace = [(x, low), (x + 0.4 * text, low), (x + 0.4 * text, high), (x, high)];
        group = group.add(ink::line(&brace).set("vector-effect", "non-scaling-stroke"));
        let size = (0.85 * text).min((low - high) / 2.4);
        let middle = (low + high) / 2.0;
        for (line, foot) in band_words(job, band).iter().zip([-0.2, 1.0]) {
            let place = (x + 0.8 * text, middle + foot * size);
            group = group.add(lettering::text(line, place, size, Weight::Plain, Anchor::Start));
        }
    }
    group
}

fn band_words(job: &Job, band: &Band) -> [String; 2] {
    let plies = match band.plies {
        Plies::One => "one ply",
        Plies::Two => "two plies",
    };
    [plies.to_string(), measure(Length::from_grid(band.height()), job.unit)]
}
