//! Markers laid by hand in rows, for the tests of the drawing: every spread, and pieces from button loop to trouser leg.

use std::collections::BTreeMap;

use crate::cloth::{Cloth, ClothForm, Nap, Sale};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::job::Job;
use crate::length::{Length, Unit};
use crate::marker::{Form, Marker, Placement};
use crate::order::OrderLine;
use crate::piece::{Grain, Piece, PieceShape};
use crate::spread::{Band, BandEdge, Family, Kind, Plies, Section, Spread};
use crate::style::{Style, View};

fn grid(mm: f64) -> i64 {
    (mm * 100.0).round() as i64
}

fn at(x: f64, y: f64) -> Point {
    Point::new(grid(x), grid(y))
}

/// A curve from one point over a control point to another (a quadratic Bezier), in `steps` chords, without its start.
fn curve(from: (f64, f64), over: (f64, f64), to: (f64, f64), steps: usize) -> Vec<(f64, f64)> {
    (1..=steps)
        .map(|i| {
            let t = i as f64 / steps as f64;
            let mix =
                |a: f64, b: f64, c: f64| (1.0 - t) * (1.0 - t) * a + 2.0 * t * (1.0 - t) * b + t * t * c;
            (mix(from.0, over.0, to.0), mix(from.1, over.1, to.1))
        })
        .collect()
}

/// What a sample piece is drawn from: millimetres, grain along x, top towards +x.
struct Draft {
    name: &'static str,
    outline: Vec<(f64, f64)>,
    fold_y: Option<f64>,
    grainline: Option<((f64, f64), (f64, f64))>,
    notches: Vec<(f64, f64)>,
    holes: Vec<(f64, f64)>,
    lines: Vec<Vec<(f64, f64)>>,
}

fn draft(name: &'static str, outline: Vec<(f64, f64)>) -> Draft {
    Draft { name, outline, fold_y: None, grainline: None, notches: vec![], holes: vec![], lines: vec![] }
}

fn drafts() -> Vec<Draft> {
    let mut front = vec![(0.0, 0.0), (520.0, 0.0)];
    front.extend(curve((520.0, 0.0), (530.0, 90.0), (640.0, 100.0), 16));
    front.push((690.0, 215.0));
    front.extend(curve((690.0, 215.0), (540.0, 190.0), (470.0, 300.0), 24));
    front.extend(curve((470.0, 300.0), (200.0, 260.0), (10.0, 310.0), 12));
    let mut front = draft("Front", front);
    front.notches = vec![(260.0, 0.0), (560.0, 227.5)];
    front.holes = vec![(430.0, 150.0)];
    front.lines = vec![vec![(0.0, 40.0), (505.0, 40.0)]];

    let mut back = vec![(0.0, 0.0), (560.0, 0.0)];
    back.extend(curve((560.0, 0.0), (570.0, 60.0), (600.0, 80.0), 10));
    back.push((560.0, 230.0));
    back.extend(curve((560.0, 230.0), (440.0, 200.0), (380.0, 270.0), 20));
    back.extend(curve((380.0, 270.0), (200.0, 240.0), (0.0, 280.0), 10));
    let mut back = draft("Back", back);
    back.fold_y = Some(0.0);
    back.notches = vec![(380.0, 270.0)];

    let mut sleeve = vec![(0.0, 60.0)];
    sleeve.extend([(0.0, 320.0), (420.0, 380.0)]);
    sleeve.extend(curve((420.0, 380.0), (480.0, 300.0), (560.0, 190.0), 30));
    sleeve.extend(curve((560.0, 190.0), (510.0, 80.0), (400.0, 0.0), 30));
    let mut sleeve = draft("Sleeve", sleeve);
    sleeve.notches = vec![(485.0, 292.5), (560.0, 190.0)];

    let mut yoke = vec![(0.0, 0.0), (110.0, 0.0)];
    yoke.extend(curve((110.0, 0.0), (115.0, 60.0), (150.0, 85.0), 12));
    yoke.push((105.0, 225.0));
    yoke.push((0.0, 230.0));
    let mut yoke = draft("Yoke", yoke);
    yoke.fold_y = Some(0.0);

    let mut stand = vec![(0.0, 0.0)];
    stand.extend(curve((0.0, 0.0), (8.0, 130.0), (-4.0, 225.0), 20));
    stand.extend(curve((-4.0, 225.0), (14.0, 260.0), (36.0, 222.0), 16));
    stand.extend(curve((36.0, 222.0), (48.0, 130.0), (38.0, 0.0), 20));
    let mut stand = draft("Collar stand", stand);
    stand.fold_y = Some(0.0);

    let mut leg = vec![(0.0, 40.0), (0.0, 250.0), (560.0, 280.0)];
    leg.extend(curve((560.0, 280.0), (800.0, 300.0), (1010.0, 270.0), 20));
    leg.push((1030.0, 90.0));
    leg.extend(curve((1030.0, 90.0), (760.0, 100.0), (735.0, 0.0), 24));
    leg.extend(curve((735.0, 0.0), (560.0, 40.0), (480.0, 30.0), 10));
    let mut leg = draft("Trouser front", leg);
    leg.notches = vec![(480.0, 30.0)];
    leg.lines = vec![vec![(0.0, 145.0), (1020.0, 180.0)]];

    let loops = draft("Button loop", vec![(0.0, 0.0), (60.0, 0.0), (60.0, 9.0), (0.0, 9.0)]);
    let welt =
        draft("Breast pocket welt interfacing", vec![(0.0, 0.0), (120.0, 6.0), (120.0, 40.0), (0.0, 34.0)]);
    let band = draft("Waistband", vec![(0.0, 0.0), (780.0, 0.0), (780.0, 36.0), (0.0, 36.0)]);
    let mut tie = draft("Tie", vec![(0.0, 0.0), (60.0, 0.0), (700.0, 560.0), (690.0, 620.0), (650.0, 640.0)]);
    tie.grainline = Some(((300.0, 270.0), (360.0, 270.0)));
    let mut pocket = draft(
        "Pocket",
        vec![(20.0, 0.0), (140.0, 0.0), (150.0, 65.0), (140.0, 130.0), (20.0, 130.0), (0.0, 65.0)],
    );
    pocket.holes = vec![(120.0, 20.0), (120.0, 110.0)];
    let mut facing = vec![(0.0, 0.0)];
    facing.extend(curve((0.0, 0.0), (210.0, 30.0), (180.0, 260.0), 24));
    facing.push((130.0, 255.0));
    facing.extend(curve((130.0, 255.0), (150.0, 70.0), (0.0, 55.0), 24));
    let mut facing = draft("Neck facing", facing);
    facing.grainline = Some(((128.0, 200.0), (172.0, 200.0)));
    vec![front, back, sleeve, yoke, stand, leg, loops, welt, band, tie, pocket, facing]
}

