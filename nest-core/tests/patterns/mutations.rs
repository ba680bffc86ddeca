//! Sample files cut short, spliced, doubled, and with numbers and bytes changed: whatever is read makes a job that can be laid
//! and a sheet that can be shown; whatever is not says why. Never a panic, and never long.

use std::time::{Duration, Instant};

use nest_core::import::{Import, ImportSettings, JobSettings, import, pretty};
use nest_core::job::Job;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

use crate::fixture;

/// For each sample; the number of changes it allows depends on the machine, the changes themselves on the seed alone.
/// `NEST_MUTATION_SECONDS` gives each sample so many instead, without an end to their number.
const TIME: Duration = Duration::from_millis(1500);
/// So many at the most, and at the least a tenth of them.
const MOST: usize = 600;

const WORDS: [&str; 24] = [
    "0",
    "-1",
    "1e308",
    "-1e-308",
    "NaN",
    "999999999999",
    "2147483647",
    "0.0000001",
    "<g>",
    "</g>",
    "<!ENTITY",
    "&a;",
    "\"",
    "--cut-0",
    "--size-",
    "Z",
    "M",
    "SECTION",
    "ENDSEC",
    "ENDBLK",
    "\r\n",
    ",",
    ";",
    "\u{0}",
];

/// One change of a file.
fn changed(bytes: &[u8], other: &[u8], rng: &mut Pcg64Mcg) -> Vec<u8> {
    let mut out = bytes.to_vec();
    for _ in 0..rng.random_range(1..4) {
        let at = rng.random_range(0..=out.len());
        let end = (at + rng.random_range(0..400)).min(out.len());
        match rng.random_range(0..8) {
            0 => out.truncate(at),
            1 => drop(out.drain(at..end)),
            2 => {
                let stretch = out[at..end].to_vec();
                out.splice(at..at, stretch);
            }
            3 => {
                let from = rng.random_range(0..=other.len());
                let to = (from + rng.random_range(0..2000)).min(other.len());
                out.splice(at..end, other[from..to].iter().copied());
            }
            4 => {
                if at < out.len() {
                    out[at] = rng.random_range(0..=255);
                }
            }
            5 => {
                // A number replaced, where there is one near.
                if let Some(digit) = out[at..end].iter().position(u8::is_ascii_digit) {
                    let word = WORDS[rng.random_range(0..WORDS.len())];
                    let start = at + digit;
                    let stop = out[start..]
                        .iter()
                        .position(|b| !b.is_ascii_digit())
                        .map_or(out.len(), |n| start + n);
                    out.splice(start..stop, word.bytes());
                }
            }
            6 => {
                let word = WORDS[rng.random_range(0..WORDS.len())];
                out.splice(at..at, word.bytes());
            }
            _ => {
                // Lines in another order.
                let mut lines: Vec<&[u8]> = out.split(|&b| b == b'\n').collect();
                let (i, j) = (rng.random_range(0..lines.len()), rng.random_range(0..lines.len()));
                lines.swap(i, j);
                out = lines.join(&b'\n');
            }
        }
    }
    out
}

#[test]
fn changed_samples_are_read_or_refused() {
    let names = [
        "garden-apron.svg",
        "field-smock-metric.dxf",
        "field-smock-english.dxf",
        "tool-roll.dxf",
        "mittens.csv",
    ];
    let asked = std::env::var("NEST_MUTATION_SECONDS").ok().and_then(|seconds| seconds.parse::<u64>().ok());
    let (time, most) = asked.map_or((TIME, MOST), |seconds| (Duration::from_secs(seconds), usize::MAX));
    let samples: Vec<Vec<u8>> = names.iter().map(|name| fixture(name)).collect();
    for (i, name) in names.into_iter().enumerate() {
        let mut rng = Pcg64Mcg::seed_from_u64(0x0afe_5eed + i as u64);
        let start = Instant::now();
        let (mut tried, mut taken) = (0, 0);
        while tried < most && (start.elapsed() < time || tried < MOST / 10) {
            let other = &samples[rng.random_range(0..samples.len())];
            let bytes = changed(&samples[i], other, &mut rng);
            tried += 1;
            let begun = Instant::now();
            let found = import(&bytes, &ImportSettings::default());
            let took = begun.elapsed();
            assert!(took < Duration::from_secs(10), "{name}, change {tried}: {took:?}");
            let place = format!("{name}, change {tried}");
            match found {
                Err(error) => assert!(!error.to_string().is_empty(), "{place}"),
                Ok(found) => {
                    taken += 1;
                    can_be_used(&found, &place);
                }
            }
        }
        if asked.is_some() {
            eprintln!("{name}: {tried} changed files, {taken} of them read");
        }
        assert!(taken > 0 && taken < tried, "{name}: {taken} of {tried} changed files were read");
    }
}

/// What was read makes a job file that reads back to a job, and a sheet that is well-formed.
fn can_be_used(found: &Import, place: &str) {
    let settings = JobSettings::default();
    if found.pattern.piece_count() == 0 {
        assert!(!found.left_out.is_empty(), "{place}: no piece, and no word of it");
        return;
    }
    let text = pretty(&found.job_file(&settings));
    if let Err(error) = Job::read(&text) {
        panic!("{place}: what was imported is no job: {error}");
    }
    let sheet = found.contact_sheet(&settings);
    if let Err(error) = roxmltree::Document::parse(&sheet) {
        panic!("{place}: the contact sheet is no XML: {error}");
    }
    for warning in &found.warnings {
        assert!(!warning.to_string().is_empty(), "{place}");
    }
}
