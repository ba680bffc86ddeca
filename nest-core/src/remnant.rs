//! [`Remnant`]: a left-over piece of cloth of any shape, and the cloth that it is for one that lays on it.

use crate::cloth::{Cloth, ClothForm, Flaw, Nap};
use crate::geometry::{Bounds, Point, Polygon};
use crate::job::{Job, Portion, Want};
use crate::length::Length;
use crate::marker::{Form, Marker, Placement};
use crate::piece::{PieceShape, Symmetry};
use crate::spread::{Family, Kind, Plies};

/// A left-over piece of a cloth, measured as it can be used: without selvages and frayed ends, washed and pressed.
///
/// # Frame and units
/// Grid units, right side up, x along the cloth (with the nap, where there is one), y across.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remnant {
    /// What it is called; different for every remnant of a cloth.
    pub name: String,
    /// Its outline; the least x and the least y are 0.
    pub outline: Polygon,
    /// What must be kept clear, in the same frame.
    pub flaws: Vec<Flaw>,
}

impl Remnant {
    /// Can it be folded like cloth off the roll? A rectangle can; what has another shape is laid single.
    pub fn is_rectangle(&self) -> bool {
        is_rectangle(&self.outline)
    }

    /// What it is called among cloths: the kind, and its own name.
    pub fn kind(&self, cloth: &Cloth) -> String {
        format!("{}: {}", cloth.kind, self.name)
    }

    /// The cloth that it is: so wide, so much in hand, and nothing to be cut outside its outline.
    pub fn as_cloth(&self, cloth: &Cloth) -> Cloth {
        let b = self.outline.bounds();
        Cloth {
            kind: self.kind(cloth),
            form: ClothForm::Flat,
            width: Length::from_grid(b.height()),
            selvage: Length::ZERO,
            shrinkage_along: 0.0,
            shrinkage_across: 0.0,
            end_allowance: Length::ZERO,
            straightening: Length::ZERO,
            length_in_hand: Some(Length::from_grid(b.width())),
            flaws: self.flaws.clone(),
            within: Some(self.outline.clone()),
            remnants: Vec::new(),
            price: None,
            ..cloth.clone()
        }
    }

    /// The job of cutting a portion of a larger one from this remnant of `cloth`.
    pub fn job(&self, job: &Job, cloth: &Cloth, portion: Portion) -> Job {
        let kind = self.kind(cloth);
        let mut job = job.clone();
        for piece in job.style.pieces.iter_mut().filter(|piece| piece.cloth == cloth.kind) {
            piece.cloth.clone_from(&kind);
        }
        job.cloths = vec![self.as_cloth(cloth)];
        job.portion = Some(portion);
        if !self.is_rectangle() {
            job.spreads = vec![Kind::Whole(Family::Single)];
        }
        job
    }
}

/// Does a polygon fill the box around it?
pub(crate) fn is_rectangle(outline: &Polygon) -> bool {
    let b = outline.bounds();
    outline.doubled_area() == 2 * b.width() * b.height()
}

/// What of the box around a polygon lies outside it, as polygons that touch each other at the most.
///
/// # Why these
/// The polygon meets every side of its box. Between two of its corners on the box that follow one another around it, its
/// boundary and the stretch of the box's own between the same corners enclose one pocket: the boundary does not come back
/// to the box on the way, so the two have nothing but their ends in common.
pub(crate) fn pockets(polygon: &Polygon) -> Vec<Polygon> {
    let b = polygon.bounds();
    let points = polygon.points();
    let on_box = |p: Point| p.x == b.low.x || p.x == b.high.x || p.y == b.low.y || p.y == b.high.y;
    let contacts: Vec<usize> = (0..points.len()).filter(|&i| on_box(points[i])).collect();
    let mut pockets = Vec::new();
    for (k, &from) in contacts.iter().enumerate() {
        let to = contacts[(k + 1) % contacts.len()];
        let mut ring = vec![points[from]];
        let mut i = from;
        while i != to || ring.len() == 1 {
            i = (i + 1) % points.len();
            ring.push(points[i]);
        }
        ring.extend(corners_back(&b, points[to], points[from]));
        pockets.extend(Polygon::new(ring).ok());
    }
    pockets
}

