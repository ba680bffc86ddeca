//! Marker files.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| nest_fuzz::marker_file(bytes));
