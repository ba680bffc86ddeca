//! Whole-program tests.

mod samples;
