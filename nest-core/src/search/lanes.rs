//! [`Lanes`]: lanes that search the same and share the shortest lay that any has found.

use rayon::prelude::*;

use super::separate::Lane;
use super::task::Lay;

/// At least one lane.
pub(crate) struct Lanes<'a>(Vec<Lane<'a>>);

impl<'a> FromIterator<Lane<'a>> for Lanes<'a> {
    fn from_iter<I: IntoIterator<Item = Lane<'a>>>(lanes: I) -> Lanes<'a> {
        Lanes(lanes.into_iter().collect())
    }
}

impl Lanes<'_> {
    /// The shortest lay so far; of equals that of the first lane.
    pub(crate) fn best(&self) -> &Lay {
        self.0.iter().map(Lane::best).min_by_key(|lay| lay.length).expect("a lane at least")
    }

    /// Works until each has measured about so many more depths, then shares.
    pub(crate) fn work(&mut self, measures: u64) {
        self.0.par_iter_mut().for_each(|lane| lane.run(measures));
        let best = self.best().clone();
        self.adopt(&best);
    }

    /// Has all take over a lay found elsewhere, if it is shorter.
    pub(crate) fn adopt(&mut self, lay: &Lay) {
        self.0.iter_mut().for_each(|lane| lane.adopt(lay));
    }

    /// Has all start anew from a shorter lay whose pieces overlap.
    pub(crate) fn pursue(&mut self, lay: &Lay) {
        self.0.iter_mut().for_each(|lane| lane.pursue(lay));
    }

    /// Candidate positions evaluated so far.
    pub(crate) fn evaluations(&self) -> u64 {
        self.0.iter().map(Lane::evaluations).sum()
    }
}
