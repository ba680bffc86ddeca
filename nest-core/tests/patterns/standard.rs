//! The smock's files: what was drafted, what an independent reader finds in them, and what the importer makes of them.

use nest_core::import::WarningKind;

use crate::smock::{At, BASE, Dialect, SIZES, area, pieces, written};
use crate::tags::blocks;
use crate::{extent, fixture, fixtures, job, piece, read, shape};

const FILES: [(&str, Dialect); 2] =
    [("field-smock-metric.dxf", Dialect::Metric), ("field-smock-english.dxf", Dialect::English)];

#[test]
fn the_sample_files_are_those_written_here() {
    const REWRITE: &str = "NEST_REWRITE_FIXTURES";
    for (name, dialect) in FILES {
        if std::env::var_os(REWRITE).is_some() {
            std::fs::write(fixtures().join(name), written(dialect)).expect("the fixture can be written");
        }
        assert!(fixture(name) == written(dialect), "{name} is stale: set {REWRITE}=1 to write it anew");
    }
}

/// The box around points: low and high corner.
fn frame(points: impl Iterator<Item = At>) -> (At, At) {
    points.fold(((f64::MAX, f64::MAX), (f64::MIN, f64::MIN)), |(low, high), p| {
        ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1)))
    })
}

#[test]
fn counts_cloths_sizes_and_folds_are_those_drafted() {
    for (name, _) in FILES {
        let found = read(&fixture(name));
        assert_eq!(found.pattern.sizes(), SIZES, "{name}: smallest first");
        let job = job(&found);
        assert_eq!(job.name, "Field smock", "{name}");
        let told: Vec<(&str, u32, bool, &str)> =
            job.style.pieces.iter().map(|p| (p.name.as_str(), p.cut, p.pairs, p.cloth.as_str())).collect();
        // A bare 2 is taken for a pair, and that is told; 2,0 says that both are alike.
        let is_metric = name.contains("metric");
        let expected = [
            ("Front", 2, true, "Canvas"),
            ("Back", 1, false, "Canvas"),
            ("Sleeve", 2, true, "Canvas"),
            ("Collar stand", 1, false, "Interfacing"),
            // In the block of the second size for the first time.
            ("Pocket", 2, !is_metric, "Canvas"),
        ];
        assert_eq!(told, expected, "{name}");
        let warned = |kind: &WarningKind, place: &str| {
            found.warnings.iter().any(|w| w.kind == *kind && w.places.iter().any(|p| p == place))
        };
        assert_eq!(warned(&WarningKind::TakenAsPairs(2), "Pocket"), !is_metric, "{name}");
        assert!(warned(&WarningKind::SameInAllSizes, "Pocket"), "{name}");
        for what in ["notches", "drill holes"] {
            let carried = WarningKind::CarriedAlongSeams { what, size: "M".to_owned() };
            assert!(warned(&carried, "Front"), "{name}: {what}");
        }
        assert_eq!(warned(&WarningKind::ChordsOnly, "Front"), !is_metric, "{name}");
        for size in SIZES {
            assert!(shape(piece(&job, "Back"), size).fold.is_some(), "{name}: a mirror line is a fold edge");
            assert!(shape(piece(&job, "Front"), size).fold.is_none(), "{name}");
        }
        // The order is one garment of the sample size.
        assert_eq!(job.order.len(), 1);
        assert_eq!(job.style.sizes[job.order[0].size], SIZES[BASE], "{name}");
    }
}

