//! The matrix of `benches/README.md` out of the JSON files of `nest compare`: a line for each column of each file.
//!
//! `cargo run --release -p nest-benches --example matrix -- FILES` prints it; the name of a file is the name of its job.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::ExitCode;

use nest_core::compare::json::{CellForm, ColumnForm, ComparisonFile};

/// The kinds of spread as the table calls them, in the order of reports.
const KINDS: [&str; 8] =
    ["single", "fold", "off centre", "two folds", "crosswise", "turned", "tubular", "sections"];

fn main() -> ExitCode {
    let files: Vec<String> = std::env::args().skip(1).collect();
    match table(&files) {
        Ok(table) => {
            print!("{table}");
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("matrix: {fault}");
            ExitCode::from(2)
        }
    }
}

/// The table of some files, or what is wrong with one of them.
fn table(files: &[String]) -> Result<String, String> {
    if files.is_empty() {
        return Err("name the files that nest compare --json has written".to_owned());
    }
    let mut lines = vec![line("job", "width", &KINDS.map(str::to_owned), "used %")];
    lines.push(format!("|{}\n", "---|".repeat(KINDS.len() + 3)));
    for file in files {
        let text = std::fs::read_to_string(file).map_err(|error| format!("{file}: {error}"))?;
        let read = serde_json::from_str::<ComparisonFile>(&text);
        let comparison =
            read.map_err(|error| format!("{file} is no file of nest compare --json: {error}"))?;
        let job = Path::new(file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let naps: BTreeSet<bool> = comparison.columns.iter().map(|column| column.nap).collect();
        lines.extend(comparison.columns.iter().map(|column| row(&job, column, naps.len() > 1)));
    }
    Ok(lines.concat())
}

fn row(job: &str, column: &ColumnForm, says_nap: bool) -> String {
    let nap = says_nap.then(|| if column.nap { "with nap" } else { "no nap" }.to_owned());
    let (view, size) = (column.view.clone(), column.size.as_ref().map(|size| format!("size {size}")));
    let width: Vec<String> = [Some(column.width.clone()), nap, view, size].into_iter().flatten().collect();
    let cells: Vec<String> = column.cells.iter().map(cell).collect();
    let shortest = column.cells.iter().find(|cell| cell.best_at.iter().any(|what| what == "shortest"));
    let used = shortest.and_then(|cell| cell.summary.as_ref());
    let used = used.map_or_else(|| "-".to_owned(), |summary| format!("{:.2}", summary.efficiency_percent));
    line(job, &width.join(", "), &cells, &used)
}

/// The length to buy, in centimetres without their sign, and the signs that the table of `nest compare` has.
fn cell(cell: &CellForm) -> String {
    let Some(summary) = &cell.summary else { return "-".to_owned() };
    let length = summary.to_buy.strip_suffix(" cm").unwrap_or(&summary.to_buy);
    let sign = |what: &String| match what.as_str() {
        "shortest" => "*",
        "easiest" => "+",
        _ => "=",
    };
    format!("{length}{}", cell.best_at.iter().map(sign).collect::<String>())
}

fn line(job: &str, width: &str, cells: &[String], used: &str) -> String {
    format!("| {job} | {width} | {} | {used} |\n", cells.join(" | "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use nest_core::cloth::Nap;
    use nest_core::compare::{Axes, Width, compare};
    use nest_core::job::Job;
    use nest_core::length::{Length, Unit};
    use nest_core::search::{Continue, Settings};

    #[test]
    fn every_column_of_a_comparison_has_a_line_with_its_figures() {
        let job = Job::read(include_str!("../fixtures/small/waistcoat.json")).expect("a job");
        let width =
            |cm: f64| Width { length: Length::from_unit(cm, Unit::Cm).expect("fits"), unit: Unit::Cm };
        let axes = Axes {
            cloth: job.cloths[0].kind.clone(),
            widths: vec![width(90.0), width(140.0)],
            naps: vec![Nap::None, Nap::OneWay],
            ..Axes::default()
        };
        let cases = axes.cases(&job).expect("columns");
        let settings = Settings { rounds: Some(1), ..Settings::default() };
        let comparison = compare(cases, &settings, &mut |_| Continue::Yes);
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("waistcoat.json");
        std::fs::write(&path, comparison.json()).expect("written");
        let table = table(&[path.to_string_lossy().into_owned()]).expect("a table");
        let lines: Vec<Vec<&str>> =
            table.lines().map(|line| line.trim_matches('|').split('|').collect()).collect();
        assert_eq!(lines.len(), 2 + comparison.columns.len());
        assert!(lines.iter().all(|line| line.len() == KINDS.len() + 3), "{table}");
        for (line, column) in lines[2..].iter().zip(&comparison.columns) {
            assert_eq!(line[0].trim(), "waistcoat");
            assert!(column.case.title().starts_with(line[1].trim()), "{}: {}", line[1], column.case.title());
            for (k, cell) in column.report.lines.iter().enumerate() {
                let told = line[2 + k].trim();
                match cell.lay() {
                    Some(lay) => assert_eq!(
                        told.trim_end_matches(['*', '+', '=']),
                        lay.purchase.to_buy_text().trim_end_matches(" cm")
                    ),
                    None => assert_eq!(told, "-"),
                }
                assert_eq!(told.contains('*'), column.marks(k).shortest);
                assert_eq!(told.contains('='), column.marks(k).trade);
            }
        }
    }

    #[test]
    fn what_is_wrong_is_said() {
        assert!(table(&[]).is_err_and(|fault| fault.contains("name the files")));
        assert!(table(&["no-such.json".to_owned()]).is_err_and(|fault| fault.starts_with("no-such.json: ")));
        let cargo = concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml").to_owned();
        assert!(table(&[cargo]).is_err_and(|fault| fault.contains("is no file of nest compare --json")));
    }
}
