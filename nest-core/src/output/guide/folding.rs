//! How to put the cloth on the table, step by step, with a sketch for each: one way for every kind of spread.

use super::document::Step;
use super::edges::LongSide;
use super::flaws;
use super::reading::{read, read_up};
use super::views::View;
use crate::cloth::{Cloth, ClothForm, Nap};
use crate::job::Job;
use crate::length::Unit;
use crate::spread::{Family, Spread};

/// What a section asks to be done before anything is laid on it.
pub(super) fn steps(job: &Job, cloth: &Cloth, spread: &Spread, index: usize) -> Vec<Step> {
    let section = &spread.sections[index];
    let view = View::new(cloth, section, job.unit);
    let mut steps = match (section.family, cloth.form) {
        (Family::Single, ClothForm::Tube) => slit_tube(&view),
        (Family::Single, ClothForm::Flat) => vec![flat(&view)],
        (Family::LengthwiseFold, _) => lengthwise(&view),
        (Family::OffCentreFold, _) => off_centre(&view),
        (Family::TwoFolds, _) => two_folds(&view),
        (Family::CrosswiseFold, _) => crosswise(&view),
        (Family::TurnedDouble, _) => turned(&view),
        (Family::Tubular, _) => tubular(&view),
    };
    if let (Some(first), true) = (steps.first_mut(), spread.sections.len() > 1) {
        let length = read_up(section.length.grid(), job.unit);
        let rest = if index + 1 < spread.sections.len() {
            "; roll up what follows, so that it does not pull"
        } else {
            ""
        };
        first.words.push_str(&format!(" Only {length} of the lay is spread so{rest}."));
    }
    steps.push(start_line(cloth, spread, index, job.unit, &view));
    if flaws::wait_for_lines(cloth, spread) {
        let marked = flaws::after_the_lines(cloth, job.unit);
        steps.extend(marked.into_iter().map(|words| Step { words, figure: None }));
    }
    steps
}

fn step(words: impl Into<String>, figure: super::document::Figure) -> Step {
    Step { words: words.into(), figure: Some(figure) }
}

/// The words about nap where the cloth has one.
fn nap_marked(view: &View<'_>, where_to: &str) -> String {
    if view.cloth.nap == Nap::None {
        return String::new();
    }
    format!(
        " Mark the nap with an arrow on {where_to}, pointing away from the start: to the right. The tops of all pieces \
         will point that way, so turn the cloth until the arrow is what is to be up in the garment."
    )
}

fn flat(view: &View<'_>) -> Step {
    let long = view.long();
    let side = long.word();
    let lie = if long == LongSide::Line {
        "Lay the remnant flat, right side up, as the map shows it, its lengthwise grain from left to right. Chalk two lines \
         along the grain: the near line through the point nearest you, the far line through the farthest.".to_owned()
    } else {
        format!(
            "Lay the cloth flat, right side up, the end to start from at your left, one {side} near you and the other far \
             from you."
        )
    };
    let words = format!("{lie}{}", nap_marked(view, &format!("each {side}")));
    step(words, view.flat(&format!("the cloth flat, right side up, a {side} near and a {side} far")))
}

fn smoothed(folds: &str, depths: &str) -> String {
    format!(
        "Smooth both plies from the {folds} outwards, without pulling. Measure {depths} in several places along the \
         cloth, and pin or weight both plies."
    )
}

fn lengthwise(view: &View<'_>) -> Vec<Step> {
    let depth = view.depth(view.section.width.grid());
    let side = view.long().word();
    vec![
        flat(view),
        step(
            format!(
                "Bring the near {side} over to the far one, right sides together{}: the cloth lies double, the fold near \
                 you, the {side}s on each other far from you.",
                pile_out(view)
            ),
            view.lengthwise_folding(),
        ),
        step(
            smoothed("fold", &format!("{depth} from the fold to the {side}s")),
            view.folded(&format!("double all over: the fold near, both {side}s far")),
        ),
    ]
}

