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

/// Runs one of poppler's tools, another's reader of PDF; nothing, and a word of it, where it is not installed.
fn poppler(table: &Table, tool: &str, args: &[&str]) -> Option<Vec<u8>> {
    match std::process::Command::new(tool).args(args).current_dir(table.path()).output() {
        Ok(output) => {
            assert!(output.status.success(), "{tool}: {}", String::from_utf8_lossy(&output.stderr));
            Some(output.stdout)
        }
        Err(_) => {
            eprintln!("not compared: {tool} (poppler) is not on this machine");
            None
        }
    }
}

/// Where dark lines cross a row of a picture in grey (PGM, one byte to the pixel), in pixels.
fn crossings(picture: &[u8], row: usize) -> Vec<f64> {
    let mut words = picture.splitn(5, |b| b.is_ascii_whitespace());
    let mut word = || std::str::from_utf8(words.next().unwrap()).unwrap().to_owned();
    let (kind, wide, _high, most) = (word(), word(), word(), word());
    assert_eq!((kind.as_str(), most.as_str()), ("P5", "255"));
    let wide: usize = wide.parse().unwrap();
    let row = &words.next().unwrap()[row * wide..(row + 1) * wide];
    let (mut found, mut sum, mut weight) = (Vec::new(), 0.0, 0.0);
    for (x, &grey) in row.iter().chain([&255]).enumerate() {
        let dark = f64::from(255 - grey);
        if dark > 25.0 {
            sum += dark * (x as f64 + 0.5);
            weight += dark;
        } else if weight > 0.0 {
            found.push(sum / weight);
            (sum, weight) = (0.0, 0.0);
        }
    }
    found
}

