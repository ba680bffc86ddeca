//! Comparisons of small jobs: what is lent passes the check where it is lent to, and lengths never grow with the width.

use super::*;
use crate::cloth::{Cloth, Flaw, Nap};
use crate::geometry::{Point, Polygon};
use crate::invented::{self, mm};
use crate::job::Job;
use crate::length::Unit;
use crate::remnant::Remnant;
use crate::search::{Continue, Settings};
use crate::spread::{Family, Kind};

fn settings(rounds: u64) -> Settings {
    Settings { rounds: Some(rounds), ..Settings::default() }
}

fn widths(all: &[i64]) -> Vec<Width> {
    all.iter().map(|&w| Width { length: mm(w), unit: Unit::Cm }).collect()
}

fn compared(job: &Job, axes: &Axes, rounds: u64) -> Comparison {
    let cases = axes.cases(job).expect("axes that fit the job");
    compare(cases, &settings(rounds), &mut |_| Continue::Yes)
}

fn garment() -> Job {
    invented::job(&["back", "front", "cuff", "yoke", "pocket"], invented::cloth())
}

/// Every marker of every kind, laid on cloth that is wider by this and that, passes the check there as it stands.
#[test]
fn a_wider_cloth_holds_every_marker_of_a_narrower_one() {
    let mut families = Vec::new();
    for (name, job, marker) in invented::good_markers() {
        let k = job.cloths.iter().position(|c| c.kind == marker.cloth).expect("its cloth");
        for more in [0, 2, 100, 9_999, 55_500] {
            let mut job = job.clone();
            let width = crate::length::Length::from_grid(job.cloths[k].width.grid() + more);
            job.cloths[k] = Cloth { width, ..job.cloths[k].clone() };
            let laid = lend::laid_on(&job, &job.cloths[k], &marker);
            let laid = laid.unwrap_or_else(|| panic!("{name}, wider by {more}"));
            assert_eq!(laid.marker().spread.cloth_length(), marker.spread.cloth_length(), "{name}");
        }
        let mut narrower = job.clone();
        narrower.cloths[k].width = mm(100);
        assert!(
            lend::laid_on(&narrower, &narrower.cloths[k], &marker).is_none(),
            "{name}: it does not shrink"
        );
        families.extend(marker.spread.sections.iter().map(|s| s.family));
    }
    for family in Family::ALL {
        assert!(families.contains(&family), "{family:?} is tried");
    }
}

#[test]
fn cloth_without_nap_holds_every_marker_with_nap() {
    let mut tried = 0;
    for (name, mut job, marker) in invented::good_markers() {
        let k = job.cloths.iter().position(|c| c.kind == marker.cloth).expect("its cloth");
        job.cloths[k].nap = Nap::OneWay;
        if crate::check::check(&job, &marker).is_err() {
            continue;
        }
        job.cloths[k].nap = Nap::None;
        assert!(lend::laid_on(&job, &job.cloths[k], &marker).is_some(), "{name}");
        tried += 1;
    }
    assert!(tried > 3, "only {tried} markers with nap");
}

/// On a tube what lies on the far fold moves out with it, and takes along what it would run over.
#[test]
fn on_a_wider_tube_nothing_is_run_over() {
    let axes = Axes { cloth: "self".to_owned(), widths: widths(&[500, 560, 640]), ..Axes::default() };
    let job = invented::job(&["back", "front", "yoke"], invented::tube());
    let comparison = compared(&job, &axes, 3);
    let kind = Kind::Whole(Family::Tubular);
    let lays: Vec<_> = comparison
        .columns
        .iter()
        .map(|column| {
            column.report.lines.iter().find(|l| l.kind == kind).and_then(|l| l.lay()).expect("a lay")
        })
        .collect();
    for pair in lays.windows(2) {
        assert!(pair[1].purchase.lay <= pair[0].purchase.lay);
    }
    let narrow = &comparison.columns[0];
    let on_folds = narrow.report.lines.iter().find(|l| l.kind == kind).and_then(|l| l.lay()).expect("a lay");
    for column in &comparison.columns[1..] {
        let marker = on_folds.checked.marker();
        assert!(
            lend::laid_on(&column.case.job, column.case.cloth(), marker).is_some(),
            "{}",
            column.case.title()
        );
    }
}

