//! From the length of a lay to the length to buy, figure by figure, and how much of the cloth becomes garment.

use crate::cloth::{Cloth, ClothForm, Price};
use crate::job::Job;
use crate::length::{GRID_PER_MM, Length, Unit};
use crate::spread::Spread;

/// The way from a lay to a purchase; each figure follows from those before it.
///
/// All in whole grid units of 0.01 mm: nothing is rounded up because a division left a trace.
#[derive(Clone, Debug, PartialEq)]
pub struct Purchase {
    /// Length of the lay on the table.
    pub lay: Length,
    /// Cloth lying in it: twice the lay where the whole width lies double across.
    pub cloth_in_lay: Length,
    /// The two end allowances together.
    pub ends: Length,
    /// Cloth needed on the table: what lies in the lay, and the ends.
    pub cloth: Length,
    /// The part lost in washing.
    pub shrinkage: f64,
    /// Cloth needed before washing: divided by what shrinkage leaves, up to the next 0.01 mm.
    pub before_washing: Length,
    /// Extra, so that the cut ends can be squared.
    pub straightening: Length,
    /// All that is needed.
    pub needed: Length,
    /// The seller's step.
    pub step: Length,
    /// How many steps.
    pub steps: i64,
    /// The length to buy: so many steps.
    pub to_buy: Length,
    /// The unit in which lengths to buy are told.
    pub unit: Unit,
    /// What there is, when the cloth is already in hand.
    pub in_hand: Option<Length>,
    /// The price, when it is known.
    pub price: Option<Price>,
}

/// Shrinkage is taken as a whole number of these parts, so that 5 % is exactly one twentieth.
const PARTS: i128 = 1_000_000_000;

impl Purchase {
    /// What a spread asks to be bought.
    ///
    /// A step that is not positive counts as 0.01 mm, and a shrinkage that leaves nothing as none; a valid job has
    /// neither.
    pub fn new(cloth: &Cloth, spread: &Spread) -> Purchase {
        Purchase::of(cloth, spread.lay_length(), spread.cloth_length())
    }

    /// What a lay of this length with so much cloth in it asks to be bought.
    pub fn of(cloth: &Cloth, lay: Length, cloth_in_lay: Length) -> Purchase {
        let ends = Length::from_grid(2 * cloth.end_allowance.grid());
        let on_table = cloth_in_lay.grid() + ends.grid();
        let needed = Purchase::needed_for(cloth, cloth_in_lay).grid();
        let before_washing = needed - cloth.straightening.grid();
        let step = step_of(cloth);
        let steps = Purchase::steps_for(cloth, cloth_in_lay);
        Purchase {
            lay,
            cloth_in_lay,
            ends,
            cloth: Length::from_grid(on_table),
            shrinkage: cloth.shrinkage_along,
            before_washing: Length::from_grid(before_washing),
            straightening: cloth.straightening,
            needed: Length::from_grid(needed),
            step: Length::from_grid(step),
            steps,
            to_buy: Length::from_grid(steps * step),
            unit: cloth.sale.unit,
            in_hand: cloth.length_in_hand,
            price: cloth.price.clone(),
        }
    }

    /// All that is needed of a cloth for so much of it to lie in a lay.
    pub fn needed_for(cloth: &Cloth, cloth_in_lay: Length) -> Length {
        let on_table = cloth_in_lay.grid() + 2 * cloth.end_allowance.grid();
        Length::from_grid(before_shrinking(on_table, cloth.shrinkage_along) + cloth.straightening.grid())
    }

    /// How many of the seller's steps are needed for so much of a cloth to lie in a lay.
    pub fn steps_for(cloth: &Cloth, cloth_in_lay: Length) -> i64 {
        let (needed, step) = (Purchase::needed_for(cloth, cloth_in_lay).grid(), step_of(cloth));
        needed.div_euclid(step) + i64::from(needed.rem_euclid(step) > 0)
    }

