//! [`Instance::read_bytes`]: from the bytes of an instance file to an instance, or to everything that is wrong with it.

use std::collections::BTreeSet;
use std::fmt;

use super::file::{InstanceFile, PieceFile};
use super::{Instance, InstancePiece};
use crate::geometry::Turn;
use crate::job::limits::{MAX_COPIES, MAX_FILE_BYTES, MAX_NAME, MAX_OUTLINE_POINTS, MAX_PIECES};
use crate::job::{ProblemKind, SyntaxError, printable, strictly, unmarked};

/// Why a file is not an instance.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InstanceError {
    /// Not JSON, or not in the form of an instance; reading stops at the first such fault.
    #[error(transparent)]
    Syntax(#[from] SyntaxError),
    /// The form is right and the meaning is not: every problem found.
    #[error("{}", lines(.0))]
    Problems(Vec<InstanceProblem>),
}

/// Something wrong with an instance.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InstanceProblem {
    /// The path inside the file, such as `pieces[3].turns`; empty for the file as a whole.
    pub place: String,
    /// What is wrong and how to mend it.
    pub message: String,
}

impl fmt::Display for InstanceProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let place = if self.place.is_empty() { String::new() } else { format!("{}: ", self.place) };
        f.write_str(&printable(&format!("{place}{}", self.message)))
    }
}

