//! The contact sheet: every piece as it was understood, drawn small with its marks, its counts and what was assumed of it.
//!
//! # Frame and units
//! One unit is one millimetre of the sheet, which is as wide as A4 paper and as long as it needs to be. Every piece is turned
//! so that its grainline points straight up, from the bottom of the piece to its top, printed side up.

mod caption;
mod portrait;

use svg::Document;
use svg::node::element::{Element, Group, Line as Rule, Rectangle};

use super::pattern::Pattern;
use super::to_job::{JobSettings, ordered_size};
use super::warning::Warning;
use super::{Import, LeftOut};
use crate::draw::ink::{FONTS, INK, mm};
use crate::draw::lettering::{self, Anchor, Weight, shortened};
use crate::draw::measure::measure;
use crate::job::Job;
use crate::length::Length;
use caption::{Caption, wrapped};
use portrait::{Mark, Portrait, sample};

/// Width of A4 paper.
const WIDTH: f64 = 210.0;
/// Left white around everything.
const MARGIN: f64 = 10.0;
/// What is left between the margins.
const ROOM: f64 = WIDTH - 2.0 * MARGIN;
/// Pieces stand in this many columns; a wide piece takes several.
const COLUMNS: usize = 3;
/// Between columns and rows.
const GUTTER: f64 = 5.0;
/// Size of words.
const TEXT: f64 = 3.2;
/// From line to line of words.
const LEADING: f64 = 4.2;
/// The scales pieces are drawn at: one to so many.
const SCALES: [f64; 8] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 1000.0];
/// The largest room for the drawing of one piece.
const LARGEST: (f64, f64) = (ROOM, 120.0);
/// A piece that would come out smaller than this is drawn at a larger scale of its own.
const LEAST: f64 = 18.0;

impl Import {
    /// The contact sheet, as SVG: each piece with outline, grainline, fold edge, notches, drill holes, lines, name, sizes and
    /// count, and beside it what was assumed of it. Sizes lie over one another, the larger the heavier.
    ///
    /// # Complexity
    /// O(points), with a factor for placing each notch on its edge.
    pub fn contact_sheet(&self, settings: &JobSettings) -> String {
        sheet(self, settings)
    }
}

/// A part of the sheet drawn about its own upper left corner, and how high it is.
struct Part {
    drawn: Group,
    height: f64,
}

impl Part {
    fn new() -> Part {
        Part { drawn: Group::new(), height: 0.0 }
    }

    fn put(&mut self, node: impl Into<Box<dyn svg::Node>>) {
        self.drawn = std::mem::take(&mut self.drawn).add(node);
    }

    /// Lines of words below what is there, as wide as `room` allows.
    fn words(&mut self, text: &str, weight: Weight, room: f64) {
        for line in wrapped(text, weight, room / TEXT) {
            self.height += LEADING;
            self.put(lettering::text(&line, (0.0, self.height - 1.0), TEXT, weight, Anchor::Start));
        }
    }

    fn placed(self, x: f64, y: f64) -> Group {
        self.drawn.set("transform", format!("translate({} {})", mm(x), mm(y)))
    }
}

fn sheet(import: &Import, settings: &JobSettings) -> String {
    let pattern = &import.pattern;
    let shown = ordered_size(pattern, settings);
    // The job adds the allowances, so that what is drawn here is what will be cut.
    let adds = pattern.pieces.iter().any(|piece| piece.seam > 0.0);
    let job = adds.then(|| Job::of_file(&import.job_file(settings)).ok()).flatten();
    let in_job = |i: usize| job.as_ref().and_then(|job| job.style.pieces.get(i));
    let portrait = |(i, piece)| Portrait::new(piece, in_job(i), &pattern.sizes, shown.as_deref());
    let portraits: Vec<Portrait<'_>> = pattern.pieces.iter().enumerate().map(portrait).collect();
    let scale = common_scale(&portraits);

    let mut drawn = Group::new();
    let mut y = MARGIN;
    let head = head(import, settings, shown.as_deref(), scale);
    let height = head.height;
    drawn = drawn.add(head.placed(MARGIN, y).set("id", "head"));
    y += height + GUTTER;

    let column = (ROOM + GUTTER) / COLUMNS as f64;
    let (mut at, mut tallest) = (0, 0.0_f64);
    for (i, (piece, portrait)) in pattern.pieces.iter().zip(&portraits).enumerate() {
        let own = own_scale(portrait, scale);
        let wide = portrait.width() / own;
        let columns = (((wide + GUTTER) / column).ceil() as usize).clamp(1, COLUMNS);
        if at + columns > COLUMNS {
            y += tallest + 2.0 * GUTTER;
            (at, tallest) = (0, 0.0);
        }
        let room = columns as f64 * column - GUTTER;
        let mut cell = Part::new();
        cell.put(portrait.drawn(own));
        cell.height = portrait.height() / own + 1.0;
        // What holds of several sizes is said once.
        let mut about: Vec<String> = Vec::new();
        for warning in import.warnings.iter().filter(|w| concerns(w, &piece.name)) {
            let said = warning.kind.to_string();
            if !about.contains(&said) {
                about.push(said);
            }
        }
        let caption = Caption::new(piece, pattern, shown.as_deref());
        cell.words(&format!("{}  {}", i + 1, piece.name), Weight::Bold, room);
        for line in caption.lines() {
            cell.words(line, Weight::Plain, room);
        }
        if own != scale {
            cell.words(&format!("drawn at 1:{own}"), Weight::Bold, room);
        }
        for said in about {
            cell.words(&format!("! {said}"), Weight::Plain, room);
        }
        tallest = tallest.max(cell.height);
        let group = cell.placed(MARGIN + at as f64 * column, y);
        drawn = drawn.add(group.set("id", format!("piece-{}", i + 1)).set("class", "piece"));
        at += columns;
    }
    document(drawn, y + tallest + MARGIN, &title(pattern, settings))
}

