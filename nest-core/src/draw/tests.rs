//! The drawing read back by independent readers: true size, exact outlines, and words that stay where they belong.

use std::collections::BTreeSet;

use roxmltree::{Document, Node};

use super::lettering::{Weight, width};
use super::samples::{self, BACK, BAND, FACING, FRONT, LOOP, POCKET, STAND, WELT, YOKE, job, lay};
use super::{Caption, drawing};
use crate::cloth::{ClothForm, Nap};
use crate::geometry::{Point, PointLocation, Polygon, Pose, Turn, locate};
use crate::job::Job;
use crate::length::Unit;
use crate::marker::{Form, Marker, Placement};
use crate::spread::{Family, Plies};

fn caption() -> Caption {
    Caption {
        left_out: String::new(),
        width: "140 cm".to_string(),
        lay_length: "162.4 cm".to_string(),
        to_buy: "1.7 m".to_string(),
        in_hand: String::new(),
        efficiency: "81.3 %".to_string(),
        notes: vec!["Check that the cloth is at least as wide as told, between the selvages.".to_string()],
    }
}

/// Every spread with one garment, and lays from doll's size to a small run.
fn lays() -> Vec<(String, Job, Marker)> {
    let mut lays = Vec::new();
    for family in Family::ALL {
        let nap = if family == Family::TurnedDouble { Nap::OneWay } else { Nap::None };
        let job = job(1400.0, nap);
        let marker = lay(&job, family, &samples::one_garment());
        lays.push((format!("{family:?}"), job, marker));
    }
    let short = [FRONT, BACK, YOKE, STAND, POCKET, POCKET, BAND, FACING, WELT, LOOP].map(|p| (p, 1));
    for (name, width, family, wanted) in [
        ("run", 1500.0, Family::Single, samples::small_run()),
        ("run on a fold", 1500.0, Family::LengthwiseFold, samples::small_run()),
        ("short", 1000.0, Family::Single, short.to_vec()),
        ("tiny", 300.0, Family::Single, samples::tiny()),
    ] {
        let mut job = job(width, if name == "tiny" { Nap::OneWay } else { Nap::None });
        if name == "short" {
            job.unit = Unit::Inch;
        }
        let marker = lay(&job, family, &wanted);
        lays.push((name.to_string(), job, marker));
    }
    for (name, text) in SAMPLE_JOBS {
        let job = Job::read(text).unwrap();
        for cloth in &job.cloths {
            let families: &[Family] = match cloth.form {
                ClothForm::Flat => &[Family::Single, Family::LengthwiseFold, Family::TwoFolds],
                ClothForm::Tube => &[Family::Tubular],
            };
            let wanted: Vec<(usize, usize)> =
                job.wants(&cloth.kind).iter().map(|want| (want.piece, want.size)).collect();
            for &family in families {
                let marker = samples::lay_on(&job, cloth, family, &wanted);
                lays.push((format!("{name} {} {family:?}", cloth.kind), job.clone(), marker));
            }
        }
    }
    lays
}

const SAMPLE_JOBS: [(&str, &str); 8] = [
    ("work-shirt", include_str!("../../../fixtures/work-shirt/job.json")),
    ("tapered-trousers", include_str!("../../../fixtures/tapered-trousers/job.json")),
    ("corduroy-jacket", include_str!("../../../fixtures/corduroy-jacket/job.json")),
    ("tubular-tee", include_str!("../../../fixtures/tubular-tee/job.json")),
    ("tiered-skirt", include_str!("../../../fixtures/tiered-skirt/job.json")),
    ("apron-dress-run", include_str!("../../../fixtures/apron-dress-run/job.json")),
    ("bias-slip", include_str!("../../../fixtures/bias-slip/job.json")),
    ("half-circle-skirt", include_str!("../../../fixtures/half-circle-skirt/job.json")),
];

/// Draws a lay; and keeps the drawing to be looked at where `NEST_DRAWINGS` names a folder, which ordinary runs do not.
fn drawn(name: &str, job: &Job, marker: &Marker) -> String {
    let drawing = drawing(job, marker, &caption());
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/{name}.svg"), &drawing).unwrap();
    }
    drawing
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap_or_else(|| panic!("{name} of {node:?}")).parse().unwrap()
}

/// A written number of millimetres in hundredths.
fn hundredths(written: &str) -> i64 {
    let value: f64 = written.parse().unwrap();
    let whole = (value * 100.0).round();
    assert!((value * 100.0 - whole).abs() < 1e-6, "{written} has more than two decimals");
    whole as i64
}

fn by_class<'a>(document: &'a Document<'_>, class: &str) -> Vec<Node<'a, 'a>> {
    document.descendants().filter(|n| n.attribute("class") == Some(class)).collect()
}

