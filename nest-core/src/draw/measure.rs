//! Lengths as a person reads them off a tape: in centimetres, or in inches and eighths.

use crate::length::{Length, Unit};

/// A length in words, to the nearest millimetre or eighth of an inch.
pub(crate) fn measure(length: Length, unit: Unit) -> String {
    if imperial(unit) {
        let eighths = (length.mm() / Unit::Inch.mm() * 8.0).round() as i64;
        let (inches, rest) = (eighths / 8, eighths % 8);
        match (inches, rest) {
            (_, 0) => format!("{inches} in"),
            (0, _) => format!("{} in", fraction(rest)),
            _ => format!("{inches} {} in", fraction(rest)),
        }
    } else {
        let mm = length.mm().round() as i64;
        if mm % 10 == 0 { format!("{} cm", mm / 10) } else { format!("{}.{} cm", mm / 10, mm % 10) }
    }
}

/// Does the unit belong to the inch?
pub(crate) fn imperial(unit: Unit) -> bool {
    matches!(unit, Unit::Inch | Unit::Yard)
}

fn fraction(eighths: i64) -> &'static str {
    ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][eighths as usize]
}

#[cfg(test)]
mod measure_tests {
    use super::*;

    #[test]
    fn lengths_read_as_on_a_tape() {
        let told = |mm: f64, unit| measure(Length::from_mm(mm).unwrap(), unit);
        assert_eq!(told(700.0, Unit::Cm), "70 cm");
        assert_eq!(told(384.96, Unit::Mm), "38.5 cm");
        assert_eq!(told(25.4 * 22.5, Unit::Inch), "22 1/2 in");
        assert_eq!(told(25.4 * 0.126, Unit::Yard), "1/8 in");
        assert_eq!(told(25.4 * 3.99, Unit::Inch), "4 in");
    }
}
