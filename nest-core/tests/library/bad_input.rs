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
