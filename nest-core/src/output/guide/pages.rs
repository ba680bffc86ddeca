//! The guide set on pages of paper: where every line of words, row of a table and sketch goes, and where pages break.

use svg::node::element::{Circle, Group, Path, Rectangle};

use super::columns::set;
use super::document::{Block, Document, Figure, Step};
use super::printed_table::Setting;
use crate::draw::ink::{FONTS, INK, mm};
use crate::draw::lettering::{self, Anchor, Weight, clean, shortened};
use crate::output::paper::Paper;

/// White on all sides, in millimetres: holes can be punched, and every printer prints it.
const MARGIN: f64 = 15.0;
/// Running words: 11 points, read at arm's length.
pub(super) const BODY: f64 = 3.9;
/// From line to line, in sizes of type.
pub(super) const LEADING: f64 = 1.35;
/// The same where it saves a page.
const CLOSE: f64 = 1.24;
/// A page with less on it than this, in millimetres, is better saved.
const FEW: f64 = 40.0;
/// Words under a heading begin on the same page when there is so much room; a sketch and its words need it.
const KEPT: f64 = 45.0;

/// The pages as SVG documents, one unit a millimetre. A last page that would hold no more than a few lines is saved, where
/// lines set a little closer do it.
pub(super) fn pages(document: &Document, paper: Paper) -> Vec<String> {
    let loose = Press::set(document, paper, LEADING);
    if loose.y - MARGIN > FEW || loose.done.is_empty() {
        return loose.bound(&document.title);
    }
    let close = Press::set(document, paper, CLOSE);
    let fewer = close.done.len() < loose.done.len();
    if fewer { close } else { loose }.bound(&document.title)
}

/// Pages being set.
pub(super) struct Press {
    size: (f64, f64),
    done: Vec<Group>,
    page: Group,
    y: f64,
    /// From line to line of running words, in sizes of type.
    leading: f64,
}

impl Press {
    fn set(document: &Document, paper: Paper, leading: f64) -> Press {
        let mut press =
            Press { size: paper.size(), done: Vec::new(), page: Group::new(), y: MARGIN, leading };
        press.words(&document.title, 7.0, Weight::Bold, 0.0);
        for (i, block) in document.blocks.iter().enumerate() {
            press.keep_with_figure(&document.blocks[i..]);
            press.block(block);
        }
        press
    }

    /// From margin to margin.
    pub(super) fn width(&self) -> f64 {
        self.size.0 - 2.0 * MARGIN
    }

    /// What is set has to end here; the foot of the page is below.
    fn low(&self) -> f64 {
        self.size.1 - MARGIN - 6.0
    }

    pub(super) fn at(&self) -> (f64, f64) {
        (MARGIN, self.y)
    }

    pub(super) fn add(&mut self, node: impl Into<Box<dyn svg::Node>>) {
        self.page = std::mem::take(&mut self.page).add(node);
    }

    pub(super) fn down(&mut self, by: f64) {
        self.y += by;
    }

    /// Begins a new page unless so much room is left on this one; tells whether it did.
    pub(super) fn need(&mut self, height: f64) -> bool {
        if self.y + height <= self.low() || self.y <= MARGIN {
            return false;
        }
        self.turn();
        true
    }

    fn turn(&mut self) {
        self.done.push(std::mem::take(&mut self.page));
        self.y = MARGIN;
    }

    /// Numbers the pages and makes documents of them.
    fn bound(mut self, title: &str) -> Vec<String> {
        self.turn();
        let count = self.done.len();
        let (width, height) = (mm(self.size.0), mm(self.size.1));
        let title = shortened(&clean(title), Weight::Plain, (self.width() - 30.0) / 3.0);
        self.done
            .into_iter()
            .enumerate()
            .map(|(i, page)| {
                let foot = self.size.1 - MARGIN;
                let number = format!("page {} of {count}", i + 1);
                let right = self.size.0 - MARGIN;
                svg::Document::new()
                    .set("width", format!("{width}mm"))
                    .set("height", format!("{height}mm"))
                    .set("viewBox", format!("0 0 {width} {height}"))
                    .set("font-family", FONTS)
                    .add(page)
                    .add(lettering::text(&title, (MARGIN, foot), 3.0, Weight::Plain, Anchor::Start))
                    .add(lettering::text(&number, (right, foot), 3.0, Weight::Plain, Anchor::End))
                    .to_string()
            })
            .collect()
    }