fn title(pattern: &Pattern, settings: &JobSettings) -> String {
    let name = settings.name.as_ref().or(pattern.name.as_ref());
    format!("Contact sheet: {}", name.map_or("pattern", String::as_str))
}

fn document(drawn: Group, height: f64, title: &str) -> String {
    let (width, height) = (mm(WIDTH), mm(height));
    let document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", FONTS)
        .add(lettering::told("title", title))
        .add(Rectangle::new().set("width", width).set("height", height).set("fill", "#ffffff"))
        .add(drawn);
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
}

/// The largest scale at which every piece has room.
fn common_scale(portraits: &[Portrait<'_>]) -> f64 {
    let fits = |scale: &f64| {
        portraits.iter().all(|p| p.width() / scale <= LARGEST.0 && p.height() / scale <= LARGEST.1)
    };
    SCALES.into_iter().find(fits).unwrap_or_else(|| {
        // A piece of more than a hundred metres is refused elsewhere; this only keeps the sheet finite.
        portraits
            .iter()
            .map(|p| (p.width() / LARGEST.0).max(p.height() / LARGEST.1))
            .fold(1.0, f64::max)
            .ceil()
    })
}

/// The common scale, or for a piece that would come out too small to read the first larger one at which it does not.
fn own_scale(portrait: &Portrait<'_>, scale: f64) -> f64 {
    let long = portrait.width().max(portrait.height());
    let mut scales = SCALES.into_iter().rev().filter(|s| *s <= scale);
    scales.find(|s| long / s >= LEAST).unwrap_or(scale.min(1.0))
}

/// Is the warning about a piece of this name, in one of its sizes or in all?
fn concerns(warning: &Warning, name: &str) -> bool {
    warning.places.iter().any(|place| {
        place == name || place.strip_prefix(name).is_some_and(|rest| rest.starts_with(", size "))
    })
}

/// Title, scale with a bar to measure, key, sizes, and what was assumed of the file as a whole.
fn head(import: &Import, settings: &JobSettings, shown: Option<&str>, scale: f64) -> Part {
    let pattern = &import.pattern;
    let mut part = Part::new();
    let name = shortened(&title(pattern, settings), Weight::Bold, ROOM / 6.0);
    part.put(lettering::text(&name, (0.0, 5.5), 6.0, Weight::Bold, Anchor::Start));
    part.height = 8.0;
    let pieces = match pattern.pieces.len() {
        1 => "1 piece".to_owned(),
        n => format!("{n} pieces"),
    };
    part.words(
        &format!(
            "{pieces} as understood. Compare each with the pattern, its length above all, before cloth is cut. Every piece \
             is turned so that its grainline points up, from its bottom to its top, printed side up; it is as long as it is \
             high here."
        ),
        Weight::Plain,
        ROOM,
    );
    part.height += 2.0;
    scale_bar(&mut part, pattern, scale);
    part.height += 3.0;
    key(&mut part, pattern);
    if !pattern.sizes.is_empty() {
        part.height += 3.0;
        sizes(&mut part, &pattern.sizes, shown);
    }
    let general: Vec<&Warning> = import
        .warnings
        .iter()
        .filter(|w| !pattern.pieces.iter().any(|piece| concerns(w, &piece.name)))
        .collect();
    if !general.is_empty() {
        part.height += 2.0;
        part.words("Assumed", Weight::Bold, ROOM);
        general.iter().for_each(|warning| part.words(&format!("! {warning}"), Weight::Plain, ROOM));
    }
    left_out(&mut part, &import.left_out);
    part.height += 2.0;
    part.put(rule(0.0, part.height, ROOM, 0.3));
    part
}

fn left_out(part: &mut Part, pieces: &[LeftOut]) {
    if pieces.is_empty() {
        return;
    }
    part.height += 2.0;
    part.words("Left out: not in the job file", Weight::Bold, ROOM);
    pieces.iter().for_each(|piece| part.words(&format!("! {piece}"), Weight::Plain, ROOM));
}

fn rule(x: f64, y: f64, to: f64, width: f64) -> Rule {
    Rule::new()
        .set("x1", mm(x))
        .set("y1", mm(y))
        .set("x2", mm(to))
        .set("y2", mm(y))
        .set("stroke", INK)
        .set("stroke-width", mm(width))
}

/// A bar of 50 mm, and what it stands for.
fn scale_bar(part: &mut Part, pattern: &Pattern, scale: f64) {
    const BAR: f64 = 50.0;
    let y = part.height + 3.0;
    let bar =
        Group::new().set("id", "scale-bar").add(rule(0.0, y, BAR, 0.4)).add(tick(0.0, y)).add(tick(BAR, y));
    part.put(bar);
    let length = Length::from_mm(BAR * scale).map(|length| measure(length, pattern.unit));
    let told = format!(
        "drawn at 1:{scale} where nothing else is said: this bar, 50 mm on paper, is {} of the pattern",
        length.unwrap_or_else(|_| "more than 100 m".to_owned())
    );
    for (i, line) in wrapped(&told, Weight::Plain, (ROOM - BAR - 4.0) / TEXT).iter().enumerate() {
        let foot = (BAR + 4.0, y + LEADING * i as f64);
        part.put(lettering::text(line, foot, TEXT, Weight::Plain, Anchor::Start));
    }
    part.height += 10.0;
}

fn tick(x: f64, y: f64) -> Rule {
    Rule::new()
        .set("x1", mm(x))
        .set("x2", mm(x))
        .set("y1", mm(y - 1.5))
        .set("y2", mm(y + 1.5))
        .set("stroke", INK)
        .set("stroke-width", "0.4")
}

/// A sample of each kind of mark; of the rare ones where they are there.
fn key(part: &mut Part, pattern: &Pattern) {
    let shapes = || pattern.pieces.iter().flat_map(|piece| &piece.shapes).map(|(_, shape)| shape);
    let marks = [
        (Mark::Outline, "outline", true),
        (Mark::Stitching, "outline with an allowance around it", pattern.pieces.iter().any(|p| p.seam > 0.0)),
        (Mark::Grainline, "grainline, to the top", true),
        (Mark::Fold, "edge on a fold", true),
        (Mark::Notch, "notch", true),
        (Mark::CarriedNotch, "notch placed as in another size", shapes().any(|shape| shape.carried.notches)),
        (Mark::DrillHole, "drill hole", true),
        (
            Mark::CarriedHole,
            "hole placed as in another size",
            shapes().any(|shape| shape.carried.drill_holes),
        ),
        (Mark::Line, "line drawn on it", true),
    ];
    let mut x = 0.0;
    let mut y = part.height + 2.5;
    for (mark, words, _) in marks.into_iter().filter(|(_, _, is_there)| *is_there) {
        let wide = 11.5 + lettering::width(words, Weight::Plain) * TEXT;
        if x + wide > ROOM + 2.5 {
            x = 0.0;
            y += 5.5;
        }
        part.put(sample(mark, x, y));
        let text: Element = lettering::text(words, (x + 9.0, y + 1.0), TEXT, Weight::Plain, Anchor::Start);
        part.put(text);
        x += wide;
    }
    part.height = y + 2.5;
}

/// Which size has which weight of line.
fn sizes(part: &mut Part, sizes: &[String], shown: Option<&str>) {
    let mut x = 0.0;
    let mut y = part.height + 2.5;
    for (i, size) in sizes.iter().enumerate() {
        let said = if shown == Some(size) { format!("{size} (grainline shown)") } else { size.clone() };
        let said = shortened(&said, Weight::Plain, 30.0);
        let wide = 12.0 + lettering::width(&said, Weight::Plain) * TEXT + 3.0;
        if x + wide > ROOM {
            x = 0.0;
            y += 5.0;
        }
        part.put(rule(x, y, x + 8.0, portrait::weight(i, sizes.len())));
        part.put(lettering::text(&said, (x + 10.0, y + 1.0), TEXT, Weight::Plain, Anchor::Start));
        x += wide;
    }
    part.height = y + 2.5;
}