/// Numbers of the sample pieces, in the order of the style.
pub(super) const FRONT: usize = 0;
pub(super) const BACK: usize = 1;
pub(super) const SLEEVE: usize = 2;
pub(super) const YOKE: usize = 3;
pub(super) const STAND: usize = 4;
pub(super) const LEG: usize = 5;
pub(super) const LOOP: usize = 6;
pub(super) const WELT: usize = 7;
pub(super) const BAND: usize = 8;
pub(super) const TIE: usize = 9;
pub(super) const POCKET: usize = 10;
pub(super) const FACING: usize = 11;

fn shape(draft: &Draft, factor: f64) -> PieceShape {
    let scaled = |p: &(f64, f64)| at(p.0 * factor, p.1 * factor);
    let outline = Polygon::new(draft.outline.iter().map(scaled).collect()).unwrap();
    // The frame of a shape has the lowest corner of its outline at the origin.
    let shift = -outline.bounds().low;
    let outline = outline.shifted(shift);
    let points = |points: &[(f64, f64)]| points.iter().map(|p| scaled(p) + shift).collect::<Vec<Point>>();
    let (high, low) = (outline.bounds().high, Point::default());
    let middle = Point::new((low.x + high.x) / 2, (low.y + high.y) / 2);
    let fold_y = draft.fold_y.map(|y| scaled(&(0.0, y)).y + shift.y);
    let on_fold: Vec<Point> =
        outline.points().iter().copied().filter(|p| fold_y.is_some_and(|y| p.y == y)).collect();
    let fold = (on_fold.len() >= 2).then(|| (*on_fold.iter().min().unwrap(), *on_fold.iter().max().unwrap()));
    let full = match fold {
        None => outline.clone(),
        Some((from, to)) => {
            let mut own: Vec<Point> = outline.points().to_vec();
            while own[0] != to {
                own.rotate_left(1);
            }
            let mut ring = own.clone();
            ring.extend(own.iter().rev().map(|p| Point::new(p.x, 2 * from.y - p.y)));
            Polygon::new(ring).unwrap()
        }
    };
    PieceShape {
        grainline: match draft.grainline {
            Some((bottom, top)) => (scaled(&bottom) + shift, scaled(&top) + shift),
            None => (Point::new(high.x / 5, middle.y), Point::new(high.x * 4 / 5, middle.y)),
        },
        stitching: None,
        notches: points(&draft.notches),
        drill_holes: points(&draft.holes),
        internal_lines: draft.lines.iter().map(|l| points(l)).collect(),
        outline,
        fold,
        full,
    }
}

