//! [`Offer`]: the places that one kind of spread has for each piece, whether or not it has some for all of them.

use std::sync::Arc;

use super::subject::{Subject, half_up};
use super::{Demand, Label};
use crate::cloth::Cloth;
use crate::geometry::{Polygon, Pose, Turn};
use crate::job::Job;
use crate::length::Length;
use crate::marker::Form;
use crate::piece::PieceShape;
use crate::search::shapes::Shapes;
use crate::search::task::{Anchor, BANDS, Choice, Item, Obstacle, Part, Room, Stretch, Task, Way};
use crate::spread::{BandEdge, Family, Layout, Plies, Refusal};

/// What one kind of spread offers the pieces of a job.
#[derive(Clone, Debug)]
pub(super) struct Offer {
    pub(super) layout: Layout,
    let_out: i64,
    labels: Vec<Label>,
    /// One for each subject.
    menus: Vec<Menu>,
    /// The least and the greatest depth of a fold that are worth it.
    depths: Result<(i64, i64), Refusal>,
    spare_copies: bool,
}

/// The places for one subject, by kind of placement.
#[derive(Clone, Debug, Default)]
struct Menu {
    /// Through two plies.
    double: Option<Part>,
    /// On one ply, as drawn.
    drawn: Option<Part>,
    /// On one ply, mirrored.
    mirrored: Option<Part>,
    /// The half on a fold.
    fold: Option<Part>,
    wide: Widest,
}

/// A kind of placement.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Double,
    Single { mirrored: bool },
    OnFold,
}

/// Remembers the narrowest outline that was too wide, and the widest place.
#[derive(Clone, Debug, Default)]
struct Widest {
    least: Option<i64>,
    available: i64,
}

#[derive(Clone, Copy)]
struct Place {
    band: u8,
    plies: Plies,
    edges: [BandEdge; 2],
    /// The greatest height that the band can have.
    tallest: i64,
}

impl Offer {
    /// What a kind of spread offers on a cloth.
    ///
    /// # Errors
    /// The refusal of the spread as such, when the cloth's form or nap forbids it.
    pub(super) fn new(
        job: &Job,
        cloth: &Cloth,
        family: Family,
        subjects: &[Subject],
        shapes: &mut Shapes,
    ) -> Result<Offer, Refusal> {
        let layout = Layout::new(family, cloth)?;
        let let_out = half_up(job.spacing.grid());
        let places = places(&layout, let_out);
        let mut offer = Offer {
            layout,
            let_out,
            labels: Vec::new(),
            menus: Vec::new(),
            depths: Ok((0, 0)),
            spare_copies: cloth.spare_copies,
        };
        for (k, subject) in subjects.iter().enumerate() {
            let menu = match k.checked_sub(1).filter(|&before| subjects[before].is_like(subject)) {
                Some(before) => offer.menus[before].clone(),
                None => offer.menu(subject, &places, shapes),
            };
            offer.menus.push(menu);
        }
        offer.depths = offer.worthwhile_depths(subjects, shapes);
        Ok(offer)
    }

    /// Is it of use beside others: single thickness, or something is laid on two plies?
    pub(super) fn serves(&self, subjects: &[Subject]) -> bool {
        let single = self.layout.family == Family::Single;
        self.depths.is_ok() && (single || self.parts(subjects).any(|part| self.is_on(part, Plies::Two)))
    }

    fn menu(&mut self, subject: &Subject, places: &[Place], shapes: &mut Shapes) -> Menu {
        let half = subject.shape.fold.is_some();
        let whole = if half { Form::OpenedOut } else { Form::Whole };
        let mut wide = Widest::default();
        let mut part =
            |kind| self.part(subject, (kind, whole, subject.wide(whole)), places, shapes, &mut wide);
        let double = part(Kind::Double);
        let [drawn, mirrored] = [false, true].map(|mirrored| part(Kind::Single { mirrored }));
        let fold = half.then(|| {
            let outline = subject.wide(Form::OnFold);
            self.part(subject, (Kind::OnFold, Form::OnFold, outline), places, shapes, &mut wide)
        });
        Menu { double, drawn, mirrored, fold: fold.flatten(), wide }
    }

