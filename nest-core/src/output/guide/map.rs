//! The map of a section of the lay: every outline with the step in which it is laid, small enough for a page.

use svg::node::element::{Group, Path, Rectangle, SVG};

use super::document::Figure;
use super::order::Laid;
use super::reading::read;
use crate::cloth::Cloth;
use crate::draw::ink::{self, INK, mm};
use crate::draw::lettering::{self, Anchor, Weight};
use crate::draw::measure::imperial;
use crate::draw::room::largest_box;
use crate::draw::way::face_down;
use crate::geometry::Point;
use crate::job::Job;
use crate::length::GRID_PER_MM;
use crate::marker::{Form, Marker, Placement};
use crate::piece::PieceShape;
use crate::remnant::pockets;
use crate::spread::{BandEdge, Plies, Ply, Section};

/// Width of the map on paper, and how high a stretch of it may become, in millimetres.
const WIDE: f64 = 178.0;
const HIGH: f64 = 92.0;
/// Largest size of a step's number.
const NUMBER: f64 = 5.0;
/// Room for the ruler under a stretch.
const RULER: f64 = 6.0;

/// The map, in stretches one under the other where the lay is long.
pub(super) fn map(
    job: &Job,
    cloth: &Cloth,
    marker: &Marker,
    laid: &[&Laid<'_>],
    section: usize,
) -> Vec<Figure> {
    let plies = Ply::of_section(cloth, &marker.spread, section);
    let section = &marker.spread.sections[section];
    let (length, across) = (section.length.mm(), section.width.mm());
    // As large as the page is wide; a short wide lay no higher than allowed, a long narrow one in stretches of at most
    // three times its width.
    let scale = (WIDE / length.min(3.0 * across)).min(HIGH / across);
    let stretches = (length * scale / WIDE - 1e-6).ceil().max(1.0);
    let each = length / stretches;
    (0..stretches as i64)
        .map(|i| {
            let from = section.start.mm() + i as f64 * each;
            let plies = plies.clone();
            stretch(&Paper { job, cloth, section, plies, scale, from, to: from + each }, laid)
        })
        .collect()
}

/// A stretch of a section, and how it is set on paper.
struct Paper<'a> {
    job: &'a Job,
    cloth: &'a Cloth,
    section: &'a Section,
    plies: Vec<Ply>,
    scale: f64,
    /// Along the lay, in millimetres.
    from: f64,
    to: f64,
}

impl Paper<'_> {
    /// A point of the lay in millimetres, on the stretch.
    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x - self.from) * self.scale, (self.section.width.mm() - y) * self.scale)
    }

    fn grid(&self, p: Point) -> (f64, f64) {
        self.at((p.x as f64 / GRID_PER_MM as f64, p.y as f64 / GRID_PER_MM as f64))
    }
}

fn stretch(paper: &Paper<'_>, laid: &[&Laid<'_>]) -> Figure {
    let (wide, high) = ((paper.to - paper.from) * paper.scale, paper.section.width.mm() * paper.scale);
    // A view of its own cuts off what belongs to the next stretch.
    let mut view = SVG::new()
        .set("x", "0")
        .set("y", "1")
        .set("width", mm(wide))
        .set("height", mm(high))
        .set("viewBox", format!("0 0 {} {}", mm(wide), mm(high)));
    view = view.add(ground(paper, wide, high));
    view = view.add(flaws(paper));
    let outlines: Vec<Vec<(f64, f64)>> = laid.iter().map(|l| outline(paper, l)).collect();
    let mut shown = 0;
    for (l, ring) in laid.iter().zip(&outlines) {
        if ring.iter().any(|p| p.0 >= 0.0) && ring.iter().any(|p| p.0 <= wide) {
            view = view.add(piece(paper, l, ring));
            shown += 1;
        }
    }
    let group = Group::new()
        .set("class", "map")
        .add(view)
        .add(edges(paper, wide, high))
        .add(ruler(paper, wide, high));
    Figure { width: wide.max(1.0), height: high + 2.0 + RULER, drawn: group, told: told(paper, shown) }
}

fn told(paper: &Paper<'_>, shown: usize) -> String {
    let pieces = if shown == 1 { "one piece, with".to_owned() } else { format!("{shown} pieces, each with") };
    let read = |mm: f64| read((mm * GRID_PER_MM as f64).round() as i64, paper.job.unit);
    format!("map of the lay from {} to {}: {pieces} the number of its step", read(paper.from), read(paper.to))
}

fn outline(paper: &Paper<'_>, laid: &Laid<'_>) -> Vec<(f64, f64)> {
    let p = laid.placement;
    let shape = paper.job.style.shape(p.piece, p.size);
    p.outline(shape).points().iter().map(|&p| paper.grid(p)).collect()
}

