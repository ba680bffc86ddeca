//! A checked marker made ready for the cutting table: the laying guide, and files for paper, projector, plotter and cutter.
//!
//! Everything here takes a [`Checked`](crate::check::Checked) marker and returns text or bytes; nothing touches a file.
//! The same marker gives the same bytes on every machine: no clock, no fonts but those built in.

pub mod guide;
