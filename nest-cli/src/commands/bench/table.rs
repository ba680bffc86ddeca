//! The table for a person, and the same figures run by run as CSV.

use std::fmt::Write as _;

use anyhow::Result;

use super::published::Published;
use super::results::{Measured, Results};
use crate::console::counted;

/// The table with what must be known to read it.
pub(super) fn table(results: &Results, published: Option<&Published>) -> String {
    let mut rows = vec![heads(published.is_some())];
    rows.extend(results.instances.iter().map(|measured| row(measured, published)));
    let mut text = aligned(&rows);
    let about = &results.conditions;
    let budget = match (about.time_s, about.rounds) {
        (Some(time), Some(rounds)) => format!("{time} s or {rounds} rounds"),
        (Some(time), None) => format!("{time} s"),
        (None, rounds) => format!("{} rounds", rounds.unwrap_or(0)),
    };
    let _ = writeln!(
        text,
        "\n{budget} a run, {}, {}, {}. Densities in percent, over the runs; length: the best run's, in the instance's\nown \
         units, or mm of cloth in the lay; to best: mean seconds until a run found its best. * proved the shortest.",
        if about.seeds == 1 { "seed 1".to_owned() } else { format!("seeds 1 to {}", about.seeds) },
        counted(u64::from(about.lanes), "lane"),
        counted(about.threads as u64, "thread")
    );
    let _ = write!(text, "{}", scales(results));
    if let Some(published) = published {
        let note = published.note.as_ref().map_or(String::new(), |note| format!(" ({note})"));
        let _ = writeln!(text, "Published: {}{note}.", published.source);
        let unknown = results.instances.iter().filter(|measured| published.of(&measured.name).is_none());
        let unknown: Vec<&str> = unknown.map(|measured| measured.name.as_str()).collect();
        if !unknown.is_empty() {
            let _ = writeln!(text, "Nothing published there of: {}.", unknown.join(", "));
        }
    }
    for (measured, run, fault) in results.faults() {
        let _ = writeln!(text, "NOT COUNTED: {}, seed {}: {fault}", measured.name, run.seed);
    }
    text
}

/// With two decimals, or as many as show four digits of what is less than one.
fn length(value: Option<f64>) -> String {
    let Some(value) = value else { return "-".to_owned() };
    let decimals = if value > 0.0 && value < 1.0 { 3.0 - value.log10().floor() } else { 2.0 };
    format!("{value:.*}", decimals.min(9.0) as usize)
}

fn heads(published: bool) -> Vec<String> {
    let mut heads =
        vec!["instance", "pieces", "best", "mean", "worst", "length", "bound", "to best", "M evals/s"];
    if published {
        heads.extend(["best-best", "mean-best", "mean-average"]);
    }
    heads.into_iter().map(str::to_owned).collect()
}

fn row(measured: &Measured, published: Option<&Published>) -> Vec<String> {
    let summary = measured.density_percent;
    let percent = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.2}"));
    let star = if measured.proved() { "*" } else { "" };
    let mut row = vec![
        measured.name.clone(),
        measured.pieces.to_string(),
        percent(summary.map(|s| s.best)),
        percent(summary.map(|s| s.mean)),
        percent(summary.map(|s| s.worst)),
        length(measured.length()) + star,
        length(measured.lower_bound),
        format!("{:.1}", measured.seconds_to_best()),
        format!("{:.2}", measured.evaluations_per_second() / 1e6),
    ];
    if let Some(published) = published {
        let known = summary.zip(published.of(&measured.name));
        let more = |ours: f64, theirs: f64| format!("{:+.2}", ours - theirs);
        row.extend(match known {
            Some((s, p)) => [more(s.best, p.best), more(s.mean, p.best), more(s.mean, p.average)],
            None => ["-"; 3].map(str::to_owned),
        });
    }
    row
}

