//! Patterns by ASTM D6673 and ANSI/AAMA-292: a block for each piece in each size, and a layer for each kind of line.
//!
//! What real files hold is in the comments beside the layers; "in all six files" speaks of six public sample files of 28 to
//! 255 blocks that were looked at.

use std::collections::BTreeMap;

use super::carry::{Carrying, MOST_MARKS};
use super::curves::Tolerance;
use super::keys::{PieceTexts, Quantity, StyleTexts, quantity};
use super::tags::File;
use super::things::{Insertion, Kind, Thing, things};
use super::{header_unit, unit};
use crate::geometry::DrawnPoint;
use crate::import::ImportSettings;
use crate::import::assemble::smallest_first;
use crate::import::fault::ImportError;
use crate::import::limits::{MAX_PIECES, MAX_POINTS, MAX_SIZES};
use crate::import::line::Line;
use crate::import::pattern::{Pattern, PatternPiece, PatternShape};
use crate::import::settle::settle;
use crate::import::warning::{Notes, WarningKind};
use crate::import::words::tidy_name;
use crate::length::Unit;
use crate::piece::Grain;

mod shape;

use shape::{Drawn, shape};

mod layer {
    pub(super) const BOUNDARY: u32 = 1;
    pub(super) const CURVE_POINTS: u32 = 3;
    pub(super) const NOTCHES: [u32; 5] = [4, 80, 81, 82, 83];
    pub(super) const MIRROR: u32 = 6;
    pub(super) const GRAIN: u32 = 7;
    pub(super) const INTERNAL: u32 = 8;
    pub(super) const STRIPE: u32 = 9;
    pub(super) const PLAID: u32 = 10;
    pub(super) const CUT_OUTS: u32 = 11;
    pub(super) const DRILL: u32 = 13;
    pub(super) const SEW: u32 = 14;
    /// The dense curve of layer 1; the three after it are those of layers 8, 11 and 14.
    pub(super) const DENSE: u32 = 84;
    /// Turn points, curve points, grade references, nothing, annotations and layer 0: nothing that is drawn here.
    pub(super) const SILENT: [u32; 6] = [0, 2, 3, 5, 12, 15];
}

/// A block as read, in millimetres.
#[derive(Default)]
struct Draft {
    block: String,
    texts: PieceTexts,
    layers: BTreeMap<u32, Layer>,
}

#[derive(Clone, Default)]
struct Layer {
    lines: Vec<Line>,
    points: Vec<DrawnPoint>,
}

/// Reads a file by the standard; nothing when it is none: no block has a line on layer 1.
pub(super) fn read(
    file: &File<'_>,
    settings: &ImportSettings,
    notes: &mut Notes,
) -> Result<Option<Pattern>, ImportError> {
    // What curves are flattened to does not depend on the unit yet: in inches it is finer than need be.
    let tolerance = Tolerance(settings.tolerance / Unit::Inch.mm());
    let mut seen: Vec<(String, Vec<Thing>)> = Vec::new();
    let mut silent = Notes::default();
    let mut is_standard = false;
    let mut points = 0;
    for block in file.blocks.iter().filter(|block| !block.name.starts_with('*')) {
        if seen.iter().any(|(name, _)| *name == block.name) {
            silent.warn_of(&block.name, WarningKind::RepeatedBlock);
            continue;
        }
        let things = things(block, tolerance, &mut silent)?;
        is_standard |=
            things.iter().any(|t| number(&t.layer) == Some(1) && matches!(t.kind, Kind::Line { .. }));
        points += things
            .iter()
            .map(|t| if let Kind::Line { line, .. } = &t.kind { line.points.len() } else { 1 })
            .sum::<usize>();
        if points > MAX_POINTS {
            return Err(ImportError::TooMany { what: "points", most: MAX_POINTS });
        }
        seen.push((block.name.clone(), things));
    }
    if !is_standard {
        return Ok(None);
    }
    let entities = things(&file.entities, tolerance, &mut silent)?;
    notes.warnings.extend(silent.warnings);

    let mut style = StyleTexts::default();
    let mut insertions = BTreeMap::new();
    for thing in &entities {
        match &thing.kind {
            Kind::Text { text, .. } => style.take(text),
            Kind::Insert(insertion) => {
                insertions.entry(insertion.block.to_lowercase()).or_insert_with(|| insertion.clone());
            }
            _ => {}
        }
    }
    let said = style.units.as_ref().and_then(|units| {
        let unit = match units.to_lowercase().as_str() {
            "metric" | "mm" => Unit::Mm,
            "english" | "imperial" | "inch" | "inches" => Unit::Inch,
            _ => return None,
        };
        Some((unit, format!("Units: {units}")))
    });
    let unit = unit(said.or_else(|| header_unit(file)), settings, notes);

    let mut drafts = Vec::new();
    let mut unknown = BTreeMap::new();
    for (block, things) in seen {
        let insertion = insertions.get(&block.to_lowercase());
        drafts.extend(draft(block, things, insertion, unit, &mut unknown, notes));
    }
    for (layer, count) in unknown {
        notes.warn(WarningKind::UnknownLayer { layer, count });
    }
    pattern(drafts, style, unit, notes).map(Some)
}

