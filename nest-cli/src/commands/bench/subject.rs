//! What is measured: instances of the literature and the cloths of jobs, collected from files and folders.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context, Result, anyhow, bail};
use nest_core::cloth::Cloth;
use nest_core::instance::{Instance, Scaled};
use nest_core::job::limits::MAX_FILE_BYTES;
use nest_core::job::{Job, unmarked};
use serde::Deserialize;
use serde::de::IgnoredAny;

use crate::source::Source;

/// One thing to measure.
#[derive(Debug)]
pub(super) struct Subject {
    /// Unique among those measured together.
    pub(super) name: String,
    pub(super) file: PathBuf,
    /// Pieces to lay, every copy counted.
    pub(super) pieces: u64,
    pub(super) kind: Kind,
}

/// What kind of thing.
#[derive(Debug)]
pub(super) enum Kind {
    /// One strip without folds.
    Board(Box<Scaled>),
    /// One cloth of a job, over all its spreads.
    Cloth { job: Arc<Job>, index: usize },
}

/// The subjects of a measurement, and what was left out of folders.
#[derive(Debug, Default)]
pub(super) struct Subjects {
    pub(super) all: Vec<Subject>,
    pub(super) left_out: Vec<PathBuf>,
}

/// What a file seems to be, by its fields.
enum Guess {
    Instance,
    Job,
    /// What `--json` wrote.
    Results,
    /// JSON of another kind.
    Neither,
}

impl Subjects {
    /// Reads files; a folder stands for the `.json` files in it and for the `job.json` of each folder in it.
    pub(super) fn read(paths: &[PathBuf]) -> Result<Subjects> {
        let mut subjects = Subjects::default();
        for path in paths {
            if path == Path::new("-") {
                bail!(
                    "every run is measured against a file: save standard input in one and give its name, not -"
                );
            }
            if path.is_dir() {
                subjects.read_folder(path)?;
            } else {
                subjects.read_file(path, false)?;
            }
        }
        subjects.refuse_equal_names()?;
        Ok(subjects)
    }

    fn read_folder(&mut self, folder: &Path) -> Result<()> {
        let before = self.all.len();
        let mut files = Vec::new();
        for entry in fs::read_dir(folder).with_context(|| format!("cannot read {}", folder.display()))? {
            let path = entry.with_context(|| format!("cannot read {}", folder.display()))?.path();
            if path.is_dir() && path.join("job.json").is_file() {
                files.push(path.join("job.json"));
            } else if path.is_file() && path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json")) {
                files.push(path);
            }
        }
        files.sort();
        // All that is wrong is told at once.
        let faults: Vec<String> = files
            .iter()
            .filter_map(|file| Some(format!("{:#}", self.read_file(file, true).err()?)))
            .collect();
        if !faults.is_empty() {
            bail!(faults.join("\n"));
        }
        if self.all.len() == before {
            bail!(
                "{} holds no instance and no job: give a folder with .json files, or with folders that hold a job.json",
                folder.display()
            );
        }
        Ok(())
    }

    /// `found` in a folder, JSON that is neither is left out; asked for by name, it is an error. What is no JSON is one always:
    /// an instance that was cut off must not drop out of a comparison in silence.
    fn read_file(&mut self, path: &Path, found: bool) -> Result<()> {
        let bytes = Source::File(path.to_owned()).read(MAX_FILE_BYTES)?;
        match guess(&bytes) {
            Guess::Instance => self.all.push(instance(path, &bytes)?),
            Guess::Job => self.all.extend(cloths(path)?),
            Guess::Results | Guess::Neither if found => self.left_out.push(path.to_owned()),
            Guess::Results => bail!(
                "{} holds results of nest bench: give it to --against, and here what is to be measured",
                path.display()
            ),
            Guess::Neither => bail!(
                "{} is neither an instance (which has `strip_width` and `pieces`) nor a job (which has `cloths` and \
                 `pieces`)",
                path.display()
            ),
        }
        Ok(())
    }

    fn refuse_equal_names(&self) -> Result<()> {
        let mut seen: BTreeMap<&str, &Path> = BTreeMap::new();
        for subject in &self.all {
            if let Some(other) = seen.insert(&subject.name, &subject.file) {
                bail!(
                    "two things to measure are called \"{}\", in {} and in {}: rename one, or leave one out",
                    subject.name,
                    other.display(),
                    subject.file.display()
                );
            }
        }
        Ok(())
    }
}

fn guess(bytes: &[u8]) -> Guess {
    #[derive(Deserialize)]
    struct Probe {
        strip_width: Option<IgnoredAny>,
        cloths: Option<IgnoredAny>,
        pieces: Option<IgnoredAny>,
        conditions: Option<IgnoredAny>,
        instances: Option<IgnoredAny>,
    }
    let text = String::from_utf8_lossy(bytes);
    match serde_json::from_str(unmarked(&text)) {
        Ok(Probe { strip_width: Some(_), pieces: Some(_), .. }) => Guess::Instance,
        Ok(Probe { cloths: Some(_), pieces: Some(_), .. }) => Guess::Job,
        Ok(Probe { conditions: Some(_), instances: Some(_), .. }) => Guess::Results,
        // No JSON at all, cut off or mistyped: who reads it tells what is wrong and where.
        Err(fault) if !fault.is_data() && text.contains("\"cloths\"") => Guess::Job,
        Err(fault) if !fault.is_data() => Guess::Instance,
        _ => Guess::Neither,
    }
}

