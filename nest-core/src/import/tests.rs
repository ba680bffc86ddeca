//! Whole files, read and checked against arithmetic done here.

mod svg;
