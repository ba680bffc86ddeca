//! Turns agree with the grain each piece accepts and with the nap.

use super::count::mirror_images_of_itself;
use super::footprint::Footprint;
use super::violation::{Fault, Violation};
use crate::cloth::{Cloth, Nap};
use crate::geometry::Turn;
use crate::piece::Grain;

/// Judges the turn of one placement.
pub(super) fn judge(footprint: &Footprint<'_>, cloth: &Cloth, found: &mut Vec<Violation>) {
    let pose = footprint.placement.pose;
    let symmetric = || mirror_images_of_itself(&footprint.shape.full).about_grain;
    let allowed = allowed(footprint.piece.grain, cloth.nap, pose.mirrored, symmetric);
    if !allowed.contains(&pose.turn) {
        let fault = Fault::Turn { turn: pose.turn, mirrored: pose.mirrored, allowed: allowed.to_vec() };
        found.push(footprint.violation(fault, Some(footprint.middle())));
    }
}

/// The turns allowed.
///
/// Without nap, a grainline may point either way. With nap every grainline points the same way, in every size, so a
/// piece that takes either grain is laid lengthwise. A piece for the crosswise grain has its top to one side; flipping it
/// over about its grainline leaves the nap running to the piece's other side unless it is turned end for end too. So it
/// is a quarter turn as drawn and three quarters mirrored: then the two of a pair are true mirror images in their nap as
/// well, exactly as they come off a lengthwise fold. A piece that is its own mirror image comes off that fold in both
/// turns, and may lie in both.
fn allowed(grain: Grain, nap: Nap, mirrored: bool, symmetric: impl Fn() -> bool) -> &'static [Turn] {
    match (nap, grain) {
        (Nap::None, Grain::Lengthwise) => &[Turn::None, Turn::Half],
        (Nap::None, Grain::Crosswise) => &[Turn::Quarter, Turn::ThreeQuarter],
        (Nap::None, Grain::Either) => &Turn::ALL,
        (Nap::OneWay, Grain::Lengthwise | Grain::Either) => &[Turn::None],
        (Nap::OneWay, Grain::Crosswise) if symmetric() => &[Turn::Quarter, Turn::ThreeQuarter],
        (Nap::OneWay, Grain::Crosswise) if mirrored => &[Turn::ThreeQuarter],
        (Nap::OneWay, Grain::Crosswise) => &[Turn::Quarter],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;

    use super::super::footprint::turned;

    /// Which way the nap (towards higher x on the lay) runs in the frame of the pattern piece.
    fn nap_in_piece(mirrored: bool, turn: Turn) -> Point {
        let axes = [Point::new(1, 0), Point::new(-1, 0), Point::new(0, 1), Point::new(0, -1)];
        axes.into_iter().find(|&v| turned(v, mirrored, turn) == Point::new(1, 0)).expect("an axis maps to x")
    }

    #[test]
    fn under_nap_all_copies_of_a_piece_have_their_nap_running_the_same_way() {
        // Common practice: "with nap" all tops point one way; the rule for mirrored crosswise pieces is derived from
        // what a lengthwise fold gives.
        for grain in [Grain::Lengthwise, Grain::Either, Grain::Crosswise] {
            let runs: Vec<Point> = [false, true]
                .into_iter()
                .flat_map(|m| {
                    allowed(grain, Nap::OneWay, m, || false).iter().map(move |&t| nap_in_piece(m, t))
                })
                .collect();
            assert_eq!(runs.len(), 2, "{grain:?}: one turn for each face");
            assert_eq!(runs[0], runs[1], "{grain:?}");
        }
    }

    #[test]
    fn a_lengthwise_fold_opened_out_keeps_to_the_rule() {
        // Opening out maps y to -y (and shifts): what lies as drawn at a turn then lies mirrored at the opposite turn.
        let p = Point::new(5, 2);
        for turn in Turn::ALL {
            let below = turned(p, false, turn);
            let opened = Point::new(below.x, -below.y);
            let back = Turn::ALL[(4 - usize::from(turn.degrees()) / 90) % 4];
            assert_eq!(turned(p, true, back), opened);
            for (grain, nap) in [(Grain::Crosswise, Nap::OneWay), (Grain::Either, Nap::None)] {
                let drawn = allowed(grain, nap, false, || false).contains(&turn);
                assert_eq!(drawn, allowed(grain, nap, true, || false).contains(&back), "{grain:?} {turn:?}");
            }
        }
    }
}