fn instance(path: &Path, bytes: &[u8]) -> Result<Subject> {
    let read = Instance::read_bytes(bytes).and_then(|instance| Ok((instance.scaled()?, instance)));
    let (scaled, instance) =
        read.map_err(|fault| anyhow!("{} is not an instance that can be laid\n{fault}", path.display()))?;
    let pieces = u64::from(scaled.board.count());
    Ok(Subject { name: instance.name, file: path.to_owned(), pieces, kind: Kind::Board(Box::new(scaled)) })
}

/// Every cloth of a job from which anything is cut.
fn cloths(path: &Path) -> Result<Vec<Subject>> {
    let job = Arc::new(Source::File(path.to_owned()).job()?);
    let copies =
        |cloth: &Cloth| -> u64 { job.wants(&cloth.kind).iter().map(|want| u64::from(want.copies())).sum() };
    let subjects: Vec<Subject> = job
        .cloths
        .iter()
        .enumerate()
        .map(|(index, cloth)| Subject {
            name: format!("{}, {}", job.name, cloth.kind),
            file: path.to_owned(),
            pieces: copies(cloth),
            kind: Kind::Cloth { job: Arc::clone(&job), index },
        })
        .filter(|subject| subject.pieces > 0)
        .collect();
    if subjects.is_empty() {
        bail!("{}: nothing is ordered: check `order`, `views` and the pieces' `cloth`", path.display());
    }
    Ok(subjects)
}

#[cfg(test)]
mod subject_tests {
    use super::*;

    const INSTANCE: &str = r#"{ "name": "one", "source": "our own", "strip_width": 3,
        "pieces": [{ "id": "a", "quantity": 2, "turns": [0], "outline": [[0, 0], [2, 0], [0, 2]] }] }"#;
    const JOB: &str = r#"{ "version": 1, "units": "cm", "cloths": [{ "width": 150 }],
        "pieces": [{ "id": "tie", "outline": [[0, 0], [80, 0], [80, 6]], "grainline": [[5, 0.1], [75, 0.1]] }] }"#;

    #[test]
    fn a_folder_stands_for_its_files_and_the_jobs_of_its_folders() {
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str| folder.path().join(name);
        fs::create_dir(file("tie")).unwrap();
        fs::write(file("tie/job.json"), JOB).unwrap();
        fs::write(file("tie/other.json"), "{}").unwrap();
        fs::write(file("b.json"), INSTANCE).unwrap();
        fs::write(file("earlier.json"), r#"{ "version": 1 }"#).unwrap();
        fs::write(file("notes.txt"), "not looked at").unwrap();
        let subjects = Subjects::read(&[folder.path().to_owned()]).unwrap();
        let named: Vec<(&str, u64)> = subjects.all.iter().map(|s| (&*s.name, s.pieces)).collect();
        assert_eq!(named.len(), 2);
        assert_eq!(named[0], ("one", 2));
        assert_eq!(named[1].1, 1, "one tie");
        assert_eq!(subjects.left_out, [file("earlier.json")]);

        let said = Subjects::read(&[file("earlier.json")]).unwrap_err().to_string();
        assert!(said.contains("neither an instance"), "{said}");
        let twice = Subjects::read(&[file("b.json"), file("b.json")]).unwrap_err().to_string();
        assert!(twice.contains("are called \"one\""), "{twice}");
        let marked = format!("\u{feff}{}", INSTANCE.replace("\"one\"", "\"marked\""));
        fs::write(file("marked.json"), marked).unwrap();
        assert_eq!(Subjects::read(&[folder.path().to_owned()]).unwrap().all.len(), 3);
        // Cut off or mistyped it is told of, though only found in a folder.
        for (name, whole, as_what) in [("c.json", INSTANCE, "an instance"), ("d.json", JOB, "a job file")] {
            fs::write(file(name), &whole[..whole.len() - 4]).unwrap();
            let broken = Subjects::read(&[folder.path().to_owned()]).unwrap_err().to_string();
            assert!(broken.contains(name) && broken.contains(as_what), "{broken}");
            assert!(broken.contains("line 2, column"), "{broken}");
        }
        let both = Subjects::read(&[folder.path().to_owned()]).unwrap_err().to_string();
        assert!(both.contains("c.json") && both.contains("d.json"), "{both}");
        for name in ["c.json", "d.json"] {
            fs::remove_file(file(name)).unwrap();
        }
        let piped = Subjects::read(&[PathBuf::from("-")]).unwrap_err().to_string();
        assert!(piped.contains("give its name"), "{piped}");
        fs::write(file("results.json"), r#"{ "version": 1, "conditions": {}, "instances": [] }"#).unwrap();
        let results = Subjects::read(&[file("results.json")]).unwrap_err().to_string();
        assert!(results.contains("give it to --against"), "{results}");
        fs::write(file("b.json"), INSTANCE.replace("[0]", "[30]")).unwrap();
        let wrong = Subjects::read(&[file("b.json")]).unwrap_err().to_string();
        assert!(wrong.contains("b.json") && wrong.contains("pieces[0].turns[0]: 30 degrees"), "{wrong}");
    }
}
