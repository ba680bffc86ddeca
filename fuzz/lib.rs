//! What must hold of every reader, whatever the bytes: it reads or refuses, and what it reads can be used.

use nest_core::check::check;
use nest_core::import::{ImportSettings, JobSettings, import, pretty};
use nest_core::instance::Instance;
use nest_core::job::Job;
use nest_core::report::json;

/// A pattern file of any kind: what is read makes a job and a contact sheet.
///
/// # Panics
/// When it does not: that is what is looked for.
pub fn pattern(bytes: &[u8]) {
    let Ok(found) = import(bytes, &ImportSettings::default()) else { return };
    if found.pattern.piece_count() == 0 {
        assert!(!found.left_out.is_empty(), "no piece, and no word of it");
        return;
    }
    let settings = JobSettings::default();
    let text = pretty(&found.job_file(&settings));
    Job::read(&text).unwrap_or_else(|error| panic!("what was imported is no job: {error}"));
    let sheet = found.contact_sheet(&settings);
    roxmltree::Document::parse(&sheet).expect("the contact sheet is well-formed");
    found.warnings.iter().for_each(|warning| assert!(!warning.to_string().is_empty()));
}

/// A job file: read or refused with words.
///
/// # Panics
/// When it is refused without any.
pub fn job_file(bytes: &[u8]) {
    if let Err(error) = Job::read_bytes(bytes) {
        assert!(!error.to_string().is_empty());
    }
}

/// A marker file of a job that stays the same: what is read is checked.
///
/// # Panics
/// When the job of this function is none.
pub fn marker_file(bytes: &[u8]) {
    const JOB: &str = include_str!("../fixtures/small/waistcoat.json");
    let job = Job::read(JOB).expect("a job");
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    if let Ok(markers) = json::read(text, &job) {
        for marker in markers {
            let _ = check(&job, &marker);
        }
    }
}

/// An instance of the packing literature.
pub fn instance(bytes: &[u8]) {
    if let Ok(instance) = Instance::read_bytes(bytes) {
        let _ = instance.scaled();
    }
}
