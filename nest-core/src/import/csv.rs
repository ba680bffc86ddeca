//! Points in a table, as a digitiser gives them: a row for each point.
//!
//! The first row names the columns: `x` and `y`, which may name their unit (`x_mm`, `y [in]`), and any of `piece`, `size`,
//! `kind`, `cut`, `pairs`, `cloth`, `grain`, `seam`. An empty field is as in the row before, but for `kind`, which is
//! `outline` when it is empty. Other kinds are `grainline` and `fold`, two points each, `notch`, `drill`, and `line`; lines
//! of a piece are told apart by a number, `line 1`, `line 2`. Rows that begin with `#` are comments; `# units: cm` says what
//! the numbers are. A table of two columns of numbers alone is outlines, with an empty row between them.
//!
//! Columns are divided by commas, semicolons or tabs; with semicolons and tabs numbers may have a decimal comma.

use std::collections::BTreeMap;

use super::ImportSettings;
use super::assemble::assemble;
use super::fault::ImportError;
use super::gather::Found;
use super::limits::MAX_POINTS;
use super::line::Line;
use super::pattern::{Pattern, PatternShape};
use super::warning::{Notes, WarningKind};
use super::words::{Traits, tidy_name};
use crate::geometry::DrawnPoint;
use crate::length::Unit;

/// Does a file that begins with this line look like a table?
pub(super) fn looks_like_a_table(line: &str) -> bool {
    let fields: Vec<String> = line.split([',', ';', '\t']).map(|f| f.trim().to_lowercase()).collect();
    line.starts_with('#')
        || fields.len() > 1
            && (fields.iter().all(|f| f.parse::<f64>().is_ok()) || column(&fields, "x").is_some())
}

/// Reads a table.
///
/// # Errors
/// With its line, the first row that is not what it must be.
///
/// # Complexity
/// O(text).
pub(super) fn read(text: &str, settings: &ImportSettings, notes: &mut Notes) -> Result<Pattern, ImportError> {
    let first = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#')).unwrap_or("");
    let delimiter = ['\t', ';', ','].into_iter().find(|&c| first.contains(c)).unwrap_or(',');
    let columns = Columns::of(first, delimiter)?;
    let said =
        columns.unit.or_else(|| text.lines().take_while(|l| l.starts_with('#')).find_map(commented_unit));
    let unit = match (settings.unit, said) {
        (Some(told), Some(said)) if told != said => {
            notes.warn(WarningKind::UnitsOverridden { said: said.name().to_owned(), taken: told.name() });
            told
        }
        (Some(unit), _) | (None, Some(unit)) => unit,
        (None, None) => {
            notes.warn(WarningKind::UnitsGuessed(Unit::Mm.name()));
            Unit::Mm
        }
    };
    let mut table = Table { unit, delimiter, drafts: Vec::new(), index: BTreeMap::new(), points: 0 };
    if columns.named {
        table.named(text, &columns)?;
    } else {
        table.bare(text)?;
    }
    let found = table.drafts.into_iter().map(|draft| draft.found).collect();
    let pattern = assemble(found, unit, notes);
    if pattern.pieces.is_empty() && notes.left_out.is_empty() {
        return Err(ImportError::NoPieces("a piece is at least three points of an outline"));
    }
    Ok(pattern)
}

/// `# units: cm`.
fn commented_unit(line: &str) -> Option<Unit> {
    let rest = line.trim_start_matches('#').trim().to_lowercase();
    unit_named(rest.strip_prefix("unit")?.trim_start_matches(['s', ':', '=', ' ']).trim())
}

fn unit_named(name: &str) -> Option<Unit> {
    match name {
        "mm" | "millimetres" | "millimeters" => Some(Unit::Mm),
        "cm" | "centimetres" | "centimeters" => Some(Unit::Cm),
        "in" | "inch" | "inches" => Some(Unit::Inch),
        _ => None,
    }
}

/// Which column is which.
struct Columns {
    named: bool,
    unit: Option<Unit>,
    places: BTreeMap<&'static str, usize>,
}

const KNOWN: [&str; 9] = ["piece", "size", "kind", "cut", "pairs", "cloth", "grain", "seam", "x"];

