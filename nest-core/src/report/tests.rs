//! Reports of hand-made answers: figures, ranking, and what is said of those that lose.

use super::*;
use crate::answer::{BoundReason, Line};
use crate::invented::{self, mm};
use crate::length::Length;
use crate::marker::Marker;
use crate::spread::Family;

/// An answer with a marker for some families and refusals for the rest.
pub(super) fn answer(markers: &[(Family, &Marker, i64)]) -> Answer {
    let lines = Kind::ALL
        .into_iter()
        .map(|kind| Line {
            kind,
            result: match markers.iter().find(|(f, ..)| Kind::Whole(*f) == kind) {
                Some((_, marker, bound)) => Ok(Found {
                    marker: (*marker).clone(),
                    bound: Bound { length: mm(*bound), reason: BoundReason::Area },
                    origin: Origin::Annealing,
                    round: 3,
                }),
                None if kind == Kind::Whole(Family::Tubular) => {
                    Err(Refusal::ClothForm("this cloth is flat, not a tube"))
                }
                None => Err(Refusal::NoneFound),
            },
        })
        .collect();
    Answer { cloth: "self".to_owned(), lines, stopped: StopReason::Rounds, rounds: 5, evaluations: 1234 }
}

/// A job that fits single thickness and a lengthwise fold, and a marker of each.
pub(super) fn both_ways() -> (Job, Marker, Marker) {
    let (_, job, folded) = invented::lengthwise_fold();
    let (_, _, mut single) = invented::single();
    single.placements.retain(|p| p.piece != 2);
    (job, single, folded)
}

fn report_of(job: &Job, answer: Answer) -> Report {
    let report = Report::new(job, &[answer], &Settings::default());
    assert_eq!(report.withheld().count(), 0, "{}", report.text());
    report
}

#[test]
fn the_ranking_is_by_length_to_buy_then_handling_then_cloth() {
    let (mut job, mut single, mut folded) = both_ways();
    let first = |report: &Report| report.cloths[0].winning_line().expect("a winner").kind;
    let lines =
        |s: &Marker, f: &Marker| answer(&[(Family::Single, s, 500), (Family::LengthwiseFold, f, 500)]);
    // 620 against 900 mm of lay: the single needs less to buy.
    let report = report_of(&job, lines(&single, &folded));
    assert_eq!(first(&report), Family::Single.into());
    let cloth = &report.cloths[0];
    assert_eq!(cloth.winner().expect("a winner").purchase.to_buy, mm(800), "620 + 40 + 50 in steps of 100");
    assert_eq!(cloth.shortest_line().map(|l| l.kind), Some(Family::Single.into()));
    assert_eq!(
        cloth.easiest_line().map(|l| l.kind),
        Some(Family::Single.into()),
        "the fold costs 2 steps more"
    );
    // Sold by the metre both need one: the fold has fewer pieces to lay.
    job.cloths[0].sale.step = mm(1000);
    let report = report_of(&job, lines(&single, &folded));
    assert_eq!(first(&report), Family::LengthwiseFold.into());
    let cloth = &report.cloths[0];
    assert_eq!(cloth.shortest_line().map(|l| l.kind), Some(Family::Single.into()));
    assert_eq!(cloth.easiest_line().map(|l| l.kind), Some(Family::LengthwiseFold.into()));
    // One step more for the fold: it is named as the easiest.
    job.cloths[0].sale.step = mm(400);
    single.spread.sections[0].length = mm(700);
    folded.spread.sections[0].length = mm(920);
    let report = report_of(&job, lines(&single, &folded));
    assert_eq!(first(&report), Family::Single.into());
    assert_eq!(report.cloths[0].easiest_line().map(|l| l.kind), Some(Family::LengthwiseFold.into()));
    assert!(report.text().contains("Easiest"), "{}", report.text());
    // The same to buy and the same handling: the shorter wins.
    let mut longer = folded.clone();
    longer.spread.sections[0].length = mm(930);
    let report =
        report_of(&job, answer(&[(Family::Single, &longer, 1), (Family::LengthwiseFold, &folded, 1)]));
    assert_eq!(first(&report), Family::LengthwiseFold.into());
}

#[test]
fn figures_are_right_and_bounded() {
    for (name, job, marker) in invented::good_markers() {
        let family = marker.spread.sections[0].family;
        let report = report_of(&job, answer(&[(family, &marker, 100)]));
        let lay = report.cloths[0].winner().expect("a winner");
        let (of_cloth, of_usable) = (lay.efficiency.of_cloth(), lay.efficiency.of_usable());
        assert!(
            0.0 < of_cloth && of_cloth <= of_usable && of_usable <= 1.0,
            "{name}: {of_cloth}, {of_usable}"
        );
        let expected = 1.0 - 100.0 / lay.purchase.cloth_in_lay.mm();
        assert!((lay.gap() - expected).abs() < 1e-12, "{name}");
        assert!(lay.bound.length <= lay.purchase.cloth_in_lay, "{name}");
        assert_eq!(lay.handling.placements, marker.placements.len(), "{name}");
        assert!(report.is_met(), "{name}");
    }
}