/// The corners of a box that are passed clockwise from one point on its sides to another.
fn corners_back(b: &Bounds, from: Point, to: Point) -> Vec<Point> {
    // How far around counter-clockwise from the lowest corner.
    let (w, h) = (b.width(), b.height());
    let around = |p: Point| {
        if p.y == b.low.y {
            p.x - b.low.x
        } else if p.x == b.high.x {
            w + p.y - b.low.y
        } else if p.y == b.high.y {
            w + h + b.high.x - p.x
        } else {
            2 * w + h + b.high.y - p.y
        }
    };
    let all = 2 * (w + h);
    let back = |p: Point| (around(from) - around(p)).rem_euclid(all);
    let corners = [b.low, Point::new(b.high.x, b.low.y), b.high, Point::new(b.low.x, b.high.y)];
    let mut passed: Vec<Point> = corners.into_iter().filter(|&c| back(c) > 0 && back(c) < back(to)).collect();
    passed.sort_by_key(|&c| back(c));
    passed
}

/// The cloth, and which of its remnants, that markers call by `kind`; none when it is a cloth off the roll or unknown.
pub fn find<'a>(job: &'a Job, kind: &str) -> Option<(&'a Cloth, &'a Remnant)> {
    let all = job.cloths.iter().flat_map(|cloth| cloth.remnants.iter().map(move |remnant| (cloth, remnant)));
    all.into_iter().find(|(cloth, remnant)| remnant.kind(cloth) == kind)
}

/// The cloth off the roll, of what goes into none of its remnants, that markers call by `kind`; none when it has no remnants.
pub fn find_roll<'a>(job: &'a Job, kind: &str) -> Option<&'a Cloth> {
    job.cloths.iter().find(|cloth| cloth.kind == kind && !cloth.remnants.is_empty())
}

/// The job of cutting a portion of a larger one off the roll of `cloth`, after what its remnants have given.
pub fn roll_job(job: &Job, cloth: &Cloth, portion: Portion) -> Job {
    let roll = Cloth { remnants: Vec::new(), ..cloth.clone() };
    Job { cloths: vec![roll], portion: Some(portion), ..job.clone() }
}

/// The job that marker `k` of some is for: the job itself for cloth off the roll; for a remnant, and for the roll of a cloth
/// that has remnants, the portion that this marker says it gives, after those before it. Whether the portions make up the
/// whole is for [`missing`] to say.
pub fn job_of(job: &Job, markers: &[Marker], k: usize) -> Job {
    let remnant = find(job, &markers[k].cloth);
    let roll = find_roll(job, &markers[k].cloth);
    let Some(cloth) = remnant.map(|(cloth, _)| cloth).or(roll) else { return job.clone() };
    let before = markers[..k].iter().filter(|m| is_part(cloth, m)).flat_map(|m| given(job, cloth, m));
    let portion = Portion { wants: given(job, cloth, &markers[k]), before: before.collect() };
    match remnant {
        Some((_, remnant)) => remnant.job(job, cloth, portion),
        None => roll_job(job, cloth, portion),
    }
}

/// Is a marker for one of a cloth's remnants, or for the roll of a cloth that has some?
fn is_part(cloth: &Cloth, marker: &Marker) -> bool {
    let remnants = || cloth.remnants.iter().any(|remnant| remnant.kind(cloth) == marker.cloth);
    !cloth.remnants.is_empty() && (marker.cloth == cloth.kind || remnants())
}

/// What the remnants of a cloth, and its roll where there is a marker for it, do not give, or give too much of, by the word of
/// their markers, which have each to pass the check of its own: "Front: 1 of 2". Empty when everything ordered comes off once.
pub fn missing(job: &Job, cloth: &Cloth, markers: &[Marker]) -> Vec<String> {
    let mut given: Vec<Want> = Vec::new();
    for marker in markers.iter().filter(|m| is_part(cloth, m)) {
        given.extend(self::given(job, cloth, marker));
    }
    let sum = |wants: &[Want], piece: usize, size: usize| {
        let own = wants.iter().filter(|w| (w.piece, w.size) == (piece, size));
        own.fold((0, 0), |sum, w| (sum.0 + w.as_drawn, sum.1 + w.mirrored))
    };
    let wanted = job.wants(&cloth.kind);
    let mut keys: Vec<(usize, usize)> = wanted.iter().chain(&given).map(|w| (w.piece, w.size)).collect();
    keys.sort_unstable();
    keys.dedup();
    let mut told = Vec::new();
    for (piece, size) in keys {
        let (due, have) = (sum(&wanted, piece, size), sum(&given, piece, size));
        let enough = if either_face_serves(job, cloth, piece, size) {
            due.0 + due.1 == have.0 + have.1
        } else {
            due == have
        };
        if !enough {
            let name = &job.style.pieces[piece].name;
            let sizes = &job.style.sizes;
            let of_size = if sizes.len() > 1 { format!(" (size {})", sizes[size]) } else { String::new() };
            told.push(format!("{name}{of_size}: {} of {}", have.0 + have.1, due.0 + due.1));
        }
    }
    told
}

