use nest_core::job::Job;

#[test]
fn every_sample_job_is_read() {
    let mut samples = 0;
    for entry in std::fs::read_dir(crate::fixtures()).unwrap() {
        let file = entry.unwrap().path().join("job.json");
        if !file.is_file() {
            continue;
        }
        let bytes = std::fs::read(&file).unwrap();
        let job = Job::read_bytes(&bytes).unwrap_or_else(|error| panic!("{}:\n{error}", file.display()));
        for cloth in &job.cloths {
            assert!(!job.wants(&cloth.kind).is_empty(), "{}: nothing is cut from {}", job.name, cloth.kind);
        }
        samples += 1;
    }
    assert!(samples > 0, "the folder of samples holds some");
}
