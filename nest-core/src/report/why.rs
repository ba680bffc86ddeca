//! Why the winner wins, in one sentence: what it saves over the next in the ranking, over single thickness, which every fold
//! opens out to, and, for sections, over the best that is folded alike from end to end.

use super::rank::Merit;
use super::text::small;
use super::{ClothReport, Handling, Lay, LineReport, Outcome};
use crate::length::{Length, Unit};
use crate::purchase::over_the_counter;
use crate::spread::{Family, Kind, Refusal};

impl ClothReport {
    /// Why the winner wins, in one sentence with small lengths in `unit`; none without a winner.
    pub fn why(&self, unit: Unit) -> Option<String> {
        let (line, best) = (self.winning_line()?, self.winner()?);
        let (name, is) = named(line.kind);
        let (equals, next) = self.equals_and_next(best);
        let telling = Telling { report: self, best, unit };
        let mut sentence = match next {
            Some((next, merit, other)) => {
                let more = telling.more_over_next(merit, other);
                format!("{name} {is} best: {}{more}", telling.over_next(merit, next, other))
            }
            None if equals.is_empty() && self.ranking.len() > 1 => {
                return Some(format!("{name} {is} best: sections along the length come to the same."));
            }
            None if equals.is_empty() => {
                let others = self.lines.iter().filter(|other| other.kind != line.kind);
                let refused = others.filter(|o| !matches!(o.outcome, Outcome::Refused(Refusal::NotAsked)));
                let only = if refused.count() == 0 { "asked for" } else { "for which a lay was found" };
                return Some(format!("{name} {is} the only spread {only}."));
            }
            None => {
                let same = if self.cloth.within.is_some() { "" } else { "as much to buy, " };
                return Some(format!(
                    "{name} {is} no better than {}: {same}the same handling and as much cloth; of equals the \
                     first in the list is taken.",
                    all_told(&equals).join(" or ")
                ));
            }
        };
        let next = next.map(|(kind, ..)| kind);
        let single = Kind::Whole(Family::Single);
        if line.kind != single
            && next != Some(single)
            && let Some(flat) = self.line_of(single).filter(|_| !equals.contains(&single))
        {
            sentence.push_str(&format!("; against {}, {}", told(single), telling.against(flat)));
        }
        let alike = self.folded_alike().filter(|(kind, _)| Some(*kind) != next && !equals.contains(kind));
        if let Some((kind, alike)) = alike.filter(|_| line.kind == Kind::Sections) {
            let most = ", the best in one section";
            sentence.push_str(&format!("; against {}{most}, {}", told(kind), telling.against(alike)));
        }
        if !equals.is_empty() {
            let also = "just as good, but later in the list";
            sentence.push_str(&format!("; {also}: {}", listed(&all_told(&equals))));
        }
        Some(sentence + ".")
    }

    /// The kinds whose lays nothing tells from the winner's, and the first that differs, with what makes the difference.
    fn equals_and_next(&self, best: &Lay) -> (Vec<Kind>, Option<(Kind, Merit, &Lay)>) {
        let mut equals = Vec::new();
        for place in 1..self.ranking.len() {
            let Some((kind, lay)) = self.ranked(place) else { continue };
            match Merit::that_decides(&self.cloth, best, lay) {
                Some(merit) => return (equals, Some((kind, merit, lay))),
                // Sections that come to one are no other way of laying.
                None if families(lay) == families(best) => {}
                None => equals.push(kind),
            }
        }
        (equals, None)
    }

    /// A place in the ranking, from 0.
    fn ranked(&self, place: usize) -> Option<(Kind, &Lay)> {
        let line = &self.lines[*self.ranking.get(place)?];
        Some((line.kind, line.lay()?))
    }

    /// The best that is folded in one way from end to end.
    fn folded_alike(&self) -> Option<(Kind, &Lay)> {
        let is_alike = |kind: Kind| matches!(kind, Kind::Whole(family) if family != Family::Single);
        (0..self.ranking.len()).filter_map(|place| self.ranked(place)).find(|&(kind, _)| is_alike(kind))
    }