    /// The choices for one placement of some kind; none when the spread has no place for it.
    fn part(
        &mut self,
        subject: &Subject,
        (kind, form, shape): (Kind, Form, &Polygon),
        places: &[Place],
        shapes: &mut Shapes,
        wide: &mut Widest,
    ) -> Option<Part> {
        let plies = if matches!(kind, Kind::Single { .. }) { Plies::One } else { Plies::Two };
        let yields = if kind == Kind::Double { subject.copies } else { 1 };
        let mut choices: Vec<Choice> = Vec::new();
        for place in places.iter().filter(|place| place.plies == plies) {
            for pose in poses(subject) {
                if let Kind::Single { mirrored } = kind
                    && mirrored != pose.mirrored
                    && !subject.symmetric
                {
                    continue;
                }
                let anchors = match kind {
                    Kind::OnFold => self.fold_anchors(&subject.shape, pose, place),
                    _ => vec![Anchor::Free],
                };
                for anchor in anchors {
                    let outline = shapes.add(shape, pose);
                    let needed = shapes.outline(outline).height;
                    if needed > place.tallest {
                        wide.note(needed, place.tallest);
                        continue;
                    }
                    let known =
                        |c: &Choice| c.outline == outline && c.band == place.band && c.anchor == anchor;
                    if choices.iter().any(known) {
                        continue;
                    }
                    self.labels.push(Label { form, pose, plies, yields });
                    let label = (self.labels.len() - 1) as u32;
                    choices.push(Choice { outline, band: place.band, anchor, label });
                }
            }
        }
        (!choices.is_empty()).then_some(Part { choices })
    }

    /// The folds on which a half piece in this pose may lie: those that its fold edge would lie on.
    fn fold_anchors(&self, shape: &PieceShape, pose: Pose, place: &Place) -> Vec<Anchor> {
        let Some((a, b)) = shape.fold else { return Vec::new() };
        let bounds = shape.outline.posed(pose).bounds();
        let (a, b) = (pose.apply(a), pose.apply(b));
        let mut anchors = Vec::new();
        if a.y == b.y && a.y == bounds.low.y && place.edges[0] == BandEdge::Fold {
            anchors.push(Anchor::Low);
        }
        if a.y == b.y && a.y == bounds.high.y && place.edges[1] == BandEdge::Fold {
            anchors.push(Anchor::High);
        }
        if a.x == b.x && a.x == bounds.low.x && self.layout.family == Family::CrosswiseFold {
            anchors.push(Anchor::Start);
        }
        anchors
    }

    /// Every placement in every way of laying every subject.
    fn parts<'a>(&'a self, subjects: &'a [Subject]) -> impl Iterator<Item = Part> + 'a {
        let ways =
            self.menus.iter().zip(subjects).map(|(menu, subject)| menu.ways(subject, self.spare_copies));
        ways.flatten().flat_map(|way| way.parts)
    }

    fn is_on(&self, part: Part, plies: Plies) -> bool {
        part.choices.iter().any(|c| self.labels[c.label as usize].plies == plies)
    }

    fn worthwhile_depths(&self, subjects: &[Subject], shapes: &Shapes) -> Result<(i64, i64), Refusal> {
        let shallowest = |plies: Plies| {
            let choices = self.parts(subjects).flat_map(|part| part.choices);
            let on = choices.filter(|c| self.labels[c.label as usize].plies == plies);
            on.map(|c| shapes.outline(c.outline).height).min()
        };
        let (layout, out) = (&self.layout, self.let_out);
        let half = layout.width / 2;
        let least = (shallowest(Plies::Two).unwrap_or(0) + layout.selvage - out).clamp(1, half);
        let most = match (layout.family, shallowest(Plies::One)) {
            // A fold that leaves no room for a single ply is the fold along the middle.
            (Family::OffCentreFold, Some(single)) => (layout.width - layout.selvage + 2 * out - single) / 2,
            (Family::OffCentreFold, None) => return Err(Refusal::SameAs(Family::LengthwiseFold)),
            _ => half,
        };
        if most < least || 2 * least > layout.width / 2 && layout.family == Family::TwoFolds {
            return Err(Refusal::NoDepth);
        }
        Ok((least, most))
    }

    fn stretch(&self) -> Option<Stretch> {
        let (least, most) = self.depths.clone().ok()?;
        Some(Stretch::Cloth { layout: self.layout.clone(), let_out: self.let_out, least, most })
    }

    /// Why a lay of this kind alone cannot serve, if it cannot.
    pub(super) fn refusal(&self, subjects: &[Subject]) -> Option<Refusal> {
        if subjects.is_empty() {
            return Some(Refusal::NoneFound);
        }
        for (menu, subject) in self.menus.iter().zip(subjects) {
            if menu.ways(subject, self.spare_copies).is_empty() {
                return Some(menu.wide.refusal(subject));
            }
        }
        let folded = self.layout.family != Family::Single;
        if folded && !self.parts(subjects).any(|part| self.is_on(part, Plies::Two)) {
            return Some(Refusal::NothingToFold);
        }
        self.depths.clone().err()
    }

