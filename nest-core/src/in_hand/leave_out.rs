//! What to leave out, or to cut from other cloth, so that the rest goes into the cloth in hand with the least loss.
//!
//! Sets of pieces, and whole garments where several are ordered, are tried from the least loss upwards: each is left out and
//! the rest is searched for and checked like any job, so what is told is a marker that exists. A loss is the area left out;
//! of pieces that are commonly cut from another cloth, facings and pockets and what else lies inside a garment, half of it.

use std::collections::BTreeMap;

use super::{lay_within, most_in_lay};
use crate::answer::Answer;
use crate::check::Checked;
use crate::cloth::Cloth;
use crate::job::{Job, Want};
use crate::length::Length;
use crate::purchase::Purchase;
use crate::search::{Observer, Settings};
use crate::spread::{Family, Kind};

/// Copies of a piece in one size that are left out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// Index into the style's pieces.
    pub piece: usize,
    /// Index into the style's sizes.
    pub size: usize,
    /// Copies of it.
    pub copies: u32,
    /// Is it commonly cut from another cloth?
    pub from_other_cloth: bool,
}

impl LeftOut {
    /// As copies of a piece; whether drawn or mirrored is not told.
    pub fn want(&self) -> Want {
        Want { piece: self.piece, size: self.size, as_drawn: self.copies, mirrored: 0 }
    }
}

/// A way to make a job go into the cloth in hand.
#[derive(Clone, Debug)]
pub struct Without {
    /// What is not cut.
    pub left_out: Vec<LeftOut>,
    /// Its area, in square millimetres, and that of everything ordered from this cloth.
    pub area_mm2: f64,
    /// Of everything ordered from this cloth.
    pub ordered_mm2: f64,
    /// The job without it.
    pub job: Job,
    /// A marker of the rest that goes into the cloth in hand; it has passed the check of that job.
    pub checked: Checked,
    /// What the search says of it.
    pub answer: Answer,
    /// Its figures.
    pub purchase: Purchase,
    /// How many sets were tried, this one among them.
    pub tried: usize,
}

/// Sets tried at the most, rounds given to each, the most pieces of a set, and what part of its length a search may be
/// expected to take off beyond what the area says.
const TRIES: usize = 24;
const ROUNDS: u64 = 8;
const MOST_PIECES: usize = 3;
const HOPE: f64 = 0.015;
/// Sets looked at before they are put in order.
const MOST_SETS: usize = 50_000;

/// What counts of the area of a piece that is commonly cut from another cloth.
const FROM_OTHER_CLOTH: f64 = 0.5;
/// Names of such pieces. Common practice: what does not show, or shows as a trimming, may be of lining or of a contrast.
const INSIDE: [&str; 10] =
    ["facing", "pocket", "lining", "binding", "under collar", "placket", "welt", "stay", "tab", "loop"];

/// Looks for the least loss with which the rest of a job goes into the cloth in hand. `shortest` is the least cloth found to
/// lie in a lay of the whole job. None when nothing is in hand, or when nothing was found before the tries or the observer's
/// patience were over.
///
/// # Complexity
/// At most 24 searches of 8 rounds each.
pub fn leave_out(
    job: &Job,
    cloth: &Cloth,
    shortest: Length,
    settings: &Settings,
    observer: &mut dyn Observer,
) -> Option<Without> {
    let most = most_in_lay(cloth)?;
    let sets = Sets::of(job, cloth);
    let settings = Settings { rounds: Some(ROUNDS), ..settings.clone() };
    let hopeful = |set: &&Set| {
        let expected = shortest.grid() as f64 * (1.0 - set.area / sets.ordered.max(1.0));
        expected <= most.grid() as f64 * (1.0 + HOPE) && set.area < sets.ordered
    };
    for (tried, set) in sets.all.iter().filter(hopeful).take(TRIES).enumerate() {
        let rest = without(job, cloth, &set.left_out);
        let within = lay_within(&rest, cloth, most, &settings, observer);
        if let Some((kind, checked)) = within.found {
            let mut answer = within.answer;
            answer.lines.retain(|line| line.kind == kind);
            return Some(Without {
                left_out: set.left_out.clone(),
                area_mm2: set.area,
                ordered_mm2: sets.ordered,
                purchase: Purchase::new(cloth, &checked.marker().spread),
                job: rest,
                checked,
                answer,
                tried: tried + 1,
            });
        }
        if within.stopped {
            break;
        }
    }
    None
}

