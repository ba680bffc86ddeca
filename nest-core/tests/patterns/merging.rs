//! Several files as one pattern.

use nest_core::import::{Import, ImportSettings, JobSettings, WarningKind, import};

use crate::{fixture, job, read};

/// A rectangle as SVG, its name and words in its id.
fn svg(id: &str, wide: f64, high: f64) -> Import {
    let text = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="500mm" viewBox="0 0 500 500">
             <g id="{id}"><path d="M10,10 h{wide} v{high} h-{wide} Z"/><path id="grainline" d="M30,40 V20"/></g></svg>"#
    );
    import(text.as_bytes(), &ImportSettings::default()).expect("a rectangle is a piece")
}

fn merged(parts: Vec<(&str, Import)>) -> Import {
    let parts = parts.into_iter().map(|(name, part)| (name.to_owned(), part)).collect();
    Import::merged(parts).expect("small patterns")
}

#[test]
fn files_of_every_kind_make_one_job() {
    let names = ["garden-apron.svg", "tool-roll.dxf", "field-smock-metric.dxf"];
    let found = merged(names.map(|name| (name, read(&fixture(name)))).into());
    let job = job(&found);
    assert_eq!(job.style.pieces.len(), 4 + 3 + 5);
    assert_eq!(job.name, "Garden apron", "the first name there is");
    // Both have a piece called Pocket.
    let second = job.style.pieces.iter().find(|piece| piece.name == "Pocket 2").expect("numbered");
    assert_eq!(second.cloth, "Canvas");
    let clash = WarningKind::SameNameInFiles { file: names[2].to_owned(), name: "Pocket".to_owned() };
    assert!(found.warnings.iter().any(|w| w.kind == clash && w.places == ["Pocket 2"]));
    // What was said of the smock's pocket is said of it by its new name.
    let alone = found.warnings.iter().find(|w| w.kind == WarningKind::SameInAllSizes).expect("a warning");
    assert!(alone.places.contains(&"Pocket 2".to_owned()) && !alone.places.contains(&"Pocket".to_owned()));
    // What is said of a file names it.
    let hidden = found.warnings.iter().find(|w| w.kind == WarningKind::Hidden(1)).expect("a warning");
    assert_eq!(hidden.places, [names[0]]);
}

#[test]
fn a_file_for_each_size_makes_one_piece_of_several_sizes() {
    let found = merged(vec![
        ("large.svg", svg("Front--cut-2--pairs--size-L", 120.0, 80.0)),
        ("small.svg", svg("front--cut-2--pairs--size-S", 100.0, 70.0)),
        ("middle.svg", svg("Front--cut-4--pairs--size-M", 110.0, 75.0)),
    ]);
    let job = job(&found);
    assert_eq!(job.style.sizes, ["S", "M", "L"], "by their area");
    assert_eq!(job.style.pieces.len(), 1);
    assert_eq!(job.style.pieces[0].shapes.len(), 3);
    assert_eq!(job.style.pieces[0].cut, 2, "what came first");
    assert!(found.warnings.iter().any(|w| w.kind == WarningKind::FilesDiffer("middle.svg".to_owned())));
}

#[test]
fn what_is_ordered_can_be_laid_even_when_a_piece_is_not_there_in_every_size() {
    let found = merged(vec![
        ("a.svg", svg("Front--cut-1--size-S", 100.0, 70.0)),
        ("b.svg", svg("Front--cut-1--size-M", 110.0, 75.0)),
        ("c.svg", svg("Back--cut-1--size-M", 110.0, 75.0)),
        ("d.svg", svg("Pocket--cut-1", 50.0, 50.0)),
    ]);
    assert!(
        found
            .warnings
            .iter()
            .any(|w| { w.kind == WarningKind::LacksSizes("S".to_owned()) && w.places == ["Back"] })
    );
    let whole = job(&found);
    assert_eq!(whole.style.sizes[whole.order[0].size], "M", "the size in which all pieces are there");
    let settings = JobSettings { size: Some("S".to_owned()), ..JobSettings::default() };
    let asked = nest_core::job::Job::of_file(&found.job_file(&settings)).expect("a job");
    assert_eq!(asked.style.sizes[asked.order[0].size], "S");
    let used: Vec<&str> =
        asked.style.views[0].pieces.iter().map(|&at| asked.style.pieces[at].name.as_str()).collect();
    assert_eq!(used, ["Front", "Pocket"], "a view of what is there in that size");
}

#[test]
fn one_file_is_what_it_was_and_none_is_refused() {
    let apron = read(&fixture("garden-apron.svg"));
    assert_eq!(merged(vec![("garden-apron.svg", apron.clone())]), apron);
    assert!(Import::merged(Vec::new()).is_err());
}
