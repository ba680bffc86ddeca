//! The race as a whole on small jobs whose best lays are known.

use super::bottom_left::{fill, fill_large_first};
use super::plan::Plan;
use super::runner::{Effort, LONGER, ROUNDS, Runner};
use super::separate::{Lane, Role};
use super::stream::stream;
use super::task::{Lay, Task, Way};
use super::*;
use crate::answer::{Answer, BoundReason, Origin, StopReason};
use crate::check::check;
use crate::demand::Demands;
use crate::geometry::{Polygon, Turn};
use crate::invented::{self, cloth, mm, napped};
use crate::job::Job;
use crate::piece::{Grain, Piece};
use crate::spread::{Family, Kind, Refusal};

/// Name, how many to cut, a half or not, corners in millimetres.
type Drawn<'a> = (&'a str, u32, bool, &'a [(i64, i64)]);

/// A job of some pieces; a half lies with y = 0 on a fold.
fn job_of(pieces: &[Drawn<'_>], cloth: crate::cloth::Cloth) -> Job {
    let mut job = invented::job(&[], cloth);
    job.style.pieces = pieces
        .iter()
        .map(|&(name, cut, half, corners)| Piece {
            id: name.to_owned(),
            name: name.to_owned(),
            cloth: "self".to_owned(),
            cut,
            pairs: false,
            grain: Grain::Lengthwise,
            shapes: [("38".to_owned(), invented::shape(corners, half))].into(),
        })
        .collect();
    job.style.views[0].pieces = (0..pieces.len()).collect();
    job
}

fn run(job: &Job, rounds: u64) -> Answer {
    let settings = Settings { rounds: Some(rounds), ..Settings::default() };
    lay(job, &job.cloths[0], &settings, &mut Silent)
}

fn cloth_of(answer: &Answer, kind: Kind) -> Option<i64> {
    let line = answer.lines.iter().find(|line| line.kind == kind).expect("a line for every kind");
    Some(line.result.as_ref().ok()?.marker.spread.cloth_length().grid())
}

/// Works until the lane's best is no longer than `length`, but not for ever; the best.
fn best_of_lane(task: &Task, start: Lay, length: i64) -> Lay {
    let mut lane = Lane::new(task, start, Role::Keeper, stream(1, 0, 0, 1));
    for _ in 0..100 {
        lane.run(50_000);
        if lane.best().length <= length {
            break;
        }
    }
    lane.best().clone()
}

#[test]
fn a_lane_finds_the_depth_of_a_fold_from_a_worse_one() {
    // Beside a folded pair two bars lie abreast, 600 long, where the fold is hardly deeper than the pair is wide. From 500 deep
    // what is single holds one bar across; no two of these are each other's images, so that the fold holds none.
    let mut job = job_of(
        &[
            ("panel", 2, false, &[(0, 0), (600, 0), (600, 300), (10, 300)]),
            ("bar", 2, false, &[(0, 0), (600, 0), (600, 400), (10, 400)]),
        ],
        cloth(),
    );
    job.style.pieces[0].pairs = true;
    let demands = Demands::new(&job, &job.cloths[0]);
    let demand = demands.whole(Family::OffCentreFold).as_ref().expect("it serves");
    let plan = Plan::large_first(&demand.task, vec![[mm(500).grid(), 0]]).expect("every piece fits across");
    let (start, _) = fill(&demand.task, &plan).expect("a lay");
    assert!(start.length > 110_000, "{}", start.length);
    let best = best_of_lane(&demand.task, start, 60_000);
    assert_eq!(best.length, 60_000);
    let deep = best.extents[0].depths[0];
    assert!((mm(300).grid()..mm(350).grid()).contains(&deep), "{deep}");
}

#[test]
fn a_lane_lays_an_item_in_another_way_where_that_is_shorter() {
    let slab = |width, height| (Polygon::rectangle(width, height), 1, vec![Turn::None]);
    let mut task = Task::board(10_000, &[slab(10_000, 6_000), slab(8_000, 10_000)]);
    let parts = [0, 1].map(|item| task.items[item].ways[0].parts[0].clone());
    // Either two of the one, or one of the other.
    task.items.truncate(1);
    task.items[0].ways =
        vec![Way { parts: vec![parts[0].clone(); 2] }, Way { parts: vec![parts[1].clone()] }];
    task.flexible = true;
    let start = fill_large_first(&task).expect("every piece fits across");
    assert_eq!((start.length, start.ways[0]), (20_000, 0));
    let best = best_of_lane(&task, start, 8_000);
    assert_eq!((best.length, best.ways[0]), (8_000, 1));
}

/// A half as wide as the folded cloth, and a lopsided piece as wide as the open cloth: no one fold takes both.
fn half_and_odd() -> Job {
    job_of(
        &[
            ("back", 1, true, &[(0, 0), (600, 0), (600, 740), (0, 740)]),
            ("drape", 1, false, &[(0, 0), (300, 0), (300, 1480), (0, 1400)]),
        ],
        napped(),
    )
}

#[test]
fn a_fold_then_a_single_ply_takes_what_no_fold_does() {
    let job = half_and_odd();
    let answer = run(&job, 8);
    for line in &answer.lines {
        match line.kind {
            Kind::Sections | Kind::Whole(Family::Single) => {}
            kind => assert!(line.result.is_err(), "{}", kind.title()),
        }
    }
    let line = answer.lines.last().expect("sections come last");
    let marker = &line.result.as_ref().expect("sections serve").marker;
    assert_eq!(marker.spread.cloth_length(), mm(900), "600 on the fold and 300 opened out");
    let families: Vec<Family> = marker.spread.sections.iter().map(|s| s.family).collect();
    assert_eq!(families, [Family::LengthwiseFold, Family::Single]);
    check(&job, marker).unwrap_or_else(|v| panic!("{v:?}"));
    assert_eq!(cloth_of(&answer, Kind::Whole(Family::Single)), Some(90_000));
    // Half of 148 000 by 60 000 twice, and the drape of 30 000 by 144 000 on average, over 148 000: 60 000 + 29 189.2.
    let bound = &line.result.as_ref().expect("sections serve").bound;
    assert!(bound.length.grid() >= 89_190, "{bound:?}");
    assert!(!matches!(bound.reason, BoundReason::LongestPiece(_)));
}

#[test]
fn sections_are_never_longer_than_the_best_fold_nor_single_thickness_than_sections() {
    for (name, job, _) in invented::good_markers() {
        let answer = run(&job, 3);
        let sections = cloth_of(&answer, Kind::Sections);
        let folds = answer
            .lines
            .iter()
            .filter(|line| !matches!(line.kind, Kind::Sections | Kind::Whole(Family::Single)));
        let shortest = folds.filter_map(|line| cloth_of(&answer, line.kind)).min();
        if let Some(shortest) = shortest {
            assert!(sections.is_some_and(|s| s <= shortest), "{name}: {sections:?} and {shortest}");
        }
        let tube = job.cloths[0].form == crate::cloth::ClothForm::Tube;
        if let (Some(single), Some(sections), false) =
            (cloth_of(&answer, Kind::Whole(Family::Single)), sections, tube)
        {
            assert!(single <= sections, "{name}: {single} and {sections}");
        }
        for line in &answer.lines {
            if let Ok(found) = &line.result {
                assert!(
                    found.bound.length <= found.marker.spread.cloth_length(),
                    "{name}, {}",
                    line.kind.title()
                );
                check(&job, &found.marker)
                    .unwrap_or_else(|v| panic!("{name}, {}: {}", line.kind.title(), v[0]));
            }
        }
    }
}

#[test]
fn two_folds_of_different_depth_may_follow_one_another() {
    // A half 640 wide leaves a single ply of 180 beside it, one 300 wide leaves 860; what lies there is odd.
    let job = job_of(
        &[
            ("front", 1, true, &[(0, 0), (800, 0), (800, 640), (0, 640)]),
            ("strip", 1, false, &[(0, 0), (800, 0), (790, 180), (0, 180)]),
            ("back", 1, true, &[(0, 0), (500, 0), (500, 300), (0, 300)]),
            ("panel", 1, false, &[(0, 0), (500, 0), (490, 860), (0, 860)]),
        ],
        napped(),
    );
    let answer = run(&job, 40);
    let sections = cloth_of(&answer, Kind::Sections).expect("sections serve");
    assert_eq!(sections, 130_000, "800 and 500");
    assert_eq!(cloth_of(&answer, Family::OffCentreFold.into()), None, "no one depth serves");
}

#[test]
fn what_is_not_asked_for_or_has_nothing_to_fold_is_refused() {
    let refusal = |job: &Job| {
        let answer = run(job, 1);
        answer.lines.last().expect("sections come last").result.as_ref().err().cloned()
    };
    let mut job = half_and_odd();
    job.spreads = vec![Kind::Whole(Family::Single)];
    assert_eq!(refusal(&job), Some(Refusal::NotAsked));
    let odd: &[(i64, i64)] = &[(0, 0), (300, 0), (300, 500), (0, 400)];
    assert_eq!(refusal(&job_of(&[("odd", 1, false, odd)], cloth())), Some(Refusal::NothingToFold));
    let wide: &[(i64, i64)] = &[(0, 0), (300, 0), (300, 1481), (0, 400)];
    let why = refusal(&job_of(&[("wide", 1, false, wide)], cloth()));
    assert!(matches!(why, Some(Refusal::TooWide { .. })), "{why:?}");
    let mut job = half_and_odd();
    job.spreads = vec![Kind::Sections];
    let answer = run(&job, 2);
    assert_eq!(cloth_of(&answer, Kind::Sections), Some(90_000), "alone");
    assert_eq!(answer.stopped, StopReason::Rounds);
}

#[test]
fn a_search_ends_when_the_shortest_is_proved_and_no_other_can_cost_as_little() {
    // Three strips abreast, none the image of another, and the pair above them fill single thickness: 600, as long as a strip.
    // On a fold the pair takes a band that leaves room for two, whatever is tried; but no bound of a fold off centre knows of
    // that.
    let mut job = job_of(
        &[
            ("strip", 3, false, &[(0, 0), (600, 0), (600, 400), (10, 400)]),
            ("pocket", 2, false, &[(0, 0), (200, 0), (200, 200), (0, 200)]),
        ],
        cloth(),
    );
    job.style.pieces[1].pairs = true;
    let (single, fold) = (Kind::Whole(Family::Single), Kind::Whole(Family::OffCentreFold));
    job.spreads = vec![single, fold];
    let rounds = 6;
    let answer = run(&job, rounds);
    assert_eq!(cloth_of(&answer, single), Some(60_000));
    assert!(cloth_of(&answer, fold).is_some_and(|cloth| cloth > 110_000), "{:?}", cloth_of(&answer, fold));
    // On the fold there is a piece less to lay: it would win if it took no more steps.
    assert_eq!((answer.stopped, answer.rounds), (StopReason::Rounds, rounds));
    // Where it cannot come to less than its own, nothing is left to find: of long steps it needs as few already.
    job.cloths[0].sale.step = mm(5000);
    let answer = run(&job, rounds);
    assert_eq!(
        (cloth_of(&answer, single), answer.stopped, answer.rounds),
        (Some(60_000), StopReason::Optimal, 0)
    );
    // Cloth in hand that is too short for it is another reason to go on.
    job.cloths[0].length_in_hand = Some(mm(1000));
    assert_eq!(run(&job, rounds).stopped, StopReason::Rounds);
}

#[test]
fn clear_space_is_kept_across_a_cut() {
    let mut job = half_and_odd();
    job.style.pieces[0]
        .shapes
        .insert("38".to_owned(), invented::shape(&[(0, 0), (600, 0), (600, 700), (0, 700)], true));
    job.style.pieces[1]
        .shapes
        .insert("38".to_owned(), invented::shape(&[(0, 0), (300, 0), (300, 1400), (0, 1300)], false));
    job.spacing = mm(10);
    let answer = run(&job, 2);
    let found = answer.lines.last().expect("sections come last").result.as_ref().expect("they serve");
    check(&job, &found.marker).unwrap_or_else(|v| panic!("{}", v[0]));
    let cloth = found.marker.spread.cloth_length().grid();
    // Clearances are rounded outward by a few hundredths.
    assert!((91_000..91_020).contains(&cloth), "{cloth}");
}

#[test]
fn the_same_rounds_give_the_same_answer_on_any_number_of_threads() {
    let job = invented::single().1;
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let answer = pool.install(|| run(&job, 12));
        let lines = answer.lines.into_iter().map(|line| line.result.map(|found| found.marker));
        (lines.collect::<Vec<_>>(), answer.evaluations)
    };
    let one = on(1);
    assert_eq!(one, on(2));
    assert_eq!(one, on(5));
}

