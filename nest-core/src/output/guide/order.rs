//! The order of laying, and where each piece lies as a ruler finds it: from the start, and from a selvage or fold.

use super::edges::{Edge, edges};
use crate::cloth::Cloth;
use crate::draw::marks::inside;
use crate::geometry::{Bounds, Point, Turn};
use crate::job::Job;
use crate::marker::{Form, Marker, Placement};
use crate::spread::Section;

/// A piece of at least this part of the largest one's area is laid with the large ones. Chosen by hand: of a shirt these
/// are fronts, back and sleeves.
const LARGE: f64 = 0.25;

/// When in a section a piece is laid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Batch {
    OnFold,
    Large,
    Small,
}

impl Batch {
    pub(super) fn title(self) -> &'static str {
        match self {
            Batch::OnFold => "On the fold",
            Batch::Large => "Large pieces",
            Batch::Small => "Small pieces",
        }
    }
}

/// A placement and what is measured to lay it, in grid units.
pub(super) struct Laid<'a> {
    /// When it is laid, from 1.
    pub(super) step: usize,
    /// Its number in the marker, from 1.
    pub(super) number: usize,
    pub(super) placement: &'a Placement,
    pub(super) batch: Batch,
    /// The box of its outline in the lay.
    pub(super) bounds: Bounds,
    /// From the start line of its section to its nearest point.
    pub(super) from_start: i64,
    /// From the nearest selvage or fold to its nearest point.
    pub(super) from_edge: (i64, &'static str),
    /// Bottom and top of its grainline in the lay.
    pub(super) grainline: [Point; 2],
    /// How far bottom and top of the grainline lie from one and the same line of the cloth, and the name of that line:
    /// the nearest selvage or fold; of a grainline that lies across the cloth, the start line.
    pub(super) grain: ([i64; 2], &'static str),
}

/// Everything to be laid, in the order of laying: section by section, pieces on the fold first, large before small, and
/// from the start onwards.
pub(super) fn order<'a>(job: &Job, cloth: &Cloth, marker: &'a Marker) -> Vec<Laid<'a>> {
    let area = |p: &Placement| {
        let outline = p.outline(job.style.shape(p.piece, p.size));
        outline.area_mm2()
    };
    let largest = marker.placements.iter().map(area).fold(0.0, f64::max);
    let mut laid: Vec<Laid<'_>> = marker
        .placements
        .iter()
        .enumerate()
        .map(|(n, placement)| {
            let batch = match placement.form {
                Form::OnFold => Batch::OnFold,
                _ if area(placement) >= LARGE * largest => Batch::Large,
                _ => Batch::Small,
            };
            measured(job, cloth, &marker.spread.sections[placement.section], n + 1, placement, batch)
        })
        .collect();
    laid.sort_by_key(|l| (l.placement.section, l.batch, l.bounds.low, l.number));
    for (i, l) in laid.iter_mut().enumerate() {
        l.step = i + 1;
    }
    laid
}

fn measured<'a>(
    job: &Job,
    cloth: &Cloth,
    section: &Section,
    number: usize,
    placement: &'a Placement,
    batch: Batch,
) -> Laid<'a> {
    let shape = job.style.shape(placement.piece, placement.size);
    let bounds = placement.outline(shape).bounds();
    let (bottom, top) = inside(placement.form.of(shape), shape.grainline);
    let grainline = [bottom, top].map(|p| placement.pose.apply(p) + placement.position);
    let beside = edges(section, cloth, placement.band);
    let start = section.start.grid();
    let gap = |edge: Edge| (bounds.low.y - edge.y).abs().min((bounds.high.y - edge.y).abs());
    let [low, high] = beside;
    let nearest = if gap(low) <= gap(high) { low } else { high };
    let grain = if matches!(placement.pose.turn, Turn::Quarter | Turn::ThreeQuarter) {
        (grainline.map(|p| p.x - start), "start")
    } else {
        // One line for both ends: the one that the whole grainline lies nearer to.
        let far = |edge: Edge| grainline.iter().map(|p| (p.y - edge.y).abs()).sum::<i64>();
        let edge = if far(low) <= far(high) { low } else { high };
        (grainline.map(|p| (p.y - edge.y).abs()), edge.name)
    };
    Laid {
        step: 0,
        number,
        placement,
        batch,
        bounds,
        from_start: bounds.low.x - start,
        from_edge: (gap(nearest), nearest.name),
        grainline,
        grain,
    }
}
