//! Which file gets which result of a lay; all opened before the search.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use nest_core::cloth::Cloth;
use nest_core::draw;
use nest_core::report::json;

use crate::args;
use crate::deposit::{Deposit, Litter};

/// The kind of cloth whose drawing gets the name asked for.
pub(crate) const MAIN: &str = "self";

/// Where the results of one run go.
pub(crate) struct Outputs {
    /// One drawing for each cloth, in the order of the cloths.
    pub(crate) drawings: Vec<Deposit>,
    /// The placements of all of them.
    pub(crate) placements: Option<Deposit>,
    /// For each cloth off the roll of which there is some in hand, where the drawing goes without what is left out when
    /// that is too short.
    pub(crate) fitted: Vec<Option<Deposit>>,
    /// The placements of all cloths, likewise.
    pub(crate) fitted_placements: Option<Deposit>,
    /// What beside the results is only written by some runs: of an earlier one it does not belong to these results.
    pub(crate) passing: Vec<PathBuf>,
    /// Is a result what standard output is for? Then the summary goes elsewhere.
    pub(crate) on_stdout: bool,
}

impl Outputs {
    /// Opens them all, or none.
    pub(crate) fn open(args: &args::Lay, cloths: &[&Cloth], litter: &Litter) -> Result<Outputs> {
        let drawings = drawing_paths(&args.output, cloths)?;
        let placements = match &args.json {
            Some(path) => Some(path.clone()),
            None => beside(&args.output, &args.job),
        };
        let may_be_short = |cloth: &Cloth| {
            cloth.length_in_hand.is_some() && cloth.within.is_none() && cloth.remnants.is_empty()
        };
        let mut taken: BTreeSet<PathBuf> = drawings.iter().chain(&placements).cloned().collect();
        let beside: Vec<Option<PathBuf>> =
            drawings.iter().map(|path| beside_without(path, &mut taken)).collect();
        let placements_beside = placements.as_ref().and_then(|path| beside_without(path, &mut taken));
        let rolls = drawings.iter().zip(cloths).filter(|(_, cloth)| !cloth.remnants.is_empty());
        let rolls = rolls.map(|(path, _)| path.clone());
        let passing = beside.iter().chain([&placements_beside]).flatten().cloned().chain(rolls).collect();
        let fitted_paths: Vec<Option<PathBuf>> = beside
            .into_iter()
            .zip(cloths)
            .map(|(path, cloth)| path.filter(|_| may_be_short(cloth)))
            .collect();
        let any = cloths.iter().any(|cloth| may_be_short(cloth));
        let fitted_placements = placements_beside.filter(|_| any);
        let mut seen = BTreeSet::new();
        let mut on_stdout = false;
        let fitted = fitted_paths.iter().flatten().chain(&fitted_placements);
        for path in drawings.iter().chain(&placements).chain(fitted) {
            if path == Path::new("-") && std::mem::replace(&mut on_stdout, true) {
                bail!("only one of the drawing and the placements can go to standard output");
            }
            if path.is_dir() {
                bail!("{} is a folder: give the name of a file", path.display());
            }
            if !seen.insert(settled(path)) {
                bail!("{} would be written twice: give --json another name than -o", path.display());
            }
            if path != Path::new("-") && settled(path) == settled(&args.job) {
                bail!("{} is the job itself: write to another file", path.display());
            }
        }
        Ok(Outputs {
            drawings: drawings.iter().map(|path| Deposit::open(path, litter)).collect::<Result<_>>()?,
            placements: placements.map(|path| Deposit::open(&path, litter)).transpose()?,
            fitted: fitted_paths
                .iter()
                .map(|path| path.as_ref().map(|path| Deposit::open(path, litter)).transpose())
                .collect::<Result<_>>()?,
            fitted_placements: fitted_placements.map(|path| Deposit::open(&path, litter)).transpose()?,
            passing,
            on_stdout,
        })
    }
}

/// Removes a drawing or a marker file that an earlier run left; anything else that is called so stays. Tells whether it did.
pub(crate) fn remove_result(path: &Path) -> Result<bool> {
    // What is no text is none of ours, and neither is what is not there.
    let ours = |text: String| draw::is_drawing(&text) || json::is_marker_file(&text);
    if !path.is_file() || !fs::read_to_string(path).is_ok_and(ours) {
        return Ok(false);
    }
    fs::remove_file(path).with_context(|| format!("cannot remove {} of an earlier run", path.display()))?;
    Ok(true)
}

/// A path in a form that is the same for the same file, whether it exists or not.
pub(crate) fn settled(path: &Path) -> PathBuf {
    if let Ok(there) = fs::canonicalize(path) {
        return there;
    }
    let folder = path.parent().filter(|parent| *parent != Path::new("")).unwrap_or(Path::new("."));
    match (fs::canonicalize(folder), path.file_name()) {
        (Ok(folder), Some(name)) => folder.join(name),
        _ => path.to_owned(),
    }
}