/// The first column to the left, the others to the right.
pub(super) fn aligned(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|t| t.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let cells = row.iter().zip(&widths).enumerate().map(|(c, (cell, &width))| {
            if c == 0 { format!("{cell:<width$}") } else { format!("{cell:>width$}") }
        });
        let line = cells.collect::<Vec<_>>().join("  ");
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// How instances were brought to the grid.
fn scales(results: &Results) -> String {
    let scaled: Vec<String> = results
        .instances
        .iter()
        .filter_map(|m| {
            let rounded = if m.exact { "" } else { " (corners rounded)" };
            Some(format!("{} {}{rounded}", m.name, m.scale?))
        })
        .collect();
    if scaled.is_empty() {
        return String::new();
    }
    let rounded = results.instances.iter().any(|m| !m.exact);
    let meaning = if rounded {
        "Of rounded corners lengths and bounds are hardly off, but proofs are none.\n"
    } else {
        ""
    };
    format!("Grid units to one unit of the file: {}.\n{meaning}", scaled.join(", "))
}

/// One line for each run.
pub(super) fn csv(results: &Results) -> Result<String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record([
        "instance",
        "file",
        "pieces",
        "seed",
        "density_percent",
        "length",
        "unit",
        "lower_bound",
        "proved",
        "seconds",
        "seconds_to_best",
        "rounds",
        "evaluations",
        "fault",
    ])?;
    for measured in &results.instances {
        for run in &measured.runs {
            let number = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
            writer.write_record([
                measured.name.clone(),
                measured.file.clone(),
                measured.pieces.to_string(),
                run.seed.to_string(),
                number(run.density_percent),
                number(run.length),
                measured.unit.clone(),
                number(measured.lower_bound),
                run.proved.to_string(),
                format!("{:.3}", run.seconds),
                format!("{:.3}", run.seconds_to_best),
                run.rounds.to_string(),
                run.evaluations.to_string(),
                run.fault.clone().unwrap_or_default(),
            ])?;
        }
    }
    Ok(String::from_utf8(writer.into_inner()?)?)
}

#[cfg(test)]
mod table_tests {
    use super::super::results::results_tests::results;
    use super::*;

    #[test]
    fn the_table_holds_the_figures_and_says_what_they_are() {
        let mut results = results(&[("shirts", &[88.5, 87.5]), ("squares", &[100.0])]);
        results.instances[1].runs[0].fault = None;
        let text = table(&results, None);
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(
            lines[1].split_whitespace().collect::<Vec<_>>(),
            ["shirts", "12", "88.50", "88.00", "87.50", "45.20", "40.00", "6.0", "3.00"]
        );
        assert!(lines[2].contains("40.00*"), "the bound is met: {}", lines[2]);
        assert!(text.contains("10 s a run, seeds 1 to 2, 2 lanes, 2 threads"), "{text}");
        assert!(text.contains("Grid units to one unit of the file: shirts 5000, squares 5000."), "{text}");
        assert!(lines.iter().all(|line| line.chars().count() <= 125), "{text}");
    }

    #[test]
    fn the_published_densities_stand_beside_ours() {
        let path = std::path::Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../benches/published.json"));
        let published = Published::read(path).unwrap();
        let text = table(&results(&[("shirts", &[88.5, 87.5]), ("squares", &[100.0])]), Some(&published));
        // Published for shirts: best 88.96, average 87.59.
        assert!(text.lines().nth(1).unwrap().ends_with("-0.46      -0.96         +0.41"), "{text}");
        assert!(text.lines().nth(2).unwrap().trim_end().ends_with('-'), "{text}");
        assert!(text.contains("Published: ") && text.contains("memory"), "{text}");
        assert!(text.contains("Nothing published there of: squares.\n"), "{text}");
    }

    #[test]
    fn lengths_in_any_unit_show_digits() {
        let told = [12345.678, 45.2, 9.0, 0.333_333, 0.000_012_346, 0.0].map(|value| length(Some(value)));
        assert_eq!(told, ["12345.68", "45.20", "9.00", "0.3333", "0.00001235", "0.00"]);
        assert_eq!(length(None), "-");
    }

    #[test]
    fn one_is_told_as_one() {
        let mut results = results(&[("squares", &[100.0])]);
        let conditions = &mut results.conditions;
        (conditions.seeds, conditions.lanes, conditions.threads) = (1, 1, 1);
        assert!(table(&results, None).contains("a run, seed 1, 1 lane, 1 thread. "));
    }

    #[test]
    fn every_run_is_a_line_of_csv() {
        let mut results = results(&[("jacket, lining", &[80.0, 81.5])]);
        results.instances[0].runs[1].fault = Some("a \"fault\"".to_owned());
        let text = csv(&results).unwrap();
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), 2);
        assert_eq!((&rows[0][0], &rows[0][4], &rows[0][6]), ("jacket, lining", "80", "own"));
        assert_eq!(&rows[1][13], "a \"fault\"");
    }
}
