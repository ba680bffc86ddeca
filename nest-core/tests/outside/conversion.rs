//! How the length of a garment changes with the width of the cloth, against the chart in which sewers look that up.
//!
//! The chart is the fabric width conversion chart of the extension services, as printed at sewwithsarah.com ("fabric
//! conversion chart") and, without its last column, at hookedonsewing.com ("yardage chart"); the cells used here agree in
//! both. It tells how much to buy, in eighths of a yard, and is a rule of thumb: it knows no garment, and its own figures
//! stray by some 9 % from constant area. So single garments may well deviate, and the means may not.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;

use nest_core::compare::{Axes, Comparison, Width, compare};
use nest_core::job::Job;
use nest_core::length::{Length, Unit};
use nest_core::purchase::Purchase;
use nest_core::search::{Continue, Settings};

/// Widths in centimetres, and the columns of the chart, in inches, whose cloth they are.
const WIDTHS: [(i64, &str); 4] = [(90, "35-36"), (115, "44-45"), (140, "52-54"), (150, "58-60")];

/// Middles of those columns, in inches.
const MIDDLES: [f64; 4] = [35.5, 44.5, 53.0, 59.0];

/// The twelve rows of the chart in those columns, in eighths of a yard.
const CHART: [[u32; 4]; 12] = [
    [14, 11, 9, 8],
    [16, 13, 11, 10],
    [18, 14, 12, 11],
    [20, 17, 14, 13],
    [23, 18, 15, 14],
    [25, 20, 16, 15],
    [27, 22, 18, 16],
    [30, 23, 19, 18],
    [34, 25, 21, 19],
    [36, 27, 22, 21],
    [38, 29, 23, 22],
    [40, 31, 25, 23],
];

/// More rounds give a truer table: `NEST_CHART_ROUNDS=60 cargo test -p nest-core --test outside conversion`.
const ROUNDS: &str = "NEST_CHART_ROUNDS";

const EIGHTH_MM: f64 = 114.3;

/// Samples that can be laid on all four widths. The slip on the bias and the half circle are wider than 90 cm, which no
/// conversion changes, and a tube has no such widths.
const SAMPLES: [&str; 5] =
    ["work-shirt", "tapered-trousers", "corduroy-jacket", "tiered-skirt", "apron-dress-run"];

/// The chart's length for a column, when so much is needed in the first: between its rows along straight lines, and
/// beyond them in proportion to the nearest.
fn by_chart(first_mm: f64, column: usize) -> f64 {
    let eighths = first_mm / EIGHTH_MM;
    let point = |row: &[u32; 4]| (f64::from(row[0]), f64::from(row[column]));
    let (low, high) = (point(&CHART[0]), point(&CHART[11]));
    let told = if eighths <= low.0 {
        eighths * low.1 / low.0
    } else if eighths >= high.0 {
        eighths * high.1 / high.0
    } else {
        let pair = CHART.windows(2).find(|pair| f64::from(pair[1][0]) >= eighths).expect("within the rows");
        let (a, b) = (point(&pair[0]), point(&pair[1]));
        a.1 + (b.1 - a.1) * (eighths - a.0) / (b.0 - a.0)
    };
    told * EIGHTH_MM
}

fn compared(sample: &str, rounds: u64) -> Comparison {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures").join(sample).join("job.json");
    let mut job = Job::read(&std::fs::read_to_string(path).expect("a sample")).expect("a valid sample");
    // The chart is for one garment.
    job.order.truncate(1);
    job.order[0].garments = 1;
    let widths = WIDTHS.iter().map(|&(cm, _)| Width { length: Length::from_grid(1000 * cm), unit: Unit::Cm });
    let axes = Axes { cloth: "self".to_owned(), widths: widths.collect(), ..Axes::default() };
    let settings = Settings { rounds: Some(rounds), ..Settings::default() };
    compare(axes.cases(&job).expect("cases"), &settings, &mut |_| Continue::Yes)
}

/// What is needed before rounding to steps: the chart's own rounding is as coarse as its steps.
fn needed(purchase: &Purchase) -> f64 {
    purchase.needed.mm()
}

#[test]
fn the_chart_itself_is_near_constant_area() {
    // Worked out from the printed cells: mean ratios to the first column of 0.784, 0.646 and 0.596.
    for (column, mean) in [(1, 0.784), (2, 0.646), (3, 0.596)] {
        let ratios = CHART.iter().map(|row| f64::from(row[column]) / f64::from(row[0]));
        let found = ratios.sum::<f64>() / 12.0;
        assert!((found - mean).abs() < 0.0006, "{found}");
        let area = MIDDLES[0] / MIDDLES[column];
        assert!((found / area - 1.0).abs() < 0.05, "{found} against {area}");
    }
    for row in &CHART {
        let first = f64::from(row[0]) * EIGHTH_MM;
        assert!(
            (1..4).all(|column| (by_chart(first, column) / EIGHTH_MM - f64::from(row[column])).abs() < 1e-9)
        );
    }
}

#[test]
fn sample_garments_follow_the_chart_on_the_average() {
    let rounds = std::env::var(ROUNDS).ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(1);
    let mut told = String::from("garment | width | needed, cm | by the chart | difference | used\n");
    let mut ratios: [Vec<f64>; 4] = Default::default();
    for sample in SAMPLES {
        let comparison = compared(sample, rounds);
        let best: Vec<_> = comparison
            .columns
            .iter()
            .map(|column| column.report.winner().unwrap_or_else(|| panic!("{sample}")))
            .collect();
        let first = needed(&best[0].purchase);
        for (column, lay) in best.iter().enumerate() {
            let mine = needed(&lay.purchase);
            let chart = by_chart(first, column);
            let _ = writeln!(
                told,
                "{sample} | {} | {:.1} | {:.1} | {:+.1} | {:.1} %",
                WIDTHS[column].0,
                mine / 10.0,
                chart / 10.0,
                (mine - chart) / 10.0,
                100.0 * lay.efficiency.of_cloth()
            );
            ratios[column].push(mine / chart);
            // Cloth holds what is cut from it, and more width never takes more length.
            assert!(lay.efficiency.of_usable() <= 1.0, "{sample}");
            assert!(column == 0 || mine <= needed(&best[column - 1].purchase), "{sample}");
        }
    }
    for (column, all) in ratios.iter().enumerate().skip(1) {
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let _ = writeln!(
            told,
            "{} cm against the column {}: {:.3} of the chart",
            WIDTHS[column].0, WIDTHS[column].1, mean
        );
        assert!((0.85..=1.15).contains(&mean), "{told}");
    }
    if std::env::var_os(ROUNDS).is_some() {
        std::io::stderr().write_all(told.as_bytes()).expect("standard error takes lines");
    }
}
