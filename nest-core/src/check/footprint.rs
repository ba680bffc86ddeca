//! The checker's own turning and mirroring of outlines into the lay.

use super::violation::{Fault, Laid, Violation};
use crate::cloth::Cloth;
use crate::geometry::{Bounds, Point, Turn};
use crate::job::Job;
use crate::length::MAX_GRID;
use crate::marker::{Form, Marker, Placement};
use crate::piece::{Piece, PieceShape};
use crate::spread::{Band, Section};

/// A placement with all it refers to, and the outline as it lies.
pub(super) struct Footprint<'a> {
    /// Number in the marker, from 1.
    pub(super) number: usize,
    pub(super) placement: &'a Placement,
    pub(super) piece: &'a Piece,
    pub(super) size: &'a str,
    pub(super) shape: &'a PieceShape,
    /// The outline on the lay, counter-clockwise.
    pub(super) ring: Vec<Point>,
    pub(super) bounds: Bounds,
    /// The fold edge on the lay, where the pattern has one.
    pub(super) fold: Option<(Point, Point)>,
    /// Where it is said to lie; none when there is no such place.
    pub(super) ground: Option<(&'a Section, &'a Band)>,
}

impl<'a> Footprint<'a> {
    /// The footprints of all placements that make sense; of each other one, a violation.
    pub(super) fn of_marker(
        job: &'a Job,
        cloth: &Cloth,
        marker: &'a Marker,
        found: &mut Vec<Violation>,
    ) -> Vec<Footprint<'a>> {
        let mut footprints = Vec::with_capacity(marker.placements.len());
        for (i, placement) in marker.placements.iter().enumerate() {
            match Footprint::of(job, cloth, marker, i, placement) {
                Ok(footprint) => {
                    if footprint.ground.is_none() {
                        let what = format!(
                            "is said to lie in band {} of section {}, which the spread does not have",
                            placement.band.saturating_add(1),
                            placement.section.saturating_add(1)
                        );
                        found.push(footprint.violation(Fault::Unknown { what }, None));
                    }
                    footprints.push(footprint);
                }
                Err(violation) => found.push(*violation),
            }
        }
        footprints
    }

    fn of(
        job: &'a Job,
        cloth: &Cloth,
        marker: &'a Marker,
        index: usize,
        placement: &'a Placement,
    ) -> Result<Footprint<'a>, Box<Violation>> {
        let number = index + 1;
        let piece = job.style.pieces.get(placement.piece);
        let size = job.style.sizes.get(placement.size);
        let fault = |fault| {
            Box::new(Violation {
                fault,
                laid: vec![Laid {
                    number,
                    piece: piece.map_or_else(|| format!("no. {}", placement.piece), |p| p.name.clone()),
                    size: size.map_or_else(|| format!("no. {}", placement.size), String::clone),
                }],
                place: None,
            })
        };
        let (Some(piece), Some(size)) = (piece, size) else {
            let what = "is of a piece or a size that the job does not have".to_owned();
            return Err(fault(Fault::Unknown { what }));
        };
        let Some(shape) = piece.shapes.get(size) else {
            let what = "is of a piece that has no outline in this size".to_owned();
            return Err(fault(Fault::Unknown { what }));
        };
        if piece.cloth != cloth.kind {
            let (wanted, laid) = (piece.cloth.clone(), cloth.kind.clone());
            return Err(fault(Fault::WrongCloth { wanted, laid }));
        }
        let at = placement.position;
        // Outlines lie within MAX_GRID of their own origin, so that everything below stays within twice that.
        if !(-MAX_GRID..=MAX_GRID).contains(&at.x) || !(-MAX_GRID..=MAX_GRID).contains(&at.y) {
            return Err(fault(Fault::BeyondGrid { what: "its position".to_owned() }));
        }
        let outline = match placement.form {
            Form::Whole | Form::OnFold => &shape.outline,
            Form::OpenedOut => &shape.full,
        };
        let lay = |p: Point| turned(p, placement.pose.mirrored, placement.pose.turn) + at;
        let mut ring: Vec<Point> = outline.points().iter().map(|&p| lay(p)).collect();
        if placement.pose.mirrored {
            // Mirroring turns a counter-clockwise ring into a clockwise one.
            ring.reverse();
        }
        let ground = marker
            .spread
            .sections
            .get(placement.section)
            .and_then(|section| Some((section, section.bands.get(placement.band)?)));
        Ok(Footprint {
            number,
            placement,
            piece,
            size,
            shape,
            bounds: Bounds::of(&ring),
            ring,
            fold: shape.fold.map(|(a, b)| (lay(a), lay(b))),
            ground,
        })
    }

    /// Its name in messages.
    pub(super) fn laid(&self) -> Laid {
        Laid { number: self.number, piece: self.piece.name.clone(), size: self.size.to_owned() }
    }

    /// A violation of this placement alone.
    pub(super) fn violation(&self, fault: Fault, place: Option<Point>) -> Violation {
        Violation { fault, laid: vec![self.laid()], place }
    }

    /// The middle of its box.
    pub(super) fn middle(&self) -> Point {
        let b = &self.bounds;
        Point::new((b.low.x + b.high.x) / 2, (b.low.y + b.high.y) / 2)
    }
}

/// `p` flipped over about the x axis when `mirrored`, then turned counter-clockwise about the origin.
pub(super) fn turned(p: Point, mirrored: bool, turn: Turn) -> Point {
    let (x, y) = (p.x, if mirrored { -p.y } else { p.y });
    // The cosine and sine of the turn.
    let (c, s) = match turn {
        Turn::None => (1, 0),
        Turn::Quarter => (0, 1),
        Turn::Half => (-1, 0),
        Turn::ThreeQuarter => (0, -1),
    };
    Point::new(c * x - s * y, s * x + c * y)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pose;

    #[test]
    fn both_ways_of_turning_agree() {
        // The maker's own posing and this one were written apart; where they differ, one of them is wrong.
        let p = Point::new(3, 7);
        for turn in Turn::ALL {
            for mirrored in [false, true] {
                assert_eq!(
                    turned(p, mirrored, turn),
                    Pose { mirrored, turn }.apply(p),
                    "{mirrored} {turn:?}"
                );
            }
        }
    }
}