    /// Words between the margins, the left one moved in; lines may be divided between pages.
    fn words(&mut self, words: &str, size: f64, weight: Weight, inset: f64) {
        for line in self.lines(words, size, weight, inset) {
            self.need(size * self.leading);
            let foot = (MARGIN + inset, self.y + size);
            self.add(lettering::text(&line, foot, size, weight, Anchor::Start));
            self.down(size * self.leading);
        }
    }

    fn lines(&self, words: &str, size: f64, weight: Weight, inset: f64) -> Vec<String> {
        let room = (self.width() - inset) / size;
        let lines = set(&clean(words), room, |words| lettering::width(words, weight));
        // A word wider than the page is cut.
        lines.into_iter().map(|line| shortened(&line, weight, room)).collect()
    }

    fn height(&self, words: &str, size: f64, inset: f64) -> f64 {
        self.lines(words, size, Weight::Plain, inset).len() as f64 * size * self.leading
    }

    /// Headings and words that lead to a figure begin on its page, where all of them have room on one.
    fn keep_with_figure(&mut self, blocks: &[Block]) {
        let (mut height, mut in_words) = (0.0, false);
        for block in blocks {
            match block {
                // A heading is 14 mm high at the most, with what is above it; what stands before it ends a part.
                Block::Heading(..) if !in_words => height += 14.0,
                Block::Paragraph(words) => {
                    in_words = true;
                    height += 1.5 + self.height(words, BODY, 0.0);
                }
                Block::Figure(figure) if height > 0.0 => {
                    height += 2.0 + self.shown(figure, 0.0).1;
                    if height <= self.low() - MARGIN {
                        self.need(height);
                    }
                    return;
                }
                _ => return,
            }
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(level, words) => self.heading(*level, words),
            Block::Paragraph(words) => {
                self.down(1.5);
                self.need(2.0 * BODY * self.leading);
                self.words(words, BODY, Weight::Plain, 0.0);
            }
            Block::Facts(facts) => self.facts(facts),
            Block::Steps(steps) => {
                for (i, step) in steps.iter().enumerate() {
                    self.step(i + 1, step);
                }
            }
            Block::Points(points) => {
                for point in points {
                    self.down(1.2);
                    self.need(self.height(point, BODY, 6.0).min(30.0));
                    let (x, y) = (MARGIN + 2.5, self.y + BODY * 0.66);
                    self.add(
                        Circle::new().set("cx", mm(x)).set("cy", mm(y)).set("r", "0.6").set("fill", INK),
                    );
                    self.words(point, BODY, Weight::Plain, 6.0);
                }
            }
            Block::Table(table) => {
                self.down(2.0);
                Setting::new(table, self.width()).print(self);
                self.down(1.0);
            }
            Block::Figure(figure) => {
                self.down(2.0);
                self.figure(figure, 0.0);
            }
            // What is left of a page that is more than half full would hold little more than headings.
            Block::NewPage if self.y > self.size.1 * 0.55 => self.turn(),
            Block::NewPage => self.down(8.0),
        }
    }

    fn heading(&mut self, level: u8, words: &str) {
        let (size, above) = match level {
            1 => (6.0, 6.0),
            2 => (5.2, 6.0),
            3 => (4.6, 4.5),
            _ => (4.1, 3.0),
        };
        self.down(above);
        self.need(KEPT);
        self.words(words, size, Weight::Bold, 0.0);
        if level <= 2 {
            let (x, y) = self.at();
            let right = self.size.0 - MARGIN;
            let rule = format!("M{},{} L{},{}", mm(x), mm(y), mm(right), mm(y));
            self.add(Path::new().set("d", rule).set("stroke", INK).set("stroke-width", "0.4"));
            self.down(1.0);
        }
    }

