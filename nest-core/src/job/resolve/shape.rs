//! One shape of the file to a [`PieceShape`]: flattened, turned onto its grain, opened out, and rounded once.

use super::faults::Faults;
use super::fold::{Half, chain_off_fold, level_ends, turning};
use super::frame::{FileFrame, Rounding, Turning};
use super::marks::{MarkFrame, mark_count, marks};
use super::seam;
use crate::geometry::{
    Bounds, DrawnPoint, FlattenLimits, PathFault, Point, Polygon, PolygonFault, flatten_path,
};
use crate::job::ProblemKind;
use crate::job::file::{Outline, ShapeFile};
use crate::job::limits::{MAX_OUTLINE_POINTS, MAX_POINTS, THINNEST};
use crate::length::{Length, MAX_GRID};
use crate::piece::PieceShape;

/// The shape, or none when something was complained of. Adds the points it holds to `points`, and does no more when they
/// are too many: what cannot be read costs time as well.
pub(super) fn shape(
    file: &ShapeFile,
    seam: Length,
    frame: &FileFrame,
    place: &str,
    points: &mut usize,
    faults: &mut Faults,
) -> Option<PieceShape> {
    let AsDrawn { ring, fold_edge, grainline, grain } = AsDrawn::read(file, frame, place, faults)?;
    *points += ring.len() + mark_count(file);
    if *points > MAX_POINTS {
        return None;
    }

    let drawn = match fold_edge {
        None => Drawn::whole(ring, grain),
        Some(ends) => match Drawn::half(&ring, ends, grain, frame) {
            Ok(drawn) => drawn,
            Err(kind) => {
                faults.add(format!("{place}.fold_edge"), kind);
                return None;
            }
        },
    };
    let cut_out = match drawn.with_seam(seam, frame) {
        Ok(cut_out) => cut_out,
        Err((field, kind)) => {
            faults.add(format!("{place}.{field}"), kind);
            return None;
        }
    };

    let shift = -cut_out.outline.bounds().low;
    let to_piece = |p: DrawnPoint| {
        let p = drawn.turning.apply(p) - drawn.rounding.origin.to_vec2();
        DrawnPoint::new(p.x + shift.x as f64, p.y + shift.y as f64)
    };
    let outline = cut_out.outline.shifted(shift);
    let mark_frame =
        MarkFrame { file: frame, to_piece: &to_piece, outline: &outline, seam: seam.grid() as f64 };
    let marks = marks(file, &mark_frame, place, faults)?;
    let [low, high] = grainline.map(to_piece);
    // A grainline within the slant allowed to a fold edge is drawn along the grain, at its middle height.
    let y = ((low.y + high.y) / 2.0).round() as i64;
    Some(PieceShape {
        fold: cut_out.fold.map(|(a, b)| (a + shift, b + shift)),
        full: cut_out.full.shifted(shift),
        grainline: (Point::new(low.x.round() as i64, y), Point::new(high.x.round() as i64, y)),
        stitching: cut_out.stitching.map(|line| line.into_iter().map(|p| p + shift).collect()),
        notches: marks.notches,
        drill_holes: marks.drill_holes,
        internal_lines: marks.internal_lines,
        outline,
    })
}

/// The lines that a shape is made of, as the file draws them.
struct AsDrawn {
    ring: Vec<DrawnPoint>,
    fold_edge: Option<[DrawnPoint; 2]>,
    /// Of a half without one, its fold edge.
    grainline: [DrawnPoint; 2],
    grain: Turning,
}

