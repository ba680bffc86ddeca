use std::io::Write;
use std::path::{Path, PathBuf};

use nest_core::instance::Instance;

use super::laid;

/// Names the folder of instances, when it is not beside the project.
const FOLDER: &str = "NEST_BENCHMARKS";

fn folder() -> Option<PathBuf> {
    if let Some(named) = std::env::var_os(FOLDER).map(PathBuf::from) {
        assert!(named.is_dir(), "{FOLDER} names {}, which is no folder", named.display());
        return Some(named);
    }
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/benchmarks");
    beside.is_dir().then_some(beside)
}

/// Best and average densities of ten runs, in percent, as `benches/published.json` has them, with their source there.
fn published(instance: &str) -> Option<[f64; 2]> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../benches/published.json");
    let text = std::fs::read_to_string(path).expect("the published densities are kept with the project");
    let file: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let densities = file["densities"].as_array().expect("a list");
    let of = densities.iter().find(|density| density["instance"] == instance)?;
    Some(["best", "average"].map(|of_runs| of[of_runs].as_f64().expect("a density")))
}

#[test]
fn the_instances_of_the_literature_are_laid() {
    let Some(folder) = folder() else {
        // Past the test's own capture of output, so that nobody takes this for a measurement.
        let said = format!("NOT TRIED: there is no folder of published instances; name one in {FOLDER}\n");
        std::io::stderr().write_all(said.as_bytes()).expect("standard error takes a line");
        return;
    };
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(&folder).expect("readable").map(|entry| entry.expect("readable").path()).collect();
    files.retain(|file| file.extension().is_some_and(|extension| extension == "json"));
    files.sort();
    assert!(!files.is_empty(), "{} holds instances", folder.display());
    let mut judged = 0;
    for file in files {
        let bytes = std::fs::read(&file).expect("readable");
        let instance = Instance::read_bytes(&bytes).unwrap_or_else(|e| panic!("{}:\n{e}", file.display()));
        let scaled = instance.scaled().unwrap_or_else(|e| panic!("{}:\n{e}", file.display()));
        let known = published(&instance.name);
        // Valid, and not shorter than its bound: asserted there. Of others no more is known.
        let (checked, _) = laid(&scaled.board, if known.is_some() { 20 } else { 1 }, 1);
        let Some([best, average]) = known else { continue };
        judged += 1;
        assert!((150_000..=200_000).contains(&scaled.board.height()), "{}", instance.name);
        let percent = 100.0 * checked.density();
        // After a second or two the nine are from 2 points below the average to 1 above it.
        assert!(
            percent > average - 3.0,
            "{}: {percent:.2} % against {average} on the average",
            instance.name
        );
        // Later papers report somewhat more than this one: not five points.
        assert!(percent < best + 5.0, "{}: {percent:.2} % against {best} published", instance.name);
    }
    assert!(judged > 0, "{} holds none of the instances whose densities are published", folder.display());
}
