//! A report's best markers to the text of a marker file.

use super::{
    BandForm, CostForm, FromRollForm, HandlingForm, InHandForm, LeftOutForm, MarkerFile, MarkerForm,
    NotCutForm, PlacementForm, PurchaseForm, SectionForm, SideForm, SpreadLine, Summary, VERSION,
    WithoutForm, WithoutMarker,
};
use crate::answer::{BoundReason, Origin};
use crate::geometry::Point;
use crate::in_hand::Without;
use crate::job::{Job, Want};
use crate::length::{GRID_PER_MM, Length};
use crate::marker::Marker;
use crate::purchase::Purchase;
use crate::report::{ClothReport, Lay, NotCut, Outcome, Report, garment_numbers};

/// The text of the marker file of `report`, made of `job`: pretty-printed, its end a new line. The same report gives the
/// same bytes.
pub fn write(job: &Job, report: &Report) -> String {
    let mut file = MarkerFile {
        version: VERSION,
        job: report.job.clone(),
        seed: report.settings.seed,
        lanes: report.settings.lanes,
        markers: Vec::new(),
        not_cut: report.not_cut.iter().flat_map(|not_cut| not_cut_forms(job, not_cut)).collect(),
        from_roll: report.not_cut.iter().filter_map(from_roll_form).collect(),
        without_marker: Vec::new(),
    };
    for cloth in report.all_cloths() {
        let kind = cloth.cloth.kind.clone();
        let spreads: Vec<SpreadLine> = spreads(cloth);
        match cloth.winner() {
            Some(lay) => {
                let marker = lay.checked.marker();
                file.markers.push(MarkerForm {
                    cloth: kind,
                    why: cloth.why(report.unit),
                    summary: summary(lay, cloth.rounds),
                    sections: sections(marker),
                    placements: placements(cloth.portion.as_deref().unwrap_or(job), marker),
                    spreads,
                    in_hand: in_hand(cloth, lay),
                });
            }
            None => file.without_marker.push(WithoutMarker { cloth: kind, spreads }),
        }
    }
    // A tree of owned texts, lists and finite numbers always has a JSON form.
    let mut text = serde_json::to_string_pretty(&file).unwrap_or_default();
    text.push('\n');
    text
}

fn not_cut_forms(job: &Job, not_cut: &NotCut) -> Vec<NotCutForm> {
    let of = |want: &Want| NotCutForm {
        cloth: not_cut.cloth.clone(),
        piece: job.style.pieces[want.piece].id.clone(),
        size: job.style.sizes[want.size].clone(),
        copies: want.copies(),
    };
    not_cut.wants.iter().map(of).collect()
}

fn from_roll_form(not_cut: &NotCut) -> Option<FromRollForm> {
    let roll = not_cut.from_roll.as_ref()?;
    let purchase = &roll.winner()?.purchase;
    Some(FromRollForm {
        cloth: not_cut.cloth.clone(),
        width_mm: mm(roll.cloth.width.grid()),
        needed_mm: mm(purchase.needed.grid()),
        to_buy_mm: mm(purchase.to_buy.grid()),
        to_buy: purchase.to_buy_text(),
    })
}

fn in_hand(report: &ClothReport, lay: &Lay) -> Option<InHandForm> {
    let p = &lay.purchase;
    let missing = p.missing();
    let least = report.least_cloth().map(|bound| Purchase::needed_for(&report.cloth, bound));
    let between = report.left_over.iter().flat_map(|left| &left.between);
    Some(InHandForm {
        have_mm: mm(p.in_hand?.grid()),
        needed_mm: mm(p.needed.grid()),
        enough: missing.is_none(),
        left_over_mm: report.left_over.as_ref().map(|left| mm(left.end.grid())),
        left_between_mm: between
            .map(|r| [r.corner.x, r.corner.y, r.length.grid(), r.width.grid()].map(mm))
            .collect(),
        missing_mm: missing.map(|short| mm(short.grid())),
        least_needed_mm: least.map(|least| mm(least.grid())),
        impossible: report.is_impossible(),
        without: report.without.as_ref().map(without),
    })
}

/// What is left out.
pub(crate) fn left_out_forms(without: &Without) -> Vec<LeftOutForm> {
    let style = &without.job.style;
    let of = |l: &crate::in_hand::LeftOut| LeftOutForm {
        piece: style.pieces[l.piece].id.clone(),
        name: style.pieces[l.piece].name.clone(),
        size: style.sizes[l.size].clone(),
        copies: l.copies,
        from_other_cloth: l.from_other_cloth,
    };
    without.left_out.iter().map(of).collect()
}

fn without(without: &Without) -> WithoutForm {
    let marker = without.checked.marker();
    WithoutForm {
        left_out: left_out_forms(without),
        area_percent: two_decimals(100.0 * without.part()),
        needed_mm: mm(without.purchase.needed.grid()),
        tried: without.tried,
        sections: sections(marker),
        placements: placements(&without.job, marker),
    }
}

/// Millimetres with the two decimals of the grid: the nearest double prints as just these.
pub(super) fn mm(grid: i64) -> f64 {
    grid as f64 / GRID_PER_MM as f64
}

