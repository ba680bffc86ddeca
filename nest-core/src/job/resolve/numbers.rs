//! Numbers of the file to lengths and counts, complained of when they are out of range.

use super::FALLBACK;
use super::faults::Faults;
use crate::job::ProblemKind;
use crate::length::{Length, Unit};

/// A length of 0 or more.
pub(super) fn not_negative(value: f64, unit: Unit, place: &str, faults: &mut Faults) -> Length {
    match Length::from_unit(value, unit) {
        Err(_) => faults.add(place, ProblemKind::TooLarge),
        Ok(_) if value < 0.0 => faults.add(place, ProblemKind::Negative(value)),
        Ok(length) => return length,
    }
    FALLBACK
}

/// A length of one grid unit or more.
pub(super) fn positive(value: f64, unit: Unit, place: &str, faults: &mut Faults) -> Length {
    match Length::from_unit(value, unit) {
        Err(_) => faults.add(place, ProblemKind::TooLarge),
        Ok(length) if length <= Length::ZERO => faults.add(place, ProblemKind::NotPositive(value)),
        Ok(length) => return length,
    }
    FALLBACK
}

/// A whole number from 1 to `most`.
pub(super) fn count(value: f64, most: u32, place: &str, faults: &mut Faults) -> u32 {
    if value.fract() == 0.0 && (1.0..=f64::from(most)).contains(&value) {
        return value as u32;
    }
    faults.add(place, ProblemKind::NotCount { value, most });
    1
}

/// Per cent from 0 to below 100, as a part of 1.
pub(super) fn per_cent(value: f64, place: &str, faults: &mut Faults) -> f64 {
    if (0.0..100.0).contains(&value) {
        return value / 100.0;
    }
    faults.add(place, ProblemKind::PerCent(value));
    0.0
}
