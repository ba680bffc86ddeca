//! From a pattern to a job file that a person can go on with.

use std::collections::BTreeSet;

use super::Import;
use super::fault::ImportError;
use super::line::Line;
use super::pattern::{Pattern, PatternPiece, PatternShape};
use super::warning::Notes;
use super::words::tidy_name;
use crate::geometry::DrawnPoint;
use crate::job::file::{
    BySize, ClothFile, FileUnit, GrainName, JobFile, OrderLineFile, Outline, PieceFile, ShapeFile, VERSION,
    ViewFile, YAxis,
};
use crate::job::{Job, Problem};
use crate::length::{Length, Unit};
use crate::piece::Grain;

/// What a job needs that no pattern file tells.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobSettings {
    /// What the job is called. Default: what the pattern is called.
    pub name: Option<String>,
    /// The unit that the job file speaks: millimetres, centimetres or inches. Default: the pattern's own.
    pub unit: Option<Unit>,
    /// The width of every cloth. Default: 150 cm, or 60 in; to be corrected in the job file.
    pub width: Option<Length>,
    /// The size of the one garment that is ordered. Default: the base size, or else the middle one, of those in which all
    /// pieces are there.
    pub size: Option<String>,
}

/// The kind of cloth of pieces that name none.
const MAIN_CLOTH: &str = "self";

impl Import {
    /// The job file: every piece that was understood, one garment of it, and a cloth of each kind that it is cut from.
    ///
    /// # Frame and units
    /// Each piece in a frame of its own, y up, its lowest corner at the origin; coordinates rounded to 0.001 mm or 0.0001 in.
    pub fn job_file(&self, settings: &JobSettings) -> JobFile {
        job_file(&self.pattern, settings)
    }
}

