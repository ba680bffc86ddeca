//! [`Warning`]: everything that was assumed in reading a pattern, and how to tell the program better.

use std::fmt;

use super::fault::LeftOut;

/// Something that was assumed, and of what.
#[derive(Clone, Debug, PartialEq)]
pub struct Warning {
    /// The pieces or other places in the file; empty for the file as a whole.
    pub places: Vec<String>,
    /// What was assumed.
    pub kind: WarningKind,
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        /// More names say less than their number.
        const SHOWN: usize = 4;
        for (i, place) in self.places.iter().take(SHOWN).enumerate() {
            write!(f, "{}{place}", if i > 0 { "; " } else { "" })?;
        }
        match self.places.len() {
            0 => {}
            n if n > SHOWN => write!(f, "; and {} more: ", n - SHOWN)?,
            _ => f.write_str(": ")?,
        }
        write!(f, "{}", self.kind)
    }
}

/// What was assumed. Each message ends with what to look at or to write.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum WarningKind {
    // The file.
    /// Text in an old code page that the file does not name.
    #[error("the text is not UTF-8 and was read as {0}: check names with accents")]
    CodePage(&'static str),
    /// Numbers without a unit.
    #[error(
        "the file does not say its units; its numbers were taken as {0}: compare a length on the contact sheet, or give the units when importing"
    )]
    UnitsGuessed(&'static str),
    /// Units given that differ from the file's.
    #[error("the file says {said}; its numbers were taken as {taken} all the same, as told")]
    UnitsOverridden {
        /// By the file.
        said: String,
        /// By whoever imports it.
        taken: &'static str,
    },
    /// A piece of a size no garment has.
    #[error("the largest piece measures {0}: check the units")]
    UnlikelySize(String),
    /// SVG in pixels.
    #[error(
        "the drawing's size is given in pixels, and 96 of them were taken for an inch as SVG has it; some programs write 72: compare a length on the contact sheet, give the units when importing, or draw a line named `scale` with its `data-length`"
    )]
    PixelScale,
    /// SVG with different scales across and down.
    #[error(
        "the drawing is scaled by {0:.4} across and {1:.4} down: check lengths in both directions on the contact sheet"
    )]
    UnevenScale(f64, f64),
    /// A scale line that says otherwise.
    #[error("the line named `scale` measures {drawn:.2} mm and stands for {said:.2} mm: all lengths were multiplied by {:.4}", said / drawn)]
    ScaleCorrected {
        /// As drawn.
        drawn: f64,
        /// As said.
        said: f64,
    },
    /// A scale line without its length.
    #[error("a line named `scale` needs its true length: write data-length=\"100mm\"")]
    ScaleWithoutLength,
    /// Things drawn but hidden.
    #[error("hidden elements ({0}) were left out: show them before exporting if they belong to the pattern")]
    Hidden(usize),
    /// References to other files.
    #[error("references to pictures or to other files ({0}) were left out: nothing outside the file is read")]
    Outside(usize),
    /// Elements that reading passes over.
    #[error("texts ({0}) were passed over: names and counts are taken from attributes and ids")]
    Texts(usize),
    /// A shape whose attributes make no sense.
    #[error("cannot be drawn and was left out: {0}")]
    BadShape(String),
    /// A word of the naming convention that is not known.
    #[error("\"{word}\" in its name or attributes was not understood: write {wanted}")]
    UnknownWord {
        /// As written.
        word: String,
        /// What would be right.
        wanted: &'static str,
    },
    /// A frame around the page.
    #[error("a rectangle around the whole drawing was taken for the page and left out")]
    PageFrame,
    /// Marks that belong to no piece.
    #[error(
        "{0} lines and marks lie on no piece and were left out: check on the contact sheet that nothing is missing"
    )]
    Stray(usize),
    /// A closed line within a piece that may be another piece.
    #[error(
        "a closed line inside it was taken for a line drawn on the piece: if it is a smaller size or another piece, name both pieces"
    )]
    Nested,
    /// Several closed lines of which one was chosen.
    #[error(
        "has {0} closed lines side by side; the largest was taken for the outline: name that one `outline`, or divide the group"
    )]
    SeveralOutlines(usize),
    /// Entities that are not read.
    #[error("{count} entities of the kind {kind} were passed over")]
    Passed {
        /// How many.
        count: usize,
        /// Their name in DXF.
        kind: String,
    },
    /// Layers without a meaning.
    #[error("layer {layer} has no meaning in ASTM D6673: its {count} entities were passed over")]
    UnknownLayer {
        /// Its name.
        layer: String,
        /// How many entities.
        count: usize,
    },

    // Pieces.
    /// No name.
    #[error("has no name and was called \"{0}\": name it in the job file")]
    Named(String),
    /// Two pieces of one name.
    #[error("several pieces have this name and size; they were numbered: rename them in the job file")]
    SameName,
    /// No count.
    #[error("does not say how many to cut; 1 was taken: correct `cut` in the job file")]
    NoCount,
    /// A count that is none.
    #[error("its quantity \"{0}\" is no count; 1 was taken: correct `cut` in the job file")]
    BadCount(String),
    /// An even count, taken for pairs.
    #[error(
        "its quantity is {0}, which was taken for left and right pairs, as is usual: if they are all alike, take `pairs` out of the job file"
    )]
    TakenAsPairs(u32),
    /// Unequal numbers of left and right pieces.
    #[error(
        "is cut {plain} times as drawn and {flipped} times flipped; {cut} in pairs were taken, so some are spare: correct `cut` in the job file"
    )]
    UnequalPairs {
        /// As drawn.
        plain: u32,
        /// Mirrored.
        flipped: u32,
        /// What was taken.
        cut: u32,
    },
    /// A half that would be cut in pairs.
    #[error("has a fold edge and is its own mirror image: its pairs are simply copies")]
    FoldInPairs,
    /// An odd number of pairs.
    #[error("is cut {0} times in pairs, and that is odd: one more was taken, correct `cut` in the job file")]
    OddPairs(u32),
    /// One shape for all sizes.
    #[error("is there in one size only and was taken to be the same in every size")]
    SameInAllSizes,
    /// The order of sizes.
    #[error("the order of the sizes, {0}, follows the area of their pieces: correct `sizes` in the job file")]
    SizesByArea(String),
    /// A piece that is not there in every size.
    #[error("is not there in size {0}: add it in the job file before that size is ordered")]
    LacksSizes(String),
    /// The base size.
    #[error("the base size \"{0}\" named in the file is none of its sizes")]
    NoSuchBase(String),

    // Several files.
    /// Sizes of one piece that say different things of it.
    #[error(
        "{0} says another count, cloth, grain or seam allowance for it than the file before; what came first was taken: check `cut`, `pairs`, `cloth`, `grain` and `seam_allowance` in the job file"
    )]
    FilesDiffer(String),
    /// One name in two files.
    #[error(
        "stands in {file} by the name \"{name}\", which a file before has too, in the same size: rename it, or take one of the two out of the job file"
    )]
    SameNameInFiles {
        /// The later one.
        file: String,
        /// In both.
        name: String,
    },

    // Grain and fold.
    /// No grainline.
    #[error("has no grainline; {0} was taken: correct `grainline` in the job file")]
    NoGrainline(&'static str),
    /// A grainline without a direction.
    #[error(
        "its grainline is drawn as a closed shape, which has no beginning: check that its arrow points to the top of the piece"
    )]
    GrainlineWithoutDirection,
    /// Several grainlines.
    #[error("has {0} grainlines; the longest was taken")]
    SeveralGrainlines(usize),
    /// A fold line that does not serve.
    #[error("its fold line {0} and was passed over: the piece is taken whole as it is drawn")]
    FoldIgnored(&'static str),
    /// A half that was opened out.
    #[error("is half a piece and was opened out, because {0}")]
    OpenedOut(&'static str),
    /// A fold edge moved.
    #[error("its fold line lies up to {0:.2} mm off the outline and was moved onto it")]
    FoldMoved(f64),

    // Outlines and marks.
    /// A gap closed.
    #[error("gaps of up to {0:.2} mm in its outline were closed")]
    GapClosed(f64),
    /// An outline put together.
    #[error("its outline was put together from {0} lines drawn end to end")]
    Chained(usize),
    /// Points left out.
    #[error("its outline has {from} points, and {to} were kept, none of the others more than {off} mm off")]
    Thinned {
        /// As drawn.
        from: usize,
        /// Kept.
        to: usize,
        /// The tolerance in millimetres.
        off: f64,
    },
    /// A curve by its points.
    #[error(
        "its curves are given by points on them alone, joined here by straight lines: edges may be up to 2 mm off"
    )]
    ChordsOnly,
    /// A dense curve that does not fit.
    #[error(
        "its outline on layer 84 does not agree with layer 1, which was taken: compare it on the contact sheet"
    )]
    DenseDiffers,
    /// The line outside the boundary.
    #[error(
        "its sew line lies outside its boundary: the sew line was left as drawn, check which of the two is to be cut"
    )]
    SewLineOutside,
    /// Holes in a piece.
    #[error("{0} cut-outs are drawn as lines on the piece: cut them after laying")]
    CutOuts(usize),
    /// References for matching.
    #[error("{0} stripe or plaid lines were drawn on the piece and are not matched")]
    StripeLines(usize),
    /// Marks carried to another size whose seams correspond.
    #[error(
        "has its {what} in size {size} only; the other sizes have them in proportion to the same seams: check those drawn open on the contact sheet"
    )]
    CarriedAlongSeams {
        /// Notches or drill holes.
        what: &'static str,
        /// The size that has them.
        size: String,
    },
    /// Marks carried to another size by the boxes around both.
    #[error(
        "has its {what} in size {size} only, and its seams are not known to correspond; other sizes have them in proportion to the length and width of the piece: measure those drawn open on the contact sheet"
    )]
    CarriedByBox {
        /// Notches or drill holes.
        what: &'static str,
        /// The size that has them.
        size: String,
    },
    /// More marks than are carried to other sizes.
    #[error("has more {what} than are carried from size to size; {count} are left out of the other sizes")]
    TooManyToCarry {
        /// How many.
        count: usize,
        /// Notches or drill holes.
        what: &'static str,
    },
    /// Marks off the piece.
    #[error("{count} {what} lie more than 10 mm off the piece and were left out")]
    MarksOff {
        /// How many.
        count: usize,
        /// What.
        what: &'static str,
    },
    /// More marks than can be handled.
    #[error("has more lines drawn on it than can be handled; {0} were left out")]
    TooManyMarks(usize),
    /// A scaled block.
    #[error("is inserted at a scale of {0}, which was applied")]
    InsertScaled(String),
    /// A block defined twice.
    #[error("the block is there twice; the first was taken")]
    RepeatedBlock,
}

