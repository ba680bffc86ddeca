//! Pieces, cloths and hand-made markers of our own invention, for tests.

use std::collections::BTreeMap;

use crate::cloth::{Cloth, ClothForm, Nap, Sale};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::job::Job;
use crate::length::{Length, Unit};
use crate::marker::{Form, Marker, Placement};
use crate::order::OrderLine;
use crate::piece::{Grain, Piece, PieceShape};
use crate::search::task::Task;
use crate::spread::{Band, BandEdge, Family, Kind, Plies, Section, Spread};
use crate::style::{Style, View};

/// Whole millimetres.
pub(crate) fn mm(mm: i64) -> Length {
    Length::from_grid(mm * 100)
}

/// A hook: a bar with a hollow on one side, not convex.
pub(crate) fn hook() -> Polygon {
    let ring = [(0, 0), (4000, 0), (4000, 900), (1200, 1100), (1000, 3000), (0, 2500)];
    Polygon::new(ring.map(|(x, y)| Point::new(x, y)).to_vec()).expect("simple")
}

/// A board for so many sets of five hooks that lie either way and of rectangles, so many of each: along, across, how many.
pub(crate) fn sets(count: u32, rectangles: &[(i64, i64, u32)]) -> Task {
    let hooks = (hook(), 5 * count, vec![Turn::None, Half]);
    let others = rectangles.iter().map(|&(x, y, n)| (Polygon::rectangle(x, y), n * count, vec![Turn::None]));
    let all: Vec<_> = [hooks].into_iter().chain(others).collect();
    Task::board(8000, &all)
}

/// A wavy outline of many vertices, as a curve flattened finely.
pub(crate) fn wavy(vertices: usize, waves: f64) -> Polygon {
    let corner = |k: usize| {
        let t = k as f64 / vertices as f64 * std::f64::consts::TAU;
        let r = 20_000.0 + 3_000.0 * (waves * t).sin();
        Point::new((r * t.cos()).round() as i64, (0.6 * r * t.sin()).round() as i64)
    };
    Polygon::new((0..vertices).map(corner).collect()).expect("a wave about a circle is simple")
}

/// A shape from corners in millimetres, with the fold edge along y = 0 when `half`.
pub(crate) fn shape(corners: &[(i64, i64)], half: bool) -> PieceShape {
    let points: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(100 * x, 100 * y)).collect();
    let outline = Polygon::new(points.clone()).expect("a simple outline");
    let (fold, full) = if half {
        let ends: Vec<Point> = points.iter().copied().filter(|p| p.y == 0).collect();
        let (low, high) =
            (*ends.iter().min().expect("a fold edge"), *ends.iter().max().expect("a fold edge"));
        let mut whole = vec![high];
        whole.extend(points.iter().filter(|p| p.y > 0));
        whole.push(low);
        whole.extend(points.iter().rev().filter(|p| p.y > 0).map(|p| Point::new(p.x, -p.y)));
        let full = Polygon::new(whole).expect("a simple whole");
        (Some((low, high)), full)
    } else {
        (None, outline.clone())
    };
    let high = outline.bounds().high;
    PieceShape {
        grainline: (Point::new(high.x / 4, high.y / 3), Point::new(3 * high.x / 4, high.y / 3)),
        outline,
        fold,
        full,
        stitching: None,
        notches: Vec::new(),
        drill_holes: Vec::new(),
        internal_lines: Vec::new(),
    }
}

/// One of the invented pieces: in size 38 as given, in size 42 longer by 20 mm.
fn piece(name: &str, (cut, pairs): (u32, bool), grain: Grain, half: bool, corners: &[(i64, i64)]) -> Piece {
    let longest = corners.iter().map(|c| c.0).max().expect("corners");
    let longer: Vec<_> =
        corners.iter().map(|&(x, y)| (if 2 * x > longest { x + 20 } else { x }, y)).collect();
    Piece {
        id: name.to_uppercase(),
        name: name.to_owned(),
        cloth: "self".to_owned(),
        cut,
        pairs,
        grain,
        shapes: BTreeMap::from([
            ("38".to_owned(), shape(corners, half)),
            ("42".to_owned(), shape(&longer, half)),
        ]),
    }
}

