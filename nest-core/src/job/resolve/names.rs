//! Names of sizes, views, pieces and cloths: printable, and each given once.

use std::collections::BTreeMap;

use super::faults::Faults;
use crate::job::ProblemKind;
use crate::job::limits::MAX_NAME;
use crate::job::problem::Choice;

/// What is wrong with a name as a text to be printed on a piece, if anything.
pub(super) fn fault(name: &str) -> Option<ProblemKind> {
    let length = name.chars().count();
    if name.trim().is_empty() {
        Some(ProblemKind::Blank)
    } else if name.chars().any(char::is_control) {
        Some(ProblemKind::ControlCharacter)
    } else if length > MAX_NAME {
        Some(ProblemKind::LongName(length))
    } else {
        None
    }
}

/// The name, complained of when it cannot be printed.
pub(super) fn checked_name(place: impl Into<String>, name: &str, faults: &mut Faults) -> String {
    if let Some(kind) = fault(name) {
        faults.add(place, kind);
    }
    name.to_owned()
}

/// Names in the order of the file, each with the place where it was given.
#[derive(Default)]
pub(super) struct Names {
    list: Vec<String>,
    places: BTreeMap<String, (usize, String)>,
}

impl Names {
    /// Names that are known to be different.
    pub(super) fn of<const N: usize>(names: [&str; N]) -> Names {
        let mut known = Names::default();
        for name in names {
            known.insert(String::new(), name);
        }
        known
    }

    /// Adds the name at `place` of a `what`, and complains when it cannot be printed or was given before.
    pub(super) fn add(&mut self, place: String, name: &str, what: &'static str, faults: &mut Faults) {
        if let Some(kind) = fault(name) {
            faults.add(place.clone(), kind);
        }
        if let Some((_, first)) = self.places.get(name) {
            let (name, first) = (name.to_owned(), first.clone());
            return faults.add(place, ProblemKind::Duplicate { what, name, first });
        }
        self.insert(place, name);
    }

    fn insert(&mut self, place: String, name: &str) {
        self.places.insert(name.to_owned(), (self.list.len(), place));
        self.list.push(name.to_owned());
    }

    pub(super) fn index(&self, name: &str) -> Option<usize> {
        self.places.get(name).map(|&(index, _)| index)
    }

    pub(super) fn choice(&self) -> Choice {
        Choice::of(self.list.iter().map(|name| &**name))
    }

    pub(super) fn as_slice(&self) -> &[String] {
        &self.list
    }

    pub(super) fn into_vec(self) -> Vec<String> {
        self.list
    }
}
