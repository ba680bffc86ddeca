use std::collections::BTreeSet;
use std::ffi::OsStr;

use nest_core::job::Job;

/// Set this to write the messages found as the expected ones, then read the difference.
const REWRITE: &str = "NEST_REWRITE_FIXTURES";

#[test]
fn every_broken_job_is_refused_with_the_message_beside_it() {
    let folder = crate::fixtures().join("broken");
    let with = |extension: &str| -> BTreeSet<_> {
        let files = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path());
        let files = files.filter(|file| file.extension() == Some(OsStr::new(extension)));
        files.map(|file| file.with_extension("")).collect()
    };
    let jobs = with("json");
    let mut wrong = Vec::new();
    for stem in &jobs {
        let bytes = std::fs::read(stem.with_extension("json")).unwrap();
        let Err(error) = Job::read_bytes(&bytes) else {
            wrong.push(format!("{} is read without a complaint", stem.display()));
            continue;
        };
        let message = format!("{error}\n");
        let expected_file = stem.with_extension("txt");
        if std::env::var_os(REWRITE).is_some() {
            std::fs::write(&expected_file, &message).unwrap();
        }
        let expected = std::fs::read_to_string(&expected_file).unwrap_or_default();
        if message != expected {
            wrong.push(format!("{}\n  says    {message}  not     {expected}", stem.display()));
        }
    }
    assert!(wrong.is_empty(), "{}\nset {REWRITE}=1 to take these as right", wrong.join("\n"));
    assert!(jobs.len() > 50, "one for each kind of fault");
    if std::env::var_os(REWRITE).is_none() {
        assert_eq!(jobs, with("txt"), "each job has its message, and no message is left over");
    }
}

/// A job with its pieces and the rest as given.
fn job(pieces: &str, rest: &str) -> String {
    format!(
        r#"{{ "version": 1, "units": "cm", "pieces": [{pieces}], "cloths": [{{ "width": 150 }}]{rest} }}"#
    )
}

const TIE: &str =
    r#"{ "id": "tie", "outline": [[0, 0], [80, 0], [80, 6], [0, 6]], "grainline": [[5, 3], [75, 3]] }"#;

fn message(text: &str) -> String {
    match Job::read(text) {
        Ok(_) => panic!("a job of {} bytes is read without a complaint", text.len()),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_job_of_absurd_size_is_refused_in_bounded_memory() {
    let said = message(&" ".repeat((64 << 20) + 1));
    assert_eq!(said, "holds 67108865 bytes; the most that can be handled is 67108864: divide the job");

    let million = vec![r#"{"id":""}"#; 1_000_000].join(",");
    let said = message(&job(&million, ""));
    assert!(said.starts_with("pieces: more than 1000 entries stand here"), "{said}");

    let million = vec!["{}"; 1_000_000].join(",");
    let said = message(&job(TIE, &format!(r#", "order": [{million}]"#)));
    assert!(said.starts_with("order: more than 10000 entries stand here"), "{said}");

    let many_corners: Vec<String> = (0..5001).map(|i| format!("[{i}, {}]", i * i % 7)).collect();
    let said = message(&job(&TIE.replace("[80, 0]", &many_corners.join(",")), ""));
    assert!(
        said.starts_with("pieces[0].outline (tie): has 5004 points; the most that can be handled is 5000"),
        "{said}"
    );

    let zigzag = r#"{ "path": "M0,0 "#.to_owned() + &"q5,5 10,0 q-5,5 -10,0 ".repeat(3000) + r#"Z" }"#;
    let said = message(&job(&TIE.replace("[[0, 0], [80, 0], [80, 6], [0, 6]]", &zigzag), ""));
    assert!(said.starts_with("pieces[0].outline.path (tie): has 5"), "{said}");

    // Each short path draws thousands of points: what is read of them is bounded, and said.
    let circle = r#"{ "path": "M0,0 a4000,4000 0 0 1 8000,0 a4000,4000 0 0 1 -8000,0 z" }"#;
    let piece = TIE.replace("[[0, 0], [80, 0], [80, 6], [0, 6]]", circle);
    let pieces: Vec<String> = (0..1000).map(|i| piece.replace("tie", &format!("circle-{i}"))).collect();
    let sizes: Vec<String> = (0..100).map(|i| format!("\"{i}\"")).collect();
    let rest = format!(r#", "sizes": [{}]"#, sizes.join(","));
    let said = message(&job(&pieces.join(","), &rest));
    assert!(said.contains("pieces: the outlines hold more than 1000000 points together"), "{said}");
}

#[test]
fn brackets_without_end_are_refused_and_not_followed() {
    for (open, close) in [("[", "]"), (r#"{"a":"#, "}"), (r#"{"outline":"#, "}")] {
        for depth in [100, 100_000] {
            let nest = format!("{}1{}", open.repeat(depth), close.repeat(depth));
            for text in [nest.clone(), job(&nest, ""), job(TIE, &format!(r#", "extra": {nest}"#))] {
                assert!(Job::read(&text).is_err());
            }
        }
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_place() {
    let mut bytes = job(TIE, "").into_bytes();
    bytes[20] = 0xff;
    let said = Job::read_bytes(&bytes).unwrap_err().to_string();
    assert_eq!(said, "this is not text: a job file is JSON, saved as UTF-8 (line 1, column 21)");
}

#[test]
fn a_byte_order_mark_is_passed_over() {
    assert!(Job::read(&format!("\u{feff}{}", job(TIE, ""))).is_ok());
}

#[test]
fn what_a_hostile_name_would_do_to_a_terminal_is_spelled_out() {
    let said = message(&job(TIE, r#", "order": [{ "size": "\u001b[2J\n\u0007" }]"#));
    assert!(!said.contains(char::is_control), "{said:?}");
    assert!(said.contains(r#"there is no size "\u{1b}[2J\n\u{7}""#), "{said}");
    let said = message(&job(TIE, &format!(r#", "{}": 1"#, "x".repeat(100_000))));
    assert!(said.chars().count() < 1100, "{} characters", said.len());
}

#[test]
fn no_more_problems_are_told_than_can_be_read() {
    let mark = "[9999, 0]";
    let marks = format!(r#""drill_holes": [{}], "id""#, vec![mark; 4000].join(","));
    let said = message(&job(&TIE.replace("\"id\"", &marks), ""));
    assert_eq!(said.lines().count(), 51);
    assert!(said.ends_with("and 3950 more"), "{said}");
}
