//! Cut and plot files read back by readers written for these tests alone, and compared with the marker.

use std::collections::BTreeMap;

use super::linework::{At, Kind, LineWork};
use super::{dxf, hpgl, route};
use crate::check::{Checked, check};
use crate::invented;
use crate::job::Job;

/// Nothing may be farther off than this, in millimetres.
const CLOSE: f64 = 0.05;

/// Every hand-made marker; marks that these pieces lack are added to some.
fn samples() -> Vec<(&'static str, Job, Checked)> {
    invented::good_markers()
        .into_iter()
        .map(|(name, mut job, marker)| {
            for piece in &mut job.style.pieces {
                piece.name = format!("{} \u{c4}rmel 100%% \u{3};", piece.name);
                for shape in piece.shapes.values_mut() {
                    let high = shape.outline.bounds().high;
                    let middle = crate::geometry::Point::new(high.x / 3, high.y / 3);
                    shape.drill_holes.push(middle);
                    shape.notches.push(shape.outline.points()[1]);
                    shape
                        .internal_lines
                        .push(vec![middle, crate::geometry::Point::new(high.x / 2, high.y / 3)]);
                    shape.stitching = Some(shape.outline.points().to_vec());
                }
            }
            let checked = check(&job, &marker).unwrap();
            (name, job, checked)
        })
        .collect()
}

fn keep(name: &str, content: &[u8]) {
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/{}", name.replace([' ', ','], "-")), content).unwrap();
    }
}

/// Is there among the drawn lines one that runs through the points, forwards or backwards, begun anywhere if it is closed?
fn drawn(lines: &[Vec<At>], points: &[At], closed: bool) -> bool {
    let near = |a: At, b: At| (a.0 - b.0).hypot(a.1 - b.1) <= CLOSE;
    lines.iter().any(|line| {
        let n = points.len();
        let line: &[At] =
            if closed && line.len() == n + 1 && near(line[0], line[n]) { &line[..n] } else { line };
        if line.len() != n {
            return false;
        }
        let shifts = if closed { n } else { 1 };
        (0..shifts).any(|s| {
            (0..n).all(|i| near(line[i], points[(i + s) % n]))
                || (0..n).all(|i| near(line[i], points[(2 * n - 1 - i - s) % n]))
        })
    })
}

/// An entity of a DXF file: its name and all its pairs of code and value.
type Entity = (String, Vec<(i32, String)>);

/// The entities of a DXF file, read as pairs of lines: a number that says what the next line is (AutoCAD R12's text on DXF).
fn entities(bytes: &[u8]) -> Vec<Entity> {
    let text = std::str::from_utf8(bytes).expect("plain ASCII");
    assert!(text.is_ascii());
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0, "pairs");
    let pairs: Vec<(i32, &str)> =
        lines.chunks(2).map(|p| (p[0].trim().parse().expect("a group code"), p[1])).collect();
    let from = pairs.windows(2).position(|p| p[0] == (0, "SECTION") && p[1] == (2, "ENTITIES")).unwrap() + 2;
    let to = from + pairs[from..].iter().position(|&p| p == (0, "ENDSEC")).unwrap();
    assert_eq!(pairs.last(), Some(&(0, "EOF")));
    let version = pairs.windows(2).find(|p| p[0] == (9, "$ACADVER")).unwrap()[1];
    assert_eq!(version, (1, "AC1009"), "release 12");
    let mut entities: Vec<Entity> = Vec::new();
    for &(code, value) in &pairs[from..to] {
        if code == 0 {
            entities.push((value.to_owned(), Vec::new()));
        } else {
            entities.last_mut().unwrap().1.push((code, value.to_owned()));
        }
    }
    entities
}

fn value(entity: &Entity, code: i32) -> Option<&str> {
    entity.1.iter().find(|p| p.0 == code).map(|p| p.1.as_str())
}

fn place(entity: &Entity) -> At {
    (value(entity, 10).unwrap().trim().parse().unwrap(), value(entity, 20).unwrap().trim().parse().unwrap())
}