    /// The most cloth that may lie in a lay for so much to be enough; none when the ends alone take more.
    pub fn most_in_lay(cloth: &Cloth, enough: Length) -> Option<Length> {
        // Needed cloth grows with the lay and is at least as long, so halving finds the last length that is not too much.
        let suffices = |lay: i64| Purchase::needed_for(cloth, Length::from_grid(lay)) <= enough;
        let (mut fits, mut too_long) = (0, enough.grid().max(0) + 1);
        if !suffices(fits) {
            return None;
        }
        while too_long - fits > 1 {
            let middle = fits + (too_long - fits) / 2;
            *(if suffices(middle) { &mut fits } else { &mut too_long }) = middle;
        }
        Some(Length::from_grid(fits))
    }

    /// How much the cloth in hand is too short; none when it is enough, or when it is still to be bought.
    pub fn missing(&self) -> Option<Length> {
        let short = self.needed.grid() - self.in_hand?.grid();
        (short > 0).then_some(Length::from_grid(short))
    }

    /// How much of the cloth in hand is left over; none when it is not enough, or when it is still to be bought.
    pub fn left_over(&self) -> Option<Length> {
        let left = self.in_hand?.grid() - self.needed.grid();
        (left >= 0).then_some(Length::from_grid(left))
    }

    /// What the length to buy costs, when the price is known.
    pub fn cost(&self) -> Option<f64> {
        self.price.as_ref().map(|price| price.of(self.to_buy))
    }

    /// What it costs as one pays it: `23.22 EUR`.
    pub fn cost_text(&self) -> Option<String> {
        Some(self.price.as_ref()?.told(self.cost()?))
    }

    /// The length to buy as one asks for it over the counter.
    pub fn to_buy_text(&self) -> String {
        over_the_counter(self.to_buy, self.unit)
    }
}

/// The seller's step in grid units.
fn step_of(cloth: &Cloth) -> i64 {
    cloth.sale.step.grid().max(1)
}

/// The length that shrinks to `length` grid units: L / (1 - s), rounded up to a whole unit.
fn before_shrinking(length: i64, shrinkage: f64) -> i64 {
    let lost = (shrinkage * PARTS as f64).round() as i128;
    let left = if (0..PARTS).contains(&lost) { PARTS - lost } else { PARTS };
    let whole = i128::from(length) * PARTS;
    let before = whole.div_euclid(left) + i128::from(whole.rem_euclid(left) > 0);
    i64::try_from(before).unwrap_or(i64::MAX)
}

/// A length as one asks for it: yards and inches with a fraction where there is one ("2 3/8 yd"), metres with at least
/// two decimals ("1.80 m"), the rest with as many as it has.
pub fn over_the_counter(length: Length, unit: Unit) -> String {
    let sign = unit.sign();
    let grid = length.grid();
    match unit {
        Unit::Yard => match mixed_number(grid, 91_440, &[1, 2, 4, 8, 3, 16]) {
            Some(text) => format!("{text} {sign}"),
            None => format!("{:.3} {sign}", length.in_unit(unit)),
        },
        Unit::Inch => match mixed_number(grid, 2_540, &[1, 2, 4, 8, 16]) {
            Some(text) => format!("{text} {sign}"),
            None => format!("{:.2} {sign}", length.in_unit(unit)),
        },
        Unit::M => format!("{} {sign}", decimal(grid, 1000 * GRID_PER_MM, 2)),
        Unit::Cm => format!("{} {sign}", decimal(grid, 10 * GRID_PER_MM, 0)),
        Unit::Mm => format!("{} {sign}", decimal(grid, GRID_PER_MM, 0)),
    }
}

/// `grid` in units of `one` as a whole number and a fraction in lowest terms, if one of `parts` gives it exactly.
fn mixed_number(grid: i64, one: i64, parts: &[i64]) -> Option<String> {
    let (whole, rest) = (grid.div_euclid(one), grid.rem_euclid(one));
    let part = parts.iter().find(|&&part| rest * part % one == 0)?;
    let over = rest * part / one;
    Some(match (whole, over) {
        (whole, 0) => format!("{whole}"),
        (0, over) => format!("{over}/{part}"),
        (whole, over) => format!("{whole} {over}/{part}"),
    })
}