#[test]
fn a_bound_that_is_reached_leaves_no_gap() {
    let (_, job, marker) = invented::tubular();
    let report = report_of(&job, answer(&[(Family::Tubular, &marker, 900)]));
    let lay = report.cloths[0].winner().expect("a winner");
    assert_eq!(lay.gap(), 0.0);
    assert!(report.text().contains("no shorter lay of this kind exists"));
    assert_eq!(report.cloths[0].least_cloth(), Some(mm(900)));
}

#[test]
fn handling_counts_what_hands_do() {
    let (_, job, marker) = invented::single();
    let h = Handling::of(&job, &marker);
    // Back and collar are opened out; a front and a yoke lie printed side down.
    assert_eq!((h.placements, h.opened_out, h.flipped, h.folds, h.refolds), (9, 2, 2, 0, 0));
    let (_, job, marker) = invented::turned_double();
    let h = Handling::of(&job, &marker);
    assert_eq!((h.flipped, h.folds), (0, 1), "on two plies either side gives the same pair");
    let front = &job.style.pieces[1].shapes["38"].outline;
    let mm = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let round_front = 580.0
        + mm((580.0, 0.0), (600.0, 90.0))
        + mm((600.0, 90.0), (420.0, 230.0))
        + mm((420.0, 230.0), (0.0, 250.0))
        + 250.0;
    assert_eq!(front.points().len(), 5);
    assert!(
        (h.cutting_mm - round_front - 580.0).abs() < 1e-9,
        "the front once round, a cuff of 200 by 90 once round"
    );
    // On the fold the fold edge is not cut: half the cut of the piece opened out.
    let (_, job, marker) = invented::slit_tube();
    let opened = Marker { placements: vec![marker.placements[0].clone()], ..marker.clone() };
    let (_, tube_job, tube) = invented::tubular();
    let on_fold = Marker { placements: vec![tube.placements[0].clone()], ..tube };
    let (opened, on_fold) = (Handling::of(&job, &opened), Handling::of(&tube_job, &on_fold));
    assert!((opened.cutting_mm - 2.0 * on_fold.cutting_mm).abs() < 1e-9);
    assert!(on_fold.compare(&opened).is_lt());
}

#[test]
fn a_marker_that_fails_the_check_is_withheld() {
    let (job, single, mut folded) = both_ways();
    folded.placements[4].position.y += 1;
    let answer = answer(&[(Family::Single, &single, 500), (Family::LengthwiseFold, &folded, 500)]);
    let report = Report::new(&job, &[answer], &Settings::default());
    let withheld: Vec<Kind> = report.withheld().map(|(_, kind, _)| kind).collect();
    assert_eq!(withheld, [Kind::Whole(Family::LengthwiseFold)]);
    assert_eq!(report.cloths[0].ranking.len(), 1);
    assert!(report.text().contains("withheld") && report.text().contains("0.01 mm from the nearest fold"));
}

#[test]
fn cloth_in_hand_decides_whether_the_job_is_met() {
    let (_, mut job, marker) = invented::tubular();
    let met = |job: &Job| {
        let report = report_of(job, answer(&[(Family::Tubular, &marker, 900)]));
        (report.is_met(), report.text())
    };
    job.cloths[0].length_in_hand = Some(mm(990));
    let (is_met, text) = met(&job);
    assert!(is_met && text.contains("990.0 mm: enough, 0.0 mm left over"), "{text}");
    job.cloths[0].length_in_hand = Some(Length::from_grid(98_999));
    let (is_met, text) = met(&job);
    assert!(!is_met && text.contains("too short by"), "{text}");
    let report = Report::new(&job, &[answer(&[])], &Settings::default());
    assert!(!report.is_met() && report.text().contains("No spread can take this job"));
}

#[test]
fn the_summary_for_a_person_has_every_figure() {
    let (job, single, folded) = both_ways();
    let answer = answer(&[(Family::Single, &single, 500), (Family::LengthwiseFold, &folded, 500)]);
    let text = report_of(&job, answer).text();
    assert!(text.lines().all(|l| l.chars().count() <= 118), "{text}");
    for wanted in [
        "trial",
        "Cloth \"self\": 1500.0 mm wide, no nap",
        "single thickness",
        "Single thickness is best: 0.20 m less to buy than with a lengthwise fold, the next best,",
        "620.0 mm",
        "+      40.0 mm  left beyond the lay, both ends together",
        "=     660.0 mm  cloth on the table",
        "+      50.0 mm  to straighten the ends",
        "=       0.80 m  to buy: the next whole number of steps of 0.10 m, 8",
        "500.0 mm of cloth, a gap of 19.4 %",
        "8 pieces to lay, 2 to open out, 2 to flip",
        "annealing, in round 3 of 5; all rounds done",
        "this cloth is flat, not a tube",
        "all 8 copies right",
        "Keep the cut-offs",
    ] {
        assert!(text.contains(wanted), "\"{wanted}\" in\n{text}");
    }
}

