//! A drawing made by hand, read as a pattern.

use super::super::*;
use crate::geometry::Polygon;
use crate::job::Job;

const APRON: &str = include_str!("../../../../fixtures/import/garden-apron.svg");

fn job() -> Job {
    let found = import(APRON.as_bytes(), &ImportSettings::default()).expect("a pattern");
    assert!(found.left_out.is_empty(), "every piece is understood");
    Job::read(&pretty(&found.job_file(&JobSettings::default()))).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn pieces_counts_and_cloths_come_from_the_drawing() {
    let job = job();
    let told: Vec<(&str, u32, bool, &str)> =
        job.style.pieces.iter().map(|p| (p.id.as_str(), p.cut, p.pairs, p.cloth.as_str())).collect();
    let expected = [
        ("apron-front", 1, false, "self"),
        ("pocket", 2, true, "self"),
        ("tie", 4, false, "contrast"),
        ("pin-cushion", 2, false, "contrast"),
    ];
    assert_eq!(told, expected);
}

#[test]
fn shapes_are_at_true_size_against_the_boxes_that_usvg_finds() {
    let tree = usvg::Tree::from_str(APRON, &usvg::Options::default()).expect("a drawing");
    // usvg gives user units at 96 to the inch.
    let mm = 25.4 / 96.0;
    fn paths(group: &usvg::Group, into: &mut Vec<(f32, f32)>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(g) => paths(g, into),
                usvg::Node::Path(p) => {
                    into.push((p.abs_bounding_box().width(), p.abs_bounding_box().height()));
                }
                _ => {}
            }
        }
    }
    let mut drawn = Vec::new();
    paths(tree.root(), &mut drawn);
    let extent = |p: &Polygon| (p.bounds().width() as f64 / 100.0, p.bounds().height() as f64 / 100.0);
    for piece in job().style.pieces.iter().filter(|p| p.id != "tie") {
        // The frame of a piece has its grain along x; on the drawing it runs upwards.
        let (along, across) = extent(&piece.shapes.values().next().expect("a shape").outline);
        let close = |w: f32, h: f32| {
            (f64::from(w) * mm - across).abs() < 0.25 && (f64::from(h) * mm - along).abs() < 0.25
        };
        assert!(drawn.iter().any(|&(w, h)| close(w, h)), "{}: {along} by {across} mm in {drawn:?}", piece.id);
    }
}

#[test]
fn hostile_and_broken_files_are_refused() {
    let refused = |text: &str| import(text.as_bytes(), &ImportSettings::default()).is_err();
    assert!(refused(""), "empty");
    assert!(refused("<svg"), "cut short");
    assert!(refused(&APRON[..APRON.len() / 2]), "cut in half");
    let bomb = r#"<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>
        <svg xmlns="http://www.w3.org/2000/svg"><path id="x" d="M0 0 L&c; 1 Z"/></svg>"#;
    assert!(refused(bomb), "entities");
}
