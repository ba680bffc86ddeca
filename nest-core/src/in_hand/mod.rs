//! Cloth in hand: is it enough, what is left of it, and, if it is too short, what to leave out.

mod certain;
mod leave_out;
mod left_over;
mod loss;
mod quest;
mod stock;
mod stretch;
mod within;

pub use leave_out::{Without, leave_out, leave_out_without_search};
pub use left_over::{LeftOver, Rectangle};
pub(crate) use loss::Choices;
pub use loss::LeftOut;
pub(crate) use quest::{Looked, Quest};
pub(crate) use stock::{Filled, Stock, apart, groups, in_order, units};
pub(crate) use stretch::thinned;
pub(crate) use within::{fitting, lay_within};

use crate::cloth::Cloth;
use crate::length::Length;
use crate::purchase::Purchase;

/// The most cloth that may lie in a lay, without ends, for the length in hand to be enough; none when no length is given,
/// or when the ends alone take all of it.
pub fn most_in_lay(cloth: &Cloth) -> Option<Length> {
    Purchase::most_in_lay(cloth, cloth.length_in_hand?)
}

/// Is it proved that no lay can do with the length in hand, if none takes less than `bound`?
pub fn is_impossible(cloth: &Cloth, bound: Length) -> bool {
    cloth.length_in_hand.is_some_and(|have| Purchase::needed_for(cloth, bound) > have)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented::{self, mm};

    #[test]
    fn the_most_that_may_lie_in_a_lay_is_the_last_that_is_enough() {
        let plain = invented::cloth();
        assert_eq!(most_in_lay(&plain), None, "nothing in hand");
        for (have, shrinkage) in [(2000, 0.0), (2000, 0.05), (1999, 0.031), (90, 0.0), (89, 0.0), (40, 0.1)] {
            let cloth = Cloth { length_in_hand: Some(mm(have)), shrinkage_along: shrinkage, ..plain.clone() };
            let needed = |lay: i64| Purchase::needed_for(&cloth, Length::from_grid(lay));
            match most_in_lay(&cloth) {
                Some(most) => {
                    assert!(needed(most.grid()) <= mm(have), "{have} mm, {shrinkage}");
                    assert!(needed(most.grid() + 1) > mm(have), "{have} mm, {shrinkage}");
                    assert!(!is_impossible(&cloth, most));
                    assert!(is_impossible(&cloth, Length::from_grid(most.grid() + 1)));
                }
                None => assert!(needed(0) > mm(have)),
            }
        }
        // 20 mm at each end and 50 mm to straighten, with nothing lost in washing.
        let cloth = Cloth { length_in_hand: Some(mm(2000)), ..plain };
        assert_eq!(most_in_lay(&cloth), Some(mm(1910)));
    }
}
