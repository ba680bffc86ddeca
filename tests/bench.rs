//! `nest bench`: measuring, its files, and the comparison with an earlier measurement.

use std::collections::BTreeSet;

use roxmltree::Document;
use serde_json::Value;

use crate::program::{Ended, SMALL, Table, workspace};

/// Two triangles that close a rectangle, and loose pieces, as instances of our own.
const TRIANGLES: &str = r#"{ "name": "triangles", "source": "our own", "strip_width": 4,
    "pieces": [{ "id": "half", "quantity": 2, "turns": [0, 180], "outline": [[0, 0], [6, 0], [0, 4]] }] }"#;
const HOOKS: &str = r#"{ "name": "hooks", "source": "our own", "strip_width": 9,
    "pieces": [{ "id": "hook", "quantity": 5, "turns": [90, 270],
                 "outline": [[0, 0], [4, 0], [4, 0.9], [1.2, 1.1], [1, 3], [0, 2.5]] }] }"#;

fn table() -> Table {
    let table = Table::new();
    std::fs::create_dir(table.path().join("set")).unwrap();
    table.write("set/triangles.json", TRIANGLES);
    table.write("set/hooks.json", HOOKS);
    table
}

/// The figures of a line of the table printed.
fn line<'a>(ended: &'a Ended, name: &str) -> Vec<&'a str> {
    let line = ended.stdout.lines().find(|line| line.starts_with(name));
    line.unwrap_or_else(|| panic!("no {name} in: {}", ended.stdout)).split_whitespace().collect()
}

#[test]
fn a_folder_and_a_job_are_measured_and_the_files_written() {
    let table = table();
    table.write("waistcoat.json", SMALL);
    let args = ["bench", "set", "waistcoat.json", "--rounds", "2", "--seeds", "2"];
    let files = ["--json", "now.json", "--csv", "now.csv", "--curve", "now.svg"];
    let ended = table.run(&[&args[..], &files].concat());
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(
        table.names(),
        ["now.csv", "now.json", "now.svg", "set", "waistcoat.json"],
        "nothing left over"
    );

    let triangles = line(&ended, "triangles");
    assert_eq!(triangles[1..5], ["2", "100.00", "100.00", "100.00"], "{}", ended.stdout);
    assert_eq!(triangles[5..7], ["6.00*", "6.00"], "proved the shortest");
    assert_eq!(line(&ended, "hooks")[1], "5");
    assert!(ended.stdout.contains("2 rounds a run, seeds 1 to 2, 2 lanes"), "{}", ended.stdout);
    assert!(ended.stdout.contains("hooks 22220, triangles 50000"), "the exact scale: {}", ended.stdout);
    assert_eq!(ended.stderr.lines().count(), 6, "a line for each run: {}", ended.stderr);

    let json: Value = serde_json::from_str(&table.read("now.json")).unwrap();
    let names: Vec<&Value> = json["instances"].as_array().unwrap().iter().map(|i| &i["name"]).collect();
    assert_eq!(names, ["hooks", "triangles", "Waistcoat, self"]);
    for instance in json["instances"].as_array().unwrap() {
        let bound = instance["lower_bound"].as_f64().unwrap();
        for run in instance["runs"].as_array().unwrap() {
            assert!(run["length"].as_f64().unwrap() >= bound);
            let density = run["density_percent"].as_f64().unwrap();
            assert!(density > 30.0 && density <= 100.0, "{density}");
            let last = run["curve"].as_array().unwrap().last().unwrap();
            assert!((last[1].as_f64().unwrap() - density).abs() < 1e-9, "the curve ends where the run did");
        }
    }
    assert_eq!(table.read("now.csv").lines().count(), 1 + 6);
    let curve = table.read("now.svg");
    let drawing = Document::parse(&curve).unwrap();
    for name in ["hooks", "triangles", "Waistcoat, self", "seconds", "density, percent"] {
        let there = drawing
            .descendants()
            .any(|node| node.text().is_some_and(|text| text.trim_start().starts_with(name)));
        assert!(there, "{name} is written in the drawing");
    }
}