/// Layers are numbers in the standard; some programs write them with zeros in front.
fn number(layer: &str) -> Option<u32> {
    layer.trim().parse().ok()
}

fn draft(
    block: String,
    things: Vec<Thing>,
    insertion: Option<&Insertion>,
    unit: Unit,
    unknown: &mut BTreeMap<String, usize>,
    notes: &mut Notes,
) -> Option<Draft> {
    let mut draft = Draft { block, ..Draft::default() };
    let (sx, sy) = insertion.map_or((1.0, 1.0), |i| i.scale);
    if ((sx - 1.0).abs() > 1e-6 || (sy - 1.0).abs() > 1e-6) && sx != 0.0 && sy != 0.0 {
        notes.warn_of(&draft.block, WarningKind::InsertScaled(format!("{sx} by {sy}")));
    }
    let usable = |s: f64| if s == 0.0 { 1.0 } else { s };
    let to_mm = |p: DrawnPoint| DrawnPoint::new(p.x * usable(sx) * unit.mm(), p.y * usable(sy) * unit.mm());
    for thing in things {
        if let Kind::Text { text, .. } = &thing.kind {
            draft.texts.take(text);
            continue;
        }
        let Some(number) = number(&thing.layer) else {
            if unknown.len() < 20 || unknown.contains_key(&thing.layer) {
                *unknown.entry(tidy_name(&thing.layer)).or_insert(0) += 1;
            }
            continue;
        };
        let layer = draft.layers.entry(number).or_default();
        match thing.kind {
            Kind::Line { line, .. } => {
                let points = line.points.into_iter().map(to_mm).collect();
                layer.lines.push(Line { points, closed: line.closed });
            }
            Kind::Point(p) => layer.points.push(to_mm(p)),
            Kind::Text { .. } | Kind::Insert(_) => {}
        }
    }
    // A block of symbols, or of a title, is no piece.
    let has_outline = |number: u32| draft.layers.get(&number).is_some_and(|layer| !layer.lines.is_empty());
    (has_outline(layer::BOUNDARY) || has_outline(layer::DENSE)).then_some(draft)
}

impl Draft {
    fn layer(&self, number: u32) -> Layer {
        self.layers.get(&number).cloned().unwrap_or_default()
    }

    /// The piece's name: what its texts say, else the block's name without its size.
    fn name(&self) -> String {
        let from_block = match (&self.texts.size, self.block.rsplit_once('_')) {
            (Some(size), Some((name, end))) if end.eq_ignore_ascii_case(size) => name.to_owned(),
            _ => self.block.clone(),
        };
        let name = self.texts.name.clone().unwrap_or_else(|| tidy_name(&from_block));
        if name.is_empty() { "piece".to_owned() } else { name }
    }
}

