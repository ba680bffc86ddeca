//! The flaws of a cloth: spots and polygons on the open cloth.

use super::faults::Faults;
use super::numbers::positive;
use crate::cloth::Flaw;
use crate::geometry::{Bounds, Point, Polygon, PolygonFault};
use crate::job::file::FlawFile;
use crate::job::limits::{MAX_FLAWS, MAX_OUTLINE_POINTS};
use crate::job::{Measure, ProblemKind, Spot};
use crate::length::{Length, Unit};

/// The flaws that a list in the file describes. `width` is that of the cloth on the table, all the way across.
pub(super) fn flaws(
    list: &[FlawFile],
    (unit, width): (Unit, Length),
    place: &str,
    faults: &mut Faults,
) -> Vec<Flaw> {
    if list.len() > MAX_FLAWS {
        let (count, most) = (list.len() as u64, MAX_FLAWS as u64);
        faults.add(place, ProblemKind::TooMany { what: "flaws", count, most });
        return Vec::new();
    }
    let mut flaws = Vec::new();
    for (i, file) in list.iter().enumerate() {
        let place = format!("{place}[{i}]");
        let Some(flaw) = flaw(file, unit, &place, faults) else { continue };
        if is_off(&flaw.bounds(), width) {
            let width = Measure { value: width.in_unit(unit), unit };
            faults.add(place, ProblemKind::FlawOff { width });
        } else {
            flaws.push(flaw);
        }
    }
    flaws
}

fn flaw(file: &FlawFile, unit: Unit, place: &str, faults: &mut Faults) -> Option<Flaw> {
    match (&file.spot, file.radius, &file.outline) {
        (Some(spot), Some(radius), None) => {
            let radius = positive(radius, unit, &format!("{place}.radius"), faults);
            let centre = point(*spot, unit, &format!("{place}.spot"), faults)?;
            (radius > Length::ZERO).then_some(Flaw::Spot { centre, radius: radius.grid() })
        }
        (None, None, Some(outline)) => {
            polygon(outline, unit, &format!("{place}.outline"), faults).map(Flaw::Area)
        }
        _ => {
            faults.add(place, ProblemKind::FlawForm);
            None
        }
    }
}

/// A polygon of points on the cloth, y upwards whatever the file's `y_axis`.
pub(super) fn polygon(points: &[[f64; 2]], unit: Unit, place: &str, faults: &mut Faults) -> Option<Polygon> {
    let (count, most) = (points.len(), MAX_OUTLINE_POINTS);
    if count > most {
        faults.add(place, ProblemKind::TooManyPoints { count, most });
        return None;
    }
    let ring: Vec<Option<Point>> =
        points.iter().enumerate().map(|(i, &p)| point(p, unit, &format!("{place}[{i}]"), faults)).collect();
    let ring: Vec<Point> = ring.into_iter().collect::<Option<_>>()?;
    let shown = |v: i64| Length::from_grid(v).in_unit(unit);
    match Polygon::new(ring) {
        Ok(polygon) => return Some(polygon),
        Err(PolygonFault::TooFew(corners)) => faults.add(place, ProblemKind::FewCorners(corners)),
        Err(PolygonFault::NoArea) => faults.add(place, ProblemKind::NoArea),
        Err(PolygonFault::SelfContact(p)) => {
            faults.add(place, ProblemKind::SelfContact(Spot { x: shown(p.x), y: shown(p.y) }));
        }
        Err(PolygonFault::TooLarge | PolygonFault::Holes) => faults.add(place, ProblemKind::TooLarge),
    }
    None
}

fn point([x, y]: [f64; 2], unit: Unit, place: &str, faults: &mut Faults) -> Option<Point> {
    match (Length::from_unit(x, unit), Length::from_unit(y, unit)) {
        (Ok(x), Ok(y)) => Some(Point::new(x.grid(), y.grid())),
        _ => {
            faults.add(place, ProblemKind::TooLarge);
            None
        }
    }
}

/// Does nothing of a flaw lie on the cloth? How long that is need not be known.
fn is_off(b: &Bounds, width: Length) -> bool {
    b.high.x <= 0 || b.high.y <= 0 || b.low.y >= width.grid()
}