/// The shifts of a node's ancestors and its own, and its turn in degrees.
fn shift(node: Node<'_, '_>) -> ((f64, f64), f64) {
    let mut sum = (0.0, 0.0);
    let mut turn = 0.0;
    for ancestor in node.ancestors() {
        let Some(transform) = ancestor.attribute("transform") else { continue };
        let (translate, rest) = transform.split_once(')').unwrap();
        let (x, y) = translate.strip_prefix("translate(").unwrap().split_once(' ').unwrap();
        sum = (sum.0 + x.parse::<f64>().unwrap(), sum.1 + y.parse::<f64>().unwrap());
        if let Some(rotate) = rest.trim().strip_prefix("rotate(") {
            turn += rotate.strip_suffix(')').unwrap().parse::<f64>().unwrap();
        }
    }
    (sum, turn)
}

/// The box of a text in its own group's frame: left, right, top, bottom, as wide as the widest usual face.
fn text_box(text: Node<'_, '_>) -> (f64, f64, f64, f64) {
    let size = number(text, "font-size");
    let weight = if text.attribute("font-weight") == Some("bold") { Weight::Bold } else { Weight::Plain };
    let wide = size * width(text.text().unwrap_or(""), weight);
    let left = number(text, "x")
        - match text.attribute("text-anchor") {
            None => 0.0,
            Some("middle") => wide / 2.0,
            _ => wide,
        };
    // Ascent and descent of DejaVu Sans.
    (left, left + wide, number(text, "y") - 0.93 * size, number(text, "y") + 0.24 * size)
}

#[test]
fn the_drawing_is_at_true_size() {
    for (name, job, marker) in lays() {
        let drawing = drawn(&name, &job, &marker);
        let document = Document::parse(&drawing).unwrap();
        let root = document.root_element();
        let (wide, high) = (root.attribute("width").unwrap(), root.attribute("height").unwrap());
        let (wide, high) = (wide.strip_suffix("mm").unwrap(), high.strip_suffix("mm").unwrap());
        assert_eq!(
            root.attribute("viewBox").unwrap(),
            format!("0 0 {wide} {high}"),
            "{name}: one unit is one mm"
        );
        // An SVG reader that is not ours takes a millimetre for 96/25.4 pixels, as CSS defines it.
        let tree = usvg::Tree::from_str(&drawing, &usvg::Options::default()).unwrap();
        let pixels = wide.parse::<f32>().unwrap() * 96.0 / 25.4;
        assert!((tree.size().width() - pixels).abs() < 0.01 * pixels.sqrt(), "{name}");

        let ground = by_class(&document, "ground")[0].first_element_child().unwrap();
        assert_eq!(
            hundredths(ground.attribute("width").unwrap()),
            marker.spread.lay_length().grid(),
            "{name}"
        );
        let on_table = marker.spread.sections[0].width.grid();
        assert_eq!(hundredths(ground.attribute("height").unwrap()), on_table, "{name}");
    }
}

#[test]
fn every_placement_is_drawn_once_and_exactly() {
    for (name, job, marker) in lays() {
        let drawing = drawn(&name, &job, &marker);
        let document = Document::parse(&drawing).unwrap();
        let ground = by_class(&document, "ground")[0].first_element_child().unwrap();
        let left = hundredths(ground.attribute("x").unwrap());
        let low =
            hundredths(ground.attribute("y").unwrap()) + hundredths(ground.attribute("height").unwrap());

        let outlines: Vec<Node<'_, '_>> = document
            .descendants()
            .filter(|n| {
                n.has_tag_name("path") && n.attribute("id").is_some_and(|id| id.starts_with("outline-"))
            })
            .collect();
        let ids: BTreeSet<&str> = outlines.iter().map(|n| n.attribute("id").unwrap()).collect();
        assert_eq!((outlines.len(), ids.len()), (marker.placements.len(), marker.placements.len()), "{name}");
        for (outline, placement) in outlines.iter().zip(&marker.placements) {
            let data = outline.attribute("d").unwrap().strip_prefix('M').unwrap().strip_suffix('Z').unwrap();
            let points: Vec<Point> = data
                .split(" L")
                .map(|p| p.split_once(',').unwrap())
                .map(|(x, y)| Point::new(hundredths(x) - left, low - hundredths(y)))
                .collect();
            let shape = job.style.shape(placement.piece, placement.size);
            assert_eq!(points, placement.outline(shape).points(), "{name}");
        }
    }
}

