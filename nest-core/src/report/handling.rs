//! [`Handling`]: the work a marker makes at the table.

use std::cmp::Ordering;

use crate::geometry::Point;
use crate::job::Job;
use crate::marker::{Form, Marker};
use crate::piece::Symmetry;

/// The work a marker makes at the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handling {
    /// Outlines to lay and cut.
    pub placements: usize,
    /// Half pieces that must be traced whole because they do not lie on a fold.
    pub opened_out: usize,
    /// Patterns to lay printed side down; pieces that are their own mirror image need no flipping.
    pub flipped: usize,
    /// Times the cloth is folded anew.
    pub refolds: usize,
    /// All cuts together, in millimetres; fold edges are not cut.
    pub cutting_mm: f64,
}

impl Handling {
    /// Of a marker that fits the job.
    pub fn of(job: &Job, marker: &Marker) -> Handling {
        let mut handling = Handling {
            placements: marker.placements.len(),
            opened_out: 0,
            flipped: 0,
            refolds: marker.spread.sections.len().saturating_sub(1),
            cutting_mm: 0.0,
        };
        for placement in &marker.placements {
            let shape = &job.style.pieces[placement.piece].shapes[&job.style.sizes[placement.size]];
            let outline = if placement.form == Form::OpenedOut { &shape.full } else { &shape.outline };
            handling.cutting_mm += outline.edges().map(|(a, b)| mm_between(a, b)).sum::<f64>();
            match placement.form {
                Form::OpenedOut => handling.opened_out += 1,
                Form::OnFold => {
                    handling.flipped += usize::from(placement.pose.mirrored);
                    handling.cutting_mm -= shape.fold.map_or(0.0, |(a, b)| mm_between(a, b));
                }
                Form::Whole => {
                    let own_mirror_image = || shape.symmetry() == Symmetry::AboutGrain;
                    handling.flipped += usize::from(placement.pose.mirrored && !own_mirror_image());
                }
            }
        }
        handling
    }

    /// Less for what is easier: fewer placements; of as many, fewer to open out or flip; then fewer refolds; then less to
    /// cut.
    pub fn compare(&self, other: &Handling) -> Ordering {
        let counts = |h: &Handling| (h.placements, h.opened_out + h.flipped, h.refolds);
        counts(self).cmp(&counts(other)).then(self.cutting_mm.total_cmp(&other.cutting_mm))
    }
}

fn mm_between(a: Point, b: Point) -> f64 {
    let d = b - a;
    (d.dot(d) as f64).sqrt() / 100.0
}