/// A half, a mirrored pair, an odd one, two symmetric ones across the grain, two that are symmetric only end for end, and
/// a half that takes either grain.
pub(crate) fn pieces() -> Vec<Piece> {
    let along = Grain::Lengthwise;
    vec![
        piece("back", (1, false), along, true, &[(0, 0), (600, 0), (560, 180), (300, 220), (0, 240)]),
        piece("front", (2, true), along, false, &[(0, 0), (580, 0), (600, 90), (420, 230), (0, 250)]),
        piece("pocket", (1, false), along, false, &[(0, 0), (150, 0), (150, 100), (40, 130), (0, 130)]),
        piece("cuff", (2, false), Grain::Crosswise, false, &[(0, 0), (200, 0), (200, 90), (0, 90)]),
        piece("yoke", (2, false), along, false, &[(0, 0), (300, 0), (260, 120), (40, 120)]),
        piece("collar", (1, false), Grain::Either, true, &[(0, 0), (300, 0), (300, 60), (0, 80)]),
    ]
}

/// Flat cloth of 1500 mm with 10 mm of selvage, no nap.
pub(crate) fn cloth() -> Cloth {
    Cloth {
        kind: "self".to_owned(),
        form: ClothForm::Flat,
        width: mm(1500),
        selvage: mm(10),
        nap: Nap::None,
        shrinkage_along: 0.0,
        shrinkage_across: 0.0,
        end_allowance: mm(20),
        straightening: mm(50),
        sale: Sale { step: mm(100), unit: Unit::M },
        price: None,
        length_in_hand: None,
        spare_copies: false,
        flaws: Vec::new(),
        within: None,
        remnants: Vec::new(),
    }
}

/// The same cloth with nap.
pub(crate) fn napped() -> Cloth {
    Cloth { nap: Nap::OneWay, ..cloth() }
}

/// A tube of 500 mm laid flat.
pub(crate) fn tube() -> Cloth {
    Cloth { form: ClothForm::Tube, width: mm(500), selvage: Length::ZERO, ..cloth() }
}

/// One garment in size 38 of some of the pieces.
pub(crate) fn job(names: &[&str], cloth: Cloth) -> Job {
    let pieces = pieces();
    let chosen: Vec<usize> = names
        .iter()
        .map(|n| pieces.iter().position(|p| p.name == *n).expect("a piece of that name"))
        .collect();
    Job {
        name: "trial".to_owned(),
        unit: Unit::Mm,
        style: Style {
            name: "trial jacket".to_owned(),
            pieces,
            views: vec![View { name: "A".to_owned(), pieces: chosen }],
            sizes: vec!["38".to_owned(), "42".to_owned()],
        },
        order: vec![OrderLine { view: 0, size: 0, garments: 1 }],
        cloths: vec![cloth],
        spacing: Length::ZERO,
        spreads: Kind::ALL.to_vec(),
        portion: None,
    }
}

/// A band in millimetres.
pub(crate) fn band(
    (low, low_edge): (i64, BandEdge),
    (high, high_edge): (i64, BandEdge),
    plies: Plies,
) -> Band {
    Band { low: 100 * low, high: 100 * high, plies, low_edge, high_edge }
}

/// A section of some width, beginning at 0, in millimetres.
pub(crate) fn section(family: Family, width: i64, length: i64, bands: Vec<Band>) -> Section {
    Section {
        family,
        bands,
        width: mm(width),
        start: Length::ZERO,
        length: mm(length),
        fold_at_start: family == Family::CrosswiseFold,
    }
}

/// What one line of a hand-made lay says: piece, form, face and turn, section and band, and the lowest corner of the
/// outline's box in millimetres.
pub(crate) struct Put(
    pub(crate) &'static str,
    pub(crate) Form,
    pub(crate) Pose,
    pub(crate) (usize, usize),
    pub(crate) (i64, i64),
);

/// As drawn, turned.
pub(crate) const fn up(turn: Turn) -> Pose {
    Pose { mirrored: false, turn }
}

/// Mirrored, turned.
pub(crate) const fn down(turn: Turn) -> Pose {
    Pose { mirrored: true, turn }
}

/// A marker of size 38; plies and yields follow from the bands.
pub(crate) fn marker(job: &Job, sections: Vec<Section>, puts: &[Put]) -> Marker {
    let placements = puts
        .iter()
        .map(|Put(name, form, pose, (section, band), (x, y))| {
            let piece = job.style.pieces.iter().position(|p| p.name == *name).expect("a piece of that name");
            let shape = &job.style.pieces[piece].shapes["38"];
            let low = form.of(shape).posed(*pose).bounds().low;
            let plies = sections[*section].bands[*band].plies;
            Placement {
                piece,
                size: 0,
                form: *form,
                pose: *pose,
                position: Point::new(100 * x, 100 * y) - low,
                section: *section,
                band: *band,
                plies,
                yields: if *form == OnFold { 1 } else { plies.count() },
            }
        })
        .collect();
    Marker { cloth: "self".to_owned(), spread: Spread { sections }, placements }
}