fn pattern(
    drafts: Vec<Draft>,
    style: StyleTexts,
    unit: Unit,
    notes: &mut Notes,
) -> Result<Pattern, ImportError> {
    // Blocks of one name belong together; of one name and size, the second begins another piece.
    let mut groups: Vec<(String, Vec<Draft>)> = Vec::new();
    let mut index: BTreeMap<(String, usize), usize> = BTreeMap::new();
    let mut times: BTreeMap<(String, Option<String>), usize> = BTreeMap::new();
    let mut sizes: Vec<String> = Vec::new();
    for draft in drafts {
        let name = draft.name();
        let low = |text: &String| text.to_lowercase();
        let time = times.entry((low(&name), draft.texts.size.as_ref().map(low))).or_insert(0);
        *time += 1;
        if *time > 1 {
            notes.warn_of(&name, WarningKind::SameName);
        }
        let name = if *time > 1 { format!("{name} {time}") } else { name };
        let at = *index.entry((low(&name), *time)).or_insert_with(|| {
            groups.push((name, Vec::new()));
            groups.len() - 1
        });
        if let Some(size) = &draft.texts.size
            && !sizes.iter().any(|s| s.eq_ignore_ascii_case(size))
        {
            sizes.push(size.clone());
        }
        groups[at].1.push(draft);
    }
    if groups.len() > MAX_PIECES {
        return Err(ImportError::TooMany { what: "pieces", most: MAX_PIECES });
    }
    if sizes.len() > MAX_SIZES {
        return Err(ImportError::TooMany { what: "sizes", most: MAX_SIZES });
    }
    let spelled = |size: &String| sizes.iter().find(|s| s.eq_ignore_ascii_case(size)).cloned();
    let base_size = style.base_size.as_ref().and_then(spelled);
    if let (Some(said), None, false) = (&style.base_size, &base_size, sizes.is_empty()) {
        notes.warn(WarningKind::NoSuchBase(said.clone()));
    }
    let mut pieces = Vec::new();
    for (name, drafts) in groups {
        let mut piece = piece(&name, drafts, base_size.as_deref(), notes);
        for (size, _) in &mut piece.shapes {
            *size = size.as_ref().and_then(spelled);
        }
        if let ([(size @ Some(_), _)], true) = (&mut piece.shapes[..], sizes.len() > 1) {
            notes.warn_of(&name, WarningKind::SameInAllSizes);
            *size = None;
        }
        if !piece.shapes.is_empty() {
            pieces.push(piece);
        }
    }
    if pieces.is_empty() && notes.left_out.is_empty() {
        return Err(ImportError::NoPieces("no block has an outline on layer 1 or 84"));
    }
    let sizes = smallest_first(sizes, &pieces, notes);
    Ok(Pattern { name: style.name, unit, sizes, base_size, pieces })
}

fn piece(name: &str, drafts: Vec<Draft>, base_size: Option<&str>, notes: &mut Notes) -> PatternPiece {
    // The base size's block alone carries quantity, notches and drill holes, in all six files.
    let is_base = |draft: &Draft| match (base_size, &draft.texts.size) {
        (Some(base), Some(size)) => size.eq_ignore_ascii_case(base),
        _ => draft.texts.quantity.is_some(),
    };
    let base = drafts.iter().position(is_base).unwrap_or(0);
    let first = |field: fn(&PieceTexts) -> &Option<String>| {
        std::iter::once(&drafts[base]).chain(&drafts).find_map(|draft| field(&draft.texts).clone())
    };
    let (material, said) = (first(|t| &t.material), first(|t| &t.quantity));
    let has_curve_points = drafts[base].layers.contains_key(&layer::CURVE_POINTS);

    let mut drawn: Vec<(Option<String>, Drawn)> = Vec::new();
    let mut base_at = None;
    for (i, draft) in drafts.into_iter().enumerate() {
        let size = draft.texts.size.clone();
        let place = size.as_ref().map_or(name.to_owned(), |size| format!("{name}, size {size}"));
        match shape(&draft, has_curve_points, name, &place, notes) {
            Ok(shape) => {
                if i == base {
                    base_at = Some(drawn.len());
                }
                drawn.push((size, shape));
            }
            Err(reason) => notes.leave_out(place, reason),
        }
    }
    if let Some(base_at) = base_at {
        share_marks(&mut drawn, base_at, name, notes);
    }
    let mut shapes = Vec::new();
    for (size, drawn) in drawn {
        let place = size.as_ref().map_or(name.to_owned(), |size| format!("{name}, size {size}"));
        match settle(drawn.shape, &place, notes) {
            Ok(shape) => shapes.push((size, shape)),
            Err(reason) => notes.leave_out(place, reason),
        }
    }
    let has_fold = shapes.iter().any(|(_, shape)| shape.fold.is_some());
    let (cut, pairs, flipped) = count(said.as_deref(), has_fold, name, notes);
    if flipped {
        for (_, shape) in &mut shapes {
            *shape = shape.mapped(|p| DrawnPoint::new(p.x, -p.y));
        }
    }
    PatternPiece {
        name: name.to_owned(),
        cloth: material,
        cut,
        pairs,
        grain: Grain::Lengthwise,
        seam: 0.0,
        shapes,
    }
}

