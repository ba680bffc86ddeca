//! Densities that others have published, to set beside ours.

use std::path::Path;

use anyhow::{Context, Result, bail};
use serde::Deserialize;

use crate::source::Source;

/// A thousand instances fit many times over.
const MAX_BYTES: usize = 4 << 20;

/// Published densities and where they come from.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Published {
    /// The publication.
    pub(super) source: String,
    /// How far the figures are to be trusted, in a sentence.
    pub(super) note: Option<String>,
    densities: Vec<Density>,
}

/// What was published for one instance, in percent.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Density {
    /// As the instance calls itself.
    instance: String,
    pub(super) best: f64,
    pub(super) average: f64,
}

impl Published {
    pub(super) fn read(path: &Path) -> Result<Published> {
        let bytes = Source::from(path).read(MAX_BYTES)?;
        let published: Published = serde_json::from_slice(&bytes).with_context(|| {
            format!(
                "{} holds no published densities: write {{\"source\": ..., \"densities\": [{{\"instance\": ..., \
                 \"best\": ..., \"average\": ...}}]}}, in percent",
                path.display()
            )
        })?;
        for (at, density) in published.densities.iter().enumerate() {
            if published.densities[..at].iter().any(|other| other.instance == density.instance) {
                bail!("{}: {} is there twice: take one out", path.display(), density.instance);
            }
            let sound = 0.0 < density.average && density.average <= density.best && density.best <= 100.0;
            if !sound {
                bail!(
                    "{}: of {} the best is {} and the average {}: write percentages, the best not below the average",
                    path.display(),
                    density.instance,
                    density.best,
                    density.average
                );
            }
        }
        Ok(published)
    }

    pub(super) fn of(&self, instance: &str) -> Option<&Density> {
        self.densities.iter().find(|density| density.instance == instance)
    }
}

#[cfg(test)]
mod published_tests {
    use super::*;

    #[test]
    fn the_published_densities_kept_here_are_read() {
        let path = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../benches/published.json"));
        let published = Published::read(path).unwrap();
        assert!(published.note.as_ref().is_some_and(|note| note.contains("memory")), "said to be unverified");
        assert_eq!(published.densities.len(), 9);
        assert_eq!(published.of("fu").map(|d| (d.best, d.average)), Some((92.41, 90.68)));
        assert_eq!(published.of("unheard of"), None);
    }

    #[test]
    fn best_and_average_exchanged_or_an_instance_twice_are_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("p.json");
        let said = |densities: &str| {
            let text = format!(r#"{{ "source": "ours", "densities": [{densities}] }}"#);
            std::fs::write(&path, text).unwrap();
            Published::read(&path).unwrap_err().to_string()
        };
        let exchanged = said(r#"{ "instance": "a", "best": 80, "average": 81 }"#);
        assert!(exchanged.contains("of a the best is 80 and the average 81"), "{exchanged}");
        let one = r#"{ "instance": "a", "best": 80, "average": 79 }"#;
        assert!(said(&format!("{one}, {one}")).contains("a is there twice"));
    }
}
