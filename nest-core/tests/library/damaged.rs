//! The text of job, marker and instance files with stretches cut out, doubled, swapped and replaced: read or refused with a
//! word of why, never worse; a marker that is read is checked.

use nest_core::answer::Answer;
use nest_core::check::check;
use nest_core::instance::Instance;
use nest_core::job::Job;
use nest_core::report::{Report, json};
use nest_core::search::{Settings, Silent};
use proptest::prelude::*;
use proptest::sample::{Index, select};

const JOB: &str = include_str!("../../../fixtures/small/waistcoat.json");

const INSTANCE: &str = r#"{
    "name": "two wedges", "source": "our own", "strip_width": 4,
    "pieces": [{ "id": "wedge", "quantity": 2, "turns": [0, 180], "outline": [[0, 0], [6, 0], [0, 4]] }]
}"#;

/// A job and the text of its marker file.
fn laid() -> (Job, String) {
    let job = Job::read(JOB).expect("a job");
    let settings = Settings { rounds: Some(1), ..Settings::default() };
    let answers: Vec<Answer> =
        job.cloths.iter().map(|cloth| nest_core::lay(&job, cloth, &settings, &mut Silent)).collect();
    let text = json::write(&job, &Report::new(&job, &answers, &settings));
    (job, text)
}

/// What a stretch of a file becomes.
#[derive(Clone, Debug)]
enum Change {
    Gone,
    Doubled,
    Word(&'static str),
    CutOff,
    Moved(Index),
}

fn change() -> impl Strategy<Value = (Index, usize, Change)> {
    let words = select(vec![
        "0",
        "-1",
        "1e308",
        "1e999",
        "99999999999",
        "4294967296",
        "-0.00001",
        "NaN",
        "null",
        "true",
        "\"\"",
        "[]",
        "{}",
        "[[",
        "}}",
        ",",
        ":",
        "\"",
        "\\u0000",
        "\u{202e}",
        "180",
        "\"back\"",
        "2",
    ]);
    let change = prop_oneof![
        Just(Change::Gone),
        Just(Change::Doubled),
        words.prop_map(Change::Word),
        Just(Change::CutOff),
        any::<Index>().prop_map(Change::Moved),
    ];
    (any::<Index>(), 0..60usize, change)
}

fn changed(text: &str, changes: Vec<(Index, usize, Change)>) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for (at, run, change) in changes {
        let at = at.index(chars.len() + 1);
        // Of a word that replaces a number, the number's own digits are the stretch.
        let digits = chars[at..].iter().take_while(|c| c.is_ascii_digit()).count();
        let end = if digits > 0 { at + digits } else { (at + run).min(chars.len()) };
        match change {
            Change::Gone => drop(chars.drain(at..end)),
            Change::Doubled => {
                let stretch: Vec<char> = chars[at..end].to_vec();
                chars.splice(at..at, stretch);
            }
            Change::Word(word) => drop(chars.splice(at..end, word.chars())),
            Change::CutOff => chars.truncate(at),
            Change::Moved(to) => {
                let stretch: Vec<char> = chars.drain(at..end).collect();
                let to = to.index(chars.len() + 1);
                chars.splice(to..to, stretch);
            }
        }
    }
    chars.into_iter().collect()
}

#[test]
fn damaged_markers_are_refused_or_checked() {
    let (job, text) = laid();
    let whole = json::read(&text, &job).expect("what was written is read");
    assert!(whole.iter().all(|marker| check(&job, marker).is_ok()));
    let changes = prop::collection::vec(change(), 1..4);
    proptest!(ProptestConfig::with_cases(400), |(changes in changes)| {
        match json::read(&changed(&text, changes), &job) {
            Ok(markers) => markers.iter().for_each(|marker| drop(check(&job, marker))),
            Err(fault) => prop_assert!(!fault.to_string().is_empty()),
        }
    });
}

#[test]
fn damaged_jobs_are_read_or_refused() {
    proptest!(ProptestConfig::with_cases(400), |(changes in prop::collection::vec(change(), 1..4))| {
        if let Err(fault) = Job::read(&changed(JOB, changes)) {
            prop_assert!(!fault.to_string().is_empty());
        }
    });
}

#[test]
fn damaged_instances_are_read_or_refused() {
    proptest!(ProptestConfig::with_cases(400), |(changes in prop::collection::vec(change(), 1..4))| {
        match Instance::read_bytes(changed(INSTANCE, changes).as_bytes()) {
            Ok(instance) => drop(instance.scaled()),
            Err(fault) => prop_assert!(!fault.to_string().is_empty()),
        }
    });
}
