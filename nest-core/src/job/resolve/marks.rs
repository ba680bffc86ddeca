//! Notches, drill holes and internal lines, brought into the piece's frame.

use super::faults::Faults;
use super::fold::nearest_on_segment;
use super::frame::FileFrame;
use crate::geometry::{DrawnPoint, Point, PointLocation, Polygon, locate};
use crate::job::ProblemKind;
use crate::job::file::ShapeFile;
use crate::job::limits::MAX_OUTLINE_POINTS;

/// How far, beyond the seam allowance, a notch may lie off the cutting line and any other mark outside it, in grid units:
/// 10 mm. A mark off by more is a slip of the pen that would spoil the piece, or another, so it is refused.
const SLIP: f64 = 1000.0;

/// The marks of a shape in the piece's frame.
pub(super) struct Marks {
    pub(super) notches: Vec<Point>,
    pub(super) drill_holes: Vec<Point>,
    pub(super) internal_lines: Vec<Vec<Point>>,
}

/// What is needed to bring marks into the piece's frame.
pub(super) struct MarkFrame<'a> {
    pub(super) file: &'a FileFrame,
    /// From a drawn point to the piece's frame, not rounded.
    pub(super) to_piece: &'a dyn Fn(DrawnPoint) -> DrawnPoint,
    /// The cutting line.
    pub(super) outline: &'a Polygon,
    /// Seam allowance in grid units: notches may be drawn on the stitching line.
    pub(super) seam: f64,
}

/// How many points the marks of a shape have.
pub(super) fn mark_count(shape: &ShapeFile) -> usize {
    shape.notches.len() + shape.drill_holes.len() + shape.internal_lines.iter().map(Vec::len).sum::<usize>()
}

/// The marks of a shape, or none when one was complained of.
pub(super) fn marks(
    shape: &ShapeFile,
    frame: &MarkFrame<'_>,
    place: &str,
    faults: &mut Faults,
) -> Option<Marks> {
    let count = mark_count(shape);
    if count > MAX_OUTLINE_POINTS {
        let most = MAX_OUTLINE_POINTS as u64;
        faults.add(place, ProblemKind::TooMany { what: "points of marks", count: count as u64, most });
        return None;
    }
    let mut sound = true;
    let mut read = |result: Result<Point, ProblemKind>, place: String, faults: &mut Faults| match result {
        Ok(point) => Some(point),
        Err(kind) => {
            faults.add(place, kind);
            sound = false;
            None
        }
    };
    let mut notches = Vec::new();
    for (i, &notch) in shape.notches.iter().enumerate() {
        notches.extend(read(frame.notch(notch), format!("{place}.notches[{i}]"), faults));
    }
    let mut drill_holes = Vec::new();
    for (i, &hole) in shape.drill_holes.iter().enumerate() {
        drill_holes.extend(read(frame.inside(hole), format!("{place}.drill_holes[{i}]"), faults));
    }
    let mut internal_lines = Vec::new();
    for (i, line) in shape.internal_lines.iter().enumerate() {
        let place = format!("{place}.internal_lines[{i}]");
        let mut points = Vec::new();
        for (j, &point) in line.iter().enumerate() {
            points.extend(read(frame.inside(point), format!("{place}[{j}]"), faults));
        }
        if line.len() < 2 {
            read(Err(ProblemKind::ShortLine), place, faults);
        }
        internal_lines.push(points);
    }
    sound.then_some(Marks { notches, drill_holes, internal_lines })
}

impl MarkFrame<'_> {
    fn point(&self, p: [f64; 2]) -> Result<DrawnPoint, ProblemKind> {
        self.file.drawn(p).map(self.to_piece).ok_or(ProblemKind::TooLarge)
    }

    /// A notch, moved to the nearest place of the cutting line, where the scissors meet it.
    fn notch(&self, p: [f64; 2]) -> Result<Point, ProblemKind> {
        let p = self.point(p)?;
        let on_edge = self.nearest_on_outline(p);
        let off = on_edge.distance(p);
        if off > SLIP + self.seam {
            return Err(ProblemKind::NotchOff(self.file.measure(off)));
        }
        Ok(rounded(on_edge))
    }

    /// A mark on the piece.
    fn inside(&self, p: [f64; 2]) -> Result<Point, ProblemKind> {
        let p = self.point(p)?;
        if locate(self.outline.points(), rounded(p)) == PointLocation::Outside {
            let off = self.nearest_on_outline(p).distance(p);
            if off > SLIP {
                return Err(ProblemKind::MarkOutside(self.file.measure(off)));
            }
        }
        Ok(rounded(p))
    }

    fn nearest_on_outline(&self, p: DrawnPoint) -> DrawnPoint {
        let drawn = |p: Point| DrawnPoint::new(p.x as f64, p.y as f64);
        self.outline
            .edges()
            .map(|(a, b)| nearest_on_segment(drawn(a), drawn(b), p))
            .min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)))
            .unwrap_or(p)
    }
}

fn rounded(p: DrawnPoint) -> Point {
    Point::new(p.x.round() as i64, p.y.round() as i64)
}
