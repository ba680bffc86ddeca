//! [`Demand`]: a job on one kind of spread, resolved to integers: what must be placed, in which ways; or the refusal.
//!
//! This is the one place that knows how grain, nap, faces, pairs and fold edges decide the ways of laying a piece.
//! The search that works on the result knows outlines, bands and choices, never garments.

use std::sync::Arc;

use crate::cloth::{Cloth, Nap};
use crate::geometry::clipper::{between, with_clearance};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::job::{Job, Want};
use crate::length::Length;
use crate::marker::{Form, Marker, Placement};
use crate::piece::{Grain, PieceShape, Symmetry};
use crate::search::shapes::Shapes;
use crate::search::task::{Anchor, Choice, Depths, Item, Lay, Part, Room, Spot, Task, Way};
use crate::spread::{BandEdge, Family, Layout, Plies, Refusal, Spread};

/// What must be placed on one kind of spread.
#[derive(Debug)]
pub struct Demand {
    pub(crate) task: Task,
    pub(crate) layout: Layout,
    cloth: String,
    /// For each item of the task, the piece and size.
    subjects: Vec<Subject>,
    /// What a choice's label means.
    labels: Vec<Label>,
    spacing: i64,
}

/// The piece that an item is a copy (or two) of.
#[derive(Clone, Debug)]
pub(crate) struct Subject {
    pub(crate) piece: usize,
    pub(crate) size: usize,
    name: String,
    pub(crate) shape: PieceShape,
    symmetric: bool,
    /// Copies that the item stands for.
    copies: u32,
}

/// How a choice lays its piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Label {
    form: Form,
    pose: Pose,
    plies: Plies,
    yields: u32,
}

/// One copy of a piece as it comes off flat cloth lying right side up.
struct Copy {
    form: Form,
    pose: Pose,
    /// Lowest corner of the box of the posed outline.
    low: Point,
}

impl Demand {
    /// Resolves a job for one cloth and one kind of spread.
    ///
    /// # Errors
    /// The [`Refusal`] that tells why this spread cannot serve.
    pub fn new(job: &Job, cloth: &Cloth, family: Family) -> Result<Demand, Refusal> {
        let mut shapes = Shapes::default();
        let draft = Draft::new(job, cloth, family, &mut shapes)?;
        shapes.seal();
        Ok(draft.with(Arc::new(shapes)))
    }

    /// Resolves a job for one cloth and every kind of spread, in the order of [`Family::ALL`]; the outlines and what is
    /// worked out for pairs of them are shared.
    pub fn all(job: &Job, cloth: &Cloth) -> Vec<Result<Demand, Refusal>> {
        let mut shapes = Shapes::default();
        let drafts: Vec<Result<Draft, Refusal>> =
            Family::ALL.iter().map(|&family| Draft::new(job, cloth, family, &mut shapes)).collect();
        shapes.seal();
        let shapes = Arc::new(shapes);
        drafts.into_iter().map(|draft| Ok(draft?.with(Arc::clone(&shapes)))).collect()
    }

    /// Lengths of cloth used for one length of lay.
    pub(crate) fn cloth_per_lay(&self) -> i64 {
        self.layout.cloth_per_lay()
    }

    /// Length of what is cut, without the half spacing at both ends that outlines let out have.
    pub(crate) fn lay_length(&self, lay: &Lay) -> i64 {
        if self.spacing == 0 { lay.length } else { self.marker(lay).spread.lay_length().grid() }
    }

    /// Area of all copies wanted, in square millimetres.
    pub(crate) fn total_area_mm2(&self) -> f64 {
        (0..self.subjects.len()).map(|i| self.doubled_area(i) as f64 / 20_000.0).sum()
    }

    /// The name of an item's piece.
    pub(crate) fn name(&self, item: usize) -> &str {
        &self.subjects[item].name
    }

    /// A lay as a marker: outlines let out for spacing go back to what is cut.
    pub(crate) fn marker(&self, lay: &Lay) -> Marker {
        let placements: Vec<Placement> =
            lay.spots.iter().map(|spot| self.placement(spot, lay.depths)).collect();
        let end = |p: &Placement| p.outline(&self.subject_of(p).shape).bounds().high.x;
        let length = placements.iter().map(end).max().unwrap_or(0);
        let section = self.layout.section(lay.depths, Length::from_grid(length));
        Marker { cloth: self.cloth.clone(), spread: Spread { sections: vec![section] }, placements }
    }