/// Flaws here and there, on every ply of every fold.
fn flaws() -> Vec<crate::cloth::Flaw> {
    use crate::cloth::Flaw;
    use crate::geometry::{Point, Polygon};
    let spot = |x: i64, y: i64, r: i64| Flaw::Spot { centre: Point::new(100 * x, 100 * y), radius: 100 * r };
    let slub = Polygon::rectangle(1000, 40_000).shifted(Point::new(90_000, 60_000));
    vec![spot(150, 200, 25), spot(420, 700, 40), spot(333, 1111, 15), spot(700, 1400, 60), Flaw::Area(slub)]
}

#[test]
fn flaws_are_avoided_on_every_kind_of_spread() {
    let (mut lays, mut longer) = (0, 0);
    for (name, mut job, _) in invented::good_markers() {
        let before = run(&job, 2);
        job.cloths[0].flaws = flaws();
        for spacing in [0, 4] {
            job.spacing = mm(spacing);
            let answer = run(&job, 2);
            for line in &answer.lines {
                let Ok(found) = &line.result else { continue };
                let title = line.kind.title();
                check(&job, &found.marker)
                    .unwrap_or_else(|v| panic!("{name}, {title}, spacing {spacing}: {}", v[0]));
                lays += 1;
                let clean = cloth_of(&before, line.kind);
                longer += usize::from(clean.is_some_and(|c| c < found.marker.spread.cloth_length().grid()));
            }
            assert_eq!(
                before.lines.iter().filter(|l| l.result.is_ok()).count(),
                answer.lines.iter().filter(|l| l.result.is_ok()).count(),
                "{name}: flaws make a lay longer, never impossible"
            );
        }
    }
    assert!(lays > 80 && longer > 20, "{lays}, {longer} of them longer for it");
}

