//! The commands that the README shows are commands that work.

use std::fs;

use crate::program::{Table, workspace};

/// The lines of the README's `sh` blocks that call the program, as its arguments.
fn commands() -> Vec<Vec<String>> {
    let readme = fs::read_to_string(workspace().join("README.md")).unwrap();
    let mut commands = Vec::new();
    let mut in_block = false;
    for line in readme.lines() {
        if line.starts_with("```") {
            in_block = line == "```sh";
        } else if in_block {
            let line = line.split(" #").next().unwrap_or_default().trim();
            let called = line.strip_prefix("nest ").or_else(|| line.strip_prefix("cargo run --release -- "));
            if let Some(args) = called {
                commands.push(args.split_whitespace().map(str::to_owned).collect());
            }
        }
    }
    commands
}

#[test]
fn the_commands_of_the_readme_run() {
    let table = Table::new();
    #[cfg(unix)]
    std::os::unix::fs::symlink(workspace().join("fixtures"), table.path().join("fixtures")).unwrap();
    let commands = commands();
    assert!(commands.iter().any(|args| args[0] == "lay"), "the README shows how to lay a job");
    for mut args in commands {
        // Shorter than a person would want, and never with the clock.
        if matches!(args[0].as_str(), "lay" | "compare") && !args.iter().any(|arg| arg == "--rounds") {
            if let Some(time) = args.iter().position(|arg| arg == "--time") {
                args.drain(time..time + 2);
            }
            args.extend(["--rounds".to_owned(), "1".to_owned()]);
        }
        // What a shell does with a result is not the program's affair.
        if let Some(redirect) = args.iter().position(|arg| arg == ">") {
            args.truncate(redirect);
        }
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let ended = table.run(&args);
        assert_eq!(ended.code, Some(0), "nest {}: {ended:?}", args.join(" "));
    }
}

#[test]
fn the_job_of_the_readme_can_be_laid() {
    let readme = fs::read_to_string(workspace().join("README.md")).unwrap();
    let (_, rest) = readme.split_once("```json\n").unwrap();
    let (job, _) = rest.split_once("```").unwrap();
    let table = Table::new();
    let ended = table.run_with_input(&["lay", "-", "--rounds", "1", "-q"], job.as_bytes());
    assert_eq!(ended.code, Some(0), "{ended:?}");
    assert!(ended.stdout.starts_with("Waistcoat\n"), "{}", ended.stdout);
}