/// The job without some copies, on single thickness where that is allowed: no fold is ever shorter.
fn without(job: &Job, cloth: &Cloth, left_out: &[LeftOut]) -> Job {
    // Whole garments' worth is left out, so pairs stay pairs.
    let left_out: Vec<Want> = left_out.iter().map(LeftOut::want).collect();
    let rest = job.without(&cloth.kind, &left_out);
    let single = Kind::Whole(Family::Single);
    let spreads = if job.spreads.contains(&single) { vec![single] } else { job.spreads.clone() };
    Job { spreads, ..rest }
}

/// A set of copies to leave out.
#[derive(Clone, Debug)]
struct Set {
    left_out: Vec<LeftOut>,
    area: f64,
    loss: f64,
}

/// Sets to leave out, the least loss first.
struct Sets {
    all: Vec<Set>,
    /// Area of everything ordered from the cloth, in square millimetres.
    ordered: f64,
}

/// What one garment takes of one piece in one size.
struct Element {
    left_out: LeftOut,
    area: f64,
    loss: f64,
    garments: u32,
}

impl Sets {
    fn of(job: &Job, cloth: &Cloth) -> Sets {
        let elements = elements(job, cloth);
        let ordered = elements.iter().map(|e| e.area * f64::from(e.garments)).sum();
        let mut all: Vec<Set> = Vec::new();
        let mut chosen = Vec::new();
        combine(&elements, 0, &mut chosen, &mut all);
        all.extend(garments(job, &elements));
        all.sort_by(|a, b| a.loss.total_cmp(&b.loss).then_with(|| a.left_out.len().cmp(&b.left_out.len())));
        Sets { all, ordered }
    }
}

fn elements(job: &Job, cloth: &Cloth) -> Vec<Element> {
    let of = |want: &Want| {
        let piece = &job.style.pieces[want.piece];
        let copies = want.copies();
        let name = piece.name.to_lowercase();
        let from_other_cloth = INSIDE.iter().any(|word| name.contains(word));
        let each = piece.cut.min(copies).max(1);
        let area = piece.shapes[&job.style.sizes[want.size]].full.area_mm2() * f64::from(each);
        let loss = if from_other_cloth { area * FROM_OTHER_CLOTH } else { area };
        let left_out = LeftOut { piece: want.piece, size: want.size, copies: each, from_other_cloth };
        Element { left_out, area, loss, garments: copies / each }
    };
    job.wants(&cloth.kind).iter().map(of).collect()
}

/// Every set of up to [`MOST_PIECES`] of the elements from `first` on, on top of those chosen.
fn combine(elements: &[Element], first: usize, chosen: &mut Vec<usize>, all: &mut Vec<Set>) {
    if all.len() >= MOST_SETS || chosen.len() >= MOST_PIECES {
        return;
    }
    for k in first..elements.len() {
        let taken = chosen.iter().filter(|&&c| c == k).count() as u32;
        if taken >= elements[k].garments {
            continue;
        }
        chosen.push(k);
        all.push(Set::of(chosen.iter().map(|&c| &elements[c])));
        combine(elements, k, chosen, all);
        chosen.pop();
    }
}

/// One whole garment of each line of the order, where several are ordered.
fn garments(job: &Job, elements: &[Element]) -> Vec<Set> {
    if job.order.iter().map(|line| line.garments).sum::<u32>() < 2 {
        return Vec::new();
    }
    let of = |line: &crate::order::OrderLine| {
        let pieces = &job.style.views[line.view].pieces;
        let own = |e: &&Element| e.left_out.size == line.size && pieces.contains(&e.left_out.piece);
        Set::of(elements.iter().filter(own))
    };
    job.order.iter().map(of).filter(|set| !set.left_out.is_empty()).collect()
}