    fn line_of(&self, kind: Kind) -> Option<&Lay> {
        self.lines.iter().find(|line| line.kind == kind).and_then(LineReport::lay)
    }
}

/// A spread at the beginning of a sentence, and its verb.
fn named(kind: Kind) -> (String, &'static str) {
    let is = if matches!(kind, Kind::Sections | Kind::Whole(Family::TwoFolds)) { "are" } else { "is" };
    let mut letters = told(kind).chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    (first + letters.as_str(), is)
}

/// A spread in the middle of a sentence.
fn told(kind: Kind) -> &'static str {
    match kind {
        Kind::Whole(Family::LengthwiseFold) => "a lengthwise fold",
        Kind::Whole(Family::OffCentreFold) => "a lengthwise fold off centre",
        Kind::Whole(Family::CrosswiseFold) => "a crosswise fold",
        Kind::Whole(Family::TurnedDouble) => "double thickness with the upper ply turned",
        Kind::Whole(Family::Tubular) => "the tube as it comes",
        Kind::Whole(Family::Single | Family::TwoFolds) | Kind::Sections => kind.title(),
    }
}

fn all_told(kinds: &[Kind]) -> Vec<String> {
    kinds.iter().map(|&kind| told(kind).to_owned()).collect()
}

/// How the cloth lies, section by section.
fn families(lay: &Lay) -> Vec<Family> {
    lay.checked.marker().spread.sections.iter().map(|section| section.family).collect()
}

/// What is told of a winner.
struct Telling<'a> {
    report: &'a ClothReport,
    best: &'a Lay,
    unit: Unit,
}