/// Cloth: white where it is one ply, hatched nowhere; two plies are told by a light grey, selvages by a darker one.
fn ground(paper: &Paper<'_>, wide: f64, high: f64) -> Group {
    let mut group = Group::new();
    let block = |y: f64, height: f64, fill: &str| {
        Rectangle::new()
            .set("x", "0")
            .set("y", mm(y))
            .set("width", mm(wide))
            .set("height", mm(height))
            .set("fill", fill)
    };
    group = group.add(block(0.0, high, "#c9c9c9"));
    for band in &paper.section.bands {
        let (_, top) = paper.grid(Point::new(0, band.high));
        let (_, foot) = paper.grid(Point::new(0, band.low));
        let fill = if band.plies == Plies::Two { "#e6e6e6" } else { "#f6f6f6" };
        group = group.add(block(top, foot - top, fill));
    }
    // Beyond the edge of a remnant there is no cloth.
    for ply in &paper.plies {
        for beyond in paper.cloth.within.iter().flat_map(pockets) {
            let outline = ply.motion.apply_outline(&beyond);
            let ring: Vec<(f64, f64)> = outline.points().iter().map(|&p| paper.grid(p)).collect();
            let shape = Path::new().set("class", "beyond").set("d", ring_data(&ring)).set("fill", "#9a9a9a");
            group = group.add(shape.set("stroke", INK).set("stroke-width", "0.35"));
        }
    }
    group
}

/// Flaws, crossed out.
fn flaws(paper: &Paper<'_>) -> Group {
    let mut group = Group::new().set("class", "flaws");
    for ply in &paper.plies {
        for (_, flaw) in ply.flaws_in(paper.section, paper.cloth) {
            let on_table = ply.motion.apply_box(&flaw.bounds());
            let outline = ply.motion.apply_outline(&flaw.outline());
            let ring: Vec<(f64, f64)> = outline.points().iter().map(|&p| paper.grid(p)).collect();
            let shape = Path::new().set("d", ring_data(&ring)).set("fill", "#9a9a9a");
            group = group.add(shape.set("stroke", ink::FLAW).set("stroke-width", "0.4"));
            let (low, high) = (paper.grid(on_table.low), paper.grid(on_table.high));
            for line in [[low, high], [(low.0, high.1), (high.0, low.1)]] {
                group = group.add(ink::line(&line).set("stroke", ink::FLAW).set("stroke-width", "0.4"));
            }
        }
    }
    group
}

fn ring_data(ring: &[(f64, f64)]) -> String {
    let mut data = String::new();
    for (i, p) in ring.iter().enumerate() {
        data.push_str(&format!("{}{},{}", if i == 0 { "M" } else { " L" }, mm(p.0), mm(p.1)));
    }
    data.push('Z');
    data
}

fn piece(paper: &Paper<'_>, laid: &Laid<'_>, ring: &[(f64, f64)]) -> Group {
    let p = laid.placement;
    let shape = paper.job.style.shape(p.piece, p.size);
    let fill = if face_down(p, shape) { "#cfcfcf" } else { "#ffffff" };
    let mut group = Group::new().add(
        Path::new().set("d", ring_data(ring)).set("fill", fill).set("stroke", INK).set("stroke-width", "0.3"),
    );
    for line in stitching(p, shape) {
        let line: Vec<(f64, f64)> = line.iter().map(|&q| paper.grid(p.pose.apply(q) + p.position)).collect();
        let dashed = ink::line(&line).set("stroke-width", "0.15").set("stroke-dasharray", "1 0.7");
        group = group.add(dashed.set("class", "stitching"));
    }
    let [bottom, top] = laid.grainline.map(|p| paper.grid(p));
    group = group.add(ink::line(&[bottom, top]).set("stroke-width", "0.2"));
    group = group.add(ink::arrowhead(bottom, top, 2.2, 0.5));
    if p.form == Form::OpenedOut {
        // The line over which the half is flipped.
        if let Some((a, b)) = shape.fold {
            let ends = [a, b].map(|q| paper.grid(p.pose.apply(q) + p.position));
            group = group
                .add(ink::line(&ends).set("stroke-width", "0.2").set("stroke-dasharray", "2 0.8 0.4 0.8"));
        }
    }
    let number = laid.step.to_string();
    let extent = (lettering::width(&number, Weight::Bold) + 0.3, 0.95);
    let room = largest_box(ring, &[(bottom, top)], extent, 1.5, NUMBER)
        .or_else(|| largest_box(ring, &[], extent, 0.8, NUMBER));
    if let Some(room) = room {
        let size = room.scale.min(NUMBER);
        let place = (room.middle.0, room.middle.1 + size * lettering::CAPITAL / 2.0);
        let words = lettering::text(&number, place, size, Weight::Bold, Anchor::Middle);
        let halo = Group::new()
            .set("stroke", fill)
            .set("stroke-width", mm(size * 0.2))
            .set("stroke-linejoin", "round")
            .set("paint-order", "stroke");
        group = group.add(halo.add(words));
    }
    group
}

