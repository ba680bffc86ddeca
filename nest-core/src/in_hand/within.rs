//! A search that ends as soon as its lay goes into the cloth there is.

use crate::answer::{Answer, Found};
use crate::check::{Checked, check};
use crate::cloth::Cloth;
use crate::job::Job;
use crate::length::Length;
use crate::search::{Continue, Event, Observer, Settings, lay};
use crate::spread::Kind;

/// What came of such a search.
pub(crate) struct Within {
    /// The shortest lay that goes in; it has passed the check.
    pub(crate) found: Option<(Kind, Checked)>,
    /// Everything that was found.
    pub(crate) answer: Answer,
    /// Did the observer say stop?
    pub(crate) stopped: bool,
}

/// Searches until a lay takes at most so much cloth, or as long as the settings and the observer allow; the observer is
/// asked after each round.
pub(crate) fn lay_within(
    job: &Job,
    cloth: &Cloth,
    most: Length,
    settings: &Settings,
    observer: &mut dyn Observer,
) -> Within {
    let mut stopped = false;
    let mut watch = |event: &Event| {
        let Event::RoundDone { best_cloth, .. } = event else { return Continue::Yes };
        stopped = observer.event(event) == Continue::Stop;
        let enough = best_cloth.is_some_and(|best| best <= most);
        if stopped || enough { Continue::Stop } else { Continue::Yes }
    };
    let answer = lay(job, cloth, settings, &mut watch);
    let found =
        fitting(&answer, most).and_then(|(kind, found)| Some((kind, check(job, &found.marker).ok()?)));
    Within { found, answer, stopped }
}

/// The shortest lay of an answer that takes at most so much cloth.
pub(crate) fn fitting(answer: &Answer, most: Length) -> Option<(Kind, &Found)> {
    let fits = answer.found().filter(|(_, found)| found.marker.spread.cloth_length() <= most);
    fits.min_by_key(|(_, found)| found.marker.spread.cloth_length())
}
