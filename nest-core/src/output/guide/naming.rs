//! What pieces, sizes, views and turns are called in the guide.

use crate::draw::way::{Way, face_down};
use crate::geometry::{Pose, Turn};
use crate::job::{Job, ONE_SIZE};
use crate::marker::Placement;
use crate::order::OrderLine;

/// "3 Sleeve, 42": the number that is on the drawing, the name, and the size where there is more than one.
pub(super) fn piece(job: &Job, piece: usize, size: usize) -> String {
    let name = format!("{} {}", piece + 1, job.style.pieces[piece].name);
    match self::size(job, size) {
        "" => name,
        size => format!("{name}, {size}"),
    }
}

/// A size; nothing where the job has a single one without a name.
pub(super) fn size(job: &Job, size: usize) -> &str {
    let nameless = job.style.sizes.len() == 1 && job.style.sizes[size] == ONE_SIZE;
    if nameless { "" } else { &job.style.sizes[size] }
}

/// "2 garments, view A, size 42".
pub(super) fn order_line(job: &Job, line: &OrderLine) -> String {
    let mut told = counted(line.garments as usize, "garment");
    if job.style.views.len() > 1 {
        told.push_str(&format!(", view {}", job.style.views[line.view].name));
    }
    let size = size(job, line.size);
    if !size.is_empty() {
        told.push_str(&format!(", size {size}"));
    }
    told
}

/// "1 piece", "2 pieces".
pub(super) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// "on fold", "two plies", "one ply", "opened out".
pub(super) fn way(placement: &Placement) -> &'static str {
    match Way::of(placement) {
        Way::OnFold => "on the fold",
        way => way.brief(),
    }
}

/// Which side of the paper is up; either, where the shape that is laid is its own mirror image.
pub(super) fn printed_side(job: &Job, placement: &Placement) -> &'static str {
    let shape = job.style.shape(placement.piece, placement.size);
    let other = Placement {
        pose: Pose { mirrored: !placement.pose.mirrored, ..placement.pose },
        ..placement.clone()
    };
    if face_down(placement, shape) {
        "down"
    } else if face_down(&other, shape) {
        "up"
    } else {
        "either"
    }
}

/// Where the top of the piece points, as seen by who stands at the near edge with the start at the left.
pub(super) fn top(pose: Pose) -> &'static str {
    match pose.turn {
        Turn::None => "right",
        Turn::Quarter => "far",
        Turn::Half => "left",
        Turn::ThreeQuarter => "near",
    }
}

/// "3", "3 and 5", "3, 5 and 8".
pub(super) fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
