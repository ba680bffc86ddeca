//! [`Boxes`]: the boxes of all placements, a field at a time, scanned eight at once.

use wide::f32x8;

/// Boxes by index, padded to a multiple of eight with boxes that meet nothing.
#[derive(Clone, Debug, Default)]
pub(crate) struct Boxes {
    chunks: Vec<Chunk>,
}

/// Eight boxes: low and high x, low and high y.
#[derive(Clone, Copy, Debug)]
struct Chunk {
    x0: f32x8,
    x1: f32x8,
    y0: f32x8,
    y1: f32x8,
}

impl Boxes {
    /// Sets box `at` to (low x, high x, low y, high y).
    pub(crate) fn set(&mut self, at: usize, b: [f32; 4]) {
        const NOWHERE: Chunk = Chunk {
            x0: f32x8::new([f32::MAX; 8]),
            x1: f32x8::new([f32::MIN; 8]),
            y0: f32x8::new([f32::MAX; 8]),
            y1: f32x8::new([f32::MIN; 8]),
        };
        if self.chunks.len() <= at / 8 {
            self.chunks.resize(at / 8 + 1, NOWHERE);
        }
        let chunk = &mut self.chunks[at / 8];
        for (field, value) in [&mut chunk.x0, &mut chunk.x1, &mut chunk.y0, &mut chunk.y1].into_iter().zip(b)
        {
            field.as_mut_array()[at % 8] = value;
        }
    }

    /// Calls `hit` with the index of every box whose interior meets that of `b`.
    ///
    /// # Complexity
    /// O(n), eight boxes to a step.
    #[inline]
    pub(crate) fn meeting(&self, b: [f32; 4], mut hit: impl FnMut(usize)) {
        let [x0, x1, y0, y1] = b.map(f32x8::splat);
        for (c, chunk) in self.chunks.iter().enumerate() {
            let meets =
                chunk.x0.simd_lt(x1) & chunk.x1.simd_gt(x0) & chunk.y0.simd_lt(y1) & chunk.y1.simd_gt(y0);
            let mut mask = meets.to_bitmask();
            while mask != 0 {
                hit(c * 8 + mask.trailing_zeros() as usize);
                mask &= mask - 1;
            }
        }
    }
}
