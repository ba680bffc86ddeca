//! [`Caution`]: the closed list of ways to spoil cloth or hurt oneself, and when each is to be spoken of.

use std::fmt;

use crate::cloth::{Cloth, ClothForm, Nap};
use crate::job::Job;
use crate::marker::{Form, Marker};
use crate::spread::{Family, Plies};

/// Something to mind at the table. Common practice; on powered cutters the HSE's guidance on textile cutting machinery (2023).
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Caution {
    /// Wash, press and square first. With or without shrinkage in the figures.
    WashFirst {
        /// Is some shrinkage reckoned with?
        reckoned: bool,
    },
    /// The true width may be less than the nominal one.
    MeasureWidth,
    /// A remnant may be smaller than it was measured.
    MeasureRemnant,
    /// Of these pieces some copies for a garment come from this cloth and the others from elsewhere.
    Apart(String),
    /// Flaws must be seen on every ply.
    MarkFlaws,
    /// All tops one way.
    NapDirection,
    /// Mark the nap on both plies before the cloth is cut across and turned.
    MarkNapBeforeTurning,
    /// A fold that is not along the thread spoils every piece on it.
    FoldTrue,
    /// A crease set in the cloth stays visible.
    SetInCrease,
    /// Plies slip on each other.
    PinPlies,
    /// Pieces laid printed side down on one ply.
    FacesOnOnePly,
    /// The fold must not be cut before all its pieces are.
    RefoldAfterCutting,
    /// Extra copies come off.
    SpareCopies,
    /// Lay everything, count, then cut.
    CountBeforeCutting,
    /// Cloth hanging off the table stretches.
    SupportCloth,
    /// Pins and blades.
    PinsClearOfBlade,
    /// Rotary cutters and fingers.
    Blades,
    /// Pieces may have to be cut again.
    KeepCutOffs,
}

impl fmt::Display for Caution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Caution::Apart(names) => {
                return write!(
                    f,
                    "Not all copies for a garment come from this cloth: {names}. Pieces of cloth may differ in shade: \
                     compare them by daylight before cutting."
                );
            }
            Caution::WashFirst { reckoned: true } => {
                "Wash and press the cloth as the garment will be washed, and square its ends, before laying."
            }
            Caution::WashFirst { reckoned: false } => {
                "No shrinkage is reckoned with: if the cloth will be washed, wash a swatch first, and give the job \
                 what it loses along and across."
            }
            Caution::MeasureWidth => {
                "Measure the cloth's true width, selvage to selvage, in several places; lay to the narrowest."
            }
            Caution::MeasureRemnant => {
                "Measure the remnant again in several places: it must hold the whole of the shape that the job gives."
            }
            Caution::MarkFlaws => {
                "Mark every flaw with a pin or thread that shows on both sides, and make sure before cutting that no \
                 piece lies over one, on the lower ply as well."
            }
            Caution::NapDirection => {
                "The cloth has a nap: every piece points the same way. Stroke it, and mark its direction along an edge."
            }
            Caution::MarkNapBeforeTurning => {
                "Mark the nap with arrows on both long edges before cutting across; turn the upper ply end for end, so \
                 that the arrows of both plies agree."
            }
            Caution::FoldTrue => {
                "Fold along a thread and smooth the plies from the fold outwards; a thick fold takes up cloth, so check \
                 the depth of every fold with a ruler."
            }
            Caution::SetInCrease => {
                "Do not use a crease that is set in the tube as a fold: refold so that it falls between the pieces."
            }
            Caution::PinPlies => {
                "Two plies slip: pin or weight both along the long edges and near the pieces before cutting."
            }
            Caution::FacesOnOnePly => {
                "Single ply, right side up: mind which pieces lie printed side up and which down, or a pair becomes two lefts."
            }
            Caution::RefoldAfterCutting => {
                "Lay and cut one section after the other; fold anew only when everything of the first is cut."
            }
            Caution::SpareCopies => "More copies come off than are wanted; set the spare ones aside, marked.",
            Caution::CountBeforeCutting => {
                "Lay all the pieces and count them before the first cut; the shop may have cut the cloth short."
            }
            Caution::SupportCloth => "Let no cloth hang off the table: its weight stretches what lies on it.",
            Caution::PinsClearOfBlade => {
                "Pins go inside the seam allowance, across it, clear of the blade; count them. On pile use weights."
            }
            Caution::Blades => {
                "Close a rotary cutter after every cut and never lay it down open; keep fingers and thumb back from the \
                 ruler's edge and cut away from the body. At a powered cutter wear the chain-mail glove."
            }
            Caution::KeepCutOffs => "Keep the cut-offs until the garment is done.",
        })
    }
}

