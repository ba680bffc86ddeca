//! The folds and selvages that a ruler is laid against, with their names.

use crate::cloth::{Cloth, ClothForm};
use crate::remnant::is_rectangle;
use crate::spread::{BandEdge, Family, Plies, Section};

/// A line along the cloth that can be seen and felt: a fold, a selvage or a cut edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Edge {
    /// Its y in the lay.
    pub(super) y: i64,
    /// As in "12 cm from the fold".
    pub(super) name: &'static str,
}

/// What the long sides of flat cloth are, as one finds them on the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LongSide {
    /// Of cloth off the roll.
    Selvage,
    /// Of a remnant: cut, without selvages.
    Edge,
    /// Of a remnant that is no rectangle: chalked along the grain, one through its nearest point and one through its
    /// farthest, as its own edges run anyhow.
    Line,
}

impl LongSide {
    pub(super) fn of(cloth: &Cloth) -> LongSide {
        match &cloth.within {
            None => LongSide::Selvage,
            Some(within) if is_rectangle(within) => LongSide::Edge,
            Some(_) => LongSide::Line,
        }
    }

    /// One of the three words.
    pub(super) fn pick<T>(self, selvage: T, edge: T, line: T) -> T {
        match self {
            LongSide::Selvage => selvage,
            LongSide::Edge => edge,
            LongSide::Line => line,
        }
    }

    /// As in "one selvage near you".
    pub(super) fn word(self) -> &'static str {
        self.pick("selvage", "edge", "line")
    }
}

/// The two edges of band `band` of a section, the lower first.
///
/// A band leaves out the unusable selvage; the edge that a ruler finds is that of the cloth itself. Where a band ends and
/// the next begins, the selvage of the part that is folded over lies.
pub(super) fn edges(section: &Section, cloth: &Cloth, band: usize) -> [Edge; 2] {
    let this = &section.bands[band];
    let selvage = match cloth.form {
        ClothForm::Flat => cloth.selvage.grid(),
        ClothForm::Tube => 0,
    };
    // A flap's own band stops short of its selvage; the single ply begins right at it.
    let out = |edge: BandEdge| match edge {
        BandEdge::Selvage => selvage,
        BandEdge::NextBand if this.plies == Plies::Two => selvage,
        BandEdge::Fold | BandEdge::CutEdge | BandEdge::NextBand => 0,
    };
    let side = LongSide::of(cloth);
    let (first, last) = (band == 0, band + 1 == section.bands.len());
    [
        Edge {
            y: this.low - out(this.low_edge),
            name: name(section.family, side, this.low_edge, first.then_some(Side::Near)),
        },
        Edge {
            y: this.high + out(this.high_edge),
            name: name(section.family, side, this.high_edge, last.then_some(Side::Far)),
        },
    ]
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Near,
    Far,
}

fn name(family: Family, long: LongSide, edge: BandEdge, side: Option<Side>) -> &'static str {
    use Side::{Far, Near};
    let two_folds = matches!(family, Family::TwoFolds | Family::Tubular);
    match (edge, side) {
        (BandEdge::Fold, Some(Near)) if two_folds => "near fold",
        (BandEdge::Fold, Some(Far)) if two_folds => "far fold",
        (BandEdge::Fold, _) => "fold",
        (BandEdge::Selvage, Some(Far)) if family == Family::LengthwiseFold => {
            long.pick("selvages", "edges", "lines")
        }
        (BandEdge::Selvage, Some(Near)) => long.pick("near selvage", "near edge", "near line"),
        (BandEdge::Selvage, Some(Far)) => long.pick("far selvage", "far edge", "far line"),
        (BandEdge::CutEdge, Some(Far)) => "far cut edge",
        (BandEdge::CutEdge, _) => "near cut edge",
        // Between bands lies the selvage of what is folded over.
        (BandEdge::Selvage | BandEdge::NextBand, _) => {
            long.pick("selvage of the flap", "edge of the flap", "line of the flap")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented;

    /// Every edge of every band of a hand-made marker's sections, in millimetres.
    fn all((_, job, marker): (&str, crate::job::Job, crate::marker::Marker)) -> Vec<(i64, &'static str)> {
        let section = &marker.spread.sections[0];
        (0..section.bands.len())
            .flat_map(|band| edges(section, &job.cloths[0], band))
            .map(|edge| (edge.y / 100, edge.name))
            .collect()
    }

    #[test]
    fn edges_are_those_of_the_cloth_itself() {
        assert_eq!(all(invented::single()), [(0, "near selvage"), (1500, "far selvage")]);
        assert_eq!(all(invented::lengthwise_fold()), [(0, "fold"), (750, "selvages")]);
        assert_eq!(
            all(invented::off_centre_fold()),
            [(0, "fold"), (300, "selvage of the flap"), (300, "selvage of the flap"), (1200, "far selvage")]
        );
        assert_eq!(
            all(invented::two_folds()),
            [
                (0, "near fold"),
                (300, "selvage of the flap"),
                (300, "selvage of the flap"),
                (680, "selvage of the flap"),
                (680, "selvage of the flap"),
                (940, "far fold")
            ]
        );
        assert_eq!(all(invented::tubular()), [(0, "near fold"), (500, "far fold")]);
        assert_eq!(all(invented::slit_tube()), [(0, "near cut edge"), (1000, "far cut edge")]);
    }

    #[test]
    fn a_remnant_has_no_selvages() {
        use crate::geometry::{Point, Polygon};
        let remnant = |(name, mut job, marker): (&'static str, crate::job::Job, crate::marker::Marker)| {
            let width = job.cloths[0].width.grid();
            job.cloths[0].within = Some(Polygon::rectangle(200_000, width));
            (name, job, marker)
        };
        let names =
            |edges: Vec<(i64, &'static str)>| edges.into_iter().map(|edge| edge.1).collect::<Vec<_>>();
        assert_eq!(names(all(remnant(invented::single()))), ["near edge", "far edge"]);
        assert_eq!(names(all(remnant(invented::lengthwise_fold()))), ["fold", "edges"]);
        let off_centre = names(all(remnant(invented::off_centre_fold())));
        assert_eq!(off_centre, ["fold", "edge of the flap", "edge of the flap", "far edge"]);
        let (name, mut job, marker) = remnant(invented::single());
        let corners = [(0, 0), (200_000, 0), (0, job.cloths[0].width.grid())];
        let triangle = Polygon::new(corners.iter().map(|&(x, y)| Point::new(x, y)).collect());
        job.cloths[0].within = Some(triangle.expect("simple"));
        assert_eq!(names(all((name, job, marker))), ["near line", "far line"]);
    }
}