#[test]
fn more_width_and_no_nap_never_take_more_and_single_thickness_never_more_than_a_fold() {
    let axes = Axes {
        cloth: "self".to_owned(),
        widths: widths(&[1500, 800, 1100]),
        naps: vec![Nap::OneWay, Nap::None],
        ..Axes::default()
    };
    let comparison = compared(&garment(), &axes, 5);
    let titles: Vec<String> = comparison.columns.iter().map(|c| c.case.title()).collect();
    assert_eq!(
        titles,
        [
            "80 cm, no nap",
            "110 cm, no nap",
            "150 cm, no nap",
            "80 cm, with nap",
            "110 cm, with nap",
            "150 cm, with nap"
        ]
    );
    let cloth = |column: usize, k: usize| {
        comparison.columns[column].report.lines[k].lay().map(|lay| lay.purchase.cloth_in_lay)
    };
    let mut compared = 0;
    for k in 0..Kind::ALL.len() {
        for (narrow, wide) in [(0, 1), (1, 2), (3, 4), (4, 5), (3, 0), (4, 1), (5, 2)] {
            if let (Some(narrow), Some(wide)) = (cloth(narrow, k), cloth(wide, k)) {
                assert!(wide <= narrow, "{}: {wide} and {narrow}", Kind::ALL[k].title());
                compared += 1;
            }
        }
        for column in 0..6 {
            if let (Some(single), Some(other)) = (cloth(column, 0), cloth(column, k)) {
                assert!(single <= other, "{}: {other} and single {single}", Kind::ALL[k].title());
            }
        }
    }
    assert!(compared > 20, "{compared}");
    assert!(comparison.is_met());
    for column in &comparison.columns {
        let best = column.report.winner().expect("a winner");
        let marks: Vec<Marks> = column.laid().map(|(.., marks)| marks).collect();
        assert_eq!(marks.iter().filter(|m| m.shortest).count(), 1);
        assert_eq!(marks.iter().filter(|m| m.easiest).count(), 1);
        assert_eq!(marks.iter().filter(|m| m.trade).count(), 1);
        for (_, line, lay, marks) in column.laid() {
            assert!(best.purchase.to_buy <= lay.purchase.to_buy);
            if marks.trade {
                assert!(lay.purchase.steps <= best.purchase.steps + 1, "{}", line.kind.title());
            }
            if marks.easiest {
                assert!(column.laid().all(|(_, _, other, _)| lay.handling.compare(&other.handling).is_le()));
            }
        }
    }
    let costs = comparison.nap_costs();
    assert_eq!(costs.iter().map(|c| c.columns).collect::<Vec<_>>(), [[0, 3], [1, 4], [2, 5]]);
    for cost in costs {
        let [without, with] = cost.columns.map(|c| &comparison.columns[c].report);
        let to_buy = |r: &crate::report::ClothReport| r.winner().expect("a winner").purchase.to_buy.grid();
        assert_eq!(cost.more_to_buy, to_buy(with) - to_buy(without));
        assert!(cost.more_to_buy >= 0 && cost.more_cloth >= 0, "nap never saves cloth");
    }
}

#[test]
fn the_same_rounds_give_the_same_comparison_and_no_more_are_done() {
    let axes = Axes { cloth: "self".to_owned(), widths: widths(&[800, 1100]), ..Axes::default() };
    let job = garment();
    let mut asked = 0;
    let once = compare(axes.cases(&job).expect("cases"), &settings(6), &mut |progress| {
        asked += 1;
        assert_eq!(progress.rounds, asked);
        Continue::Yes
    });
    assert!(once.rounds <= 12 && once.rounds == asked, "{} rounds", once.rounds);
    let again = compared(&job, &axes, 6);
    assert_eq!((once.text(), once.csv(), once.json()), (again.text(), again.csv(), again.json()));
    let stopped = compare(axes.cases(&job).expect("cases"), &settings(6), &mut |_| Continue::Stop);
    assert_eq!((stopped.rounds, stopped.stopped), (1, crate::answer::StopReason::Observer));
    assert!(stopped.is_met(), "every column has its first lays");
}