#[test]
fn what_the_search_finds_passes_the_check() {
    use crate::piece::Grain;
    use crate::search::{Silent, lay};

    let mut jobs: Vec<(String, Job)> =
        invented::good_markers().into_iter().map(|(name, job, _)| (name.to_owned(), job)).collect();
    // Odd pieces and pairs of the crosswise grain under nap: faces decide the turn.
    for (grain, name) in [(Grain::Crosswise, "crosswise"), (Grain::Either, "either")] {
        let mut job = invented::job(&["front", "pocket", "cuff", "yoke"], invented::napped());
        job.style.pieces.iter_mut().for_each(|p| p.grain = grain);
        jobs.push((format!("napped, {name}"), job));
    }
    // Cloth so narrow that pieces follow one on the crosswise fold.
    let mut narrow = invented::job(&["front", "cuff", "yoke", "collar"], invented::cloth());
    narrow.cloths[0].width = mm(350);
    jobs.push(("narrow, crosswise fold".to_owned(), narrow));
    // The same with clear space between the pieces.
    let spaced =
        |(name, job): &(String, Job)| (format!("{name}, spaced"), Job { spacing: mm(7), ..job.clone() });
    jobs.extend(jobs.iter().map(spaced).collect::<Vec<_>>());
    let settings = Settings { rounds: Some(1), lanes: 1, ..Settings::default() };
    let mut lays = 0;
    for (name, job) in jobs {
        let answer = lay(&job, &job.cloths[0], &settings, &mut Silent);
        let report = Report::new(&job, &[answer], &settings);
        let withheld: Vec<String> = report
            .withheld()
            .map(|(_, kind, violations)| format!("{}: {}", kind.title(), violations[0]))
            .collect();
        assert!(withheld.is_empty(), "{name}: {withheld:#?}");
        lays += report.cloths[0].ranking.len();
        let cloth = &report.cloths[0];
        let of = |f: Family| cloth.lines.iter().find(|l| l.kind == f.into()).and_then(LineReport::lay);
        if let (Some(single), Some(folded)) = (of(Family::Single), of(Family::LengthwiseFold)) {
            let (single, folded) = (single.purchase.cloth, folded.purchase.cloth);
            assert!(single <= folded, "{name}: opened out, the fold would be shorter: {single} and {folded}");
        }
    }
    assert!(lays > 60, "{lays}");
}

#[test]
fn pieces_that_interlock_on_both_folds_of_a_tube_are_spoken_of() {
    use crate::geometry::Turn;
    use crate::invented::{Put, band, down, section, up};
    use crate::marker::Form::{OpenedOut, Whole};
    use crate::spread::{BandEdge::CutEdge, Plies};
    let (_, job, tubular) = invented::tubular();
    let bands = vec![band((0, CutEdge), (1000, CutEdge), Plies::One)];
    let puts = [
        Put("back", OpenedOut, up(Turn::None), (0, 0), (0, 0)),
        Put("front", Whole, up(Turn::None), (0, 0), (0, 480)),
        Put("front", Whole, down(Turn::None), (0, 0), (0, 730)),
        Put("collar", OpenedOut, up(Turn::None), (0, 0), (600, 0)),
    ];
    let slit =
        |length| invented::marker(&job, vec![section(Family::Single, 1000, length, bands.clone())], &puts);
    let report = |length: i64, tube: &Marker| {
        let marker = slit(length);
        report_of(&job, answer(&[(Family::Single, &marker, 500), (Family::Tubular, tube, 500)]))
    };
    // 900 mm on the tube: 1000 slit open, and as much.
    let longer = report(1000, &tubular);
    assert!(longer.cloths[0].interlocked);
    assert!(longer.text().contains("slit open they need more length."), "{}", longer.text());
    let as_long = report(900, &tubular);
    assert!(!as_long.cloths[0].interlocked && !as_long.text().contains("interlock"), "{}", as_long.text());
    // With pieces on one fold only nothing interlocks.
    let mut near = tubular.clone();
    let collar = near.placements.last_mut().expect("the collar");
    collar.pose = up(Turn::None);
    collar.position = crate::geometry::Point::new(60_000, 0);
    let near = report(1000, &near);
    assert!(!near.cloths[0].interlocked, "{}", near.text());
}
