//! [`Element`], [`Set`] and [`Choices`]: what can be left out of a job, and what is lost with it.
//!
//! A loss is the area left out; of pieces that are commonly cut from another cloth, facings and pockets and what else lies
//! inside a garment, half of it.

use std::collections::BTreeMap;

use crate::cloth::Cloth;
use crate::job::{Job, Want};

/// Copies of a piece in one size that are left out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
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

/// What counts of the area of a piece that is commonly cut from another cloth.
const FROM_OTHER_CLOTH: f64 = 0.5;
/// Names of such pieces. Common practice: what does not show, or shows as a trimming, may be of lining or of a contrast.
const INSIDE: [&str; 10] =
    ["facing", "pocket", "lining", "binding", "under collar", "placket", "welt", "stay", "tab", "loop"];

/// A piece in one size, and what is lost with each copy.
#[derive(Clone, Debug)]
pub(super) struct Element {
    pub(super) want: Want,
    /// Copies that belong to one garment.
    pub(super) each: u32,
    from_other_cloth: bool,
    /// Of one copy, in square millimetres.
    area: f64,
}

impl Element {
    /// All that a job cuts of a cloth.
    fn all(job: &Job, cloth: &Cloth) -> Vec<Element> {
        let of = |want: Want| {
            let piece = &job.style.pieces[want.piece];
            let name = piece.name.to_lowercase();
            Element {
                each: piece.cut.min(want.copies()).max(1),
                from_other_cloth: INSIDE.iter().any(|word| name.contains(word)),
                area: want.area_mm2(&job.style) / f64::from(want.copies().max(1)),
                want,
            }
        };
        job.wants(&cloth.kind).into_iter().map(of).collect()
    }

    /// How often the copies for a garment can be left out.
    pub(super) fn garments(&self) -> u32 {
        self.want.copies() / self.each
    }

    pub(super) fn area(&self, copies: u32) -> f64 {
        self.area * f64::from(copies)
    }

    pub(super) fn loss(&self, copies: u32) -> f64 {
        self.area(copies) * if self.from_other_cloth { FROM_OTHER_CLOTH } else { 1.0 }
    }
}

/// A set of copies to leave out.
#[derive(Clone, Debug)]
pub(super) struct Set {
    pub(super) left_out: Vec<LeftOut>,
    pub(super) area: f64,
    pub(super) loss: f64,
}

impl Set {
    /// So many copies of each element.
    pub(super) fn of(elements: &[Element], copies: &[u32]) -> Set {
        let (mut area, mut loss) = (0.0, 0.0);
        let mut left_out = Vec::new();
        for (element, &copies) in elements.iter().zip(copies) {
            if copies > 0 {
                area += element.area(copies);
                loss += element.loss(copies);
                let Want { piece, size, .. } = element.want;
                left_out.push(LeftOut { piece, size, copies, from_other_cloth: element.from_other_cloth });
            }
        }
        Set { left_out, area, loss }
    }

    /// How many copies of each element it leaves out.
    pub(super) fn copies(&self, elements: &[Element]) -> Vec<u32> {
        let of = |element: &Element| {
            let own = |l: &&LeftOut| (l.piece, l.size) == (element.want.piece, element.want.size);
            self.left_out.iter().find(own).map_or(0, |l| l.copies)
        };
        elements.iter().map(of).collect()
    }
}

/// What can be left out of what a job cuts of a cloth. It does not depend on how the cloth lies or how wide it is.
#[derive(Clone, Debug)]
pub(crate) struct Choices {
    pub(super) elements: Vec<Element>,
    /// Sets of up to three elements, and whole garments where several are ordered.
    pub(super) small: Vec<Set>,
    /// Area of everything ordered from the cloth, in square millimetres.
    pub(super) ordered: f64,
}

impl Choices {
    pub(crate) fn of(job: &Job, cloth: &Cloth) -> Choices {
        let elements = Element::all(job, cloth);
        Choices {
            small: small_sets(job, &elements),
            ordered: elements.iter().map(|e| e.area(e.want.copies())).sum(),
            elements,
        }
    }
}

/// The most pieces of a set that is not a neighbour of a known one, and sets looked at before they are put in order.
const MOST_PIECES: usize = 3;
const MOST_SETS: usize = 50_000;

/// Sets of up to three elements, and whole garments where several are ordered.
fn small_sets(job: &Job, elements: &[Element]) -> Vec<Set> {
    let mut all: Vec<Set> = Vec::new();
    combine(elements, 0, &mut vec![0; elements.len()], 0, &mut all);
    all.extend(garments(job, elements));
    all
}

/// Every set of elements from `first` on, on top of those chosen.
fn combine(elements: &[Element], first: usize, chosen: &mut [u32], count: usize, all: &mut Vec<Set>) {
    if all.len() >= MOST_SETS || count >= MOST_PIECES {
        return;
    }
    for k in first..elements.len() {
        if chosen[k] + elements[k].each > elements[k].garments() * elements[k].each {
            continue;
        }
        chosen[k] += elements[k].each;
        all.push(Set::of(elements, chosen));
        combine(elements, k, chosen, count + 1, all);
        chosen[k] -= elements[k].each;
    }
}

/// One whole garment of each line of the order, where several are ordered.
fn garments(job: &Job, elements: &[Element]) -> Vec<Set> {
    if job.order.iter().map(|line| line.garments).sum::<u32>() < 2 {
        return Vec::new();
    }
    let of = |line: &crate::order::OrderLine| {
        let pieces = &job.style.views[line.view].pieces;
        let own = |e: &Element| e.want.size == line.size && pieces.contains(&e.want.piece);
        let copies: Vec<u32> = elements.iter().map(|e| if own(e) { e.each } else { 0 }).collect();
        Set::of(elements, &copies)
    };
    job.order.iter().map(of).filter(|set| !set.left_out.is_empty()).collect()
}

/// Sets one step from a known one: with the copies of one piece for a garment cut after all, or others left out instead.
pub(super) fn neighbours(elements: &[Element], known: &Set) -> Vec<Set> {
    let copies = known.copies(elements);
    let mut all: BTreeMap<Vec<u32>, Set> = BTreeMap::new();
    for k in 0..elements.len() {
        let back = elements[k].each.min(copies[k]);
        if back == 0 {
            continue;
        }
        let mut without = copies.clone();
        without[k] -= back;
        for other in std::iter::once(None).chain((0..elements.len()).map(Some)) {
            let mut changed = without.clone();
            match other {
                Some(j) if j == k => continue,
                Some(j) => changed[j] = (changed[j] + elements[j].each).min(elements[j].want.copies()),
                None => {}
            }
            let set = Set::of(elements, &changed);
            all.entry(changed).or_insert(set);
        }
    }
    all.into_values().collect()
}
