//! Files made here by the layers of ASTM D6673 (AutoCAD R13 syntax): 1 boundary and piece texts, 4 notches, 6 mirror line, 7
//! grainline. The figures expected are those the file is made of.

use super::super::*;
use crate::job::Job;

/// Group codes and values, a pair to two lines.
fn pairs(list: &[(i32, String)]) -> String {
    list.iter().map(|(code, value)| format!("{code}\r\n{value}\r\n")).collect()
}

fn text(words: &str) -> Vec<(i32, String)> {
    vec![
        (0, "TEXT".into()),
        (8, "1".into()),
        (10, "0".into()),
        (20, "0".into()),
        (40, "3".into()),
        (1, words.into()),
    ]
}

/// An open polyline on a layer, as real boundaries come.
fn line(layer: u32, points: &[(f64, f64)]) -> Vec<(i32, String)> {
    let mut all = vec![(0, "POLYLINE".into()), (8, layer.to_string()), (66, "1".into()), (70, "0".into())];
    for (x, y) in points {
        all.extend([(0, "VERTEX".into()), (8, layer.to_string()), (10, x.to_string()), (20, y.to_string())]);
    }
    all.push((0, "SEQEND".into()));
    all
}

fn segment(layer: u32, a: (f64, f64), b: (f64, f64)) -> Vec<(i32, String)> {
    vec![
        (0, "LINE".into()),
        (8, layer.to_string()),
        (10, a.0.to_string()),
        (20, a.1.to_string()),
        (11, b.0.to_string()),
        (21, b.1.to_string()),
    ]
}

fn block(name: &str, inside: Vec<Vec<(i32, String)>>) -> Vec<(i32, String)> {
    let mut all = vec![
        (0, "BLOCK".into()),
        (8, "1".into()),
        (2, name.into()),
        (70, "64".into()),
        (10, "0".into()),
        (20, "0".into()),
    ];
    all.extend(inside.into_iter().flatten());
    all.push((0, "ENDBLK".into()));
    all
}

/// A pair of sleeves and a back given as a half, in one size; lengths in the units named.
fn file(units: &str, mm: f64) -> String {
    let at = |x: f64, y: f64| (x / mm, y / mm);
    let sleeve = block(
        "SLEEVE_38",
        vec![
            text("Piece Name: Sleeve"),
            text("SIZE: 38"),
            text("QUANTITY: 1,1"),
            // Two runs that meet end to end, not in order and not in one direction.
            line(1, &[at(0.0, 0.0), at(600.0, 60.0), at(600.0, 400.0)]),
            line(1, &[at(0.0, 0.0), at(0.0, 420.0), at(600.0, 400.0)]),
            segment(7, at(100.0, 200.0), at(500.0, 200.0)),
        ],
    );
    let back = block(
        "BACK_38",
        vec![
            text("Piece Name: Back"),
            text("Size: 38"),
            text("Quantity: 1"),
            line(1, &[at(0.0, 0.0), at(700.0, 0.0), at(700.0, 250.0), at(0.0, 280.0), at(0.0, 0.0)]),
            segment(6, at(0.0, 0.0), at(700.0, 0.0)),
            segment(7, at(100.0, 100.0), at(600.0, 100.0)),
        ],
    );
    let mut all: Vec<(i32, String)> = vec![(0, "SECTION".into()), (2, "BLOCKS".into())];
    all.extend(sleeve);
    all.extend(back);
    all.extend([(0, "ENDSEC".into()), (0, "SECTION".into()), (2, "ENTITIES".into())]);
    all.extend(text("Style Name: Field smock"));
    all.extend(text("Sample Size: 38"));
    all.extend(text(&format!("Units: {units}")));
    for name in ["SLEEVE_38", "BACK_38"] {
        all.extend([
            (0, "INSERT".into()),
            (8, "1".into()),
            (2, name.into()),
            (10, "0".into()),
            (20, "0".into()),
        ]);
    }
    all.extend([(0, "ENDSEC".into()), (0, "EOF".into())]);
    pairs(&all)
}

fn job(file: &str) -> Job {
    let found = import(file.as_bytes(), &ImportSettings::default()).expect("a pattern");
    assert!(found.left_out.is_empty(), "every piece is understood");
    Job::read(&pretty(&found.job_file(&JobSettings::default()))).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn pieces_of_the_standard_are_read_in_both_units() {
    for (units, mm) in [("METRIC", 1.0), ("ENGLISH", 25.4)] {
        let job = job(&file(units, mm));
        let piece =
            |name: &str| job.style.pieces.iter().find(|p| p.name == name).expect("the piece is there");
        let (sleeve, back) = (piece("Sleeve"), piece("Back"));
        assert_eq!((sleeve.cut, sleeve.pairs), (2, true), "{units}: 1,1 is a mirrored pair");
        assert_eq!((back.cut, back.pairs), (1, false), "{units}");
        let shape = |p: &crate::piece::Piece| p.shapes.values().next().expect("one size").clone();
        // Shoelace by hand: sleeve 0,0 600,60 600,400 0,420; half back 0,0 700,0 700,250 0,280.
        let (sleeve, back) = (shape(sleeve), shape(back));
        assert!(
            (sleeve.outline.area_mm2() - 228_000.0).abs() < 60.0,
            "{units}: {}",
            sleeve.outline.area_mm2()
        );
        assert!(back.fold.is_some(), "{units}: a mirror line is a fold edge");
        assert!((back.full.area_mm2() - 2.0 * 185_500.0).abs() < 120.0, "{units}: {}", back.full.area_mm2());
    }
}

#[test]
fn files_cut_short_are_refused_or_leave_pieces_out_but_never_panic() {
    let whole = file("METRIC", 1.0);
    for end in (0..whole.len()).step_by(97) {
        if let Ok(found) = import(&whole.as_bytes()[..end], &ImportSettings::default()) {
            let text = pretty(&found.job_file(&JobSettings::default()));
            assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok(), "cut at {end}: {text}");
            assert!(found.pattern.pieces.len() <= 2, "cut at {end}: pieces from nowhere");
        }
    }
}

#[test]
fn old_code_pages_and_line_ends_are_read() {
    // The byte of a letter in the code page named, by the tables of the Unicode consortium.
    for (page, byte) in [("ANSI_1252", 0xc4), ("ansi_1250", 0xc4), ("dos850", 0x8e), ("DOS437", 0x8e)] {
        for end in ["\r\n", "\n", "\r"] {
            let header = format!("0\nSECTION\n2\nHEADER\n9\n$DWGCODEPAGE\n3\n{page}\n0\nENDSEC\n");
            let whole = header + &file("METRIC", 1.0).replace("\r\n", "\n").replace("Sleeve", "?rmel");
            let bytes: Vec<u8> =
                whole.replace('\n', end).bytes().map(|b| if b == b'?' { byte } else { b }).collect();
            let found = import(&bytes, &ImportSettings::default()).expect("a pattern");
            assert_eq!(found.pattern.pieces[0].name, "\u{c4}rmel", "{page}, {end:?}");
            assert_eq!(found.warnings, [], "nothing is guessed");
        }
    }
}
