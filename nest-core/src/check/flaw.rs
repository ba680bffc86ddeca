//! No piece lies over a flaw, on any of its plies: every outline is taken back to the open cloth, ply by ply.
//!
//! # Where a place on the table is on the open cloth
//! Along: each section takes up where the one before it ended, having used its length once, or twice where the whole width
//! lies double; the lay begins an end allowance from the cut end. Across: with the near fold at y = 0 and a flap d deep, what
//! lies right side up was y + d from the lower selvage before it was folded, and the flap over it d − y; at a far fold at
//! y = e, the flap over y was 2 (e − y) further on than what lies under it. A crosswise fold lies in the middle of its
//! section's cloth, which runs away from it on both plies. Cut there instead and turned end for end, the upper ply begins
//! in the middle, upside down across.

use super::footprint::Footprint;
use super::overlap::interiors_meet;
use super::spacing::comes_nearer;
use super::violation::{Fault, Violation};
use crate::cloth::{Cloth, ClothForm, Flaw};
use crate::geometry::{Point, PointLocation, SegmentRelation, locate, on_segment, relate_segments};
use crate::length::MAX_GRID;
use crate::spread::{Family, Plies, Section, Spread};

/// Judges one placement against every flaw.
pub(super) fn judge(footprint: &Footprint<'_>, cloth: &Cloth, spread: &Spread, found: &mut Vec<Violation>) {
    let Some((section, band)) = footprint.ground else { return };
    if cloth.flaws.is_empty() && cloth.within.is_none() {
        return;
    }
    let number = footprint.placement.section;
    let used = |s: &Section| s.length.grid().saturating_mul(s.cloth_per_lay());
    let before: i64 = spread.sections[..number].iter().map(used).fold(0, i64::saturating_add);
    let along = before.saturating_add(cloth.end_allowance.grid());
    let ground = Ground { cloth, section, along };
    let mut plies = vec![Ply::Under];
    if band.plies == Plies::Two {
        let far = section.family == Family::TwoFolds && footprint.placement.band > 0;
        plies.push(if far { Ply::FarFlap } else { Ply::Over });
    }
    for ply in plies {
        let mut ring: Vec<Point> = footprint.ring.iter().map(|&p| ground.on_cloth(p, ply)).collect();
        if ply != Ply::Under {
            // Face down the outline runs the other way round.
            ring.reverse();
        }
        // Flaws lie on the grid: what is as far off as this cannot meet one, and could not be reckoned with. That it lies
        // beyond its section is told elsewhere.
        if ring.iter().any(|p| p.x.unsigned_abs() > FAR || p.y.unsigned_abs() > FAR) {
            continue;
        }
        if cloth.within.as_ref().is_some_and(|within| !lies_within(&ring, within.points())) {
            let fault = Fault::OutsideRemnant { under: ply == Ply::Under };
            found.push(footprint.violation(fault, Some(footprint.middle())));
        }
        for (k, flaw) in cloth.flaws.iter().enumerate() {
            if covers(&ring, flaw) {
                let b = flaw.bounds();
                let at = Point::new((b.low.x + b.high.x) / 2, (b.low.y + b.high.y) / 2);
                let fault = Fault::OverFlaw { flaw: k, at, under: ply == Ply::Under };
                found.push(footprint.violation(fault, Some(footprint.middle())));
            }
        }
    }
}

/// Ten times the grid.
const FAR: u64 = 10 * MAX_GRID as u64;

/// A ply of the table.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ply {
    /// What lies right side up.
    Under,
    /// What is folded or laid over it.
    Over,
    /// The flap at the fold far from the cutter, of two.
    FarFlap,
}

/// A section and where its cloth comes from.
struct Ground<'a> {
    cloth: &'a Cloth,
    section: &'a Section,
    /// How far from the cut end the section's cloth begins.
    along: i64,
}

impl Ground<'_> {
    /// The place on the open cloth that lies at `p` of the table. Numbers that nobody means are told of elsewhere; here
    /// they only must do no harm.
    fn on_cloth(&self, p: Point, ply: Ply) -> Point {
        let x = p.x.saturating_sub(self.section.start.grid());
        let (length, extent) = (self.section.length.grid(), self.section.width.grid());
        let flat = match self.cloth.form {
            ClothForm::Flat => self.cloth.lay_width().grid(),
            ClothForm::Tube => 2 * self.cloth.lay_width().grid(),
        };
        let near = match self.section.family {
            Family::Single | Family::CrosswiseFold | Family::TurnedDouble => 0,
            Family::LengthwiseFold | Family::Tubular => flat / 2,
            Family::OffCentreFold => flat.saturating_sub(extent),
            Family::TwoFolds => {
                self.section.bands.first().map_or(0, |b| b.high.saturating_add(self.cloth.selvage.grid()))
            }
        };
        let (along, across) = match (self.section.family, ply) {
            (Family::CrosswiseFold, Ply::Under) => (length.saturating_add(x), p.y),
            (Family::CrosswiseFold, _) => (length.saturating_sub(x), p.y),
            (Family::TurnedDouble, Ply::Over) => (length.saturating_add(x), flat.saturating_sub(p.y)),
            (_, Ply::Under) => (x, p.y.saturating_add(near)),
            (_, Ply::Over) => (x, near.saturating_sub(p.y)),
            (_, Ply::FarFlap) => {
                let further = extent.saturating_sub(p.y).saturating_mul(2);
                (x, p.y.saturating_add(near).saturating_add(further))
            }
        };
        Point::new(along.saturating_add(self.along), across)
    }
}

