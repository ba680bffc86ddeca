//! Plain DXF: a drawing of closed lines, each a piece, whose layers are named for what they hold.
//!
//! A layer's name is read by the convention in `words`: `grainline`, `fold`, `notch`, `drill`, `ignore`; or it is a number of
//! ASTM D6673. A text inside an outline names its piece, also with words: `Front--cut-2--pairs`.

use std::collections::BTreeMap;

use kurbo::Affine;

use super::curves::Tolerance;
use super::keys::{PieceTexts, Quantity, quantity};
use super::tags::File;
use super::things::{Insertion, Kind, Thing, things};
use super::{header_unit, unit};
use crate::geometry::DrawnPoint;
use crate::import::ImportSettings;
use crate::import::assemble::assemble;
use crate::import::fault::ImportError;
use crate::import::gather::{Found, Mark, gather};
use crate::import::limits::{MAX_LINES, MAX_POINTS};
use crate::import::line::{Line, holds};
use crate::import::pattern::Pattern;
use crate::import::warning::{Notes, WarningKind};
use crate::import::words::{Role, Traits, label};
use crate::length::Unit;

/// Blocks in blocks.
const DEEPEST: usize = 16;

/// Reads a plain drawing.
pub(super) fn read(
    file: &File<'_>,
    settings: &ImportSettings,
    notes: &mut Notes,
) -> Result<Pattern, ImportError> {
    let unit = unit(drawing_unit(file), settings, notes);
    let tolerance = Tolerance(settings.tolerance / unit.mm());
    let mut blocks = BTreeMap::new();
    for block in file.blocks.iter().filter(|block| !block.name.starts_with('*')) {
        blocks.entry(block.name.to_lowercase()).or_insert(things(block, tolerance, notes)?);
    }
    let entities = things(&file.entities, tolerance, notes)?;
    let mut drawing = Drawing { blocks, marks: Vec::new(), texts: Vec::new(), points: 0, groups: 0 };
    drawing.draw(&entities, Affine::scale(unit.mm()), 0, 0)?;
    let Drawing { marks, texts, .. } = drawing;
    let mut found = gather(marks, &BTreeMap::new(), notes);
    for piece in &mut found {
        name(piece, &texts, notes);
    }
    let pattern = assemble(found, unit, notes);
    if pattern.pieces.is_empty() && notes.left_out.is_empty() {
        return Err(ImportError::NoPieces(
            "a piece is a closed line of at least 1 cm2, or lines that close end to end",
        ));
    }
    Ok(pattern)
}

/// `$INSUNITS`, or else `$MEASUREMENT`, which is written by most programs without being meant: metric is taken for
/// millimetres only with a warning, English for inches.
fn drawing_unit(file: &File<'_>) -> Option<(Unit, String)> {
    header_unit(file).or_else(|| {
        (file.header("$MEASUREMENT")?.trim() == "0" && file.header("$INSUNITS").is_some())
            .then(|| (Unit::Inch, "$MEASUREMENT 0".to_owned()))
    })
}

struct Drawing {
    blocks: BTreeMap<String, Vec<Thing>>,
    marks: Vec<Mark>,
    texts: Vec<(String, DrawnPoint)>,
    points: usize,
    groups: usize,
}

impl Drawing {
    /// Draws things, and blocks where they are inserted.
    fn draw(&mut self, things: &[Thing], map: Affine, group: usize, depth: usize) -> Result<(), ImportError> {
        for thing in things {
            let said = label(&thing.layer);
            let role = match thing.layer.trim().parse::<u32>() {
                Ok(4 | 80..=83) => Some(Role::Notch),
                Ok(6) => Some(Role::Fold),
                Ok(7) => Some(Role::Grainline),
                Ok(8..=11 | 14) => Some(Role::Internal),
                Ok(13) => Some(Role::DrillHole),
                Ok(2 | 3 | 5 | 15) => Some(Role::Ignore),
                _ => said.role,
            };
            let mut mark = |points: Vec<DrawnPoint>, closed: bool, round: bool| {
                self.points += points.len();
                if self.points > MAX_POINTS {
                    return Err(ImportError::TooMany {
                        what: "points, counted as often as they are inserted",
                        most: MAX_POINTS,
                    });
                }
                if self.marks.len() >= MAX_LINES {
                    return Err(ImportError::TooMany {
                        what: "lines, counted as often as they are inserted",
                        most: MAX_LINES,
                    });
                }
                let line = Line { points, closed };
                let traits = said.traits.clone();
                self.marks.push(Mark { line, role, name: None, traits, piece: None, group, round });
                Ok(())
            };
            match &thing.kind {
                Kind::Line { line, round } => {
                    mark(line.points.iter().map(|&p| map * p).collect(), line.closed, *round)?;
                }
                // A point on a piece is a drill hole, unless its layer says otherwise; one layer of every drawing holds
                // the points of dimensions.
                Kind::Point(_) if thing.layer.eq_ignore_ascii_case("defpoints") => {}
                Kind::Point(p) => mark(vec![map * *p], false, true)?,
                Kind::Text { text, at } => {
                    if self.texts.len() < MAX_LINES {
                        self.texts.push((text.clone(), map * *at));
                    }
                }
                Kind::Insert(insertion) => self.insert(insertion, map, depth)?,
            }
        }
        Ok(())
    }

    fn insert(&mut self, insertion: &Insertion, map: Affine, depth: usize) -> Result<(), ImportError> {
        if depth >= DEEPEST {
            return Err(ImportError::TooMany { what: "blocks within one another", most: DEEPEST });
        }
        let Some((name, things)) = self.blocks.remove_entry(&insertion.block.to_lowercase()) else {
            // A block that is not there, or one that is inserted in itself.
            return Ok(());
        };
        let (sx, sy) = insertion.scale;
        let inner = map
            * Affine::translate(insertion.at.to_vec2())
            * Affine::rotate(insertion.turn.to_radians())
            * Affine::scale_non_uniform(sx, sy);
        self.groups += 1;
        // Each insertion costs something even when its block is empty.
        self.points += 1;
        let group = self.groups;
        let drawn = self.draw(&things, inner, group, depth + 1);
        self.blocks.insert(name, things);
        drawn
    }
}

/// Names a piece by the first text that lies on it.
fn name(piece: &mut Found, texts: &[(String, DrawnPoint)], notes: &mut Notes) {
    let frame = piece.shape.frame();
    let on_it = texts.iter().filter(|(_, at)| frame.holds(*at, 0.0) && holds(&piece.shape.outline, *at));
    let mut keys = PieceTexts::default();
    let mut first = None;
    for (text, _) in on_it {
        if text.contains(':') {
            keys.take(text);
        } else if first.is_none() {
            first = Some(label(text)).filter(|said| said.name.is_some());
        }
    }
    let said = first.unwrap_or_default();
    piece.name = keys.name.or(said.name);
    let place = piece.name.clone().unwrap_or_else(|| "a piece without a name".to_owned());
    for (word, wanted) in said.unknown {
        notes.warn_of(&place, WarningKind::UnknownWord { word, wanted });
    }
    let mut traits = Traits { cloth: keys.material, size: keys.size, ..Traits::default() };
    match keys.quantity.as_deref().and_then(quantity) {
        Some(Quantity::Plain(n)) if n > 0 => traits.cut = Some(n),
        Some(Quantity::Both(a, b)) if a + b > 0 => {
            traits.cut = Some(if b > 0 && a > 0 { 2 * a.max(b) } else { a + b });
            traits.pairs = Some(a > 0 && b > 0);
        }
        _ => {}
    }
    piece.traits = traits.within(&said.traits).within(&piece.traits);
}
