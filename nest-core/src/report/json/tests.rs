//! Marker files: what is written is read back, and every kind of damage is told of with its place.

use proptest::prelude::*;

use super::*;
use crate::answer::{Answer, Bound, BoundReason, Found, Line, Origin, StopReason};
use crate::check::check;
use crate::invented::{self, mm};
use crate::job::Job;
use crate::marker::Marker;
use crate::report::Report;
use crate::search::Settings;
use crate::spread::Refusal;

/// A report with one marker.
fn report(job: &Job, marker: &Marker) -> Report {
    let family = marker.spread.sections[0].family;
    let bound = Bound { length: mm(100), reason: BoundReason::Area };
    let found = Found { marker: marker.clone(), bound, origin: Origin::Separation, round: 2 };
    let lines = vec![
        Line { kind: family.into(), result: Ok(found) },
        Line { kind: Family::Tubular.into(), result: Err(Refusal::NoneFound) },
    ];
    let answer =
        Answer { cloth: "self".into(), lines, stopped: StopReason::Observer, rounds: 7, evaluations: 99 };
    Report::new(job, &[answer], &Settings::default())
}

fn written(job: &Job, marker: &Marker) -> String {
    write(job, &report(job, marker))
}

#[test]
fn what_is_written_is_read_back() {
    for (name, job, marker) in invented::good_markers() {
        let text = written(&job, &marker);
        let markers = read(&text, &job).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(markers, std::slice::from_ref(&marker), "{name}");
        assert!(check(&job, &markers[0]).is_ok(), "{name}");
        assert_eq!(text, written(&job, &markers[0]), "{name}: the same bytes again");
        assert!(text.ends_with("}\n"));
    }
}

#[test]
fn the_file_holds_what_other_programs_need() {
    let (_, job, marker) = invented::lengthwise_fold();
    let file: serde_json::Value = serde_json::from_str(&written(&job, &marker)).expect("JSON");
    let m = &file["markers"][0];
    assert_eq!(file["version"], 1);
    assert_eq!(m["why"], "A lengthwise fold is the only spread for which a lay was found.");
    assert_eq!(m["summary"]["lay_mm"], 900.0);
    assert_eq!(m["summary"]["to_buy"], "1.00 m");
    assert_eq!(m["summary"]["found_by"], "separation");
    assert_eq!(m["sections"][0]["bands"][0]["low_edge"], "fold");
    let back = &m["placements"][0];
    assert_eq!((&back["piece"], &back["form"]), (&"BACK".into(), &"on-fold".into()));
    assert_eq!(back["outline_mm"][2], serde_json::json!([560.0, 180.0]));
    let yoke = &m["placements"][3];
    assert_eq!(yoke["garments"], serde_json::json!([1, 1]));
    assert_eq!((&yoke["wanted"], &yoke["plies"]), (&2.into(), &2.into()));
    assert_eq!(m["placements"][4]["printed_side"], "down");
    assert_eq!(m["placements"][4]["turn_degrees"], 180);
    assert_eq!(m["spreads"][1]["refused"], "no layout was found within the limits given");
    let (_, job, marker) = invented::tubular();
    let mut none = report(&job, &marker);
    none.cloths[0].ranking.clear();
    let file: serde_json::Value = serde_json::from_str(&write(&job, &none)).expect("JSON");
    assert_eq!(file["without_marker"][0]["cloth"], "self");
    assert!(file["markers"].as_array().is_some_and(Vec::is_empty));
}

#[test]
fn hundredths_of_a_millimetre_survive() {
    let (_, job, mut marker) = invented::single();
    // Room enough: everything slides along the cloth together.
    for placement in &mut marker.placements {
        placement.position.x += 7;
    }
    marker.spread.sections[0].length = crate::length::Length::from_grid(62_013);
    let text = written(&job, &marker);
    assert!(text.contains("620.13") && text.contains("0.07"), "{text}");
    assert_eq!(read(&text, &job).expect("reads"), [marker]);
}

/// Damages the file of a good marker, and demands one problem at some place whose message has some words.
fn damaged(change: impl FnOnce(&mut serde_json::Value), place: &str, words: &str) {
    let (_, job, marker) = invented::single();
    let mut file = serde_json::from_str(&written(&job, &marker)).expect("JSON");
    change(&mut file);
    match read(&file.to_string(), &job) {
        Err(MarkerFault::Problems(problems)) => {
            let [problem] = &problems[..] else { panic!("{problems:?}") };
            assert_eq!(problem.place, place, "{problem}");
            assert!(problem.message.contains(words), "{problem}");
        }
        other => panic!("{place}: {other:?}"),
    }
}