/// The place of a column: its name, or its name and then a unit.
fn column(fields: &[String], name: &str) -> Option<usize> {
    fields.iter().position(|field| {
        field == name
            || field
                .strip_prefix(name)
                .is_some_and(|rest| unit_named(rest.trim_matches(|c: char| !c.is_alphabetic())).is_some())
    })
}

impl Columns {
    fn of(first: &str, delimiter: char) -> Result<Columns, ImportError> {
        let fields: Vec<String> =
            first.split(delimiter).map(|f| f.trim().trim_matches('"').to_lowercase()).collect();
        if fields.iter().all(|field| number(field, delimiter).is_some()) {
            return Ok(Columns { named: false, unit: None, places: BTreeMap::new() });
        }
        let mut places = BTreeMap::new();
        for name in KNOWN.into_iter().chain(["y"]) {
            if let Some(at) = column(&fields, name) {
                places.insert(name, at);
            }
        }
        let (Some(&x), Some(&_)) = (places.get("x"), places.get("y")) else {
            let what = "the first row must name the columns x and y: write for example piece,kind,x_mm,y_mm";
            return Err(ImportError::Table { line: 1, what: what.to_owned() });
        };
        let rest = fields[x].trim_start_matches('x');
        let unit = unit_named(rest.trim_matches(|c: char| !c.is_alphabetic()));
        Ok(Columns { named: true, unit, places })
    }
}

fn number(field: &str, delimiter: char) -> Option<f64> {
    let field = field.trim();
    let value = field.parse::<f64>().ok().or_else(|| {
        // Where commas do not divide columns they may divide numbers.
        (delimiter != ',').then(|| field.replace(',', ".").parse::<f64>().ok()).flatten()
    });
    value.filter(|v| v.is_finite() && v.abs() < 1e9)
}

struct Table {
    unit: Unit,
    delimiter: char,
    drafts: Vec<Draft>,
    /// By piece and size.
    index: BTreeMap<(String, Option<String>), usize>,
    points: usize,
}

struct Draft {
    found: Found,
    grainline: Vec<DrawnPoint>,
    fold: Vec<DrawnPoint>,
    /// The number of the line that is being drawn.
    line: Option<String>,
}

impl Draft {
    fn new(name: Option<String>, traits: Traits) -> Draft {
        let found = Found { name, traits, shape: PatternShape::default() };
        Draft { found, grainline: Vec::new(), fold: Vec::new(), line: None }
    }
}

impl Table {
    fn count(&mut self) -> Result<(), ImportError> {
        self.points += 1;
        if self.points > MAX_POINTS {
            return Err(ImportError::TooMany { what: "points", most: MAX_POINTS });
        }
        Ok(())
    }

    /// Two columns of numbers: an outline to each stretch of rows.
    fn bare(&mut self, text: &str) -> Result<(), ImportError> {
        let mut is_open = false;
        for (i, row) in text.lines().enumerate().filter(|(_, row)| !row.starts_with('#')) {
            if row.trim().is_empty() || row.split(self.delimiter).all(|field| field.trim().is_empty()) {
                is_open = false;
                continue;
            }
            let line = i as u64 + 1;
            let fields: Vec<Option<f64>> =
                row.split(self.delimiter).map(|f| number(f, self.delimiter)).collect();
            let [Some(x), Some(y)] = fields[..] else {
                let what = "two numbers are wanted, as in the rows before: mend this row, or name the columns in the first";
                return Err(ImportError::Table { line, what: what.to_owned() });
            };
            self.count()?;
            if !is_open {
                self.drafts.push(Draft::new(None, Traits::default()));
                is_open = true;
            }
            let p = self.point(x, y);
            if let Some(draft) = self.drafts.last_mut() {
                draft.found.shape.outline.push(p);
            }
        }
        Ok(())
    }

    fn point(&self, x: f64, y: f64) -> DrawnPoint {
        DrawnPoint::new(x * self.unit.mm(), y * self.unit.mm())
    }