#[test]
fn outlines_are_those_an_independent_reader_finds() {
    for (name, dialect) in FILES {
        let (layer, mm) = match dialect {
            Dialect::Metric => ("84", 1.0),
            Dialect::English => ("1", 25.4),
        };
        let bytes = fixture(name);
        let job = job(&read(&bytes));
        let mut compared = 0;
        for (block, entities) in blocks(&bytes).iter().filter(|(block, _)| !block.is_empty()) {
            let said = |key: &str| {
                let mut texts = entities.iter().filter_map(|e| e.text.split_once(": "));
                texts.find(|(k, _)| k.eq_ignore_ascii_case(key)).map(|(_, value)| value)
            };
            let (Some(piece_name), Some(size)) = (said("Piece Name"), said("Size")) else {
                panic!("{name}: {block} says neither name nor size");
            };
            let lines = entities.iter().filter(|e| e.kind == "POLYLINE" && e.layer == layer);
            let (low, high) = frame(lines.flat_map(|e| e.points.clone()));
            let (along, across) = extent(shape(piece(&job, piece_name), size));
            let off = ((high.0 - low.0) * mm - along).abs().max(((high.1 - low.1) * mm - across).abs());
            // The gaps of 0.2 mm at the corners are closed half way.
            let close = if mm > 1.0 { 0.25 } else { 0.05 };
            assert!(off <= close, "{name}: {block} is {along} by {across} mm, which is {off} mm off");
            compared += 1;
        }
        assert_eq!(compared, 4 * SIZES.len() + 1, "{name}: every piece in every size, the pocket once");
    }
}

#[test]
fn areas_and_marks_are_those_drafted() {
    for (name, dialect) in FILES {
        let job = job(&read(&fixture(name)));
        for (at, size) in SIZES.iter().enumerate() {
            for draft in pieces(at) {
                let drafted = area(&draft.ring(400));
                let shape = shape(piece(&job, draft.name), size);
                let part = (shape.outline.area_mm2() / drafted - 1.0).abs();
                // Chords of four to a curve lose up to some thousandths of a piece.
                let close = if matches!(dialect, Dialect::Metric) { 2e-4 } else { 6e-3 };
                assert!(part < close, "{name}: the area of {} in {size} is {part} off", draft.name);
                let (low, _) = frame(draft.ring(400).into_iter());
                let placed = |p: At| (p.0 - low.0, p.1 - low.1);
                let has = |marks: &[nest_core::geometry::Point], p: At, reach: f64| {
                    let p = placed(p);
                    marks.iter().any(|m| (m.x as f64 / 100.0 - p.0).hypot(m.y as f64 / 100.0 - p.1) <= reach)
                };
                assert_eq!(shape.notches.len(), draft.notches.len(), "{name}: {} in {size}", draft.name);
                // In the base size where they are; in the others in proportion along the same seam, where they are drafted
                // too, but for the curve of the armhole, which changes a little.
                let reach = if at == BASE { 0.3 } else { 1.5 };
                let reach = if matches!(dialect, Dialect::Metric) { reach } else { reach + 2.0 };
                for &(layer, p) in &draft.notches {
                    assert!(has(&shape.notches, p, reach), "{name}: {} in {size}, layer {layer}", draft.name);
                }
                assert_eq!(
                    shape.drill_holes.len(),
                    draft.drill_holes.len(),
                    "{name}: {} in {size}",
                    draft.name
                );
                // In the base size where they are. In the others they go with the seams around them: about where they would
                // be if the whole piece were stretched to the box of its other size.
                let reach = if at == BASE { 0.25 } else { 4.0 };
                let base = pieces(BASE).into_iter().find(|b| b.name == draft.name).expect("in every size");
                let (from, to) = (frame(base.ring(400).into_iter()), frame(draft.ring(400).into_iter()));
                let part = |p: f64, low: f64, high: f64| (p - low) / (high - low);
                let stretched = |p: At| {
                    let (x, y) = (part(p.0, from.0.0, from.1.0), part(p.1, from.0.1, from.1.1));
                    (to.0.0 + x * (to.1.0 - to.0.0), to.0.1 + y * (to.1.1 - to.0.1))
                };
                for &p in &base.drill_holes {
                    let p = stretched(p);
                    assert!(has(&shape.drill_holes, p, reach), "{name}: {} in {size}, {p:?}", draft.name);
                }
                let lines = draft.internal.len() + draft.cut_outs.len() + draft.sewing.len();
                assert_eq!(shape.internal_lines.len(), lines, "{name}: {} in {size}", draft.name);
            }
        }
    }
}
