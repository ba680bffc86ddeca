use nest_core::job::{Job, JobFile};
use serde_json::Value;

/// Set this to write the schema that the types make as the committed one.
const REWRITE: &str = "NEST_REWRITE_FIXTURES";

#[test]
fn the_committed_schema_is_the_one_that_the_types_make() {
    let file = crate::fixtures().join("job.schema.json");
    let made = format!("{}\n", serde_json::to_string_pretty(&JobFile::schema()).unwrap());
    if std::env::var_os(REWRITE).is_some() {
        std::fs::write(&file, &made).unwrap();
    }
    let committed = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(made == committed, "{} is stale: set {REWRITE}=1 to write it anew", file.display());
}

/// The schema and the reader describe one format: what the schema refuses the reader must refuse (the reader knows more,
/// such as whether an outline crosses itself).
#[test]
fn the_schema_accepts_what_is_read() {
    let schema = serde_json::to_value(JobFile::schema()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let (mut accepted, mut refused) = (0, 0);
    for file in job_files() {
        let bytes = std::fs::read(&file).unwrap();
        let Ok(json) = serde_json::from_slice::<Value>(&bytes) else {
            continue;
        };
        if validator.is_valid(&json) {
            accepted += 1;
        } else {
            refused += 1;
            assert!(Job::read_bytes(&bytes).is_err(), "{}", file.display());
        }
    }
    assert!(accepted > 0 && refused > 20, "{accepted} accepted, {refused} refused");
}

/// What is written from the types is read back as the same: nothing is lost on the way, and every default is a default.
#[test]
fn a_job_file_is_written_as_it_was_read() {
    for file in job_files() {
        let text = std::fs::read_to_string(file).unwrap();
        let Ok(job_file) = text.parse::<JobFile>() else {
            continue;
        };
        let again: JobFile = serde_json::to_string(&job_file).unwrap().parse().unwrap();
        assert_eq!(job_file, again);
    }
}

/// The samples and the broken ones.
fn job_files() -> Vec<std::path::PathBuf> {
    let folder =
        |path: std::path::PathBuf| std::fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path());
    let samples = folder(crate::fixtures()).map(|dir| dir.join("job.json")).filter(|file| file.is_file());
    let broken =
        folder(crate::fixtures().join("broken")).filter(|file| file.extension().is_some_and(|e| e == "json"));
    samples.chain(broken).collect()
}