#[test]
fn a_flaw_in_the_way_costs_what_must_be_skipped() {
    // Bars as wide as the cloth, two of 300: the flaw from 320 to 330 falls into the second, which moves past it.
    let bar: &[(i64, i64)] = &[(0, 0), (300, 0), (300, 1480), (0, 1480)];
    let mut job = job_of(&[("bar", 2, false, bar)], napped());
    job.spreads = vec![Family::Single.into()];
    let flaw = Polygon::rectangle(1000, 500).shifted(crate::geometry::Point::new(34_000, 70_000));
    job.cloths[0].flaws = vec![crate::cloth::Flaw::Area(flaw)];
    assert_eq!(cloth_of(&run(&job, 2), Family::Single.into()), Some(63_000), "300, then from 330 to 630");
    // Double and cut at L, the flaw falls on the upper ply from 320 − L to 330 − L as long as that is on it; the bar goes
    // past it when 330 − L + 300 is at most L.
    job.spreads = vec![Family::TurnedDouble.into()];
    let turned = cloth_of(&run(&job, 8), Family::TurnedDouble.into()).expect("a lay");
    assert!((63_000..64_000).contains(&turned), "{turned}");
}

#[test]
fn a_lay_whose_fills_take_long_is_separated_without_annealing() {
    // Places for a piece are looked for among all others, unless one like it has been laid: so no two are alike.
    let hook = |k: i64| [(0, 0), (200 + k, 0), (200 + k, 45), (60, 55 + k), (50, 150), (0, 125 - k)];
    let hooks: Vec<_> = (0..60).map(|k| (format!("tab {k}"), hook(k))).collect();
    let origin = |kinds: usize| {
        let pieces: Vec<_> =
            hooks[..kinds].iter().map(|(name, ring)| (name.as_str(), 2, false, &ring[..])).collect();
        let mut job = job_of(&pieces, cloth());
        job.spreads = vec![Family::Single.into()];
        let answer = run(&job, 1);
        let found = answer.lines[0].result.as_ref().expect("a lay");
        check(&job, &found.marker).unwrap_or_else(|v| panic!("{kinds}: {}", v[0]));
        found.origin
    };
    assert_ne!(origin(3), Origin::Separation, "the first rounds anneal");
    assert_eq!(origin(60), Origin::Separation);
}