    fn subject_of(&self, p: &Placement) -> &Subject {
        let is = |s: &&Subject| s.piece == p.piece && s.size == p.size;
        self.subjects.iter().find(is).expect("a placement is of a piece that is wanted")
    }

    fn placement(&self, spot: &Spot, depths: Depths) -> Placement {
        let subject = &self.subjects[spot.item as usize];
        let label = self.labels[spot.choice.label as usize];
        // The outline let out for spacing is what lies at `spot.at`; the outline cut lies inside it.
        let wide = spaced(&subject.shape, label.form, self.spacing).posed(label.pose);
        // A cut end needs no clear space, and the lay begins with what is cut; at a crosswise fold the two copies of a piece
        // face each other, and each keeps its half.
        let fold_at_start = self.layout.family == Family::CrosswiseFold;
        let margin = if fold_at_start { 0 } else { half_up(self.spacing) };
        Placement {
            piece: subject.piece,
            size: subject.size,
            form: label.form,
            pose: label.pose,
            position: spot.at - wide.bounds().low - Point::new(margin, 0),
            section: 0,
            band: self.layout.band_among_used(depths, spot.choice.band as usize),
            plies: label.plies,
            yields: label.yields,
        }
    }

    /// The outline that is cut in a choice, without spacing, as it lies.
    pub(crate) fn cut_outline(&self, choice: &Choice) -> &Polygon {
        // Bounds that look at single pieces are only asked for where no spacing is wanted.
        &self.task.shapes.outline(choice.outline).polygon
    }

    /// Is clear space wanted between pieces?
    pub(crate) fn is_spaced(&self) -> bool {
        self.spacing > 0
    }

    /// Twice the area of the copies wanted of an item, every ply counted.
    pub(crate) fn doubled_area(&self, item: usize) -> i64 {
        self.subjects[item].shape.full.doubled_area() * i64::from(self.subjects[item].copies)
    }

    /// The lay of the same job on single thickness that this one unfolds to, where it does.
    pub(crate) fn opened_out(&self, lay: &Lay, single: &Demand) -> Option<Lay> {
        if self.spacing != single.spacing || self.subjects.len() != single.subjects.len() {
            return None;
        }
        let length = lay.length;
        let mut spots = Vec::new();
        let mut ways = vec![u8::MAX; self.subjects.len()];
        let mut copies: Vec<Vec<Copy>> = (0..self.subjects.len()).map(|_| Vec::new()).collect();
        for spot in &lay.spots {
            copies[spot.item as usize].extend(self.copies_of(lay, spot, length)?);
        }
        for (item, copies) in copies.into_iter().enumerate() {
            let subject = &single.subjects[item];
            let way = single.task.items[item].ways.iter().position(|w| w.parts.len() == copies.len())?;
            ways[item] = way as u8;
            let mut open: Vec<u8> = (0..copies.len() as u8).collect();
            for copy in copies {
                let outline = spaced(&subject.shape, copy.form, single.spacing).posed(copy.pose);
                let parts = &single.task.items[item].ways[way].parts;
                let fits = |c: &&Choice| single.task.shapes.is(c.outline, &outline);
                let (slot, choice) = open
                    .iter()
                    .enumerate()
                    .find_map(|(slot, &p)| parts[p as usize].choices.iter().find(fits).map(|c| (slot, *c)))?;
                let part = open.remove(slot);
                spots.push(Spot { item: item as u32, part, choice, at: copy.low });
            }
        }
        let mut opened = Lay { length: 0, depths: [0, 0], ways, spots };
        opened.length = opened.extent(&single.task.shapes);
        Some(opened)
    }

