//! The tables of `benches/README.md` out of the JSON files of `nest compare`: the lengths to buy, a line for each column of
//! each file; what the bounds gain over area alone; and what sections gain over folds from end to end.
//!
//! `cargo run --release -p nest-benches --example matrix -- FILES` prints them; the name of a file is the name of its job.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::ExitCode;

use nest_core::compare::json::{CellForm, ColumnForm, ComparisonFile};
use nest_core::report::json::{FamilyForm, KindForm, SectionsForm, Summary};

/// The kinds of spread as the table calls them, in the order of reports.
const KINDS: [&str; 8] =
    ["single", "fold", "off centre", "two folds", "crosswise", "turned", "tubular", "sections"];

const SINGLE: KindForm = KindForm::Whole(FamilyForm::Single);
const SECTIONS: KindForm = KindForm::Sections(SectionsForm::Sections);

fn main() -> ExitCode {
    let files: Vec<String> = std::env::args().skip(1).collect();
    match read(&files).and_then(|jobs| Ok([matrix(&jobs), bounds(&jobs)?, sections(&jobs)])) {
        Ok(parts) => {
            println!("{}", parts.join("\n").trim_end());
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("matrix: {fault}");
            ExitCode::from(2)
        }
    }
}

/// The name of a job and its comparison.
type Compared = (String, ComparisonFile);