/// `grid` in units of `one`, a power of ten, with all its decimals and at least `least` of them.
fn decimal(grid: i64, one: i64, least: usize) -> String {
    let mut digits = String::new();
    let mut rest = grid.unsigned_abs() % one.unsigned_abs();
    let mut tenth = one.unsigned_abs() / 10;
    while tenth > 0 && (rest > 0 || digits.len() < least) {
        digits.push(char::from_digit((rest / tenth) as u32, 10).unwrap_or('0'));
        rest %= tenth;
        tenth /= 10;
    }
    let sign = if grid < 0 { "-" } else { "" };
    let point = if digits.is_empty() { "" } else { "." };
    format!("{sign}{}{point}{digits}", grid.unsigned_abs() / one.unsigned_abs())
}

/// How much of the cloth becomes garment: spare copies, selvages and ends are waste.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Efficiency {
    /// Area of all the pieces wanted, every ply, in square millimetres.
    pub pieces_mm2: f64,
    /// Area of the cloth needed on the table, ends and selvages included.
    pub cloth_mm2: f64,
    /// The same without the selvages.
    pub usable_mm2: f64,
}

impl Efficiency {
    /// Of all the pieces wanted from `cloth`, when `length` of it is needed on the table.
    pub fn new(job: &Job, cloth: &Cloth, length: Length) -> Efficiency {
        let doubled: i128 = job
            .wants(&cloth.kind)
            .iter()
            .filter_map(|want| {
                let shape = job.style.pieces[want.piece].shapes.get(&job.style.sizes[want.size])?;
                let copies = i128::from(want.as_drawn) + i128::from(want.mirrored);
                Some(copies * i128::from(shape.full.doubled_area()))
            })
            .sum();
        // Flat width: a tube is two plies all along.
        let plies = match cloth.form {
            ClothForm::Flat => 1,
            ClothForm::Tube => 2,
        };
        let width = cloth.lay_width().grid() * plies;
        let usable = width - 2 * cloth.selvage.grid();
        // Whole numbers until the end: pieces that fill the cloth are all of it, and not a hair more.
        let mm2 = |doubled: i128| doubled as f64 / (2 * GRID_PER_MM * GRID_PER_MM) as f64;
        let doubled_of = |width: i64| 2 * i128::from(width) * i128::from(length.grid());
        Efficiency {
            pieces_mm2: mm2(doubled),
            cloth_mm2: mm2(doubled_of(width)),
            usable_mm2: mm2(doubled_of(usable)),
        }
    }

    /// Pieces over cloth, 0 to 1.
    pub fn of_cloth(&self) -> f64 {
        if self.cloth_mm2 > 0.0 { self.pieces_mm2 / self.cloth_mm2 } else { 0.0 }
    }