    /// The copies that one placement gives, where they lie when the cloth is opened out flat, right side up.
    fn copies_of(&self, lay: &Lay, spot: &Spot, length: i64) -> Option<Vec<Copy>> {
        let label = self.labels[spot.choice.label as usize];
        let subject = &self.subjects[spot.item as usize];
        let outline = &self.task.shapes.outline(spot.choice.outline);
        let (w, h) = (outline.width, outline.height);
        let layout = &self.layout;
        let across = layout.across(lay.depths);
        let low = spot.at;
        // Shift of the lower ply into the flat frame.
        let (dx, dy) = match layout.family {
            Family::Single => (0, 0),
            Family::LengthwiseFold | Family::Tubular => (0, layout.width / 2),
            Family::OffCentreFold | Family::TwoFolds => (0, lay.depths[0]),
            Family::CrosswiseFold => (length, 0),
            Family::TurnedDouble => (0, 0),
        };
        let lower = Point::new(low.x + dx, low.y + dy);
        if label.plies == Plies::One {
            return Some(vec![Copy { form: label.form, pose: label.pose, low: lower }]);
        }
        let flipped = |turn: Turn| Pose { mirrored: !label.pose.mirrored, turn };
        let opposite = Turn::ALL[(4 - usize::from(label.pose.turn.degrees()) / 90) % 4];
        let high_fold = spot.choice.band == 2;
        if label.form == Form::OnFold {
            let full = subject.shape.full.posed(label.pose).bounds();
            let at = match spot.choice.anchor {
                Anchor::Low => Point::new(lower.x, dy - h),
                // A tube is slit along its high fold, so nothing may lie across that.
                Anchor::High if layout.family == Family::Tubular => return None,
                Anchor::High => lower,
                Anchor::Start => Point::new(dx - w, lower.y),
                Anchor::Free => return None,
            };
            debug_assert!(full.width() > 0, "a whole piece has an extent");
            return Some(vec![Copy { form: Form::OpenedOut, pose: label.pose, low: at }]);
        }
        let upper = match layout.family {
            Family::CrosswiseFold => Copy {
                form: label.form,
                pose: flipped(Turn::Half.then(opposite)),
                low: Point::new(dx - low.x - w, low.y),
            },
            Family::TurnedDouble => Copy {
                form: label.form,
                pose: flipped(opposite),
                low: Point::new(low.x + length, layout.width - low.y - h),
            },
            _ => {
                let fold = if high_fold { across } else { 0 };
                Copy {
                    form: label.form,
                    pose: flipped(opposite),
                    low: Point::new(low.x, dy + 2 * fold - low.y - h),
                }
            }
        };
        let lower = Copy { form: label.form, pose: label.pose, low: lower };
        if label.yields == 1 && subject.shape.fold.is_none() && !subject.symmetric {
            return Some(vec![if label.pose.mirrored { upper } else { lower }]);
        }
        Some(if label.yields == 1 { vec![lower] } else { vec![lower, upper] })
    }
}

fn form_outline(shape: &PieceShape, form: Form) -> &Polygon {
    match form {
        Form::Whole | Form::OnFold => &shape.outline,
        Form::OpenedOut => &shape.full,
    }
}

/// The outline with half the spacing added all round; of a half piece on its fold, none along the fold edge.
fn spaced(shape: &PieceShape, form: Form, spacing: i64) -> Polygon {
    let outline = form_outline(shape, form);
    if spacing == 0 {
        return outline.clone();
    }
    let wide = with_clearance(outline, half_up(spacing));
    let (Form::OnFold, Some((fold, _))) = (form, shape.fold) else { return wide };
    let (inner, outer) = (outline.bounds(), wide.bounds());
    let (low, high) = if fold.y == inner.low.y { (fold.y, outer.high.y) } else { (outer.low.y, fold.y) };
    let half = between(wide.points(), low, high).into_iter().find_map(|a| Polygon::new(a.outer).ok());
    half.unwrap_or(wide)
}

/// Half of the spacing, rounded up to the grid.
fn half_up(spacing: i64) -> i64 {
    (spacing + 1) / 2
}

/// A demand before the outlines of all spreads are known.
struct Draft {
    items: Vec<Item>,
    room: Room,
    flexible: bool,
    layout: Layout,
    cloth: String,
    subjects: Vec<Subject>,
    labels: Vec<Label>,
    spacing: i64,
}

