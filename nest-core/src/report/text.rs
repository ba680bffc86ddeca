//! The report for a person at a terminal: the winner, the figures that lead to the length to buy, and every other spread.

use std::fmt::Write as _;

use super::{Caution, ClothReport, INTERLOCKED, Lay, LineReport, Outcome, Report, calculation, in_hand};
use crate::answer::{BoundReason, Origin, StopReason};
use crate::cloth::{ClothForm, Nap};
use crate::length::{Length, Unit};
use crate::spread::Kind;

/// Characters of a line.
const COLUMNS: usize = 110;

/// The whole report.
pub(super) fn report(report: &Report) -> String {
    let mut text = format!("{}\n", report.job);
    // What is due with every cloth is said once, at the end.
    let mut laid = report.all_cloths().filter(|c| c.winner().is_some());
    let mut common = laid.next().map_or_else(Vec::new, |c| c.cautions.clone());
    laid.for_each(|c| common.retain(|caution| c.cautions.contains(caution)));
    for cloth in report.all_cloths() {
        text.push('\n');
        heading(&mut text, cloth, report.unit);
        match (cloth.winning_line(), cloth.winner()) {
            (Some(line), Some(lay)) => winner(&mut text, cloth, line, lay, report.unit),
            _ => text += "  No spread can take this job.\n",
        }
        text += "\n  Every spread\n";
        table(&mut text, cloth, report.unit);
        if cloth.interlocked {
            wrapped(&mut text, "    ", INTERLOCKED);
        }
        cautions(&mut text, "Mind", cloth.cautions.iter().filter(|c| !common.contains(c)));
    }
    cautions(
        &mut text,
        if report.all_cloths().count() > 1 { "Mind with every cloth" } else { "Mind" },
        common.iter(),
    );
    text
}

fn cautions<'a>(text: &mut String, heading: &str, cautions: impl Iterator<Item = &'a Caution>) {
    for (i, caution) in cautions.enumerate() {
        if i == 0 {
            let _ = writeln!(text, "\n  {heading}");
        }
        wrapped(text, "  - ", &caution.to_string());
    }
}

fn heading(text: &mut String, report: &ClothReport, unit: Unit) {
    let cloth = &report.cloth;
    let form = match cloth.form {
        ClothForm::Flat => "wide",
        ClothForm::Tube => "wide, a tube laid flat",
    };
    let nap = match cloth.nap {
        Nap::None => "no nap",
        Nap::OneWay => "nap one way",
    };
    // What goes into no remnant comes off the roll, after what the remnants give.
    let portion = report.portion.iter().filter_map(|job| job.portion.as_ref());
    let rest = if portion.into_iter().any(|portion| !portion.before.is_empty()) && cloth.within.is_none() {
        ", off the roll: what goes into no remnant"
    } else {
        ""
    };
    let flaws = match cloth.flaws.len() {
        0 => String::new(),
        1 => ", 1 flaw kept clear".to_owned(),
        n => format!(", {n} flaws kept clear"),
    };
    let _ =
        writeln!(text, "Cloth \"{}\": {} {form}, {nap}{flaws}{rest}", cloth.kind, small(cloth.width, unit));
}

fn winner(text: &mut String, cloth: &ClothReport, line: &LineReport, lay: &Lay, unit: Unit) {
    let p = &lay.purchase;
    let spread = match line.kind {
        Kind::Whole(family) => family.title().to_owned(),
        Kind::Sections => lay.checked.marker().spread.title(),
    };
    row(text, "Lay it", spread);
    if let Some(why) = cloth.why(unit) {
        row(text, "Why", why);
    }
    row(text, "Lay length", small(p.lay, unit));
    if cloth.cloth.within.is_none() {
        let cost = p.cost_text().map_or_else(String::new, |cost| format!(", {cost}"));
        row(text, "Length to buy", format!("{}{cost}", p.to_buy_text()));
        for term in calculation(p, unit) {
            let _ = writeln!(text, "{:18}{}", "", term.line());
        }
    }
    if let Some(have) = p.in_hand {
        for (name, what) in in_hand::rows(cloth, p, have, unit) {
            row(text, name, what);
        }
    }
    let (of_cloth, of_usable) = (percent(lay.efficiency.of_cloth()), percent(lay.efficiency.of_usable()));
    row(text, "Efficiency", format!("{of_cloth} of the cloth, {of_usable} of its usable width"));
    row(text, "Lower bound", bound(lay, unit));
    row(text, "Handling", handling(lay, unit));
    row(
        text,
        "Found by",
        format!(
            "{}, in round {} of {}; {}",
            origin(lay.origin),
            lay.round,
            cloth.rounds,
            stopped(cloth.stopped)
        ),
    );
    let tally = lay.checked.tally();
    row(
        text,
        "Checked",
        format!(
            "{} placements, none over another, outside its band or off its fold; all {} copies right",
            tally.placements, tally.copies
        ),
    );
    let told = |l: &LineReport, lay: &Lay| {
        let cloth = if cloth.cloth.within.is_some() {
            format!("{} of cloth", small(lay.purchase.cloth_in_lay, unit))
        } else {
            format!("{} to buy", lay.purchase.to_buy_text())
        };
        format!("{}: {cloth}, {}", l.kind.title(), handling(lay, unit))
    };
    for (name, other) in [("Shortest of all", cloth.shortest_line()), ("Easiest", cloth.easiest_line())] {
        if let Some((other, lay)) = other.filter(|o| o.kind != line.kind).and_then(|o| Some((o, o.lay()?))) {
            let more = if name == "Easiest" || cloth.cloth.within.is_some() {
                ""
            } else {
                ", before rounding to the seller's step"
            };
            row(text, name, format!("{}{more}", told(other, lay)));
        }
    }
}

