//! [`Problem`]: every fault a job can have in its meaning, with its place in the file and the way to mend it.

use std::fmt;

use super::limits::MAX_BY_AREA;
use crate::length::Unit;

/// A fault, its place and the way to mend it.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The path inside the file, such as `pieces[3].sizes.38.outline`; empty for the file as a whole.
    pub place: String,
    /// The id of the piece or the kind of the cloth at that place, as far as it is known.
    pub of: Option<String>,
    /// What is wrong.
    pub kind: ProblemKind,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let message = match (&*self.place, &self.of) {
            ("", _) => format!("{}", self.kind),
            (place, None) => format!("{place}: {}", self.kind),
            (place, Some(of)) => format!("{place} ({of}): {}", self.kind),
        };
        f.write_str(&printable(&message))
    }
}

/// A number with its unit, as a person reads it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// How many.
    pub value: f64,
    /// Of what.
    pub unit: Unit,
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", number((self.value * 1e3).round() / 1e3), self.unit.sign())
    }
}

/// A point in the frame and the unit of the file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// As the file has it.
    pub x: f64,
    /// As the file has it.
    pub y: f64,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "[{}, {}]", number(self.x), number(self.y))
    }
}

/// What is wrong. Each message says what, and ends with how to mend it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ProblemKind {
    // The file.
    /// Another version of the format.
    #[error("is {}; this program reads version 1: write 1, or use a program that knows the version", number(*.0))]
    Version(f64),
    /// A list with nothing in it.
    #[error("holds no {what}: list at least one{}", if *.optional { ", or leave the field out" } else { "" })]
    Empty {
        /// Of what.
        what: &'static str,
        /// May the field be left out?
        optional: bool,
    },
    /// A list longer than can be handled.
    #[error("holds {count} {what}; the most that can be handled is {most}: divide the job")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: u64,
        /// How many there may be.
        most: u64,
    },

    /// An order of more than one lay can take.
    #[error(
        "takes more than {metres} m of the cloth `{cloth}` by the area of its pieces alone; the most that can be handled is \
         {} m: divide the job",
        MAX_BY_AREA / 100_000
    )]
    TooMuchCloth {
        /// The kind of cloth.
        cloth: String,
        /// What the area of the pieces comes to over the usable width, in whole metres.
        metres: u64,
    },

    /// So many problems that they are no longer listed.
    #[error("there are {0} more problems: mend these first")]
    More(usize),

    // Numbers.
    /// Beyond the grid.
    #[error("goes beyond 100 m, the most that can be handled: check the number and `units`")]
    TooLarge,
    /// A length that must be more than none.
    #[error("is {}: write a length of at least 0.01 mm", number(*.0))]
    NotPositive(f64),
    /// A length that must not be negative.
    #[error("is {}: write 0 or more", number(*.0))]
    Negative(f64),
    /// A count that is not one.
    #[error("is {}: write a whole number from 1 to {most}", number(*.value))]
    NotCount {
        /// What was written.
        value: f64,
        /// The most.
        most: u32,
    },
    /// Shrinkage outside its range.
    #[error("is {} per cent: write a number from 0 to below 100", number(*.0))]
    PerCent(f64),
    /// A price outside its range.
    #[error("is {}: write a price from 0 to 1000000", number(*.0))]
    Price(f64),
    /// The tolerance of curves outside its range.
    #[error("is {} mm: write a number of millimetres from 0.01 to 5", number(*.0))]
    Tolerance(f64),

    // Names.
    /// A name of no letters.
    #[error("is empty: write a name")]
    Blank,
    /// A name that cannot be printed.
    #[error(
        "holds a line break or another control character: write the name on one line, in plain characters"
    )]
    ControlCharacter,
    /// A name that is a text.
    #[error("is {0} characters long: write a name of at most 100")]
    LongName(usize),
    /// A name given twice.
    #[error("\"{name}\" stands at {first} already: give each {what} a name of its own")]
    Duplicate {
        /// What is named.
        what: &'static str,
        /// The name.
        name: String,
        /// Where it stood before.
        first: String,
    },
    /// A name of nothing.
    #[error("there is no {what} \"{name}\": write {known}, or add it to `{list}`")]
    Unknown {
        /// What is meant to be named.
        what: &'static str,
        /// The name.
        name: String,
        /// Names there are.
        known: Choice,
        /// The field that lists them.
        list: &'static str,
    },

    // Pieces.
    /// Neither an outline nor sizes.
    #[error(
        "has no outline: write `outline` and `grainline`, or `sizes` with an outline and a grainline for each size"
    )]
    NoShape,
    /// Both an outline and sizes.
    #[error("has both `{0}` and `sizes`: move it into each of the sizes, or take `sizes` out")]
    ShapeAndSizes(&'static str),
    /// No outline in a size that is ordered.
    #[error("has no outline in size \"{size}\", which {wanted_by} wants: add that size, or change the order")]
    MissingSize {
        /// The size.
        size: String,
        /// The place of the order line.
        wanted_by: String,
    },
    /// An odd number of pairs.
    #[error("is {0}, and the piece is cut in pairs: write an even number, or take `pairs` out")]
    OddPairs(u32),
    /// A half outline cut in pairs.
    #[error("a piece with a fold edge is its own mirror image: take `pairs` or `fold_edge` out")]
    FoldInPairs,
    /// The cloth asked for is not there.
    #[error(
        "is to be cut from \"{kind}\", which {wanted_by} wants, and there is no such cloth: write {known}, or add it to `cloths`"
    )]
    MissingCloth {
        /// The kind.
        kind: String,
        /// The place of the order line.
        wanted_by: String,
        /// The kinds there are.
        known: Choice,
    },

    // Outlines.
    /// Fewer than three corners.
    #[error("has {0} different corners: give at least three")]
    FewCorners(usize),
    /// Nothing inside.
    #[error("encloses no area: check that its points do not lie on one line, and check `units`")]
    NoArea,
    /// Hardly anything inside.
    #[error("is less than 0.1 mm thick: check its points, and `units`")]
    Thin,
    /// Not simple.
    #[error(
        "crosses or touches itself near {0}: reorder or move the points there so that it runs once around"
    )]
    SelfContact(Spot),
    /// More points than can be handled.
    #[error(
        "has {count} points; the most that can be handled is {most}: leave out points that lie close together, or raise `curve_tolerance`"
    )]
    TooManyPoints {
        /// How many there are.
        count: usize,
        /// How many there may be.
        most: usize,
    },
    /// More points than can be handled in all outlines together.
    #[error(
        "the outlines hold more than {0} points together: leave out points that lie close together, or divide the job"
    )]
    TooManyPointsInAll(usize),
    /// Path data that cannot be read.
    #[error("cannot be read as SVG path data at character {at}: {expected}")]
    PathData {
        /// Counted from 1.
        at: usize,
        /// What would be right there.
        expected: &'static str,
    },
    /// A path without a segment.
    #[error("draws nothing: write path data such as \"M0,0 L10,0 L10,5 Z\"")]
    PathEmpty,
    /// A path whose end is not its beginning.
    #[error("is open: it ends {0} from where it begins; end it with Z, or lead it back")]
    PathOpen(Measure),
    /// A path of several subpaths.
    #[error(
        "has more than one subpath: keep the outline alone, and give lines inside the piece as `internal_lines`"
    )]
    PathSeveral,

    // Grain and fold.
    /// No grainline.
    #[error("has no grainline: write `grainline` as two points, from the bottom of the piece to its top")]
    NoGrainline,
    /// Two equal points.
    #[error("has no length: give two different points, from the bottom of the piece to its top")]
    GrainlineOfNoLength,
    /// Two equal points.
    #[error("has no length: give the two ends of the stretch that lies on the fold")]
    FoldOfNoLength,
    /// An end that is not on the outline.
    #[error("its {which} point lies {distance} off the outline: give two points of the outline")]
    FoldOffOutline {
        /// First or second.
        which: &'static str,
        /// How far.
        distance: Measure,
    },
    /// The outline between the ends is not straight.
    #[error(
        "the outline between its points is not straight, it leaves the line by {0}: give the ends of a straight stretch, or straighten the outline there"
    )]
    FoldNotStraight(Measure),
    /// Not along the grain.
    #[error(
        "runs at {0:.1} degrees to the grainline: a fold runs along the grain, so make the two parallel or take `fold_edge` out"
    )]
    FoldNotOnGrain(f64),
    /// The half outline is on both sides of the fold.
    #[error(
        "the outline meets the fold line again near {0}: a half lies on one side of its fold, so give the whole fold edge or move the outline off the line"
    )]
    FoldCrossed(Spot),

    // Seam allowance and marks.
    /// The offset is no single simple outline.
    #[error(
        "no cutting line can be drawn {0} outside the outline: make `seam_allowance` smaller, or smooth the outline"
    )]
    SeamAllowance(Measure),
    /// A notch that is not on the edge.
    #[error(
        "lies {0} off the outline: a notch is a mark on the edge, so move it there or list it in `drill_holes`"
    )]
    NotchOff(Measure),
    /// A mark that is not on the piece.
    #[error("lies {0} outside the outline: move it onto the piece, or take it out")]
    MarkOutside(Measure),
    /// A line of one point.
    #[error("has fewer than two points: give at least the two ends of the line")]
    ShortLine,

    // Views and order.
    /// A piece twice in a view.
    #[error("\"{0}\" is in this view already: name it once, and say with its `cut` how many to cut")]
    RepeatedPiece(String),
    /// Several views, and none named.
    #[error("names no view, and there are several: write \"view\": {0}")]
    ViewWanted(Choice),
    /// Several sizes, and none named.
    #[error("names no size, and there are several: write \"size\": {0}")]
    SizeWanted(Choice),

    // Cloth.
    /// No cloth between the selvages.
    #[error(
        "the selvages and the shrinkage take {taken} of a width of {width}: write a smaller selvage, or check the width"
    )]
    NothingBetweenSelvages {
        /// The cloth's.
        width: Measure,
        /// What they take.
        taken: Measure,
    },
    /// A flaw that is neither round nor has corners, or both.
    #[error("is not one shape: write `spot` with `radius`, or `outline` alone")]
    FlawForm,
    /// A flaw that is not on the cloth.
    #[error(
        "lies beside the cloth: give x along it from its cut end and y across from its lower selvage, up to {width}"
    )]
    FlawOff {
        /// All the way across.
        width: Measure,
    },
    /// A remnant that is neither a rectangle nor an outline, or both.
    #[error("is not one shape: write `length` and perhaps `width` of a rectangle, or `outline` alone")]
    RemnantForm,
    /// Remnants of a tube.
    #[error("are remnants of a tube: slit them, and write \"form\": \"flat\" with their width opened out")]
    RemnantsOfTube,
    /// A selvage on a tube.
    #[error("a tube has no selvage: take it out, or write \"form\": \"flat\"")]
    TubeSelvage,
}

