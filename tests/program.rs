//! Runs the program as a person would, each time in an empty folder of its own.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use tempfile::TempDir;

/// What came of a run.
#[derive(Debug)]
pub(crate) struct Ended {
    /// The exit code; none when a signal ended it.
    pub(crate) code: Option<i32>,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// An empty folder to run the program in.
pub(crate) struct Table {
    folder: TempDir,
}

impl Table {
    pub(crate) fn new() -> Table {
        Table { folder: tempfile::tempdir().unwrap() }
    }

    /// Runs the program to its end.
    pub(crate) fn run(&self, args: &[&str]) -> Ended {
        self.run_with_input(args, &[])
    }

    /// The same with something on standard input.
    pub(crate) fn run_with_input(&self, args: &[&str], input: &[u8]) -> Ended {
        let mut child = self.start(args);
        let mut stdin = child.stdin.take().unwrap();
        // A program that ends before it has read everything closes the pipe; that is not this test's concern.
        let _ = stdin.write_all(input);
        drop(stdin);
        ended(child)
    }

    /// Starts the program and leaves it running.
    pub(crate) fn start(&self, args: &[&str]) -> Child {
        Command::new(env!("CARGO_BIN_EXE_nest"))
            .args(args)
            .current_dir(self.folder.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap()
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn write(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.folder.path().join(name), content).unwrap();
    }

    pub(crate) fn read(&self, name: &str) -> String {
        fs::read_to_string(self.folder.path().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// The names in the folder, hidden ones too, in order.
    pub(crate) fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(self.folder.path()).unwrap();
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }
}

/// Waits for a program to end.
pub(crate) fn ended(child: Child) -> Ended {
    let output = child.wait_with_output().unwrap();
    Ended {
        code: output.status.code(),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The workspace's folder.
pub(crate) fn workspace() -> PathBuf {
    fs::canonicalize(Path::new(env!("CARGO_MANIFEST_DIR")).join("..")).unwrap()
}

/// The path of a sample job.
pub(crate) fn sample(name: &str) -> String {
    workspace().join("fixtures").join(name).join("job.json").to_string_lossy().into_owned()
}

/// A small job: an on-fold back and a pair of fronts.
pub(crate) const SMALL: &str = include_str!("../fixtures/small/waistcoat.json");
