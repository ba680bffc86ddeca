//! The guide against the drawing, and what it must say.

use super::Guide;
use crate::check::check;
use crate::invented;

/// Keeps a page to be looked at where `NEST_DRAWINGS` names a folder, which ordinary runs do not.
fn keep(name: &str, ending: &str, content: &[u8]) {
    if let Ok(folder) = std::env::var("NEST_DRAWINGS") {
        std::fs::write(format!("{folder}/guide-{}.{ending}", name.replace(' ', "-")), content).unwrap();
    }
}

#[test]
fn try_it() {
    for (name, job, marker) in invented::good_markers() {
        let checked = check(&job, &marker).unwrap();
        let guide = Guide::new(&job, &[checked]);
        keep(name, "txt", guide.text().as_bytes());
        keep(name, "html", guide.html().as_bytes());
    }
}
