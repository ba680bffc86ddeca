//! The results of a measurement: what they hold, their JSON form, and how they are read again for a comparison.

use std::path::Path;

use anyhow::{Context, Result, bail};
use serde::{Deserialize, Serialize};

use crate::source::Source;

/// The version of the JSON form.
const VERSION: u32 = 1;

/// A larger file is no result of ours: a thousand instances with a thousand runs of a hundred improvements each fit.
const MAX_BYTES: usize = 256 << 20;

/// Everything measured by one run of the command.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Results {
    version: u32,
    /// The program and its version.
    pub(super) program: String,
    pub(super) conditions: Conditions,
    pub(super) instances: Vec<Measured>,
}

/// What the figures depend on, apart from the machine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Conditions {
    /// Time for a run, in seconds.
    pub(super) time_s: Option<f64>,
    /// Rounds for a run.
    pub(super) rounds: Option<u64>,
    /// Runs of each instance, with the seeds 1, 2, 3 and so on.
    pub(super) seeds: u64,
    pub(super) lanes: u32,
    pub(super) threads: usize,
}

/// An instance, or a cloth of a job, and its runs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Measured {
    pub(super) name: String,
    pub(super) file: String,
    /// Pieces to lay, every copy counted.
    pub(super) pieces: u64,
    /// The unit of the lengths: `mm` of cloth, or `own`: that of the instance's file.
    pub(super) unit: String,
    /// Grid units to one unit of the file, for an instance.
    pub(super) scale: Option<f64>,
    /// Did every corner come to lie exactly on the grid?
    pub(super) exact: bool,
    /// Width of the strip or the cloth, every ply of it, and area of all pieces, in the unit of the lengths: by these another
    /// instance of the same name is told. Results of earlier versions have neither.
    #[serde(default)]
    pub(super) width: Option<f64>,
    #[serde(default)]
    pub(super) pieces_area: Option<f64>,
    /// No lay can be shorter.
    pub(super) lower_bound: Option<f64>,
    /// Over the runs that passed the check; none without any.
    pub(super) density_percent: Option<Summary>,
    pub(super) runs: Vec<Run>,
}

/// The best, the mean and the worst of some densities.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Summary {
    pub(super) best: f64,
    pub(super) mean: f64,
    pub(super) worst: f64,
}

/// One search.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Run {
    pub(super) seed: u64,
    /// Of the shortest marker; none when it did not pass the check, or there is none.
    pub(super) density_percent: Option<f64>,
    pub(super) length: Option<f64>,
    /// What is wrong with the marker, where anything is.
    pub(super) fault: Option<String>,
    /// The marker is as long as the lower bound: none is shorter.
    pub(super) proved: bool,
    pub(super) rounds: u64,
    pub(super) evaluations: u64,
    pub(super) seconds: f64,
    /// When the search found its shortest marker, which is pushed together at the end.
    pub(super) seconds_to_best: f64,
    /// Each improvement: seconds, and density in percent.
    pub(super) curve: Vec<(f64, f64)>,
}

impl Results {
    pub(super) fn new(conditions: Conditions) -> Results {
        let program = format!("nest {}", env!("CARGO_PKG_VERSION"));
        Results { version: VERSION, program, conditions, instances: Vec::new() }
    }

    pub(super) fn to_json(&self) -> Result<String> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }

    /// Reads results written earlier.
    pub(super) fn read(path: &Path) -> Result<Results> {
        #[derive(Deserialize)]
        struct Probe {
            version: u32,
        }
        let bytes = Source::from(path).read(MAX_BYTES)?;
        let shown = path.display();
        if let Ok(Probe { version }) = serde_json::from_slice(&bytes)
            && version != VERSION
        {
            bail!(
                "{shown} holds results of version {version}, and this program reads version {VERSION}: measure again"
            );
        }
        let results: Results = serde_json::from_slice(&bytes)
            .with_context(|| format!("{shown} is no result of nest bench: give a file that --json wrote"))?;
        if results.instances.is_empty() {
            bail!("{shown} holds no measurement: give a file that --json wrote");
        }
        let sound = |mean: f64| (0.0..=100.0).contains(&mean);
        for measured in &results.instances {
            if measured.density_percent.is_some_and(|density| !sound(density.mean)) {
                bail!("{shown}: no density of {} can be what it says: measure again", measured.name);
            }
        }
        Ok(results)
    }

    pub(super) fn named(&self, name: &str) -> Option<&Measured> {
        self.instances.iter().find(|measured| measured.name == name)
    }

    /// What was measured of the same name, with as many pieces of the same area on a strip or cloth of the same width.
    pub(super) fn counterpart(&self, other: &Measured) -> Option<&Measured> {
        let same = |a: Option<f64>, b: Option<f64>| a.is_none() || b.is_none() || a == b;
        self.named(&other.name).filter(|measured| {
            (measured.pieces, &measured.unit) == (other.pieces, &other.unit)
                && same(measured.width, other.width)
                && same(measured.pieces_area, other.pieces_area)
        })
    }

    /// Runs whose marker is not right, or that found none.
    pub(super) fn faults(&self) -> impl Iterator<Item = (&Measured, &Run, &str)> {
        self.instances
            .iter()
            .flat_map(|m| m.runs.iter().filter_map(move |run| Some((m, run, run.fault.as_deref()?))))
    }
}