#[test]
fn views_and_sizes_are_laid_each_for_itself() {
    let job = garment();
    let sizes = job.style.sizes.clone();
    let axes = Axes { cloth: "self".to_owned(), sizes: Pick::All, ..Axes::default() };
    let cases = axes.cases(&job).expect("cases");
    assert_eq!(cases.len(), sizes.len());
    for (case, size) in cases.iter().zip(&sizes) {
        assert_eq!(case.size.as_ref(), Some(size));
        assert!(!case.job.wants("self").is_empty());
        assert!(case.job.wants("self").iter().all(|want| job.style.sizes[want.size] == *size));
    }
    let ordered = job.order[0].size;
    for (s, case) in cases.iter().enumerate() {
        let garments: u32 = case.job.order.iter().map(|line| line.garments).sum();
        let due = job.order.iter().filter(|l| l.size == s).map(|l| l.garments).sum::<u32>().max(1);
        assert_eq!(garments, due, "as ordered, or one");
    }
    assert!(ordered < sizes.len());
    // Those of one size lend nothing to those of another.
    assert!(!cases[0].can_hold(&cases[1]) && cases[0].can_hold(&cases[0]));
}

#[test]
fn what_cannot_be_compared_is_said() {
    let job = garment();
    let fault = |axes: Axes| axes.cases(&job).expect_err("a fault").to_string();
    let base = || Axes { cloth: "self".to_owned(), ..Axes::default() };
    assert!(
        fault(Axes { cloth: "lace".to_owned(), ..base() })
            .contains("no cloth of the kind \"lace\"; it has self")
    );
    let named = |name: &str| Pick::Named(vec![name.to_owned()]);
    assert!(fault(Axes { views: named("long"), ..base() }).contains("no view \"long\"; it has"));
    assert!(fault(Axes { sizes: named("99"), ..base() }).contains("no size \"99\"; it has"));
    assert!(fault(Axes { widths: widths(&[5]), ..base() }).contains("nothing between the selvages"));
    let many: Vec<i64> = (800..1001).collect();
    assert!(fault(Axes { widths: widths(&many), ..base() }).contains("201 combinations"));
}

#[test]
fn every_cell_is_told_in_every_form() {
    let axes = Axes {
        cloth: "self".to_owned(),
        widths: widths(&[800, 1100]),
        naps: vec![Nap::None, Nap::OneWay],
        ..Axes::default()
    };
    let comparison = compared(&garment(), &axes, 2);
    let cells: usize = comparison.columns.iter().map(|c| c.report.lines.len()).sum();
    assert_eq!(cells, 32);

    let csv = comparison.csv();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    let at = |name: &str| heads.iter().position(|h| h == name).expect("a head");
    let rows: Vec<csv::StringRecord> =
        reader.records().map(|r| r.expect("as many fields as heads")).collect();
    assert_eq!(rows.len(), cells);

    let json: serde_json::Value = serde_json::from_str(&comparison.json()).expect("JSON");
    let validator = jsonschema::validator_for(&json::schema()).expect("a schema");
    assert!(validator.is_valid(&json));
    let text = comparison.text();
    let page = comparison.html();
    let in_one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut row = rows.iter();
    for (c, column) in comparison.columns.iter().enumerate() {
        let why = column.why().expect("a winner");
        assert_eq!(json["columns"][c]["why"], why);
        assert!(in_one_line.contains(&why) && page.contains(&why), "{why}");
        for (k, line) in column.report.lines.iter().enumerate() {
            let row = row.next().expect("a row");
            let cell = &json["columns"][c]["cells"][k];
            match line.lay() {
                Some(lay) => {
                    let to_buy = lay.purchase.to_buy.mm();
                    assert_eq!(row[at("to_buy_mm")].parse::<f64>(), Ok(to_buy));
                    assert_eq!(cell["summary"]["to_buy_mm"].as_f64(), Some(to_buy));
                    assert_eq!(cell["summary"]["purchase"]["steps"].as_i64(), Some(lay.purchase.steps));
                    assert!(text.contains(&lay.purchase.to_buy_text()));
                    assert_eq!(row[at("refused")].len(), 0);
                }
                None => {
                    let refused = cell["refused"].as_str().expect("a reason");
                    assert_eq!(&row[at("refused")], refused);
                    let first = refused.split_whitespace().next().expect("words");
                    assert!(text.contains(first), "{refused}");
                }
            }
        }
    }
    assert!(text.lines().all(|line| line.chars().count() <= 110), "{text}");
    assert_eq!(text.matches("The cost of nap on").count(), 2);
}

/// A fault of the weave, as large as a hand, in the middle of where a piece lies.
fn flaw_under(job: &Job, marker: &crate::marker::Marker) -> Flaw {
    let placed = &marker.placements[0];
    let shape = job.style.shape(placed.piece, placed.size);
    let bounds = placed.outline(shape).bounds();
    let end = job.cloths[0].end_allowance.grid();
    let middle = Point::new((bounds.low.x + bounds.high.x) / 2 + end, (bounds.low.y + bounds.high.y) / 2);
    Flaw::Spot { centre: middle, radius: 3000 }
}

