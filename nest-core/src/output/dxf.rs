//! A cut file: the lay as DXF of release 12, which every cutter reads, with a layer for every kind of line.
//!
//! # Frame and units
//! Millimetres in the lay frame: x along the cloth from the start, y across it. Release 12 has no field that could say so.
//!
//! | layer | what is on it |
//! |---|---|
//! | `CUT` | outlines to cut: closed polylines, and open ones of pieces on a fold |
//! | `NOTCH` | notches, from the edge inwards |
//! | `DRILL` | drill holes, as points |
//! | `FOLD-EDGE` | edges that lie on a fold, not to be cut |
//! | `INTERNAL` | lines drawn on the pieces |
//! | `STITCH` | stitching lines |
//! | `GRAIN` | grainlines with their heads |
//! | `CREASE` | the lines about which halves are opened out |
//! | `CLOTH` | folds and edges of the cloth |
//! | `LABEL` | words |
//!
//! Pieces come in an order that keeps the tool's way short, each with its outline last.

use dxf::entities::{Entity, EntityType, ModelPoint, Polyline, Text, Vertex};
use dxf::enums::{AcadVersion, HorizontalTextJustification};
use dxf::tables::Layer;
use dxf::{Color, Drawing, Point};

use super::ascii;
use super::linework::{At, Kind, LineWork, Stroke};
use super::route::{begun_near, visits};
use crate::check::Checked;
use crate::draw::lettering::CAPITAL;
use crate::job::Job;

/// The layers with their numbers in the palette of 255 colours; 7 is black on white and white on black.
const LAYERS: [(&str, u8); 10] = [
    ("CUT", 7),
    ("NOTCH", 1),
    ("DRILL", 1),
    ("FOLD-EDGE", 5),
    ("INTERNAL", 3),
    ("STITCH", 4),
    ("GRAIN", 6),
    ("CREASE", 5),
    ("CLOTH", 8),
    ("LABEL", 2),
];

fn layer(kind: Kind) -> &'static str {
    match kind {
        Kind::Cut => "CUT",
        Kind::OnFold => "FOLD-EDGE",
        Kind::Notch => "NOTCH",
        Kind::Internal => "INTERNAL",
        Kind::Stitching => "STITCH",
        Kind::Grain => "GRAIN",
        Kind::Crease => "CREASE",
        Kind::ClothFold | Kind::ClothEdge => "CLOTH",
    }
}

/// Why no cut file could be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the cut file cannot be written: {0}; use the SVG instead")]
pub struct DxfFault(String);

/// The cut file of a marker. The same marker gives the same bytes.
///
/// # Errors
/// When the library that writes DXF gives up.
///
/// # Complexity
/// O(n²) in the number of pieces, for their order.
pub fn cut_file(job: &Job, checked: &Checked) -> Result<Vec<u8>, DxfFault> {
    let lines = LineWork::new(job, checked);
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R12;
    drawing.header.minimum_drawing_extents = point((0.0, 0.0));
    drawing.header.maximum_drawing_extents = point((lines.length, lines.width));
    for (name, colour) in LAYERS {
        drawing.add_layer(Layer {
            name: name.to_owned(),
            color: Color::from_index(colour),
            ..Layer::default()
        });
    }
    for stroke in &lines.cloth {
        add_stroke(&mut drawing, stroke, stroke.points.clone());
    }
    let mut at = (0.0, 0.0);
    for i in visits(&lines) {
        let piece = &lines.pieces[i];
        for words in &piece.words {
            let text = Text {
                location: point(words.foot),
                second_alignment_point: point(words.foot),
                text_height: CAPITAL * words.size,
                // Two percent signs begin a code in DXF.
                value: ascii(&words.text).replace("%%", "%"),
                rotation: words.angle,
                horizontal_text_justification: HorizontalTextJustification::Center,
                ..Text::default()
            };
            add(&mut drawing, "LABEL", EntityType::Text(text));
        }
        for &hole in &piece.holes {
            add(
                &mut drawing,
                "DRILL",
                EntityType::ModelPoint(ModelPoint { location: point(hole), ..ModelPoint::default() }),
            );
        }
        for stroke in &piece.strokes {
            let mut points = begun_near(stroke, at);
            at = points.last().copied().unwrap_or(at);
            if stroke.closed {
                // A closed polyline does not say its first point again.
                points.pop();
            }
            add_stroke(&mut drawing, stroke, points);
        }
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|e| DxfFault(e.to_string()))?;
    Ok(without_dates(&bytes))
}

fn point((x, y): At) -> Point {
    Point::new(x, y, 0.0)
}

fn add(drawing: &mut Drawing, layer: &str, what: EntityType) {
    let mut entity = Entity::new(what);
    entity.common.layer = layer.to_owned();
    drawing.add_entity(entity);
}

fn add_stroke(drawing: &mut Drawing, stroke: &Stroke, points: Vec<At>) {
    let mut polyline = Polyline::default();
    polyline.set_is_closed(stroke.closed);
    for p in points {
        let vertex = Vertex { location: point(p), ..Vertex::default() };
        polyline.add_vertex(drawing, vertex);
    }
    add(drawing, layer(stroke.kind), EntityType::Polyline(polyline));
}

/// The file without the variables that hold the time of writing, which the library fills from the machine's clock: the same
/// marker shall give the same bytes.
fn without_dates(bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let lines: Vec<&str> = text.lines().collect();
    let mut kept: Vec<&str> = Vec::with_capacity(lines.len());
    let mut pairs = lines.chunks_exact(2);
    while let Some(pair) = pairs.next() {
        if pair[0].trim() == "9" && pair[1].starts_with("$TD") {
            // Its value is the next pair.
            pairs.next();
        } else {
            kept.extend(pair);
        }
    }
    let mut text = kept.join("\r\n");
    text.push_str("\r\n");
    text.into_bytes()
}