/// The placements' place when none is given: beside the drawing, but never in the place of the job.
fn beside(output: &Path, job: &Path) -> Option<PathBuf> {
    if output == Path::new("-") {
        return None;
    }
    let path = output.with_extension("json");
    if settled(&path) != settled(job) {
        return Some(path);
    }
    Some(with_stem_and(output, "marker").with_extension("json"))
}

/// `shirt.svg` to `shirt-without.svg`, or with a number where that is taken; none beside standard output.
fn beside_without(path: &Path, taken: &mut BTreeSet<PathBuf>) -> Option<PathBuf> {
    if path == Path::new("-") {
        return None;
    }
    let mut own = with_stem_and(path, "without");
    let mut number = 2;
    while !taken.insert(own.clone()) {
        own = with_stem_and(path, &format!("without-{number}"));
        number += 1;
    }
    Some(own)
}

/// The drawings' places: the main cloth's as asked for, the others' with their kind added to the name.
fn drawing_paths(output: &Path, cloths: &[&Cloth]) -> Result<Vec<PathBuf>> {
    let is_main = |cloth: &&Cloth| cloth.kind == MAIN && cloth.remnants.is_empty();
    let main = cloths.iter().position(is_main).unwrap_or(0);
    if output == Path::new("-") && cloths.len() > 1 {
        let kinds: Vec<&str> = cloths.iter().map(|cloth| cloth.kind.as_str()).collect();
        bail!(
            "standard output takes one drawing, and this job has {}: choose one with --cloth ({})",
            cloths.len(),
            kinds.join(", ")
        );
    }
    let mut taken = BTreeSet::new();
    let paths = cloths.iter().enumerate().map(|(i, cloth)| {
        if i == main {
            return output.to_owned();
        }
        // Of a cloth with remnants the roll gives what goes into none of them.
        let roll = if cloth.remnants.is_empty() { "" } else { "-roll" };
        let name = format!("{}{roll}", file_name_part(&cloth.kind));
        let mut path = with_stem_and(output, &name);
        let mut number = 2;
        while !taken.insert(path.clone()) {
            path = with_stem_and(output, &format!("{name}-{number}"));
            number += 1;
        }
        path
    });
    Ok(paths.collect())
}

/// `marker.svg` and `lining` to `marker-lining.svg`.
pub(crate) fn with_stem_and(path: &Path, addition: &str) -> PathBuf {
    let mut name = path.file_stem().unwrap_or_default().to_owned();
    name.push("-");
    name.push(addition);
    if let Some(extension) = path.extension() {
        name.push(".");
        name.push(extension);
    }
    path.with_file_name(name)
}

/// A kind as a part of a file name: letters, digits and dashes, so that it can neither leave the folder nor hide.
fn file_name_part(kind: &str) -> String {
    let plain: String = kind.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).take(60).collect();
    let plain = plain.trim_matches('-');
    if plain.is_empty() { "cloth".to_owned() } else { plain.to_owned() }
}

#[cfg(test)]
mod name_tests {
    use super::*;

    #[test]
    fn a_kind_never_leads_out_of_the_folder() {
        assert_eq!(file_name_part("lining"), "lining");
        assert_eq!(file_name_part("../../etc/passwd"), "etc-passwd");
        assert_eq!(file_name_part("/"), "cloth");
        assert_eq!(with_stem_and(Path::new("out/shirt.svg"), "lining"), Path::new("out/shirt-lining.svg"));
        assert_eq!(with_stem_and(Path::new("shirt"), "lining"), Path::new("shirt-lining"));
    }

    #[test]
    fn what_is_made_to_fit_goes_beside_the_whole() {
        let mut taken = BTreeSet::from([PathBuf::from("a-without.svg")]);
        let beside = |path: &str, taken: &mut _| beside_without(Path::new(path), taken);
        assert_eq!(beside("b.svg", &mut taken), Some("b-without.svg".into()));
        assert_eq!(beside("a.svg", &mut taken), Some("a-without-2.svg".into()));
        assert_eq!(beside("-", &mut taken), None);
    }

    #[test]
    fn only_results_are_removed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("marker-without.svg");
        assert!(!remove_result(&path).unwrap(), "there is none");
        for (text, ours) in [
            ("<svg><title>A drawing of someone else</title></svg>", false),
            ("{ \"version\": 1, \"markers\": [] }", false),
            (r#"{ "version": 1, "job": "Shirt", "seed": 1, "lanes": 1, "markers": [] }"#, true),
            ("<svg><desc>3 pieces laid at true size; one unit is one millimetre.</desc></svg>", true),
        ] {
            fs::write(&path, text).unwrap();
            assert_eq!((remove_result(&path).unwrap(), path.exists()), (ours, !ours), "{text}");
        }
    }

    #[test]
    fn placements_never_take_the_place_of_the_job() {
        assert_eq!(beside(Path::new("marker.svg"), Path::new("job.json")), Some("marker.json".into()));
        assert_eq!(beside(Path::new("shirt.svg"), Path::new("shirt.json")), Some("shirt-marker.json".into()));
        assert_eq!(beside(Path::new("-"), Path::new("shirt.json")), None);
    }
}
