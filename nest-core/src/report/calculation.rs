//! The way from a lay to the length to buy as a small calculation that can be followed by hand.

use super::text::{percent, small};
use crate::length::{Length, Unit};
use crate::purchase::{Purchase, over_the_counter};

/// One line of a calculation: what is done, with what, and the figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Term {
    /// `+`, `x`, `:` or `=`; empty where the calculation begins.
    pub sign: &'static str,
    /// What the figure is.
    pub what: String,
    /// The figure with its unit.
    pub figure: String,
}

impl Term {
    /// The term in columns: sign, figure, and what it is.
    pub fn line(&self) -> String {
        format!("{:<1} {:>12}  {}", self.sign, self.figure, self.what)
    }
}

/// The calculation, line by line; small lengths in `unit`. What adds nothing is left out.
pub fn calculation(p: &Purchase, unit: Unit) -> Vec<Term> {
    let mut terms: Vec<Term> = Vec::new();
    let mut line = |sign: &'static str, what: String, figure: String| terms.push(Term { sign, what, figure });
    let length = |length: Length| small(length, unit);
    line("", "lay on the table".to_owned(), length(p.lay));
    if p.cloth_in_lay != p.lay {
        let more = Length::from_grid(p.cloth_in_lay.grid() - p.lay.grid());
        line("+", "once more where the whole width lies double".to_owned(), length(more));
    }
    if p.ends > Length::ZERO {
        line("+", "left beyond the lay, both ends together".to_owned(), length(p.ends));
    }
    if terms_follow(p) {
        line("=", "cloth on the table".to_owned(), length(p.cloth));
    }
    if p.shrinkage > 0.0 {
        let left = format!("{}", (1e6 * (1.0 - p.shrinkage)).round() / 1e6);
        line(":", format!("what washing leaves, as it takes {}", percent(p.shrinkage)), left);
        line("=", "cloth before washing".to_owned(), length(p.before_washing));
    }
    if p.straightening > Length::ZERO {
        line("+", "to straighten the ends".to_owned(), length(p.straightening));
        line("=", "needed".to_owned(), length(p.needed));
    }
    let step = over_the_counter(p.step, p.unit);
    line("=", format!("to buy: the next whole number of steps of {step}, {}", p.steps), p.to_buy_text());
    if let (Some(price), Some(cost)) = (&p.price, p.cost_text()) {
        let per = format!("{} {}", decimals(price.amount), price.currency);
        line("x", format!("the price of one {}", price.per.sign()), per);
        line("=", "to pay".to_owned(), cost);
    }
    terms
}

/// Is the cloth on the table more than the lay?
fn terms_follow(p: &Purchase) -> bool {
    p.cloth != p.lay
}

/// A price with two decimals, or as many as it has.
fn decimals(amount: f64) -> String {
    let exact = format!("{amount:.4}");
    let short = exact.trim_end_matches('0');
    let places = short.len() - short.find('.').map_or(short.len(), |dot| dot + 1);
    format!("{amount:.*}", places.max(2))
}

#[cfg(test)]
mod calculation_tests {
    use super::*;
    use crate::cloth::{Cloth, Price};
    use crate::invented::{self, mm};

    #[test]
    fn the_calculation_can_be_followed_by_hand() {
        let price = Price { amount: 12.9, per: Unit::M, currency: "EUR".to_owned() };
        let cloth = Cloth { shrinkage_along: 0.05, price: Some(price), ..invented::cloth() };
        let told: Vec<String> = calculation(&Purchase::of(&cloth, mm(930), mm(1860)), Unit::Cm)
            .into_iter()
            .map(|t| format!("{} {}: {}", t.sign, t.what, t.figure))
            .collect();
        assert_eq!(
            told,
            [
                " lay on the table: 93.00 cm",
                "+ once more where the whole width lies double: 93.00 cm",
                "+ left beyond the lay, both ends together: 4.00 cm",
                "= cloth on the table: 190.00 cm",
                ": what washing leaves, as it takes 5.0 %: 0.95",
                "= cloth before washing: 200.00 cm",
                "+ to straighten the ends: 5.00 cm",
                "= needed: 205.00 cm",
                "= to buy: the next whole number of steps of 0.10 m, 21: 2.10 m",
                "x the price of one m: 12.90 EUR",
                "= to pay: 27.09 EUR",
            ]
        );
    }

    #[test]
    fn what_adds_nothing_is_left_out() {
        let bare = Cloth { end_allowance: mm(0), straightening: mm(0), ..invented::cloth() };
        let terms = calculation(&Purchase::of(&bare, mm(930), mm(930)), Unit::Cm);
        assert_eq!(terms.len(), 2, "{terms:?}");
    }

    #[test]
    fn prices_are_exact_to_the_cent() {
        let price = |amount, per| Price { amount, per, currency: "USD".to_owned() };
        // 2 3/8 yd at 9.99: 23.72625.
        let yards = Length::from_grid(2 * 91_440 + 3 * 11_430);
        assert_eq!(price(9.99, Unit::Yard).of(yards), 23.73);
        assert_eq!(price(9.99, Unit::M).of(mm(500)), 5.0, "4.995: half a cent goes up");
        assert_eq!(price(0.0, Unit::M).of(mm(500)), 0.0);
        assert_eq!(price(1_000_000.0, Unit::Mm).of(mm(100_000)), 1e11);
        assert_eq!(
            (decimals(12.9), decimals(3.0), decimals(0.125)),
            ("12.90".into(), "3.00".into(), "0.125".into())
        );
    }
}
