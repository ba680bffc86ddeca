//! A marker file to what printers, projectors, plotters and cutters take. What is in those files is read back by the
//! library's own tests; here they only have to come out, whole and of their kind.

use crate::program::{Table, sample};

#[test]
fn every_kind_of_file_comes_out_and_wrong_endings_do_not() {
    let table = Table::new();
    let job = sample("half-circle-skirt");
    let laid = table.run(&["lay", &job, "-o", "marker.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    let kinds: [(&[&str], &str, &[u8]); 7] = [
        (&[], "whole.pdf", b"%PDF-"),
        (&["--paper", "letter"], "pages.pdf", b"%PDF-"),
        (&[], "picture.png", b"\x89PNG"),
        (&[], "cut.dxf", b"  0"),
        (&[], "plot.plt", b"IN;"),
        (&["--frames"], "frames.plt", b"IN;"),
        (&["--projector"], "projector.svg", b"<?xml"),
    ];
    for (more, name, begins) in kinds {
        let args = ["export", "marker.json", &job, "-o", name];
        let ended = table.run(&[&args[..], more].concat());
        assert_eq!(ended.code, Some(0), "{name}: {ended:?}");
        let bytes = std::fs::read(table.path().join(name)).expect("written");
        assert!(bytes.starts_with(begins), "{name} begins with {:?}", &bytes[..8]);
    }
    let before = table.names();
    for (more, name) in [
        (vec![], "marker.xyz"),
        (vec!["--frames"], "a.pdf"),
        (vec!["--paper", "a4"], "a.dxf"),
        (vec![], "a.svg"),
    ] {
        let args = ["export", "marker.json", &job, "-o", name];
        let ended = table.run(&[&args[..], &more].concat());
        assert_eq!(ended.code, Some(2), "{name}: {ended:?}");
        assert!(ended.stderr.contains("--paper goes with .pdf"), "{}", ended.stderr);
    }
    assert_eq!(table.names(), before, "nothing is written");
}
