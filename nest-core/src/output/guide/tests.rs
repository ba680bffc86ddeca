//! The guide against the drawing, and what it must say.

use std::collections::BTreeSet;

use roxmltree::{Document, Node, ParsingOptions};

use super::Guide;
use super::reading::read;
use crate::check::check;
use crate::draw::{Caption, draw};
use crate::geometry::Turn;
use crate::invented;
use crate::job::Job;
use crate::length::Unit;
use crate::marker::Marker;

/// Keeps a page to be looked at where `NEST_DRAWINGS` names a folder, which ordinary runs do not.
fn keep(name: &str, ending: &str, content: &[u8]) {
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/guide-{}.{ending}", name.replace([' ', ','], "-")), content)
            .unwrap();
    }
}

/// Hand-made markers of every kind of spread, in millimetres and in inches.
fn markers() -> Vec<(String, Job, Marker)> {
    let units = [Unit::Mm, Unit::Cm, Unit::Inch];
    let good = invented::good_markers();
    good.into_iter()
        .flat_map(|(name, job, marker)| {
            units.map(|unit| (format!("{name} {}", unit.sign()), Job { unit, ..job.clone() }, marker.clone()))
        })
        .collect()
}

fn guide(job: &Job, marker: &Marker) -> Guide {
    Guide::new(job, &[check(job, marker).expect("a good marker")])
}