impl Telling<'_> {
    /// What it saves over the next in the ranking, by what decides between them.
    fn over_next(&self, merit: Merit, next: Kind, other: &Lay) -> String {
        let than = format!("with {}, the next best", told(next));
        let (mine, others) = (&self.best.handling, &other.handling);
        let as_many = match merit {
            Merit::InHand => {
                let missing = other.purchase.missing().unwrap_or_default();
                return format!(
                    "the cloth in hand is enough, and {than}, {} would be missing",
                    small(missing, self.unit)
                );
            }
            Merit::ToBuy => return format!("{} than {than}", self.to_buy(other)),
            Merit::Placements => "",
            Merit::Turning => ", and as many pieces to lay",
            Merit::Folding => ", and as easy to lay",
            Merit::Cutting => ", and as easy to lay and to fold",
            Merit::Cloth => ", and as easy to handle",
        };
        let but = match merit {
            Merit::InHand | Merit::ToBuy | Merit::Placements => listed(&pieces(mine, others)),
            Merit::Turning => {
                let turned = |h: &Handling| h.opened_out + h.flipped;
                difference(turned(mine), turned(others), false, "to open out or flip")
            }
            Merit::Folding => folds(mine, others),
            Merit::Cutting => format!("{} less to cut", self.cut(mine, others)),
            Merit::Cloth => format!("{} less cloth in the lay", self.cloth(other)),
        };
        format!("{} {than}{as_many}, but {but}", self.as_much())
    }

    /// What else tells it from the next in the ranking, where the length to buy decides.
    fn more_over_next(&self, merit: Merit, other: &Lay) -> String {
        let (mine, others) = (&self.best.handling, &other.handling);
        let rest = pieces(mine, others);
        // The handling may also be worse: that is said as it is.
        match merit {
            Merit::ToBuy if rest.is_empty() => String::new(),
            Merit::ToBuy if mine.burdens()[..2] > others.burdens()[..2] => {
                format!(", though with {}", listed(&rest))
            }
            Merit::ToBuy => format!(", and {}", listed(&rest)),
            _ => String::new(),
        }
    }

    /// All that tells it from another lay, or the first thing beyond the pieces.
    fn against(&self, other: &Lay) -> String {
        let (mine, others) = (&self.best.handling, &other.handling);
        let mut all = Vec::new();
        if self.report.cloth.within.is_none() {
            all.push(self.to_buy(other));
        }
        all.extend(pieces(mine, others));
        let plain = pieces(mine, others).is_empty();
        let is_same_to_buy = self.best.purchase.to_buy == other.purchase.to_buy;
        if plain && (is_same_to_buy || self.report.cloth.within.is_some()) {
            all.push(match Merit::that_decides(&self.report.cloth, self.best, other) {
                Some(Merit::Folding) => folds(mine, others),
                Some(Merit::Cutting) => format!("{} less to cut", self.cut(mine, others)),
                Some(Merit::Cloth) => format!("{} less cloth in the lay", self.cloth(other)),
                _ => "as easy to handle".to_owned(),
            });
        }
        listed(&all)
    }

    /// "0.10 m less to buy"; of cloth in hand by the seller's steps, which the ranking goes by.
    fn to_buy(&self, other: &Lay) -> String {
        let (mine, others) = (&self.best.purchase, &other.purchase);
        let saved = Length::from_grid(others.to_buy.grid() - mine.to_buy.grid());
        if saved == Length::ZERO {
            return if mine.in_hand.is_some() {
                "as much cloth in the seller's steps"
            } else {
                "as much to buy"
            }
            .to_owned();
        }
        let less = if saved > Length::ZERO { "less" } else { "more" };
        let amount = over_the_counter(Length::from_grid(saved.grid().abs()), mine.unit);
        let what = if mine.in_hand.is_some() { "cloth in the seller's steps" } else { "to buy" };
        format!("{amount} {less} {what}")
    }

    /// How a lay that ties in what comes before handling is spoken of.
    fn as_much(&self) -> &'static str {
        let purchase = &self.best.purchase;
        match (self.report.cloth.within.is_some(), purchase.missing().is_some()) {
            (true, false) => "all goes into the remnant, as",
            (true, true) => "too long for the remnant, as",
            (false, _) if purchase.in_hand.is_some() => "as much cloth in the seller's steps as",
            (false, _) => "as much to buy as",
        }
    }

    /// How much less there is to cut, to the centimetre, as the ranking compares it.
    fn cut(&self, mine: &Handling, others: &Handling) -> String {
        let centimetres = others.burdens()[3] - mine.burdens()[3];
        match self.unit {
            Unit::Mm | Unit::Cm | Unit::M => format!("{centimetres} cm"),
            Unit::Inch | Unit::Yard => format!("{:.1} in", centimetres as f64 / 2.54),
        }
    }

    fn cloth(&self, other: &Lay) -> String {
        let less = other.purchase.cloth_in_lay.grid() - self.best.purchase.cloth_in_lay.grid();
        small(Length::from_grid(less), self.unit)
    }
}

/// What differs in the pieces: "2 fewer pieces to lay", "1 more to open out". How many there are stands in the table.
fn pieces(mine: &Handling, others: &Handling) -> Vec<String> {
    let all = [
        ("to lay", mine.placements, others.placements),
        ("to open out", mine.opened_out, others.opened_out),
        ("to flip", mine.flipped, others.flipped),
    ];
    let differing = all.into_iter().filter(|(_, a, b)| a != b).enumerate();
    differing.map(|(at, (what, a, b))| difference(a, b, at == 0, what)).collect()
}

/// "2 fewer pieces to open out", or without the word for pieces where it was said before.
fn difference(mine: usize, others: usize, says_pieces: bool, what: &str) -> String {
    let count = mine.abs_diff(others);
    let more = if mine > others { "more" } else { "fewer" };
    let pieces = match (says_pieces, count) {
        (false, _) => "",
        (true, 1) => " piece",
        (true, _) => " pieces",
    };
    format!("{count} {more}{pieces} {what}")
}

