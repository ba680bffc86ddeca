//! The order of lays in a report: by what is the one better than the other, first of all things that differ.

use std::cmp::Ordering;

use super::{Lay, LineReport};
use crate::cloth::Cloth;

/// What lays are ranked by, the weightiest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Merit {
    /// Going into the cloth in hand.
    InHand,
    /// The length to buy; not of a remnant, which is not bought.
    ToBuy,
    /// Pieces to lay.
    Placements,
    /// Pieces to open out or to flip.
    Turning,
    /// Folds to make, and times to fold anew.
    Folding,
    /// The length of the cuts, to the centimetre.
    Cutting,
    /// Cloth lying in the lay.
    Cloth,
}

impl Merit {
    const ALL: [Merit; 7] = [
        Merit::InHand,
        Merit::ToBuy,
        Merit::Placements,
        Merit::Turning,
        Merit::Folding,
        Merit::Cutting,
        Merit::Cloth,
    ];

    /// The less, the better.
    fn burden(self, cloth: &Cloth, lay: &Lay) -> i64 {
        let [placements, turning, folding, cutting] = lay.handling.burdens();
        match self {
            Merit::InHand => i64::from(lay.purchase.missing().is_some()),
            Merit::ToBuy if cloth.within.is_some() => 0,
            Merit::ToBuy => lay.purchase.to_buy.grid(),
            Merit::Placements => placements,
            Merit::Turning => turning,
            Merit::Folding => folding,
            Merit::Cutting => cutting,
            Merit::Cloth => lay.purchase.cloth_in_lay.grid(),
        }
    }

    /// The first in which two lays on `cloth` differ; none when nothing tells them apart.
    pub(super) fn that_decides(cloth: &Cloth, a: &Lay, b: &Lay) -> Option<Merit> {
        Merit::ALL.into_iter().find(|merit| merit.burden(cloth, a) != merit.burden(cloth, b))
    }
}

/// The lines with a lay on `cloth`, best first; equals keep their order.
pub(super) fn ranked(cloth: &Cloth, lines: &[LineReport]) -> Vec<usize> {
    let mut laid: Vec<(usize, &Lay)> =
        lines.iter().enumerate().filter_map(|(i, line)| Some((i, line.lay()?))).collect();
    laid.sort_by(|(_, a), (_, b)| compare(cloth, a, b));
    laid.into_iter().map(|(i, _)| i).collect()
}

/// Less for the better of two lays on `cloth`.
fn compare(cloth: &Cloth, a: &Lay, b: &Lay) -> Ordering {
    Merit::that_decides(cloth, a, b)
        .map_or(Ordering::Equal, |merit| merit.burden(cloth, a).cmp(&merit.burden(cloth, b)))
}
