//! [`Sheet`]: where the lay, the title, the rulers and the key go on the page, and how large words are.

use svg::node::element::Group;

use super::ink::mm;
use crate::geometry::Point;
use crate::length::GRID_PER_MM;
use crate::spread::Spread;

/// The page, in millimetres, y down; only the lay's own corner is kept on the grid, so that outlines stay exact.
pub(super) struct Sheet {
    text: f64,
    lay_length: i64,
    lay_width: i64,
    left: i64,
    top: i64,
    width: f64,
    height: f64,
}

/// Something drawn about its own upper left corner, and the room it takes in millimetres.
pub(super) struct Block {
    pub(super) drawn: Group,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Sheet {
    /// A page for a lay.
    ///
    /// The size of running text follows the lay, so that a whole marker fitted to a screen some 1600 by 1000 pixels
    /// large can be read at a glance: with a 90th of the length or a 45th of the width it comes out at 13 to 16 pixels.
    /// A lay longer than some twenty times its width would get a title taller than itself; there the width limits it.
    pub(super) fn new(spread: &Spread) -> Sheet {
        let length = spread.lay_length().mm();
        let width = spread.sections.iter().map(|s| s.width.mm()).fold(0.0, f64::max);
        Sheet::with_text(spread, (length / 90.0).max(width / 45.0).min(width / 4.0).max(3.0))
    }

    /// A page for a lay with words of this size, in millimetres of the lay.
    pub(super) fn with_text(spread: &Spread, text: f64) -> Sheet {
        let lay_length = spread.lay_length().grid();
        let lay_width = spread.sections.iter().map(|s| s.width.grid()).max().unwrap_or(0);
        let left = (5.5 * text).ceil() as i64 * GRID_PER_MM;
        let mut sheet = Sheet { text, lay_length, lay_width, left, top: 0, width: 0.0, height: 0.0 };
        sheet.width = sheet.lay_right() + 9.5 * text;
        sheet
    }

    /// Size of running text in millimetres.
    pub(super) fn text(&self) -> f64 {
        self.text
    }

    /// The margin around everything.
    pub(super) fn margin(&self) -> f64 {
        self.text
    }

    /// Width of thin lines. Browsers take it for screen pixels whatever the zoom (see `vector-effect`), so that an
    /// outline is as thin on a plot at true size as it is plain on a screen; other readers take it for millimetres.
    pub(super) fn pen(&self) -> f64 {
        (self.text * 0.025).clamp(0.6, 1.2)
    }

    /// The page's width in millimetres.
    pub(super) fn width(&self) -> f64 {
        self.width
    }

    /// The page's height in millimetres.
    pub(super) fn height(&self) -> f64 {
        self.height
    }

    /// Makes the page wide enough for `block` and puts the lay under it.
    pub(super) fn put_lay_below(&mut self, title: &Block) {
        self.width = self.width.max(title.width + 2.0 * self.margin());
        self.top = (title.height + 2.9 * self.text).ceil() as i64 * GRID_PER_MM;
        self.height = self.lay_bottom() + 4.5 * self.text;
    }

    /// Puts the lay at the head of the page, and the page's end under its ruler.
    pub(super) fn put_lay_first(&mut self) {
        self.top = (1.5 * self.text).ceil() as i64 * GRID_PER_MM;
        self.height = (self.lay_bottom() + 4.2 * self.text).ceil();
        self.width = self.width.ceil();
    }

    /// Puts blocks under the lay and its ruler, one under the other, and the page's end under the last.
    pub(super) fn put_below_lay(&mut self, blocks: Vec<Block>) -> Vec<Group> {
        let mut placed = Vec::new();
        for block in blocks {
            let shift = format!("translate({} {})", mm(self.margin()), mm(self.height));
            placed.push(block.drawn.set("transform", shift));
            self.width = self.width.max(block.width + 2.0 * self.margin());
            self.height += block.height + self.text;
        }
        self.width = self.width.ceil();
        self.height = self.height.ceil();
        placed
    }

    /// A point of the lay on the page, in hundredths of a millimetre: the one place that turns y over.
    pub(super) fn at(&self, p: Point) -> Point {
        Point::new(self.left + p.x, self.top + self.lay_width - p.y)
    }

    /// A point of the lay on the page, in millimetres.
    pub(super) fn at_mm(&self, p: Point) -> (f64, f64) {
        let p = self.at(p);
        (p.x as f64 / GRID_PER_MM as f64, p.y as f64 / GRID_PER_MM as f64)
    }

    /// The lay's left edge on the page.
    pub(super) fn lay_left(&self) -> f64 {
        self.at_mm(Point::new(0, 0)).0
    }

    /// The lay's right edge on the page.
    pub(super) fn lay_right(&self) -> f64 {
        self.at_mm(Point::new(self.lay_length, 0)).0
    }

    /// The lay's upper edge on the page, farthest from the cutter.
    pub(super) fn lay_top(&self) -> f64 {
        self.at_mm(Point::new(0, self.lay_width)).1
    }

    /// The lay's lower edge on the page, nearest the cutter.
    pub(super) fn lay_bottom(&self) -> f64 {
        self.at_mm(Point::new(0, 0)).1
    }
}