pub(super) fn job_file(pattern: &Pattern, settings: &JobSettings) -> JobFile {
    let unit = settings.unit.unwrap_or(pattern.unit);
    let pen = Pen::of(unit);
    let mut ids = BTreeSet::new();
    let pieces: Vec<PieceFile> =
        pattern.pieces.iter().map(|piece| piece_file(piece, &pen, &mut ids)).collect();
    let mut kinds: Vec<String> = Vec::new();
    for piece in &pieces {
        let kind = piece.cloth.clone().unwrap_or_else(|| MAIN_CLOTH.to_owned());
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    let default_width = if pen.file_unit == FileUnit::Inch { 60.0 * 25.4 } else { 1500.0 };
    let width = pen.number(settings.width.map_or(default_width, Length::mm));
    let size = ordered_size(pattern, settings);
    let views = view_of(pattern, &pieces, size.as_ref());
    JobFile {
        schema: None,
        version: f64::from(VERSION),
        name: settings
            .name
            .clone()
            .or_else(|| pattern.name.clone())
            .map(|name| tidy_name(&name))
            .filter(|n| !n.is_empty()),
        units: pen.file_unit,
        y_axis: YAxis::Up,
        sizes: (!pattern.sizes.is_empty()).then(|| pattern.sizes.clone()),
        pieces,
        order: Some(vec![OrderLineFile {
            view: views.first().map(|view| view.name.clone()),
            size,
            garments: Some(1.0),
        }]),
        views: (!views.is_empty()).then_some(views),
        cloths: kinds.into_iter().map(|kind| cloth(kind, width)).collect(),
        spacing: 0.0,
        curve_tolerance: None,
        spreads: None,
    }
}

/// Is the piece there in a size, or the same in all?
fn is_there_in(piece: &PatternPiece, size: &String) -> bool {
    piece.shapes.iter().any(|(s, _)| s.as_ref().is_none_or(|s| s == size))
}

/// The size of the garment that is ordered: as asked; or the base size, the middle one or any other, the first of them in
/// which most pieces are there.
pub(super) fn ordered_size(pattern: &Pattern, settings: &JobSettings) -> Option<String> {
    if let Some(asked) = settings.size.as_ref().filter(|size| pattern.sizes.contains(size)) {
        return Some(asked.clone());
    }
    let pieces = |size: &String| pattern.pieces.iter().filter(|piece| is_there_in(piece, size)).count();
    let middle = pattern.sizes.get(pattern.sizes.len() / 2);
    let base = pattern.base_size.as_ref().filter(|base| pattern.sizes.contains(base));
    let mut best: Option<&String> = None;
    for size in base.into_iter().chain(middle).chain(&pattern.sizes) {
        if best.is_none_or(|best| pieces(size) > pieces(best)) {
            best = Some(size);
        }
    }
    best.cloned()
}

/// A view of the pieces that are there in a size, when some are not: then what is ordered can be laid all the same.
fn view_of(pattern: &Pattern, files: &[PieceFile], size: Option<&String>) -> Vec<ViewFile> {
    let Some(size) = size else { return Vec::new() };
    let there =
        |(piece, file): (&PatternPiece, &PieceFile)| is_there_in(piece, size).then(|| file.id.clone());
    let pieces: Vec<String> = pattern.pieces.iter().zip(files).filter_map(there).collect();
    if pieces.len() == files.len() || pieces.is_empty() {
        return Vec::new();
    }
    vec![ViewFile { name: tidy_name(&format!("all in size {size}")), pieces }]
}

fn cloth(kind: String, width: f64) -> ClothFile {
    ClothFile {
        kind: Some(kind),
        width,
        selvage: 0.0,
        nap: Default::default(),
        form: Default::default(),
        shrinkage: None,
        end_allowance: 0.0,
        straightening: 0.0,
        sale: None,
        price: None,
        length_in_hand: None,
        spare_copies: false,
        flaws: Vec::new(),
        remnants: Vec::new(),
    }
}

fn piece_file(piece: &PatternPiece, pen: &Pen, ids: &mut BTreeSet<String>) -> PieceFile {
    let mut file = PieceFile {
        id: new_id(&piece.name, ids),
        name: Some(piece.name.clone()),
        cloth: piece.cloth.clone(),
        cut: Some(f64::from(piece.cut)),
        pairs: piece.pairs,
        grain: match piece.grain {
            Grain::Lengthwise => GrainName::Lengthwise,
            Grain::Crosswise => GrainName::Crosswise,
            Grain::Either => GrainName::Either,
        },
        seam_allowance: pen.number(piece.seam),
        ..PieceFile::default()
    };
    match &piece.shapes[..] {
        // The same in every size.
        [(None, shape)] => {
            let shape = pen.shape(shape);
            file.outline = Some(shape.outline);
            file.grainline = shape.grainline;
            file.fold_edge = shape.fold_edge;
            file.notches = shape.notches;
            file.drill_holes = shape.drill_holes;
            file.internal_lines = shape.internal_lines;
        }
        shapes => {
            let by_size = shapes.iter().flat_map(|(size, shape)| Some((size.clone()?, pen.shape(shape))));
            file.sizes = Some(BySize(by_size.collect()));
        }
    }
    file
}

/// A name as an id: small letters, digits and hyphens, and none that was given before.
fn new_id(name: &str, ids: &mut BTreeSet<String>) -> String {
    let plain: String =
        name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).take(60).collect();
    let stem = plain.split_whitespace().collect::<Vec<_>>().join("-");
    let stem = if stem.is_empty() { "piece".to_owned() } else { stem };
    let mut id = stem.clone();
    let mut number = 2;
    while !ids.insert(id.clone()) {
        id = format!("{stem}-{number}");
        number += 1;
    }
    id
}

/// Writes lengths in the unit of the file.
struct Pen {
    file_unit: FileUnit,
    mm: f64,
    /// Parts of the unit to which numbers are rounded: 0.001 mm or 0.0001 in.
    parts: f64,
}

impl Pen {
    fn of(unit: Unit) -> Pen {
        let (file_unit, unit, parts) = match unit {
            Unit::Inch | Unit::Yard => (FileUnit::Inch, Unit::Inch, 1e4),
            Unit::Cm => (FileUnit::Cm, Unit::Cm, 1e4),
            Unit::Mm | Unit::M => (FileUnit::Mm, Unit::Mm, 1e3),
        };
        Pen { file_unit, mm: unit.mm(), parts }
    }

