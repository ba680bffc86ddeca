//! The main job, end to end: pieces and cloth in; a marker, its drawing and its summary out.

use crate::program::{SMALL, Table, ended, sample};

#[test]
fn a_shirt_is_laid_drawn_told_and_checked() {
    let table = Table::new();
    let job = sample("work-shirt");
    let laid = table.run(&["lay", &job, "-o", "shirt.svg", "--rounds", "2"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    assert_eq!(table.names(), ["shirt-interfacing.svg", "shirt.json", "shirt.svg"]);
    for told in [
        "Length to buy",
        "Efficiency",
        "Lower bound",
        "single thickness",
        "lengthwise fold",
        "crosswise fold",
        "tubular",
    ] {
        assert!(laid.stdout.contains(told), "{told} is missing from: {}", laid.stdout);
    }
    assert!(
        laid.stdout.ends_with("Written: shirt.svg, shirt-interfacing.svg, shirt.json\n"),
        "{}",
        laid.stdout
    );
    assert!(laid.stderr.contains("self: ") && laid.stderr.contains("after 2 rounds"), "{}", laid.stderr);
    for drawing in ["shirt.svg", "shirt-interfacing.svg"] {
        let text = table.read(drawing);
        let document = roxmltree::Document::parse(&text).unwrap();
        assert!(
            document.root_element().attribute("width").unwrap().ends_with("mm"),
            "{drawing} is at true size"
        );
        let to_buy =
            document.descendants().filter(|n| n.is_text() && n.text() == Some("length to buy")).count();
        assert_eq!(to_buy, 1, "{drawing}");
    }

    let checked = table.run(&["check", "shirt.json", &job]);
    assert_eq!(checked.code, Some(0), "{checked:?}");
    assert!(
        checked.stdout.contains("self: right: ") && checked.stdout.contains("interfacing: right: "),
        "{checked:?}"
    );

    let mut half: serde_json::Value = serde_json::from_str(&table.read("shirt.json")).unwrap();
    half["markers"].as_array_mut().unwrap().truncate(1);
    table.write("half.json", half.to_string());
    let checked = table.run(&["check", "half.json", &job]);
    assert_eq!(checked.code, Some(1), "a cloth without a marker is a fault: {checked:?}");
    assert!(checked.stdout.contains("interfacing: no marker in this file"), "{checked:?}");
    assert_eq!(table.run(&["check", "half.json", &job, "--cloth", "self"]).code, Some(0));
}

#[test]
fn the_job_comes_in_and_the_drawing_goes_out_through_pipes() {
    let table = Table::new();
    let ended = table.run_with_input(&["lay", "-", "-o", "-", "--rounds", "1", "--quiet"], SMALL.as_bytes());
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert!(table.names().is_empty(), "no file is asked for");
    roxmltree::Document::parse(&ended.stdout).unwrap();
    assert!(ended.stderr.starts_with("Waistcoat\n"), "the summary, and no progress: {}", ended.stderr);

    let ended =
        table.run_with_input(&["lay", "-", "--json", "-", "--rounds", "1", "--quiet"], SMALL.as_bytes());
    let json: serde_json::Value = serde_json::from_str(&ended.stdout).unwrap();
    assert_eq!(json["markers"][0]["cloth"], "self");
    assert_eq!(table.names(), ["marker.svg"]);
}

#[test]
fn a_listener_that_goes_away_does_not_end_the_search() {
    let table = Table::new();
    table.write("job.json", SMALL);
    let mut child = table.start(&["lay", "job.json", "--rounds", "1"]);
    drop((child.stdin.take(), child.stdout.take(), child.stderr.take()));
    let ended = ended(child);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(table.names(), ["job.json", "marker.json", "marker.svg"]);
}

#[test]
fn quiet_says_nothing_on_the_way() {
    let table = Table::new();
    table.write("job.json", SMALL);
    let ended = table.run(&["lay", "job.json", "--rounds", "1", "--quiet"]);
    assert_eq!((ended.code, ended.stderr.as_str()), (Some(0), ""));
    assert!(ended.stdout.contains("Length to buy"), "the summary is no progress");
}

#[test]
fn one_kind_of_cloth_can_be_laid_alone() {
    let table = Table::new();
    let ended = table.run(&["lay", &sample("work-shirt"), "--cloth", "interfacing", "--rounds", "1", "-q"]);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert_eq!(table.names(), ["marker.json", "marker.svg"]);
    assert!(table.read("marker.svg").contains(">interfacing: "), "the only drawing gets the name asked for");
    assert!(!ended.stdout.contains("Cloth \"self\""), "{}", ended.stdout);
}

#[test]
fn a_piece_wider_than_the_cloth_is_named_and_nothing_written() {
    let table = Table::new();
    table.write("job.json", SMALL.replace("\"width\": 140", "\"width\": 25"));
    let ended = table.run(&["lay", "job.json", "--rounds", "1", "-q"]);
    assert_eq!(ended.code, Some(1), "{ended:?}");
    assert_eq!(table.names(), ["job.json"]);
    assert!(ended.stdout.contains("Back needs") && ended.stdout.contains("too little"), "{}", ended.stdout);

    let listed = table.run(&["spreads", "job.json"]);
    assert_eq!(listed.code, Some(1), "{listed:?}");
    assert!(listed.stdout.contains("does not serve: Back needs"), "{}", listed.stdout);
}

#[test]
fn cloth_in_hand_that_is_too_short_is_said() {
    let table = Table::new();
    let job = SMALL.replace("\"width\": 140", "\"width\": 140, \"length_in_hand\": 30");
    table.write("job.json", job);
    let ended = table.run(&["lay", "job.json", "--rounds", "1", "-q"]);
    assert_eq!(ended.code, Some(1), "{ended:?}");
    assert!(ended.stdout.contains("too short by"), "{}", ended.stdout);
    assert_eq!(table.names(), ["job.json", "marker.json", "marker.svg"], "what was found is kept");
}

#[test]
fn spreads_are_listed_with_their_reasons() {
    let table = Table::new();
    table.write("job.json", SMALL);
    let ended = table.run(&["spreads", "job.json"]);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    let line = |title: &str| {
        let found = ended.stdout.lines().find(|line| line.trim_start().starts_with(title));
        found.unwrap_or_else(|| panic!("{title} is missing from {}", ended.stdout)).to_owned()
    };
    // Common practice, as in the table of spreads: nap forbids the crosswise fold, flat cloth is no tube, and a back cut
    // once on a fold needs a lengthwise fold or a single ply.
    assert!(line("single thickness").contains("serves; "));
    assert!(line("lengthwise fold").contains("serves; "));
    assert!(line("crosswise fold").contains("does not serve: a crosswise fold is for cloth without nap"));
    assert!(line("tubular").contains("does not serve: the cloth is flat"));
    // 60 cm is the longest piece, and no lay can be shorter.
    assert!(line("single thickness").contains("at least 60.0 cm"), "{}", line("single thickness"));
}

#[test]
fn a_tampered_marker_is_found_out() {
    let table = Table::new();
    table.write("job.json", SMALL);
    assert_eq!(table.run(&["lay", "job.json", "--rounds", "1", "-q"]).code, Some(0));
    let whole: serde_json::Value = serde_json::from_str(&table.read("marker.json")).unwrap();

    let check = |tampered: &serde_json::Value| {
        table.write("tampered.json", tampered.to_string());
        table.run(&["check", "tampered.json", "job.json"])
    };
    assert_eq!(check(&whole).code, Some(0), "the way through JSON and back changes nothing");

    // A placement and the outline with it, moved by half a metre along the cloth: outside it, or onto another piece.
    let mut moved = whole.clone();
    let placement = &mut moved["markers"][0]["placements"][0];
    placement["position_mm"][0] = (placement["position_mm"][0].as_f64().unwrap() + 500.0).into();
    for point in placement["outline_mm"].as_array_mut().unwrap() {
        point[0] = (point[0].as_f64().unwrap() + 500.0).into();
    }
    let ended = check(&moved);
    assert_eq!(ended.code, Some(1), "{ended:?}");
    assert!(ended.stdout.contains("fault") && ended.stdout.contains("Back"), "{}", ended.stdout);

    // Without its outline moved the file contradicts itself, and that is bad input.
    let mut torn = whole.clone();
    let x = &mut torn["markers"][0]["placements"][0]["position_mm"][0];
    *x = (x.as_f64().unwrap() + 500.0).into();
    assert_eq!(check(&torn).code, Some(2));
}

#[test]
fn the_schema_takes_the_samples() {
    let table = Table::new();
    let ended = table.run(&["schema"]);
    assert_eq!((ended.code, ended.stderr.as_str()), (Some(0), ""));
    let schema: serde_json::Value = serde_json::from_str(&ended.stdout).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for name in ["work-shirt", "tubular-tee", "apron-dress-run"] {
        let job: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(sample(name)).unwrap()).unwrap();
        assert!(validator.is_valid(&job), "{name}");
    }
    assert!(!validator.is_valid(&serde_json::json!({ "version": 1 })), "a job without pieces");
}

#[test]
fn help_tells_the_exit_codes() {
    let table = Table::new();
    let help = table.run(&["--help"]);
    assert_eq!(help.code, Some(0));
    for told in ["lay", "check", "spreads", "schema", "130", "Exit codes"] {
        assert!(help.stdout.contains(told), "{told}");
    }
    assert!(table.run(&["lay", "--help"]).stdout.contains("Examples:"));
}

#[cfg(unix)]
mod interrupted {
    use std::io::{BufRead, BufReader, Read};
    use std::process::{Child, Command};

    use super::*;

    fn interrupt(child: &Child) {
        assert!(Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap().success());
    }

    /// Starts a long search and waits for its first line of progress.
    fn started(table: &Table) -> (Child, BufReader<std::process::ChildStderr>) {
        let mut child = table.start(&["lay", &sample("apron-dress-run"), "--time", "300s"]);
        let mut stderr = BufReader::new(child.stderr.take().unwrap());
        let mut line = String::new();
        stderr.read_line(&mut line).unwrap();
        assert!(line.starts_with("self: "), "{line}");
        (child, stderr)
    }

    #[test]
    fn once_keeps_the_best_so_far() {
        let table = Table::new();
        let (child, mut stderr) = started(&table);
        interrupt(&child);
        let mut rest = String::new();
        stderr.read_to_string(&mut rest).unwrap();
        let ended = ended(child);
        assert_eq!(ended.code, Some(0), "{ended:?} {rest}");
        assert!(rest.contains("Stopping at the end of this round"), "{rest}");
        assert_eq!(table.names(), ["marker.json", "marker.svg"]);
        assert_eq!(table.run(&["check", "marker.json", &sample("apron-dress-run")]).code, Some(0));
    }

    #[test]
    fn twice_leaves_at_once_and_leaves_nothing() {
        // The second request has to come before the round ends; on a machine that is busy elsewhere it may come late, and
        // the run then ends as after one.
        for _ in 0..10 {
            let table = Table::new();
            let (child, mut stderr) = started(&table);
            interrupt(&child);
            let mut line = String::new();
            while !line.contains("Stopping") && stderr.read_line(&mut line).unwrap() > 0 {}
            interrupt(&child);
            let mut rest = String::new();
            stderr.read_to_string(&mut rest).unwrap();
            let ended = ended(child);
            if ended.code == Some(0) {
                continue;
            }
            assert_eq!(ended.code, Some(130), "{ended:?}");
            assert!(table.names().is_empty(), "{:?}", table.names());
            return;
        }
        panic!("ten times the search was over before the second request came");
    }
}