fn number(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// Bottom and top of a piece's grainline as the drawing has it: the line that its first arrowhead, the one at the top,
/// stands on. In millimetres of the page, y down.
fn drawn_grainline(piece: Node<'_, '_>) -> [(f64, f64); 2] {
    let marks = piece.children().find(|n| n.attribute("class") == Some("marks")).unwrap();
    let paths: Vec<Node<'_, '_>> = marks.children().filter(|n| n.has_tag_name("path")).collect();
    let head = paths.iter().position(|n| n.attribute("stroke") == Some("none")).expect("an arrowhead");
    let points = |n: Node<'_, '_>| -> Vec<(f64, f64)> {
        n.attribute("d")
            .unwrap()
            .trim_matches(['M', 'Z'])
            .split(" L")
            .map(|p| p.split_once(',').unwrap())
            .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
            .collect()
    };
    let (line, tip) = (points(paths[head - 1]), points(paths[head])[0]);
    assert_eq!(line.len(), 2);
    assert_eq!(line[1], tip, "the first head is at the top of the grainline");
    [line[0], line[1]]
}

/// The distance that a cell begins with, in millimetres.
fn told_mm(cell: &str, unit: Unit) -> f64 {
    let mut sum = 0.0;
    for word in cell.split_whitespace() {
        if word == "on" {
            return 0.0;
        } else if let Some((over, under)) = word.split_once('/') {
            sum += over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap();
        } else if let Ok(whole) = word.parse::<f64>() {
            sum += whole;
        } else {
            assert!(word == unit.sign() || word.starts_with(unit.sign()), "{cell}");
            break;
        }
    }
    sum * unit.mm()
}

#[test]
fn distances_are_those_of_the_drawing() {
    let mut compared = 0;
    for (name, job, marker) in markers() {
        let checked = check(&job, &marker).unwrap();
        let drawing = draw(&job, &checked, &Caption::default());
        let drawing = Document::parse(&drawing).unwrap();
        let page = guide(&job, &marker).html();
        keep(&name, "html", page.as_bytes());
        let page =
            Document::parse_with_options(&page, ParsingOptions { allow_dtd: true, ..Default::default() })
                .unwrap_or_else(|e| panic!("{name}: {e}"));

        // The cloth as drawn: its lower edge is y = 0 of the lay, its left one x = 0.
        let ground = drawing.descendants().find(|n| n.attribute("class") == Some("ground")).unwrap();
        let ground = ground.first_element_child().unwrap();
        let left = number(ground, "x");
        let low = number(ground, "y") + number(ground, "height");

        // Half of the fineness, and a trace for binary fractions.
        let close = if job.unit == Unit::Inch { 25.4 / 16.0 } else { 0.5 } + 1e-6;
        let rows: Vec<Node<'_, '_>> =
            page.descendants().filter(|n| n.attribute("data-placement").is_some()).collect();
        let steps: BTreeSet<&str> = rows.iter().map(|n| n.attribute("data-placement").unwrap()).collect();
        assert_eq!((rows.len(), steps.len()), (marker.placements.len(), marker.placements.len()), "{name}");
        for row in rows {
            let n: usize = row.attribute("data-placement").unwrap().parse().unwrap();
            let placement = &marker.placements[n - 1];
            let section = &marker.spread.sections[placement.section];
            let cells: Vec<&str> =
                row.children().filter(|n| n.is_element()).map(|n| n.text().unwrap_or("")).collect();
            let piece =
                drawing.descendants().find(|d| d.attribute("id") == Some(&format!("piece-{n}"))).unwrap();
            let grainline = drawn_grainline(piece);
            let across = matches!(placement.pose.turn, Turn::Quarter | Turn::ThreeQuarter);
            for (cell, point) in cells[7..9].iter().zip(grainline) {
                let told = told_mm(cell, job.unit);
                let (x, y) = (point.0 - left - section.start.mm(), low - point.1);
                let width = section.width.mm();
                // Where a flap's selvage lies, by the widths that the hand-made markers have.
                let (near, far) = match (section.bands.len(), section.family) {
                    (2, crate::spread::Family::OffCentreFold) => (300.0, 300.0),
                    (3, _) => (300.0, 680.0),
                    (2, _) => (400.0, 400.0),
                    _ => (0.0, 0.0),
                };
                let due = if across {
                    assert!(cell.ends_with("start"), "{name}: {cell}");
                    x
                } else if cell.ends_with("flap") {
                    (y - near).abs().min((y - far).abs())
                } else if cell.contains("near") || cell.ends_with("fold") && !cell.contains("far") {
                    y
                } else {
                    width - y
                };
                assert!((told - due).abs() <= close, "{name}: {cell}, and the drawing has {due}");
                if !across {
                    // No edge of the part of the cloth that the piece lies on is nearer than the one named.
                    let outline = placement.outline(&job.style.pieces[placement.piece].shapes["38"]).bounds();
                    let lines = [0.0, near, far, width];
                    let under = lines.iter().filter(|l| **l <= outline.low.y as f64 / 100.0 + 1e-9);
                    let over = lines.iter().filter(|l| **l >= outline.high.y as f64 / 100.0 - 1e-9);
                    let below = y - under.copied().fold(f64::NEG_INFINITY, f64::max);
                    let above = over.copied().fold(f64::INFINITY, f64::min) - y;
                    assert!(
                        told <= below.min(above) + close,
                        "{name}: {cell}, and {below} or {above} is nearer"
                    );
                }
                compared += 1;
            }
            // It lies true: both ends are as far away.
            assert_eq!(cells[7], cells[8], "{name}");
            let outline = placement.outline(&job.style.pieces[placement.piece].shapes["38"]);
            let begins = outline.bounds().low.x - section.start.grid();
            assert!(cells[6].starts_with(&read(begins, job.unit)), "{name}: {}", cells[6]);
        }
    }
    assert!(compared > 200, "only {compared} distances compared");
}

#[test]
fn pieces_on_the_fold_come_first_and_large_before_small() {
    for (name, job, marker) in invented::good_markers() {
        let laid = super::order::order(&job, &job.cloths[0], &marker);
        assert!(laid.iter().enumerate().all(|(i, l)| l.step == i + 1), "{name}");
        for pair in laid.windows(2) {
            let key = |l: &super::order::Laid<'_>| (l.placement.section, l.batch, l.from_start);
            assert!(key(&pair[0]) <= key(&pair[1]), "{name}");
        }
    }
}

#[test]
fn the_text_says_how_to_fold_and_what_is_wanted() {
    let of = |(_, job, marker): (&str, Job, Marker)| guide(&job, &marker).text();
    let says = |text: &str, words: &str| {
        // Lines break where they may.
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains(words), "{words:?} is not in\n{text}");
    };
    let single = of(invented::single());
    says(&single, "one selvage near you and the other far");
    says(&single, "9 pieces wanted for 1 garment, 9 come off: every garment gets every piece of this cloth.");
    let off_centre = of(invented::off_centre_fold());
    says(&off_centre, "a flap 300 mm deep lies on the rest");
    says(&off_centre, "900 mm of single ply");
    says(&off_centre, "Mark the nap with an arrow on each selvage");
    says(&of(invented::two_folds_meeting()), "The two selvages meet.");
    says(&of(invented::turned_double()), "The arrows of the upper ply now point the same way");
    says(&of(invented::tubular()), "column of stitches");
    says(&of(invented::slit_tube()), "cut it open along one fold");
    says(&of(invented::crosswise_fold()), "The start line is the crosswise fold itself");
    let sections = of(invented::two_sections());
    says(&sections, "cut the cloth across at 600 mm from the start line");
    says(&sections, "Section 2: single thickness");
    says(&of(invented::spare_copy()), "1 spare");
    for text in [single, off_centre, sections] {
        let widest = text.lines().map(|l| l.chars().count()).max().unwrap();
        assert!(widest <= 110, "{widest} columns");
    }
}