/// A job with a good marker for it, for every kind of spread and some more, each named.
pub(crate) fn good_markers() -> Vec<(&'static str, Job, Marker)> {
    vec![
        single(),
        lengthwise_fold(),
        off_centre_fold(),
        two_folds(),
        two_folds_meeting(),
        crosswise_fold(),
        turned_double(),
        tubular(),
        slit_tube(),
        two_sections(),
        spare_copy(),
    ]
}

use BandEdge::{CutEdge, Fold, NextBand, Selvage};
use Form::{OnFold, OpenedOut, Whole};
use Turn::{Half, Quarter, ThreeQuarter};

/// Everything, on one ply.
pub(crate) fn single() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "pocket", "cuff", "yoke", "collar"], cloth());
    let bands = vec![band((10, Selvage), (1490, Selvage), Plies::One)];
    let puts = [
        Put("back", OpenedOut, up(Turn::None), (0, 0), (0, 10)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 490)),
        Put("front", Whole, down(Half), (0, 0), (0, 740)),
        Put("pocket", Whole, up(Half), (0, 0), (0, 990)),
        Put("cuff", Whole, up(Quarter), (0, 0), (200, 990)),
        Put("cuff", Whole, up(ThreeQuarter), (0, 0), (290, 990)),
        Put("yoke", Whole, up(Turn::None), (0, 0), (0, 1190)),
        Put("yoke", Whole, down(Turn::None), (0, 0), (0, 1310)),
        Put("collar", OpenedOut, up(Quarter), (0, 0), (450, 1000)),
    ];
    let marker = marker(&job, vec![section(Family::Single, 1500, 620, bands)], &puts);
    ("single", job, marker)
}

/// Halves on the fold, pairs on two plies.
pub(crate) fn lengthwise_fold() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "cuff", "yoke", "collar"], cloth());
    let bands = vec![band((0, Fold), (740, Selvage), Plies::Two)];
    let puts = [
        Put("back", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 240)),
        Put("cuff", Whole, up(Quarter), (0, 0), (0, 490)),
        Put("yoke", Whole, up(Turn::None), (0, 0), (90, 490)),
        Put("collar", OnFold, down(Half), (0, 0), (600, 0)),
    ];
    let marker = marker(&job, vec![section(Family::LengthwiseFold, 750, 900, bands)], &puts);
    ("lengthwise fold", job, marker)
}

/// A fold 300 mm deep for the half, the rest single; napped.
pub(crate) fn off_centre_fold() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "pocket"], napped());
    let bands = vec![
        band((0, Fold), (290, NextBand), Plies::Two),
        band((300, NextBand), (1190, Selvage), Plies::One),
    ];
    let puts = [
        Put("back", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 1), (0, 300)),
        Put("front", Whole, down(Turn::None), (0, 1), (0, 550)),
        Put("pocket", Whole, up(Turn::None), (0, 1), (0, 800)),
    ];
    let marker = marker(&job, vec![section(Family::OffCentreFold, 1200, 600, bands)], &puts);
    ("lengthwise fold off centre", job, marker)
}

/// Folds 300 and 260 mm deep with a single ply between.
pub(crate) fn two_folds() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "pocket", "collar"], cloth());
    let bands = vec![
        band((0, Fold), (290, NextBand), Plies::Two),
        band((300, NextBand), (680, NextBand), Plies::One),
        band((690, NextBand), (940, Fold), Plies::Two),
    ];
    let puts = [
        Put("back", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 1), (0, 300)),
        Put("front", Whole, down(Turn::None), (0, 1), (600, 300)),
        Put("pocket", Whole, up(Turn::None), (0, 1), (1200, 300)),
        Put("collar", OnFold, up(Half), (0, 2), (0, 860)),
    ];
    let marker = marker(&job, vec![section(Family::TwoFolds, 940, 1350, bands)], &puts);
    ("two lengthwise folds", job, marker)
}

