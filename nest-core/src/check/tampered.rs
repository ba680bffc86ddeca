//! Good markers damaged in every way: each damage is found, and nothing else is complained of.

use std::collections::BTreeSet;

use super::good::listed;
use super::*;
use crate::cloth::Flaw;
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::invented::{self, mm};
use crate::length::Length;
use crate::marker::{Form, Placement};
use crate::spread::{BandEdge, Family, Plies};

type Good = (&'static str, Job, Marker);

/// The names of the faults found.
fn kinds(violations: &[Violation]) -> BTreeSet<String> {
    violations
        .iter()
        .map(|v| format!("{:?}", v.fault).split([' ', '{']).next().unwrap_or_default().to_owned())
        .collect()
}

/// Damages a good marker and demands faults of one kind, as many as said.
fn damaged(damage: &str, good: Good, tamper: impl FnOnce(&mut Job, &mut Marker), kind: &str, times: usize) {
    let (name, mut job, mut marker) = good;
    if let Err(violations) = check(&job, &marker) {
        panic!("{name} is not good to begin with: {}", listed(&violations));
    }
    tamper(&mut job, &mut marker);
    let violations = check(&job, &marker).expect_err(&format!("{name}: {damage} goes unnoticed"));
    let expected = BTreeSet::from([kind.to_owned()]);
    assert_eq!(kinds(&violations), expected, "{name}: {damage}: {}", listed(&violations));
    assert_eq!(violations.len(), times, "{name}: {damage}: {}", listed(&violations));
    for v in &violations {
        assert!(!v.to_string().is_empty());
    }
}

/// The same, on the number-th placement.
fn placed(damage: &str, good: Good, number: usize, tamper: impl FnOnce(&mut Placement), kind: &str) {
    damaged(damage, good, |_, m| tamper(&mut m.placements[number]), kind, 1);
}

#[test]
fn a_shift_of_one_grid_unit_into_a_neighbour() {
    placed("into the back", invented::single(), 1, |p| p.position.y -= 1, "Overlap");
    damaged("into two cuffs", invented::single(), |_, m| m.placements[6].position.y -= 1, "Overlap", 2);
    placed("into the front", invented::lengthwise_fold(), 2, |p| p.position.y -= 1, "Overlap");
    placed("one on another", invented::two_folds(), 2, |p| p.position.x -= 1, "Overlap");
}

#[test]
fn the_place_and_the_amount_of_an_overlap_are_told() {
    let (_, job, mut marker) = invented::single();
    marker.placements[5].position.x -= 100;
    let violations = check(&job, &marker).expect_err("cuffs overlap");
    let [v] = &violations[..] else { panic!("{}", listed(&violations)) };
    let Fault::Overlap { area_mm2 } = v.fault else { panic!("{v}") };
    assert!((area_mm2 - 200.0).abs() < 1e-6, "1 mm of 200 mm: {area_mm2}");
    assert_eq!(
        v.laid.iter().map(|l| (l.number, l.piece.as_str())).collect::<Vec<_>>(),
        [(5, "cuff"), (6, "cuff")]
    );
    let at = v.place.expect("a place");
    assert!((28_900..=29_000).contains(&at.x) && (99_000..=119_000).contains(&at.y), "{at:?}");
}

#[test]
fn everything_in_one_place_is_told_of_in_bounded_time() {
    let (_, job, mut marker) = invented::slit_tube();
    let pocket = marker.placements[1].clone();
    marker.placements = vec![pocket; 10_000];
    let violations = check(&job, &marker).expect_err("a heap");
    let overlaps = violations.iter().filter(|v| matches!(v.fault, Fault::Overlap { .. })).count();
    assert_eq!((overlaps, violations.len()), (1000, 1002), "and the count of both pieces");
}

#[test]
fn out_of_the_band_or_the_length_by_one_unit() {
    placed("below the selvage", invented::single(), 0, |p| p.position.y -= 1, "OutsideBand");
    placed("over the upper selvage", invented::lengthwise_fold(), 2, |p| p.position.y += 5001, "OutsideBand");
    placed("over the flap", invented::off_centre_fold(), 1, |p| p.position.y -= 1, "OutsideBand");
    placed("before the start", invented::off_centre_fold(), 3, |p| p.position.x -= 1, "OutsideLength");
    placed("beyond the end", invented::two_folds(), 3, |p| p.position.x += 1, "OutsideLength");
    placed("back into the fold", invented::two_sections(), 2, |p| p.position.x -= 1, "OutsideLength");
    let short = |_: &mut Job, m: &mut Marker| {
        m.spread.sections[0].length = Length::from_grid(m.spread.sections[0].length.grid() - 1);
    };
    damaged("lay length short", invented::off_centre_fold(), short, "OutsideLength", 3);
    damaged("lay length short", invented::tubular(), short, "OutsideLength", 1);
}

#[test]
fn off_the_fold() {
    placed("by one unit", invented::lengthwise_fold(), 4, |p| p.position.y += 1, "OffFold");
    placed("far", invented::two_folds(), 4, |p| p.position.y -= 1000, "OffFold");
    placed("by one unit on a tube", invented::tubular(), 2, |p| p.position.y -= 1, "OffFold");
    placed("off the crosswise fold", invented::crosswise_fold(), 0, |p| p.position.x += 1, "OffFold");
    placed("on no fold at all", invented::single(), 8, |p| p.form = Form::OnFold, "OffFold");
    let unfolded = |_: &mut Job, m: &mut Marker| {
        m.spread.sections[0].family = Family::TurnedDouble;
        m.spread.sections[0].fold_at_start = false;
    };
    damaged("cut along the crosswise fold", invented::crosswise_fold(), unfolded, "OffFold", 1);
    // Turned about so that the fold edge is the outer one.
    let (_, job, mut marker) = invented::two_folds_meeting();
    marker.placements[2].pose.mirrored = false;
    marker.placements[2].position.y = 41_000;
    let violations = check(&job, &marker).expect_err("fold edge at the selvages");
    assert_eq!(kinds(&violations), BTreeSet::from(["OffFold".to_owned()]), "{}", listed(&violations));
    assert_eq!(violations[0].fault, Fault::OffFold { by: Some(34_000) });
}

#[test]
fn copies_dropped_doubled_or_flipped() {
    let drop = |n: usize| {
        move |_: &mut Job, m: &mut Marker| {
            m.placements.remove(n);
        }
    };
    damaged("pocket dropped", invented::single(), drop(3), "Count", 1);
    damaged("half dropped", invented::lengthwise_fold(), drop(0), "Count", 1);
    damaged("pair dropped", invented::turned_double(), drop(0), "Count", 1);
    let double = |_: &mut Job, m: &mut Marker| {
        let mut extra = m.placements[3].clone();
        extra.position.x += 30_000;
        m.placements.push(extra);
    };
    damaged("pocket doubled", invented::off_centre_fold(), double, "Count", 1);
    let flip = |p: &mut Placement| p.pose.mirrored = !p.pose.mirrored;
    // Flipping about the grainline moves an outline across; bring it back into its own box.
    let flip_in_place = |job: &Job, m: &mut Marker, n: usize| {
        let low = |p: &Placement| p.outline(&job.style.pieces[p.piece].shapes["38"]).bounds().low;
        let p = &mut m.placements[n];
        let before = low(p);
        flip(p);
        p.position = p.position + (before - low(p));
    };
    damaged("front flipped", invented::off_centre_fold(), |j, m| flip_in_place(j, m, 1), "Count", 1);
    damaged("pocket flipped", invented::off_centre_fold(), |j, m| flip_in_place(j, m, 3), "Count", 1);
    let other_size = |p: &mut Placement| p.size = 1;
    damaged("another size", invented::slit_tube(), |_, m| other_size(&mut m.placements[1]), "Count", 2);
    damaged("not wanted at all", invented::slit_tube(), |j, _| j.style.views[0].pieces = vec![0], "Count", 1);
    damaged("two garments wanted", invented::slit_tube(), |j, _| j.order[0].garments = 2, "Count", 2);
}

#[test]
fn a_face_that_makes_no_difference_may_be_either() {
    let passes = |(_, job, marker): Good, tamper: &dyn Fn(&mut Job, &mut Marker)| {
        let (mut job, mut marker) = (job, marker);
        tamper(&mut job, &mut marker);
        check(&job, &marker).map_err(|v| listed(&v))
    };
    // A rectangle flipped in its own box.
    let cuff = |_: &mut Job, m: &mut Marker| {
        m.placements[4].pose = Pose { mirrored: true, turn: Turn::ThreeQuarter };
        m.placements[4].position = Point::new(20_000, 99_000);
    };
    assert!(passes(invented::single(), &cuff).is_err(), "flipped out of its place");
    let cuff = |_: &mut Job, m: &mut Marker| {
        m.placements[4].pose = Pose { mirrored: true, turn: Turn::Quarter };
        m.placements[4].position = Point::new(20_000, 99_000);
    };
    assert_eq!(passes(invented::single(), &cuff).err(), None);
    // A yoke is its own mirror image end for end only: with nap its copies on two plies are not the same.
    let nap = |j: &mut Job, m: &mut Marker| {
        j.cloths[0].nap = crate::cloth::Nap::OneWay;
        j.style.views[0].pieces = vec![4];
        m.placements.retain(|p| p.piece == 4);
    };
    let violations = {
        let (_, mut job, mut marker) = invented::lengthwise_fold();
        nap(&mut job, &mut marker);
        check(&job, &marker).expect_err("one yoke would point down")
    };
    assert_eq!(kinds(&violations), BTreeSet::from(["Count".to_owned()]), "{}", listed(&violations));
}

#[test]
fn turned_against_grain_or_nap() {
    // Half turns about the middle of the outline's box, so that only the turn is wrong.
    let turn_in_place = |by: Turn| {
        move |job: &mut Job, m: &mut Marker, n: usize| {
            let low = |p: &Placement| p.outline(&job.style.pieces[p.piece].shapes["38"]).bounds().low;
            let p = &mut m.placements[n];
            let before = low(p);
            p.pose.turn = p.pose.turn.then(by);
            p.position = p.position + (before - low(p));
        }
    };
    let half = turn_in_place(Turn::Half);
    let quarter = turn_in_place(Turn::Quarter);
    damaged("pocket on nap", invented::off_centre_fold(), |j, m| half(j, m, 3), "Turn", 1);
    damaged("front on nap", invented::off_centre_fold(), |j, m| half(j, m, 1), "Turn", 1);
    damaged("pocket across", invented::single(), |j, m| quarter(j, m, 3), "Turn", 1);
    damaged(
        "yoke along",
        invented::single(),
        |j, _| j.style.pieces[4].grain = crate::piece::Grain::Crosswise,
        "Turn",
        2,
    );
    let nap = |j: &mut Job, _: &mut Marker| j.cloths[0].nap = crate::cloth::Nap::OneWay;
    // The odd front, the pocket and the collar are turned; of the two yokes one lies mirrored, which counts under nap.
    let (_, mut job, mut marker) = invented::single();
    nap(&mut job, &mut marker);
    let violations = check(&job, &marker).expect_err("turned pieces");
    assert_eq!(
        kinds(&violations),
        BTreeSet::from(["Turn".to_owned(), "Count".to_owned()]),
        "{}",
        listed(&violations)
    );
    assert_eq!(violations.iter().filter(|v| matches!(v.fault, Fault::Turn { .. })).count(), 3);
}

#[test]
fn wrong_forms_plies_and_yields() {
    placed("a half laid whole", invented::single(), 0, |p| p.form = Form::Whole, "Form");
    placed("a half on the fold laid whole", invented::tubular(), 0, |p| p.form = Form::Whole, "Form");
    placed("a whole piece opened out", invented::single(), 3, |p| p.form = Form::OpenedOut, "Form");
    placed("one ply taken for two", invented::off_centre_fold(), 3, |p| p.plies = Plies::Two, "Plies");
    placed("two plies taken for one", invented::turned_double(), 1, |p| p.plies = Plies::One, "Plies");
    placed("nothing comes off", invented::slit_tube(), 1, |p| p.yields = 0, "Yields");
    placed("three of two plies", invented::turned_double(), 1, |p| p.yields = 3, "Yields");
    placed("two wholes of one fold", invented::tubular(), 0, |p| p.yields = 2, "Yields");
    placed("a spare taken for wanted", invented::spare_copy(), 1, |p| p.yields = 2, "Count");
    damaged(
        "spares not allowed",
        invented::spare_copy(),
        |j, _| j.cloths[0].spare_copies = false,
        "Spare",
        1,
    );
}

#[test]
fn spacing_short_by_one_unit() {
    let spaced = || {
        let (name, mut job, mut marker) = invented::slit_tube();
        job.spacing = mm(5);
        marker.placements[1].position.y += 500;
        (name, job, marker)
    };
    placed("by one unit", spaced(), 1, |p| p.position.y -= 1, "TooNear");
    placed("touching", spaced(), 1, |p| p.position.y -= 500, "TooNear");
    damaged("more is wanted", spaced(), |j, _| j.spacing = Length::from_grid(501), "TooNear", 1);
    let (_, job, mut marker) = spaced();
    marker.placements[1].position.y -= 1;
    let violations = check(&job, &marker).expect_err("too near");
    assert_eq!(violations[0].fault, Fault::TooNear { gap_mm: 4.99, wanted: mm(5) });
    assert_eq!(violations[0].place, Some(Point::new(0, 48_000)), "at the back's corner");
}

#[test]
fn the_copies_across_a_fold_keep_their_spacing() {
    // A front alone near a fold, half of the spacing of 5 mm from it.
    let near = |good: Good, number: usize, by: (i64, i64)| {
        let (name, mut job, mut marker) = good;
        job.spacing = mm(5);
        job.style.views[0].pieces = vec![1];
        marker.placements = vec![marker.placements.swap_remove(number)];
        marker.placements[0].position = marker.placements[0].position + Point::new(by.0, by.1);
        (name, job, marker)
    };
    let low = || near(invented::lengthwise_fold(), 1, (0, -23_750));
    placed("to the fold", low(), 0, |p| p.position.y -= 1, "TooNearFold");
    placed("on the fold", low(), 0, |p| p.position.y -= 250, "TooNearFold");
    let high = || near(invented::tubular(), 1, (0, 750));
    placed("to the upper fold", high(), 0, |p| p.position.y += 1, "TooNearFold");
    let start = || near(invented::crosswise_fold(), 1, (-9_750, 0));
    placed("to the crosswise fold", start(), 0, |p| p.position.x -= 1, "TooNearFold");
    // Selvages and cut ends need none.
    let end = near(invented::turned_double(), 0, (0, 0));
    assert!(check(&end.1, &end.2).is_ok());
}

/// A marker with nothing on it, for a job that orders nothing.
fn bare((name, mut job, mut marker): Good) -> Good {
    job.order.clear();
    marker.placements.clear();
    (name, job, marker)
}

#[test]
fn bands_that_do_not_account_for_the_cloth() {
    let high =
        |n: usize, by: i64| move |_: &mut Job, m: &mut Marker| m.spread.sections[0].bands[n].high += by;
    let low = |n: usize, by: i64| move |_: &mut Job, m: &mut Marker| m.spread.sections[0].bands[n].low += by;
    let wider = |by: i64| {
        move |_: &mut Job, m: &mut Marker| {
            let section = &mut m.spread.sections[0];
            section.width = Length::from_grid(section.width.grid() + by);
        }
    };
    damaged("wider by a unit", invented::single(), high(0, 1), "BandExtent", 1);
    damaged("narrower by a unit", invented::single(), high(0, -1), "BandExtent", 1);
    damaged("into the selvage", invented::turned_double(), low(0, -1), "BandExtent", 1);
    damaged("fold off the middle", invented::lengthwise_fold(), high(0, 1), "BandExtent", 1);
    damaged("a wider table", invented::lengthwise_fold(), wider(1), "BandExtent", 1);
    damaged("a wider tube", invented::tubular(), wider(1), "BandExtent", 1);
    damaged("flap too deep", invented::off_centre_fold(), high(0, 1), "BandExtent", 1);
    damaged("single part too wide", invented::off_centre_fold(), high(1, 1), "BandExtent", 1);
    damaged("another depth", invented::off_centre_fold(), wider(1), "BandExtent", 3);
    damaged("another depth", bare(invented::two_folds()), high(0, 1), "BandExtent", 5);
    damaged("gap too wide", bare(invented::two_folds()), low(1, -1), "BandExtent", 1);
    damaged("gap into the upper flap", bare(invented::two_folds()), high(1, 1), "BandExtent", 1);
    damaged("selvages laid over each other", invented::two_folds_meeting(), high(0, 1), "Depth", 1);
    damaged("narrower cloth", bare(invented::single()), |j, _| j.cloths[0].width = mm(1499), "BandExtent", 2);
    let shrunk = |j: &mut Job, _: &mut Marker| j.cloths[0].shrinkage_across = 0.01;
    damaged("shrunk cloth", bare(invented::single()), shrunk, "BandExtent", 2);
    damaged("wider selvage", bare(invented::single()), |j, _| j.cloths[0].selvage = mm(11), "BandExtent", 2);
}

#[test]
fn folds_of_impossible_depth() {
    let width = |to: i64| move |_: &mut Job, m: &mut Marker| m.spread.sections[0].width = mm(to);
    damaged("only selvage folded", invented::off_centre_fold(), width(1490), "Depth", 1);
    damaged("no fold at all", invented::off_centre_fold(), width(1500), "Depth", 1);
    damaged("deeper than half", invented::off_centre_fold(), width(749), "Depth", 1);
    let deep = |_: &mut Job, m: &mut Marker| m.spread.sections[0].bands[0].high = 60_000;
    damaged("flaps over each other", invented::two_folds(), deep, "Depth", 1);
}

#[test]
fn bands_of_the_wrong_kind() {
    let on_first = |change: fn(&mut crate::spread::Section)| {
        move |_: &mut Job, m: &mut Marker| change(&mut m.spread.sections[0])
    };
    let twice = on_first(|s| s.bands.push(s.bands[0]));
    damaged("a band twice", invented::turned_double(), twice, "Bands", 1);
    damaged("no bands", bare(invented::two_folds()), on_first(|s| s.bands.clear()), "Bands", 1);
    damaged("no bands", bare(invented::single()), on_first(|s| s.bands.clear()), "Bands", 1);
    let fold = on_first(|s| s.fold_at_start = true);
    damaged("a fold across", invented::lengthwise_fold(), fold, "Bands", 1);
    let open = on_first(|s| s.fold_at_start = false);
    damaged("no fold across", bare(invented::crosswise_fold()), open, "Bands", 1);
    let single = on_first(|s| s.bands[0].plies = Plies::One);
    damaged("a fold of one ply", bare(invented::lengthwise_fold()), single, "Bands", 1);
    let double = on_first(|s| s.bands[1].plies = Plies::Two);
    damaged("two plies between folds", bare(invented::two_folds()), double, "Bands", 1);
    let folded = on_first(|s| s.bands[0].low_edge = BandEdge::Fold);
    damaged("a selvage taken for a fold", invented::turned_double(), folded, "Bands", 1);
    let cut = on_first(|s| s.bands[0].high_edge = BandEdge::CutEdge);
    damaged("a fold taken for a cut edge", bare(invented::tubular()), cut, "Bands", 1);
    let flap = on_first(|s| s.bands[0].high_edge = BandEdge::Fold);
    damaged("a flap's selvage taken for a fold", invented::off_centre_fold(), flap, "Bands", 1);
}

#[test]
fn spreads_that_do_not_go_with_the_cloth() {
    let nap = |j: &mut Job, _: &mut Marker| j.cloths[0].nap = crate::cloth::Nap::OneWay;
    damaged("crosswise fold on nap", bare(invented::crosswise_fold()), nap, "Family", 1);
    let family = |f: Family| move |_: &mut Job, m: &mut Marker| m.spread.sections[0].family = f;
    damaged("flat cloth as a tube", invented::turned_double(), family(Family::Tubular), "Family", 1);
    damaged("a tube folded", invented::slit_tube(), family(Family::LengthwiseFold), "Family", 1);
    let flat = |j: &mut Job, _: &mut Marker| j.cloths[0].form = crate::cloth::ClothForm::Flat;
    damaged("a tube that is none", invented::tubular(), flat, "Family", 1);
}

#[test]
fn sections_that_do_not_follow_one_another() {
    let shift = |n: usize, by: i64| {
        move |_: &mut Job, m: &mut Marker| {
            let s = &mut m.spread.sections[n];
            s.start = Length::from_grid(s.start.grid() + by);
            s.length = Length::from_grid(s.length.grid() - by);
        }
    };
    damaged("one over the other", invented::two_sections(), shift(1, -1), "SectionStart", 1);
    damaged("begun before the cut end", invented::turned_double(), shift(0, -1), "SectionStart", 1);
    let none = |_: &mut Job, m: &mut Marker| m.spread.sections[0].length = Length::ZERO;
    damaged("no length", bare(invented::single()), none, "SectionLength", 1);
    damaged("no section", bare(invented::single()), |_, m| m.spread.sections.clear(), "NoSection", 1);
}

#[test]
fn names_that_mean_nothing() {
    damaged("cloth", invented::single(), |_, m| m.cloth = "velvet".into(), "UnknownCloth", 1);
    placed("band", invented::single(), 3, |p| p.band = 1, "Unknown");
    placed("section", invented::single(), 3, |p| p.section = usize::MAX, "Unknown");
    damaged(
        "other cloth",
        invented::single(),
        |j, _| j.style.pieces[2].cloth = "lining".into(),
        "WrongCloth",
        1,
    );
    // What cannot be laid is missing as well.
    let both = |tamper: &dyn Fn(&mut Job, &mut Marker), kind: &str| {
        let (_, mut job, mut marker) = invented::single();
        tamper(&mut job, &mut marker);
        let violations = check(&job, &marker).expect_err(kind);
        let expected = BTreeSet::from([kind.to_owned(), "Count".to_owned()]);
        assert_eq!(kinds(&violations), expected, "{}", listed(&violations));
        assert_eq!(violations.len(), 2, "{}", listed(&violations));
    };
    both(&|_, m| m.placements[3].piece = 99, "Unknown");
    both(&|_, m| m.placements[3].size = 99, "Unknown");
    both(&|j, _| drop(j.style.pieces[2].shapes.remove("38")), "Unknown");
    both(&|_, m| m.placements[3].position.x = i64::MAX, "BeyondGrid");
    both(&|_, m| m.placements[3].position.y = i64::MIN, "BeyondGrid");
    let high = |_: &mut Job, m: &mut Marker| m.spread.sections[0].bands[0].high = i64::MAX;
    damaged("band beyond the grid", invented::turned_double(), high, "BeyondGrid", 1);
}

/// A flaw in millimetres on the open cloth.
fn spot(x: i64, y: i64, radius: i64) -> Flaw {
    Flaw::Spot { centre: Point::new(100 * x, 100 * y), radius: 100 * radius }
}

#[test]
fn flaws_on_any_ply() {
    // The lay begins 20 mm from the cut end.
    let flawed = |flaw: Flaw| move |j: &mut Job, _: &mut Marker| j.cloths[0].flaws.push(flaw);
    let on = |good: Good, flaw: Flaw, under: bool| {
        let (_, mut job, marker) = good;
        job.cloths[0].flaws.push(flaw);
        let violations = check(&job, &marker).expect_err("a flaw goes unnoticed");
        let [v] = &violations[..] else { panic!("{}", listed(&violations)) };
        assert!(matches!(v.fault, Fault::OverFlaw { flaw: 0, under: u, .. } if u == under), "{v}");
    };
    on(invented::single(), spot(320, 250, 10), true);
    // Folded at 750: the back's half lies over both sides of it.
    on(invented::lengthwise_fold(), spot(320, 850, 10), true);
    on(invented::lengthwise_fold(), spot(320, 650, 10), false);
    // A flap of 300: what lies single is as far from its selvage as on the open cloth.
    on(invented::off_centre_fold(), spot(320, 200, 10), false);
    on(invented::off_centre_fold(), spot(320, 700, 10), true);
    // Folds at 300 and 1240: the collar lies on the second.
    on(invented::two_folds(), spot(170, 1200, 5), true);
    on(invented::two_folds(), spot(170, 1280, 5), false);
    // Folded across at 720, 700 after the lay begins: the front lies from 820 and back from 620.
    on(invented::crosswise_fold(), spot(1000, 100, 5), true);
    on(invented::crosswise_fold(), spot(440, 100, 5), false);
    // Cut at 620 and turned: the front lies once below, once above, end for end of the width.
    on(invented::turned_double(), spot(220, 100, 5), true);
    on(invented::turned_double(), spot(820, 1400, 5), false);
    on(invented::tubular(), spot(220, 600, 5), true);
    on(invented::tubular(), spot(220, 400, 5), false);
    // In the second section, opened out: 600 after the first began.
    on(invented::two_sections(), spot(670, 60, 5), true);
    let nowhere = [spot(1500, 700, 90), spot(660, 700, 10)];
    let (_, mut job, marker) = invented::lengthwise_fold();
    job.cloths[0].flaws.extend(nowhere);
    job.cloths[0].flaws[1] = spot(720, 1400, 10);
    assert_eq!(check(&job, &marker).map(|c| c.tally().placements).map_err(|v| listed(&v)), Ok(5));
    // Touching is allowed: the cuff begins at 20 along and 1240 across, on the other ply it ends at 260.
    let strip = |x: i64, y: i64| Flaw::Area(Polygon::rectangle(x, 20_000).shifted(Point::new(0, y)));
    let (_, mut job, marker) = invented::lengthwise_fold();
    job.cloths[0].flaws = vec![strip(2000, 124_000), strip(2000, 6000)];
    assert!(check(&job, &marker).is_ok());
    damaged(
        "one unit over the flaw",
        invented::lengthwise_fold(),
        flawed(strip(2001, 124_000)),
        "OverFlaw",
        1,
    );
    damaged("on the flap too", invented::lengthwise_fold(), flawed(strip(2001, 6000)), "OverFlaw", 1);
}

mod hostile {
    use super::*;
    use proptest::prelude::*;

    fn number() -> impl Strategy<Value = i64> {
        prop_oneof![Just(i64::MIN), Just(i64::MAX), Just(0), -10_000_001i64..=10_000_001, any::<i64>()]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(500))]

        #[test]
        fn numbers_of_any_size_do_no_harm(
            which in 0usize..11,
            numbers in prop::collection::vec(number(), 8),
            yields in any::<u32>(),
        ) {
            let (_, mut job, mut marker) = invented::good_markers().swap_remove(which);
            job.spacing = Length::from_grid(numbers[0].clamp(0, 10_000_000));
            job.cloths[0].flaws = vec![spot(300, 300, 20), Flaw::Area(Polygon::rectangle(500, 10_000_000))];
            let section = &mut marker.spread.sections[0];
            section.start = Length::from_grid(numbers[1]);
            section.length = Length::from_grid(numbers[2]);
            section.width = Length::from_grid(numbers[3]);
            section.bands[0].low = numbers[4];
            section.bands[0].high = numbers[5];
            marker.placements[0].position = Point::new(numbers[6], numbers[7]);
            marker.placements[1].yields = yields;
            let violations = check(&job, &marker).expect_err("nothing is right any more");
            prop_assert!(!listed(&violations).is_empty());
        }
    }
}
