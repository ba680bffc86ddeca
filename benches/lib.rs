//! Criterion benches of the kernels; see README.md in this folder.
