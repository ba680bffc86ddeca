//! A measurement set against an earlier one: which densities rose, and which fell by more than the margin.

use std::fmt::Write as _;

use super::results::Results;
use super::table::aligned;

/// What a comparison found.
#[derive(Debug)]
pub(super) struct Comparison {
    /// For a person.
    pub(super) text: String,
    /// Instances whose density fell by more than the margin, or that have none now.
    pub(super) fell: Vec<String>,
    /// Instances measured before and not now.
    pub(super) missing: Vec<String>,
}

impl Comparison {
    /// Is everything that was measured before as dense as it was, within the margin?
    pub(super) fn holds(&self) -> bool {
        self.fell.is_empty() && self.missing.is_empty()
    }
}

/// Compares mean densities, instance by instance, by name.
///
/// An instance that the earlier results do not have is told of and counts for nothing. One that was measured then and not now
/// may have fallen: a file that went missing must not pass for a success. One measured in both, but without a right marker
/// now, has fallen.
pub(super) fn compare(now: &Results, earlier: &Results, margin: f64) -> Comparison {
    let mut rows = vec![["instance", "mean before", "mean now", "change", ""].map(str::to_owned).to_vec()];
    let mut fell = Vec::new();
    for measured in &now.instances {
        let known = earlier.counterpart(measured);
        let before = known.and_then(|m| m.density_percent);
        let after = measured.density_percent;
        let (change, verdict) = match (before, after) {
            (None, _) if known.is_some() => (None, "no right marker before"),
            (None, _) if earlier.named(&measured.name).is_some() => {
                (None, "other pieces or another width before")
            }
            (None, _) => (None, "not measured before"),
            (Some(_), None) => (None, "FELL: no right marker now"),
            (Some(b), Some(a)) if a.mean < b.mean - margin => (Some(a.mean - b.mean), "FELL"),
            (Some(b), Some(a)) => (Some(a.mean - b.mean), ""),
        };
        if verdict.starts_with("FELL") {
            fell.push(measured.name.clone());
        }
        let percent = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.2}"));
        rows.push(vec![
            measured.name.clone(),
            percent(before.map(|s| s.mean)),
            percent(after.map(|s| s.mean)),
            change.map_or("-".to_owned(), |c| format!("{c:+.2}")),
            verdict.to_owned(),
        ]);
    }
    let mut text = aligned(&rows);
    let gone = earlier.instances.iter().filter(|before| now.counterpart(before).is_none());
    let missing: Vec<String> = gone.map(|before| before.name.clone()).collect();
    if !missing.is_empty() {
        let _ = writeln!(
            text,
            "Measured before and not now: {}. Measure all that the earlier file holds, or compare with a file that holds \
             less.",
            missing.join(", ")
        );
    }
    if now.conditions != earlier.conditions {
        let _ = writeln!(
            text,
            "The conditions differ, so the densities cannot be compared as they stand: before {}; now {}.",
            conditions(earlier),
            conditions(now)
        );
    }
    let verdict = match &fell[..] {
        [] if missing.is_empty() => format!("No mean density fell by more than {margin} points."),
        [] => format!("Of those measured no mean density fell by more than {margin} points."),
        some => format!("Fell by more than {margin} points: {}.", some.join(", ")),
    };
    let _ = writeln!(text, "{verdict}");
    Comparison { text, fell, missing }
}

fn conditions(results: &Results) -> String {
    let c = &results.conditions;
    let time = c.time_s.map(|time| format!("{time} s"));
    let rounds = c.rounds.map(|rounds| format!("{rounds} rounds"));
    let budget: Vec<String> = time.into_iter().chain(rounds).collect();
    format!("{}, {} seeds, {} lanes, {} threads", budget.join(" or "), c.seeds, c.lanes, c.threads)
}

#[cfg(test)]
mod against_tests {
    use super::super::results::{Measured, results_tests::results};
    use super::*;

    #[test]
    fn a_fall_by_more_than_the_margin_is_found() {
        let earlier = results(&[("a", &[80.0, 81.0]), ("b", &[90.0]), ("gone", &[70.0])]);
        let now = results(&[("a", &[80.25, 80.25]), ("b", &[89.5]), ("new", &[60.0])]);
        let strict = compare(&now, &earlier, 0.3);
        assert_eq!(strict.fell, ["b"]);
        assert!(strict.text.contains("Fell by more than 0.3 points: b."), "{}", strict.text);
        assert!(strict.text.contains("not measured before"), "{}", strict.text);
        assert!(strict.text.contains("Measured before and not now: gone."), "{}", strict.text);
        assert_eq!(strict.missing, ["gone"]);
        assert!(!strict.text.contains("conditions differ"), "{}", strict.text);
        // Exactly the margin is no fall.
        let lenient = compare(&now, &earlier, 0.5);
        assert!(lenient.fell.is_empty() && !lenient.holds(), "what is not measured may have fallen");
        assert!(lenient.text.contains("Of those measured no mean density fell"), "{}", lenient.text);
        assert!(compare(&now, &now, 0.0).holds());
    }

    #[test]
    fn another_instance_of_the_same_name_is_not_compared() {
        let earlier = results(&[("a", &[80.0])]);
        let changes: [fn(&mut Measured); 3] = [
            |now| now.pieces += 1,
            |now| now.width = Some(80.0),
            |now| now.pieces_area = now.pieces_area.map(|area| area - 1.0),
        ];
        for change in changes {
            let mut now = results(&[("a", &[70.0])]);
            change(&mut now.instances[0]);
            let comparison = compare(&now, &earlier, 0.3);
            assert!(comparison.text.contains("other pieces or another width before"), "{}", comparison.text);
            assert_eq!((comparison.fell.len(), comparison.missing.len(), comparison.holds()), (0, 1, false));
        }
        // What an earlier version wrote tells neither width nor area.
        let mut silent = results(&[("a", &[70.0])]);
        (silent.instances[0].width, silent.instances[0].pieces_area) = (None, None);
        assert!(compare(&silent, &silent, 0.0).holds());
        assert_eq!(compare(&results(&[("a", &[70.0])]), &silent, 0.0).missing.len(), 0);
    }

    #[test]
    fn an_instance_without_a_right_marker_before_is_not_taken_for_a_new_one() {
        let comparison = compare(&results(&[("a", &[80.0])]), &results(&[("a", &[])]), 0.3);
        assert!(comparison.text.contains("no right marker before"), "{}", comparison.text);
        assert!(comparison.fell.is_empty());
    }

    #[test]
    fn an_instance_without_a_right_marker_has_fallen() {
        let earlier = results(&[("a", &[80.0])]);
        let mut now = results(&[("a", &[])]);
        now.conditions.time_s = Some(1.0);
        let comparison = compare(&now, &earlier, 50.0);
        assert_eq!(comparison.fell, ["a"]);
        assert!(
            comparison.text.contains("before 10 s, 2 seeds, 2 lanes, 2 threads; now 1 s,"),
            "{}",
            comparison.text
        );
    }
}