#[test]
fn rounds_repeat_and_a_fall_is_noticed() {
    let table = table();
    let bench = |more: &[&str]| {
        table.run(&[&["bench", "set", "--rounds", "2", "--seeds", "1", "--quiet"][..], more].concat())
    };
    assert_eq!(bench(&["--json", "before.json", "--threads", "1"]).code, Some(0));
    let same = bench(&["--against", "before.json", "--margin", "0", "--threads", "1"]);
    assert_eq!(same.code, Some(0), "the same rounds, the same densities: {same:?}");
    assert!(same.stdout.contains("No mean density fell by more than 0 points."), "{}", same.stdout);
    assert_eq!(same.stderr, "");

    // As if the earlier measurement had been better by nine points.
    let mut better: Value = serde_json::from_str(&table.read("before.json")).unwrap();
    let mean = &mut better["instances"][0]["density_percent"]["mean"];
    *mean = (mean.as_f64().unwrap() + 9.0).into();
    table.write("better.json", better.to_string());
    let fell = bench(&["--against", "better.json"]);
    assert_eq!(fell.code, Some(1), "{fell:?}");
    assert!(fell.stdout.contains("Fell by more than 0.5 points: hooks."), "{}", fell.stdout);
    assert_eq!(bench(&["--against", "better.json", "--margin", "9.5"]).code, Some(0));
    better["instances"][0]["density_percent"]["mean"] = 1000.into();
    table.write("better.json", better.to_string());
    let absurd = bench(&["--against", "better.json"]);
    assert_eq!(absurd.code, Some(2), "{absurd:?}");
    assert!(absurd.stderr.contains("no density of hooks can be what it says"), "{}", absurd.stderr);

    // Something that went missing may have fallen, and a file that was cut off is told of, though nobody asked for it by name.
    let hooks = table.read("set/hooks.json");
    std::fs::remove_file(table.path().join("set/hooks.json")).unwrap();
    let missing = bench(&["--against", "before.json"]);
    assert_eq!(missing.code, Some(1), "{missing:?}");
    assert!(missing.stdout.contains("Measured before and not now: hooks."), "{}", missing.stdout);
    assert!(!missing.stdout.contains("\nNo mean density fell"), "{}", missing.stdout);
    table.write("set/hooks.json", &hooks[..hooks.len() / 2]);
    let broken = bench(&["--against", "before.json"]);
    assert_eq!(broken.code, Some(2), "{broken:?}");
    assert!(broken.stderr.contains("hooks.json is not an instance"), "{}", broken.stderr);
    assert!(broken.stderr.contains("(line "), "{}", broken.stderr);
}

#[test]
fn the_sample_jobs_are_as_dense_as_they_were() {
    // The two seeds of one job differ by up to three points, so a change of the search moves its mean by one or two at random:
    // what is wanted here is that none falls far and nobody notices.
    let [samples, baseline] =
        ["fixtures", "benches/baseline.json"].map(|name| workspace().join(name).display().to_string());
    let conditions = ["--rounds", "12", "--seeds", "2", "--lanes", "2", "--quiet"];
    let against = ["--against", baseline.as_str(), "--margin", "3"];
    let ended = Table::new().run(&[&["bench", samples.as_str()][..], &conditions, &against].concat());
    assert_eq!(ended.code, Some(0), "{}{}", ended.stdout, ended.stderr);
    assert!(ended.stdout.contains("No mean density fell by more than 3 points."), "{}", ended.stdout);
    let measured = ended.stdout.lines().filter_map(|line| line.split_once(", self").map(|(name, _)| name));
    assert_eq!(measured.collect::<BTreeSet<_>>().len(), 9, "each of the samples: {}", ended.stdout);
}

#[test]
fn published_densities_stand_beside_ours() {
    let table = table();
    let published =
        r#"{ "source": "a paper", "densities": [{ "instance": "triangles", "best": 90, "average": 80.5 }] }"#;
    table.write("published.json", published);
    let ended =
        table.run(&["bench", "set", "--rounds", "2", "--seeds", "1", "--reference", "published.json"]);
    assert_eq!(line(&ended, "triangles")[9..], ["+10.00", "+10.00", "+19.50"], "{}", ended.stdout);
    assert_eq!(line(&ended, "hooks")[9..], ["-", "-", "-"]);
    assert!(ended.stdout.contains("Published: a paper."), "{}", ended.stdout);
}

