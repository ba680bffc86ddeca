//! Where the next round goes: a short look at each column, then to those where a step less to buy is near.
//!
//! A person buys whole steps of the seller, so a lay that becomes a little shorter is worth something only when it passes
//! a step. For every spread of a column that is close (at most one step more to buy than the best) the *reach* is the part
//! by which its cloth must become shorter for that, as far as its lower bound allows it at all. A column with the reach r
//! that has had n rounds beyond the look comes next when (r + 1/500)(n + 1) is least: one that needs half as much gets
//! twice the rounds, and none starves. Where cloth is in hand, a lay that is too long for it counts by how much.

use crate::cloth::Cloth;
use crate::in_hand::most_in_lay;
use crate::length::Length;
use crate::purchase::Purchase;
use crate::spread::Kind;

/// The reach of a column in which no step can be saved, but shorter lays may exist: its figures still become truer.
const FAR: f64 = 0.5;

/// Added to every reach: chosen by hand, so that a column a hair above a step does not take everything.
const HAIR: f64 = 1.0 / 500.0;

/// How one spread of a column stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Standing {
    pub(super) kind: Kind,
    /// Cloth of its shortest lay.
    pub(super) cloth: Length,
    /// What no lay of it can beat.
    pub(super) bound: Length,
}

/// How far a column is from a step less to buy; none when nothing in it can become shorter.
pub(super) fn reach(cloth: &Cloth, standings: &[Standing]) -> Option<f64> {
    let steps = |standing: &Standing| Purchase::steps_for(cloth, standing.cloth);
    let least = standings.iter().map(steps).min()?;
    let in_hand = most_in_lay(cloth);
    let of = |standing: &Standing| {
        let part = |enough: Length| {
            let shorter = standing.cloth.grid() - enough.grid();
            (shorter as f64 / standing.cloth.grid().max(1) as f64).min(FAR)
        };
        // With cloth in hand the question is whether it is enough, not how many steps there are to buy.
        if let Some(fits) = in_hand.filter(|&fits| standing.cloth > fits) {
            return if standing.bound > fits { FAR } else { part(fits) };
        }
        let mine = steps(standing);
        let enough = most_cloth_for(cloth, mine - 1);
        if mine > least + 1 || standing.bound > enough {
            return FAR;
        }
        part(enough)
    };
    standings.iter().filter(|s| s.cloth > s.bound).map(of).min_by(f64::total_cmp)
}

/// The column that works next, of the reach of each and its rounds beyond the look; none when all are done.
pub(super) fn next(columns: impl IntoIterator<Item = (Option<f64>, u64)>) -> Option<usize> {
    let weighed = columns
        .into_iter()
        .enumerate()
        .filter_map(|(column, (reach, rounds))| Some((column, (reach? + HAIR) * (rounds as f64 + 1.0))));
    weighed.min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0))).map(|(column, _)| column)
}

/// The most cloth lying in a lay for which so many steps suffice; zero when none does.
fn most_cloth_for(cloth: &Cloth, steps: i64) -> Length {
    let bought = Length::from_grid(steps * cloth.sale.step.grid().max(1));
    Purchase::most_in_lay(cloth, bought).unwrap_or_default()
}

#[cfg(test)]
mod effort_tests {
    use super::*;
    use crate::invented::{self, mm};
    use crate::spread::Family;

    /// Steps of 100 mm; 40 mm of ends and 50 mm to straighten.
    fn standing(cloth: i64, bound: i64) -> Standing {
        Standing { kind: Family::Single.into(), cloth: mm(cloth), bound: mm(bound) }
    }

    #[test]
    fn the_most_cloth_for_some_steps_is_exact() {
        let mut cloth = invented::cloth();
        assert_eq!(most_cloth_for(&cloth, 10), mm(910), "1000 less 90");
        assert_eq!(most_cloth_for(&cloth, 0), mm(0));
        cloth.shrinkage_along = 0.05;
        for steps in 2..40 {
            let most = most_cloth_for(&cloth, steps);
            let more = Length::from_grid(most.grid() + 1);
            assert_eq!(Purchase::of(&cloth, most, most).steps, steps);
            assert_eq!(Purchase::of(&cloth, more, more).steps, steps + 1);
        }
    }

    #[test]
    fn a_step_that_is_near_comes_first_and_one_that_is_proved_away_last() {
        let cloth = invented::cloth();
        let near = reach(&cloth, &[standing(920, 800)]).unwrap();
        let far = reach(&cloth, &[standing(1000, 800)]).unwrap();
        assert!((near - 10.0 / 920.0).abs() < 1e-9 && (far - 0.09).abs() < 1e-9, "{near}, {far}");
        assert_eq!(reach(&cloth, &[standing(920, 915)]), Some(FAR), "a step less is proved away");
        assert_eq!(reach(&cloth, &[standing(920, 920)]), None, "nothing shorter exists");
        assert_eq!(reach(&cloth, &[]), None);
        // A spread that is two steps behind does not draw rounds to its column.
        assert_eq!(reach(&cloth, &[standing(900, 900), standing(1112, 800)]), Some(FAR));
    }

    #[test]
    fn with_cloth_in_hand_going_into_it_counts() {
        // 1000 mm in hand leave 910 for the lay.
        let cloth = Cloth { length_in_hand: Some(mm(1000)), ..invented::cloth() };
        let near = reach(&cloth, &[standing(1000, 800)]).expect("it can become shorter");
        assert!((near - 0.09).abs() < 1e-9, "{near}");
        assert_eq!(reach(&cloth, &[standing(1000, 911)]), Some(FAR), "proved too long");
        // 1210 mm are a step and a bit above: 13 steps, but what counts is 300 mm to the cloth in hand.
        let far = reach(&cloth, &[standing(1211, 800)]).expect("it can become shorter");
        assert!((far - 301.0 / 1211.0).abs() < 1e-9, "{far}");
    }

    #[test]
    fn rounds_go_where_the_reach_is_short_and_nobody_starves() {
        let reaches = [Some(0.01), Some(0.04), None, Some(FAR)];
        let mut rounds = [0u64; 4];
        for _ in 0..200 {
            let column = next(reaches.into_iter().zip(rounds)).unwrap();
            rounds[column] += 1;
        }
        assert_eq!(rounds[2], 0);
        assert!(rounds[0] > 3 * rounds[1] && rounds[1] > 5 * rounds[3] && rounds[3] > 0, "{rounds:?}");
        assert_eq!(next([(None, 3), (None, 0)]), None);
    }
}
