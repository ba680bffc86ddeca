//! Lengths as they are read off the ruler at the table: in the job's unit, to 1 mm or 1/8 in.

use crate::draw::measure::{imperial, measure};
use crate::length::{Length, Unit};

/// A length on the grid in words, to the nearest millimetre or eighth of an inch.
pub(super) fn read(grid: i64, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{} mm", (grid.unsigned_abs() + 50) / 100),
        _ => measure(Length::from_grid(grid.abs()), unit),
    }
}

/// The same, up to the next millimetre or eighth of an inch: so much there must be.
pub(super) fn read_up(grid: i64, unit: Unit) -> String {
    let grid = grid.unsigned_abs();
    let up = if imperial(unit) {
        // An eighth of an inch is 317.5 grid units.
        (2 * grid).div_ceil(635) * 635 / 2
    } else {
        grid.div_ceil(100) * 100
    };
    read(up as i64, unit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_in_the_unit_of_the_job() {
        assert_eq!(read(38_449, Unit::Mm), "384 mm");
        assert_eq!(read(38_450, Unit::Mm), "385 mm");
        assert_eq!(read(38_496, Unit::Cm), "38.5 cm");
        // 15 1/8 in is 384.175 mm.
        assert_eq!(read(38_450, Unit::Inch), "15 1/8 in");
        assert_eq!(read_up(38_401, Unit::Mm), "385 mm");
        assert_eq!(read_up(38_400, Unit::Mm), "384 mm");
        assert_eq!(read(0, Unit::Cm), "0 cm");
        assert_eq!(read_up(38_418, Unit::Inch), "15 1/4 in");
        assert_eq!(read_up(38_417, Unit::Inch), "15 1/8 in");
    }
}
