//! A pattern file in, a job file out, and that job laid.

use std::fs;

use crate::program::{Table, workspace};

#[test]
fn an_imported_pattern_is_a_job_that_can_be_laid() {
    let table = Table::new();
    let apron = workspace().join("fixtures/import/garden-apron.svg");
    let imported = table.run(&["import", &apron.to_string_lossy(), "-o", "apron.json"]);
    assert_eq!(imported.code, Some(0), "{imported:?}");
    let laid = table.run(&["lay", "apron.json", "-o", "apron.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    assert!(table.names().contains(&"apron.svg".to_owned()));
}

#[test]
fn a_file_without_pieces_or_cut_short_is_refused_and_nothing_is_written() {
    let table = Table::new();
    let apron = fs::read(workspace().join("fixtures/import/garden-apron.svg")).unwrap();
    table.write("empty.svg", "");
    table.write("cut-short.svg", &apron[..apron.len() / 2]);
    table.write("no-piece.svg", r#"<svg xmlns="http://www.w3.org/2000/svg" width="10cm" height="10cm"/>"#);
    for name in ["empty.svg", "cut-short.svg", "no-piece.svg"] {
        let ended = table.run(&["import", name, "-o", "job.json"]);
        assert_eq!(ended.code, Some(2), "{name}: {ended:?}");
        assert!(ended.stderr.contains(name), "{name}: {}", ended.stderr);
        assert!(!table.names().contains(&"job.json".to_owned()), "{name}");
    }
}

#[test]
fn a_contact_sheet_lies_beside_the_job_or_where_it_is_wanted() {
    let table = Table::new();
    let fixture = |name: &str| workspace().join("fixtures/import").join(name).to_string_lossy().into_owned();
    let apron = fixture("garden-apron.svg");
    let imported = table.run(&["import", &apron, "-o", "apron.json"]);
    assert_eq!(imported.code, Some(0), "{imported:?}");
    assert_eq!(table.names(), ["apron-contact-sheet.svg", "apron.json"]);
    assert!(imported.stderr.contains("apron-contact-sheet.svg"), "{}", imported.stderr);
    let sheet = table.read("apron-contact-sheet.svg");
    assert!(sheet.contains("Apron front"));

    // To standard output nothing but the job goes, and no sheet unless it is asked for.
    let streamed = table.run(&["import", &apron, "-o", "-"]);
    assert_eq!(streamed.stdout, table.read("apron.json"));
    assert_eq!(table.names().len(), 2);
    let both = table.run(&["import", &apron, "-o", "-", "--contact-sheet", "sheet.svg"]);
    assert_eq!(both.code, Some(0), "{both:?}");
    assert_eq!(table.read("sheet.svg"), sheet);

    for (args, says) in [
        (vec!["import", &apron, "-o", "a.json", "--contact-sheet", "a.json"], "would be written twice"),
        (vec!["import", &apron, &apron, "-o", "a.json"], "is given twice"),
        (vec!["import", &apron, "-o", "a.json", "--size", "XL"], "names no sizes"),
        (vec!["import", &apron, "-o", "a.json", "--width", "wide"], "a width with its unit"),
        (vec!["import", &apron, "-o", "a.json", "--contact-sheet", "no/such/folder.svg"], "cannot write"),
    ] {
        let ended = table.run(&args);
        assert_eq!(ended.code, Some(2), "{args:?}: {ended:?}");
        assert!(ended.stderr.contains(says), "{args:?}: {}", ended.stderr);
        assert!(!table.names().contains(&"a.json".to_owned()), "{args:?}: nothing is written");
    }
}

#[test]
fn several_files_make_one_job_that_can_be_laid_at_once() {
    let table = Table::new();
    let fixture = |name: &str| workspace().join("fixtures/import").join(name).to_string_lossy().into_owned();
    let (smock, roll, mittens) =
        (fixture("field-smock-metric.dxf"), fixture("tool-roll.dxf"), fixture("mittens.csv"));
    let args =
        ["import", &smock, &roll, &mittens, "-o", "set.json", "--width", "140cm", "--name", "Garden set"];
    let imported = table.run(&args);
    assert_eq!(imported.code, Some(0), "{imported:?}");
    let job = table.read("set.json");
    assert!(job.contains("\"name\": \"Garden set\"") && job.contains("\"width\": 1400"), "{job}");
    let laid =
        table.run(&["lay", "set.json", "--cloth", "Canvas", "-o", "set.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    // A clash of names is told with its file.
    let clash = table.run(&["import", &fixture("garden-apron.svg"), &smock, "-o", "clash.json"]);
    assert_eq!(clash.code, Some(0), "{clash:?}");
    assert!(
        clash.stderr.contains("Pocket 2: stands in field-smock-metric.dxf by the name \"Pocket\""),
        "{}",
        clash.stderr
    );
}