/// The stitching line of a piece to which an allowance is added; of an opened-out half on both sides.
fn stitching(p: &Placement, shape: &PieceShape) -> Vec<Vec<Point>> {
    let own = shape.stitching.clone();
    let twin = match (p.form, shape.fold, &own) {
        (Form::OpenedOut, Some((fold, _)), Some(line)) => {
            Some(line.iter().map(|q| Point::new(q.x, 2 * fold.y - q.y)).collect())
        }
        _ => None,
    };
    own.into_iter().chain(twin).collect()
}

/// The long edges of the section, drawn as in the sketches; and its ends.
fn edges(paper: &Paper<'_>, wide: f64, high: f64) -> Group {
    let mut group = Group::new().set("transform", "translate(0 1)");
    let bands = &paper.section.bands;
    let (Some(first), Some(last)) = (bands.first(), bands.last()) else { return group };
    for (edge, y) in [(first.low_edge, high), (last.high_edge, 0.0)] {
        let line = ink::line(&[(0.0, y), (wide, y)]);
        group = group.add(match edge {
            BandEdge::Fold => line.set("stroke-width", "1.1"),
            BandEdge::Selvage if paper.cloth.within.is_none() => {
                line.set("stroke-width", "0.5").set("stroke-dasharray", "1 1")
            }
            BandEdge::Selvage | BandEdge::CutEdge | BandEdge::NextBand => line.set("stroke-width", "0.35"),
        });
    }
    for i in 0..bands.len() {
        for edge in super::edges::edges(paper.section, paper.cloth, i) {
            let (_, y) = paper.grid(Point::new(0, edge.y));
            if y > 0.01 && y < high - 0.01 {
                let line = ink::line(&[(0.0, y), (wide, y)]);
                group = group.add(line.set("stroke-width", "0.4").set("stroke-dasharray", "1 1"));
            }
        }
    }
    let starts = (paper.from - paper.section.start.mm()).abs() < 0.01;
    let ends = (paper.to - paper.section.start.mm() - paper.section.length.mm()).abs() < 0.01;
    for (x, end) in [(0.0, starts), (wide, ends)] {
        let fold = x == 0.0 && end && paper.section.fold_at_start;
        let line = ink::line(&[(x, 0.0), (x, high)]);
        group = group.add(match (end, fold) {
            (_, true) => line.set("stroke-width", "1.1"),
            (true, _) => line.set("stroke-width", "0.35"),
            (false, _) => line.set("stroke-width", "0.2").set("stroke-dasharray", "0.6 1.2"),
        });
    }
    group
}

/// Distances from the section's start, every 10 cm or 6 in, numbered every other or so.
fn ruler(paper: &Paper<'_>, wide: f64, high: f64) -> Group {
    let (step, unit, sign) = if imperial(paper.job.unit) { (152.4, 25.4, "in") } else { (100.0, 10.0, "cm") };
    let every =
        [1.0, 2.0, 5.0, 10.0, 20.0].into_iter().find(|k| k * step * paper.scale >= 14.0).unwrap_or(50.0);
    let mut group = Group::new();
    let base = high + 1.6;
    let origin = paper.from - paper.section.start.mm();
    let first = (origin / step - 1e-6).ceil() as i64;
    for k in first.. {
        let x = (k as f64 * step - origin) * paper.scale;
        if x > wide + 1e-6 {
            break;
        }
        let numbered = (k as f64 / every).fract() == 0.0;
        let long = if numbered { 1.8 } else { 1.0 };
        group = group.add(ink::line(&[(x, base), (x, base + long)]).set("stroke-width", "0.2"));
        if numbered {
            let value = format!("{} {sign}", (k as f64 * step / unit).round() as i64);
            let reach = 2.6 * lettering::width(&value, Weight::Plain);
            let (anchor, x) = if x < reach / 2.0 {
                (Anchor::Start, 0.0)
            } else if x > wide - reach / 2.0 {
                (Anchor::End, wide)
            } else {
                (Anchor::Middle, x)
            };
            group = group.add(lettering::text(&value, (x, base + 4.4), 2.6, Weight::Plain, anchor));
        }
    }
    group
}
