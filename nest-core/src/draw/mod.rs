//! A marker drawn at true size as SVG: the cloth, every piece with its marks and its name, rulers, title and key.
//!
//! # Frame and units
//! One unit of the drawing is one millimetre: `width` and `height` are in mm and the view box repeats them. The drawing's
//! y runs down, the lay's runs up; it is turned over once, in `Sheet::at`, so that the edge nearest
//! the cutter lies at the bottom of the picture. Outlines are written to the last hundredth of a millimetre, exactly.
//!
//! # How a piece is told
//! Its tint and its build tell how it is cut, so that colour is never needed: a doubled outline is cut through two
//! plies, a bracket points at the edge that lies on a fold, a line of dashes and dots runs down the middle of a half
//! piece that was opened out, and slanting strokes say that the pattern lies printed side down. A lattice of crossed
//! strokes is a flaw of the cloth.

mod caption;
mod cloth;
pub(crate) mod ink;
mod key;
pub(crate) mod label;
pub(crate) mod lettering;
pub(crate) mod marks;
pub(crate) mod measure;
pub(crate) mod piece;
pub(crate) mod room;
mod ruler;
mod sheet;
mod small;
mod tally;
mod title;
pub(crate) mod way;

#[cfg(test)]
mod samples;
#[cfg(test)]
mod tests;

use svg::Document;
use svg::node::element::{Group, Rectangle};

use crate::check::Checked;
use crate::job::Job;
use crate::marker::Marker;
pub use caption::Caption;
use ink::mm;
use sheet::Sheet;
pub use small::{SmallDrawing, draw_small};

/// Draws a marker that has passed `job`'s check, at true size: a whole SVG document.
///
/// # Frame and units
/// See the [module](self). The same marker and caption give the same bytes.
///
/// # Panics
/// When the marker was checked against another job and names a piece or a size that this one does not have.
///
/// # Complexity
/// Dominated by finding room for the words: for each different piece O(n) for some thousand places, n its vertices.
///
/// # Example
/// ```
/// use nest_core::draw::{Caption, draw};
/// use nest_core::job::Job;
/// use nest_core::report::Report;
/// use nest_core::search::{Settings, Silent};
///
/// let job = Job::read(
///     r#"{
///         "version": 1, "units": "cm", "name": "Scarf",
///         "pieces": [{ "id": "half", "cut": 2, "outline": [[0, 0], [90, 0], [90, 30], [0, 30]],
///                      "grainline": [[10, 15], [80, 15]] }],
///         "cloths": [{ "width": 70 }]
///     }"#,
/// )?;
/// let settings = Settings { rounds: Some(1), ..Settings::default() };
/// let answer = nest_core::lay(&job, &job.cloths[0], &settings, &mut Silent);
/// let report = Report::new(&job, &[answer], &settings);
/// let cloth = &report.cloths[0];
/// if let Some(best) = cloth.winner() {
///     let drawing = draw(&job, &best.checked, &Caption::new(cloth, best, job.unit));
///     assert!(drawing.contains("length to buy"));
/// }
/// # assert_eq!(cloth.winner().map(|best| best.purchase.lay.mm()), Some(900.0));
/// # Ok::<(), nest_core::job::ReadError>(())
/// ```
pub fn draw(job: &Job, checked: &Checked, caption: &Caption) -> String {
    drawing(job, checked.marker(), caption)
}

/// The end of what every drawing says of itself.
const TRUE_SIZE: &str = "pieces laid at true size; one unit is one millimetre.";

/// Is a text a drawing that [`draw`] made?
pub fn is_drawing(text: &str) -> bool {
    text.contains("<svg") && text.contains(&format!("{TRUE_SIZE}</desc>"))
}

fn drawing(job: &Job, marker: &Marker, caption: &Caption) -> String {
    let mut sheet = Sheet::new(&marker.spread);
    let title = title::title(&sheet, job, marker, caption);
    sheet.put_lay_below(&title);

    let mut blocks = vec![key::key(&sheet, job, marker)];
    blocks.extend(title::notes(&sheet, caption));
    blocks.push(tally::tally(&sheet, job, marker));
    let blocks = sheet.put_below_lay(blocks);

    let spread = marker.spread.title();
    let name = format!("{}: {}, {spread}", job.name, marker.cloth);
    let told = format!("{} {TRUE_SIZE}", marker.placements.len());

    let mut document = Document::new()
        .set("width", format!("{}mm", mm(sheet.width())))
        .set("height", format!("{}mm", mm(sheet.height())))
        .set("viewBox", format!("0 0 {} {}", mm(sheet.width()), mm(sheet.height())))
        .set("font-family", ink::FONTS)
        .set("role", "img")
        .add(lettering::told("title", &name))
        .add(lettering::told("desc", &told))
        .add(ink::definitions(
            &sheet,
            marker,
            cloth::shows_flaws(job, marker) || cloth::shows_edge(job, marker),
        ))
        .add(
            Rectangle::new()
                .set("width", mm(sheet.width()))
                .set("height", mm(sheet.height()))
                .set("fill", "#ffffff"),
        )
        .add(title.drawn)
        .add(cloth::cloth(&sheet, job, marker))
        .add(ruler::rulers(&sheet, job.unit));

    let mut draughtsman = piece::Pieces::new(&sheet, job, &marker.cloth);
    let mut pieces = Group::new().set("id", "pieces");
    for (n, placement) in marker.placements.iter().enumerate() {
        pieces = pieces.add(draughtsman.drawn(n, placement));
    }
    document = document.add(pieces);
    for block in blocks {
        document = document.add(block);
    }
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
}