impl Draft {
    fn new(job: &Job, cloth: &Cloth, family: Family, shapes: &mut Shapes) -> Result<Draft, Refusal> {
        if !job.spreads.contains(&family) {
            return Err(Refusal::NotAsked);
        }
        let layout = Layout::new(family, cloth)?;
        let mut maker = Maker::new(job, cloth, layout, shapes);
        for want in job.wants(&cloth.kind) {
            maker.add(&want)?;
        }
        maker.finish()
    }

    fn with(self, shapes: Arc<Shapes>) -> Demand {
        Demand {
            task: Task { shapes, items: self.items, room: self.room, flexible: self.flexible },
            layout: self.layout,
            cloth: self.cloth,
            subjects: self.subjects,
            labels: self.labels,
            spacing: self.spacing,
        }
    }
}

/// Collects the items of a demand.
struct Maker<'a> {
    job: &'a Job,
    cloth: &'a Cloth,
    layout: Layout,
    shapes: &'a mut Shapes,
    items: Vec<Item>,
    subjects: Vec<Subject>,
    labels: Vec<Label>,
    /// Band index, plies, low edge, high edge, and the greatest height that it can have.
    places: Vec<Place>,
    laid_double: bool,
}

#[derive(Clone, Copy)]
struct Place {
    band: u8,
    plies: Plies,
    edges: [BandEdge; 2],
    tallest: i64,
}