#[test]
fn tampered_files_are_told_of_with_the_place() {
    type Value = serde_json::Value;
    let at = |path: &'static str, value: Value| {
        move |file: &mut Value| *file.pointer_mut(path).expect("there") = value
    };
    let p = "/markers/0/placements/3";
    let path = |end: &str| -> &'static str { Box::leak(format!("{p}{end}").into_boxed_str()) };
    let q = "markers[0].placements[3]";
    damaged(
        at(path("/outline_mm/2/0"), 1.25.into()),
        &format!("{q}.outline_mm[2]"),
        "corner 3 is at [1.25, ",
    );
    damaged(
        |f| drop(f.pointer_mut(path("/outline_mm")).and_then(Value::as_array_mut).map(Vec::pop)),
        &format!("{q}.outline_mm"),
        "has 4 corners, and the piece laid there has 5",
    );
    damaged(at(path("/outline_mm"), Value::Array(vec![])), &format!("{q}.outline_mm"), "has 0 corners");
    damaged(at(path("/position_mm/1"), 991.0.into()), &format!("{q}.outline_mm[0]"), "corner 1");
    damaged(at(path("/position_mm/1"), 991.005.into()), &format!("{q}.position_mm[1]"), "hundredths");
    damaged(at(path("/position_mm/0"), 1e300.into()), &format!("{q}.position_mm[0]"), "100 m");
    damaged(at(path("/turn_degrees"), 45.into()), &format!("{q}.turn_degrees"), "is 45");
    damaged(at(path("/plies"), 3.into()), &format!("{q}.plies"), "1 or 2");
    damaged(at(path("/section"), 0.into()), &format!("{q}.section"), "from 1");
    damaged(at(path("/number"), 9.into()), &format!("{q}.number"), "should be 4");
    damaged(at(path("/piece"), "TIE".into()), &format!("{q}.piece"), "no piece \"TIE\"");
    damaged(at(path("/size"), "99".into()), &format!("{q}.size"), "no size \"99\"");
    damaged(at(path("/name"), "flap".into()), &format!("{q}.name"), "\"pocket\"");
    damaged(at("/markers/0/cloth", "lining".into()), "markers[0].cloth", "no cloth \"lining\"");
    let s = "markers[0].summary";
    damaged(at("/markers/0/summary/lay_mm", 619.0.into()), &format!("{s}.lay_mm"), "makes it 620");
    damaged(at("/markers/0/summary/to_buy_mm", 700.0.into()), &format!("{s}.to_buy_mm"), "makes it 800");
    damaged(at("/markers/0/summary/to_buy", "0.70 m".into()), &format!("{s}.to_buy"), "\"0.80 m\"");
    damaged(
        at("/markers/0/summary/efficiency_percent", 99.0.into()),
        &format!("{s}.efficiency_percent"),
        "is 99",
    );
    let band = "/markers/0/sections/0/bands/0";
    let band = |end: &str| -> &'static str { Box::leak(format!("{band}{end}").into_boxed_str()) };
    damaged(at(band("/low_mm"), 0.001.into()), "markers[0].sections[0].bands[0].low_mm", "hundredths");
    damaged(at(band("/plies"), 0.into()), "markers[0].sections[0].bands[0].plies", "is 0");
    damaged(at("/markers", Value::Array(vec![])), "markers", "no marker");
    damaged(at("/version", 2.into()), "", "version 2");
    let twice = |f: &mut Value| {
        let markers = f["markers"].as_array_mut().expect("a list");
        markers.push(markers[0].clone());
    };
    damaged(twice, "markers[1].cloth", "another marker");
}

#[test]
fn a_turned_outline_must_be_the_turned_piece() {
    // Someone flips the face in the file and leaves the outline: it no longer is the piece's.
    damaged(
        |f| f["markers"][0]["placements"][1]["printed_side"] = "down".into(),
        "markers[0].placements[1].outline_mm[1]",
        "corner 2",
    );
}