/// Does the inside of an outline on the open cloth meet a flaw? Touching is not meeting.
fn covers(ring: &[Point], flaw: &Flaw) -> bool {
    match flaw {
        Flaw::Area(outline) => interiors_meet(ring, outline.points()),
        Flaw::Spot { centre, radius } => {
            locate(ring, *centre) != PointLocation::Outside || comes_nearer(ring, *centre, *radius)
        }
    }
}

/// Does a ring lie inside another, touching it at the most? Exact.
///
/// # Why it is right
/// When no edges cross, what an edge of the inner ring has in common with the outer one ends at corners of the outer ring
/// on it and at its own ends. Cut there, each stretch lies inside, outside or on the outer ring as a whole, and its middle
/// tells which. A boundary that lies inside a ring, which has no holes, has its inside there too.
fn lies_within(ring: &[Point], outer: &[Point]) -> bool {
    // Twice as large, so that middles are whole.
    let doubled: Vec<Point> = outer.iter().map(|p| *p + *p).collect();
    let edges = |ring: &[Point]| -> Vec<(Point, Point)> {
        (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()])).collect()
    };
    let around = edges(outer);
    edges(ring).into_iter().all(|(a, b)| {
        if around.iter().any(|&(c, d)| relate_segments(a, b, c, d) == SegmentRelation::Cross) {
            return false;
        }
        let mut cuts: Vec<Point> = outer.iter().copied().filter(|&p| on_segment(a, b, p)).collect();
        cuts.extend([a, b]);
        cuts.sort_by_key(|&p| (p - a).dot(b - a));
        cuts.windows(2)
            .filter(|pair| pair[0] != pair[1])
            .all(|pair| locate(&doubled, pair[0] + pair[1]) != PointLocation::Outside)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Bounds;
    use crate::invented;
    use crate::spread::Layout;

    #[test]
    fn both_ways_of_finding_a_place_on_the_open_cloth_agree() {
        // The search moves flaws to the table, this check moves outlines to the cloth; they were written apart.
        for (name, job, marker) in invented::good_markers() {
            let cloth = &job.cloths[0];
            let mut before = 0;
            for section in &marker.spread.sections {
                let layout = Layout::new(section.family, cloth).expect("it goes with the cloth");
                let (under, flaps) = layout.plies(layout.depths_of(section), section.length.grid());
                let ground = Ground { cloth, section, along: before };
                let p = Point::new(section.start.grid() + 1234, section.bands[0].low + 77);
                let shift = Point::new(before, 0);
                let own = p - Point::new(section.start.grid(), 0);
                assert_eq!(ground.on_cloth(p, Ply::Under), under.inverse().apply(own) + shift, "{name}");
                for (flap, ply) in flaps.iter().zip([Ply::Over, Ply::FarFlap]) {
                    assert_eq!(ground.on_cloth(p, ply), flap.inverse().apply(own) + shift, "{name}");
                }
                before += section.length.grid() * section.cloth_per_lay();
            }
        }
    }

    #[test]
    fn what_lies_within_a_remnant_may_touch_its_edge() {
        let ring = |points: &[(i64, i64)]| -> Vec<Point> {
            points.iter().map(|&(x, y)| Point::new(10 * x, 10 * y)).collect()
        };
        // An L with a slanting end.
        let l = ring(&[(0, 0), (100, 0), (120, 40), (40, 40), (40, 90), (0, 90)]);
        let box_at = |x: i64, y: i64, w: i64, h: i64| ring(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)]);
        assert!(lies_within(&l, &l));
        assert!(lies_within(&box_at(0, 0, 40, 90), &l), "along three sides and a corner");
        assert!(lies_within(&box_at(5, 5, 20, 20), &l));
        assert!(lies_within(&ring(&[(100, 0), (120, 40), (40, 40)]), &l), "along the slant");
        assert!(!lies_within(&box_at(0, 0, 41, 90), &l), "over the inner corner");
        assert!(!lies_within(&box_at(100, 0, 10, 10), &l), "past the slant");
        assert!(!lies_within(&box_at(50, 50, 10, 10), &l), "in the bay");
        assert!(!lies_within(&box_at(40, 40, 10, 10), &l), "in the corner of the bay");
        assert!(!lies_within(&box_at(-10, -10, 200, 200), &l), "around it");
        assert!(!lies_within(&ring(&[(0, 0), (100, 0), (40, 80)]), &l), "through the inner corner's bay");
        assert!(!lies_within(&ring(&[(40, 40), (120, 40), (40, 90)]), &l), "from corner to corner outside");
    }

    #[test]
    fn a_spot_may_be_touched() {
        let ring: Vec<Point> =
            [(0, 0), (100, 0), (100, 100), (0, 100)].map(|(x, y)| Point::new(x, y)).to_vec();
        let spot = |x, y, radius| Flaw::Spot { centre: Point::new(x, y), radius };
        assert!(!covers(&ring, &spot(150, 50, 50)), "a side touches it");
        assert!(covers(&ring, &spot(149, 50, 50)));
        assert!(!covers(&ring, &spot(130, 140, 50)), "a corner touches it: 3-4-5");
        assert!(covers(&ring, &spot(130, 139, 50)));
        assert!(covers(&ring, &spot(50, 50, 1)), "inside");
        assert!(covers(&ring, &spot(50, 50, 5000)), "around");
        assert!(covers(&ring, &spot(0, 50, 1)), "half inside");
        assert_eq!(spot(5, 5, 3).bounds(), Bounds { low: Point::new(2, 2), high: Point::new(8, 8) });
    }
}