impl Measured {
    /// Adds a run, with the bound that it proved.
    pub(super) fn add(&mut self, run: Run, lower_bound: Option<f64>) {
        self.runs.push(run);
        // Each is right; the seeds may differ in which spreads they found a marker for.
        self.lower_bound = match (self.lower_bound, lower_bound) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        let densities: Vec<f64> = self.runs.iter().filter_map(|run| run.density_percent).collect();
        self.density_percent = (!densities.is_empty()).then(|| Summary {
            best: densities.iter().copied().fold(f64::MIN, f64::max),
            mean: densities.iter().sum::<f64>() / densities.len() as f64,
            worst: densities.iter().copied().fold(f64::MAX, f64::min),
        });
    }

    /// The length of the best run.
    pub(super) fn length(&self) -> Option<f64> {
        self.runs.iter().filter_map(|run| run.length).min_by(f64::total_cmp)
    }

    /// Mean time until a run found its best.
    pub(super) fn seconds_to_best(&self) -> f64 {
        let count = self.runs.len().max(1) as f64;
        self.runs.iter().map(|run| run.seconds_to_best).sum::<f64>() / count
    }

    /// Candidate positions evaluated in a second, over all runs.
    pub(super) fn evaluations_per_second(&self) -> f64 {
        let seconds: f64 = self.runs.iter().map(|run| run.seconds).sum();
        let evaluations: u64 = self.runs.iter().map(|run| run.evaluations).sum();
        if seconds > 0.0 { evaluations as f64 / seconds } else { 0.0 }
    }

    /// Is some run's marker proved to be the shortest?
    pub(super) fn proved(&self) -> bool {
        self.runs.iter().any(|run| run.proved)
    }
}

#[cfg(test)]
pub(super) mod results_tests {
    use super::*;

    /// Results of instances with runs of these densities.
    pub(in super::super) fn results(instances: &[(&str, &[f64])]) -> Results {
        let conditions = Conditions { time_s: Some(10.0), rounds: None, seeds: 2, lanes: 2, threads: 2 };
        let mut results = Results::new(conditions);
        for (name, densities) in instances {
            let mut measured = Measured {
                name: (*name).to_owned(),
                file: format!("{name}.json"),
                pieces: 12,
                unit: "own".to_owned(),
                scale: Some(5000.0),
                exact: true,
                width: Some(40.0),
                pieces_area: Some(2400.0),
                lower_bound: None,
                density_percent: None,
                runs: Vec::new(),
            };
            for (seed, &density) in densities.iter().enumerate() {
                let run = Run {
                    seed: seed as u64 + 1,
                    density_percent: Some(density),
                    length: Some(4000.0 / density),
                    fault: None,
                    proved: density == 100.0,
                    rounds: 7,
                    evaluations: 30_000_000,
                    seconds: 10.0,
                    seconds_to_best: 6.0,
                    curve: vec![(0.1, density - 9.0), (6.0, density)],
                };
                measured.add(run, Some(40.0));
            }
            results.instances.push(measured);
        }
        results
    }

    #[test]
    fn results_are_read_as_they_were_written() {
        // To the last bit of the first mean, too: a margin of nothing takes the next one below for a fall.
        let written = results(&[("one", &[640.0 / 7.0, 640.0 / 7.0]), ("two", &[100.0])]);
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("r.json");
        std::fs::write(&path, written.to_json().unwrap()).unwrap();
        assert_eq!(Results::read(&path).unwrap(), written);

        std::fs::write(&path, r#"{ "version": 9 }"#).unwrap();
        let said = Results::read(&path).unwrap_err().to_string();
        assert!(said.contains("holds results of version 9"), "{said}");
        std::fs::write(&path, "{}").unwrap();
        let said = Results::read(&path).unwrap_err().to_string();
        assert!(said.contains("is no result of nest bench"), "{said}");
    }

    #[test]
    fn a_run_that_failed_the_check_counts_nowhere() {
        let mut results = results(&[("one", &[80.0, 82.0])]);
        let mut failed = results.instances[0].runs[0].clone();
        (failed.density_percent, failed.length) = (None, None);
        failed.fault = Some("pieces overlap".to_owned());
        results.instances[0].add(failed, None);
        let summary = results.instances[0].density_percent.unwrap();
        assert_eq!((summary.best, summary.mean, summary.worst), (82.0, 81.0, 80.0));
        assert_eq!(results.faults().count(), 1);
    }
}