#[test]
fn a_marker_is_not_lent_to_cloth_where_it_lies_on_a_flaw() {
    let (_, mut job, marker) = invented::single();
    assert!(lend::laid_on(&job, &job.cloths[0], &marker).is_some());
    job.cloths[0].flaws = vec![flaw_under(&job, &marker)];
    assert!(lend::laid_on(&job, &job.cloths[0], &marker).is_none());
    // Beside the pieces it is in nobody's way.
    job.cloths[0].flaws = vec![Flaw::Spot { centre: Point::new(300_000, 70_000), radius: 3000 }];
    assert!(lend::laid_on(&job, &job.cloths[0], &marker).is_some());
}

#[test]
fn flaws_are_kept_clear_on_the_width_they_lie_on() {
    let widths_compared = widths(&[800, 1100, 1300]);
    let axes = |widths: &[Width]| Axes {
        cloth: "self".to_owned(),
        widths: widths.to_vec(),
        naps: vec![Nap::None, Nap::OneWay],
        ..Axes::default()
    };
    let mut job = garment();
    job.cloths[0].width = mm(1100);
    // Across most of the cloth, where every shortest lay would have something.
    job.cloths[0].flaws =
        vec![Flaw::Area(Polygon::rectangle(4000, 70_000).shifted(Point::new(22_000, 20_000)))];
    let comparison = compared(&job, &axes(&widths_compared), 3);
    let mut kept = 0;
    for column in &comparison.columns {
        let own = column.case.width.length == mm(1100);
        assert_eq!(column.case.cloth().flaws.len(), usize::from(own), "{}", column.case.title());
        assert_eq!(column.report.withheld().count(), 0);
        for (_, line, lay, _) in column.laid().filter(|_| own) {
            // Judged by the job as it was described, at the nap of the column.
            let mut described = job.clone();
            described.cloths[0].nap = column.case.cloth().nap;
            let judged = crate::check::check(&described, lay.checked.marker());
            assert!(judged.is_ok(), "{}: {judged:?}", line.kind.title());
            kept += 1;
        }
    }
    assert!(kept >= 8, "{kept} cells on the cloth with the flaw");
    let [note] = &comparison.notes()[..] else { panic!("{:?}", comparison.notes()) };
    assert!(note.starts_with("Kept clear on 1100 mm, the cloth that the job describes: 1 flaw."), "{note}");
    assert!(note.contains("Cloth of 80 cm, 130 cm is other cloth"), "{note}");
    let told = comparison.text();
    assert!(told.contains("Kept clear on 1100 mm"), "{told}");
    let json: json::ComparisonFile = serde_json::from_str(&comparison.json()).expect("JSON");
    let kept: Vec<usize> = json.columns.iter().map(|column| column.flaws_kept_clear).collect();
    assert_eq!(kept, [0, 1, 0, 0, 1, 0]);
    assert_eq!(json.notes, comparison.notes());
    for (asked, says) in [
        (&widths_compared[1..2], "Kept clear in every cell: 1 flaw"),
        (&widths_compared[..1], "Left out: 1 flaw, on"),
    ] {
        let notes = compared(&job, &axes(asked), 1).notes();
        assert!(notes[0].starts_with(says), "{notes:?}");
    }
}

