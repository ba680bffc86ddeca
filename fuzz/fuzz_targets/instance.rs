//! Instances of the packing literature.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| nest_fuzz::instance(bytes));