/// The copies that a marker's placements are said to give.
pub(crate) fn given(job: &Job, cloth: &Cloth, marker: &Marker) -> Vec<Want> {
    let mut wants: Vec<Want> = Vec::new();
    for p in &marker.placements {
        // What the job does not have is told of by the check.
        if job.style.pieces.get(p.piece).is_none() || job.style.sizes.get(p.size).is_none() {
            continue;
        }
        let faces = faces(job, cloth, p);
        match wants.iter_mut().find(|w| (w.piece, w.size) == (p.piece, p.size)) {
            Some(want) => {
                want.as_drawn += faces.0;
                want.mirrored += faces.1;
            }
            None => wants.push(Want { piece: p.piece, size: p.size, as_drawn: faces.0, mirrored: faces.1 }),
        }
    }
    wants
}

/// How many copies as drawn and mirrored a placement of a piece that there is gives by its word; where either serves they
/// count as drawn.
pub(crate) fn faces(job: &Job, cloth: &Cloth, p: &Placement) -> (u32, u32) {
    let either = !job.style.pieces[p.piece].pairs && either_face_serves(job, cloth, p.piece, p.size);
    match (p.form, p.plies, p.yields) {
        (_, Plies::Two, 2) if !either => (1, 1),
        (Form::Whole, Plies::One, 1) if p.pose.mirrored && !either => (0, 1),
        (_, _, copies) => (copies, 0),
    }
}

/// Is a mirrored copy as good as one as drawn, on this cloth?
pub(crate) fn either_face_serves(job: &Job, cloth: &Cloth, piece: usize, size: usize) -> bool {
    let shape = job.style.sizes.get(size).and_then(|size| job.style.pieces[piece].shapes.get(size));
    match shape.map(PieceShape::symmetry) {
        Some(Symmetry::AboutGrain) => true,
        Some(Symmetry::AboutCross) => cloth.nap == Nap::None,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(points: &[(i64, i64)]) -> Polygon {
        Polygon::new(points.iter().map(|&(x, y)| Point::new(x, y)).collect()).expect("simple")
    }

    #[test]
    fn a_polygon_and_its_pockets_fill_the_box() {
        use geo::{Area, BooleanOps};
        let cases = [
            ("rectangle", polygon(&[(0, 0), (900, 0), (900, 400), (0, 400)]), 0),
            ("triangle", polygon(&[(0, 0), (900, 0), (300, 400)]), 2),
            ("diamond", polygon(&[(400, 0), (900, 300), (500, 700), (0, 350)]), 4),
            ("an L", polygon(&[(0, 0), (900, 0), (900, 300), (400, 300), (400, 800), (0, 800)]), 1),
            (
                "a notch",
                polygon(&[(0, 0), (900, 0), (900, 800), (600, 800), (500, 200), (300, 800), (0, 800)]),
                1,
            ),
            (
                "a band across the corners",
                polygon(&[(0, 0), (200, 0), (900, 600), (900, 800), (700, 800), (0, 200)]),
                2,
            ),
            (
                "a saw",
                polygon(&[(0, 0), (900, 0), (700, 500), (800, 100), (450, 500), (500, 90), (0, 500)]),
                3,
            ),
        ];
        for (name, polygon, count) in cases {
            let pockets = pockets(&polygon);
            assert_eq!(pockets.len(), count, "{name}: {pockets:?}");
            let b = polygon.bounds();
            let all: i64 = pockets.iter().chain([&polygon]).map(Polygon::doubled_area).sum();
            assert_eq!(all, 2 * b.width() * b.height(), "{name}");
            for pocket in &pockets {
                let common = pocket.to_geo().intersection(&polygon.to_geo()).unsigned_area();
                assert!(common < 1e-9, "{name}: {pocket:?}");
            }
        }
    }
}