/// "1 fold to make instead of 2 with the cloth folded anew once".
fn folds(mine: &Handling, others: &Handling) -> String {
    let anew = |h: &Handling| match h.refolds {
        0 => String::new(),
        1 => " with the cloth folded anew once".to_owned(),
        n => format!(" with the cloth folded anew {n} times"),
    };
    let plural = if mine.folds == 1 { "" } else { "s" };
    let instead = if others.folds == 0 { "none".to_owned() } else { others.folds.to_string() };
    let (mine_anew, others_anew) = (anew(mine), anew(others));
    format!("{} fold{plural} to make{mine_anew} instead of {instead}{others_anew}", mine.folds)
}

/// "a, b and c".
fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod why_tests {
    use super::*;
    use crate::invented::mm;
    use crate::report::tests::{answer, both_ways};
    use crate::report::{Report, rank};
    use crate::search::Settings;

    const SINGLE: Kind = Kind::Whole(Family::Single);
    const FOLD: Kind = Kind::Whole(Family::LengthwiseFold);
    const TWO: Kind = Kind::Whole(Family::TwoFolds);

    /// A lay of a kind: millimetres to buy; pieces to lay, open out, flip, folds, refolds; centimetres to cut and
    /// millimetres of cloth in the lay.
    struct Told(Kind, i64, [usize; 5], i64, i64);

    /// A report whose lays have just these figures, and none of the other kinds, which were not asked for.
    fn report(told: &[Told]) -> ClothReport {
        let (job, single, folded) = both_ways();
        let answer = answer(&[(Family::Single, &single, 1), (Family::LengthwiseFold, &folded, 1)]);
        let report = Report::new(&job, &[answer], &Settings::default());
        let mut report = report.cloths.into_iter().next().expect("a cloth");
        let lay_of = |report: &ClothReport, kind| report.line_of(kind).expect("a lay").clone();
        let (flat, folded) = (lay_of(&report, SINGLE), lay_of(&report, FOLD));
        for line in &mut report.lines {
            // Sections come to one here: a lengthwise fold.
            let lay = if matches!(line.kind, FOLD | Kind::Sections) { &folded } else { &flat };
            line.outcome = match told.iter().find(|told| told.0 == line.kind) {
                None => Outcome::Refused(Refusal::NotAsked),
                Some(&Told(_, to_buy, [placements, opened_out, flipped, folds, refolds], cutting, cloth)) => {
                    let cutting_mm = 10.0 * cutting as f64;
                    let mut lay = lay.clone();
                    lay.handling = Handling { placements, opened_out, flipped, folds, refolds, cutting_mm };
                    lay.purchase.to_buy = mm(to_buy);
                    lay.purchase.cloth_in_lay = mm(cloth);
                    Outcome::Lay(Box::new(lay))
                }
            };
        }
        report.ranking = rank::ranked(&report.cloth, &report.lines);
        report
    }

    fn why(told: &[Told]) -> String {
        report(told).why(Unit::Cm).expect("a winner")
    }

    #[test]
    fn length_to_buy_comes_first() {
        let flat = || Told(SINGLE, 1800, [9, 2, 2, 0, 0], 900, 1700);
        assert_eq!(
            why(&[flat(), Told(FOLD, 2000, [5, 0, 0, 1, 0], 500, 1900)]),
            "Single thickness is best: 0.20 m less to buy than with a lengthwise fold, the next best, though with \
             4 more pieces to lay, 2 more to open out and 2 more to flip."
        );
        // The next is single thickness: what else the fold saves is said too, even where that is none.
        assert_eq!(
            why(&[flat(), Told(FOLD, 1700, [5, 0, 2, 1, 0], 500, 1600)]),
            "A lengthwise fold is best: 0.10 m less to buy than with single thickness, the next best, and \
             4 fewer pieces to lay and 2 fewer to open out."
        );
        assert_eq!(
            why(&[flat(), Told(FOLD, 1700, [9, 2, 2, 1, 0], 900, 1600)]),
            "A lengthwise fold is best: 0.10 m less to buy than with single thickness, the next best."
        );
    }

    #[test]
    fn what_decides_when_lengths_to_buy_tie_is_named() {
        let of = |a: [usize; 5], cutting: i64, cloth: i64, b: [usize; 5]| {
            why(&[Told(FOLD, 1800, a, cutting, cloth), Told(TWO, 1800, b, 500, 1700)])
        };
        let start = "A lengthwise fold is best: as much to buy as with two lengthwise folds, the next best";
        // The winner's lay is the longer one: the sentence must not speak of that.
        assert_eq!(
            of([5, 1, 0, 1, 0], 500, 1790, [6, 0, 0, 2, 0]),
            format!("{start}, but 1 fewer piece to lay and 1 more to open out.")
        );
        assert_eq!(
            of([6, 0, 0, 1, 0], 500, 1790, [6, 1, 1, 2, 0]),
            format!("{start}, and as many pieces to lay, but 2 fewer to open out or flip.")
        );
        assert_eq!(
            of([6, 1, 0, 1, 0], 500, 1790, [6, 0, 1, 2, 0]),
            format!("{start}, and as easy to lay, but 1 fold to make instead of 2.")
        );
        assert_eq!(
            of([6, 1, 0, 2, 0], 488, 1790, [6, 1, 0, 2, 0]),
            format!("{start}, and as easy to lay and to fold, but 12 cm less to cut.")
        );
        assert_eq!(
            of([6, 1, 0, 2, 0], 500, 1685, [6, 1, 0, 2, 0]),
            format!("{start}, and as easy to handle, but 1.50 cm less cloth in the lay.")
        );
        assert_eq!(
            of([6, 1, 0, 2, 0], 500, 1700, [6, 1, 0, 2, 0]),
            "A lengthwise fold is no better than two lengthwise folds: as much to buy, the same handling and as much cloth; \
             of equals the first in the list is taken."
        );
    }

    #[test]
    fn equals_are_named_and_the_next_is_the_first_that_differs() {
        let fold = |kind| Told(kind, 1800, [5, 0, 0, 1, 0], 500, 1700);
        let flat = || Told(SINGLE, 1800, [9, 2, 2, 0, 0], 900, 1700);
        let best = "A lengthwise fold is best: as much to buy as with single thickness, the next best, but 4 fewer \
                    pieces to lay, 2 fewer to open out and 2 fewer to flip";
        // Sections that come to the same fold are not worth a word; another fold is.
        assert_eq!(why(&[fold(FOLD), fold(Kind::Sections), flat()]), format!("{best}."));
        assert_eq!(
            why(&[fold(FOLD), fold(Kind::Sections), fold(TWO), flat()]),
            format!("{best}; just as good, but later in the list: two lengthwise folds.")
        );
        assert_eq!(
            why(&[fold(FOLD), fold(Kind::Sections)]),
            "A lengthwise fold is best: sections along the length come to the same."
        );
    }

    #[test]
    fn a_fold_is_also_held_against_single_thickness() {
        let flat = |to_buy| Told(SINGLE, to_buy, [9, 2, 2, 0, 0], 900, 1700);
        let folds =
            || [Told(FOLD, 1800, [5, 0, 0, 1, 0], 500, 1700), Told(TWO, 1800, [6, 0, 0, 2, 0], 500, 1700)];
        let [a, b] = folds();
        assert_eq!(
            why(&[a, b, flat(1800)]),
            "A lengthwise fold is best: as much to buy as with two lengthwise folds, the next best, but 1 fewer piece \
             to lay; against single thickness, as much to buy, 4 fewer pieces to lay, 2 fewer to open out and 2 fewer to flip."
        );
        let [a, b] = folds();
        assert!(
            why(&[a, b, flat(2000)])
                .contains("; against single thickness, 0.20 m less to buy, 4 fewer pieces"),
            "more to buy"
        );
        // Nothing differs in the pieces.
        let alike = Told(SINGLE, 1800, [5, 0, 0, 0, 0], 600, 1700);
        let told = why(&[
            Told(FOLD, 1700, [5, 0, 0, 1, 0], 500, 1600),
            Told(TWO, 1750, [5, 0, 0, 2, 0], 1, 1),
            alike,
        ]);
        assert!(told.ends_with("; against single thickness, 0.10 m less to buy."), "{told}");
    }

    #[test]
    fn sections_are_also_held_against_the_best_one_section() {
        let sections = || Told(Kind::Sections, 1800, [5, 0, 0, 2, 1], 500, 1700);
        let flat = || Told(SINGLE, 1800, [9, 2, 2, 0, 0], 900, 1700);
        assert_eq!(
            why(&[sections(), flat(), Told(TWO, 2100, [5, 0, 0, 2, 0], 500, 2000)]),
            "Sections along the length are best: as much to buy as with single thickness, the next best, but 4 fewer \
             pieces to lay, 2 fewer to open out and 2 fewer to flip; against two lengthwise folds, the best in one section, \
             0.30 m less to buy."
        );
        assert_eq!(
            why(&[sections(), flat(), Told(FOLD, 1800, [7, 0, 1, 1, 0], 500, 1700)]),
            "Sections along the length are best: as much to buy as with a lengthwise fold, the next best, but 2 fewer \
             pieces to lay and 1 fewer to flip; against single thickness, as much to buy, 4 fewer pieces to lay, 2 fewer to \
             open out and 2 fewer to flip."
        );
    }

    #[test]
    fn one_spread_alone_says_so() {
        assert_eq!(
            why(&[Told(TWO, 1800, [5, 0, 0, 2, 0], 500, 1700)]),
            "Two lengthwise folds are the only spread asked for."
        );
        let mut alone = report(&[Told(SINGLE, 1800, [5, 0, 0, 2, 0], 500, 1700)]);
        alone.lines[1].outcome = Outcome::Refused(Refusal::NoneFound);
        assert_eq!(
            alone.why(Unit::Cm).as_deref(),
            Some("Single thickness is the only spread for which a lay was found.")
        );
        assert_eq!(report(&[]).why(Unit::Cm), None);
    }

    #[test]
    fn of_cloth_in_hand_what_goes_in_comes_first() {
        let mut two = report(&[
            Told(SINGLE, 1800, [9, 2, 2, 0, 0], 900, 1700),
            Told(FOLD, 1800, [5, 0, 0, 1, 0], 500, 1720),
        ]);
        let in_hand = |report: &mut ClothReport, needed: [i64; 2], have: i64| {
            for (line, needed) in report.lines.iter_mut().filter(|l| l.lay().is_some()).zip(needed) {
                let Outcome::Lay(lay) = &mut line.outcome else { continue };
                (lay.purchase.needed, lay.purchase.in_hand) = (mm(needed), Some(mm(have)));
            }
            report.ranking = rank::ranked(&report.cloth, &report.lines);
            report.why(Unit::Cm).expect("a winner")
        };
        assert_eq!(
            in_hand(&mut two, [1790, 1800], 1795),
            "Single thickness is best: the cloth in hand is enough, and with a lengthwise fold, the next best, 0.50 cm would \
             be missing."
        );
        let as_many = "A lengthwise fold is best: as much cloth in the seller's steps as with single thickness, the next best, \
                       but 4 fewer pieces to lay";
        assert!(in_hand(&mut two, [1790, 1800], 1800).starts_with(as_many), "both go in");
        assert!(in_hand(&mut two, [1790, 1800], 1700).starts_with(as_many), "neither goes in");
        // Of a remnant nothing is bought: handling decides, whatever the lengths.
        two.cloth.within = Some(crate::geometry::Polygon::rectangle(180_000, 150_000));
        let Outcome::Lay(single) = &mut two.lines[0].outcome else { panic!("single thickness has a lay") };
        single.purchase.to_buy = mm(1000);
        let told = in_hand(&mut two, [1790, 1800], 1800);
        let start = "A lengthwise fold is best: all goes into the remnant, as with single thickness, the next best, but 4 fewer pieces";
        assert!(told.starts_with(start), "{told}");
    }
}