pub(crate) fn summary(lay: &Lay, rounds: u64) -> Summary {
    let h = &lay.handling;
    Summary {
        lay_mm: mm(lay.purchase.lay.grid()),
        cloth_mm: mm(lay.purchase.cloth.grid()),
        to_buy_mm: mm(lay.purchase.to_buy.grid()),
        to_buy: lay.purchase.to_buy_text(),
        purchase: Some(purchase(&lay.purchase)),
        efficiency_percent: two_decimals(100.0 * lay.efficiency.of_cloth()),
        usable_efficiency_percent: two_decimals(100.0 * lay.efficiency.of_usable()),
        bound_mm: mm(lay.bound.length.grid()),
        bound_by: Some(reason_name(&lay.bound.reason).to_owned()),
        area_mm: Some(two_decimals(lay.efficiency.of_usable() * lay.purchase.cloth.mm())),
        gap_percent: two_decimals(100.0 * lay.gap()),
        handling: HandlingForm {
            placements: h.placements,
            opened_out: h.opened_out,
            flipped: h.flipped,
            folds: h.folds,
            refolds: h.refolds,
            cutting_mm: two_decimals(h.cutting_mm),
        },
        found_by: origin_name(lay.origin).to_owned(),
        round: lay.round,
        rounds,
    }
}

/// The name of a part of the search in files.
pub(crate) fn origin_name(origin: Origin) -> &'static str {
    match origin {
        Origin::BottomLeft => "bottom-left",
        Origin::Annealing => "annealing",
        Origin::Separation => "separation",
        Origin::OpenedOut => "opened-out",
        Origin::Lent => "lent",
        Origin::Stretch => "stretch",
    }
}

/// The name of an argument for a bound in files.
fn reason_name(reason: &BoundReason) -> &'static str {
    match reason {
        BoundReason::Area => "area",
        BoundReason::LongestPiece(_) => "longest piece",
        BoundReason::OneAfterAnother(_) => "one after another",
        BoundReason::Abreast { .. } => "abreast",
        BoundReason::OnFold(_) => "on the fold",
    }
}

/// The way to the length to buy.
pub(super) fn purchase(p: &Purchase) -> PurchaseForm {
    let cost = p.price.as_ref().zip(p.cost()).map(|(price, amount)| CostForm {
        price: price.amount,
        per: price.per.sign().to_owned(),
        amount,
        currency: price.currency.clone(),
    });
    PurchaseForm {
        cloth_in_lay_mm: mm(p.cloth_in_lay.grid()),
        ends_mm: mm(p.ends.grid()),
        cloth_mm: mm(p.cloth.grid()),
        shrinkage_percent: (1e8 * p.shrinkage).round() / 1e6,
        before_washing_mm: mm(p.before_washing.grid()),
        straightening_mm: mm(p.straightening.grid()),
        needed_mm: mm(p.needed.grid()),
        step_mm: mm(p.step.grid()),
        steps: p.steps,
        cost,
    }
}

pub(crate) fn two_decimals(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn spreads(cloth: &ClothReport) -> Vec<SpreadLine> {
    cloth
        .lines
        .iter()
        .map(|line| {
            let (summary, refused) = match &line.outcome {
                Outcome::Lay(lay) => (Some(summary(lay, cloth.rounds)), None),
                Outcome::Refused(refusal) => (None, Some(refusal.to_string())),
                Outcome::Withheld(_) => {
                    (None, Some("withheld: its marker did not pass the check".to_owned()))
                }
            };
            SpreadLine { spread: line.kind.into(), summary, refused }
        })
        .collect()
}

fn sections(marker: &Marker) -> Vec<SectionForm> {
    let length = |l: Length| mm(l.grid());
    marker
        .spread
        .sections
        .iter()
        .map(|s| SectionForm {
            spread: s.family.into(),
            start_mm: length(s.start),
            length_mm: length(s.length),
            width_mm: length(s.width),
            fold_at_start: s.fold_at_start,
            bands: s
                .bands
                .iter()
                .map(|b| BandForm {
                    low_mm: mm(b.low),
                    high_mm: mm(b.high),
                    plies: b.plies.count(),
                    low_edge: b.low_edge.into(),
                    high_edge: b.high_edge.into(),
                })
                .collect(),
        })
        .collect()
}

fn placements(job: &Job, marker: &Marker) -> Vec<PlacementForm> {
    let at = |p: Point| [mm(p.x), mm(p.y)];
    marker
        .placements
        .iter()
        .zip(garment_numbers(job, marker))
        .enumerate()
        .map(|(i, (p, garments))| {
            let piece = &job.style.pieces[p.piece];
            let size = &job.style.sizes[p.size];
            PlacementForm {
                number: i + 1,
                piece: piece.id.clone(),
                name: piece.name.clone(),
                size: size.clone(),
                garments,
                form: p.form.into(),
                printed_side: if p.pose.mirrored { SideForm::Down } else { SideForm::Up },
                turn_degrees: p.pose.turn.degrees(),
                plies: p.plies.count(),
                wanted: p.yields,
                section: p.section + 1,
                band: p.band + 1,
                position_mm: at(p.position),
                outline_mm: p.outline(&piece.shapes[size]).points().iter().map(|&q| at(q)).collect(),
            }
        })
        .collect()
}