#[test]
fn flaws_are_marked_when_there_is_what_they_are_measured_from() {
    use crate::cloth::Flaw;
    use crate::geometry::{Point, Polygon};
    let spot = || Flaw::Area(Polygon::rectangle(500, 500).shifted(Point::new(400_000, 1000)));
    let order = |text: &str, words: [&str; 2]| {
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let [first, second] =
            words.map(|word| flat.find(word).unwrap_or_else(|| panic!("{word:?} is not in {text}")));
        assert!(first < second, "{words:?} in\n{text}");
    };
    // The flaw lies beyond the lay, so that the marker stays right.
    let (_, mut job, marker) = invented::single();
    job.cloths[0].flaws = vec![spot()];
    let text = guide(&job, &marker).text();
    order(&text, ["Square one end", "Before folding, mark flaw 1"]);
    order(&text, ["Before folding, mark flaw 1", "Lay the cloth flat"]);
    // A remnant with slanting edges has nothing to measure from before its lines are chalked.
    let width = job.cloths[0].width.grid();
    let corners = [(0, 0), (500_000, 0), (510_000, width), (0, width)];
    let remnant = Polygon::new(corners.iter().map(|&(x, y)| Point::new(x, y)).collect());
    job.cloths[0].within = Some(remnant.expect("simple"));
    let text = guide(&job, &marker).text();
    order(&text, ["Chalk the start line across the remnant", "Now mark flaw 1"]);
    order(&text, ["Chalk two lines along the grain", "Now mark flaw 1"]);
    assert!(!text.contains("Before folding"), "{text}");
    // A rectangle that is folded is marked before, from a line squared to its near edge: its left edge may be crooked.
    let (_, mut job, marker) = invented::lengthwise_fold();
    job.cloths[0].flaws = vec![spot()];
    job.cloths[0].within = Some(Polygon::rectangle(500_000, job.cloths[0].width.grid()));
    let text = guide(&job, &marker).text();
    order(&text, ["Before folding, mark flaw 1", "Bring the near edge over"]);
    order(
        &text,
        ["chalk the squared line across it: square to its near edge", "Before folding, mark flaw 1"],
    );
    order(
        &text,
        [
            "4000 mm to 4005 mm from the squared line, 10 mm to 15 mm from the near edge",
            "Bring the near edge",
        ],
    );
    order(&text, ["Bring the near edge", "The start line is the squared line that is pinned at its ends"]);
    assert!(!text.contains("left edge of the remnant"), "{text}");
    // Without flaws nothing has to be chalked before.
    job.cloths[0].flaws.clear();
    assert!(!guide(&job, &marker).text().contains("squared line"));
}

#[test]
fn every_garment_of_a_run_is_told_its_steps() {
    let (_, mut job, mut marker) = invented::turned_double();
    job.order[0].garments = 2;
    let again: Vec<_> = marker
        .placements
        .iter()
        .map(|p| crate::marker::Placement {
            position: p.position + crate::geometry::Point::new(0, 60_000),
            ..p.clone()
        })
        .collect();
    marker.placements.extend(again);
    let text = guide(&job, &marker).text();
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("8 pieces wanted for 2 garments, 8 come off: every garment gets every piece"),
        "{text}"
    );
    assert!(text.contains("2 x 2 = 4"), "{text}");
    let page = guide(&job, &marker).html();
    // One row for each garment: a step of two copies for each of its two pieces.
    for number in ["1", "2"] {
        let begins =
            page.find(&format!("<td class=\"short\">{number}, 38</td>")).expect("a row for the garment");
        let row = &page[begins..begins + page[begins..].find("</tr>").unwrap()];
        assert_eq!(row.matches("(2)</td>").count(), 2, "{row}");
    }
}

#[test]
fn names_cannot_break_the_page() {
    let (_, mut job, marker) = invented::single();
    job.style.pieces[0].name = "<script>\"&\u{0}\u{1b}[31m".to_owned();
    job.name = "</title><b>".to_owned();
    let guide = guide(&job, &marker);
    let page = guide.html();
    let options = ParsingOptions { allow_dtd: true, ..Default::default() };
    let read = Document::parse_with_options(&page, options).unwrap();
    assert!(read.descendants().all(|n| !n.has_tag_name("script") && !n.has_tag_name("b")));
    assert!(!guide.text().contains('\u{1b}'), "no control character reaches the terminal");
}
