//! [`Document`]: what the guide says, in blocks that text, HTML and printed pages each set in their own way.

use svg::node::element::Group;

/// An empty box to tick. It is in the face that pages are set in.
pub(super) const TICK: &str = "\u{2610}";

/// A whole guide.
pub(super) struct Document {
    pub(super) title: String,
    pub(super) blocks: Vec<Block>,
}

/// A part of a document.
pub(super) enum Block {
    /// A heading of level 1 (a cloth) or 2 (a part of the work).
    Heading(u8, String),
    Paragraph(String),
    /// Names and what they are.
    Facts(Vec<(String, String)>),
    /// Things to do one after the other.
    Steps(Vec<Step>),
    /// Things without an order.
    Points(Vec<String>),
    Table(Table),
    Figure(Figure),
    /// What follows is another work: it begins a page where there are pages and little of this one is left.
    NewPage,
}

/// One thing to do, with a drawing where that says more than words.
pub(super) struct Step {
    pub(super) words: String,
    pub(super) figure: Option<Figure>,
}

/// Rows under named columns.
pub(super) struct Table {
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Row>,
}

/// One column.
pub(super) struct Column {
    pub(super) head: String,
    pub(super) align: Align,
}

/// Where the words of a cell begin or end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Right,
}

/// A line of a table.
pub(super) enum Row {
    /// A heading across the whole table.
    Group(String),
    /// A cell for every column, and the number in the marker of the placement it is about, counted from 1.
    Cells(Vec<String>, Option<usize>),
}

/// A drawing. One unit is one millimetre on paper; y runs down, and the upper left corner is the origin.
pub(super) struct Figure {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) drawn: Group,
    /// What it shows, for those who do not see it.
    pub(super) told: String,
}

impl Table {
    /// A table without rows; heads that begin with `>` are set to the right.
    pub(super) fn new(heads: &[&str]) -> Table {
        let column = |head: &&str| match head.strip_prefix('>') {
            Some(head) => Column { head: head.to_owned(), align: Align::Right },
            None => Column { head: (*head).to_owned(), align: Align::Left },
        };
        Table { columns: heads.iter().map(column).collect(), rows: Vec::new() }
    }

    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        let cells: Vec<String> = cells.into_iter().collect();
        debug_assert_eq!(cells.len(), self.columns.len(), "a cell for every column");
        self.rows.push(Row::Cells(cells, None));
    }
}