#[test]
fn the_cut_file_holds_every_line_on_its_layer() {
    for (name, job, checked) in samples() {
        let bytes = dxf::cut_file(&job, &checked).unwrap();
        keep(&format!("cut-{name}.dxf"), &bytes);
        assert_eq!(bytes, dxf::cut_file(&job, &checked).unwrap(), "the same bytes");
        let entities = entities(&bytes);
        let mut lines: BTreeMap<(String, bool), Vec<Vec<At>>> = BTreeMap::new();
        let mut points: Vec<At> = Vec::new();
        let mut texts = Vec::new();
        let mut open: Option<(String, bool, Vec<At>)> = None;
        for entity in &entities {
            match entity.0.as_str() {
                "POLYLINE" => {
                    let flags: i32 = value(entity, 70).unwrap_or("0").trim().parse().unwrap();
                    open = Some((value(entity, 8).unwrap().to_owned(), flags & 1 == 1, Vec::new()));
                }
                "VERTEX" => open.as_mut().unwrap().2.push(place(entity)),
                "SEQEND" => {
                    let (layer, closed, line) = open.take().unwrap();
                    lines.entry((layer, closed)).or_default().push(line);
                }
                "POINT" => {
                    assert_eq!(value(entity, 8), Some("DRILL"));
                    points.push(place(entity));
                }
                "TEXT" => {
                    assert_eq!(value(entity, 8), Some("LABEL"));
                    texts.push(value(entity, 1).unwrap().to_owned());
                }
                other => panic!("{name}: {other} is not of release 12's plain entities"),
            }
        }
        let due = LineWork::new(&job, &checked);
        let mut compared = 0;
        for piece in &due.pieces {
            for stroke in &piece.strokes {
                let layer = match stroke.kind {
                    Kind::Cut => "CUT",
                    Kind::OnFold => "FOLD-EDGE",
                    Kind::Notch => "NOTCH",
                    Kind::Internal => "INTERNAL",
                    Kind::Stitching => "STITCH",
                    Kind::Grain => "GRAIN",
                    Kind::Crease => "CREASE",
                    Kind::ClothFold | Kind::ClothEdge => "CLOTH",
                };
                let there = &lines[&(layer.to_owned(), stroke.closed)];
                assert!(drawn(there, &stroke.points, stroke.closed), "{name}: {stroke:?}");
                compared += 1;
            }
            for hole in &piece.holes {
                assert!(points.iter().any(|p| (p.0 - hole.0).hypot(p.1 - hole.1) <= CLOSE), "{name}");
            }
        }
        let cut: usize = lines.iter().filter(|(key, _)| key.0 == "CUT").map(|(_, lines)| lines.len()).sum();
        assert_eq!(cut, checked.marker().placements.len(), "{name}: one line to cut for each piece");
        assert!(compared > 5 * due.pieces.len());
        assert!(texts.iter().all(|t| !t.contains("%%") && !t.contains('\u{3}')), "{texts:?}");
        assert!(texts.iter().any(|t| t.contains("Armel")), "{name}: {texts:?}");
    }
}

/// What a plotter would draw: for each frame, by pen, the lines in millimetres; and the words with their places.
#[derive(Default)]
struct Plotted {
    lines: BTreeMap<u32, Vec<Vec<At>>>,
    words: Vec<(At, String)>,
    largest: i64,
    /// Pen-up travel with pen 1.
    travel: f64,
}

/// Does what a plot file says, one instruction after the other, as the plotter language's manual has them.
fn plotted(bytes: &[u8]) -> Vec<Plotted> {
    let mut frames = vec![Plotted::default()];
    let (mut at, mut down, mut pen) = ((0i64, 0i64), false, 0);
    let mut line: Vec<At> = Vec::new();
    let mm = |p: (i64, i64)| (p.0 as f64 * 0.025, p.1 as f64 * 0.025);
    let text = std::str::from_utf8(bytes).unwrap();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let (name, after) = rest.split_at(2);
        let frame = frames.last_mut().unwrap();
        if name == "LB" {
            let (words, after) = after.split_once('\u{3}').expect("a label ends");
            frame.words.push((mm(at), words.to_owned()));
            rest = after.trim_start_matches([';', '\n']);
            continue;
        }
        let (arguments, after) = after.split_once(';').expect("an instruction ends");
        rest = after.trim_start();
        let numbers: Vec<f64> =
            arguments.split(',').filter(|a| !a.is_empty()).map(|a| a.parse().expect("a number")).collect();
        match name {
            "IN" => (at, down, pen) = ((0, 0), false, 0),
            "PA" | "DI" | "SI" => {}
            "SP" => pen = numbers[0] as u32,
            "PG" => frames.push(Plotted::default()),
            "PU" | "PD" => {
                if name == "PD" && !down {
                    line = vec![mm(at)];
                }
                if name == "PU" && down {
                    frame.lines.entry(pen).or_default().push(std::mem::take(&mut line));
                }
                down = name == "PD";
                for pair in numbers.chunks(2) {
                    assert!(pair.iter().all(|n| n.fract() == 0.0), "whole units");
                    let to = (pair[0] as i64, pair[1] as i64);
                    frame.largest = frame.largest.max(to.0.abs()).max(to.1.abs());
                    if down {
                        line.push(mm(to));
                    } else if pen == 1 {
                        let (a, b) = (mm(at), mm(to));
                        frame.travel += (a.0 - b.0).hypot(a.1 - b.1);
                    }
                    at = to;
                }
            }
            other => panic!("{other} is not known"),
        }
    }
    if frames.last().is_some_and(|f| f.lines.is_empty()) && frames.len() > 1 {
        frames.pop();
    }
    frames
}

