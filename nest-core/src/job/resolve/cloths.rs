//! The cloths of the file.

use super::faults::Faults;
use super::flaws::flaws;
use super::names::{Names, checked_name};
use super::numbers::{not_negative, per_cent, positive};
use super::remnants::remnants;
use crate::cloth::{Cloth, ClothForm, Nap, Price, Sale};
use crate::job::file::{ClothFile, ClothFormName, JobFile, NapName, PriceFile, SaleUnit};
use crate::job::limits::MAX_CLOTHS;
use crate::job::{Measure, ProblemKind};
use crate::length::{Length, Unit};

/// The kind of cloth when none is written, of a cloth and of a piece alike.
pub(super) const DEFAULT_KIND: &str = "self";

pub(super) fn cloths(file: &JobFile, unit: Unit, faults: &mut Faults) -> Vec<Cloth> {
    if !faults.holds_some("cloths", file.cloths.len(), MAX_CLOTHS, "cloths", false) {
        return Vec::new();
    }
    let mut kinds = Names::default();
    let mut cloths = Vec::new();
    for (i, cloth) in file.cloths.iter().enumerate() {
        let place = format!("cloths[{i}]");
        let kind = cloth.kind.as_deref().unwrap_or(DEFAULT_KIND);
        kinds.add(format!("{place}.kind"), kind, "cloth", faults);
        faults.about(Some(kind));
        cloths.push(one_cloth(cloth, kind, unit, &place, faults));
        faults.about(None);
    }
    cloths
}

fn one_cloth(file: &ClothFile, kind: &str, unit: Unit, place: &str, faults: &mut Faults) -> Cloth {
    let at = |field: &str| format!("{place}.{field}");
    let width = positive(file.width, unit, &at("width"), faults);
    let selvage = not_negative(file.selvage, unit, &at("selvage"), faults);
    let shrinkage = file.shrinkage.clone().unwrap_or_default();
    let cloth = Cloth {
        kind: kind.to_owned(),
        form: match file.form {
            ClothFormName::Flat => ClothForm::Flat,
            ClothFormName::Tube => ClothForm::Tube,
        },
        width,
        selvage,
        nap: match file.nap {
            NapName::None => Nap::None,
            NapName::OneWay => Nap::OneWay,
        },
        shrinkage_along: per_cent(shrinkage.along, &at("shrinkage.along"), faults),
        shrinkage_across: per_cent(shrinkage.across, &at("shrinkage.across"), faults),
        end_allowance: not_negative(file.end_allowance, unit, &at("end_allowance"), faults),
        straightening: not_negative(file.straightening, unit, &at("straightening"), faults),
        sale: sale(file, unit, place, faults),
        price: file.price.as_ref().map(|price| priced(price, &at("price"), faults)),
        length_in_hand: file
            .length_in_hand
            .map(|length| positive(length, unit, &at("length_in_hand"), faults)),
        spare_copies: file.spare_copies,
        flaws: Vec::new(),
        within: None,
        remnants: Vec::new(),
    };
    if cloth.form == ClothForm::Tube && selvage > Length::ZERO {
        faults.add(at("selvage"), ProblemKind::TubeSelvage);
    } else if width > Length::ZERO {
        let left = cloth.usable_width();
        if left <= Length::ZERO {
            let measure = |length: Length| Measure { value: length.in_unit(unit), unit };
            let taken = measure(Length::from_grid(width.grid() - left.grid()));
            let kind = ProblemKind::NothingBetweenSelvages { width: measure(width), taken };
            faults.add(at("selvage"), kind);
        }
    }
    let plies = if cloth.form == ClothForm::Tube { 2 } else { 1 };
    let across = Length::from_grid(plies * cloth.lay_width().grid());
    let flaws = flaws(&file.flaws, (unit, across), &at("flaws"), faults);
    let remnants = remnants(file, &cloth, unit, &at("remnants"), faults);
    Cloth { flaws, remnants, ..cloth }
}

fn sale(file: &ClothFile, unit: Unit, place: &str, faults: &mut Faults) -> Sale {
    let Some(sale) = &file.sale else {
        // Common practice: an eighth of a yard where cloth is sold by the yard, elsewhere ten centimetres.
        let (step, unit) = match unit {
            Unit::Inch | Unit::Yard => (Length::from_grid(11_430), Unit::Yard),
            Unit::Mm | Unit::Cm | Unit::M => (Length::from_grid(10_000), Unit::Cm),
        };
        return Sale { step, unit };
    };
    let unit = sold_by(sale.unit);
    Sale { step: positive(sale.step, unit, &format!("{place}.sale.step"), faults), unit }
}

fn priced(file: &PriceFile, place: &str, faults: &mut Faults) -> Price {
    let amount = if (0.0..=1e6).contains(&file.amount) {
        file.amount
    } else {
        faults.add(format!("{place}.amount"), ProblemKind::Price(file.amount));
        0.0
    };
    let currency = checked_name(format!("{place}.currency"), &file.currency, faults);
    Price { amount, per: sold_by(file.per), currency }
}

fn sold_by(unit: SaleUnit) -> Unit {
    match unit {
        SaleUnit::Mm => Unit::Mm,
        SaleUnit::Cm => Unit::Cm,
        SaleUnit::Inch => Unit::Inch,
        SaleUnit::M => Unit::M,
        SaleUnit::Yard => Unit::Yard,
    }
}