/// The comparisons of some files, or what is wrong with one of them.
fn read(files: &[String]) -> Result<Vec<Compared>, String> {
    if files.is_empty() {
        return Err("name the files that nest compare --json has written".to_owned());
    }
    let one = |file: &String| {
        let text = std::fs::read_to_string(file).map_err(|error| format!("{file}: {error}"))?;
        let read = serde_json::from_str::<ComparisonFile>(&text);
        let comparison =
            read.map_err(|error| format!("{file} is no file of nest compare --json: {error}"))?;
        let job = Path::new(file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        Ok((job, comparison))
    };
    files.iter().map(one).collect()
}

/// Every column of some comparisons: the job, what of it is laid, and the column.
fn columns(jobs: &[Compared]) -> impl Iterator<Item = (&str, String, &ColumnForm)> {
    jobs.iter().flat_map(|(job, comparison)| {
        let naps: BTreeSet<bool> = comparison.columns.iter().map(|column| column.nap).collect();
        let says_nap = naps.len() > 1;
        comparison.columns.iter().map(move |column| (job.as_str(), laid(column, says_nap), column))
    })
}

/// The width of a column, and what else tells it from others.
fn laid(column: &ColumnForm, says_nap: bool) -> String {
    let nap = says_nap.then(|| if column.nap { "with nap" } else { "no nap" }.to_owned());
    let (view, size) = (column.view.clone(), column.size.as_ref().map(|size| format!("size {size}")));
    let all: Vec<String> = [Some(column.width.clone()), nap, view, size].into_iter().flatten().collect();
    all.join(", ")
}

fn matrix(jobs: &[Compared]) -> String {
    let mut heads = vec!["job", "width"];
    heads.extend(KINDS);
    heads.push("used %");
    let rows = columns(jobs).map(|(job, laid, column)| {
        let mut row = vec![job.to_owned(), laid];
        row.extend(column.cells.iter().map(cell));
        row.push(shortest(column).map_or_else(dash, |s| format!("{:.2}", s.efficiency_percent)));
        row
    });
    table(&heads, rows)
}

fn dash() -> String {
    "-".to_owned()
}

/// The figures of the shortest of a column.
fn shortest(column: &ColumnForm) -> Option<&Summary> {
    let shortest = column.cells.iter().find(|cell| cell.best_at.iter().any(|what| what == "shortest"))?;
    shortest.summary.as_ref()
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

/// What the bounds gain: of the shortest of each column the bound by area alone and the best one, and its gap to each.
fn bounds(jobs: &[Compared]) -> Result<String, String> {
    let heads = ["job", "width", "in the lay, cm", "by area, cm", "gap %", "bound, cm", "gap %", "bound by"]
        .as_slice();
    let (mut rows, mut gaps) = (Vec::new(), [0.0; 2]);
    for (job, laid, column) in columns(jobs) {
        let Some(summary) = shortest(column) else { continue };
        let (Some(area), Some(by), Some(purchase)) = (summary.area_mm, &summary.bound_by, &summary.purchase)
        else {
            return Err(format!("{job} was written before bounds had reasons: run nest compare again"));
        };
        let cloth = purchase.cloth_in_lay_mm;
        let gap = |bound: f64| if cloth > 0.0 { 100.0 * (cloth - bound) / cloth } else { 0.0 };
        let [by_area, best] = [area, summary.bound_mm].map(gap);
        gaps = [gaps[0] + by_area, gaps[1] + best];
        let cm = |mm: f64| format!("{:.1}", mm / 10.0);
        let percent = |gap: f64| format!("{gap:.1}");
        let figures = [cm(cloth), cm(area), percent(by_area), cm(summary.bound_mm), percent(best)];
        let mut row = vec![job.to_owned(), laid];
        row.extend(figures);
        row.push(by.clone());
        rows.push(row);
    }
    let [by_area, best] = gaps.map(|sum| sum / rows.len().max(1) as f64);
    let mean = format!(
        "\nOn the average of {} columns a gap of {by_area:.1} % by area and {best:.1} %.\n",
        rows.len()
    );
    Ok(table(heads, rows.into_iter()) + &mean)
}

/// What sections gain over the best fold from end to end, and how long single thickness is beside them.
fn sections(jobs: &[Compared]) -> String {
    let cloth = |cell: &CellForm| Some(cell.summary.as_ref()?.purchase.as_ref()?.cloth_in_lay_mm);
    let (mut cells, mut equal, mut shorter, mut alone, mut longer) = (0, 0, vec![], vec![], vec![]);
    let mut single_longer = vec![];
    for (job, laid, column) in columns(jobs) {
        cells += column.cells.iter().filter(|cell| cell.summary.is_some()).count();
        let of = |kind: KindForm| column.cells.iter().find(|cell| cell.spread == kind).and_then(cloth);
        let (single, mixed) = (of(SINGLE), of(SECTIONS));
        let folds = column.cells.iter().filter(|c| !matches!(c.spread, SINGLE | SECTIONS));
        let fold = folds.filter_map(cloth).reduce(f64::min);
        let place = format!("{job} on {laid}");
        if let (Some(single), Some(folded)) = (single, [mixed, fold].into_iter().flatten().reduce(f64::min))
            && single > folded + 0.005
        {
            single_longer.push(place.clone());
        }
        match (mixed, fold) {
            (Some(mixed), Some(fold)) if mixed < fold - 0.005 => {
                let (cm, part) = ((fold - mixed) / 10.0, 100.0 * (fold - mixed) / fold);
                shorter.push(format!("{place} by {cm:.1} cm, {part:.1} %"));
            }
            (Some(mixed), Some(fold)) if mixed > fold + 0.005 => longer.push(place),
            (Some(_), Some(_)) => equal += 1,
            (Some(_), None) => alone.push(place),
            (None, _) => {}
        }
    }
    let list = |places: &[String]| if places.is_empty() { "none".to_owned() } else { places.join("; ") };
    format!(
        "{cells} cells have a marker.\nSections shorter than the best fold: {}.\nSections as long as the best fold: {equal} \
         columns.\nSections longer than the best fold: {}.\nNo fold but in sections: {}.\nSingle thickness longer than a fold: \
         {}.\n",
        list(&shorter),
        list(&longer),
        list(&alone),
        list(&single_longer)
    )
}

fn table(heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let heads: Vec<String> = heads.iter().map(|&head| head.to_owned()).collect();
    let rule = format!("|{}\n", "---|".repeat(heads.len()));
    line(&heads) + &rule + &rows.map(|row| line(&row)).collect::<String>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nest_core::cloth::Nap;
    use nest_core::compare::{Axes, Comparison, Width, compare};
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
        let jobs = read(&[path.to_string_lossy().into_owned()]).expect("a file of a comparison");
        let table = matrix(&jobs);
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
        gaps_follow_from_the_figures(&jobs, &comparison);
        let laid = comparison.columns.iter().flat_map(|c| &c.report.lines).filter(|l| l.lay().is_some());
        assert!(sections(&jobs).starts_with(&format!("{} cells have", laid.count())));
    }

    fn gaps_follow_from_the_figures(jobs: &[Compared], comparison: &Comparison) {
        let told = bounds(jobs).expect("files with reasons");
        let lines: Vec<Vec<&str>> = told
            .lines()
            .skip(2)
            .take_while(|line| line.starts_with('|'))
            .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
            .collect();
        assert_eq!(lines.len(), comparison.columns.len());
        let mut gains = 0;
        for (line, column) in lines.iter().zip(&comparison.columns) {
            let figures: Vec<f64> = line[2..7].iter().map(|cell| cell.parse().expect("a number")).collect();
            let [cloth, area, by_area, bound, best] = figures[..] else { panic!("{line:?}") };
            let lay = column.report.shortest_line().and_then(|line| line.lay()).expect("a lay");
            assert!((cloth - lay.purchase.cloth_in_lay.mm() / 10.0).abs() < 0.051, "{line:?}");
            // The area of the pieces over the usable width, of what the marker was checked for.
            let usable = lay.efficiency.usable_mm2 / lay.purchase.cloth.mm();
            assert!((area - lay.efficiency.pieces_mm2 / usable / 10.0).abs() < 0.051, "{line:?}");
            assert!(area <= bound + 0.051 && bound <= cloth + 0.051, "{line:?}");
            assert!((by_area - 100.0 * (1.0 - area / cloth)).abs() < 0.2, "{line:?}");
            assert!((best - 100.0 * lay.gap()).abs() < 0.051, "{line:?}");
            assert_eq!(line[7] == "area", (bound - area).abs() < 0.051, "{line:?}");
            gains += usize::from(best < by_area);
        }
        assert!(gains > 0, "of some column the bound is better than area alone: {told}");
    }

    #[test]
    fn files_without_reasons_of_bounds_are_refused() {
        let job = Job::read(include_str!("../fixtures/small/waistcoat.json")).expect("a job");
        let cases = Axes { cloth: job.cloths[0].kind.clone(), ..Axes::default() }.cases(&job);
        let settings = Settings { rounds: Some(1), ..Settings::default() };
        let text = compare(cases.expect("columns"), &settings, &mut |_| Continue::Yes).json();
        let mut old: ComparisonFile = serde_json::from_str(&text).expect("a comparison");
        for summary in old.columns[0].cells.iter_mut().filter_map(|cell| cell.summary.as_mut()) {
            summary.bound_by = None;
        }
        let fault = bounds(&[("waistcoat".to_owned(), old)]).expect_err("it has no reasons");
        assert!(fault.contains("run nest compare again"), "{fault}");
    }

    #[test]
    fn what_is_wrong_is_said() {
        assert!(read(&[]).is_err_and(|fault| fault.contains("name the files")));
        assert!(read(&["no-such.json".to_owned()]).is_err_and(|fault| fault.starts_with("no-such.json: ")));
        let cargo = concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml").to_owned();
        assert!(read(&[cargo]).is_err_and(|fault| fault.contains("is no file of nest compare --json")));
    }
}
