//! The contact sheet, read back with `roxmltree` and compared with the job file.

use nest_core::import::{Import, JobSettings};
use roxmltree::{Document, Node};

use crate::{extent, fixture, job, read};

type At = (f64, f64);

fn points(path: Node<'_, '_>) -> Vec<At> {
    let data = path.attribute("d").expect("path data").trim_end_matches('Z').trim_start_matches('M');
    let pairs = data.split(" L").map(|p| p.split_once(',').expect("a point"));
    pairs.map(|(x, y)| (x.parse().expect("a number"), y.parse().expect("a number"))).collect()
}

fn of_class<'a>(node: Node<'a, 'a>, class: &str) -> Vec<Node<'a, 'a>> {
    let is_it = |n: &Node<'_, '_>| n.attribute("class").is_some_and(|all| all.split(' ').any(|c| c == class));
    node.descendants().filter(is_it).collect()
}

fn sheet(found: &Import, name: &str) -> String {
    let sheet = found.contact_sheet(&JobSettings::default());
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/contact-{name}.svg"), &sheet).expect("a folder");
    }
    sheet
}

/// The scale that words such as "drawn at 1:5" tell, last in the text.
fn scale(words: &str) -> Option<f64> {
    let at = words.find("drawn at 1:")? + "drawn at 1:".len();
    words[at..].split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()
}

fn words(node: Node<'_, '_>) -> String {
    let texts = node.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text());
    texts.collect::<Vec<_>>().join(" ")
}

/// Length along the grain and width across it of what was drawn: the stitching line, where an allowance is added to it.
fn as_drawn(shape: &nest_core::piece::PieceShape) -> (f64, f64) {
    let Some(stitching) = &shape.stitching else { return extent(shape) };
    let run = |values: Vec<i64>| {
        let (low, high) = (values.iter().min().expect("points"), values.iter().max().expect("points"));
        (high - low) as f64 / 100.0
    };
    (run(stitching.iter().map(|p| p.x).collect()), run(stitching.iter().map(|p| p.y).collect()))
}

#[test]
fn every_piece_is_there_as_the_job_file_has_it() {
    for name in [
        "garden-apron.svg",
        "field-smock-metric.dxf",
        "field-smock-english.dxf",
        "tool-roll.dxf",
        "mittens.csv",
    ] {
        let found = read(&fixture(name));
        let job = job(&found);
        let text = sheet(&found, name);
        let sheet = Document::parse(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(sheet.root_element().attribute("width"), Some("210mm"), "as wide as A4");
        let head = sheet.descendants().find(|n| n.attribute("id") == Some("head")).expect("a head");
        let common = scale(&words(head)).expect("the scale is stated");
        let drawn = of_class(sheet.root(), "piece");
        assert_eq!(drawn.len(), job.style.pieces.len(), "{name}");
        for (node, piece) in drawn.into_iter().zip(&job.style.pieces) {
            let said = words(node);
            assert!(said.contains(&piece.name), "{name}: {said}");
            assert!(said.contains(&format!("cut {}", piece.cut)), "{name}: {said}");
            assert_eq!(
                said.contains("pair"),
                piece.pairs || said.contains("taken for left and right"),
                "{name}: {said}"
            );
            let scale = scale(&said).unwrap_or(common);
            let outlines = of_class(node, "outline");
            let distinct: Vec<&nest_core::piece::PieceShape> = {
                let mut all: Vec<_> = piece.shapes.values().collect();
                all.dedup();
                all
            };
            assert_eq!(outlines.len(), distinct.len(), "{name}: {}", piece.name);
            // Each size once, its grainline upright: as high as it is long along the grain, to the pen's fineness.
            let fine = 0.04 * scale;
            for outline in outlines {
                let ring = points(outline);
                let wide = |f: fn(&At) -> f64| {
                    let all = ring.iter().map(f);
                    all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)
                };
                let (across, along) = (wide(|p| p.0) * scale, wide(|p| p.1) * scale);
                let fits = distinct.iter().any(|shape| {
                    let (a, b) = as_drawn(shape);
                    (a - along).abs() < fine && (b - across).abs() < fine
                });
                assert!(fits, "{name}: {} is drawn {along} by {across} mm", piece.name);
            }
            // The line that is cut lies outside it by the allowance on every side but the fold.
            let cutting = of_class(node, "cutting");
            let added = distinct.iter().filter(|shape| shape.stitching.is_some()).count();
            assert_eq!(cutting.len(), added, "{name}: {}", piece.name);
            for line in cutting {
                let ring = points(line);
                let wide = |f: fn(&At) -> f64| {
                    let all = ring.iter().map(f);
                    (all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)) * scale
                };
                let (across, along) = (wide(|p| p.0), wide(|p| p.1));
                let fits = distinct.iter().any(|shape| {
                    let (a, b) = extent(shape);
                    (a - along).abs() < fine && (b - across).abs() < fine
                });
                assert!(fits, "{name}: {} is cut {along} by {across} mm", piece.name);
            }
            let marks = |class: &str| of_class(node, class).len();
            let count =
                |f: fn(&nest_core::piece::PieceShape) -> usize| distinct.iter().map(|s| f(s)).sum::<usize>();
            assert_eq!(marks("notch"), count(|s| s.notches.len()), "{name}: {}", piece.name);
            assert_eq!(marks("drill-hole"), count(|s| s.drill_holes.len()), "{name}: {}", piece.name);
            assert_eq!(marks("line"), count(|s| s.internal_lines.len()), "{name}: {}", piece.name);
            assert_eq!(marks("fold"), usize::from(distinct[0].fold.is_some()), "{name}: {}", piece.name);
            // One arrow, straight up.
            let arrows = of_class(node, "grainline");
            assert_eq!(arrows.len(), 1, "{name}: {}", piece.name);
            let shaft = points(arrows[0].first_element_child().expect("a shaft"));
            assert!((shaft[0].0 - shaft[1].0).abs() < 0.01 && shaft[1].1 < shaft[0].1, "{name}: {shaft:?}");
        }
        // All that was assumed stands on the sheet.
        let all = words(sheet.root_element());
        for warning in &found.warnings {
            let told = warning.kind.to_string();
            let first: Vec<&str> = told.split_whitespace().take(4).collect();
            assert!(all.contains(&first.join(" ")), "{name}: \"{told}\" is not on the sheet");
        }
    }
}