impl AsDrawn {
    /// All lines are read before any is given up, so that the faults of all are told at once.
    fn read(file: &ShapeFile, frame: &FileFrame, place: &str, faults: &mut Faults) -> Option<AsDrawn> {
        let at = |field: &str| format!("{place}.{field}");
        let ring = match &file.outline {
            Outline::Points(points) => ring_of_points(points, frame, &at("outline"), faults),
            Outline::Path(path) => ring_of_path(&path.path, frame, &at("outline.path"), faults),
        };
        let fold_edge = file.fold_edge.map(|ends| line(ends, frame, &at("fold_edge"), faults));
        let grainline = match (file.grainline, file.fold_edge) {
            (Some(ends), _) => line(ends, frame, &at("grainline"), faults),
            (None, Some(_)) => fold_edge.flatten(),
            (None, None) => {
                faults.add(place, ProblemKind::NoGrainline);
                None
            }
        };
        let grain = grainline.map(|[a, b]| Turning::laying(a, b));
        if let Some(None) = grain {
            let (field, kind) = match file.grainline {
                Some(_) => ("grainline", ProblemKind::GrainlineOfNoLength),
                None => ("fold_edge", ProblemKind::FoldOfNoLength),
            };
            faults.add(at(field), kind);
        }
        let fold_edge = match fold_edge {
            None => None,
            Some(read) => Some(read?),
        };
        Some(AsDrawn { ring: ring?, fold_edge, grainline: grainline?, grain: grain?? })
    }
}

/// An outline turned onto its grain, not yet rounded.
struct Drawn {
    /// The ring of a whole piece; of a half, the chain from one end of its fold edge round to the other.
    outline: Vec<DrawnPoint>,
    is_half: bool,
    turning: Turning,
    rounding: Rounding,
}

/// Outlines on the grid, before they are moved to the origin of the piece's frame.
struct CutOut {
    outline: Polygon,
    full: Polygon,
    fold: Option<(Point, Point)>,
    /// Where a seam allowance is added.
    stitching: Option<Vec<Point>>,
}

enum ShapeFault {
    Outline(PolygonFault),
    /// The outline is thinner than the search can tell from nothing.
    Thin,
    /// The outline meets the fold line there.
    Fold(Point),
}

impl Drawn {
    fn whole(ring: Vec<DrawnPoint>, grain: Turning) -> Drawn {
        let outline: Vec<DrawnPoint> = ring.into_iter().map(|p| grain.apply(p)).collect();
        let rounding = Rounding::about(&outline, None);
        Drawn { outline, is_half: false, turning: grain, rounding }
    }

    fn half(
        ring: &[DrawnPoint],
        ends: [DrawnPoint; 2],
        grain: Turning,
        frame: &FileFrame,
    ) -> Result<Drawn, ProblemKind> {
        let chain = chain_off_fold(ring, ends, frame)?;
        let turning = turning(&chain, grain)?;
        let mut outline: Vec<DrawnPoint> = chain.into_iter().map(|p| turning.apply(p)).collect();
        let fold = level_ends(&mut outline);
        let rounding = Rounding::about(&outline, Some(fold));
        Ok(Drawn { outline, is_half: true, turning, rounding })
    }

    fn moved_outward(&self, seam: Length) -> Option<Vec<DrawnPoint>> {
        // Offsets need whole numbers about some origin near the piece; the one of rounding serves.
        let origin = self.rounding.origin;
        if self.is_half {
            seam::around_half(&self.outline, origin, seam)
        } else {
            seam::around(&self.outline, origin, seam)
        }
    }

    /// The piece cut out with its seam allowance; or the field at fault.
    fn with_seam(&self, seam: Length, frame: &FileFrame) -> Result<CutOut, (&'static str, ProblemKind)> {
        let spot = |p: Point| frame.spot(self.turning.undo(self.rounding.unround(p)));
        let stitched = self.cut_out(&self.outline).map_err(|fault| match fault {
            ShapeFault::Outline(fault) => ("outline", outline_problem(fault, &spot)),
            ShapeFault::Thin => ("outline", ProblemKind::Thin),
            ShapeFault::Fold(p) => ("fold_edge", ProblemKind::FoldCrossed(spot(p))),
        })?;
        if seam <= Length::ZERO {
            return Ok(stitched);
        }
        let cut = self.moved_outward(seam).and_then(|ring| self.cut_out(&ring).ok());
        let stitching = Some(stitching_line(&stitched));
        let too_wide = || ("outline", ProblemKind::SeamAllowance(frame.measure(seam.grid() as f64)));
        Ok(CutOut { stitching, ..cut.ok_or_else(too_wide)? })
    }

