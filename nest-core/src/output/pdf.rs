//! PDF at true size: one long page, or pages of household paper with overlaps and marks to put them together.
//!
//! # Frame and units
//! A PDF's unit is 1/72 in. Readers need not accept pages larger than 14 400 units (200 in, 5.08 m; ISO 32000-1, annex C).
//! The format has a larger unit for larger pages, but printers' programs are known to pass over it, which would spoil the
//! size unseen; so a longer lay comes on several long pages that overlap, like pages of any other paper.

use std::collections::BTreeMap;

use pdf_writer::{Content, Finish, Name, Pdf, Rect, Ref};
use resvg::usvg::Options;
use svg::node::element::{Group, Path, Rectangle};
use svg2pdf::ConversionOptions;

use super::PrintFault;
use super::face::{options, tree};
use super::linework::LineWork;
use super::paper::{Paper, Tiling};
use super::searchable::{self, Words};
use super::sheet::{self, Sheet};
use crate::check::Checked;
use crate::draw::ink::{FONTS, INK, mm};
use crate::draw::lettering::{self, Anchor, Weight};
use crate::job::Job;

/// The longest page, in millimetres: 200 in, less something for programs that round.
const LONGEST: f64 = 5000.0;
/// White around the picture on a page of household paper: more than printers leave unprinted.
const MARGIN: f64 = 12.0;
/// What neighbouring pages both show.
const OVERLAP: f64 = 15.0;

/// The lay in lines at true size on one long page; on several, where it is longer than 5 m.
///
/// # Errors
/// When the drawing is too large for the PDF writer.
pub fn whole(job: &Job, checked: &Checked) -> Result<Vec<u8>, PrintFault> {
    long(&sheet::paper(job, checked))
}

/// What a projector shows, at true size on one page; on several, where it is longer than 5 m.
///
/// # Errors
/// When the drawing is too large for the PDF writer.
pub fn projector(job: &Job, checked: &Checked) -> Result<Vec<u8>, PrintFault> {
    long(&sheet::projector(job, checked))
}

fn long(sheet: &Sheet) -> Result<Vec<u8>, PrintFault> {
    let mut pages = Pages::new();
    let picture = pages.picture(&sheet.svg())?;
    if sheet.width <= LONGEST && sheet.height <= LONGEST {
        pages.page((sheet.width, sheet.height), &[Put::full(picture, (sheet.width, sheet.height))]);
        return pages.finish();
    }
    // Without a margin there would be no room for the names of the pages.
    let paper = (LONGEST.min(sheet.width + 2.0 * MARGIN), LONGEST.min(sheet.height + 2.0 * MARGIN));
    let tiling = Tiling::new((sheet.width, sheet.height), paper, MARGIN, OVERLAP);
    tiles(&mut pages, picture, (sheet.width, sheet.height), &tiling, |_, _| true)?;
    pages.finish()
}

/// The lay in lines at true size, cut into pages: first a map of the pages with squares to measure, then every page on
/// which a piece lies.
///
/// # Errors
/// When the drawing is too large for the PDF writer.
pub fn tiled(job: &Job, checked: &Checked, paper: Paper) -> Result<Vec<u8>, PrintFault> {
    let sheet = sheet::bare(job, checked);
    let size = (sheet.width, sheet.height);
    let tiling = Tiling::new(size, paper.size(), MARGIN, OVERLAP);
    let lines = LineWork::new(job, checked);
    let boxes: Vec<[f64; 4]> = lines.pieces.iter().map(|p| extent(p, lines.width)).collect();
    let (wide, high) = tiling.window();
    let printed = |column: usize, row: usize| {
        let (x, y) = tiling.corner(column, row);
        boxes.iter().any(|b| b[0] <= x + wide && b[2] >= x && b[1] <= y + high && b[3] >= y)
    };

    let mut pages = Pages::new();
    let picture = pages.picture(&sheet.svg())?;
    let map = pages.picture(&map(job, checked, &tiling, size, paper.size(), &printed))?;
    let scale = map_scale(size, paper.size());
    let (x, y) = MAP_CORNER;
    let small = Put { picture, corner: (x, y), size: (size.0 * scale, size.1 * scale), window: None };
    pages.page(paper.size(), &[small, Put::full(map, paper.size())]);
    tiles(&mut pages, picture, size, &tiling, printed)?;
    pages.finish()
}