    /// A row of names, and then rows with every kind of point.
    fn named(&mut self, text: &str, columns: &Columns) -> Result<(), ImportError> {
        let mut reader = ::csv::ReaderBuilder::new()
            .delimiter(u8::try_from(self.delimiter).unwrap_or(b','))
            .comment(Some(b'#'))
            .flexible(true)
            .trim(::csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut before: BTreeMap<&'static str, String> = BTreeMap::new();
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(0, |p| p.line());
                ImportError::Table { line, what: "this row cannot be read: check its quotes".to_owned() }
            })?;
            let line = record.position().map_or(0, |p| p.line());
            let field = |name: &str| columns.places.get(name).and_then(|&at| record.get(at)).unwrap_or("");
            if record.iter().all(str::is_empty) {
                continue;
            }
            for &name in KNOWN.iter().filter(|name| !matches!(**name, "x" | "kind")) {
                let value = field(name);
                if !value.is_empty() {
                    // What is said of one piece does not hold for the next.
                    if name == "piece" && before.get("piece").is_some_and(|piece| piece != value) {
                        before.clear();
                    }
                    before.insert(name, value.to_owned());
                }
            }
            self.count()?;
            let [x, y] = ["x", "y"].map(|name| number(field(name), self.delimiter));
            let (Some(x), Some(y)) = (x, y) else {
                let what =
                    format!("x and y must be numbers, and \"{},{}\" stands there", field("x"), field("y"));
                return Err(ImportError::Table { line, what: what.chars().take(200).collect() });
            };
            let at = self.draft(&before, line)?;
            let p = self.point(x, y);
            take(&mut self.drafts[at], field("kind"), p, line)?;
        }
        for draft in &mut self.drafts {
            for (name, points) in [("grainline", &draft.grainline), ("fold", &draft.fold)] {
                if !matches!(points.len(), 0 | 2) {
                    let piece = draft.found.name.as_deref().unwrap_or("the piece");
                    let what = format!("{piece}: a {name} is two points, and there are {}", points.len());
                    return Err(ImportError::Table { line: 1, what });
                }
            }
            let ends = |points: &[DrawnPoint]| match points {
                &[a, b] => Some([a, b]),
                _ => None,
            };
            draft.found.shape.grainline = ends(&draft.grainline);
            draft.found.shape.fold = ends(&draft.fold);
        }
        Ok(())
    }

    /// The piece and size of a row.
    fn draft(&mut self, said: &BTreeMap<&'static str, String>, line: u64) -> Result<usize, ImportError> {
        let name = said.get("piece").map(|name| tidy_name(name));
        let size = said.get("size").map(|size| tidy_name(size));
        let key = (name.clone().unwrap_or_default().to_lowercase(), size);
        if let Some(&at) = self.index.get(&key) {
            return Ok(at);
        }
        let mut traits = Traits::default();
        for word in ["size", "cut", "pairs", "cloth", "grain", "seam"] {
            let Some(value) = said.get(word) else {
                continue;
            };
            // Seams without a unit are in that of the table.
            let value = match (word, number(value, self.delimiter)) {
                ("seam", Some(number)) => format!("{}mm", number * self.unit.mm()),
                _ => value.clone(),
            };
            traits.take(word, &value).map_err(|wanted| ImportError::Table {
                line,
                what: format!("{word} is \"{}\": write {wanted}", tidy_name(&value)),
            })?;
        }
        self.drafts.push(Draft::new(name, traits));
        self.index.insert(key, self.drafts.len() - 1);
        Ok(self.drafts.len() - 1)
    }
}

fn take(draft: &mut Draft, kind: &str, p: DrawnPoint, line: u64) -> Result<(), ImportError> {
    let kind = kind.to_lowercase();
    let shape = &mut draft.found.shape;
    let drawn = kind.strip_prefix("line").map(|number| number.trim().to_owned());
    if drawn.is_none() {
        draft.line = None;
    }
    match kind.as_str() {
        "" | "outline" => shape.outline.push(p),
        "grainline" | "grain" => draft.grainline.push(p),
        "fold" => draft.fold.push(p),
        "notch" => shape.notches.push(p),
        "drill" | "drill hole" => shape.drill_holes.push(p),
        _ => match drawn {
            Some(number) => {
                if draft.line.as_ref() == Some(&number)
                    && let Some(line) = shape.lines.last_mut()
                {
                    line.points.push(p);
                } else {
                    shape.lines.push(Line::open(vec![p]));
                    draft.line = Some(number);
                }
            }
            None => {
                let what = format!(
                    "the kind \"{}\" is not known: write outline, grainline, fold, notch, drill or line",
                    tidy_name(&kind).chars().take(40).collect::<String>()
                );
                return Err(ImportError::Table { line, what });
            }
        },
    }
    Ok(())
}