impl Set {
    fn of<'a>(elements: impl Iterator<Item = &'a Element>) -> Set {
        let mut left_out: BTreeMap<(usize, usize), LeftOut> = BTreeMap::new();
        let (mut area, mut loss) = (0.0, 0.0);
        for e in elements {
            area += e.area;
            loss += e.loss;
            let key = (e.left_out.piece, e.left_out.size);
            left_out
                .entry(key)
                .and_modify(|l| l.copies += e.left_out.copies)
                .or_insert_with(|| e.left_out.clone());
        }
        Set { left_out: left_out.into_values().collect(), area, loss }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::check;
    use crate::search::Silent;

    /// Two panels as wide as the cloth, and pieces that go beside each other.
    fn job(in_hand: f64) -> Job {
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [
                {{ "id": "panel", "cut": 2, "outline": [[0, 0], [50, 0], [50, 100], [0, 100]], "grainline": [[5, 50], [45, 50]] }},
                {{ "id": "yoke", "outline": [[0, 0], [20, 0], [20, 100], [0, 100]], "grainline": [[5, 50], [15, 50]] }},
                {{ "id": "facing", "cut": 2, "outline": [[0, 0], [15, 0], [15, 50], [0, 50]], "grainline": [[5, 25], [10, 25]] }},
                {{ "id": "band", "outline": [[0, 0], [10, 0], [10, 100], [0, 100]], "grainline": [[2, 50], [8, 50]] }}
            ], "cloths": [{{ "width": 100, "length_in_hand": {in_hand} }}] }}"#
        );
        Job::read(&text).expect("a job")
    }

    /// All together take 50 + 50 + 20 + 15 + 10 = 145 cm.
    fn left_out(in_hand: f64) -> Option<Vec<(String, u32)>> {
        let job = job(in_hand);
        let whole = Length::from_grid(145_000);
        let without = leave_out(&job, &job.cloths[0], whole, &Settings::default(), &mut Silent)?;
        assert!(without.purchase.missing().is_none(), "it goes in");
        assert!(check(&without.job, without.checked.marker()).is_ok());
        assert!(check(&job, without.checked.marker()).is_err(), "it is not the whole job");
        assert_eq!(without.answer.lines.len(), 1, "the one spread of the marker");
        let told = without.job.left_out(&job.cloths[0].kind);
        let same = |(l, w): (&LeftOut, &Want)| (l.piece, l.size, l.copies) == (w.piece, w.size, w.copies());
        assert!(
            told.len() == without.left_out.len() && without.left_out.iter().zip(&told).all(same),
            "{told:?}"
        );
        let name = |l: &LeftOut| (job.style.pieces[l.piece].id.clone(), l.copies);
        Some(without.left_out.iter().map(name).collect())
    }

    #[test]
    fn the_least_loss_that_makes_room_is_left_out() {
        let of = |list: &[(&str, u32)]| -> Option<Vec<(String, u32)>> {
            Some(list.iter().map(|&(name, copies)| (name.to_owned(), copies)).collect())
        };
        // 10 cm too little: two facings count half, as 7.5 cm, and make 15 cm of room; the band makes 10 and counts all.
        assert_eq!(left_out(135.0), of(&[("facing", 2)]));
        // 16 cm too little: yoke (20), or facings and band (7.5 + 10).
        assert_eq!(left_out(129.0), of(&[("facing", 2), ("band", 1)]));
        assert_eq!(left_out(125.0), of(&[("facing", 2), ("band", 1)]), "20 of 25 cm");
        assert_eq!(left_out(100.0), of(&[("yoke", 1), ("facing", 2), ("band", 1)]));
        assert_eq!(left_out(45.0), of(&[("panel", 2)]));
        assert_eq!(left_out(9.0), None, "nothing goes in, whatever is left out");
    }
}