    /// The demand of lays with one stretch of each of these kinds; none when some piece has no place in any of them.
    pub(super) fn compose(mix: &Mix<'_>, kit: &Kit<'_>) -> Option<Demand> {
        let Kit { subjects, shapes, cloth, spacing, .. } = *kit;
        let mut labels: Vec<Label> = Vec::new();
        let mut menus = vec![Menu::default(); subjects.len()];
        for (s, offer) in mix.offers.iter().enumerate() {
            let opened = s > 0 && offer.layout.family == Family::Single;
            let small = if opened && mix.generous { small(&menus, subjects) } else { Vec::new() };
            for (k, own) in offer.menus.iter().enumerate() {
                if !(opened && menus[k].lays_double(&subjects[k]) && !small.contains(&k)) {
                    menus[k].join(own, (s * BANDS) as u8, labels.len() as u32);
                }
            }
            labels.extend_from_slice(&offer.labels);
        }
        let items: Vec<Item> = menus
            .iter()
            .zip(subjects.iter())
            .map(|(menu, subject)| Item {
                ways: menu.ways(subject, cloth.spare_copies),
                size: subject.size as u32,
            })
            .collect();
        if items.iter().any(|item| item.ways.is_empty()) {
            return None;
        }
        let stretches: Option<Vec<Stretch>> = mix.offers.iter().map(|offer| offer.stretch()).collect();
        let room = Room { stretches: stretches?, obstacles: kit.obstacles.to_vec() };
        let flexible =
            mix.offers.len() > 1 || room.freedom() > 0 || items.iter().any(|item| item.ways.len() > 1);
        Some(Demand {
            task: Task { shapes: Arc::clone(shapes), items, room, flexible },
            layouts: mix.offers.iter().map(|offer| offer.layout.clone()).collect(),
            cloth: cloth.kind.clone(),
            subjects: Arc::clone(subjects),
            labels,
            spacing,
        })
    }
}

/// What all demands of a job on one cloth have in common.
#[derive(Clone, Copy)]
pub(super) struct Kit<'a> {
    pub(super) subjects: &'a Arc<[Subject]>,
    pub(super) shapes: &'a Arc<Shapes>,
    pub(super) cloth: &'a Cloth,
    pub(super) spacing: i64,
    pub(super) obstacles: &'a [Obstacle],
}

/// Kinds of spread for stretches one after another.
///
/// After folded stretches one of single thickness is for what those cannot take on two plies, or, when the mix is
/// generous, for small pieces as well. Without such a rule it would swallow everything: no lay is shorter than one of
/// single thickness, but every fold is less work.
#[derive(Clone, Debug)]
pub(super) struct Mix<'a> {
    pub(super) offers: Vec<&'a Offer>,
    pub(super) generous: bool,
}