    /// Rounds an outline of this piece and opens it out if it is a half.
    fn cut_out(&self, outline: &[DrawnPoint]) -> Result<CutOut, ShapeFault> {
        let rounded: Vec<Point> = outline.iter().map(|&p| self.rounding.round(p)).collect();
        let bounds = Bounds::of(&rounded);
        if bounds.width().max(bounds.height()) > MAX_GRID {
            return Err(ShapeFault::Outline(PolygonFault::TooLarge));
        }
        let outline = Polygon::new(rounded).map_err(ShapeFault::Outline)?;
        if outline.is_thinner_than(THINNEST) {
            return Err(ShapeFault::Thin);
        }
        if !self.is_half {
            return Ok(CutOut { full: outline.clone(), outline, fold: None, stitching: None });
        }
        let half = Half::open_out(outline).map_err(ShapeFault::Fold)?;
        Ok(CutOut { outline: half.outline, full: half.full, fold: Some(half.fold), stitching: None })
    }
}

/// The stitching line as a line to draw: of a whole piece closed, of a half from one end of its fold edge to the other.
fn stitching_line(stitched: &CutOut) -> Vec<Point> {
    let points = stitched.outline.points();
    let start = match stitched.fold {
        None => 0,
        // The fold edge runs from lower to higher x where the half lies above it, and back where it lies below.
        Some((low, high)) => {
            let position = |p: Point| points.iter().position(|&q| q == p).unwrap_or(0);
            let (low, high) = (position(low), position(high));
            if (low + 1) % points.len() == high { high } else { low }
        }
    };
    let mut line: Vec<Point> = (0..points.len()).map(|i| points[(start + i) % points.len()]).collect();
    if stitched.fold.is_none() {
        line.push(points[0]);
    }
    line
}

fn line(ends: [[f64; 2]; 2], frame: &FileFrame, place: &str, faults: &mut Faults) -> Option<[DrawnPoint; 2]> {
    match ends.map(|p| frame.drawn(p)) {
        [Some(a), Some(b)] => Some([a, b]),
        _ => {
            faults.add(place, ProblemKind::TooLarge);
            None
        }
    }
}

fn ring_of_points(
    points: &[[f64; 2]],
    frame: &FileFrame,
    place: &str,
    faults: &mut Faults,
) -> Option<Vec<DrawnPoint>> {
    let (count, most) = (points.len(), MAX_OUTLINE_POINTS);
    if count > most {
        faults.add(place, ProblemKind::TooManyPoints { count, most });
        return None;
    }
    if count < 3 {
        faults.add(place, ProblemKind::FewCorners(count));
        return None;
    }
    let ring: Vec<Option<DrawnPoint>> = points.iter().map(|&p| frame.drawn(p)).collect();
    if let Some(i) = ring.iter().position(Option::is_none) {
        faults.add(format!("{place}[{i}]"), ProblemKind::TooLarge);
    }
    ring.into_iter().collect()
}

fn ring_of_path(data: &str, frame: &FileFrame, place: &str, faults: &mut Faults) -> Option<Vec<DrawnPoint>> {
    let limits =
        FlattenLimits { tolerance: frame.tolerance, reach: MAX_GRID as f64, points: MAX_OUTLINE_POINTS };
    match flatten_path(data, frame.scale, limits) {
        Ok(ring) => Some(ring.into_iter().map(|p| frame.upright(p)).collect()),
        Err(fault) => {
            let kind = match fault {
                PathFault::Syntax { at, expected } => ProblemKind::PathData { at, expected },
                PathFault::Empty => ProblemKind::PathEmpty,
                PathFault::Several => ProblemKind::PathSeveral,
                PathFault::Open(gap) => ProblemKind::PathOpen(frame.measure(gap)),
                PathFault::TooLarge => ProblemKind::TooLarge,
                PathFault::TooManyPoints(count) => {
                    ProblemKind::TooManyPoints { count, most: MAX_OUTLINE_POINTS }
                }
            };
            faults.add(place, kind);
            None
        }
    }
}

fn outline_problem(fault: PolygonFault, spot: &dyn Fn(Point) -> crate::job::Spot) -> ProblemKind {
    match fault {
        PolygonFault::TooFew(corners) => ProblemKind::FewCorners(corners),
        PolygonFault::NoArea => ProblemKind::NoArea,
        PolygonFault::SelfContact(p) => ProblemKind::SelfContact(spot(p)),
        PolygonFault::TooLarge | PolygonFault::Holes => ProblemKind::TooLarge,
    }
}