fn pen_of(kind: Kind) -> u32 {
    match kind {
        Kind::Cut | Kind::Notch => 1,
        Kind::OnFold | Kind::Crease | Kind::ClothFold | Kind::ClothEdge => 2,
        Kind::Stitching | Kind::Internal => 3,
        Kind::Grain => 4,
    }
}

#[test]
fn the_plotter_draws_every_line_with_its_pen() {
    for (name, job, checked) in samples() {
        let bytes = hpgl::plot_file(&job, &checked);
        keep(&format!("plot-{name}.plt"), &bytes);
        let frames = plotted(&bytes);
        assert_eq!(frames.len(), 1);
        let due = LineWork::new(&job, &checked);
        for piece in &due.pieces {
            for stroke in &piece.strokes {
                let there = &frames[0].lines[&pen_of(stroke.kind)];
                let mut points = stroke.points.clone();
                if stroke.closed {
                    points.push(points[0]);
                    points.pop();
                }
                assert!(drawn(there, &points, stroke.closed), "{name}: {stroke:?}");
            }
        }
        let notches: usize =
            due.pieces.iter().flat_map(|p| &p.strokes).filter(|s| pen_of(s.kind) == 1).count();
        assert_eq!(frames[0].lines[&1].len(), notches, "{name}: nothing else is cut");
        assert!(frames[0].words.iter().any(|w| w.1.contains("Armel")), "{name}: {:?}", frames[0].words);
    }
}

#[test]
fn a_metre_is_forty_thousand_units() {
    // Derived from the unit in the HP PCL 5 Reference, part II, p. 17 to 20.
    let frames = plotted(b"IN;SP1;PU0,0;PD40000,0;PU;SP0;");
    assert_eq!(frames[0].lines[&1], [[(0.0, 0.0), (1000.0, 0.0)]]);
}

#[test]
fn frames_keep_to_sixteen_bits_and_lose_nothing() {
    for (name, job, checked) in samples() {
        let bytes = hpgl::plot_file_in_frames(&job, &checked).unwrap();
        keep(&format!("frames-{name}.plt"), &bytes);
        let frames = plotted(&bytes);
        let due = LineWork::new(&job, &checked);
        assert_eq!(frames.len(), (due.length / 800.0).ceil() as usize, "{name}");
        assert!(frames.iter().all(|f| f.largest <= 32_767), "{name}");
        // The way that pen 1 draws is as long in frames as in one: nothing is lost at the joins, nothing drawn twice.
        let drawn = |frames: &[Plotted]| -> f64 {
            let lines = frames.iter().flat_map(|f| &f.lines[&1]);
            lines.flat_map(|l| l.windows(2)).map(|p| (p[0].0 - p[1].0).hypot(p[0].1 - p[1].1)).sum()
        };
        let whole = plotted(&hpgl::plot_file(&job, &checked));
        let (one, many) = (drawn(&whole), drawn(&frames));
        assert!((one - many).abs() < 1.0, "{name}: {one} and {many}");
    }
}

#[test]
fn too_wide_for_frames_is_refused_with_the_way_out() {
    let (_, mut job, mut marker) = invented::single();
    job.cloths[0].width = invented::mm(1700);
    marker.spread.sections[0].width = invented::mm(1700);
    marker.spread.sections[0].bands[0].high = 169_000;
    let checked = check(&job, &marker).unwrap();
    let told = hpgl::plot_file_in_frames(&job, &checked).unwrap_err().to_string();
    assert!(told.contains("1700 mm") && told.contains("PDF"), "{told}");
}

#[test]
fn the_tool_travels_no_farther_than_in_the_order_of_the_marker() {
    for (name, job, checked) in samples() {
        let lines = LineWork::new(&job, &checked);
        let places = route::beginnings(&lines);
        let order = route::visits(&lines);
        let as_laid: Vec<usize> = (0..places.len()).collect();
        let (short, long) =
            (route::travel((0.0, 0.0), &places, &order), route::travel((0.0, 0.0), &places, &as_laid));
        assert!(short <= long + 1e-9, "{name}: {short} against {long}");
        let mut sorted = order.clone();
        sorted.sort_unstable();
        assert_eq!(sorted, as_laid, "{name}: each piece once");
    }
}
