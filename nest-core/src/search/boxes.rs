//! [`Boxes`]: the boxes of all placements in two levels, eight at a time: which chunks lie abreast of a box, then which boxes
//! of those meet it.

use wide::f32x8;

/// Boxes by index, in chunks of eight that lie near each other along the lay when they are sorted.
///
/// A uniform grid was not needed: with chunks sorted anew at every [`Boxes::sort`], a box of a lay of 400 placements meets
/// the spans of a few chunks only, and the spans of all are looked at in seven steps.
#[derive(Clone, Debug, Default)]
pub(crate) struct Boxes {
    chunks: Vec<Chunk>,
    /// Low and high x over each chunk, eight chunks to a step.
    spans: Vec<(f32x8, f32x8)>,
    /// The index whose box lies in each slot; slots are counted through all chunks.
    index: Vec<u32>,
    /// The slot of each index.
    slot: Vec<u32>,
}

/// Eight boxes: low and high x, low and high y.
#[derive(Clone, Copy, Debug)]
struct Chunk {
    x0: f32x8,
    x1: f32x8,
    y0: f32x8,
    y1: f32x8,
}

/// What a lane holds that holds no box: it meets nothing.
const LEAST: f32x8 = f32x8::new([f32::MIN; 8]);
const MOST: f32x8 = f32x8::new([f32::MAX; 8]);
const NOWHERE: Chunk = Chunk { x0: MOST, x1: LEAST, y0: MOST, y1: LEAST };

impl Boxes {
    /// Sets box `at` to (low x, high x, low y, high y). Indices are first given in their order, without gaps.
    pub(crate) fn set(&mut self, at: usize, b: [f32; 4]) {
        if at == self.slot.len() {
            self.slot.push(at as u32);
            self.index.push(at as u32);
        }
        self.place(self.slot[at] as usize, b);
    }

    fn place(&mut self, slot: usize, b: [f32; 4]) {
        let (c, lane) = (slot / 8, slot % 8);
        if self.chunks.len() <= c {
            self.chunks.resize(c + 1, NOWHERE);
        }
        if self.spans.len() <= c / 8 {
            self.spans.resize(c / 8 + 1, (MOST, LEAST));
        }
        let chunk = &mut self.chunks[c];
        for (field, value) in [&mut chunk.x0, &mut chunk.x1, &mut chunk.y0, &mut chunk.y1].into_iter().zip(b)
        {
            field.as_mut_array()[lane] = value;
        }
        let low = chunk.x0.as_array().iter().copied().fold(f32::MAX, f32::min);
        let high = chunk.x1.as_array().iter().copied().fold(f32::MIN, f32::max);
        let span = &mut self.spans[c / 8];
        span.0.as_mut_array()[c % 8] = low;
        span.1.as_mut_array()[c % 8] = high;
    }

    /// Puts neighbours along the lay into the same chunks.
    ///
    /// # Complexity
    /// O(n log n); worth it after many boxes have moved.
    pub(crate) fn sort(&mut self) {
        let mut boxes: Vec<(u32, [f32; 4])> = self
            .index
            .iter()
            .enumerate()
            .map(|(slot, &index)| {
                let chunk = &self.chunks[slot / 8];
                (index, [chunk.x0, chunk.x1, chunk.y0, chunk.y1].map(|field| field.as_array()[slot % 8]))
            })
            .collect();
        boxes.sort_by(|(i, a), (j, b)| a[0].total_cmp(&b[0]).then(i.cmp(j)));
        for (slot, (index, b)) in boxes.into_iter().enumerate() {
            self.index[slot] = index;
            self.slot[index as usize] = slot as u32;
            self.place(slot, b);
        }
    }

    /// Calls `hit` with the index of every box whose interior meets that of `b`.
    ///
    /// # Complexity
    /// O(n) in steps of 64 boxes, and O(1) for each chunk that lies abreast of the box.
    #[inline]
    pub(crate) fn meeting(&self, b: [f32; 4], mut hit: impl FnMut(usize)) {
        self.any_meeting(b, |j| {
            hit(j);
            false
        });
    }

    /// Does `holds` of the index of some box whose interior meets that of `b`? Looks no further than the first.
    ///
    /// # Complexity
    /// As [`Boxes::meeting`].
    #[inline]
    pub(crate) fn any_meeting(&self, b: [f32; 4], mut holds: impl FnMut(usize) -> bool) -> bool {
        let [x0, x1, y0, y1] = b.map(f32x8::splat);
        for (s, (low, high)) in self.spans.iter().enumerate() {
            let mut abreast = (low.simd_lt(x1) & high.simd_gt(x0)).to_bitmask();
            while abreast != 0 {
                let c = s * 8 + abreast.trailing_zeros() as usize;
                abreast &= abreast - 1;
                let chunk = &self.chunks[c];
                let meets =
                    chunk.x0.simd_lt(x1) & chunk.x1.simd_gt(x0) & chunk.y0.simd_lt(y1) & chunk.y1.simd_gt(y0);
                let mut mask = meets.to_bitmask();
                while mask != 0 {
                    if holds(self.index[c * 8 + mask.trailing_zeros() as usize] as usize) {
                        return true;
                    }
                    mask &= mask - 1;
                }
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_meets_is_found_before_and_after_sorting() {
        let mut boxes = Boxes::default();
        let plain: Vec<[f32; 4]> = (0..203)
            .map(|k| {
                let (x, y) = ((k * 7919 % 1000) as f32, (k * 104_729 % 300) as f32);
                [x, x + 5.0 + (k % 40) as f32, y, y + 9.0]
            })
            .collect();
        for (k, &b) in plain.iter().enumerate() {
            boxes.set(k, b);
        }
        for sorted in [false, true] {
            if sorted {
                boxes.sort();
                boxes.set(17, [500.0, 560.0, 0.0, 300.0]);
            }
            let mut plain = plain.clone();
            if sorted {
                plain[17] = [500.0, 560.0, 0.0, 300.0];
            }
            for &a in &plain {
                let mut found = Vec::new();
                boxes.meeting(a, |j| found.push(j));
                found.sort_unstable();
                let met = |b: &[f32; 4]| b[0] < a[1] && b[1] > a[0] && b[2] < a[3] && b[3] > a[2];
                let all: Vec<usize> = (0..plain.len()).filter(|&j| met(&plain[j])).collect();
                assert_eq!(found, all);
            }
        }
    }
}