    /// Pieces over the usable part of the cloth, 0 to 1.
    pub fn of_usable(&self) -> f64 {
        if self.usable_mm2 > 0.0 { self.pieces_mm2 / self.usable_mm2 } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cloth::Sale;
    use crate::invented::{self, mm};
    use crate::spread::{Family, Section};

    /// A spread of one section without bands; a purchase looks at lengths only.
    fn lay(family: Family, length: Length) -> Spread {
        let section = Section { length, ..invented::section(family, 1500, 0, Vec::new()) };
        Spread { sections: vec![section] }
    }

    fn inches(n: f64) -> Length {
        Length::from_unit(n, Unit::Inch).expect("fits")
    }

    fn sold_by(step: Length, unit: Unit) -> Cloth {
        Cloth {
            sale: Sale { step, unit },
            end_allowance: Length::ZERO,
            straightening: Length::ZERO,
            ..invented::cloth()
        }
    }

    fn eighths() -> Cloth {
        sold_by(inches(4.5), Unit::Yard)
    }

    #[test]
    fn every_figure_follows_from_the_one_before() {
        let cloth = Cloth { shrinkage_along: 0.05, ..invented::cloth() };
        let p = Purchase::new(&cloth, &lay(Family::CrosswiseFold, mm(930)));
        assert_eq!((p.lay, p.cloth_in_lay, p.ends, p.cloth), (mm(930), mm(1860), mm(40), mm(1900)));
        assert_eq!((p.before_washing, p.needed), (mm(2000), mm(2050)), "1900 is 95 % of 2000");
        assert_eq!((p.steps, p.to_buy, p.to_buy_text()), (21, mm(2100), "2.10 m".to_owned()));
    }

    #[test]
    fn shrinkage_follows_the_formula() {
        // Derived: L = 100 at 5 % is bought as 100 / 0.95 = 105.26.
        assert_eq!(before_shrinking(10_000, 0.05), 10_527, "105.263 rounded up to the grid");
        for (percent, before) in
            [(0.0, 7_000_000), (3.0, 100_000), (7.0, 100_000), (10.0, 12_345_670), (35.0, 20)]
        {
            let left = before * (100 - percent as i64) / 100;
            assert_eq!(before_shrinking(left, percent / 100.0), before, "{percent} %: no unit more");
            assert_eq!(before_shrinking(left + 1, percent / 100.0), before + 1 + i64::from(percent > 0.0));
        }
        assert_eq!(before_shrinking(1000, f64::NAN), 1000);
        assert_eq!(before_shrinking(1000, 1.5), 1000);
    }

    #[test]
    fn a_whole_number_of_steps_is_not_rounded_up() {
        for n in 1..100 {
            let ten_cm = Purchase::new(&sold_by(mm(100), Unit::M), &lay(Family::Single, mm(100 * n)));
            assert_eq!((ten_cm.steps, ten_cm.to_buy), (n, mm(100 * n)));
            // 1/8 yd = 4.5 in = 11.43 cm exactly (definition of the yard; the step is printed on shops' yardage charts).
            let exact = Length::from_grid(11_430 * n);
            assert_eq!(Purchase::new(&eighths(), &lay(Family::Single, exact)).to_buy, exact);
            let more = Length::from_grid(11_430 * n + 1);
            assert_eq!(Purchase::new(&eighths(), &lay(Family::Single, more)).steps, n + 1);
        }
    }

    #[test]
    fn published_yardages_come_out() {
        let buys = |inches_of_lay: f64, step: f64| {
            let cloth = sold_by(inches(36.0 * step), Unit::Yard);
            Purchase::new(&cloth, &lay(Family::Single, inches(inches_of_lay))).to_buy_text()
        };
        // Worked examples published by home sewers: gored skirt of two lengths of 49 in (charter.net, lara_the_lacemaker); tiered
        // skirt (annasmountaintreasures, 2013).
        assert_eq!(buys(98.0, 0.25), "2 3/4 yd");
        assert_eq!(buys(187.0, 0.25), "5 1/4 yd");
        // Worked examples: a cornice without and with a 23 in repeat (cornicekits.com); "always up" (sewchicpatterns, 2010).
        assert_eq!(buys(37.08, 0.25), "1 1/4 yd");
        assert_eq!(buys(71.07, 0.25), "2 yd");
        // Three lengths of 49 in are 4.08 yd (charter.net); half-circle skirts, derived, 65.825 and 32.913 in.
        assert_eq!(buys(147.0, 0.125), "4 1/8 yd");
        assert_eq!(buys(65.825, 0.125), "1 7/8 yd");
        assert_eq!(buys(32.913, 0.125), "1 yd");
    }

    #[test]
    fn lengths_are_told_as_over_the_counter() {
        // Derived: eighths of a yard in centimetres.
        let eighths_in_cm = ["11.43", "22.86", "34.29", "45.72", "57.15", "68.58", "80.01", "91.44"];
        let in_yards = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8", "1"];
        for (i, (cm, yd)) in eighths_in_cm.into_iter().zip(in_yards).enumerate() {
            let length = Length::from_grid(11_430 * (i as i64 + 1));
            assert_eq!(over_the_counter(length, Unit::Cm), format!("{cm} cm"));
            assert_eq!(over_the_counter(length, Unit::Yard), format!("{yd} yd"));
        }
        let told = |grid, unit| over_the_counter(Length::from_grid(grid), unit);
        assert_eq!(told(2 * 91_440 + 3 * 11_430, Unit::Yard), "2 3/8 yd");
        assert_eq!(told(91_440 + 30_480, Unit::Yard), "1 1/3 yd");
        assert_eq!(told(100_000, Unit::Yard), "1.094 yd");
        assert_eq!(told(2540 * 70 + 1270, Unit::Inch), "70 1/2 in");
        assert_eq!(told(180_000, Unit::M), "1.80 m");
        assert_eq!(told(185_500, Unit::M), "1.855 m");
        assert_eq!(told(180_000, Unit::Cm), "180 cm");
        assert_eq!(told(180_001, Unit::Mm), "1800.01 mm");
        assert_eq!(told(0, Unit::M), "0.00 m");
        assert_eq!(told(-5, Unit::Mm), "-0.05 mm");
    }

    #[test]
    fn cloth_in_hand_is_enough_or_too_short() {
        let hand = |have| {
            let cloth = Cloth { length_in_hand: Some(have), ..sold_by(mm(100), Unit::M) };
            Purchase::new(&cloth, &lay(Family::Single, mm(1234))).missing()
        };
        assert_eq!(hand(mm(1234)), None);
        assert_eq!(hand(mm(1200)), Some(mm(34)));
        assert_eq!(
            Purchase::new(&eighths(), &lay(Family::Single, mm(1234))).missing(),
            None,
            "nothing in hand"
        );
    }

    #[test]
    fn cloth_that_is_all_used_is_used_to_one_exactly() {
        let slab = r#"{ "id": "slab", "outline": [[0, 0], [51.218, 0], [51.218, 150], [0, 150]],
            "grainline": [[5, 10], [45, 10]] }"#;
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "cloths": [{{ "width": 150 }}], "pieces": [{slab}] }}"#
        );
        let job = Job::read(&text).expect("a job");
        let all = Efficiency::new(&job, &job.cloths[0], Length::from_grid(51_218));
        assert_eq!((all.of_cloth(), all.of_usable()), (1.0, 1.0));
    }

    #[test]
    fn efficiency_counts_every_ply_of_what_is_wanted() {
        let job = invented::job(&["cuff"], invented::cloth());
        let of = |job: &Job| Efficiency::new(job, &job.cloths[0], mm(100));
        assert_eq!(of(&job).pieces_mm2, 2.0 * 200.0 * 90.0);
        assert_eq!(of(&job).of_cloth(), 36_000.0 / 150_000.0);
        assert_eq!(of(&job).of_usable(), 36_000.0 / 148_000.0);
        // A half counts as the whole it becomes; a tube is two plies.
        let job = invented::job(&["back"], invented::tube());
        let half = job.style.pieces[0].shapes["38"].outline.area_mm2();
        assert!((of(&job).pieces_mm2 - 2.0 * half).abs() < 1e-9);
        assert_eq!(of(&job).cloth_mm2, 100_000.0);
        // A textbook shirt by bounding rectangles (textileblog.com): 3016 sq in at 44 in is 68.55 in; without waste the efficiency is 1.
        let shirt =
            Efficiency { pieces_mm2: 3016.0 * 645.16, cloth_mm2: 44.0 * 68.55 * 645.16, usable_mm2: 0.0 };
        assert!((shirt.of_cloth() - 1.0).abs() < 1e-4);
        assert_eq!(shirt.of_usable(), 0.0);
    }
}