impl<'a> Mix<'a> {
    /// One kind of spread from end to end.
    pub(super) fn of_one(offer: &'a Offer) -> Mix<'a> {
        Mix { offers: vec![offer], generous: false }
    }

    /// The mixes of two or three sections worth trying, the plainest first. Two sections without a depth to choose are one,
    /// if they are of the same kind; and single thickness comes last.
    pub(super) fn worth_trying(offers: &[&'a Offer]) -> Vec<Mix<'a>> {
        let (single, mut folded): (Vec<&Offer>, Vec<&Offer>) =
            offers.iter().partition(|offer| offer.layout.family == Family::Single);
        // A crosswise fold is at the start of its section, and nothing before it gets in the way when it comes first.
        folded.sort_by_key(|offer| (offer.layout.cloth_per_lay() == 1, offer.layout.family));
        let doubled = |offers: &[&Offer]| offers.iter().any(|o| o.layout.cloth_per_lay() > 1);
        let mut all: Vec<Mix<'a>> = Vec::new();
        let mut add = |offers: &[&'a Offer], generous| all.push(Mix { offers: offers.to_vec(), generous });
        for (k, &a) in folded.iter().enumerate() {
            for &s in &single {
                add(&[a, s], false);
                add(&[a, s], true);
            }
            let from = if a.layout.freedom() > 0 { k } else { k + 1 };
            for &b in &folded[from..] {
                add(&[a, b], false);
                // The whole width double takes twice the cloth for its length: seldom worth a section among three.
                for &s in single.iter().filter(|_| !doubled(&[a, b])) {
                    add(&[a, b, s], false);
                }
            }
        }
        all.sort_by_key(|mix| (mix.offers.len(), doubled(&mix.offers)));
        all
    }
}

/// The subjects that can lie on two plies and are the smallest of those: up to a third of the area of all.
fn small(menus: &[Menu], subjects: &[Subject]) -> Vec<usize> {
    let mut double: Vec<usize> =
        (0..subjects.len()).filter(|&k| menus[k].lays_double(&subjects[k])).collect();
    double.sort_by_key(|&k| (subjects[k].doubled_area(), k));
    let third = double.iter().map(|&k| subjects[k].doubled_area()).sum::<i64>() / 3;
    let mut sum = 0;
    double.retain(|&k| {
        sum += subjects[k].doubled_area();
        sum <= third
    });
    double
}

/// The bands of a layout, each with the greatest height that it can have: with its own fold as deep, and the others as
/// shallow, as may be.
fn places(layout: &Layout, let_out: i64) -> Vec<Place> {
    let half = layout.width / 2;
    let extremes: &[[i64; 2]] = match layout.freedom() {
        0 => &[[0, 0]],
        1 => &[[0, 0], [half, 0]],
        _ => &[[0, 0], [half, 0], [0, half]],
    };
    let tallest = |k: usize| extremes.iter().map(|&d| layout.bands(d)[k].height()).max().unwrap_or(0);
    let bands = layout.bands([0, 0]);
    let place = |(k, band): (usize, &crate::spread::Band)| {
        let edges = [band.low_edge, band.high_edge];
        // Bands let out by half the spacing hold outlines let out by as much.
        let out = let_out * edges.iter().filter(|&&edge| edge != BandEdge::Fold).count() as i64;
        Place { band: k as u8, plies: band.plies, edges, tallest: tallest(k) + out }
    };
    bands.iter().enumerate().map(place).collect()
}

/// The poses in which a subject may lie.
fn poses(subject: &Subject) -> impl Iterator<Item = Pose> + '_ {
    let both = Turn::ALL.into_iter().flat_map(|turn| [false, true].map(|mirrored| Pose { mirrored, turn }));
    both.filter(|pose| subject.turns[usize::from(pose.mirrored)].contains(&pose.turn))
}

impl Menu {
    /// Adds the places of another stretch.
    fn join(&mut self, other: &Menu, bands: u8, labels: u32) {
        let join = |own: &mut Option<Part>, other: &Option<Part>| {
            let Some(other) = other else { return };
            let choices = &mut own.get_or_insert_with(|| Part { choices: Vec::new() }).choices;
            choices.extend(other.choices.iter().map(|c| Choice {
                band: c.band + bands,
                label: c.label + labels,
                ..*c
            }));
        };
        join(&mut self.double, &other.double);
        join(&mut self.drawn, &other.drawn);
        join(&mut self.mirrored, &other.mirrored);
        join(&mut self.fold, &other.fold);
    }

    /// Is there a place on two plies, without a copy to spare?
    fn lays_double(&self, subject: &Subject) -> bool {
        self.fold.is_some() || subject.copies == 2 && self.double.is_some()
    }

    /// The ways to get what the subject stands for.
    fn ways(&self, subject: &Subject, spare_copies: bool) -> Vec<Way> {
        let one = |part: &Option<Part>| part.clone().map(|p| vec![p]);
        let two = |a: &Option<Part>, b: &Option<Part>| Some(vec![a.clone()?, b.clone()?]);
        let Menu { double, drawn, mirrored, fold, .. } = self;
        let all: Vec<Option<Vec<Part>>> = match (subject.copies, subject.shape.fold.is_some()) {
            (2, true) => vec![one(double), two(fold, fold), two(fold, drawn), two(drawn, drawn)],
            (2, false) if subject.symmetric => vec![one(double), two(drawn, drawn)],
            (2, false) => vec![one(double), two(drawn, mirrored)],
            _ => vec![
                one(fold),
                one(if subject.mirrored { mirrored } else { drawn }),
                one(double).filter(|_| spare_copies),
            ],
        };
        all.into_iter().flatten().map(|parts| Way { parts }).collect()
    }
}

impl Widest {
    fn note(&mut self, needed: i64, available: i64) {
        self.least = Some(self.least.map_or(needed, |l| l.min(needed)));
        self.available = self.available.max(available);
    }

    /// Why there is no place for a subject.
    fn refusal(&self, subject: &Subject) -> Refusal {
        match self.least {
            Some(needed) => Refusal::TooWide {
                piece: subject.name.clone(),
                needed: Length::from_grid(needed).mm(),
                available: Length::from_grid(self.available).mm(),
            },
            None => Refusal::NeedsSinglePly {
                piece: subject.name.clone(),
                copies: if subject.copies == 1 && subject.symmetric { 1 } else { subject.all },
            },
        }
    }
}
