//! [`Faults`]: the problems found so far.

use crate::job::{Problem, ProblemKind};

/// Gathers problems, so that one reading tells them all.
#[derive(Default)]
pub(super) struct Faults {
    problems: Vec<Problem>,
    more: usize,
    of: Option<String>,
}

/// Problems that are told one by one; nobody mends more at a sitting, and a hostile file has millions.
const TOLD: usize = 1000;

impl Faults {
    /// What the problems to come are about: the id of a piece or the kind of a cloth, or nothing.
    pub(super) fn about(&mut self, of: Option<&str>) {
        self.of = of.filter(|of| super::names::fault(of).is_none()).map(str::to_owned);
    }

    pub(super) fn add(&mut self, place: impl Into<String>, kind: ProblemKind) {
        if self.problems.len() < TOLD {
            self.problems.push(Problem { place: place.into(), of: self.of.clone(), kind });
        } else {
            self.more += 1;
        }
    }

    /// Complains of a list that is empty or too long, and says whether it is neither.
    pub(super) fn holds_some(
        &mut self,
        place: &str,
        count: usize,
        most: usize,
        what: &'static str,
        optional: bool,
    ) -> bool {
        if count == 0 {
            self.add(place, ProblemKind::Empty { what, optional });
        } else if count > most {
            self.add(place, ProblemKind::TooMany { what, count: count as u64, most: most as u64 });
        }
        (1..=most).contains(&count)
    }

    pub(super) fn into_result(mut self) -> Result<(), Vec<Problem>> {
        if self.more > 0 {
            self.problems.push(Problem {
                place: String::new(),
                of: None,
                kind: ProblemKind::More(self.more),
            });
        }
        if self.problems.is_empty() { Ok(()) } else { Err(self.problems) }
    }
}
