//! `nest`: the shortest marker for pattern pieces on cloth.

fn main() {}