#[test]
fn poppler_finds_pages_and_squares_at_true_size() {
    let table = Table::new();
    let job = sample("half-circle-skirt");
    let laid = table.run(&["lay", &job, "-o", "marker.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    // A4 is 210 by 297 mm (ISO 216). On the long page the lay has 15 mm around it, and a head of 122 mm above it.
    for (more, name, left, top) in
        [(&[][..], "whole.pdf", 15.0, 15.0), (&["--paper", "a4"][..], "pages.pdf", 12.0, 31.6)]
    {
        let ended = table.run(&[&["export", "marker.json", &job, "-o", name], more].concat());
        assert_eq!(ended.code, Some(0), "{ended:?}");
        let Some(info) = poppler(&table, "pdfinfo", &[name]) else { return };
        let info = String::from_utf8(info).unwrap();
        let size = info.lines().find_map(|line| line.strip_prefix("Page size:")).expect("a page size");
        let mm: Vec<f64> = size
            .split_whitespace()
            .filter_map(|word| word.parse::<f64>().ok())
            .map(|points| points * 25.4 / 72.0)
            .collect();
        if name == "pages.pdf" {
            assert!((mm[0] - 210.0).abs() < 0.05 && (mm[1] - 297.0).abs() < 0.05, "{size}");
        } else {
            // The lay is as large as in the drawing.
            let drawing = table.read("marker.svg");
            let drawing = roxmltree::Document::parse(&drawing).unwrap();
            let ground = drawing.descendants().find(|n| n.attribute("class") == Some("ground")).unwrap();
            let ground = ground.first_element_child().unwrap();
            let side = |name: &str| ground.attribute(name).unwrap().parse::<f64>().unwrap();
            assert!((mm[0] - side("width") - 30.0).abs() < 0.05, "{size}, and the lay is {}", side("width"));
            assert!((mm[1] - side("height") - 152.0).abs() < 0.05, "{size}, and {}", side("height"));
        }
        // 20 pixels to the millimetre; a line's middle is found to a fraction of one.
        let args = [
            "-r", "508", "-gray", "-f", "1", "-l", "1", "-x", "0", "-y", "0", "-W", "2440", "-H", "1600",
            name,
        ];
        let Some(picture) = poppler(&table, "pdftoppm", &args) else { return };
        let row = ((top + 20.0) * 20.0) as usize;
        let lines = crossings(&picture, row);
        let at: Vec<f64> = lines.iter().map(|x| x / 20.0).collect();
        assert!((at[0] - left).abs() < 0.05, "{name}: {at:?}");
        assert!((at[1] - at[0] - 100.0).abs() < 0.05, "{name}: the square of 100 mm is at {at:?}");
    }
    let ended = table.run(&["guide", "marker.json", &job, "-o", "guide.pdf", "--paper", "a4"]);
    assert_eq!(ended.code, Some(0), "{ended:?}");
    let Some(info) = poppler(&table, "pdfinfo", &["guide.pdf"]) else { return };
    let info = String::from_utf8(info).unwrap();
    let pages = info.lines().find_map(|line| line.strip_prefix("Pages:")).expect("a number of pages");
    assert!((2..20).contains(&pages.trim().parse::<u32>().unwrap()), "{info}");
    assert!(info.contains("595.276 x 841.89 pts"), "A4: {info}");
    // The title stands at the top, 15 mm from the edge.
    let args = ["-r", "50.8", "-gray", "-f", "1", "-l", "1", "guide.pdf"];
    let Some(picture) = poppler(&table, "pdftoppm", &args) else { return };
    let first = (30..45).flat_map(|row| crossings(&picture, row)).fold(f64::INFINITY, f64::min);
    assert!((28.0..36.0).contains(&first), "ink begins {first} half millimetres from the left");
}

#[test]
fn a_guide_is_written_as_text_page_and_print() {
    let table = Table::new();
    let job = sample("half-circle-skirt");
    let laid = table.run(&["lay", &job, "-o", "marker.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    for (name, begins) in
        [("guide.txt", "Laying guide"), ("guide.html", "<!DOCTYPE html>"), ("guide.pdf", "%PDF-")]
    {
        let ended = table.run(&["guide", "marker.json", &job, "-o", name]);
        assert_eq!(ended.code, Some(0), "{name}: {ended:?}");
        let bytes = std::fs::read(table.path().join(name)).unwrap();
        assert!(bytes.starts_with(begins.as_bytes()), "{name}");
    }
    let before = table.names();
    for args in [vec!["-o", "guide.doc"], vec!["-o", "a.html", "--paper", "a4"]] {
        let ended = table.run(&[&["guide", "marker.json", &job], &args[..]].concat());
        assert_eq!(ended.code, Some(2), "{ended:?}");
    }
    assert_eq!(table.names(), before, "nothing is written");
}

/// A half on the fold and a whole piece, both drawn by their stitching lines, 1 cm to add.
const STITCHED: &str = r#"{
    "version": 1, "name": "Bib", "units": "cm",
    "pieces": [
        { "id": "front", "seam_allowance": 1, "outline": [[0, 0], [50, 0], [50, 12], [20, 24], [0, 24]],
          "grainline": [[5, 5], [40, 5]], "fold_edge": [[0, 0], [50, 0]] },
        { "id": "flap", "cut": 2, "seam_allowance": 1, "outline": [[0, 0], [30, 0], [15, 6], [30, 12], [0, 12], [4, 6]],
          "grainline": [[5, 6], [14, 6]] }
    ],
    "cloths": [{ "width": 90 }], "spreads": ["lengthwise-fold"]
}"#;

/// The polylines of a DXF file by layer, read as pairs of group code and value.
fn polylines(text: &str) -> Vec<(String, Vec<(f64, f64)>)> {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let (mut all, mut x, mut is_line) = (Vec::new(), 0.0, false);
    for pair in lines.chunks_exact(2) {
        match (pair[0], pair[1]) {
            ("0", "POLYLINE") => {
                all.push((String::new(), Vec::new()));
                is_line = false;
            }
            ("0", "VERTEX") => is_line = true,
            ("0", _) => is_line = false,
            ("8", layer) => {
                if let Some((name, points)) = all.last_mut()
                    && points.is_empty()
                    && name.is_empty()
                {
                    *name = layer.to_owned();
                }
            }
            ("10", value) if is_line => x = value.parse().unwrap(),
            ("20", value) if is_line => all.last_mut().unwrap().1.push((x, value.parse().unwrap())),
            _ => {}
        }
    }
    all
}

/// How far a point is from a line through points.
fn away(line: &[(f64, f64)], p: (f64, f64)) -> f64 {
    let off = |a: (f64, f64), b: (f64, f64)| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let squared = dx * dx + dy * dy;
        let t = if squared > 0.0 { ((p.0 - a.0) * dx + (p.1 - a.1) * dy) / squared } else { 0.0 };
        let t = t.clamp(0.0, 1.0);
        (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
    };
    line.windows(2).map(|w| off(w[0], w[1])).fold(f64::INFINITY, f64::min)
}

#[test]
fn an_added_seam_allowance_shows_the_stitching_line_inside_and_none_along_the_fold() {
    let table = Table::new();
    table.write("bib.json", STITCHED);
    let laid = table.run(&["lay", "bib.json", "-o", "marker.svg", "--rounds", "1", "--quiet"]);
    assert_eq!(laid.code, Some(0), "{laid:?}");
    let cut = table.run(&["export", "marker.json", "bib.json", "-o", "cut.dxf"]);
    assert_eq!(cut.code, Some(0), "{cut:?}");
    let lines = polylines(&table.read("cut.dxf"));
    let (mut pieces, mut on_fold) = (0, 0);
    // A piece's outline comes last of its lines.
    let mut stitching: Option<&Vec<(f64, f64)>> = None;
    let mut fold: Option<&Vec<(f64, f64)>> = None;
    for (layer, points) in &lines {
        match layer.as_str() {
            "STITCH" => stitching = Some(points),
            "FOLD-EDGE" => fold = Some(points),
            "CUT" => {
                pieces += 1;
                let stitched = stitching.take().expect("the stitching line stands before the outline");
                let mut ring = points.clone();
                // Closed unless it ends on a fold.
                if fold.is_none() {
                    ring.push(ring[0]);
                }
                let middles = stitched.windows(2).map(|w| ((w[0].0 + w[1].0) / 2.0, (w[0].1 + w[1].1) / 2.0));
                for p in middles {
                    let off = away(&ring, p);
                    assert!((off - 10.0).abs() < 0.05, "{p:?} is {off} mm from the edge");
                }
                // A corner sharper than 29 degrees would be cut square; a mitre is no longer than 4 allowances.
                let mut inner = stitched.clone();
                if fold.is_none() {
                    inner.push(inner[0]);
                }
                for &p in points {
                    let off = away(&inner, p);
                    assert!(
                        (9.95..=40.05).contains(&off),
                        "a corner of the edge is {off} mm from the stitching"
                    );
                }
                if let Some(fold) = fold.take() {
                    on_fold += 1;
                    let ends = |line: &[(f64, f64)]| {
                        let mut xs = [line[0], line[line.len() - 1]];
                        xs.sort_by(|a, b| a.0.total_cmp(&b.0));
                        xs
                    };
                    let (cut, stitch, edge) = (ends(points), ends(stitched), ends(fold));
                    for k in 0..2 {
                        assert!(cut[k].1.abs() < 0.05 && stitch[k].1.abs() < 0.05, "both end on the fold");
                        assert!(
                            (cut[k].0 - edge[k].0).abs() < 0.05,
                            "the fold edge runs between the cut's ends"
                        );
                        assert!(((cut[k].0 - stitch[k].0).abs() - 10.0).abs() < 0.05, "{cut:?} {stitch:?}");
                    }
                }
            }
            _ => {}
        }
    }
    assert_eq!((pieces, on_fold), (2, 1), "a half on the fold, and a flap that comes off twice");
}