/// The cautions that a marker of a job on some cloth calls for, in the order of work.
pub(crate) fn due(job: &Job, cloth: &Cloth, marker: &Marker) -> Vec<Caution> {
    let families: Vec<Family> = marker.spread.sections.iter().map(|s| s.family).collect();
    let two_plies = marker.placements.iter().any(|p| p.plies == Plies::Two);
    let folded = families.iter().any(|f| {
        matches!(f, Family::LengthwiseFold | Family::OffCentreFold | Family::TwoFolds | Family::CrosswiseFold)
    });
    let down_on_one = marker.placements.iter().any(|p| p.plies == Plies::One && p.pose.mirrored);
    let spare = marker
        .placements
        .iter()
        .any(|p| p.plies == Plies::Two && p.form != Form::OnFold && p.yields < p.plies.count());
    let reckoned = cloth.shrinkage_along > 0.0 || cloth.shrinkage_across > 0.0;
    let mut apart: Vec<&str> =
        job.apart(&cloth.kind).iter().map(|want| &*job.style.pieces[want.piece].name).collect();
    apart.dedup();
    let napped = cloth.nap == Nap::OneWay;
    [
        (true, Caution::WashFirst { reckoned }),
        (cloth.within.is_none(), Caution::MeasureWidth),
        (cloth.within.is_some(), Caution::MeasureRemnant),
        (!apart.is_empty(), Caution::Apart(apart.join(", "))),
        (!cloth.flaws.is_empty(), Caution::MarkFlaws),
        (napped, Caution::NapDirection),
        (napped && families.contains(&Family::TurnedDouble), Caution::MarkNapBeforeTurning),
        (folded, Caution::FoldTrue),
        (cloth.form == ClothForm::Tube, Caution::SetInCrease),
        (two_plies, Caution::PinPlies),
        (down_on_one, Caution::FacesOnOnePly),
        (families.len() > 1, Caution::RefoldAfterCutting),
        (spare, Caution::SpareCopies),
        (true, Caution::CountBeforeCutting),
        (true, Caution::SupportCloth),
        (true, Caution::PinsClearOfBlade),
        (true, Caution::Blades),
        (true, Caution::KeepCutOffs),
    ]
    .into_iter()
    .filter_map(|(due, caution)| due.then_some(caution))
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented;

    #[test]
    fn each_is_spoken_of_when_it_is_due() {
        let due_for = |(_, job, marker): (&str, Job, Marker)| due(&job, &job.cloths[0], &marker);
        let single = due_for(invented::single());
        assert!(single.contains(&Caution::FacesOnOnePly) && !single.contains(&Caution::FoldTrue));
        assert!(!single.contains(&Caution::NapDirection) && !single.contains(&Caution::PinPlies));
        let turned = due_for(invented::turned_double());
        assert!(turned.contains(&Caution::NapDirection) && turned.contains(&Caution::MarkNapBeforeTurning));
        assert!(due_for(invented::tubular()).contains(&Caution::SetInCrease));
        assert!(due_for(invented::two_sections()).contains(&Caution::RefoldAfterCutting));
        assert!(due_for(invented::spare_copy()).contains(&Caution::SpareCopies));
        assert!(
            !due_for(invented::lengthwise_fold()).contains(&Caution::SpareCopies),
            "one whole comes off a fold"
        );
    }
}
