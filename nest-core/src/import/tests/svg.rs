use super::super::*;

const APRON: &str = include_str!("../../../../fixtures/import/garden-apron.svg");

#[test]
fn look() {
    let import = import(APRON.as_bytes(), &ImportSettings::default()).unwrap();
    for w in &import.warnings { println!("W {w}"); }
    for w in &import.left_out { println!("L {w}"); }
    println!("{}", pretty(&import.job_file(&JobSettings::default())));
}