/// How many to cut, whether in pairs, and whether all of them flipped.
///
/// In twin files of the two standards AAMA's `1` is ASTM's `1,0`, and AAMA's `2` is `1,1`, a mirrored pair; `0` also occurs
/// and says nothing.
fn count(said: Option<&str>, has_fold: bool, name: &str, notes: &mut Notes) -> (u32, bool, bool) {
    let Some(said) = said else {
        notes.warn_of(name, WarningKind::NoCount);
        return (1, false, false);
    };
    match quantity(said) {
        None | Some(Quantity::Plain(0) | Quantity::Both(0, 0)) => {
            notes.warn_of(name, WarningKind::BadCount(said.to_owned()));
            (1, false, false)
        }
        Some(Quantity::Plain(n)) if has_fold || n % 2 == 1 => (n, false, false),
        Some(Quantity::Plain(n)) => {
            notes.warn_of(name, WarningKind::TakenAsPairs(n));
            (n, true, false)
        }
        Some(Quantity::Both(a, b)) if has_fold => (a + b, false, false),
        Some(Quantity::Both(plain, 0)) => (plain, false, false),
        Some(Quantity::Both(0, flipped)) => (flipped, false, true),
        Some(Quantity::Both(plain, flipped)) => {
            let cut = 2 * plain.max(flipped);
            if plain != flipped {
                notes.warn_of(name, WarningKind::UnequalPairs { plain, flipped, cut });
            }
            (cut, true, false)
        }
    }
}

/// Carries notches and drill holes to the sizes that have none: from the base size or, where that has none, from the first
/// that has.
fn share_marks(drawn: &mut [(Option<String>, Drawn)], base: usize, name: &str, notes: &mut Notes) {
    type Marks = fn(&mut PatternShape) -> &mut Vec<DrawnPoint>;
    let kinds: [(&str, Marks, bool); 2] = [
        ("notches", |shape| &mut shape.notches, true),
        ("drill holes", |shape| &mut shape.drill_holes, false),
    ];
    for (what, marks, on_edge) in kinds {
        let given = std::iter::once(base).chain(0..drawn.len());
        let Some(from) = given.into_iter().find(|&i| !marks(&mut drawn[i].1.shape).is_empty()) else {
            continue;
        };
        let mut own = marks(&mut drawn[from].1.shape).clone();
        let (ring, seams) = (drawn[from].1.shape.outline.clone(), drawn[from].1.boundary.clone());
        let too_many = own.len().saturating_sub(MOST_MARKS);
        own.truncate(MOST_MARKS);
        // By seams, and by boxes.
        let mut carried = [false, false];
        for (_, other) in drawn.iter_mut() {
            if !marks(&mut other.shape).is_empty() {
                continue;
            }
            let to = other.shape.outline.clone();
            let carrying = Carrying::new((&ring, seams.as_ref()), (&to, other.boundary.as_ref()));
            carried[usize::from(!carrying.along_seams())] = true;
            let place = |&p: &DrawnPoint| if on_edge { carrying.on_edge(p) } else { carrying.inside(p) };
            *marks(&mut other.shape) = own.iter().map(place).collect();
            let is_carried =
                if on_edge { &mut other.shape.carried.notches } else { &mut other.shape.carried.drill_holes };
            *is_carried = true;
        }
        if too_many > 0 && carried != [false, false] {
            notes.warn_of(name, WarningKind::TooManyToCarry { count: too_many, what });
        }
        let only = drawn[from].0.clone().unwrap_or_else(|| "one".to_owned());
        if carried[0] {
            notes.warn_of(name, WarningKind::CarriedAlongSeams { what, size: only.clone() });
        }
        if carried[1] {
            notes.warn_of(name, WarningKind::CarriedByBox { what, size: only });
        }
    }
}