#[test]
fn files_of_the_wrong_form_are_refused_by_name() {
    let (_, job, marker) = invented::single();
    let text = written(&job, &marker);
    let fault = |text: &str| match read(text, &job) {
        Err(MarkerFault::Form { place, message, line, .. }) => (place, message, line),
        other => panic!("{other:?}"),
    };
    let (place, message, _) = fault(&text.replacen("\"plies\"", "\"layers\"", 1));
    assert_eq!(place, "markers[0].sections[0].bands[0].layers");
    assert!(message.contains("unknown field `layers`"), "{message}");
    let (place, message, _) = fault(&text.replacen("\"whole\"", "\"halved\"", 1));
    assert_eq!(place, "markers[0].placements[1].form");
    assert!(message.contains("halved"), "{message}");
    assert!(fault("").1.contains("not JSON"));
    assert!(fault("[").1.contains("not JSON"));
    assert!(fault(&text[..text.len() / 2]).1.contains("not JSON"));
    assert!(fault(&format!("{text}{{")).1.contains("not JSON"));
    assert!(fault(&"[".repeat(100_000)).1.contains("invalid type"));
    let deep = format!("{}{}", "{\"job\":".repeat(100_000), "}".repeat(100_000));
    assert!(fault(&deep).1.contains("write it anew") || fault(&deep).1.contains("write the file anew"));
    assert!(fault(&text.replacen("0.0", "NaN", 1)).1.contains("not JSON"));
    assert!(fault(&text.replacen("\"plies\": 1", "\"plies\": -1", 1)).1.contains("-1"));
}

#[test]
fn the_schema_names_every_field_of_the_file() {
    fn names(value: &serde_json::Value, into: &mut std::collections::BTreeSet<String>) {
        match value {
            serde_json::Value::Object(map) => {
                for (name, value) in map {
                    into.insert(name.clone());
                    names(value, into);
                }
            }
            serde_json::Value::Array(list) => list.iter().for_each(|v| names(v, into)),
            _ => {}
        }
    }
    let (_, job, marker) = invented::single();
    let mut used = std::collections::BTreeSet::new();
    names(&serde_json::from_str(&written(&job, &marker)).expect("JSON"), &mut used);
    let schema = schema().to_string();
    let missing: Vec<&String> = used.iter().filter(|name| !schema.contains(&format!("\"{name}\""))).collect();
    assert!(used.len() > 30 && missing.is_empty(), "{missing:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Bytes replaced anywhere: an error or a marker, never a panic; and what is read can be judged.
    #[test]
    fn hostile_text_does_no_harm(
        which in 0usize..11,
        damage in prop::collection::vec((any::<prop::sample::Index>(), "[ -~]{0,3}"), 1..6),
    ) {
        let (_, job, marker) = invented::good_markers().swap_remove(which);
        let mut text = written(&job, &marker);
        for (at, with) in damage {
            let at = at.index(text.len());
            let end = (at + 1).min(text.len());
            text.replace_range(at..end, &with);
        }
        match read(&text, &job) {
            Ok(markers) => markers.iter().for_each(|m| drop(check(&job, m))),
            Err(fault) => prop_assert!(!fault.to_string().is_empty()),
        }
    }

    /// Figures replaced in the tree, so that the form stays right.
    #[test]
    fn hostile_figures_do_no_harm(
        which in 0usize..11,
        damage in prop::collection::vec((any::<prop::sample::Index>(), prop_oneof![
            Just(serde_json::json!(0)),
            Just(serde_json::json!(-1)),
            Just(serde_json::json!(u64::MAX)),
            Just(serde_json::json!(1e308)),
            Just(serde_json::json!(99_999.99)),
            (0i64..10).prop_map(|n| serde_json::json!(n)),
        ]), 1..8),
    ) {
        let (_, job, marker) = invented::good_markers().swap_remove(which);
        let mut file: serde_json::Value = serde_json::from_str(&written(&job, &marker)).expect("JSON");
        let mut numbers = Vec::new();
        paths(&file, &mut String::new(), &mut numbers);
        for (at, with) in damage {
            *file.pointer_mut(&numbers[at.index(numbers.len())]).expect("there") = with;
        }
        match read(&file.to_string(), &job) {
            Ok(markers) => markers.iter().for_each(|m| drop(check(&job, m))),
            Err(fault) => prop_assert!(!fault.to_string().is_empty()),
        }
    }
}

/// The pointers to every number of a tree.
fn paths(value: &serde_json::Value, path: &mut String, into: &mut Vec<String>) {
    let mut below = |name: String, value| {
        let length = path.len();
        path.push('/');
        path.push_str(&name);
        paths(value, path, into);
        path.truncate(length);
    };
    match value {
        serde_json::Value::Object(map) => map.iter().for_each(|(name, v)| below(name.clone(), v)),
        serde_json::Value::Array(list) => list.iter().enumerate().for_each(|(i, v)| below(i.to_string(), v)),
        serde_json::Value::Number(_) => into.push(path.clone()),
        _ => {}
    }
}