/// Pages of one paper, each drawn already.
pub(super) fn bound(drawn: &[String], paper: Paper) -> Result<Vec<u8>, PrintFault> {
    let mut pages = Pages::new();
    for page in drawn {
        let picture = pages.picture(page)?;
        pages.page(paper.size(), &[Put::full(picture, paper.size())]);
    }
    pages.finish()
}

/// Left, top, right and bottom of a piece on the sheet.
fn extent(piece: &super::linework::PieceLines, width: f64) -> [f64; 4] {
    let points = piece.strokes.iter().flat_map(|s| &s.points);
    points.fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |b, p| {
        let y = width - p.1;
        [b[0].min(p.0), b[1].min(y), b[2].max(p.0), b[3].max(y)]
    })
}

/// A page for every tile that is to be printed.
fn tiles(
    pages: &mut Pages,
    picture: Ref,
    size: (f64, f64),
    tiling: &Tiling,
    printed: impl Fn(usize, usize) -> bool,
) -> Result<(), PrintFault> {
    let (wide, high) = tiling.window();
    let margin = tiling.margin;
    for row in 0..tiling.rows {
        for column in (0..tiling.columns).filter(|&column| printed(column, row)) {
            let (x, y) = tiling.corner(column, row);
            let marks = pages.picture(&marks(tiling, column, row))?;
            let part = Put {
                picture,
                corner: (margin - x, margin - y),
                size,
                window: Some((margin, margin, wide, high)),
            };
            pages.page(tiling.page, &[part, Put::full(marks, tiling.page)]);
        }
    }
    Ok(())
}

fn document(size: (f64, f64), drawn: Group) -> String {
    let (width, height) = (mm(size.0), mm(size.1));
    svg::Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", FONTS)
        .add(drawn)
        .to_string()
}

fn thin(data: String) -> Path {
    Path::new().set("d", data).set("fill", "none").set("stroke", INK).set("stroke-width", "0.2")
}

/// The frame, name and alignment marks of a page.
fn marks(tiling: &Tiling, column: usize, row: usize) -> String {
    let (wide, high) = tiling.window();
    let (left, top) = (tiling.margin, tiling.margin);
    let (right, foot) = (left + wide, top + high);
    let overlap = tiling.overlap;
    let mut group = Group::new();
    let frame = Rectangle::new()
        .set("x", mm(left))
        .set("y", mm(top))
        .set("width", mm(wide))
        .set("height", mm(high))
        .set("fill", "none")
        .set("stroke", INK)
        .set("stroke-width", "0.2");
    group = group.add(frame);
    // Where the next page begins, dotted; crosses in the middle of what both show lie at the same place on both.
    let (has_left, has_right) = (column > 0, column + 1 < tiling.columns);
    let (has_top, has_foot) = (row > 0, row + 1 < tiling.rows);
    let (mut dotted, mut crosses) = (String::new(), String::new());
    let mut cross = |x: f64, y: f64| {
        crosses.push_str(&format!(
            "M{},{} L{},{} M{},{} L{},{}",
            mm(x - 4.0),
            mm(y),
            mm(x + 4.0),
            mm(y),
            mm(x),
            mm(y - 4.0),
            mm(x),
            mm(y + 4.0)
        ));
    };
    for (there, x) in [(has_left, left + overlap), (has_right, right - overlap)] {
        if there {
            dotted.push_str(&format!("M{},{} L{},{}", mm(x), mm(top), mm(x), mm(foot)));
            let middle = if x < (left + right) / 2.0 { left + overlap / 2.0 } else { right - overlap / 2.0 };
            for share in [0.25, 0.75] {
                cross(middle, top + high * share);
            }
        }
    }
    for (there, y) in [(has_top, top + overlap), (has_foot, foot - overlap)] {
        if there {
            dotted.push_str(&format!("M{},{} L{},{}", mm(left), mm(y), mm(right), mm(y)));
            let middle = if y < (top + foot) / 2.0 { top + overlap / 2.0 } else { foot - overlap / 2.0 };
            for share in [0.25, 0.75] {
                cross(left + wide * share, middle);
            }
        }
    }
    group =
        group.add(thin(dotted).set("stroke-dasharray", "0.4 1.6")).add(thin(crosses).set("class", "crosses"));
    let name = Tiling::name(column, row);
    let next = [
        (has_left, "left", column.wrapping_sub(1), row),
        (has_right, "right", column + 1, row),
        (has_top, "above", column, row.wrapping_sub(1)),
        (has_foot, "below", column, row + 1),
    ];
    let next: Vec<String> = next
        .iter()
        .filter(|n| n.0)
        .map(|&(_, side, c, r)| format!("{side} {}", Tiling::name(c, r)))
        .collect();
    let foot = foot + 5.5;
    group = group.add(lettering::text(&name, (left, foot), 5.0, Weight::Bold, Anchor::Start));
    let told = format!(
        "column {} of {}, row {} of {}. {}",
        column + 1,
        tiling.columns,
        row + 1,
        tiling.rows,
        next.join(", ")
    );
    group = group.add(lettering::text(&told, (left + 16.0, foot), 3.2, Weight::Plain, Anchor::Start));
    document(tiling.page, group)
}