/// Is the box, turned and shifted, wholly inside the outline? Judged on the grid at points closer than any notch.
fn holds(
    outline: &Polygon,
    (left, right, top, bottom): (f64, f64, f64, f64),
    shift: ((f64, f64), f64),
) -> bool {
    let ((x, y), turn) = shift;
    let (sin, cos) = turn.to_radians().sin_cos();
    let at = |u: f64, v: f64| {
        Point::new(
            ((x + u * cos - v * sin) * 100.0).round() as i64,
            ((y + u * sin + v * cos) * 100.0).round() as i64,
        )
    };
    let steps = 60;
    let along = |a: (f64, f64), b: (f64, f64)| {
        (0..=steps).all(|i| {
            let t = f64::from(i) / f64::from(steps);
            locate(outline.points(), at(a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t))
                == PointLocation::Inside
        })
    };
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
    let inside_box = |p: &Point| {
        let (dx, dy) = (p.x as f64 / 100.0 - x, p.y as f64 / 100.0 - y);
        let (u, v) = (dx * cos + dy * sin, dy * cos - dx * sin);
        u > left && u < right && v > top && v < bottom
    };
    (0..4).all(|i| along(corners[i], corners[(i + 1) % 4])) && !outline.points().iter().any(inside_box)
}

#[test]
fn words_stay_inside_their_piece_and_apart() {
    for (name, job, marker) in lays() {
        let drawing = drawn(&name, &job, &marker);
        let document = Document::parse(&drawing).unwrap();
        let pieces = by_class(&document, "piece");
        assert_eq!(pieces.len(), marker.placements.len(), "{name}");
        for (piece, placement) in pieces.iter().zip(&marker.placements) {
            let data = piece.descendants().find(|n| n.has_tag_name("path")).unwrap().attribute("d").unwrap();
            let ring: Vec<Point> = data
                .trim_start_matches('M')
                .trim_end_matches('Z')
                .split(" L")
                .map(|p| p.split_once(',').unwrap())
                .map(|(x, y)| Point::new(hundredths(x), hundredths(y)))
                .collect();
            let outline = Polygon::new(ring).unwrap();
            let label = piece.children().find(|n| n.attribute("class") == Some("label"));
            let label = label.unwrap_or_else(|| panic!("{name}: piece {} has no label", placement.piece + 1));
            let texts: Vec<Node<'_, '_>> = label.children().filter(|n| n.has_tag_name("text")).collect();
            let boxes: Vec<_> = texts.iter().map(|&t| text_box(t)).collect();
            for (text, &bounds) in texts.iter().zip(&boxes) {
                let told = text.text().unwrap();
                assert!(
                    holds(&outline, bounds, shift(*text)),
                    "{name}: \"{told}\" leaves piece {}",
                    placement.piece + 1
                );
            }
            for pair in boxes.windows(2) {
                assert!(
                    pair[0].3 <= pair[1].2 + 0.02,
                    "{name}: lines of piece {} run together",
                    placement.piece + 1
                );
            }
            let first = texts[0].text().unwrap();
            let number = (placement.piece + 1).to_string();
            assert!(first == number || first.starts_with(&format!("{number} ")), "{name}: {first}");
        }
    }
}

#[test]
fn all_words_are_on_the_page() {
    for (name, job, marker) in lays() {
        let drawing = drawn(&name, &job, &marker);
        let document = Document::parse(&drawing).unwrap();
        let view_box: Vec<f64> = document
            .root_element()
            .attribute("viewBox")
            .unwrap()
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        let mut seen = 0;
        for text in document.descendants().filter(|n| n.has_tag_name("text")) {
            let ((x, y), turn) = shift(text);
            let (left, right, top, bottom) = text_box(text);
            if turn == 0.0 {
                let told = text.text().unwrap_or("");
                assert!(
                    x + left >= 0.0 && x + right <= view_box[2],
                    "{name}: \"{told}\" at {} to {}",
                    x + left,
                    x + right
                );
                assert!(y + top >= 0.0 && y + bottom <= view_box[3], "{name}: \"{told}\"");
                seen += 1;
            }
        }
        assert!(seen > 20, "{name}: only {seen} texts");
    }
}