#[test]
fn the_first_lane_anneals_for_fewer_rounds_than_the_others() {
    let slab = |k: i64| [(0, 0), (200 + 9 * k, 0), (200 + 9 * k, 90 + k), (0, 90 + k)];
    let slabs: Vec<_> = (0..18).map(|k| (format!("slab {k}"), slab(k))).collect();
    let pieces: Vec<_> = slabs.iter().map(|(name, ring)| (name.as_str(), 1, false, &ring[..])).collect();
    let job = job_of(&pieces, cloth());
    let demands = Demands::new(&job, &job.cloths[0]);
    let demand = demands.whole(Family::Single).as_ref().expect("single thickness serves");
    let effort = Effort { first: 1_000, annealing: 100_000, ..Effort::BRIEF };
    let settings = Settings { lanes: 3, ..Settings::default() };
    let mut runner = Runner::new(0, demand, &settings, effort).expect("a lay");
    for round in 0..=ROUNDS * LONGER {
        let others = round < ROUNDS * LONGER;
        assert_eq!(runner.annealing(), [round < ROUNDS, others, others], "after {round} rounds");
        runner.work();
        runner.share(round);
    }
}

#[test]
fn with_spacing_a_lay_takes_the_cloth_of_its_marker() {
    let mut job = job_of(
        &[
            ("tab", 7, false, &[(0, 0), (300, 0), (260, 140), (0, 170)]),
            ("slab", 3, false, &[(0, 0), (640, 0), (640, 300), (0, 300)]),
        ],
        cloth(),
    );
    job.spacing = mm(7);
    job.spreads = vec![Family::Single.into()];
    let demands = Demands::new(&job, &job.cloths[0]);
    let demand = demands.whole(Family::Single).as_ref().expect("single thickness serves");
    let mut runner = Runner::new(0, demand, &Settings::default(), Effort::BRIEF).expect("a lay");
    let first = runner.cloth();
    for round in 1..=8 {
        runner.work();
        runner.share(round);
        let marker = demand.marker(runner.best());
        assert_eq!(runner.cloth(), marker.spread.cloth_length().grid(), "after {round} rounds");
    }
    runner.compact();
    assert_eq!(runner.cloth(), demand.marker(runner.best()).spread.cloth_length().grid());
    assert!(runner.cloth() < first && runner.cloth() < runner.best().length, "outlines are let out");
}

