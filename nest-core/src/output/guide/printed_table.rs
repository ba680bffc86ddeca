//! [`Setting`]: a table on paper: how wide its columns are, how its cells break, and its head again on every page.

use svg::node::element::{Group, Path};

use super::columns::{set, widths};
use super::document::{Align, Row, Table};
use super::pages::{LEADING, Press};
use crate::draw::ink::{INK, mm};
use crate::draw::lettering::{self, Anchor, Weight, clean, shortened};

/// Sizes of type that are tried, the first at which no word is broken: from 9.6 down to 7 points.
const SIZES: [f64; 5] = [3.4, 3.2, 3.0, 2.8, 2.5];
/// Left and right of the words of a cell.
const PAD: f64 = 1.1;
/// Above and below them.
const AIR: f64 = 0.9;

/// A table with the widths of its columns for a page of some width.
pub(super) struct Setting<'a> {
    table: &'a Table,
    size: f64,
    /// Of the words alone.
    widths: Vec<f64>,
}

/// What a row of cells is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rank {
    Head,
    Cells(Option<usize>),
}

impl<'a> Setting<'a> {
    pub(super) fn new(table: &'a Table, room: f64) -> Setting<'a> {
        let columns = table.columns.len();
        let (mut least, mut most) = (vec![0.0_f64; columns], vec![0.0_f64; columns]);
        let mut take = |i: usize, words: &str, weight: Weight| {
            let words = clean(words);
            let longest = words.split_whitespace().map(|w| lettering::width(w, weight)).fold(0.0, f64::max);
            least[i] = least[i].max(longest);
            most[i] = most[i].max(lettering::width(&words, weight));
        };
        for (i, column) in table.columns.iter().enumerate() {
            // A head may break between any two words, as the cells below it need not.
            column.head.split_whitespace().for_each(|word| take(i, word, Weight::Bold));
        }
        for row in &table.rows {
            if let Row::Cells(cells, _) = row {
                cells.iter().enumerate().for_each(|(i, cell)| take(i, cell, Weight::Plain));
            }
        }
        let room = room - 2.0 * PAD * columns as f64;
        let fits = |size: &f64| least.iter().sum::<f64>() * size <= room;
        let size = SIZES.into_iter().find(fits).unwrap_or(SIZES[SIZES.len() - 1]);
        let mut widths = widths(&least, &most, room / size);
        let sum: f64 = widths.iter().sum();
        if sum > room / size {
            // Words are cut rather than run into the next column.
            widths.iter_mut().for_each(|w| *w *= room / size / sum);
        }
        Setting { table, size, widths: widths.iter().map(|w| w * size).collect() }
    }

    fn width(&self) -> f64 {
        self.widths.iter().map(|w| w + 2.0 * PAD).sum()
    }

    pub(super) fn print(&self, press: &mut Press) {
        let heads: Vec<String> = self.table.columns.iter().map(|column| column.head.clone()).collect();
        let head_height = self.height(&heads, Weight::Bold);
        press.need(head_height + 20.0);
        self.row(press, &heads, Rank::Head);
        for row in &self.table.rows {
            match row {
                Row::Group(words) => {
                    let height = self.size * LEADING + 2.0 * AIR;
                    if press.need(height + 12.0) {
                        self.row(press, &heads, Rank::Head);
                    }
                    press.band(height, self.width());
                    let (x, y) = press.at();
                    let words = shortened(&clean(words), Weight::Bold, self.width() / self.size);
                    let foot = (x + PAD, y + AIR + self.size);
                    press.add(lettering::text(&words, foot, self.size, Weight::Bold, Anchor::Start));
                    press.down(height);
                }
                Row::Cells(cells, placement) => {
                    if press.need(self.height(cells, Weight::Plain)) {
                        self.row(press, &heads, Rank::Head);
                    }
                    self.row(press, cells, Rank::Cells(*placement));
                }
            }
        }
    }

    fn lines(&self, cell: &str, column: usize, weight: Weight) -> Vec<String> {
        // A trace more than the words take, so that what fits exactly is not broken.
        let room = self.widths[column] / self.size + 1e-6;
        let lines = set(&clean(cell), room, |words| lettering::width(words, weight));
        lines.into_iter().map(|line| shortened(&line, weight, room)).collect()
    }

    fn height(&self, cells: &[String], weight: Weight) -> f64 {
        let deep = cells.iter().enumerate().map(|(i, cell)| self.lines(cell, i, weight).len()).max();
        deep.unwrap_or(1) as f64 * self.size * LEADING + 2.0 * AIR
    }

    fn row(&self, press: &mut Press, cells: &[String], rank: Rank) {
        let weight = if rank == Rank::Head { Weight::Bold } else { Weight::Plain };
        let height = self.height(cells, weight);
        let (left, top) = press.at();
        let mut group = Group::new();
        if let Rank::Cells(Some(number)) = rank {
            group = group.set("data-placement", number);
        }
        let mut x = left;
        for (i, cell) in cells.iter().enumerate() {
            let (at, anchor) = match self.table.columns[i].align {
                Align::Left => (x + PAD, Anchor::Start),
                Align::Right => (x + PAD + self.widths[i], Anchor::End),
            };
            let mut own = Group::new().set("class", "cell");
            for (k, line) in self.lines(cell, i, weight).iter().enumerate() {
                let foot = (at, top + AIR + self.size * (1.0 + LEADING * k as f64));
                own = own.add(lettering::text(line, foot, self.size, weight, anchor));
            }
            group = group.add(own);
            x += self.widths[i] + 2.0 * PAD;
        }
        let low = mm(top + height);
        let rule = format!("M{},{low} L{},{low}", mm(left), mm(left + self.width()));
        let pen = if rank == Rank::Head { "0.4" } else { "0.12" };
        press.add(group.add(Path::new().set("d", rule).set("stroke", INK).set("stroke-width", pen)));
        press.down(height);
    }
}