    /// Names at the left, what they are beside them.
    fn facts(&mut self, facts: &[(String, String)]) {
        let wide = |name: &str| lettering::width(&clean(name), Weight::Bold) * BODY;
        let names = facts.iter().map(|(name, _)| wide(name)).fold(0.0, f64::max);
        let inset = (names + 4.0).min(self.width() / 3.0);
        self.down(1.5);
        for (name, what) in facts {
            self.need(self.height(what, BODY, inset).min(40.0));
            let name = shortened(&clean(name), Weight::Bold, inset / BODY);
            let foot = (MARGIN, self.y + BODY);
            self.add(lettering::text(&name, foot, BODY, Weight::Bold, Anchor::Start));
            self.words(what, BODY, Weight::Plain, inset);
            self.down(0.8);
        }
    }

    /// A number, what to do, and what that looks like, all on one page: beside the words where the sketch leaves room for
    /// them, else under them.
    fn step(&mut self, number: usize, step: &Step) {
        const INSET: f64 = 9.0;
        /// Between words and a sketch beside them.
        const GUTTER: f64 = 6.0;
        /// Words in shorter lines read badly.
        const LEAST: f64 = 58.0;
        let shown = step.figure.as_ref().map_or((0.0, 0.0), |figure| self.shown(figure, INSET));
        let beside = self.width() - INSET - shown.0 - GUTTER >= LEAST && shown.0 > 0.0;
        let aside = if beside { shown.0 + GUTTER } else { 0.0 };
        let words = self.height(&step.words, BODY, INSET + aside);
        let sketch = if shown.0 > 0.0 { shown.1 + 1.5 } else { 0.0 };
        self.down(2.0);
        self.need(if beside { words.max(sketch) } else { words + sketch });
        let top = self.y;
        let foot = (MARGIN + 6.5, self.y + BODY);
        self.add(lettering::text(&format!("{number}."), foot, BODY, Weight::Bold, Anchor::End));
        for line in self.lines(&step.words, BODY, Weight::Plain, INSET + aside) {
            let foot = (MARGIN + INSET, self.y + BODY);
            self.add(lettering::text(&line, foot, BODY, Weight::Plain, Anchor::Start));
            self.down(BODY * self.leading);
        }
        let Some(figure) = &step.figure else { return };
        if beside {
            let after = self.y;
            self.y = top;
            self.figure(figure, self.width() - shown.0);
            self.y = self.y.max(after);
        } else {
            self.down(1.0);
            self.figure(figure, INSET);
        }
    }

    /// The size at which a figure is shown: its own, or what there is room for.
    fn shown(&self, figure: &Figure, inset: f64) -> (f64, f64) {
        let room = (self.width() - inset, self.low() - MARGIN);
        let scale = (room.0 / figure.width).min(room.1 / figure.height).min(1.0);
        (figure.width * scale, figure.height * scale)
    }

    fn figure(&mut self, figure: &Figure, inset: f64) {
        let (wide, high) = self.shown(figure, inset);
        self.need(high);
        let place = format!(
            "translate({} {}) scale({:.4})",
            mm(MARGIN + inset),
            mm(self.y),
            if figure.width > 0.0 { wide / figure.width } else { 1.0 }
        );
        let drawn = Group::new()
            .set("class", "figure")
            .set("data-width", mm(wide))
            .set("data-height", mm(high))
            .set("transform", place)
            .add(figure.drawn.clone());
        self.add(drawn);
        self.down(high);
    }

    /// A grey band from margin to margin, behind what is set on it next.
    pub(super) fn band(&mut self, height: f64, width: f64) {
        let (x, y) = self.at();
        self.add(
            Rectangle::new()
                .set("x", mm(x))
                .set("y", mm(y))
                .set("width", mm(width))
                .set("height", mm(height))
                .set("fill", "#e4e4e4"),
        );
    }
}