/// Where the map begins on its page: under the title and the squares.
const MAP_CORNER: (f64, f64) = (MARGIN, 150.0);

/// How much smaller the map is than the lay.
fn map_scale(size: (f64, f64), paper: (f64, f64)) -> f64 {
    ((paper.0 - 2.0 * MARGIN) / size.0).min((paper.1 - MAP_CORNER.1 - MARGIN - 8.0) / size.1)
}

/// The first page: what it is, squares to measure, and which page shows what.
fn map(
    job: &Job,
    checked: &Checked,
    tiling: &Tiling,
    size: (f64, f64),
    paper: (f64, f64),
    printed: &impl Fn(usize, usize) -> bool,
) -> String {
    let mut group = Group::new();
    let title = lettering::shortened(&job.name, Weight::Bold, 26.0);
    group = group.add(lettering::text(&title, (MARGIN, 18.0), 6.0, Weight::Bold, Anchor::Start));
    let caption = crate::draw::Caption::of(job, checked);
    let spread: Vec<&str> = checked.marker().spread.sections.iter().map(|s| s.family.title()).collect();
    let told = format!(
        "{}: {}; cloth width {}, lay length {}",
        checked.marker().cloth,
        spread.join(", then "),
        caption.width,
        caption.lay_length
    );
    let told = lettering::shortened(&told, Weight::Plain, 48.0);
    group = group.add(lettering::text(&told, (MARGIN, 25.0), 3.8, Weight::Plain, Anchor::Start));
    group = group.add(test_squares());
    let pages = (0..tiling.rows)
        .map(|row| (0..tiling.columns).filter(|&column| printed(column, row)).count())
        .sum::<usize>();
    let words = [
        "Print at 100 %, not fitted to the page.".to_owned(),
        "Then measure the square at the left:".to_owned(),
        "the full line is 100 mm long,".to_owned(),
        "the dashed one 4 in.".to_owned(),
        String::new(),
        format!("{pages} pages follow, in {} rows of {}.", tiling.rows, tiling.columns),
        "Pages without a piece are left out.".to_owned(),
        "Trim a page along its frame where".to_owned(),
        "it lies on another; lay cross on cross;".to_owned(),
        "the dotted line shows how far.".to_owned(),
    ];
    for (i, line) in words.iter().enumerate() {
        let place = (SQUARES.0 + 106.0, 38.0 + 6.0 * i as f64);
        group = group.add(lettering::text(line, place, 3.8, Weight::Plain, Anchor::Start));
    }
    let title_at = (MARGIN, MAP_CORNER.1 - 4.0);
    group = group.add(lettering::text("Map of the pages", title_at, 4.5, Weight::Bold, Anchor::Start));
    for row in 0..tiling.rows {
        for column in 0..tiling.columns {
            group = group.add(map_tile(
                tiling,
                (column, row),
                size,
                map_scale(size, paper),
                printed(column, row),
            ));
        }
    }
    document(paper, group)
}