#[test]
fn the_key_tells_what_is_there_and_nothing_else() {
    for (name, job, marker) in lays() {
        let drawing = drawn(&name, &job, &marker);
        let document = Document::parse(&drawing).unwrap();
        let key = document.descendants().find(|n| n.attribute("id") == Some("key")).unwrap();
        let told: Vec<&str> =
            key.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
        let tells = |beginning: &str| told.iter().any(|t| t.starts_with(beginning));
        let any = |test: fn(&Placement) -> bool| marker.placements.iter().any(test);
        assert_eq!(tells("on the fold"), any(|p| p.form == Form::OnFold), "{name}");
        assert_eq!(tells("on two plies"), any(|p| p.form == Form::Whole && p.plies == Plies::Two), "{name}");
        assert_eq!(tells("on one ply"), any(|p| p.form == Form::Whole && p.plies == Plies::One), "{name}");
        assert_eq!(tells("opened out"), any(|p| p.form == Form::OpenedOut), "{name}");
        assert_eq!(tells("doubled outline"), any(|p| p.plies == Plies::Two), "{name}");
        let has_wrong_side = |p: &Placement| match p.form {
            Form::OnFold => true,
            Form::OpenedOut => false,
            Form::Whole => {
                let outline = p.outline(job.style.shape(p.piece, p.size));
                let (bounds, twin) = (outline.bounds(), Pose { mirrored: true, turn: Turn::None });
                let flipped = outline.posed(twin).shifted(Point::new(0, bounds.low.y + bounds.high.y));
                flipped.canonical() != outline.canonical()
            }
        };
        let down = marker.placements.iter().any(|p| p.pose.mirrored && has_wrong_side(p));
        assert_eq!(tells("strokes"), down, "{name}");
        let nap = job.cloths.iter().find(|c| c.kind == marker.cloth).unwrap().nap;
        assert_eq!(tells("grainline: all heads"), nap == Nap::OneWay, "{name}");
        assert_eq!(tells("where two plies end"), marker.spread.sections[0].bands.len() > 1, "{name}");
    }
}

#[test]
fn marks_lie_on_their_piece() {
    for (name, job, marker) in lays() {
        for placement in &marker.placements {
            let shape = job.style.shape(placement.piece, placement.size);
            let marks = super::marks::Marks::new(shape, placement.form, placement.pose, Nap::None, 10.0);
            let outline = placement.outline(shape).shifted(-placement.position);
            let on_grid =
                |p: (f64, f64)| Point::new((p.0 * 100.0).round() as i64, (-p.1 * 100.0).round() as i64);
            let inside = |p: (f64, f64)| locate(outline.points(), on_grid(p)) != PointLocation::Outside;
            let (bottom, top) = marks.grainline;
            let ahead = if placement.pose.turn == Turn::Half { bottom.0 > top.0 } else { bottom.0 < top.0 };
            assert!(
                ahead && bottom.1 == top.1,
                "{name}: the grainline runs along the cloth, its top where the turn puts it"
            );
            assert!(inside(bottom) && inside(top), "{name}: grainline of piece {}", placement.piece + 1);
            if let Some([_, b, c, _]) = marks.bracket {
                assert!(inside(b) && inside(c), "{name}: bracket of piece {}", placement.piece + 1);
            }
            for (_, inner) in marks.notches {
                assert!(inside(inner), "{name}: notch of piece {}", placement.piece + 1);
            }
            if placement.form == Form::OpenedOut {
                let crease = marks.crease.unwrap();
                let middle = (outline.bounds().low.y + outline.bounds().high.y) / 2;
                assert_eq!(on_grid(crease.0).y, middle, "{name}: the crease runs down the middle");
            }
        }
    }
}

#[test]
fn hostile_names_are_only_words() {
    let mut job = job(1400.0, Nap::None);
    let hostile = "</text><script>alert(1)</script> & \"quoted\" 'single' ]]> <!-- \u{0}\u{b}";
    job.name = hostile.to_string();
    job.style.pieces[FRONT].name = hostile.to_string();
    job.style.pieces[BACK].id = hostile.to_string();
    let marker = lay(&job, Family::LengthwiseFold, &samples::one_garment());
    let drawing = drawn("hostile", &job, &marker);
    let document = Document::parse(&drawing).unwrap();
    assert!(!document.descendants().any(|n| n.has_tag_name("script")), "a name became an element");
    let shown = hostile.replace(['\u{0}', '\u{b}'], "\u{fffd}");
    let title = document.root_element().first_element_child().unwrap();
    assert_eq!(title.text().unwrap(), format!("{shown}: self, lengthwise fold"));
    assert!(
        document.descendants().any(|n| n.attribute("data-piece") == Some(shown.as_str())),
        "the id, whole"
    );
}

#[test]
fn the_same_marker_gives_the_same_bytes() {
    let job = job(1400.0, Nap::None);
    let marker = lay(&job, Family::TwoFolds, &samples::one_garment());
    assert_eq!(drawing(&job, &marker, &caption()), drawing(&job, &marker, &caption()));
}

/// Shows change, not truth: the facts are asserted above.
#[test]
fn a_small_lay_looks_as_it_did() {
    let mut job = job(800.0, Nap::OneWay);
    job.name = "Pocket sampler".to_string();
    let marker = lay(&job, Family::OffCentreFold, &samples::small());
    insta::assert_snapshot!(drawn("small", &job, &marker));
}
