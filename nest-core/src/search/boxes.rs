//! [`Boxes`]: the boxes of all placements, a field at a time, scanned eight at once.

/// Boxes by index, padded to a multiple of eight with boxes that meet nothing.
#[derive(Clone, Debug, Default)]
pub(crate) struct Boxes {
    x0: Vec<f32>,
    x1: Vec<f32>,
    y0: Vec<f32>,
    y1: Vec<f32>,
}

impl Boxes {
    /// Sets box `at` to (low x, high x, low y, high y).
    pub(crate) fn set(&mut self, at: usize, b: [f32; 4]) {
        while self.x0.len() <= at {
            for _ in 0..8 {
                self.x0.push(f32::MAX);
                self.x1.push(f32::MIN);
                self.y0.push(f32::MAX);
                self.y1.push(f32::MIN);
            }
        }
        (self.x0[at], self.x1[at], self.y0[at], self.y1[at]) = (b[0], b[1], b[2], b[3]);
    }

    /// Calls `hit` with the index of every box whose interior meets that of `b`.
    ///
    /// # Complexity
    /// O(n), eight boxes to a step.
    #[inline]
    pub(crate) fn meeting(&self, b: [f32; 4], mut hit: impl FnMut(usize)) {
        let chunks = self.x0.chunks_exact(8).zip(self.x1.chunks_exact(8));
        let chunks = chunks.zip(self.y0.chunks_exact(8).zip(self.y1.chunks_exact(8)));
        for (c, ((x0, x1), (y0, y1))) in chunks.enumerate() {
            let mut mask = 0u32;
            for k in 0..8 {
                let meets = (x0[k] < b[1]) & (x1[k] > b[0]) & (y0[k] < b[3]) & (y1[k] > b[2]);
                mask |= u32::from(meets) << k;
            }
            while mask != 0 {
                hit(c * 8 + mask.trailing_zeros() as usize);
                mask &= mask - 1;
            }
        }
    }
}