/// Pile on pile creeps (I. Vilumsone-Nemes, Industrial Cutting of Textile Materials, 2nd ed. 2018, p. 279, and from memory); where no single ply has to lie right side up,
/// it may be folded the other way, as a pair comes off two facing plies either way.
fn pile_out(view: &View<'_>) -> &'static str {
    if view.cloth.nap == Nap::OneWay {
        " (cloth with pile: wrong sides together, or the pile creeps)"
    } else {
        ""
    }
}

fn off_centre(view: &View<'_>) -> Vec<Step> {
    let [near, _] = view.flaps();
    let depth = view.depth(near);
    let single = view.depth(view.section.width.grid() - near);
    let side = view.long().word();
    vec![
        flat(view),
        step(
            format!(
                "Fold the near edge over, away from you, right sides together, so that a flap {depth} deep lies on the \
                 rest. The fold is now near you. Beyond the {side} of the flap the cloth stays single, right side up.",
            ),
            view.flap_folding(),
        ),
        step(
            format!(
                "{} From the {side} of the flap to the far {side} there must be {single} of single ply.",
                smoothed("fold", &format!("{depth} from the fold to the {side} of the flap"))
            ),
            view.folded("a flap near, double; the rest single, right side up"),
        ),
    ]
}

fn two_folds(view: &View<'_>) -> Vec<Step> {
    let [near, far] = view.flaps();
    let (near_depth, far_depth) = (view.depth(near), view.depth(far));
    let gap = view.section.width.grid() - near - far;
    let side = view.long().word();
    // Less than a millimetre between two selvages is none.
    let between = if gap < 100 {
        format!("The two {side}s meet.")
    } else {
        format!("Between the two {side}s {} stay single, right side up.", view.depth(gap))
    };
    vec![
        flat(view),
        step(
            format!(
                "Fold the near edge over, away from you, right sides together, so that a flap {near_depth} deep lies on \
                 the rest."
            ),
            view.flap_folding(),
        ),
        step(
            format!(
                "Fold the far edge over likewise, towards you, so that a flap {far_depth} deep lies on the rest. {between}"
            ),
            view.second_flap_folding(),
        ),
        step(
            smoothed(
                "folds",
                &format!(
                    "{near_depth} from the near fold to its {side} and {far_depth} from the far fold to its {side}"
                ),
            ),
            view.folded("two flaps, near and far, each double"),
        ),
    ]
}

fn crosswise(view: &View<'_>) -> Vec<Step> {
    let side = view.long().word();
    vec![
        flat(view),
        step(
            format!(
                "Fold the cloth across in the middle of its length: bring the left end over to the right one, right sides \
                 together, {side} on {side}. The crosswise fold is now at your left: it is the start."
            ),
            view.crosswise_folding(),
        ),
        step(
            smoothed("fold", &format!("that {side} lies on {side}")),
            view.double("double over the whole width, a crosswise fold at the start", true),
        ),
    ]
}

fn turned(view: &View<'_>) -> Vec<Step> {
    let side = view.long().word();
    let turn = if view.cloth.nap == Nap::OneWay {
        "The arrows of the upper ply now point the same way as those below"
    } else {
        "Both plies now run the same way"
    };
    vec![
        flat(view),
        step(
            format!(
                "Fold the cloth across in the middle of its length: bring the left end over to the right one, right sides \
                 together, {side} on {side}. Cut along the crosswise fold."
            ),
            view.crosswise_cutting(),
        ),
        step(
            format!(
                "Turn the upper ply end for end as it lies, without turning it over: what was at the right comes to the \
                 left. {turn}, and the plies lie right sides together."
            ),
            view.turning(),
        ),
        step(
            smoothed("start", &format!("that {side} lies on {side} and end on end")),
            view.double("double over the whole width, cut ends at both ends", false),
        ),
    ]
}

fn tubular(view: &View<'_>) -> Vec<Step> {
    let depth = view.depth(view.section.width.grid());
    vec![
        step(
            format!(
                "Lay the tube flat as it comes, right side out, the end to start from at your left. Turn it so that no \
                 crease set in the cloth lies where a piece will show it, and so that both folds run along a column of \
                 stitches.{}",
                nap_marked(view, "both folds")
            ),
            view.tube("a tube laid flat: a fold near, a fold far, two plies"),
        ),
        step(
            smoothed("near fold", &format!("{depth} from fold to fold")),
            view.folded("the tube: double all over, a fold near and a fold far"),
        ),
    ]
}

fn slit_tube(view: &View<'_>) -> Vec<Step> {
    vec![
        step(
            "Lay the tube flat, the end to start from at your left, and cut it open along one fold, between two columns of \
             stitches.",
            view.slitting(),
        ),
        step(
            format!(
                "Open it out flat, right side up, one cut edge near you and the other far from you.{}",
                nap_marked(view, "each edge")
            ),
            view.flat("the tube opened out, right side up, a cut edge near and a cut edge far"),
        ),
    ]
}

/// The line that all distances along the cloth are measured from.
fn start_line(cloth: &Cloth, spread: &Spread, index: usize, unit: Unit, view: &View<'_>) -> Step {
    let section = &spread.sections[index];
    let allowance = cloth.end_allowance.grid();
    // Two plies of their own share the two allowances: half of each at either end.
    let allowance = if section.family == Family::TurnedDouble { allowance / 2 } else { allowance };
    let line = if section.fold_at_start {
        format!(
            "The start line is the crosswise fold itself; check with a set square that it is square to the {}s.",
            view.long().word()
        )
    } else if index > 0 {
        "The start line is the edge just cut; check that it is square to the long edges.".to_owned()
    } else if view.long() == LongSide::Line {
        "Chalk the start line across the remnant, square to the two lines, through its leftmost point."
            .to_owned()
    } else if flaws::chalks_line_first(cloth, spread) && section.family != Family::TurnedDouble {
        "The start line is the squared line that is pinned at its ends: chalk it on the cloth as it lies now, square to the \
         fold."
            .to_owned()
    } else if view.long() == LongSide::Edge {
        "The start line is the left edge of the remnant; check that it is square to the near edge, and where it is not, \
         chalk a line that is, through the rightmost point of that edge."
            .to_owned()
    } else if allowance == 0 {
        "Square the cut end and trim it: it is the start line.".to_owned()
    } else {
        format!(
            "Chalk the start line across the cloth, square to its long edges, {} in from the squared cut end.",
            read(allowance, unit)
        )
    };
    step(format!("{line} Every distance from the start is measured from it."), view.start_line(allowance > 0))
}
