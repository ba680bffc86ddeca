//! The same job, seed, lanes and rounds give the same bytes on any number of threads, and another seed gives others.

use crate::program::{Table, sample};

#[test]
fn threads_change_nothing() {
    let job = sample("corduroy-jacket");
    let laid = |threads: &str, seed: &str| {
        let table = Table::new();
        let ended = table.run(&["lay", &job, "--rounds", "3", "--threads", threads, "--seed", seed, "-q"]);
        assert_eq!(ended.code, Some(0), "{ended:?}");
        let names = table.names();
        assert_eq!(names, ["marker-interfacing.svg", "marker-lining.svg", "marker.json", "marker.svg"]);
        let files: Vec<String> = names.iter().map(|name| table.read(name)).collect();
        (files, ended.stdout)
    };
    let once = laid("1", "1");
    assert_eq!(once, laid("2", "1"), "2 threads");
    assert_eq!(once, laid("7", "1"), "7 threads");
    assert_ne!(once.0, laid("2", "2").0, "the seed is part of the result");
}