fn lines(problems: &[InstanceProblem]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

/// Collects problems.
#[derive(Default)]
pub(super) struct Faults(Vec<InstanceProblem>);

impl Faults {
    pub(super) fn one(place: &str, message: impl Into<String>) -> InstanceError {
        let (place, message) = (place.to_owned(), message.into());
        InstanceError::Problems(vec![InstanceProblem { place, message }])
    }

    pub(super) fn add(&mut self, place: impl Into<String>, message: impl Into<String>) {
        self.0.push(InstanceProblem { place: place.into(), message: message.into() });
    }

    pub(super) fn or<T>(self, value: T) -> Result<T, InstanceError> {
        if self.0.is_empty() { Ok(value) } else { Err(InstanceError::Problems(self.0)) }
    }
}

impl Instance {
    /// Reads an instance from the bytes of its file, which are UTF-8.
    ///
    /// # Errors
    /// [`InstanceError::Syntax`] with line and column when the file has not the form of an instance; otherwise
    /// [`InstanceError::Problems`] with everything that is wrong in its meaning, each with its place and the way to mend it.
    ///
    /// # Complexity
    /// Linear in the file.
    ///
    /// # Example
    /// ```
    /// use nest_core::instance::Instance;
    ///
    /// let text = r#"{
    ///     "name": "two wedges", "source": "our own", "strip_width": 4,
    ///     "pieces": [{ "id": "wedge", "quantity": 2, "turns": [0, 180], "outline": [[0, 0], [6, 0], [0, 4]] }]
    /// }"#;
    /// let scaled = Instance::read_bytes(text.as_bytes())?.scaled()?;
    /// assert_eq!((scaled.scale, scaled.board.height()), (50_000.0, 200_000));
    ///
    /// let error = Instance::read_bytes(text.replace("180", "45").as_bytes()).unwrap_err();
    /// assert_eq!(
    ///     error.to_string(),
    ///     "pieces[0].turns[1]: 45 degrees is no quarter turn: write 0, 90, 180 or 270"
    /// );
    /// # Ok::<(), nest_core::instance::InstanceError>(())
    /// ```
    pub fn read_bytes(bytes: &[u8]) -> Result<Instance, InstanceError> {
        if bytes.len() > MAX_FILE_BYTES {
            let told =
                format!("holds {} bytes; the most that can be handled is {MAX_FILE_BYTES}", bytes.len());
            return Err(Faults::one("", told));
        }
        let Ok(text) = std::str::from_utf8(bytes) else {
            return Err(Faults::one("", "this is not text: an instance is JSON, saved as UTF-8"));
        };
        let file: InstanceFile = strictly(unmarked(text), "an instance")?;
        resolve(file)
    }
}

fn resolve(file: InstanceFile) -> Result<Instance, InstanceError> {
    let mut faults = Faults::default();
    is_named(&file.name, "name", &mut faults);
    if !(file.strip_width.is_finite() && file.strip_width > 0.0) {
        faults.add("strip_width", "the strip needs a width of more than nothing");
    }
    if file.pieces.is_empty() {
        faults.add("pieces", "there is nothing to lay: give a piece");
    }
    if file.pieces.len() > MAX_PIECES {
        let count = file.pieces.len();
        faults.add("pieces", format!("there are {count}; the most that can be handled is {MAX_PIECES}"));
        return Err(InstanceError::Problems(faults.0));
    }
    let copies: u64 = file.pieces.iter().map(|piece| u64::from(piece.quantity)).sum();
    if copies > MAX_COPIES {
        faults
            .add("pieces", format!("{copies} are to be laid; the most that can be handled is {MAX_COPIES}"));
    }
    let InstanceFile { name, source, strip_width, pieces: files } = file;
    let mut ids = BTreeSet::new();
    let mut pieces = Vec::new();
    for (index, piece) in files.into_iter().enumerate() {
        let place = format!("pieces[{index}]");
        is_named(&piece.id, &format!("{place}.id"), &mut faults);
        if !ids.insert(piece.id.clone()) {
            faults.add(
                format!("{place}.id"),
                format!("\"{}\" is the id of an earlier piece: change one", piece.id),
            );
        }
        pieces.push(resolve_piece(piece, &place, &mut faults));
    }
    faults.or(Instance { name, source, strip_width, pieces })
}

fn resolve_piece(piece: PieceFile, place: &str, faults: &mut Faults) -> InstancePiece {
    if piece.quantity == 0 {
        faults.add(
            format!("{place}.quantity"),
            "a piece is laid once at least: write 1 or more, or take it out",
        );
    }
    if piece.turns.is_empty() {
        faults.add(format!("{place}.turns"), "the piece may not lie in any turn: write [0] at least");
    }
    let mut turns = Vec::new();
    for (index, &degrees) in piece.turns.iter().enumerate() {
        match Turn::ALL.into_iter().find(|turn| f64::from(turn.degrees()) == degrees) {
            Some(turn) => turns.push(turn),
            None => faults.add(
                format!("{place}.turns[{index}]"),
                format!("{degrees} degrees is no quarter turn: write 0, 90, 180 or 270"),
            ),
        }
    }
    let corners = piece.outline.len();
    if corners < 3 {
        faults.add(
            format!("{place}.outline"),
            format!("has {corners} corners; an outline needs at least three"),
        );
    }
    if corners > MAX_OUTLINE_POINTS {
        faults.add(
            format!("{place}.outline"),
            format!("has {corners} corners; the most that can be handled is {MAX_OUTLINE_POINTS}"),
        );
    }
    InstancePiece { id: piece.id, quantity: piece.quantity, turns, outline: piece.outline }
}

fn is_named(name: &str, place: &str, faults: &mut Faults) {
    if name.trim().is_empty() {
        faults.add(place, "is blank: give a name");
    }
    if name.chars().any(char::is_control) {
        faults.add(place, ProblemKind::ControlCharacter.to_string());
    }
    if name.chars().count() > MAX_NAME {
        faults.add(place, format!("is longer than {MAX_NAME} characters: shorten it"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WEDGES: &str = r#"{
        "name": "wedges", "source": "our own", "strip_width": 4.5,
        "pieces": [
            { "id": "low", "quantity": 2, "turns": [0, 180.0], "outline": [[0, 0], [6, 0], [0, 4]] },
            { "id": "high", "quantity": 1, "turns": [270], "outline": [[-1, 0], [3, 0], [3, 2], [-1, 2.5]] }
        ]
    }"#;

    fn told(from: &str, to: &str) -> String {
        let text = WEDGES.replace(from, to);
        assert!(text != WEDGES, "{from} is there to be replaced");
        Instance::read_bytes(text.as_bytes()).unwrap_err().to_string()
    }

    #[test]
    fn an_instance_is_read() {
        let instance = Instance::read_bytes(WEDGES.as_bytes()).expect("right");
        assert_eq!((&*instance.name, instance.strip_width, instance.pieces.len()), ("wedges", 4.5, 2));
        assert_eq!(instance.pieces[0].turns, [Turn::None, Turn::Half]);
        assert_eq!(instance.pieces[1].outline[3], [-1.0, 2.5]);
        let marked = format!("\u{feff}{WEDGES}");
        assert_eq!(Instance::read_bytes(marked.as_bytes()), Ok(instance));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place_and_the_way_to_mend_it() {
        assert_eq!(
            told("[0, 180.0]", "[]"),
            "pieces[0].turns: the piece may not lie in any turn: write [0] at least"
        );
        assert_eq!(told("4.5", "-1"), "strip_width: the strip needs a width of more than nothing");
        assert_eq!(
            told("\"high\"", "\"low\""),
            "pieces[1].id: \"low\" is the id of an earlier piece: change one"
        );
        assert_eq!(told("[6, 0], ", ""), "pieces[0].outline: has 2 corners; an outline needs at least three");
        assert_eq!(told("\"wedges\"", "\" \""), "name: is blank: give a name");
        assert!(
            told("\"low\"", r#""lo\u001b[31mw""#).starts_with("pieces[0].id: holds a line break or another")
        );
        assert_eq!(
            told("\"quantity\": 1", "\"quantity\": 10000"),
            "pieces: 10002 are to be laid; the most that can be handled is 10000"
        );
        assert_eq!(
            told("\"quantity\": 1", "\"quantity\": 0"),
            "pieces[1].quantity: a piece is laid once at least: write 1 or more, or take it out"
        );
        for count in ["-3", "2.0"] {
            let told = told("\"quantity\": 1", &format!("\"quantity\": {count}"));
            let says = format!(
                "pieces[1].quantity: the number `{count}` stands where a whole number from 0 up is wanted: write"
            );
            assert!(told.starts_with(&says), "{told}");
        }
        assert!(told("[6, 0]", "[6]").contains("it has 1 entry: write two entries in [ ]"));
        assert_eq!(
            told("\"turns\": [270]", "\"turns\": [270], \"colour\": 3"),
            "pieces[1].colour: unknown field `colour`, expected one of `id`, `quantity`, `turns`, `outline`: \
             correct its spelling, or take it out (line 5, column 67)"
        );
        assert!(told(WEDGES, "").contains("the file is empty: write an instance, beginning with {"));
        assert!(told(WEDGES, "[]").contains("this is no instance file: write a JSON object"));
        let several = WEDGES.replace("4.5", "0").replace("270", "7");
        let several = Instance::read_bytes(several.as_bytes()).unwrap_err().to_string();
        assert_eq!(several.lines().count(), 2, "all at once: {several}");
        assert!(Instance::read_bytes(b"\xff").unwrap_err().to_string().contains("is not text"));
    }
}