/// Different warnings that are kept; a file with more is broken in ways that more would not explain.
const MOST: usize = 500;

/// What is gathered while reading.
#[derive(Clone, Debug, Default)]
pub(super) struct Notes {
    pub(super) warnings: Vec<Warning>,
    pub(super) left_out: Vec<LeftOut>,
}

impl Notes {
    /// Of the file as a whole.
    pub(super) fn warn(&mut self, kind: WarningKind) {
        if self.warnings.len() < MOST && !self.warnings.iter().any(|w| w.kind == kind && w.places.is_empty())
        {
            self.warnings.push(Warning { places: Vec::new(), kind });
        }
    }

    /// Of one place in it. The same of several places is one warning.
    pub(super) fn warn_of(&mut self, place: &str, kind: WarningKind) {
        let full = self.warnings.len() >= MOST;
        match self.warnings.iter_mut().find(|w| w.kind == kind && !w.places.is_empty()) {
            Some(warning) if warning.places.last().is_some_and(|last| last == place) => {}
            Some(warning) => warning.places.push(place.to_owned()),
            None if full => {}
            None => self.warnings.push(Warning { places: vec![place.to_owned()], kind }),
        }
    }

    pub(super) fn leave_out(&mut self, place: impl Into<String>, reason: impl Into<String>) {
        self.left_out.push(LeftOut { place: place.into(), reason: reason.into() });
    }
}
