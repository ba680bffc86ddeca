//! Random streams derived from (seed, spread, lane, purpose): never shared, so no thread can disturb another's.

use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;

/// The stream of one lane of one spread for one purpose.
pub(crate) fn stream(seed: u64, spread: u64, lane: u64, purpose: u64) -> Pcg64Mcg {
    // SplitMix64's finaliser after each part, so that neighbouring numbers give unrelated streams.
    let mix = |mut z: u64| {
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    };
    let state = [seed, spread, lane, purpose]
        .into_iter()
        .fold(0u64, |s, part| mix(s.wrapping_add(0x9e37_79b9_7f4a_7c15).wrapping_add(part)));
    Pcg64Mcg::seed_from_u64(state)
}

/// The stream of a search beside those of spreads.
pub(crate) fn random_stream(seed: u64, id: u64) -> Pcg64Mcg {
    stream(seed, id, 0, 3)
}

/// A stream of its own for a part of what another serves.
pub(crate) fn branch(rng: &mut Pcg64Mcg) -> Pcg64Mcg {
    Pcg64Mcg::seed_from_u64(rng.random())
}
