//! Bad input: exit code 2 and a message that says what, where and how to mend it; nothing written, no panic.

use std::ffi::OsStr;
use std::fs;

use crate::program::{Ended, SMALL, Table, sample, workspace};

/// The run was refused, and left nothing behind but what was in the folder before.
fn assert_refused(table: &Table, ended: &Ended, there: &[&str], says: &str) {
    assert_eq!(ended.code, Some(2), "{ended:?}");
    assert!(ended.stderr.contains(says), "not \"{says}\" but: {}", ended.stderr);
    assert!(!ended.stderr.contains("panicked"), "{}", ended.stderr);
    assert_eq!(ended.stdout, "", "results go to standard output, complaints do not");
    assert_eq!(table.names(), there, "nothing is written");
}

#[test]
fn every_broken_job_is_refused() {
    let mut tried = 0;
    for entry in fs::read_dir(workspace().join("fixtures/broken")).unwrap() {
        let job = entry.unwrap().path();
        if job.extension() != Some(OsStr::new("json")) {
            continue;
        }
        let expected = fs::read_to_string(job.with_extension("txt")).unwrap();
        let job = job.to_string_lossy().into_owned();
        for args in [
            &["lay", &job, "-o", "marker.svg", "--rounds", "1"][..],
            &["spreads", &job],
            &["compare", &job, "--html", "c.html", "--rounds", "1"],
            &["check", &sample("work-shirt"), &job],
        ] {
            let table = Table::new();
            let ended = table.run(args);
            for line in expected.lines() {
                assert_refused(&table, &ended, &[], line);
            }
            tried += 1;
        }
    }
    assert!(tried > 150, "only {tried} runs: where are the broken jobs?");
}

#[test]
fn input_that_is_not_there_or_no_file_is_named() {
    let table = Table::new();
    assert_refused(&table, &table.run(&["lay", "no-such.json"]), &[], "cannot read no-such.json");
    assert_refused(&table, &table.run(&["lay", "."]), &[], ". is a folder: give the path of a file");
    let empty = table.run_with_input(&["lay", "-"], b"");
    assert_refused(&table, &empty, &[], "standard input is not a job file\n");
    let instance = br#"{"name": "tile", "source": "our own", "strip_width": 4,
        "pieces": [{"id": "tile", "quantity": 2, "turns": [0], "outline": [[0, 0], [3, 0], [0, 4]]}]}"#;
    let instance = table.run_with_input(&["lay", "-"], instance);
    assert_refused(&table, &instance, &[], "`nest bench` measures how densely that can be laid");
    let bytes = table.run_with_input(&["spreads", "-"], &[0xff, 0xfe, 0x00]);
    assert_refused(&table, &bytes, &[], "this is not text");
    let both = table.run_with_input(&["check", "-", "-"], b"{}");
    assert_refused(&table, &both, &[], "only one of the marker and the job");
}

#[test]
fn output_that_cannot_be_written_is_refused_before_the_search() {
    let job = sample("apron-dress-run");
    let table = Table::new();
    // A minute's search would show if the refusal came after it.
    let run = |args: &[&str]| table.run(&[&["lay", &job, "--time", "60s"], args].concat());
    assert_refused(&table, &run(&["-o", "no-folder/marker.svg"]), &[], "cannot write to no-folder");
    assert_refused(&table, &run(&["-o", "."]), &[], "is a folder: give the name of a file");
    assert_refused(
        &table,
        &run(&["-o", "m.svg", "--json", "no-folder/m.json"]),
        &[],
        "cannot write to no-folder",
    );
    assert_refused(&table, &run(&["-o", "m.svg", "--json", "m.svg"]), &[], "would be written twice");
    assert_refused(
        &table,
        &run(&["-o", "-", "--json", "-"]),
        &[],
        "only one of the drawing and the placements",
    );
}

#[test]
fn the_job_is_never_overwritten() {
    let table = Table::new();
    table.write("shirt.json", SMALL);
    let there = ["shirt.json"];
    let ended = table.run(&["lay", "shirt.json", "-o", "shirt.json", "--rounds", "1"]);
    assert_refused(&table, &ended, &there, "is the job itself");
    let ended = table.run(&["lay", "shirt.json", "-o", "m.svg", "--json", "./shirt.json", "--rounds", "1"]);
    assert_refused(&table, &ended, &there, "is the job itself");
    assert_eq!(table.read("shirt.json"), SMALL);

    let ended = table.run(&["lay", "shirt.json", "-o", "shirt.svg", "--rounds", "1"]);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(table.names(), ["shirt-marker.json", "shirt.json", "shirt.svg"]);
    assert_eq!(table.read("shirt.json"), SMALL);
}

#[test]
fn wrong_usage_is_explained() {
    let table = Table::new();
    let job = sample("work-shirt");
    for (args, says) in [
        (&[][..], "Usage"),
        (&["fold", &job], "unrecognized subcommand"),
        (&["lay"], "required"),
        (&["lay", &job, "--depth", "3"], "unexpected argument"),
        (&["lay", &job, "--time", "soon"], "write a time such as 20s"),
        (&["lay", &job, "--time", "0s"], "more than nothing"),
        (&["lay", &job, "--rounds", "0"], "0 is not in"),
        (&["lay", &job, "--rounds", "-1"], "unexpected argument"),
        (&["lay", &job, "--lanes", "65"], "65 is not in"),
        (&["lay", &job, "--threads", "0"], "0 is not in"),
        (&["lay", &job, "--seed", "one"], "invalid"),
        (&["lay", &job, "--cloth", "fur"], "no cloth of the kind \"fur\"; it has self, interfacing"),
        (&["lay", &job, "-o", "-"], "choose one with --cloth (self, interfacing)"),
    ] {
        assert_refused(&table, &table.run(args), &[], says);
    }
}

#[test]
fn a_marker_file_that_is_none_is_refused() {
    let table = Table::new();
    table.write("job.json", SMALL);
    assert_eq!(table.run(&["lay", "job.json", "--rounds", "1", "-q"]).code, Some(0));
    let marker = table.read("marker.json");
    let cut_off = &marker[..marker.len() / 2];
    let there = ["bad.json", "job.json", "marker.json", "marker.svg"];
    for (bad, says) in [
        ("", "is not a marker of this job"),
        ("marker", "is not a marker of this job"),
        ("[]", "is not a marker of this job"),
        (cut_off, "is not a marker of this job"),
        (&marker.replace("\"version\": 1", "\"version\": 99"), "version"),
        (&marker.replace("\"placements\"", "\"pieces\""), "pieces"),
        (&marker.replace("\"Back\"", "\"Rear\""), "name"),
    ] {
        table.write("bad.json", bad);
        assert_refused(&table, &table.run(&["check", "bad.json", "job.json"]), &there, says);
    }
    let other = table.run(&["check", "marker.json", &sample("work-shirt")]);
    assert_refused(&table, &other, &there, "is not a marker of this job");
    for job in ["marker.json", "job.json"] {
        let swapped = table.run(&["check", "job.json", job]);
        assert_refused(&table, &swapped, &there, "job.json is a job file: give the marker first");
    }
}
