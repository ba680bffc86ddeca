//! The entities of a block as lines, points, texts and insertions, in the numbers of the file.

use dxf::entities::{Entity, EntityType};
use dxf::{Drawing, Point, Vector};
use kurbo::Vec2;

use super::curves::Tolerance;
use super::tags::RawBlock;
use crate::geometry::DrawnPoint;
use crate::import::fault::ImportError;
use crate::import::line::Line;
use crate::import::warning::{Notes, WarningKind};

/// An entity.
#[derive(Clone, Debug)]
pub(super) struct Thing {
    pub(super) layer: String,
    pub(super) kind: Kind,
}

/// What an entity is.
#[derive(Clone, Debug)]
pub(super) enum Kind {
    Line { line: Line, round: bool },
    Point(DrawnPoint),
    Text { text: String, at: DrawnPoint },
    Insert(Insertion),
}

/// A block put somewhere.
#[derive(Clone, Debug)]
pub(super) struct Insertion {
    pub(super) block: String,
    pub(super) at: DrawnPoint,
    pub(super) scale: (f64, f64),
    /// In degrees, to the left.
    pub(super) turn: f64,
}

/// Reads the entities of a block.
///
/// # Errors
/// With its line, an entity that cannot be read.
pub(super) fn things(
    block: &RawBlock<'_>,
    tolerance: Tolerance,
    notes: &mut Notes,
) -> Result<Vec<Thing>, ImportError> {
    let screened = block.screened()?;
    for (kind, &count) in &screened.passed {
        notes.warn_of(place(block), WarningKind::Passed { count, kind: kind.clone() });
    }
    let drawing = Drawing::load(&mut screened.text.as_bytes()).map_err(|error| ImportError::Dxf {
        line: screened.lines.first().copied().unwrap_or(1),
        what: format!("the entities from here on cannot be read ({error})"),
    })?;
    // The list of entities ends at the first that cannot be read, so the first that is missing is the one.
    let mut count = 0;
    let mut things = Vec::new();
    for entity in drawing.entities() {
        // Vertices that belong to no polyline, and ends of none.
        if matches!(entity.specific, EntityType::Vertex(_) | EntityType::Seqend(_)) {
            continue;
        }
        count += 1;
        if entity.common.is_in_paper_space {
            continue;
        }
        let Some(kind) = thing(entity, tolerance) else {
            continue;
        };
        things.push(Thing { layer: entity.common.layer.trim().to_owned(), kind });
    }
    match screened.lines.get(count) {
        None => Ok(things),
        Some(&line) => Err(ImportError::Dxf { line, what: "this entity cannot be read".to_owned() }),
    }
}

fn place<'a>(block: &'a RawBlock<'_>) -> &'a str {
    if block.name.is_empty() { "the drawing" } else { &block.name }
}