/// A job of the sample pieces in three sizes, with a cloth of a width in millimetres.
pub(super) fn job(width: f64, nap: Nap) -> Job {
    let sizes = [("S", 0.95), ("M", 1.0), ("L", 1.05)];
    let pieces = drafts()
        .iter()
        .enumerate()
        .map(|(i, draft)| Piece {
            id: format!("piece-{i}"),
            name: draft.name.to_string(),
            cloth: "self".to_string(),
            cut: 2,
            pairs: draft.fold_y.is_none(),
            grain: Grain::Lengthwise,
            shapes: sizes.iter().map(|&(s, f)| (s.to_string(), shape(draft, f))).collect::<BTreeMap<_, _>>(),
        })
        .collect::<Vec<_>>();
    let cloth = Cloth {
        kind: "self".to_string(),
        form: ClothForm::Flat,
        width: Length::from_grid(grid(width)),
        selvage: Length::from_grid(grid(10.0)),
        nap,
        shrinkage_along: 0.0,
        shrinkage_across: 0.0,
        end_allowance: Length::ZERO,
        straightening: Length::ZERO,
        sale: Sale { step: Length::from_grid(grid(100.0)), unit: Unit::M },
        price: None,
        length_in_hand: None,
        spare_copies: false,
        flaws: Vec::new(),
        within: None,
        remnants: Vec::new(),
    };
    Job {
        name: "Weekend shirt and trousers".to_string(),
        unit: Unit::Cm,
        style: Style {
            name: "Weekend".to_string(),
            views: vec![View { name: "A".to_string(), pieces: (0..pieces.len()).collect() }],
            pieces,
            sizes: sizes.iter().map(|(s, _)| (*s).to_string()).collect(),
        },
        order: vec![OrderLine { view: 0, size: 1, garments: 1 }],
        cloths: vec![cloth],
        spacing: Length::ZERO,
        spreads: Kind::ALL.to_vec(),
        portion: None,
    }
}

fn band(low: f64, high: f64, plies: Plies, low_edge: BandEdge, high_edge: BandEdge) -> Band {
    Band { low: grid(low), high: grid(high), plies, low_edge, high_edge }
}

/// The bands of a kind of spread over a cloth of a width `w` with a selvage `s` at each edge, in millimetres, and the width
/// on the table.
fn bands(family: Family, w: f64, s: f64) -> (Vec<Band>, f64) {
    use BandEdge::{Fold, NextBand, Selvage};
    use Plies::{One, Two};
    match family {
        Family::Single => (vec![band(s, w - s, One, Selvage, Selvage)], w),
        Family::LengthwiseFold => (vec![band(0.0, w / 2.0 - s, Two, Fold, Selvage)], w / 2.0),
        Family::OffCentreFold => {
            let d = w * 0.3;
            let single = band(d, w - d - s, One, NextBand, Selvage);
            (vec![band(0.0, d - s, Two, Fold, NextBand), single], w - d)
        }
        Family::TwoFolds => {
            let (d1, d2) = (w * 0.25, w * 0.15);
            let top = w - d1 - d2;
            let bands = vec![
                band(0.0, d1 - s, Two, Fold, NextBand),
                band(d1, top - d2, One, NextBand, NextBand),
                band(top - d2 + s, top, Two, NextBand, Fold),
            ];
            (bands, top)
        }
        Family::CrosswiseFold | Family::TurnedDouble => (vec![band(s, w - s, Two, Selvage, Selvage)], w),
        Family::Tubular => (vec![band(0.0, w, Two, Fold, Fold)], w),
    }
}

/// Lays the pieces asked for, as (piece, size), longest first in columns from the low edge of each band upwards.
///
/// A piece with a fold edge goes on a low fold where the column begins at one, and is opened out elsewhere; every other
/// whole piece is mirrored each second time. Columns are as wide as their widest piece, so nothing overlaps.
pub(super) fn lay(job: &Job, family: Family, wanted: &[(usize, usize)]) -> Marker {
    lay_on(job, &job.cloths[0], family, wanted)
}