/// The number as a person would write it: at most four decimals and no needless zeros, in powers of ten when huge.
pub(super) fn number(value: f64) -> String {
    if value != 0.0 && !(1e-4..1e9).contains(&value.abs()) {
        return format!("{value:e}");
    }
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Names to choose from, of which the first few are told.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    names: Vec<String>,
    more: usize,
}

impl Choice {
    /// Of names in the order in which they are to be told.
    pub(super) fn of<'a>(names: impl ExactSizeIterator<Item = &'a str>) -> Choice {
        /// As many as are read at a glance.
        const TOLD: usize = 8;
        let more = names.len().saturating_sub(TOLD);
        Choice { names: names.take(TOLD).map(str::to_owned).collect(), more }
    }
}

impl fmt::Display for Choice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut list: Vec<String> = self.names.iter().map(|name| format!("\"{name}\"")).collect();
        if self.more > 0 {
            list.push(format!("one of {} more", self.more));
        }
        match list.pop() {
            None => f.write_str("a name that exists"),
            Some(only) if list.is_empty() => f.write_str(&only),
            Some(last) => write!(f, "{} or {last}", list.join(", ")),
        }
    }
}

/// A message that may hold texts of the file, fit for a terminal: on one line, of a length that can be read.
pub(crate) fn printable(message: &str) -> String {
    /// Twice the longest message that holds no text of the file.
    const MOST: usize = 1000;
    let plain: String = message
        .chars()
        .flat_map(|c| {
            let escaped = c.is_control().then(|| c.escape_default());
            let kept = (!c.is_control()).then_some(c);
            escaped.into_iter().flatten().chain(kept)
        })
        .collect();
    let count = plain.chars().count();
    if count <= MOST {
        return plain;
    }
    let half = |skip: usize| plain.chars().skip(skip).take(MOST / 2).collect::<String>();
    format!("{} ... {}", half(0), half(count - MOST / 2))
}