/// Two folds whose selvages meet, unequal.
pub(crate) fn two_folds_meeting() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "collar"], cloth());
    let bands =
        vec![band((0, Fold), (390, Selvage), Plies::Two), band((410, Selvage), (750, Fold), Plies::Two)];
    let puts = [
        Put("collar", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 80)),
        Put("back", OnFold, down(Turn::None), (0, 1), (0, 510)),
    ];
    let marker = marker(&job, vec![section(Family::TwoFolds, 750, 600, bands)], &puts);
    ("two lengthwise folds, selvages meeting", job, marker)
}

/// A half of the crosswise grain on the crosswise fold.
pub(crate) fn crosswise_fold() -> (&'static str, Job, Marker) {
    let job = job(&["front", "cuff", "yoke", "collar"], cloth());
    let bands = vec![band((10, Selvage), (1490, Selvage), Plies::Two)];
    let puts = [
        Put("collar", OnFold, up(ThreeQuarter), (0, 0), (0, 10)),
        Put("front", Whole, up(Turn::None), (0, 0), (100, 10)),
        Put("cuff", Whole, up(Quarter), (0, 0), (100, 260)),
        Put("yoke", Whole, up(Turn::None), (0, 0), (190, 260)),
    ];
    let marker = marker(&job, vec![section(Family::CrosswiseFold, 1500, 700, bands)], &puts);
    ("crosswise fold", job, marker)
}

/// Two plies with the nap agreeing.
pub(crate) fn turned_double() -> (&'static str, Job, Marker) {
    let job = job(&["front", "cuff"], napped());
    let bands = vec![band((10, Selvage), (1490, Selvage), Plies::Two)];
    let puts = [
        Put("front", Whole, down(Turn::None), (0, 0), (0, 10)),
        Put("cuff", Whole, up(Quarter), (0, 0), (0, 260)),
    ];
    let marker = marker(&job, vec![section(Family::TurnedDouble, 1500, 600, bands)], &puts);
    ("double thickness, upper ply turned", job, marker)
}

/// Halves on both folds of a tube.
pub(crate) fn tubular() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "collar"], tube());
    let bands = vec![band((0, Fold), (500, Fold), Plies::Two)];
    let puts = [
        Put("back", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 240)),
        Put("collar", OnFold, up(Half), (0, 0), (600, 420)),
    ];
    let marker = marker(&job, vec![section(Family::Tubular, 500, 900, bands)], &puts);
    ("tubular", job, marker)
}

/// A tube slit along one side and laid single.
pub(crate) fn slit_tube() -> (&'static str, Job, Marker) {
    let job = job(&["back", "pocket"], tube());
    let bands = vec![band((0, CutEdge), (1000, CutEdge), Plies::One)];
    let puts = [
        Put("back", OpenedOut, up(Turn::None), (0, 0), (0, 0)),
        Put("pocket", Whole, up(Turn::None), (0, 0), (0, 480)),
    ];
    let marker = marker(&job, vec![section(Family::Single, 1000, 600, bands)], &puts);
    ("tube slit and laid single", job, marker)
}

/// A lengthwise fold, then opened out to a single ply.
pub(crate) fn two_sections() -> (&'static str, Job, Marker) {
    let job = job(&["back", "front", "pocket"], napped());
    let folded = section(Family::LengthwiseFold, 750, 600, vec![band((0, Fold), (740, Selvage), Plies::Two)]);
    let mut open = section(Family::Single, 1500, 150, vec![band((10, Selvage), (1490, Selvage), Plies::One)]);
    open.start = mm(600);
    let puts = [
        Put("back", OnFold, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 240)),
        Put("pocket", Whole, up(Turn::None), (1, 0), (600, 10)),
    ];
    let marker = marker(&job, vec![folded, open], &puts);
    ("lengthwise fold, then single", job, marker)
}

/// An odd piece on two plies, its mirror image wasted.
pub(crate) fn spare_copy() -> (&'static str, Job, Marker) {
    let job = job(&["front", "pocket"], Cloth { spare_copies: true, ..cloth() });
    let bands = vec![band((0, Fold), (740, Selvage), Plies::Two)];
    let puts = [
        Put("front", Whole, up(Turn::None), (0, 0), (0, 0)),
        Put("pocket", Whole, up(Turn::None), (0, 0), (0, 250)),
    ];
    let mut marker = marker(&job, vec![section(Family::LengthwiseFold, 750, 600, bands)], &puts);
    marker.placements[1].yields = 1;
    ("lengthwise fold with a spare copy", job, marker)
}