/// The lower left corner of both test squares, which stand on one: there is no room for them side by side on the narrowest
/// paper.
const SQUARES: (f64, f64) = (MARGIN, 30.0 + 101.6);

/// Squares of 100 mm and, dashed, of 4 in, on one lower left corner.
fn test_squares() -> Group {
    [(100.0, ""), (101.6, "2 1")].into_iter().fold(Group::new(), |group, (side, dashes)| {
        let square = Rectangle::new()
            .set("class", "test-square")
            .set("x", mm(SQUARES.0))
            .set("y", mm(SQUARES.1 - side))
            .set("width", mm(side))
            .set("height", mm(side))
            .set("fill", "none")
            .set("stroke", INK)
            .set("stroke-width", "0.2");
        group.add(if dashes.is_empty() { square } else { square.set("stroke-dasharray", dashes) })
    })
}

/// One page on the map, `at` column and row: its frame, and its name where it is printed.
fn map_tile(tiling: &Tiling, at: (usize, usize), size: (f64, f64), scale: f64, is_printed: bool) -> Group {
    let (column, row) = at;
    let (x, y) = tiling.corner(column, row);
    // What a page shows of its neighbour is left out: one line between two pages.
    let next = tiling.corner(column + 1, row + 1);
    let right = if column + 1 < tiling.columns { next.0 } else { size.0 };
    let foot = if row + 1 < tiling.rows { next.1 } else { size.1 };
    let (left, top) = (MAP_CORNER.0 + x * scale, MAP_CORNER.1 + y * scale);
    let (width, height) = ((right - x) * scale, (foot - y) * scale);
    let frame = Rectangle::new()
        .set("x", mm(left))
        .set("y", mm(top))
        .set("width", mm(width))
        .set("height", mm(height))
        .set("fill", if is_printed { "none" } else { "#dddddd" })
        .set("fill-opacity", "0.7")
        .set("stroke", INK)
        .set("stroke-width", "0.15");
    let tile = Group::new().add(frame);
    if !is_printed {
        return tile;
    }
    let name = Tiling::name(column, row);
    let type_size = (width / (lettering::width(&name, Weight::Bold) + 0.4)).min(5.0).min(height * 0.6);
    let place = (left + width / 2.0, top + height / 2.0 + type_size * lettering::CAPITAL / 2.0);
    let halo = Group::new()
        .set("stroke", "#ffffff")
        .set("stroke-width", mm(type_size * 0.25))
        .set("paint-order", "stroke");
    tile.add(halo.add(lettering::text(&name, place, type_size, Weight::Bold, Anchor::Middle)))
}

/// A picture put on a page: its upper left corner and its size there, in millimetres from the page's upper left corner, and
/// the window (left, top, width, height) it is seen through.
struct Put {
    picture: Ref,
    corner: (f64, f64),
    size: (f64, f64),
    window: Option<(f64, f64, f64, f64)>,
}

impl Put {
    fn full(picture: Ref, size: (f64, f64)) -> Put {
        Put { picture, corner: (0.0, 0.0), size, window: None }
    }
}

/// A PDF being written. Pictures are stored once, however many pages show a part of them.
struct Pages {
    pdf: Pdf,
    next: Ref,
    catalog: Ref,
    tree: Ref,
    pages: Vec<Ref>,
    options: Options<'static>,
    /// The words on each picture.
    lines: BTreeMap<i32, Vec<searchable::Line>>,
    words: Words,
}