#[test]
fn what_cannot_be_measured_is_refused_before_the_first_run() {
    let table = table();
    table.write("empty.json", "{}");
    table.write("high.json", TRIANGLES.replace("\"strip_width\": 4", "\"strip_width\": 3"));
    std::fs::create_dir(table.path().join("bare")).unwrap();
    table.write("published.json", r#"{ "source": "a paper", "densities": [] }"#);
    let about = r#""time_s": 1, "rounds": null, "seeds": 1, "lanes": 1, "threads": 1"#;
    let hollow =
        format!(r#"{{ "version": 1, "program": "nest", "conditions": {{ {about} }}, "instances": [] }}"#);
    table.write("hollow.json", hollow);
    table.write("locked.csv", "");
    let locked = table.path().join("locked.csv");
    let mut protected = std::fs::metadata(&locked).unwrap().permissions();
    protected.set_readonly(true);
    std::fs::set_permissions(&locked, protected).unwrap();
    let there = table.names();
    for (args, says) in [
        (&["bench"][..], "required arguments were not provided"),
        (&["bench", "gone.json"], "cannot read gone.json"),
        (&["bench", "empty.json"], "empty.json is neither an instance"),
        (&["bench", "bare"], "bare holds no instance and no job"),
        (&["bench", "high.json"], "half is 4 across in its narrowest turn, and the strip 3"),
        (&["bench", "set", "set/hooks.json"], "are called \"hooks\""),
        (&["bench", "set", "--seeds", "0"], "invalid value '0' for '--seeds"),
        (&["bench", "set", "--margin", "1"], "--against"),
        (&["bench", "set", "--against", "empty.json"], "empty.json is no result of nest bench"),
        (&["bench", "set", "--reference", "empty.json"], "empty.json holds no published densities"),
        (&["bench", "set", "--json", "-"], "give the name of a file, not -"),
        (&["bench", "set", "--json", "one", "--csv", "one"], "one cannot hold two kinds of result"),
        (&["bench", "set", "--json", "no/such/folder/now.json"], "cannot write to no/such/folder"),
        (&["bench", "set", "--json", "set/hooks.json"], "set/hooks.json is read by this measurement"),
        (
            &["bench", "set", "--reference", "published.json", "--csv", "./published.json"],
            "published.json is read by this measurement",
        ),
        (&["bench", "set", "--against", "hollow.json"], "hollow.json holds no measurement"),
        (&["bench", "set", "--csv", "locked.csv"], "locked.csv is write-protected"),
        (&["bench", "set", "--against", "hollow.json", "--margin", "-1"], "--margin"),
    ] {
        let ended = table.run(args);
        assert_eq!(ended.code, Some(2), "{args:?}: {ended:?}");
        assert!(ended.stderr.contains(says), "{args:?} says not \"{says}\" but: {}", ended.stderr);
        assert_eq!(ended.stdout, "", "{args:?}");
        assert_eq!(table.names(), there, "{args:?} writes nothing");
    }
}

#[cfg(unix)]
#[test]
fn an_interrupt_before_the_first_run_is_over_leaves_nothing() {
    use std::io::{BufRead, BufReader, Read};
    use std::process::Command;

    let table = table();
    table.write("set/notes.json", "{}");
    let mut child = table.start(&["bench", "set", "--time", "1m", "--seeds", "1", "--json", "now.json"]);
    let mut said = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    // By then it listens.
    said.read_line(&mut line).unwrap();
    assert!(line.starts_with("left out, being neither an instance nor a job: set/notes.json"), "{line}");
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    said.read_to_string(&mut line).unwrap();
    let ended = crate::program::ended(child);
    assert_eq!(ended.code, Some(130), "{line}");
    assert!(line.contains("interrupted before the first run was over"), "{line}");
    assert_eq!((ended.stdout.as_str(), table.names()), ("", vec!["set".to_owned()]));
}

#[cfg(unix)]
#[test]
fn an_interrupt_keeps_the_runs_that_were_over() {
    use std::process::Command;
    use std::thread::sleep;
    use std::time::{Duration, Instant};

    let table = table();
    // The triangles are proved at once; the hooks would go on for a minute.
    let args = [
        "bench",
        "set/triangles.json",
        "set/hooks.json",
        "--time",
        "1m",
        "--seeds",
        "1",
        "--json",
        "now.json",
    ];
    let child = table.start(&args);
    let begun = Instant::now();
    while !table.names().contains(&"now.json".to_owned()) && begun.elapsed() < Duration::from_secs(50) {
        sleep(Duration::from_millis(20));
    }
    assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    let ended = crate::program::ended(child);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(line(&ended, "triangles")[2], "100.00");
    assert!(!ended.stdout.contains("\nhooks"), "a run cut short is not counted: {}", ended.stdout);
    assert!(ended.stderr.contains("interrupted at hooks, seed 1"), "{}", ended.stderr);
    let json: Value = serde_json::from_str(&table.read("now.json")).unwrap();
    assert_eq!(json["instances"].as_array().unwrap().len(), 1);
    assert_eq!(table.names(), ["now.json", "set"], "no temporary file is left");
}
