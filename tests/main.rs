//! Whole-program tests.

// Every kind of bad input is refused, with nothing written.
mod bad_input;
// Instances and jobs to densities, files and a comparison.
mod bench;
// Pages are read in a headless browser.
mod browser;
// Every way to use the cloth, as table, files and page.
mod compare;
// Files for printers, plotters and cutters come out whole.
mod export;
// Pattern files of other programs in; a job out.
mod import;
// Pieces and cloth in; marker, drawing and summary out.
mod lay;
// How the tests run the program.
mod program;
// The commands in the README work.
mod readme;
// Threads are not part of the result.
mod same_bytes;
// What the sample jobs hold.
mod samples;
