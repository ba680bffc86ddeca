//! [`Length`]: a checked whole number of hundredths of a millimetre, made from and shown in the units of the trade.

use std::fmt;

/// The largest coordinate or length, in grid units: 10⁷ is 100 m of cloth.
///
/// With every coordinate at most `MAX_GRID`, a difference is at most 2·10⁷, a cross product at most 8·10¹⁴ and a doubled
/// area at most 2·10¹⁴ times a small count: all far inside an `i64`.
pub const MAX_GRID: i64 = 10_000_000;

/// Grid units to the millimetre.
pub const GRID_PER_MM: i64 = 100;

/// A length on the grid of 0.01 mm.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Length(i64);

/// A length that the grid cannot hold.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LengthFault {
    /// Not a number, or infinite.
    #[error("is not a finite number")]
    NotFinite,
    /// Beyond 100 m.
    #[error("is {0} m; the most that can be handled is 100 m")]
    TooLarge(f64),
}

/// The units in which a person gives and reads lengths.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Unit {
    /// Millimetres.
    #[default]
    Mm,
    /// Centimetres.
    Cm,
    /// Inches.
    Inch,
    /// Metres.
    M,
    /// Yards.
    Yard,
}

impl Unit {
    /// Millimetres to one of this unit (an inch is 25.4 mm by definition, a yard 914.4 mm).
    pub fn mm(self) -> f64 {
        match self {
            Unit::Mm => 1.0,
            Unit::Cm => 10.0,
            Unit::Inch => 25.4,
            Unit::M => 1000.0,
            Unit::Yard => 914.4,
        }
    }

    /// The word for it, in the plural.
    pub fn name(self) -> &'static str {
        match self {
            Unit::Mm => "millimetres",
            Unit::Cm => "centimetres",
            Unit::Inch => "inches",
            Unit::M => "metres",
            Unit::Yard => "yards",
        }
    }

    /// The sign written after a number.
    pub fn sign(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::Inch => "in",
            Unit::M => "m",
            Unit::Yard => "yd",
        }
    }
}

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);

    /// From a whole number of grid units (0.01 mm).
    pub const fn from_grid(grid: i64) -> Length {
        Length(grid)
    }

    /// From a number in some unit, rounded to the nearest 0.01 mm.
    ///
    /// # Errors
    /// When the number is not finite or beyond 100 m.
    pub fn from_unit(value: f64, unit: Unit) -> Result<Length, LengthFault> {
        if !value.is_finite() {
            return Err(LengthFault::NotFinite);
        }
        let mm = value * unit.mm();
        let grid = (mm * GRID_PER_MM as f64).round();
        if grid.abs() > MAX_GRID as f64 {
            return Err(LengthFault::TooLarge(mm / 1000.0));
        }
        Ok(Length(grid as i64))
    }

    /// From millimetres; see [`Length::from_unit`].
    ///
    /// # Errors
    /// When the number is not finite or beyond 100 m.
    pub fn from_mm(mm: f64) -> Result<Length, LengthFault> {
        Length::from_unit(mm, Unit::Mm)
    }

    /// In grid units.
    pub const fn grid(self) -> i64 {
        self.0
    }

    /// In millimetres.
    pub fn mm(self) -> f64 {
        self.0 as f64 / GRID_PER_MM as f64
    }

    /// In any unit.
    pub fn in_unit(self, unit: Unit) -> f64 {
        self.mm() / unit.mm()
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} mm", self.mm())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_agree_with_their_definitions() {
        // International yard and pound agreement of 1959: 1 in = 25.4 mm, 1 yd = 914.4 mm exactly.
        assert_eq!(Length::from_unit(1.0, Unit::Inch).unwrap().grid(), 2540);
        assert_eq!(Length::from_unit(1.0, Unit::Yard).unwrap().grid(), 91440);
        assert_eq!(Length::from_unit(0.125, Unit::Yard).unwrap().mm(), 114.3);
    }

    #[test]
    fn what_the_grid_cannot_hold_is_refused() {
        assert_eq!(Length::from_mm(f64::NAN), Err(LengthFault::NotFinite));
        assert_eq!(Length::from_unit(10_000.0, Unit::M), Err(LengthFault::TooLarge(10_000.0)));
    }
}