#[test]
fn marks_carried_from_another_size_are_drawn_open() {
    let found = read(&fixture("field-smock-metric.dxf"));
    let text = found.contact_sheet(&JobSettings::default());
    let sheet = Document::parse(&text).expect("well-formed");
    let front = of_class(sheet.root(), "piece")[0];
    // Three notches and two drill holes in each of three sizes, drawn in one of them.
    for (class, in_all) in [("notch", 9), ("drill-hole", 6)] {
        let all = of_class(front, class);
        let carried = all.iter().filter(|n| n.attribute("class").is_some_and(|c| c.ends_with(" carried")));
        assert_eq!((all.len(), carried.count()), (in_all, in_all * 2 / 3), "{class}");
    }
    assert!(words(sheet.root_element()).contains("placed as in another size"), "the key explains them");
}

#[test]
fn heavier_lines_are_larger_sizes() {
    let found = read(&fixture("field-smock-metric.dxf"));
    let text = found.contact_sheet(&JobSettings::default());
    let sheet = Document::parse(&text).expect("well-formed");
    let piece = of_class(sheet.root(), "piece")[0];
    let weights: Vec<f64> = of_class(piece, "outline")
        .iter()
        .map(|n| n.attribute("stroke-width").and_then(|w| w.parse().ok()).expect("a weight"))
        .collect();
    assert!(weights.windows(2).all(|pair| pair[0] < pair[1]), "{weights:?}");
}

#[test]
fn names_cannot_break_the_sheet() {
    let hostile = r#"<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">
        <title>&lt;/svg&gt;&lt;script&gt;</title>
        <g data-piece="&lt;script&gt;alert(1)&lt;/script&gt; &amp; ../../etc" data-cloth="&quot;&gt;&lt;b&gt;">
        <path d="M10,10 h300 v200 h-300 Z"/></g></svg>"#;
    let found = read(hostile.as_bytes());
    let text = found.contact_sheet(&JobSettings::default());
    let sheet = Document::parse(&text).expect("well-formed");
    assert!(sheet.descendants().all(|n| !n.has_tag_name("script") && n.tag_name().name() != "b"));
    assert!(words(sheet.root_element()).contains("<script>alert(1)</script>"), "told as it is written");
}
