//! The remnants of a cloth: rectangles and outlines.

use super::faults::Faults;
use super::flaws::{flaws, polygon};
use super::names::Names;
use super::numbers::positive;
use crate::cloth::{Cloth, ClothForm, Flaw};
use crate::geometry::{Point, Polygon};
use crate::job::ProblemKind;
use crate::job::file::{ClothFile, RemnantFile};
use crate::length::{Length, Unit};
use crate::remnant::Remnant;

/// The remnants that a cloth of the file lists.
pub(super) fn remnants(
    file: &ClothFile,
    cloth: &Cloth,
    unit: Unit,
    place: &str,
    faults: &mut Faults,
) -> Vec<Remnant> {
    if cloth.form == ClothForm::Tube && !file.remnants.is_empty() {
        faults.add(place, ProblemKind::RemnantsOfTube);
        return Vec::new();
    }
    let mut names = Names::default();
    let mut remnants = Vec::new();
    for (i, file) in file.remnants.iter().enumerate() {
        let place = format!("{place}[{i}]");
        let name = file.name.clone().unwrap_or_else(|| (i + 1).to_string());
        names.add(format!("{place}.name"), &name, "remnant", faults);
        let Some(outline) = outline(file, cloth, unit, &place, faults) else { continue };
        // Everything is moved so that the least x and y are 0.
        let back = -outline.bounds().low;
        let all = Length::from_grid(outline.bounds().high.y);
        let flaws = flaws(&file.flaws, (unit, all), &format!("{place}.flaws"), faults);
        let flaws = flaws.into_iter().map(|flaw| shifted(flaw, back)).collect();
        remnants.push(Remnant { name, outline: outline.shifted(back), flaws });
    }
    remnants
}

fn outline(
    file: &RemnantFile,
    cloth: &Cloth,
    unit: Unit,
    place: &str,
    faults: &mut Faults,
) -> Option<Polygon> {
    match (file.length, file.width, &file.outline) {
        (Some(length), width, None) => {
            let usable = cloth.usable_width();
            let length = positive(length, unit, &format!("{place}.length"), faults);
            let width = width.map_or(usable, |w| positive(w, unit, &format!("{place}.width"), faults));
            let both = length > Length::ZERO && width > Length::ZERO;
            both.then(|| Polygon::rectangle(length.grid(), width.grid()))
        }
        (None, None, Some(points)) => polygon(points, unit, &format!("{place}.outline"), faults),
        _ => {
            faults.add(place, ProblemKind::RemnantForm);
            None
        }
    }
}

fn shifted(flaw: Flaw, by: Point) -> Flaw {
    match flaw {
        Flaw::Spot { centre, radius } => Flaw::Spot { centre: centre + by, radius },
        Flaw::Area(outline) => Flaw::Area(outline.shifted(by)),
    }
}
