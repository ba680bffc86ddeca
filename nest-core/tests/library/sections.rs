use nest_core::cloth::ClothForm;
use nest_core::job::Job;
use nest_core::report::{LineReport, Report};
use nest_core::search::{Settings, Silent, lay};
use nest_core::spread::{Family, Kind};

/// Sections are never longer than the best fold, nor single thickness than sections; everything passes the check. On every
/// sample but the small run, whose size is tried elsewhere.
#[test]
fn sections_lie_between_the_folds_and_single_thickness() {
    let settings = Settings { rounds: Some(6), lanes: 1, ..Settings::default() };
    let mut shorter = 0;
    for entry in std::fs::read_dir(crate::fixtures()).unwrap() {
        let file = entry.unwrap().path().join("job.json");
        if !file.is_file() || file.to_string_lossy().contains("apron-dress-run") {
            continue;
        }
        let job = Job::read_bytes(&std::fs::read(&file).unwrap()).unwrap();
        for cloth in &job.cloths {
            let answer = lay(&job, cloth, &settings, &mut Silent);
            let report = Report::new(&job, &[answer], &settings);
            assert_eq!(report.withheld().count(), 0, "{}, {}: {}", job.name, cloth.kind, report.text());
            let lines = &report.cloths[0].lines;
            let cloth_in = |line: &LineReport| line.lay().map(|lay| lay.purchase.cloth_in_lay);
            let of = |kind| lines.iter().find(|line| line.kind == kind).and_then(cloth_in);
            let (single, sections) = (of(Family::Single.into()), of(Kind::Sections));
            let folds = lines.iter().filter(|l| l.kind != Kind::Sections && l.kind != Family::Single.into());
            let fold = folds.filter_map(cloth_in).min();
            assert!(fold.is_none() || sections <= fold, "{}, {}: {}", job.name, cloth.kind, report.text());
            assert!(
                sections.is_none() || single <= sections || cloth.form == ClothForm::Tube,
                "{}, {}: {}",
                job.name,
                cloth.kind,
                report.text()
            );
            shorter += usize::from(sections.is_some() && sections < fold);
        }
    }
    assert!(shorter > 0, "and now and then they are shorter than any fold");
}