fn thing(entity: &Entity, tolerance: Tolerance) -> Option<Kind> {
    let line = |points: Vec<DrawnPoint>, closed: bool| {
        (points.len() > 1).then_some(Kind::Line { line: Line { points, closed }, round: false })
    };
    match &entity.specific {
        EntityType::Line(l) => line(vec![flat(&l.p1), flat(&l.p2)], false),
        EntityType::Polyline(p) => {
            // Meshes, and the control points of a fitted curve, are no lines.
            if p.flags & (16 | 64) != 0 {
                return None;
            }
            let facing = facing(&p.normal);
            let vertices = p.vertices().filter(|v| v.flags & 16 == 0);
            let vertices: Vec<(DrawnPoint, f64)> =
                vertices.map(|v| (facing.point(&v.location), facing.bulge(v.bulge))).collect();
            polyline(&vertices, p.is_closed(), tolerance)
        }
        EntityType::LwPolyline(p) => {
            let facing = facing(&p.extrusion_direction);
            let vertices: Vec<(DrawnPoint, f64)> = p
                .vertices
                .iter()
                .map(|v| (facing.point(&Point::new(v.x, v.y, 0.0)), facing.bulge(v.bulge)))
                .collect();
            polyline(&vertices, p.flags & 1 != 0, tolerance)
        }
        EntityType::ModelPoint(p) => Some(Kind::Point(flat(&p.location))),
        EntityType::Text(t) => {
            Some(Kind::Text { text: t.value.clone(), at: facing(&t.normal).point(&t.location) })
        }
        EntityType::MText(t) => {
            let text = format!("{}{}", t.extended_text.concat(), t.text);
            Some(Kind::Text { text: without_formats(&text), at: flat(&t.insertion_point) })
        }
        EntityType::Arc(a) => {
            let facing = facing(&a.normal);
            let range = [a.start_angle.to_radians(), a.end_angle.to_radians()];
            let (mut points, closed) =
                tolerance.ellipse(flat(&a.center), Vec2::new(a.radius, 0.0), 1.0, range)?;
            points.iter_mut().for_each(|p| *p = facing.turned(*p));
            line(points, closed)
        }
        EntityType::Circle(c) => {
            let (mut points, _) =
                tolerance.ellipse(flat(&c.center), Vec2::new(c.radius, 0.0), 1.0, [0.0, 0.0])?;
            let facing = facing(&c.normal);
            points.iter_mut().for_each(|p| *p = facing.turned(*p));
            (points.len() > 2).then_some(Kind::Line { line: Line::ring(points), round: true })
        }
        EntityType::Ellipse(e) => {
            // Its points are in the drawing's own frame; only the way round it depends on the side it faces.
            let major = Vec2::new(e.major_axis.x, e.major_axis.y);
            let range = [e.start_parameter, e.end_parameter];
            let range = if e.normal.z < 0.0 { [-range[1], -range[0]] } else { range };
            let (points, closed) = tolerance.ellipse(flat(&e.center), major, e.minor_axis_ratio, range)?;
            line(points, closed)
        }
        EntityType::Spline(s) => {
            let mut points = tolerance.spline(s)?;
            let meets = points.len() > 3 && points[0].distance(points[points.len() - 1]) <= tolerance.0;
            if meets {
                points.pop();
            }
            line(points, s.is_closed() || meets)
        }
        EntityType::Insert(i) => {
            let facing = facing(&i.extrusion_direction);
            let mirror = if facing.mirrored { -1.0 } else { 1.0 };
            Some(Kind::Insert(Insertion {
                block: i.name.clone(),
                at: facing.point(&i.location),
                scale: (i.x_scale_factor * mirror, i.y_scale_factor),
                turn: i.rotation * mirror,
            }))
        }
        _ => None,
    }
}

/// The points of a polyline; closed too when it comes back to where it began.
fn polyline(vertices: &[(DrawnPoint, f64)], closed: bool, tolerance: Tolerance) -> Option<Kind> {
    let &(first, _) = vertices.first()?;
    let mut points = vec![first];
    for pair in vertices.windows(2) {
        points.extend(tolerance.bulge(pair[0].0, pair[1].0, pair[0].1)?);
    }
    if let (true, Some(&(last, bulge))) = (closed, vertices.last()) {
        points.extend(tolerance.bulge(last, first, bulge)?);
    }
    points.dedup();
    let meets = points.len() > 3 && points[0].distance(points[points.len() - 1]) < 1e-9;
    if meets {
        points.pop();
    }
    let line = Line { points, closed: closed || meets };
    (line.points.len() > 1).then_some(Kind::Line { line, round: false })
}

fn flat(p: &Point) -> DrawnPoint {
    DrawnPoint::new(p.x, p.y)
}

/// The side from which a flat entity is seen: from below its x runs the other way (DXF reference, the arbitrary axis).
struct Facing {
    mirrored: bool,
}

fn facing(normal: &Vector) -> Facing {
    Facing { mirrored: normal.z < 0.0 }
}

impl Facing {
    fn point(&self, p: &Point) -> DrawnPoint {
        self.turned(flat(p))
    }

    fn turned(&self, p: DrawnPoint) -> DrawnPoint {
        if self.mirrored { DrawnPoint::new(-p.x, p.y) } else { p }
    }

    fn bulge(&self, bulge: f64) -> f64 {
        if self.mirrored { -bulge } else { bulge }
    }
}

/// A multi-line text on one line, without its formatting: `\P` breaks lines, `\f...;` and the like choose fonts.
fn without_formats(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text.chars();
    while let Some(c) = rest.next() {
        match c {
            '\\' => match rest.next() {
                Some('P' | 'n') => plain.push(' '),
                Some(c @ ('\\' | '{' | '}')) => plain.push(c),
                Some('~') => plain.push(' '),
                Some('A' | 'C' | 'c' | 'F' | 'f' | 'H' | 'Q' | 'T' | 'W' | 'p') => {
                    for c in rest.by_ref() {
                        if c == ';' {
                            break;
                        }
                    }
                }
                _ => {}
            },
            '{' | '}' => {}
            c => plain.push(c),
        }
    }
    plain
}
