//! SVG patterns.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| nest_fuzz::pattern(bytes));