/// Millimetres to points.
fn points(mm: f64) -> f32 {
    (mm * 72.0 / 25.4) as f32
}

impl Pages {
    fn new() -> Pages {
        let mut next = Ref::new(1);
        let (catalog, tree, face) = (next.bump(), next.bump(), next.bump());
        Pages {
            pdf: Pdf::new(),
            next,
            catalog,
            tree,
            pages: Vec::new(),
            options: options(),
            lines: BTreeMap::new(),
            words: Words::new(face),
        }
    }

    /// Stores a drawing. Its words become outlines: the PDF writer embeds faces in an order that changes from run to run,
    /// and the same drawing is to give the same bytes. What they say is set unseen on every page.
    fn picture(&mut self, svg: &str) -> Result<Ref, PrintFault> {
        let tree = tree(svg, &self.options)?;
        let conversion = ConversionOptions { embed_text: false, ..ConversionOptions::default() };
        let (chunk, picture) =
            svg2pdf::to_chunk(&tree, conversion).map_err(|e| PrintFault::Drawing(e.to_string()))?;
        let mut names = BTreeMap::new();
        let next = &mut self.next;
        let chunk = chunk.renumber(|old| *names.entry(old.get()).or_insert_with(|| next.bump()));
        self.pdf.extend(&chunk);
        let picture = names.get(&picture.get()).copied().unwrap_or(picture);
        self.lines.insert(picture.get(), searchable::lines(&tree));
        Ok(picture)
    }

    fn page(&mut self, size: (f64, f64), puts: &[Put]) {
        let (page, contents) = (self.next.bump(), self.next.bump());
        let mut content = Content::new();
        for (i, put) in puts.iter().enumerate() {
            content.save_state();
            if let Some((x, y, wide, high)) = put.window {
                content.rect(points(x), points(size.1 - y - high), points(wide), points(high));
                content.clip_nonzero();
                content.end_path();
            }
            // The picture is a unit square standing on its lower left corner.
            let foot = size.1 - put.corner.1 - put.size.1;
            content.transform([
                points(put.size.0),
                0.0,
                0.0,
                points(put.size.1),
                points(put.corner.0),
                points(foot),
            ]);
            content.x_object(Name(format!("P{i}").as_bytes()));
            content.restore_state();
        }
        for put in puts {
            let pt = |mm: f64| f64::from(points(mm));
            let corner = (pt(put.corner.0), pt(size.1 - put.corner.1));
            let drawn = (pt(put.size.0), pt(put.size.1));
            let shown = |(x, y): (f64, f64)| {
                let (left, top, wide, high) = put.window.unwrap_or((0.0, 0.0, size.0, size.1));
                let foot = size.1 - top - high;
                (pt(left)..=pt(left + wide)).contains(&x) && (pt(foot)..=pt(foot + high)).contains(&y)
            };
            let lines = self.lines.get(&put.picture.get()).map_or(&[][..], Vec::as_slice);
            self.words.set(&mut content, lines, (corner, drawn), shown);
        }
        self.pdf.stream(contents, &content.finish());
        let mut writer = self.pdf.page(page);
        writer.media_box(Rect::new(0.0, 0.0, points(size.0), points(size.1)));
        writer.parent(self.tree);
        writer.contents(contents);
        let mut resources = writer.resources();
        let mut objects = resources.x_objects();
        for (i, put) in puts.iter().enumerate() {
            objects.pair(Name(format!("P{i}").as_bytes()), put.picture);
        }
        objects.finish();
        self.words.resources(&mut resources);
        resources.finish();
        writer.finish();
        self.pages.push(page);
    }

    fn finish(mut self) -> Result<Vec<u8>, PrintFault> {
        self.pdf.catalog(self.catalog).pages(self.tree);
        let count = i32::try_from(self.pages.len()).unwrap_or(i32::MAX);
        self.pdf.pages(self.tree).kids(self.pages.iter().copied()).count(count);
        self.words.finish(&mut self.pdf, &mut self.next)?;
        Ok(self.pdf.finish())
    }
}