#[test]
fn fewer_fold_depths_are_tried_for_a_first_lay_whose_fills_are_long() {
    let mut tried = 0;
    for (_, job, _) in invented::good_markers() {
        let demands = Demands::new(&job, &job.cloths[0]);
        let demand = demands.whole(Family::OffCentreFold).as_ref();
        let Some(demand) = demand.ok().filter(|demand| demand.task.room.freedom() > 0) else { continue };
        // A fill of ten pieces tests some hundred positions: far more than ten times the one effort, far less than the other.
        let began = |first| {
            let effort = Effort { first, annealing: 0, ..Effort::BRIEF };
            Runner::new(0, demand, &Settings::default(), effort).map(|runner| runner.began())
        };
        let (Some(once), Some(often)) = (began(1), began(10_000)) else { continue };
        assert!(once > 10 && often > 3 * once, "{once} and {often} positions tested");
        tried += 1;
    }
    assert!(tried > 0, "an off-centre fold serves one of the jobs at least");
}

#[test]
fn many_garments_lie_in_groups_on_every_kind_of_spread() {
    let mut grouped: Vec<Family> = Vec::new();
    for (name, mut job, _) in invented::good_markers() {
        // Few pieces make a garment on the tube.
        let many = if job.cloths[0].form == crate::cloth::ClothForm::Tube { 40 } else { 12 };
        job.order.iter_mut().for_each(|line| line.garments *= many);
        let demands = Demands::new(&job, &job.cloths[0]);
        for family in Family::ALL {
            let Ok(demand) = demands.whole(family) else { continue };
            let runner = Runner::new(0, demand, &Settings::default(), Effort::BRIEF);
            if runner.is_some_and(|runner| runner.begins_with_groups()) {
                grouped.push(family);
            }
        }
        for line in run(&job, 2).lines {
            let Ok(found) = line.result else { continue };
            check(&job, &found.marker).unwrap_or_else(|v| panic!("{name}, {}: {}", line.kind.title(), v[0]));
        }
    }
    // Halves may lie on a crosswise fold, which is at one end only.
    for family in Family::ALL.into_iter().filter(|&family| family != Family::CrosswiseFold) {
        assert!(grouped.contains(&family), "{family:?} has groups in none of the jobs");
    }
}
