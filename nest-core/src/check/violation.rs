//! [`Violation`]: what can be wrong with a marker, with the pieces, the place and the amount.

use std::fmt;

use crate::geometry::{Point, Turn};
use crate::length::{GRID_PER_MM, Length};
use crate::spread::Family;

/// One thing wrong with a marker.
#[derive(Clone, Debug, PartialEq)]
pub struct Violation {
    /// What is wrong, and by how much.
    pub fault: Fault,
    /// The placements concerned: none, one or two.
    pub laid: Vec<Laid>,
    /// Where on the lay, in grid units.
    pub place: Option<Point>,
}

/// A placement, named so that a person finds it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Laid {
    /// Its number in the marker, from 1.
    pub number: usize,
    /// The piece's name.
    pub piece: String,
    /// The size.
    pub size: String,
}

/// An end of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthEnd {
    /// The end with the lower x.
    Start,
    /// The end with the higher x.
    End,
}

/// Why a kind of spread does not go with a cloth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FamilyMisfit {
    /// A crosswise fold makes the upper ply's nap run the other way.
    Nap,
    /// Flat cloth has no second fold of its own, or a tube cannot be folded again.
    Form,
}

/// What is wrong. Sections and bands are counted from 1 in messages, from 0 in the fields.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// The marker is for a cloth that the job does not have.
    #[error("the job has no cloth of the kind \"{kind}\"")]
    UnknownCloth {
        /// The kind the marker names.
        kind: String,
    },
    /// There is nothing to lay on.
    #[error("the spread has no section")]
    NoSection,
    /// A number that the grid cannot hold.
    #[error("{what} is beyond the 100 m that can be handled")]
    BeyondGrid {
        /// Which number.
        what: String,
    },
    /// A section does not begin where the one before it ends.
    #[error("section {} begins at {}, and should begin at {}", .section + 1, mm(*.start), mm(*.should))]
    SectionStart {
        /// Which section.
        section: usize,
        /// Where it begins.
        start: i64,
        /// Where it should.
        should: i64,
    },
    /// A section of no length.
    #[error("section {} has no length ({})", .section + 1, mm(*.length))]
    SectionLength {
        /// Which section.
        section: usize,
        /// Its length.
        length: i64,
    },
    /// The kind of spread does not go with the cloth.
    #[error("section {} is laid as {}, {}", .section + 1, .family.title(), match .why {
        FamilyMisfit::Nap => "which is for cloth without nap: the upper ply would run the other way",
        FamilyMisfit::Form => "which this cloth's form (flat or a tube) does not allow",
    })]
    Family {
        /// Which section.
        section: usize,
        /// The kind of spread.
        family: Family,
        /// Why not.
        why: FamilyMisfit,
    },
    /// Bands do not account for the cloth's width as the kind of spread demands.
    #[error("section {} ({}): {what} is {}, and should be {}", .section + 1, .family.title(), mm(*.is), mm(*.should))]
    BandExtent {
        /// Which section.
        section: usize,
        /// The kind of spread.
        family: Family,
        /// Which measure.
        what: String,
        /// The marker's.
        is: i64,
        /// What the cloth's width makes it.
        should: i64,
    },
    /// Fold depths out of the limits that the cloth's width sets.
    #[error("section {} ({}): {what}", .section + 1, .family.title())]
    Depth {
        /// Which section.
        section: usize,
        /// The kind of spread.
        family: Family,
        /// Which limit.
        what: &'static str,
    },
    /// The wrong bands: too many, too few, the wrong plies or edges, a fold where there is none.
    #[error("section {} ({}): {what}", .section + 1, .family.title())]
    Bands {
        /// Which section.
        section: usize,
        /// The kind of spread.
        family: Family,
        /// What is wrong.
        what: String,
    },
    /// A placement names something that does not exist, or has no outline here.
    #[error("{what}")]
    Unknown {
        /// What does not exist.
        what: String,
    },
    /// A piece of another cloth.
    #[error("is cut from \"{wanted}\", not from \"{laid}\"")]
    WrongCloth {
        /// The piece's kind of cloth.
        wanted: String,
        /// The marker's.
        laid: String,
    },
    /// Whole, on the fold or opened out: not in the way this piece can be laid.
    #[error("{what}")]
    Form {
        /// What is wrong.
        what: &'static str,
    },
    /// A placement says it cuts through other plies than its band has.
    #[error("is said to be cut through {said} and lies where there {}", if *.there == 1 { "is 1".to_owned() } else { format!("are {there}") })]
    Plies {
        /// What the placement says.
        said: u32,
        /// What the band has.
        there: u32,
    },
    /// Turned against the grain or the nap.
    #[error("is turned by {} degrees{}; allowed here: {}", .turn.degrees(), if *.mirrored { ", printed side down" } else { "" }, degrees(.allowed))]
    Turn {
        /// The turn.
        turn: Turn,
        /// Printed side down.
        mirrored: bool,
        /// The turns allowed.
        allowed: Vec<Turn>,
    },
    /// Beyond the band's edge.
    #[error("reaches {} beyond the {} edge of its band", mm(*.by), if *.low { "lower" } else { "upper" })]
    OutsideBand {
        /// Beyond the edge with the lower y, or the higher.
        low: bool,
        /// How far.
        by: i64,
    },
    /// Beyond the section's end.
    #[error("reaches {} beyond the {} of the lay", mm(*.by), match .end { LengthEnd::Start => "start", LengthEnd::End => "end" })]
    OutsideLength {
        /// Which end.
        end: LengthEnd,
        /// How far.
        by: i64,
    },
    /// A fold edge that is not on a fold.
    #[error("has its fold edge {}", match .by { Some(by) => format!("{} from the nearest fold", mm(*by)), None => "where no fold runs along it".to_owned() })]
    OffFold {
        /// How far from the nearest fold that runs the same way.
        by: Option<i64>,
    },
    /// Not wholly on the remnant.
    #[error("lies beyond the edge of the remnant with its {} ply", if *.under { "lower" } else { "upper" })]
    OutsideRemnant {
        /// On the ply that lies right side up.
        under: bool,
    },
    /// Over a flaw of the cloth.
    #[error("lies over flaw {} of the cloth, at x = {}, y = {} of the open cloth, with its {} ply", .flaw + 1, mm(.at.x), mm(.at.y), if *.under { "lower" } else { "upper" })]
    OverFlaw {
        /// Which flaw.
        flaw: usize,
        /// Its middle on the open cloth.
        at: Point,
        /// On the ply that lies right side up.
        under: bool,
    },
    /// Two interiors meet.
    #[error("overlap by {area_mm2:.4} mm² of cloth")]
    Overlap {
        /// The common area, rounded; the decision itself is exact.
        area_mm2: f64,
    },
    /// Nearer than the spacing asked for.
    #[error("are {gap_mm:.3} mm apart, {:.3} mm too near for the spacing of {}", .wanted.mm() - .gap_mm, mm(.wanted.grid()))]
    TooNear {
        /// The distance, rounded; the decision itself is exact.
        gap_mm: f64,
        /// The spacing asked for.
        wanted: Length,
    },
    /// So near a fold that its two copies, facing each other across it, are nearer than the spacing asked for.
    #[error("lies {} from a fold; its two copies need the spacing of {} between them", mm(*.room), mm(.wanted.grid()))]
    TooNearFold {
        /// The distance to the fold: half of that between the copies.
        room: i64,
        /// The spacing asked for.
        wanted: Length,
    },
    /// More is said to come off than does, or nothing.
    #[error("is said to give {said}, and gives {gives}")]
    Yields {
        /// What the placement says.
        said: u32,
        /// What comes off.
        gives: u32,
    },
    /// A copy that nobody wants, on a cloth where that is not allowed.
    #[error("gives {gives} and only {said} is wanted; spare copies are not allowed on this cloth")]
    Spare {
        /// What is wanted.
        said: u32,
        /// What comes off.
        gives: u32,
    },
    /// A piece comes off more or less often than ordered.
    #[error("{piece}, size {size}: ordered {}, laid {}", faces(*.wanted, 0), faces(*.laid, *.either))]
    Count {
        /// The piece's name.
        piece: String,
        /// The size.
        size: String,
        /// Copies ordered: as drawn, mirrored.
        wanted: (u64, u64),
        /// Copies laid: as drawn, mirrored.
        laid: (u64, u64),
        /// Copies laid that count as either.
        either: u64,
    },
}

