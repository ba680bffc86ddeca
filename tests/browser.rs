//! A headless Chromium, where the machine has one, to read pages as a person's browser would.

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use tempfile::TempDir;

/// A browser and an empty profile for it.
pub(crate) struct Browser {
    program: PathBuf,
    profile: TempDir,
}

impl Browser {
    /// The first of the usual names on the path.
    pub(crate) fn find() -> Option<Browser> {
        let folders: Vec<PathBuf> = env::split_paths(&env::var_os("PATH")?).collect();
        let names = ["chromium", "chromium-browser", "google-chrome", "chrome"];
        let all = names.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name)));
        let program = all.into_iter().find(|path| path.is_file())?;
        Some(Browser { program, profile: tempfile::tempdir().unwrap() })
    }

    /// The page after its scripts have run.
    pub(crate) fn dom(&self, page: &Path) -> String {
        String::from_utf8(self.run(&["--dump-dom".to_owned()], page)).unwrap()
    }

    /// The page as it prints.
    pub(crate) fn pdf(&self, page: &Path) -> Vec<u8> {
        let target = self.profile.path().join("printed.pdf");
        self.run(
            &[format!("--print-to-pdf={}", target.display()), "--no-pdf-header-footer".to_owned()],
            page,
        );
        std::fs::read(&target).unwrap()
    }

    fn run(&self, args: &[String], page: &Path) -> Vec<u8> {
        let output = Command::new(&self.program)
            .args([
                "--headless",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--no-first-run",
            ])
            .args(["--disable-extensions", "--disable-background-networking", "--window-size=1280,1000"])
            .arg(format!("--user-data-dir={}", self.profile.path().display()))
            .args(args)
            .arg(format!("file://{}", page.display()))
            .stdin(Stdio::null())
            .output()
            .unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    }
}
