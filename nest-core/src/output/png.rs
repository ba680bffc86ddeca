//! PNG: a picture of the marker to look at, and what a projector shows.

use resvg::tiny_skia::{Pixmap, Transform};

use super::PrintFault;
use super::face::{options, tree};
use super::sheet;
use crate::check::Checked;
use crate::draw::{Caption, draw};
use crate::job::Job;

/// The longer side of a preview, in pixels: every label of a marker of a few metres can be read.
const PREVIEW: f64 = 3000.0;
/// Pixels to the millimetre of a projector's picture: finer than a projector shows on a table.
const PROJECTOR: f64 = 2.0;
/// The longest side of any picture, in pixels.
const LONGEST: f64 = 20_000.0;

/// The drawing of the marker, its longer side 3000 pixels.
///
/// # Errors
/// When the drawing is too large to be read.
pub fn preview(job: &Job, checked: &Checked) -> Result<Vec<u8>, PrintFault> {
    let drawing = draw(job, checked, &Caption::of(job, checked));
    let tree = tree(&drawing, &options())?;
    let longer = f64::from(tree.size().width().max(tree.size().height()));
    picture(&tree, PREVIEW / longer)
}

/// What a projector shows, 2 pixels to the millimetre: 50.8 to the inch, as the file says too.
///
/// # Errors
/// When the lay is longer than 10 m: more pixels than a picture may have. The PDF and the SVG have no such limit.
pub fn projector(job: &Job, checked: &Checked) -> Result<Vec<u8>, PrintFault> {
    let sheet = sheet::projector(job, checked);
    if sheet.width.max(sheet.height) * PROJECTOR > LONGEST {
        return Err(PrintFault::TooManyPixels);
    }
    let tree = tree(&sheet.svg(), &options())?;
    picture(&tree, sheet.width * PROJECTOR / f64::from(tree.size().width()))
}

fn picture(tree: &resvg::usvg::Tree, scale: f64) -> Result<Vec<u8>, PrintFault> {
    let pixels = |side: f32| (f64::from(side) * scale).round().max(1.0) as u32;
    let mut picture = Pixmap::new(pixels(tree.size().width()), pixels(tree.size().height()))
        .ok_or(PrintFault::TooManyPixels)?;
    resvg::render(tree, Transform::from_scale(scale as f32, scale as f32), &mut picture.as_mut());
    picture.encode_png().map_err(|e| PrintFault::Drawing(e.to_string()))
}
