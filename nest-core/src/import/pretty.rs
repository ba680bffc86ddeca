//! A job file as text that a person can edit: an object's fields one to a line, points in rows.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::{Formatter, Serializer};

use crate::job::JobFile;

/// Rows of points are broken here.
const WIDTH: usize = 100;

/// The job file as JSON, indented by two, with points side by side and whole numbers without a decimal point.
///
/// The text reads back to the same job file.
pub fn pretty(file: &JobFile) -> String {
    let mut out = Vec::new();
    let mut serializer = Serializer::with_formatter(&mut out, Rows::default());
    // A job file holds nothing that JSON cannot, and writing to memory does not fail.
    if file.serialize(&mut serializer).is_err() {
        return String::new();
    }
    out.push(b'\n');
    String::from_utf8(out).unwrap_or_default()
}

/// Objects are broken into lines, arrays only where they hold objects or grow too long.
#[derive(Default)]
struct Rows {
    /// How many objects are open.
    depth: usize,
    /// How many arrays are open within the innermost object, for each open object.
    arrays: Vec<usize>,
    /// Characters in the line so far.
    column: usize,
    /// Was something written in the innermost object or array?
    filled: bool,
    /// Has the innermost array broken into lines?
    broken: bool,
    /// Is a space due, unless a new line comes first?
    spaced: bool,
}

impl Rows {
    fn put<W: ?Sized + Write>(&mut self, out: &mut W, text: &[u8]) -> io::Result<()> {
        if std::mem::take(&mut self.spaced) {
            self.column += 1;
            out.write_all(b" ")?;
        }
        self.column += text.len();
        out.write_all(text)
    }

    fn new_line<W: ?Sized + Write>(&mut self, out: &mut W, depth: usize) -> io::Result<()> {
        out.write_all(b"\n")?;
        self.spaced = false;
        self.column = 2 * depth;
        (0..depth).try_for_each(|_| out.write_all(b"  "))
    }

    fn in_arrays(&self) -> usize {
        self.arrays.last().copied().unwrap_or(0)
    }
}

impl Formatter for Rows {
    fn write_f64<W: ?Sized + Write>(&mut self, out: &mut W, value: f64) -> io::Result<()> {
        let whole = value == value.trunc() && value.abs() < 1e15;
        let text = if whole { format!("{}", value as i64) } else { format!("{value}") };
        self.put(out, text.as_bytes())
    }

    fn begin_string<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        // A space that is due stands before the quotation mark, not in the text.
        self.put(out, b"\"")
    }

    fn write_string_fragment<W: ?Sized + Write>(&mut self, out: &mut W, fragment: &str) -> io::Result<()> {
        self.put(out, fragment.as_bytes())
    }

    fn begin_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        if let Some(arrays) = self.arrays.last_mut() {
            *arrays += 1;
        }
        self.filled = false;
        self.broken = false;
        self.put(out, b"[")
    }

    fn end_array<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        if let Some(arrays) = self.arrays.last_mut() {
            *arrays -= 1;
        }
        if self.broken && self.in_arrays() == 0 {
            let depth = self.depth;
            self.new_line(out, depth)?;
            self.broken = false;
        }
        self.filled = true;
        self.put(out, b"]")
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if !first {
            // A point is never broken, only a row of them.
            self.put(out, b",")?;
            if self.column > WIDTH && self.in_arrays() == 1 {
                let depth = self.depth + 1;
                return self.new_line(out, depth);
            }
            self.spaced = true;
        }
        Ok(())
    }

    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        if self.in_arrays() > 0 {
            let depth = self.depth + 1;
            self.new_line(out, depth)?;
            self.depth += 1;
        }
        self.arrays.push(0);
        self.depth += 1;
        self.filled = false;
        self.put(out, b"{")
    }

    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.depth -= 1;
        self.arrays.pop();
        if self.filled {
            let depth = self.depth;
            self.new_line(out, depth)?;
        }
        self.filled = true;
        self.put(out, b"}")?;
        if self.in_arrays() > 0 {
            self.depth -= 1;
            self.broken = true;
        }
        Ok(())
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if !first {
            self.put(out, b",")?;
        }
        let depth = self.depth;
        self.new_line(out, depth)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, _out: &mut W) -> io::Result<()> {
        self.filled = true;
        Ok(())
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        self.put(out, b": ")
    }
}
