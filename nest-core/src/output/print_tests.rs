//! Printed pages read back by another library: sizes of pages, squares, and outlines at true size.

use lopdf::content::Content;
use lopdf::{Document, Object, ObjectId};

use super::linework::{Kind, LineWork};
use super::{Paper, pdf, png};
use crate::check::{Checked, check};
use crate::invented;
use crate::job::Job;

/// Keeps a file to be looked at where `NEST_DRAWINGS` names a folder, which ordinary runs do not.
fn keep(name: &str, content: &[u8]) {
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/{name}"), content).unwrap();
    }
}

fn sample((_, job, marker): (&'static str, Job, crate::marker::Marker)) -> (Job, Checked) {
    let checked = check(&job, &marker).unwrap();
    (job, checked)
}

/// Six numbers that map points: x' = a x + c y + e, y' = b x + d y + f (ISO 32000-1, 8.3.3).
type Matrix = [f64; 6];

fn times(m: Matrix, n: Matrix) -> Matrix {
    // First m, then n.
    [
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    ]
}

fn number(o: &Object) -> f64 {
    f64::from(o.as_float().unwrap())
}

/// Every path that a page draws, as points in millimetres from its upper left corner; only straight lines are followed.
fn paths(document: &Document, page: ObjectId) -> Vec<Vec<(f64, f64)>> {
    let dictionary = document.get_dictionary(page).unwrap();
    let high = number(&dictionary.get(b"MediaBox").unwrap().as_array().unwrap()[3]);
    let resources = dictionary.get(b"Resources").unwrap().as_dict().unwrap();
    let content = document.get_page_content(page);
    let mut found = Vec::new();
    walk(document, &content, resources, [1.0, 0.0, 0.0, 1.0, 0.0, 0.0], &mut found);
    let mm = 25.4 / 72.0;
    for path in &mut found {
        for p in path {
            *p = (p.0 * mm, (high - p.1) * mm);
        }
    }
    found
}

fn walk(
    document: &Document,
    content: &[u8],
    resources: &lopdf::Dictionary,
    start: Matrix,
    found: &mut Vec<Vec<(f64, f64)>>,
) {
    let (mut matrix, mut saved, mut path) = (start, Vec::new(), Vec::new());
    let at = |m: Matrix, x: f64, y: f64| (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
    for operation in Content::decode(content).unwrap().operations {
        let n: Vec<f64> =
            operation.operands.iter().filter_map(|o| o.as_float().ok()).map(f64::from).collect();
        match operation.operator.as_str() {
            "q" => saved.push(matrix),
            "Q" => matrix = saved.pop().unwrap(),
            "cm" => matrix = times([n[0], n[1], n[2], n[3], n[4], n[5]], matrix),
            "m" => {
                if !path.is_empty() {
                    found.push(std::mem::take(&mut path));
                }
                path = vec![at(matrix, n[0], n[1])];
            }
            "l" => path.push(at(matrix, n[0], n[1])),
            "c" => path.push(at(matrix, n[4], n[5])),
            "re" => {
                let corners =
                    [(n[0], n[1]), (n[0] + n[2], n[1]), (n[0] + n[2], n[1] + n[3]), (n[0], n[1] + n[3])];
                found.push(corners.map(|(x, y)| at(matrix, x, y)).to_vec());
            }
            "Do" => {
                let name = operation.operands[0].as_name().unwrap();
                let objects = resources.get(b"XObject").unwrap();
                let objects = document.dereference(objects).unwrap().1.as_dict().unwrap();
                let object = document.dereference(objects.get(name).unwrap()).unwrap().1.as_stream().unwrap();
                let own: Matrix = match object.dict.get(b"Matrix") {
                    Ok(m) => {
                        let m: Vec<f64> = m.as_array().unwrap().iter().map(number).collect();
                        [m[0], m[1], m[2], m[3], m[4], m[5]]
                    }
                    Err(_) => [1.0, 0.0, 0.0, 1.0, 0.0, 0.0],
                };
                let none = lopdf::Dictionary::new();
                let inner = object.dict.get(b"Resources").ok().map(|r| document.dereference(r).unwrap().1);
                let inner = inner.and_then(|r| r.as_dict().ok()).unwrap_or(&none);
                let content = object.decompressed_content().unwrap_or_else(|_| object.content.clone());
                walk(document, &content, inner, times(own, matrix), found);
            }
            _ => {}
        }
    }
    if !path.is_empty() {
        found.push(path);
    }
}

/// Width and height of every page in millimetres.
fn sizes(document: &Document) -> Vec<(f64, f64)> {
    document
        .get_pages()
        .values()
        .map(|&page| {
            let media = document.get_dictionary(page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
            (number(&media[2]) * 25.4 / 72.0, number(&media[3]) * 25.4 / 72.0)
        })
        .collect()
}

/// Is there, among the paths, a square of that side within 0.05 mm?
fn has_square(paths: &[Vec<(f64, f64)>], side: f64) -> bool {
    paths.iter().any(|path| {
        let xs = path.iter().map(|p| p.0);
        let ys = path.iter().map(|p| p.1);
        let wide = xs.clone().fold(f64::NEG_INFINITY, f64::max) - xs.fold(f64::INFINITY, f64::min);
        let high = ys.clone().fold(f64::NEG_INFINITY, f64::max) - ys.fold(f64::INFINITY, f64::min);
        (4..=5).contains(&path.len()) && (wide - side).abs() < 0.05 && (high - side).abs() < 0.05
    })
}

/// The largest distance of the cut lines of a marker from the nearest path of the same number of points, when the lay's
/// upper left corner is at `corner` of the page.
fn farthest(lines: &LineWork, paths: &[Vec<(f64, f64)>], corner: (f64, f64)) -> f64 {
    let mut farthest: f64 = 0.0;
    for stroke in lines.pieces.iter().flat_map(|p| &p.strokes).filter(|s| s.kind == Kind::Cut) {
        let due: Vec<(f64, f64)> =
            stroke.points.iter().map(|p| (corner.0 + p.0, corner.1 + lines.width - p.1)).collect();
        let off = |path: &Vec<(f64, f64)>| {
            due.iter().zip(path).map(|(a, b)| (a.0 - b.0).hypot(a.1 - b.1)).fold(0.0, f64::max)
        };
        let candidates = paths.iter().filter(|path| path.len() >= due.len() && path.len() <= due.len() + 1);
        farthest = farthest.max(candidates.map(off).fold(f64::INFINITY, f64::min));
    }
    farthest
}

#[test]
fn the_long_page_is_at_true_size() {
    for marker in [invented::two_folds(), invented::lengthwise_fold(), invented::tubular()] {
        let name = marker.0;
        let (job, checked) = sample(marker);
        let bytes = pdf::whole(&job, &checked).unwrap();
        keep(&format!("whole-{name}.pdf"), &bytes);
        assert_eq!(bytes, pdf::whole(&job, &checked).unwrap(), "the same bytes");
        let document = Document::load_mem(&bytes).unwrap();
        let lines = LineWork::new(&job, &checked);
        let sizes = sizes(&document);
        assert_eq!(sizes.len(), 1);
        assert!((sizes[0].0 - (lines.length + 30.0)).abs() < 0.05, "{sizes:?}");
        assert!((sizes[0].1 - (lines.width + 152.0)).abs() < 0.05, "{sizes:?}");
        let page = *document.get_pages().values().next().unwrap();
        let paths = paths(&document, page);
        assert!(has_square(&paths, 100.0) && has_square(&paths, 101.6), "{name}: test squares");
        assert!(!has_square(&paths, 99.9));
        let off = farthest(&lines, &paths, (15.0, 137.0));
        assert!(off < 0.05, "{name}: outlines are off by {off} mm");
    }
}

#[test]
fn pages_of_paper_show_the_lay_where_it_is() {
    let (job, checked) = sample(invented::two_folds());
    let lines = LineWork::new(&job, &checked);
    for paper in [Paper::A4, Paper::A3, Paper::Letter] {
        let bytes = pdf::tiled(&job, &checked, paper).unwrap();
        keep(&format!("tiled-{paper:?}.pdf"), &bytes);
        let document = Document::load_mem(&bytes).unwrap();
        let tiling = super::paper::Tiling::new((lines.length, lines.width), paper.size(), 12.0, 15.0);
        let sizes = sizes(&document);
        assert!((sizes[0].0 - paper.size().0).abs() < 0.05 && (sizes[0].1 - paper.size().1).abs() < 0.05);
        let pages: Vec<ObjectId> = document.get_pages().values().copied().collect();
        assert!(pages.len() > 2 && pages.len() <= 1 + tiling.pages());
        let first = paths(&document, pages[0]);
        assert!(has_square(&first, 100.0) && has_square(&first, 101.6), "{paper:?}: test squares on the map");
        // Words can be searched: the page says its own name, and those of the pieces whose labels stand on it alone.
        let said = document.extract_text(&[2]).unwrap();
        assert!(said.contains("column ") && said.contains("row 1 of"), "{paper:?}: {said}");
        // Every further page shows the same lay, each from another corner of the grid of pages; outlines that cross it
        // are found where the tiling has them.
        let mut corners: Vec<(usize, usize)> = Vec::new();
        for (&page, size) in pages[1..].iter().zip(&sizes[1..]) {
            assert!((size.0 - tiling.page.0).abs() < 0.05 && (size.1 - tiling.page.1).abs() < 0.05);
            let paths = paths(&document, page);
            let at = (0..tiling.rows)
                .flat_map(|row| (0..tiling.columns).map(move |column| (column, row)))
                .find(|&(column, row)| {
                    let (x, y) = tiling.corner(column, row);
                    farthest(&lines, &paths, (12.0 - x, 12.0 - y)) < 0.05
                });
            let at = at.expect("the lay is where a page of the tiling has it");
            assert!(!corners.contains(&at), "{paper:?}: each page once");
            corners.push(at);
        }
    }
}

#[test]
fn a_lay_of_more_than_five_metres_comes_on_several_long_pages() {
    let (_, job, mut marker) = invented::two_folds();
    marker.spread.sections[0].length = crate::length::Length::from_grid(1_210_000);
    let checked = check(&job, &marker).expect("a long lay may have an empty end");
    let document = Document::load_mem(&pdf::whole(&job, &checked).unwrap()).unwrap();
    let sizes = sizes(&document);
    assert_eq!(sizes.len(), 3, "12.1 m on pages of 5 m");
    // ISO 32000-1, annex C: 14 400 units of 1/72 in.
    assert!(sizes.iter().all(|s| s.0 <= 5080.0 && s.1 <= 5080.0), "{sizes:?}");
    assert!(
        document.get_pages().values().all(|&p| document.get_dictionary(p).unwrap().get(b"UserUnit").is_err())
    );
}

#[test]
fn what_a_projector_shows_is_white_on_black_at_true_size() {
    let (job, checked) = sample(invented::off_centre_fold());
    let svg = super::projector_svg(&job, &checked);
    keep("projector.svg", svg.as_bytes());
    let bytes = pdf::projector(&job, &checked).unwrap();
    keep("projector.pdf", &bytes);
    let document = Document::load_mem(&bytes).unwrap();
    let page = *document.get_pages().values().next().unwrap();
    let paths = paths(&document, page);
    assert!(has_square(&paths, 500.0), "the square to set the projector by");
    let lines = LineWork::new(&job, &checked);
    let sheet = super::sheet::projector(&job, &checked);
    assert!(farthest(&lines, &paths, sheet.lay) < 0.05);
    let png = png::projector(&job, &checked).unwrap();
    keep("projector.png", &png);
    let picture = resvg::tiny_skia::Pixmap::decode_png(&png).unwrap();
    assert_eq!(
        (f64::from(picture.width()), f64::from(picture.height())),
        (2.0 * sheet.width, 2.0 * sheet.height)
    );
    let dark = picture.pixels().iter().filter(|p| p.red() < 0x20).count();
    let bright = picture.pixels().iter().filter(|p| p.red() > 0xe0).count();
    assert!(dark > picture.pixels().len() / 2 && bright > 1000, "{dark} dark and {bright} bright pixels");
}

#[test]
fn a_preview_shows_words() {
    let (job, checked) = sample(invented::single());
    let png = png::preview(&job, &checked).unwrap();
    keep("preview.png", &png);
    let picture = resvg::tiny_skia::Pixmap::decode_png(&png).unwrap();
    assert_eq!(picture.width().max(picture.height()), 3000);
    // The title stands in the upper left corner in ink that is nearly black: no words, no dark pixels there.
    let (wide, high) = (picture.width() / 3, picture.height() / 12);
    let dark = (0..high)
        .flat_map(|y| (0..wide).map(move |x| (x, y)))
        .filter(|&(x, y)| picture.pixel(x, y).is_some_and(|p| p.red() < 0x40))
        .count();
    assert!(dark > 500, "only {dark} dark pixels where the title is");
}

#[test]
fn what_the_face_lacks_is_known() {
    assert!(super::not_in_face("Ärmel, manga, рукав, μανίκι").is_empty());
    assert_eq!(super::not_in_face("袖 sleeve 袖"), ['袖']);
}
