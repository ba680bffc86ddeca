//! The sketches of the cloth on the table, one for each thing done to it.

use super::document::Figure;
use super::edges::{LongSide, edges};
use super::reading::read;
use super::sketch::{At, Line, Side, Sketch};
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::length::Unit;
use crate::spread::{Family, Plies, Section};

/// The whole sketch, in millimetres on paper.
const SIZE: (f64, f64) = (104.0, 52.0);
/// Where the cloth lies on it: its start, its other end, its near edge, and how much room there is across.
const LEFT: f64 = 17.0;
const RIGHT: f64 = 70.0;
const NEAR: f64 = 9.0;
const ACROSS: f64 = 36.0;
/// The cloth seen edge on stands here.
const EDGE_ON: f64 = 76.0;
/// Depths are told here.
const DEPTHS: f64 = 84.0;

/// A section of the cloth, ready to be sketched.
pub(super) struct View<'a> {
    pub(super) cloth: &'a Cloth,
    pub(super) section: &'a Section,
    unit: Unit,
    /// Of the cloth opened out flat.
    width: i64,
    /// Millimetres on paper to a grid unit across.
    scale: f64,
}

impl<'a> View<'a> {
    pub(super) fn new(cloth: &'a Cloth, section: &'a Section, unit: Unit) -> View<'a> {
        let flat = cloth.lay_width().grid();
        let width = match cloth.form {
            ClothForm::Flat => flat,
            ClothForm::Tube => 2 * flat,
        };
        // A tube is never opened out where it is laid as it comes.
        let widest = if section.family == Family::Tubular { width * 3 / 4 } else { width };
        View { cloth, section, unit, width, scale: ACROSS / widest as f64 }
    }

    pub(super) fn depth(&self, grid: i64) -> String {
        read(grid, self.unit)
    }

    /// How deep the near and the far flap are; nothing where there is none.
    pub(super) fn flaps(&self) -> [i64; 2] {
        let bands = &self.section.bands;
        let near = edges(self.section, self.cloth, 0)[1].y;
        let far = self.section.width.grid() - edges(self.section, self.cloth, bands.len() - 1)[0].y;
        match self.section.family {
            Family::OffCentreFold => [near, 0],
            Family::TwoFolds => [near, far],
            _ => [0, 0],
        }
    }

    fn y(&self, grid: i64) -> f64 {
        NEAR + grid as f64 * self.scale
    }

    fn napped(&self) -> bool {
        self.cloth.nap == Nap::OneWay
    }

    /// What the two long edges of the flat cloth are.
    fn outer(&self) -> (Line, &'static str) {
        match self.cloth.form {
            ClothForm::Flat => (self.side(), self.long().word()),
            ClothForm::Tube => (Line::CutEdge, "cut edge"),
        }
    }

    /// What the long sides of flat cloth are, and how they are drawn.
    pub(super) fn long(&self) -> LongSide {
        LongSide::of(self.cloth)
    }

    fn side(&self) -> Line {
        self.long().pick(Line::Selvage, Line::CutEdge, Line::Ghost)
    }

    /// A sketch with the words that all have.
    fn board(&self) -> Sketch {
        let mut board = Sketch::new(SIZE.0, SIZE.1);
        board.words(((LEFT + RIGHT) / 2.0, 2.2), "near: you stand here");
        board
    }

    /// Nap arrows along a height, pointing right or left.
    fn nap(&self, board: &mut Sketch, y: f64, right: bool) {
        if !self.napped() {
            return;
        }
        for share in [0.16, 0.84] {
            let x = LEFT + (RIGHT - LEFT) * share;
            let (from, to) = if right { (x - 4.0, x + 4.0) } else { (x + 4.0, x - 4.0) };
            board.arrow((from, y), (to, y));
        }
    }

    /// The short ends of a stretch of cloth.
    fn ends(board: &mut Sketch, low: f64, high: f64) {
        for x in [LEFT, RIGHT] {
            board.line(&[(x, low), (x, high)], Line::CutEdge);
        }
    }

    fn along(board: &mut Sketch, y: f64, line: Line) {
        board.line(&[(LEFT, y), (RIGHT, y)], line);
    }

    fn start(board: &mut Sketch, y: f64) {
        board.words_to((LEFT - 1.5, y), "start");
    }

    /// The whole cloth in a single thickness.
    pub(super) fn flat(&self, told: &str) -> Figure {
        let mut board = self.board();
        self.open(&mut board);
        board.done(told)
    }

    fn open(&self, board: &mut Sketch) {
        let (line, name) = self.outer();
        let (low, high) = (self.y(0), self.y(self.width));
        board.cloth((LEFT, low), (RIGHT, high), Side::Right);
        View::along(board, low, line);
        View::along(board, high, line);
        View::ends(board, low, high);
        self.nap(board, low + 3.0, true);
        self.nap(board, high - 3.0, true);
        let middle = (LEFT + RIGHT) / 2.0;
        board.words((middle, low), name);
        board.words((middle, high), name);
        board.words((middle, (low + high) / 2.0), "right side up");
        View::start(board, (low + high) / 2.0);
        board.depth(DEPTHS - 8.0, low, high, &self.depth(self.width));
    }

    /// The near half on its way over to the far one.
    pub(super) fn lengthwise_folding(&self) -> Figure {
        let mut board = self.board();
        let (low, middle, high) = (self.y(0), self.y(self.width / 2), self.y(self.width));
        board.line(&[(LEFT, middle), (LEFT, low), (RIGHT, low), (RIGHT, middle)], Line::Ghost);
        board.cloth((LEFT, middle), (RIGHT, high), Side::Wrong);
        View::along(&mut board, high, self.side());
        View::along(&mut board, middle, Line::Fold);
        View::ends(&mut board, middle, high);
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x, middle), "fold");
        board.words((x, (middle + high) / 2.0), "wrong side up");
        board.words((x, high), self.long().pick("selvages", "edges", "lines"));
        board.swing((x + 12.0, low), (x + 24.0, middle), (x + 12.0, high - 1.0));
        board.done("the near half is brought over to the far one")
    }

    /// The flap on its way: the near part of the flat cloth is folded over.
    pub(super) fn flap_folding(&self) -> Figure {
        let mut board = self.board();
        let [near, _] = self.flaps();
        // The fold comes to lie where the depth of the flap is on the flat cloth.
        let (low, fold, flap) = (self.y(0), self.y(near), self.y(2 * near));
        let high = self.y(self.width);
        board.cloth((LEFT, fold), (RIGHT, high), Side::Right);
        board.cloth((LEFT, fold), (RIGHT, flap), Side::Wrong);
        board.line(&[(LEFT, fold), (LEFT, low), (RIGHT, low), (RIGHT, fold)], Line::Ghost);
        View::along(&mut board, high, self.side());
        View::along(&mut board, flap, self.side());
        View::along(&mut board, fold, Line::Fold);
        View::ends(&mut board, fold, high);
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x - 9.0, fold), "fold");
        board.words(
            (x - 9.0, flap),
            self.long().pick("selvage of the flap", "edge of the flap", "line of the flap"),
        );
        board.swing((x + 14.0, low), (x + 23.0, fold), (x + 14.0, flap - 1.0));
        board.words((x, high), self.long().word());
        board.depth(DEPTHS - 8.0, fold, flap, &self.depth(near));
        board.done("the near edge is folded over, a flap deep")
    }

    /// The far flap on its way; the near one lies.
    pub(super) fn second_flap_folding(&self) -> Figure {
        let mut board = self.board();
        let [near, far] = self.flaps();
        let extent = self.section.width.grid();
        // After the first fold the far edge still lies as far out as the far flap is deep.
        let (low, flap) = (self.y(0), self.y(near));
        let (fold, edge, landed) = (self.y(extent), self.y(extent + far), self.y(extent - far));
        board.cloth((LEFT, low), (RIGHT, fold), Side::Right);
        board.cloth((LEFT, low), (RIGHT, flap), Side::Wrong);
        board.cloth((LEFT, landed), (RIGHT, fold), Side::Wrong);
        board.line(&[(LEFT, fold), (LEFT, edge), (RIGHT, edge), (RIGHT, fold)], Line::Ghost);
        for y in [flap, landed] {
            View::along(&mut board, y, self.side());
        }
        for y in [low, fold] {
            View::along(&mut board, y, Line::Fold);
        }
        View::ends(&mut board, low, fold);
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x - 9.0, low), "near fold");
        board.words((x - 9.0, fold), "far fold");
        board.swing((x + 14.0, edge), (x + 23.0, fold), (x + 14.0, landed + 1.0));
        board.depth(DEPTHS - 8.0, landed, fold, &self.depth(far));
        board.done("the far edge is folded over towards you")
    }

    /// The cloth ready to be laid on: every band with its plies and depth, and the cloth seen edge on.
    pub(super) fn folded(&self, told: &str) -> Figure {
        let mut board = self.board();
        let section = self.section;
        let extent = self.y(section.width.grid());
        let low = self.y(0);
        board.cloth((LEFT, low), (RIGHT, extent), Side::Right);
        let tube = section.family == Family::Tubular;
        let x = (LEFT + RIGHT) / 2.0;
        let mut at = 0;
        let mut depths: Vec<(i64, i64, &str)> = Vec::new();
        for (i, band) in section.bands.iter().enumerate() {
            let [from, to] = edges(section, self.cloth, i).map(|e| e.y);
            if from > at {
                // Between two flaps a strip may lie that nothing is laid on.
                depths.push((at, from, "1 ply"));
            }
            let two = band.plies == Plies::Two;
            if two && !tube {
                board.cloth((LEFT, self.y(from)), (RIGHT, self.y(to)), Side::Wrong);
            }
            depths.push((from, to, if two { "2 plies" } else { "1 ply" }));
            at = to;
        }
        for (i, band) in section.bands.iter().enumerate() {
            let beside = edges(section, self.cloth, i);
            for (edge, own) in beside.into_iter().zip([band.low_edge, band.high_edge]) {
                let line = match own {
                    crate::spread::BandEdge::Fold => Line::Fold,
                    crate::spread::BandEdge::CutEdge => Line::CutEdge,
                    _ => self.side(),
                };
                View::along(&mut board, self.y(edge.y), line);
                if self.napped() && own != crate::spread::BandEdge::NextBand {
                    let inward = if edge.y == 0 { 3.0 } else { -3.0 };
                    if edge.y == 0 || edge.y == section.width.grid() {
                        self.nap(&mut board, self.y(edge.y) + inward, true);
                    }
                }
            }
        }
        View::ends(&mut board, low, extent);
        for (i, _) in section.bands.iter().enumerate() {
            for edge in edges(section, self.cloth, i) {
                if edge.y == 0 || edge.y == section.width.grid() {
                    board.words((x, self.y(edge.y)), edge.name);
                }
            }
        }
        View::start(&mut board, (low + extent) / 2.0);
        for (from, to, plies) in depths {
            let (from_y, to_y) = (self.y(from), self.y(to));
            if to_y - from_y > 4.0 {
                board.words((x, (from_y + to_y) / 2.0), plies);
            }
            if to - from >= 100 {
                board.depth(DEPTHS, from_y, to_y, &self.depth(to - from));
            }
        }
        self.edge_on(&mut board);
        board.done(told)
    }

    /// The plies as they are seen from the end, beside the sketch at the same heights: lower ply at the left.
    fn edge_on(&self, board: &mut Sketch) {
        let extent = self.section.width.grid();
        let (low, high) = (self.y(0), self.y(extent));
        let (under, over) = (EDGE_ON, EDGE_ON + 2.4);
        let hook = |fold: f64, end: f64| -> Vec<At> {
            // A half circle at the fold, then the upper ply to its selvage.
            let inside = if end > fold { 1.2 } else { -1.2 };
            let round = (0..=8).map(|i| {
                let angle = std::f64::consts::PI * f64::from(i) / 8.0;
                (under + 1.2 - 1.2 * angle.cos(), fold + inside * (1.0 - angle.sin()))
            });
            round.chain([(over, end)]).collect()
        };
        let [near, far] = self.flaps();
        match self.section.family {
            Family::LengthwiseFold => board.line(&hook(low, high), Line::CutEdge),
            Family::OffCentreFold => board.line(&hook(low, self.y(near)), Line::CutEdge),
            Family::TwoFolds => {
                board.line(&hook(low, self.y(near)), Line::CutEdge);
                board.line(&hook(high, self.y(extent - far)), Line::CutEdge);
            }
            Family::Tubular => {
                board.line(&hook(low, high - 1.2), Line::CutEdge);
                board.line(&hook(high, low + 1.2), Line::CutEdge);
            }
            Family::Single | Family::CrosswiseFold | Family::TurnedDouble => {}
        }
        let (from, to) = match self.section.family {
            Family::LengthwiseFold | Family::OffCentreFold => (low + 1.2, high),
            _ => (low + 1.2, high - 1.2),
        };
        board.line(&[(under, from), (under, to)], Line::CutEdge);
        board.words((EDGE_ON + 1.2, high + 4.0), "edge on");
    }

    /// The cloth flat, its left half brought over to the right: the fold at the left.
    pub(super) fn crosswise_folding(&self) -> Figure {
        let mut board = self.across(false);
        board.words_to((LEFT + (RIGHT - LEFT) / 2.0 - 1.5, self.y(self.width / 2)), "fold");
        board.done("the left end is brought over to the right one")
    }

    /// The same with the line to cut.
    pub(super) fn crosswise_cutting(&self) -> Figure {
        let mut board = self.across(true);
        board.words_to((LEFT + (RIGHT - LEFT) / 2.0 - 1.5, self.y(self.width / 2)), "cut here");
        board.done("the left end is brought over to the right one, and the fold cut")
    }

    fn across(&self, cut: bool) -> Sketch {
        let mut board = self.board();
        let (low, high) = (self.y(0), self.y(self.width));
        let middle = (LEFT + RIGHT) / 2.0;
        board.line(&[(middle, low), (LEFT, low), (LEFT, high), (middle, high)], Line::Ghost);
        board.cloth((middle, low), (RIGHT, high), Side::Wrong);
        board.line(&[(middle, low), (RIGHT, low)], self.side());
        board.line(&[(middle, high), (RIGHT, high)], self.side());
        board.line(&[(RIGHT, low), (RIGHT, high)], Line::CutEdge);
        if cut {
            board.line(&[(middle, low - 2.0), (middle, high + 2.0)], Line::Cut);
        } else {
            board.line(&[(middle, low), (middle, high)], Line::Fold);
        }
        let quarter = (middle + RIGHT) / 2.0;
        board.words((quarter, (low + high) / 2.0 - 7.0), "wrong side up");
        board.words((quarter, low), self.long().pick("selvages", "edges", "lines"));
        board.words((quarter, high), self.long().pick("selvages", "edges", "lines"));
        let y = (low + high) / 2.0 + 8.0;
        board.swing((LEFT, y), (middle, y + 12.0), (RIGHT - 1.0, y));
        if self.napped() {
            // As folded, the arrows of the upper ply point back.
            for y in [low + 3.5, high - 3.5] {
                board.arrow((quarter + 4.0, y), (quarter - 4.0, y));
            }
        }
        board
    }

    /// The upper ply turned end for end.
    pub(super) fn turning(&self) -> Figure {
        let mut board = self.board();
        let (low, high) = (self.y(0), self.y(self.width));
        board.cloth((LEFT, low), (RIGHT, high), Side::Wrong);
        View::along(&mut board, low, self.side());
        View::along(&mut board, high, self.side());
        View::ends(&mut board, low, high);
        let (x, y) = ((LEFT + RIGHT) / 2.0, (low + high) / 2.0);
        board.swing((x + 15.0, y - 5.0), (x + 15.0, y + 21.0), (x - 4.0, y + 10.0));
        board.swing((x - 15.0, y + 5.0), (x - 15.0, y - 21.0), (x + 4.0, y - 10.0));
        board.words((x, y), "upper ply: half a turn");
        self.nap(&mut board, low + 3.0, true);
        self.nap(&mut board, high - 3.0, true);
        board.done("the upper ply is turned end for end on the lower one")
    }

    /// Two plies over the whole width, seen from above and edge on below it.
    pub(super) fn double(&self, told: &str, fold: bool) -> Figure {
        let mut board = Sketch::new(SIZE.0, SIZE.1 + 4.0);
        let lift = 6.0;
        let (low, high) = (self.y(0) + lift, self.y(self.width) + lift);
        board.words(((LEFT + RIGHT) / 2.0, 2.2), "near: you stand here");
        board.cloth((LEFT, low), (RIGHT, high), Side::Wrong);
        View::along(&mut board, low, self.side());
        View::along(&mut board, high, self.side());
        View::ends(&mut board, low, high);
        if fold {
            board.line(&[(LEFT, low), (LEFT, high)], Line::Fold);
        }
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x, low), self.long().pick("selvages", "edges", "lines"));
        board.words((x, high), self.long().pick("selvages", "edges", "lines"));
        board.words((x, (low + high) / 2.0), "2 plies");
        View::start(&mut board, (low + high) / 2.0);
        self.nap(&mut board, low + 3.0, true);
        self.nap(&mut board, high - 3.0, true);
        board.depth(DEPTHS - 8.0, low, high, &self.depth(self.width));
        // Edge on, along the cloth: under the sketch.
        let (under, over) = (low - 5.4, low - 3.4);
        let (left, right) = (LEFT, RIGHT);
        if fold {
            let round = (0..=8).map(|i| {
                let angle = std::f64::consts::PI * f64::from(i) / 8.0;
                (left + 1.0 - angle.sin(), (under + over) / 2.0 - angle.cos())
            });
            let line: Vec<At> = std::iter::once((right, under)).chain(round).chain([(right, over)]).collect();
            board.line(&line, Line::CutEdge);
        } else {
            board.line(&[(left, under), (right, under)], Line::CutEdge);
            board.line(&[(left, over), (right, over)], Line::CutEdge);
        }
        board.words_from((right + 2.0, (under + over) / 2.0), "edge on");
        board.done(told)
    }

    /// A tube as it comes.
    pub(super) fn tube(&self, told: &str) -> Figure {
        let mut board = self.board();
        let (low, high) = (self.y(0), self.y(self.width / 2));
        board.cloth((LEFT, low), (RIGHT, high), Side::Right);
        View::along(&mut board, low, Line::Fold);
        View::along(&mut board, high, Line::Fold);
        View::ends(&mut board, low, high);
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x, low), "near fold");
        board.words((x, high), "far fold");
        board.words((x, (low + high) / 2.0), "right side out");
        View::start(&mut board, (low + high) / 2.0);
        self.nap(&mut board, low + 3.0, true);
        self.nap(&mut board, high - 3.0, true);
        board.done(told)
    }

    /// A tube and the line along which it is cut open.
    pub(super) fn slitting(&self) -> Figure {
        let mut board = self.board();
        let (low, high) = (self.y(0), self.y(self.width / 2));
        board.cloth((LEFT, low), (RIGHT, high), Side::Right);
        View::along(&mut board, low, Line::Fold);
        board.line(&[(LEFT - 3.0, high), (RIGHT + 3.0, high)], Line::Cut);
        View::ends(&mut board, low, high);
        let x = (LEFT + RIGHT) / 2.0;
        board.words((x, low), "fold");
        board.words((x, high), "cut here, along the stitches");
        board.words((x, (low + high) / 2.0), "right side out");
        View::start(&mut board, (low + high) / 2.0);
        board.done("a tube is cut open along one fold")
    }

    /// The start line across the cloth.
    pub(super) fn start_line(&self, inset: bool) -> Figure {
        let mut board = self.board();
        let (low, high) = (self.y(0), self.y(self.section.width.grid()));
        board.cloth((LEFT, low), (RIGHT, high), Side::Right);
        View::along(&mut board, low, Line::CutEdge);
        View::along(&mut board, high, Line::CutEdge);
        View::ends(&mut board, low, high);
        let x = if inset && !self.section.fold_at_start { LEFT + 6.0 } else { LEFT };
        let middle = (low + high) / 2.0;
        if self.section.fold_at_start {
            board.line(&[(LEFT, low), (LEFT, high)], Line::Fold);
        } else {
            board.line(&[(x, low - 2.0), (x, high + 2.0)], Line::Cut);
        }
        // The sign for a right angle.
        board.line(&[(x, low + 4.0), (x + 4.0, low + 4.0), (x + 4.0, low)], Line::Thin);
        board.words((x.max(LEFT + 4.0), high + 4.0), "start line");
        board.arrow((x, middle), (x + 14.0, middle));
        board.words_from((x + 16.0, middle), "from the start");
        board.done("the start line, square to the long edges; distances are measured from it")
    }
}