    fn number(&self, mm: f64) -> f64 {
        // Adding zero turns a negative zero into zero.
        (mm / self.mm * self.parts).round() / self.parts + 0.0
    }

    fn point(&self, p: DrawnPoint) -> [f64; 2] {
        [self.number(p.x), self.number(p.y)]
    }

    fn points(&self, points: &[DrawnPoint]) -> Vec<[f64; 2]> {
        let mut written: Vec<[f64; 2]> = points.iter().map(|&p| self.point(p)).collect();
        written.dedup();
        written
    }

    fn shape(&self, shape: &PatternShape) -> ShapeFile {
        let low = shape.frame().low.to_vec2();
        let shape = shape.mapped(|p| p - low);
        let line = |line: &Line| {
            let mut points = self.points(&line.points);
            if line.closed {
                points.extend(points.first().copied());
            }
            // What is shorter than the rounding is a dot.
            if points.len() == 1 {
                points.push(points[0]);
            }
            points
        };
        ShapeFile {
            outline: Outline::Points(self.points(&shape.outline)),
            grainline: shape.grainline.map(|ends| ends.map(|p| self.point(p))),
            fold_edge: shape.fold.map(|ends| ends.map(|p| self.point(p))),
            notches: self.points(&shape.notches),
            drill_holes: self.points(&shape.drill_holes),
            internal_lines: shape.lines.iter().map(line).collect(),
        }
    }
}

/// Leaves out every piece, or every size of one, that the reader of job files would refuse: what is written can be laid.
///
/// # Complexity
/// That of reading the job file.
pub(super) fn leave_out_what_no_job_takes(pattern: &mut Pattern, notes: &mut Notes) {
    let sizes = pattern.sizes.clone();
    for piece in &mut pattern.pieces {
        let (name, seam) = (piece.name.clone(), piece.seam);
        piece.shapes.retain(|(size, shape)| match problems(shape, seam) {
            problems if problems.is_empty() => true,
            problems => {
                let place = match size {
                    Some(size) => format!("{name}, size {size}"),
                    None => name.clone(),
                };
                let told: Vec<String> = problems.iter().map(|p| p.kind.to_string()).collect();
                notes.leave_out(place, told.join("; "));
                false
            }
        });
    }
    pattern.pieces.retain(|piece| !piece.shapes.is_empty());
    let used = |size: &String| {
        pattern.pieces.iter().any(|piece| piece.shapes.iter().any(|(s, _)| s.as_ref() == Some(size)))
    };
    pattern.sizes = sizes.into_iter().filter(used).collect();
}

/// Proves that the whole is a job: pieces that are well each by itself can be too many together.
///
/// # Errors
/// With the first things that are wrong.
///
/// # Complexity
/// That of reading the job file.
pub(super) fn proved(import: &Import) -> Result<(), ImportError> {
    if import.pattern.pieces.is_empty() {
        return Ok(());
    }
    let Err(problems) = Job::of_file(&import.job_file(&JobSettings::default())) else { return Ok(()) };
    let told: Vec<String> = problems.iter().take(3).map(ToString::to_string).collect();
    Err(ImportError::NoJob(told.join("; ")))
}

/// What the reader of job files says of a shape.
fn problems(shape: &PatternShape, seam: f64) -> Vec<Problem> {
    let piece = PatternPiece {
        name: "alone".to_owned(),
        cloth: None,
        cut: 1,
        pairs: false,
        grain: Grain::Lengthwise,
        seam,
        shapes: vec![(None, shape.clone())],
    };
    let alone =
        Pattern { name: None, unit: Unit::Mm, sizes: Vec::new(), base_size: None, pieces: vec![piece] };
    Job::of_file(&job_file(&alone, &JobSettings::default())).err().unwrap_or_default()
}
