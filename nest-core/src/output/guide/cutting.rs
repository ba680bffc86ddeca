//! What to cut, when, and where across: section by section, single plies and opened-out pieces by name.

use super::document::Block;
use super::folding;
use super::laying::laying;
use super::naming;
use super::order::Laid;
use super::reading::read;
use crate::cloth::Cloth;
use crate::job::Job;
use crate::marker::{Form, Marker};
use crate::purchase::Purchase;
use crate::spread::Plies;

/// Cutting the first section; then for each section that follows how to fold anew, what to lay, and cutting it.
pub(super) fn cutting(job: &Job, cloth: &Cloth, marker: &Marker, laid: &[Laid<'_>]) -> Vec<Block> {
    let sections = &marker.spread.sections;
    let mut blocks = vec![Block::Points(cut_section(job, cloth, marker, laid, 0))];
    for (index, section) in sections.iter().enumerate().skip(1) {
        let title = section.family.title();
        blocks.push(Block::Heading(3, format!("Section {}: {title}", index + 1)));
        blocks.push(Block::Steps(folding::steps(job, cloth, &marker.spread, index)));
        blocks.extend(laying(job, cloth, marker, laid, index));
        blocks.push(Block::Points(cut_section(job, cloth, marker, laid, index)));
    }
    blocks
}

fn cut_section(job: &Job, cloth: &Cloth, marker: &Marker, laid: &[Laid<'_>], index: usize) -> Vec<String> {
    let sections = &marker.spread.sections;
    let section = &sections[index];
    let mine: Vec<&Laid<'_>> = laid.iter().filter(|l| l.placement.section == index).collect();
    let steps = |test: &dyn Fn(&Laid<'_>) -> bool| -> Vec<String> {
        mine.iter().filter(|l| test(l)).map(|l| l.step.to_string()).collect()
    };
    let mut points = vec![
        "Before the first cut: every step ticked, every piece once, every top the right way. Pin or weight the pieces, or \
         draw round them and take them off."
            .to_owned(),
    ];
    let mut said = |steps: Vec<String>, words: &str| {
        if !steps.is_empty() {
            let what = if steps.len() == 1 { "Step" } else { "Steps" };
            points.push(format!("{what} {}: {words}", naming::list(&steps)));
        }
    };
    let two = section.bands.iter().any(|b| b.plies == Plies::Two);
    let one = section.bands.iter().any(|b| b.plies == Plies::One);
    said(
        steps(&|l| l.placement.form == Form::OnFold),
        "on the fold. Cut round through both plies, and never along the fold: one whole piece comes off each.",
    );
    said(
        steps(&|l| {
            l.placement.plies == Plies::Two && l.placement.form != Form::OnFold && l.placement.yields == 2
        }),
        "cut through both plies together: two pieces come off each, one the mirror image of the other.",
    );
    if two && one {
        said(
            steps(&|l| l.placement.plies == Plies::One),
            "cut from the single ply: keep the flap clear of the blade. One piece comes off each.",
        );
    }
    said(
        steps(&|l| {
            l.placement.plies == Plies::Two && l.placement.form != Form::OnFold && l.placement.yields == 1
        }),
        "cut through both plies; one piece is wanted and the other is spare.",
    );
    said(
        steps(&|l| l.placement.form == Form::OpenedOut),
        "the pattern is a half. Draw round it, flip it over its fold edge, and draw round the other half; or make a whole \
         pattern first.",
    );
    points.push(
        "Cut, snip or mark notches, drill holes and other marks while the pieces still lie together, and label every piece \
         with its number."
            .to_owned(),
    );
    let at = read(section.length.grid(), job.unit);
    points.push(if index + 1 < sections.len() {
        format!(
            "When everything of this section is cut, cut the cloth across at {at} from the start line, square to its long \
             edges, and open out what follows."
        )
    } else {
        end(job, cloth, marker, &at)
    });
    points
}

/// Where the lay ends, and what is left beyond it.
fn end(job: &Job, cloth: &Cloth, marker: &Marker, at: &str) -> String {
    let purchase = Purchase::new(cloth, &marker.spread);
    let left = purchase.in_hand.unwrap_or(purchase.to_buy).grid() - purchase.needed.grid();
    let mut words =
        format!("The last piece ends at {at} from the start line: the cloth may be cut across there.");
    // Less than the width of a hand is a cut-off like others.
    if left > 10_000 {
        words.push_str(&format!(" Some {} are left over in one piece.", read(left, job.unit)));
    }
    words
}