#[test]
fn each_cell_says_whether_the_cloth_in_hand_is_enough() {
    let mut job = garment();
    job.cloths[0].length_in_hand = Some(mm(880));
    let axes = Axes { cloth: "self".to_owned(), widths: widths(&[800, 1100, 1500]), ..Axes::default() };
    let comparison = compared(&job, &axes, 2);
    let text = comparison.text();
    assert!(text.contains("\nLeft of the cloth in hand, or missing, in millimetres\n"), "{text}");
    assert!(text.contains("as if so much of that width were in hand"), "{text}");
    let one_line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let csv = comparison.csv();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    let at = |name: &str| heads.iter().position(|h| h == name).expect("a head");
    let mut rows = reader.records().map(|r| r.expect("a row"));
    let json: json::ComparisonFile = serde_json::from_str(&comparison.json()).expect("JSON");
    let page = comparison.html();
    let (mut enough, mut short, mut proved, mut made_to_fit) = (0, 0, 0, 0);
    for (c, column) in comparison.columns.iter().enumerate() {
        for (k, line) in column.report.lines.iter().enumerate() {
            let row = rows.next().expect("a row");
            let cell = &json.columns[c].cells[k];
            let Some(lay) = line.lay() else {
                assert_eq!((column.in_hand(k), &cell.in_hand, &row[at("fits")]), (None, &None, ""));
                continue;
            };
            // 880 mm less 40 of ends and 50 to straighten leave 790 for the lay.
            let left = 790.0 - lay.purchase.cloth_in_lay.mm();
            let told = cell.in_hand.as_ref().expect("told");
            assert_eq!((told.have_mm, told.enough), (880.0, left >= 0.0));
            let figure =
                if told.enough { told.left_over_mm } else { told.missing_mm.map(|missing| -missing) };
            let figure = figure.expect("a figure");
            assert!((figure - left).abs() < 0.001, "{told:?}");
            assert_eq!(told.impossible, lay.bound.length > mm(790));
            let field = if told.enough { "left_over_mm" } else { "missing_mm" };
            assert_eq!(
                row[at(field)].parse::<f64>().map(|value| (value - left.abs()).abs() < 0.006),
                Ok(true)
            );
            assert_eq!(&row[at("fits")], if told.enough { "yes" } else { "no" });
            assert!(
                text.contains(format!("{left:+.2}{}", if told.impossible { "!" } else { " " }).trim_end()),
                "{left} in {text}"
            );
            // What is left out, and what the rest needs, on the same kind of spread.
            let without = column.without[k].as_ref();
            assert_eq!(without.is_some(), told.without.is_some());
            assert!(without.is_none() || !told.enough, "{told:?}");
            if let Some((own, told)) = without.zip(told.without.as_ref()) {
                assert!(told.needed_mm <= 880.0 && told.area_percent > 0.0, "{told:?}");
                assert!(crate::check::check(&own.job, own.checked.marker()).is_ok());
                assert!(own.answer.lines.iter().all(|own| own.kind == line.kind), "{:?}", line.kind);
                let pieces = own.told().join(", ");
                let says = format!("{}: leave out, or cut from other cloth, {pieces}:", line.kind.title());
                assert!(page.contains(&says), "{says}");
                assert!(one_line.contains(&format!("To make it fit on {says}")), "{says} in {text}");
                assert_eq!(&row[at("leave_out")], own.told().join("; "));
                assert_eq!(row[at("then_needed_mm")].parse::<f64>(), Ok(told.needed_mm));
                assert_eq!(row[at("left_out_percent")].parse::<f64>(), Ok(told.area_percent));
                assert_eq!(told.left_out.len(), own.left_out.len());
                made_to_fit += 1;
            }
            let words = if told.enough { "left" } else { "short" };
            // The figure itself: the difference taken here may fall on the other side of half a tenth.
            assert!(page.contains(&format!("{:.1} mm {words}", figure.abs())), "{figure}");
            enough += usize::from(told.enough);
            short += usize::from(!told.enough);
            proved += usize::from(told.impossible);
        }
        // What goes into the cloth in hand is ranked before what does not.
        let fits: Vec<bool> = column
            .report
            .ranking
            .iter()
            .filter_map(|&k| Some(column.in_hand(k)?.missing().is_none()))
            .collect();
        assert!(fits.is_sorted_by(|a, b| a >= b), "{fits:?}");
    }
    assert!(enough > 0 && short > 0 && proved > 0, "{enough} enough, {short} short, {proved} proved");
    assert_eq!(made_to_fit, short, "some of the pieces go in on every spread");
    // Nothing is said of it where nothing is in hand.
    let without = compared(&garment(), &axes, 1);
    assert!(!without.text().contains("in hand") && !without.html().contains("In hand"), "{}", without.text());
    assert!(without.notes().is_empty(), "{:?}", without.notes());
}

#[test]
fn a_comparison_is_about_the_roll() {
    let mut job = garment();
    let remnant = |name: &str| Remnant {
        name: name.to_owned(),
        outline: Polygon::rectangle(50_000, 60_000),
        flaws: Vec::new(),
    };
    job.cloths[0].remnants = vec![remnant("a"), remnant("b")];
    let comparison = compared(&job, &Axes { cloth: "self".to_owned(), ..Axes::default() }, 1);
    assert!(comparison.is_met());
    let [note] = &comparison.notes()[..] else { panic!("{:?}", comparison.notes()) };
    assert!(
        note.starts_with("The job cuts this cloth from 2 remnants; a comparison is about cloth off the roll"),
        "{note}"
    );
    assert!(comparison.html().contains("about cloth off the roll"));
}