/// The same on a cloth of the job's.
pub(super) fn lay_on(job: &Job, cloth: &Cloth, family: Family, wanted: &[(usize, usize)]) -> Marker {
    let (bands, on_table) = bands(family, cloth.lay_width().mm(), cloth.selvage.mm());
    let mut placements = Vec::new();
    let mut next = vec![(0i64, 0i64, 0i64); bands.len()];
    for (b, band) in bands.iter().enumerate() {
        next[b] = (0, band.low, 0);
    }
    let longest_first = |&(piece, size): &(usize, usize)| {
        std::cmp::Reverse(job.style.shape(piece, size).outline.bounds().width())
    };
    let mut wanted = wanted.to_vec();
    wanted.sort_by_key(longest_first);
    for (i, &(piece, size)) in wanted.iter().enumerate() {
        let shape = job.style.shape(piece, size);
        // Where there are several bands, on the one that is laid the shortest so far, if it goes in at all.
        let mut order: Vec<usize> = (0..bands.len()).collect();
        order.sort_by_key(|&b| next[b].0 + next[b].2);
        for b in order {
            let band = &bands[b];
            let (mut x, mut y, mut deepest) = next[b];
            let two = band.plies == Plies::Two;
            let starts = |y: i64| two && band.low_edge == BandEdge::Fold && y == band.low;
            let form_at = |y: i64| match shape.fold {
                None => Form::Whole,
                Some(_) if starts(y) => Form::OnFold,
                Some(_) => Form::OpenedOut,
            };
            let turn = if cloth.nap == Nap::None && i % 3 == 2 { Turn::Half } else { Turn::None };
            let pose_at = |y: i64| match form_at(y) {
                // The half lies above the fold, whichever end leads.
                Form::OnFold => Pose { mirrored: turn == Turn::Half, turn },
                Form::OpenedOut => Pose { mirrored: false, turn },
                Form::Whole => Pose { mirrored: i % 2 == 1, turn },
            };
            let outline_at = |y: i64| form_at(y).of(shape).posed(pose_at(y));
            if y + outline_at(y).bounds().height() > band.high {
                (x, y, deepest) = (x + deepest, band.low, 0);
            }
            let outline = outline_at(y);
            let bounds = outline.bounds();
            if y + bounds.height() > band.high {
                continue;
            }
            placements.push(Placement {
                piece,
                size,
                form: form_at(y),
                pose: pose_at(y),
                position: Point::new(x, y) - bounds.low,
                section: 0,
                band: b,
                plies: band.plies,
                yields: if two && form_at(y) != Form::OnFold { 2 } else { 1 },
            });
            next[b] = (x, y + bounds.height(), deepest.max(bounds.width()));
            break;
        }
    }
    let length = next.iter().map(|n| n.0 + n.2).max().unwrap_or(0);
    let section = Section {
        family,
        bands,
        width: Length::from_grid(grid(on_table)),
        start: Length::ZERO,
        length: Length::from_grid(length),
        fold_at_start: family == Family::CrosswiseFold,
    };
    Marker { cloth: cloth.kind.clone(), spread: Spread { sections: vec![section] }, placements }
}

/// One garment: every sample piece in size M.
pub(super) fn one_garment() -> Vec<(usize, usize)> {
    [BACK, YOKE, STAND, FRONT, SLEEVE, LEG, FACING, POCKET, WELT, BAND, TIE, LOOP].map(|p| (p, 1)).to_vec()
}

/// More than 200 pieces in three sizes.
pub(super) fn small_run() -> Vec<(usize, usize)> {
    let garments = (0..9).flat_map(|g| one_garment().into_iter().map(move |(p, _)| (p, g % 3)));
    let small = (0..24).flat_map(|g| [POCKET, WELT, LOOP, FACING, STAND].map(|p| (p, g % 3)));
    garments.chain(small).collect()
}

/// Slips and strips for a doll: the lay is not half a metre long.
pub(super) fn tiny() -> Vec<(usize, usize)> {
    [LOOP, LOOP, WELT, WELT, STAND, POCKET, LOOP, LOOP].map(|p| (p, 0)).to_vec()
}

/// A few pieces without long curves.
pub(super) fn small() -> Vec<(usize, usize)> {
    [YOKE, POCKET, WELT, LOOP].map(|p| (p, 1)).to_vec()
}