impl Violation {
    /// One that concerns no placement.
    pub(super) fn general(fault: Fault) -> Violation {
        Violation { fault, laid: Vec::new(), place: None }
    }
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, laid) in self.laid.iter().enumerate() {
            write!(f, "{}{laid}", if i == 0 { "" } else { " and " })?;
        }
        let gap = if self.laid.is_empty() { "" } else { " " };
        write!(f, "{gap}{}", self.fault)?;
        if let Some(at) = self.place {
            write!(f, ", near x = {}, y = {}", mm(at.x), mm(at.y))?;
        }
        Ok(())
    }
}

impl fmt::Display for Laid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "placement {} ({}, size {})", self.number, self.piece, self.size)
    }
}

/// Grid units as millimetres with every decimal they have.
fn mm(grid: i64) -> String {
    let sign = if grid < 0 { "-" } else { "" };
    let (whole, part) = (grid.unsigned_abs() / GRID_PER_MM as u64, grid.unsigned_abs() % GRID_PER_MM as u64);
    format!("{sign}{whole}.{part:02} mm")
}

fn degrees(turns: &[Turn]) -> String {
    turns.iter().map(|t| t.degrees().to_string()).collect::<Vec<_>>().join(", ")
}

fn faces((drawn, mirrored): (u64, u64), either: u64) -> String {
    let mut text = format!("{drawn} as drawn and {mirrored} mirrored");
    if either > 0 {
        text += &format!(" and {either} that count as either");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_violation_names_pieces_place_and_amount() {
        let laid = |number, piece: &str| Laid { number, piece: piece.into(), size: "38".into() };
        let v = Violation {
            fault: Fault::TooNear { gap_mm: 1.99, wanted: Length::from_grid(200) },
            laid: vec![laid(3, "front"), laid(7, "sleeve")],
            place: Some(Point::new(12_345, -5)),
        };
        assert_eq!(
            v.to_string(),
            "placement 3 (front, size 38) and placement 7 (sleeve, size 38) are 1.990 mm apart, 0.010 mm too near \
             for the spacing of 2.00 mm, near x = 123.45 mm, y = -0.05 mm"
        );
        let v =
            Violation { fault: Fault::Plies { said: 2, there: 1 }, laid: vec![laid(1, "cuff")], place: None };
        assert_eq!(
            v.to_string(),
            "placement 1 (cuff, size 38) is said to be cut through 2 and lies where there is 1"
        );
    }

    #[test]
    fn the_extremes_can_be_printed() {
        assert_eq!(mm(i64::MIN), "-92233720368547758.08 mm");
    }
}
