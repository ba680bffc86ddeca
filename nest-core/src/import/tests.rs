//! Whole files, read and checked against arithmetic done here.

mod dxf;
mod svg;