impl<'a> Maker<'a> {
    fn new(job: &'a Job, cloth: &'a Cloth, layout: Layout, shapes: &'a mut Shapes) -> Maker<'a> {
        // The tallest that each band can be: with its own fold as deep, and the others as shallow, as may be.
        let half = layout.width / 2;
        let extremes: &[[i64; 2]] = match layout.freedom() {
            0 => &[[0, 0]],
            1 => &[[0, 0], [half, 0]],
            _ => &[[0, 0], [half, 0], [0, half]],
        };
        let mut places: Vec<Place> = layout
            .bands([0, 0])
            .iter()
            .enumerate()
            .map(|(k, b)| Place {
                band: k as u8,
                plies: b.plies,
                edges: [b.low_edge, b.high_edge],
                tallest: extremes.iter().map(|&d| layout.bands(d)[k].height()).max().unwrap_or(0),
            })
            .collect();
        // Bands let out by half the spacing hold outlines let out by as much.
        let out = half_up(job.spacing.grid());
        for place in &mut places {
            place.tallest += out * place.edges.iter().filter(|&&e| e != BandEdge::Fold).count() as i64;
        }
        Maker {
            job,
            cloth,
            layout,
            shapes,
            items: Vec::new(),
            subjects: Vec::new(),
            labels: Vec::new(),
            places,
            laid_double: false,
        }
    }

    fn add(&mut self, want: &Want) -> Result<(), Refusal> {
        let piece = &self.job.style.pieces[want.piece];
        let size = &self.job.style.sizes[want.size];
        let shape = &piece.shapes[size];
        let symmetric = match shape.symmetry() {
            Symmetry::AboutGrain => true,
            Symmetry::AboutCross => self.cloth.nap == Nap::None,
            Symmetry::None => false,
        };
        let name = if self.job.style.sizes.len() > 1 {
            format!("{} (size {size})", piece.name)
        } else {
            piece.name.clone()
        };
        let all = want.as_drawn + want.mirrored;
        let twos = if symmetric { all / 2 } else { want.as_drawn.min(want.mirrored) };
        let ones = all - 2 * twos;
        let subject =
            Subject { piece: want.piece, size: want.size, name, shape: shape.clone(), symmetric, copies: 0 };
        let about_grain = shape.symmetry() == Symmetry::AboutGrain;
        let turns = [false, true].map(|mirrored| turns(piece.grain, self.cloth.nap, mirrored, about_grain));
        let ways = Ways { subject: &subject, turns, mirrored: !symmetric && want.mirrored > want.as_drawn };
        for (copies, count) in [(2, twos), (1, ones)] {
            if count == 0 {
                continue;
            }
            let item = self.item(&ways, copies, all)?;
            for _ in 0..count {
                self.items.push(item.clone());
                self.subjects.push(Subject { copies, ..subject.clone() });
            }
        }
        Ok(())
    }

    fn item(&mut self, ways: &Ways<'_>, copies: u32, all: u32) -> Result<Item, Refusal> {
        let half = ways.subject.shape.fold.is_some();
        let mut made: Vec<Vec<Part>> = Vec::new();
        let mut wide = Widest::default();
        let double = self.part(ways, Kind::Double(copies.min(2)), &mut wide);
        let singles = [false, true].map(|mirrored| self.part(ways, Kind::Single(mirrored), &mut wide));
        let [drawn, mirrored] = singles;
        let fold = if half { self.part(ways, Kind::OnFold, &mut wide) } else { None };
        if copies == 2 {
            made.extend(double.map(|p| vec![p]));
            if half {
                made.extend(fold.clone().map(|p| vec![p.clone(), p]));
                made.extend(fold.zip(drawn.clone()).map(|(f, s)| vec![f, s]));
                made.extend(drawn.map(|p| vec![p.clone(), p]));
            } else if ways.subject.symmetric {
                made.extend(drawn.map(|p| vec![p.clone(), p]));
            } else {
                made.extend(drawn.zip(mirrored).map(|(a, b)| vec![a, b]));
            }
        } else {
            made.extend(fold.map(|p| vec![p]));
            made.extend(if ways.mirrored { mirrored } else { drawn }.map(|p| vec![p]));
            if self.cloth.spare_copies {
                made.extend(double.map(|p| vec![p]));
            }
        }
        if made.is_empty() {
            return Err(match wide.least {
                Some(needed) => Refusal::TooWide {
                    piece: ways.subject.name.clone(),
                    needed: Length::from_grid(needed).mm(),
                    available: Length::from_grid(wide.available).mm(),
                },
                None => Refusal::NeedsSinglePly {
                    piece: ways.subject.name.clone(),
                    copies: if copies == 1 && ways.subject.symmetric { 1 } else { all },
                },
            });
        }
        self.laid_double |= made
            .iter()
            .flatten()
            .flat_map(|p| &p.choices)
            .any(|c| self.labels[c.label as usize].plies == Plies::Two);
        Ok(Item { ways: made.into_iter().map(|parts| Way { parts }).collect() })
    }

    /// The choices for one placement of some kind; none when the spread has no place for it.
    fn part(&mut self, ways: &Ways<'_>, kind: Kind, wide: &mut Widest) -> Option<Part> {
        let shape = &ways.subject.shape;
        let half = shape.fold.is_some();
        let whole = if half { Form::OpenedOut } else { Form::Whole };
        let mut choices: Vec<Choice> = Vec::new();
        for place in self.places.clone() {
            for turn in Turn::ALL {
                for mirrored in [false, true] {
                    if !ways.turns[usize::from(mirrored)].contains(&turn) {
                        continue;
                    }
                    let pose = Pose { mirrored, turn };
                    let (form, anchors): (Form, Vec<Anchor>) = match kind {
                        Kind::Double(_) if place.plies == Plies::Two => (whole, vec![Anchor::Free]),
                        Kind::Single(face) if place.plies == Plies::One => {
                            if face != mirrored && !ways.subject.symmetric {
                                continue;
                            }
                            (whole, vec![Anchor::Free])
                        }
                        Kind::OnFold if place.plies == Plies::Two => {
                            (Form::OnFold, self.fold_anchors(shape, pose, place))
                        }
                        _ => continue,
                    };
                    for anchor in anchors {
                        let outline = self.shapes.add(&spaced(shape, form, self.job.spacing.grid()), pose);
                        let needed = self.shapes.outline(outline).height;
                        if needed > place.tallest {
                            wide.note(needed, place.tallest);
                            continue;
                        }
                        let known =
                            |c: &Choice| c.outline == outline && c.band == place.band && c.anchor == anchor;
                        if choices.iter().any(known) {
                            continue;
                        }
                        let yields = match kind {
                            Kind::Double(copies) => copies,
                            _ => 1,
                        };
                        self.labels.push(Label { form, pose, plies: place.plies, yields });
                        let label = (self.labels.len() - 1) as u32;
                        choices.push(Choice { outline, band: place.band, anchor, label });
                    }
                }
            }
        }
        (!choices.is_empty()).then_some(Part { choices })
    }

    /// The folds on which a half piece in this pose may lie: those that its fold edge would lie on.
    fn fold_anchors(&self, shape: &PieceShape, pose: Pose, place: Place) -> Vec<Anchor> {
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

    fn finish(self) -> Result<Draft, Refusal> {
        let nothing = if self.items.is_empty() { Some(Refusal::NoneFound) } else { None };
        let folded = self.layout.family != Family::Single;
        if let Some(refusal) = nothing.or((folded && !self.laid_double).then_some(Refusal::NothingToFold)) {
            return Err(refusal);
        }
        let out = half_up(self.job.spacing.grid());
        let shallowest = |plies: Plies| {
            let parts = self.items.iter().flat_map(|i| &i.ways).flat_map(|w| &w.parts);
            let choices = parts.flat_map(|p| &p.choices);
            choices
                .filter(|c| self.labels[c.label as usize].plies == plies)
                .map(|c| self.shapes.outline(c.outline).height)
                .min()
        };
        let half = self.layout.width / 2;
        let least = (shallowest(Plies::Two).unwrap_or(0) + self.layout.selvage - out).clamp(1, half);
        let most = match (self.layout.family, shallowest(Plies::One)) {
            // A fold that leaves no room for a single ply is the fold along the middle.
            (Family::OffCentreFold, Some(single)) => {
                (self.layout.width - self.layout.selvage + 2 * out - single) / 2
            }
            (Family::OffCentreFold, None) => return Err(Refusal::SameAs(Family::LengthwiseFold)),
            _ => half,
        };
        if most < least || 2 * least > self.layout.width / 2 && self.layout.family == Family::TwoFolds {
            return Err(Refusal::NoDepth);
        }
        let flexible = self.layout.freedom() > 0 || self.items.iter().any(|i| i.ways.len() > 1);
        Ok(Draft {
            room: Room::Cloth { layout: self.layout.clone(), let_out: out, least, most },
            items: self.items,
            flexible,
            layout: self.layout,
            cloth: self.cloth.kind.clone(),
            subjects: self.subjects,
            labels: self.labels,
            spacing: self.job.spacing.grid(),
        })
    }
}

/// What the ways of laying a piece depend on.
struct Ways<'a> {
    subject: &'a Subject,
    /// As drawn, and mirrored.
    turns: [&'static [Turn]; 2],
    /// The odd copy out is a mirrored one.
    mirrored: bool,
}

/// A kind of placement.
#[derive(Clone, Copy)]
enum Kind {
    /// The whole outline through two plies, of which so many copies are wanted.
    Double(u32),
    /// The whole outline on one ply, mirrored or not.
    Single(bool),
    /// The half outline on a fold.
    OnFold,
}

/// Remembers the narrowest outline that was too wide, and the widest place.
#[derive(Default)]
struct Widest {
    least: Option<i64>,
    available: i64,
}

impl Widest {
    fn note(&mut self, needed: i64, available: i64) {
        self.least = Some(self.least.map_or(needed, |l| l.min(needed)));
        self.available = self.available.max(available);
    }
}

/// Allowed turns. With nap every piece points the same way; a piece that takes either grain then keeps to the lengthwise
/// one, since turned a quarter its nap would run across. A crosswise piece that is flipped over is turned the other way
/// too, as the upper ply of a lengthwise fold has it: so the nap runs across both of a pair as mirror images. One that is
/// its own mirror image comes off that fold both ways, and may lie both ways.
fn turns(grain: Grain, nap: Nap, mirrored: bool, about_grain: bool) -> &'static [Turn] {
    match (grain, nap) {
        (Grain::Lengthwise | Grain::Either, Nap::OneWay) => &[Turn::None],
        (Grain::Lengthwise, Nap::None) => &[Turn::None, Turn::Half],
        (Grain::Crosswise, Nap::OneWay) if about_grain => &[Turn::Quarter, Turn::ThreeQuarter],
        (Grain::Crosswise, Nap::OneWay) if mirrored => &[Turn::ThreeQuarter],
        (Grain::Crosswise, Nap::OneWay) => &[Turn::Quarter],
        (Grain::Crosswise, Nap::None) => &[Turn::Quarter, Turn::ThreeQuarter],
        (Grain::Either, Nap::None) => &Turn::ALL,
    }
}
