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