/// A name and what there is to say of it.
fn row(text: &mut String, name: &str, what: String) {
    wrapped(text, &format!("  {name:<15} "), &what);
}

fn bound(lay: &Lay, unit: Unit) -> String {
    let reason = match &lay.bound.reason {
        BoundReason::Area => "area of the pieces over the usable width".to_owned(),
        BoundReason::LongestPiece(name) => format!("the longest piece, {name}"),
        BoundReason::OneAfterAnother(names) => {
            format!("one after another, as they cannot lie side by side: {}", names.join(", "))
        }
        BoundReason::Abreast { most, names } => {
            format!("no more than {most} side by side of: {}", names.join(", "))
        }
        BoundReason::OnFold(names) => {
            format!("one after another, as they lie on the fold: {}", names.join(", "))
        }
    };
    let length = small(lay.bound.length, unit);
    if lay.bound.length >= lay.purchase.cloth_in_lay {
        format!("{length} of cloth: no shorter lay of this kind exists ({reason})")
    } else {
        format!("{length} of cloth, a gap of {} ({reason})", percent(lay.gap()))
    }
}

fn handling(lay: &Lay, unit: Unit) -> String {
    let h = &lay.handling;
    let refolds = if h.refolds > 0 { format!(", fold anew {} times", h.refolds) } else { String::new() };
    format!(
        "{} pieces to lay, {} to open out, {} to flip{refolds}, {} to cut",
        h.placements,
        h.opened_out,
        h.flipped,
        long(h.cutting_mm, unit)
    )
}

fn table(text: &mut String, report: &ClothReport, unit: Unit) {
    // Of a remnant nothing can be bought: there is no such column.
    let bought = |what: String| match &report.cloth.within {
        Some(_) => String::new(),
        None => format!("{what:>10}"),
    };
    let _ = writeln!(
        text,
        "    {:<34}{}{:>13}{:>8}{:>8}{:>8}{:>7}{:>6}{:>11}",
        "",
        bought("to buy".to_owned()),
        "lay",
        "cloth %",
        "gap",
        "pieces",
        "open",
        "flip",
        "cut"
    );
    for i in report.in_order() {
        let line = &report.lines[i];
        let title = line.kind.title();
        match &line.outcome {
            Outcome::Lay(lay) => {
                let h = &lay.handling;
                let _ = writeln!(
                    text,
                    "  {} {title:<34}{}{:>13}{:>8}{:>8}{:>8}{:>7}{:>6}{:>11}",
                    if report.ranking.first() == Some(&i) { '*' } else { ' ' },
                    bought(lay.purchase.to_buy_text()),
                    small(lay.purchase.lay, unit),
                    percent(lay.efficiency.of_cloth()),
                    percent(lay.gap()),
                    h.placements,
                    h.opened_out,
                    h.flipped,
                    long(h.cutting_mm, unit)
                );
            }
            Outcome::Refused(refusal) => wrapped(text, &format!("    {title:<34}  "), &refusal.to_string()),
            Outcome::Withheld(violations) => {
                let first = violations.first().map_or_else(String::new, ToString::to_string);
                let what = format!(
                    "withheld: its marker did not pass the check, which is a fault of this program ({} violations, \
                     first: {first})",
                    violations.len()
                );
                wrapped(text, &format!("    {title:<34}  "), &what);
            }
        }
    }
}

fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::BottomLeft => "bottom-left fill",
        Origin::Annealing => "annealing",
        Origin::Separation => "separation",
        Origin::OpenedOut => "opening out a folded lay",
        Origin::Lent => "laying a marker of narrower cloth, or of cloth with nap",
        Origin::Stretch => "taking what lies in a stretch of a longer lay",
    }
}

fn stopped(reason: StopReason) -> &'static str {
    match reason {
        StopReason::Rounds => "all rounds done",
        StopReason::Observer => "stopped when time was up or on request",
        StopReason::Optimal => "stopped because nothing shorter exists",
        StopReason::Nothing => "nothing to search",
    }
}

/// A length for work at the table: to 0.1 mm, 0.01 cm or 0.01 in.
pub(crate) fn small(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Mm => format!("{:.1} mm", length.mm()),
        _ => format!("{:.2} {}", length.in_unit(unit), unit.sign()),
    }
}

/// A length for counting work.
pub(crate) fn long(mm: f64, unit: Unit) -> String {
    let unit = match unit {
        Unit::Mm | Unit::Cm | Unit::M => Unit::M,
        Unit::Inch | Unit::Yard => Unit::Yard,
    };
    format!("{:.1} {}", mm / unit.mm(), unit.sign())
}

/// A ratio as a percentage to one decimal; what is not whole never reads 100.0 %.
pub(crate) fn percent(ratio: f64) -> String {
    let tenths = (ratio * 1000.0).round();
    let tenths = if ratio < 1.0 && tenths >= 1000.0 { 999.0 } else { tenths };
    format!("{:.1} %", tenths / 10.0)
}

/// Words after `lead`, broken so that they stay within the columns and begin under one another.
pub(crate) fn wrapped(text: &mut String, lead: &str, words: &str) {
    let indent = lead.chars().count();
    let mut column = indent;
    text.push_str(lead);
    for (i, word) in words.split_whitespace().enumerate() {
        let length = word.chars().count();
        if i > 0 && column + 1 + length > COLUMNS {
            text.push('\n');
            text.push_str(&" ".repeat(indent));
            column = indent;
        } else if i > 0 {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += length;
    }
    text.push('\n');
}
