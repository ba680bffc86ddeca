//! [`Handling`]: the work a marker makes at the table.

use std::cmp::Ordering;

use crate::geometry::Point;
use crate::job::Job;
use crate::marker::{Form, Marker};
use crate::piece::Symmetry;
use crate::spread::{Family, Plies};

/// The work a marker makes at the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handling {
    /// Outlines to lay and cut.
    pub placements: usize,
    /// Half pieces that must be traced whole because they do not lie on a fold.
    pub opened_out: usize,
    /// Patterns that must be laid printed side down on a single ply for the mirrored copy. On two plies either side gives
    /// the same pair, and a piece that is its own mirror image needs no flipping.
    pub flipped: usize,
    /// Folds to make; cutting across and turning the upper ply counts as one, a tube as none.
    pub folds: usize,
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
            folds: marker.spread.sections.iter().map(|s| folds(s.family)).sum(),
            refolds: marker.spread.sections.len().saturating_sub(1),
            cutting_mm: 0.0,
        };
        for placement in &marker.placements {
            let shape = job.style.shape(placement.piece, placement.size);
            handling.cutting_mm +=
                placement.form.of(shape).edges().map(|(a, b)| mm_between(a, b)).sum::<f64>();
            match placement.form {
                Form::OpenedOut => handling.opened_out += 1,
                Form::OnFold => handling.cutting_mm -= shape.fold.map_or(0.0, |(a, b)| mm_between(a, b)),
                Form::Whole => {
                    let own_mirror_image = || shape.symmetry() == Symmetry::AboutGrain;
                    let down = placement.pose.mirrored && placement.plies == Plies::One;
                    handling.flipped += usize::from(down && !own_mirror_image());
                }
            }
        }
        handling
    }

    /// Less for what is easier: fewer placements; of as many, fewer to open out or flip; then fewer folds; then less to
    /// cut, to the centimetre.
    pub fn compare(&self, other: &Handling) -> Ordering {
        self.burdens().cmp(&other.burdens())
    }

    /// What is compared, the weightiest first: pieces to lay; to open out or flip; folds and refolds; centimetres to cut.
    pub(super) fn burdens(&self) -> [i64; 4] {
        let (placements, turning, folding) = self.counts();
        // Counts are far below 2^63, and a float that is not is held there.
        let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        [count(placements), count(turning), count(folding), (self.cutting_mm / 10.0).round() as i64]
    }

    /// Is it easier by what is counted, whatever the length of the cuts?
    pub fn is_plainly_easier_than(&self, other: &Handling) -> bool {
        self.counts() < other.counts()
    }

    fn counts(&self) -> (usize, usize, usize) {
        (self.placements, self.opened_out + self.flipped, self.folds + self.refolds)
    }
}

fn folds(family: Family) -> usize {
    match family {
        Family::Single | Family::Tubular => 0,
        Family::LengthwiseFold | Family::OffCentreFold | Family::CrosswiseFold | Family::TurnedDouble => 1,
        Family::TwoFolds => 2,
    }
}

fn mm_between(a: Point, b: Point) -> f64 {
    let d = b - a;
    (d.dot(d) as f64).sqrt() / 100.0
}
