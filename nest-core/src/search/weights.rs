//! [`Weights`]: how much each pair of placements counts, which for nearly all is one.
//!
//! Guided local search raises the weight of pairs that go on overlapping (C. Voudouris & E. Tsang, "Guided local search and
//! its application to the traveling salesman problem", EJOR 113, 1999), and all others sink back to one. So only those above
//! one are kept: a handful for each placement, however many there are.

/// A pair that overlaps in every sweep of a long attempt would otherwise weigh more than an f32 can hold, and a mere touch, no
/// depth times no end, would be no number.
const HEAVIEST: f32 = 1e20;

/// What is left of a weight after a sweep in which its pair did not overlap.
const SINKS: f32 = 0.85;

/// The weights of all pairs, symmetric.
#[derive(Clone, Debug, Default)]
pub(crate) struct Weights {
    /// For each placement, the others with which it weighs more than one.
    above_one: Vec<Vec<(u32, f32)>>,
    /// The weights of the placement taken up last against all others, and those of them that are not one: a move asks for
    /// some hundred.
    row: Vec<f32>,
    not_one: Vec<u32>,
    taken_up: Option<usize>,
}

impl Weights {
    /// All pairs of so many placements weigh one.
    pub(crate) fn reset(&mut self, placements: usize) {
        self.above_one.iter_mut().for_each(Vec::clear);
        self.above_one.resize_with(placements, Vec::new);
        self.not_one.clear();
        self.row.clear();
        self.row.resize(placements, 1.0);
        self.taken_up = None;
    }

    /// Makes the weights of a placement, as they are now, those that [`Weights::against`] tells.
    pub(crate) fn take_up(&mut self, k: usize) {
        for j in self.not_one.drain(..) {
            self.row[j as usize] = 1.0;
        }
        for &(j, weight) in &self.above_one[k] {
            self.row[j as usize] = weight;
            self.not_one.push(j);
        }
        self.taken_up = Some(k);
    }

    /// The weight of the placement taken up last, which is `k`, and another.
    #[inline]
    pub(crate) fn against(&self, k: usize, j: usize) -> f32 {
        debug_assert_eq!(self.taken_up, Some(k), "its weights are at hand");
        self.row[j]
    }

    /// The weight of a pair.
    pub(crate) fn of(&self, k: usize, j: usize) -> f32 {
        let known = self.above_one[k].iter().find(|&&(other, _)| other as usize == j);
        known.map_or(1.0, |&(_, weight)| weight)
    }

    /// Raises the weights of pairs that overlap, the deepest most, but none beyond [`HEAVIEST`], and lets the others sink back
    /// towards one. `overlaps` has a row for each placement: whom it overlaps, and how much.
    ///
    /// # Complexity
    /// O(n + p q) for n placements, p pairs that overlap and q pairs above one for each placement.
    pub(crate) fn after_sweep(&mut self, overlaps: &[Vec<(u32, f32)>]) {
        let deepest = overlaps.iter().flatten().map(|&(_, depth)| depth).fold(0.0, f32::max);
        if deepest == 0.0 {
            return;
        }
        let mut raised = Vec::new();
        for (k, row) in overlaps.iter().enumerate() {
            let rise = |depth: f32| 1.1 + 0.5 * depth / deepest;
            raised.clear();
            raised.extend(
                row.iter().map(|&(j, depth)| (j, (self.of(k, j as usize) * rise(depth)).min(HEAVIEST))),
            );
            let kept = &mut self.above_one[k];
            kept.retain_mut(|(j, weight)| {
                *weight *= SINKS;
                *weight > 1.0 && raised.iter().all(|(other, _)| other != j)
            });
            kept.extend_from_slice(&raised);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_rise_while_pairs_overlap_and_sink_back_to_one() {
        let mut weights = Weights::default();
        weights.reset(3);
        // The first overlaps the second twice as deep as the third.
        let overlaps = [vec![(1, 2.0), (2, 1.0)], vec![(0, 2.0)], vec![(0, 1.0)]];
        weights.after_sweep(&overlaps);
        assert_eq!([weights.of(0, 1), weights.of(0, 2), weights.of(1, 2)], [1.6, 1.35, 1.0]);
        let apart = [vec![(2, 1.0)], vec![], vec![(0, 1.0)]];
        weights.after_sweep(&apart);
        assert_eq!([weights.of(0, 1), weights.of(1, 0)], [1.6 * SINKS; 2]);
        assert_eq!([weights.of(0, 2), weights.of(2, 0)], [1.35 * 1.6; 2]);
        for k in 0..3 {
            weights.take_up(k);
            assert_eq!([0, 1, 2].map(|j| weights.against(k, j)), [0, 1, 2].map(|j| weights.of(k, j)));
        }
        for _ in 0..3 {
            weights.after_sweep(&apart);
        }
        assert_eq!(weights.of(0, 1), 1.0);
        assert_eq!(weights.above_one[1], []);
        // Where nothing overlaps all stay as they are.
        let before = weights.of(0, 2);
        weights.after_sweep(&[vec![], vec![], vec![]]);
        assert_eq!(weights.of(2, 0), before);
        weights.reset(2);
        assert_eq!(weights.above_one, [[], []] as [[(u32, f32); 0]; 2]);
    }

    #[test]
    fn a_pair_that_overlaps_for_ever_weighs_a_number() {
        let mut weights = Weights::default();
        weights.reset(2);
        for _ in 0..1000 {
            weights.after_sweep(&[vec![(1, 5.0)], vec![(0, 5.0)]]);
        }
        assert_eq!(weights.of(0, 1), HEAVIEST);
    }
}
