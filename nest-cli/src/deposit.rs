//! Results to a temporary file beside the target, renamed when complete: there is never half a file.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use anyhow::{Context, Result, bail};
use tempfile::{Builder, NamedTempFile};

/// The temporary files there are, so that they can be removed by a run that is told to leave at once.
#[derive(Clone, Debug, Default)]
pub(crate) struct Litter(Arc<Mutex<Vec<PathBuf>>>);

impl Litter {
    fn add(&self, path: &Path) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(path.to_owned());
    }

    /// Removes what is left; what is gone already is as it should be.
    pub(crate) fn sweep(&self) {
        for path in self.0.lock().unwrap_or_else(PoisonError::into_inner).drain(..) {
            let _ = fs::remove_file(path);
        }
    }
}

/// A place for one result. Dropped without being completed, it leaves nothing behind.
#[derive(Debug)]
pub(crate) enum Deposit {
    /// A file, and the temporary one that will become it.
    File {
        /// Where the result goes.
        target: PathBuf,
        /// Where it is until then.
        temporary: NamedTempFile,
    },
    /// Standard output.
    Stdout,
}

impl Deposit {
    /// Makes sure, before the work begins, that a result can be put at `target`; `-` is standard output.
    pub(crate) fn open(target: &Path, litter: &Litter) -> Result<Deposit> {
        if target == Path::new("-") {
            return Ok(Deposit::Stdout);
        }
        // A link stays a link: what it points at is replaced.
        let target = if target.is_symlink() {
            fs::canonicalize(target).unwrap_or_else(|_| target.to_owned())
        } else {
            target.to_owned()
        };
        match fs::metadata(&target) {
            Ok(there) if there.is_dir() => bail!("{} is a folder: give the name of a file", target.display()),
            Ok(there) if !there.is_file() => {
                bail!("{} is not a file; for standard output write -", target.display())
            }
            // Renaming would replace it all the same.
            Ok(there) if there.permissions().readonly() => {
                bail!("{} is write-protected: give another name, or allow writing to it", target.display())
            }
            _ => {}
        }
        let Some(name) = target.file_name() else {
            bail!("{} has no file name", target.display());
        };
        let folder = match target.parent() {
            Some(parent) if parent != Path::new("") => parent,
            _ => Path::new("."),
        };
        let mut prefix = std::ffi::OsString::from(".");
        prefix.push(name);
        prefix.push("-");
        let mut builder = Builder::new();
        builder.prefix(&prefix).suffix(".part");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // As any program's new file; the user's mask takes away what it should.
            builder.permissions(fs::Permissions::from_mode(0o666));
        }
        if !folder.is_dir() {
            bail!("cannot write to {}: there is no such folder; make it first", folder.display());
        }
        // Without the temporary name, which would only confuse.
        let temporary = builder.tempfile_in(folder).map_err(|error| io::Error::from(error.kind()));
        let temporary = temporary.with_context(|| format!("cannot write to {}", folder.display()))?;
        litter.add(temporary.path());
        Ok(Deposit::File { target, temporary })
    }

    /// Writes the result; tells the file it went to, if it is one.
    pub(crate) fn complete(self, content: impl AsRef<[u8]>) -> Result<Option<PathBuf>> {
        let content = content.as_ref();
        match self {
            Deposit::Stdout => {
                let mut out = io::stdout().lock();
                out.write_all(content).and_then(|()| out.flush())?;
                Ok(None)
            }
            Deposit::File { target, mut temporary } => {
                let written = temporary.write_all(content).and_then(|()| temporary.as_file().sync_all());
                written.with_context(|| format!("cannot write {}", target.display()))?;
                temporary.persist(&target).with_context(|| format!("cannot write {}", target.display()))?;
                Ok(Some(target))
            }
        }
    }
}

#[cfg(test)]
mod deposit_tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_result_appears_whole_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("marker.svg");
        fs::write(&target, "the old one").unwrap();
        let litter = Litter::default();

        let dropped = Deposit::open(&target, &litter).unwrap();
        assert_eq!(names(folder.path()).len(), 2, "the temporary file is beside the target");
        drop(dropped);
        assert_eq!(names(folder.path()), ["marker.svg"]);
        assert_eq!(fs::read_to_string(&target).unwrap(), "the old one");

        Deposit::open(&target, &litter).unwrap().complete("the new one").unwrap();
        assert_eq!(names(folder.path()), ["marker.svg"]);
        assert_eq!(fs::read_to_string(&target).unwrap(), "the new one");
    }

    #[test]
    fn litter_is_swept_by_who_leaves_at_once() {
        let folder = tempfile::tempdir().unwrap();
        let litter = Litter::default();
        let deposit = Deposit::open(&folder.path().join("marker.svg"), &litter).unwrap();
        litter.sweep();
        assert!(names(folder.path()).is_empty());
        drop(deposit);
    }

    #[test]
    fn what_cannot_hold_a_file_is_refused_before_the_work() {
        let folder = tempfile::tempdir().unwrap();
        let litter = Litter::default();
        let refused = |path: &Path| Deposit::open(path, &litter).unwrap_err().to_string();
        assert!(refused(folder.path()).ends_with("is a folder: give the name of a file"));
        assert!(refused(&folder.path().join("no-such-folder/marker.svg")).starts_with("cannot write to"));
        #[cfg(unix)]
        assert!(refused(Path::new("/dev/null")).contains("is not a file"));
    }
}
