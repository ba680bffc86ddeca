//! [`Demand`]: a job on one kind of spread, resolved to integers: what must be placed, in which ways; or the refusal.
//!
//! This is the one place that knows how grain, nap, faces, pairs and fold edges decide the ways of laying a piece.
//! The search that works on the result knows outlines, bands and choices, never garments.

mod offer;
mod subject;
mod unfold;

use std::sync::Arc;

use crate::cloth::{Cloth, Flaw};
use crate::geometry::{Point, Polygon, Pose, Turn};
use crate::job::Job;
use crate::length::Length;
use crate::marker::{Form, Marker, Placement};
use crate::remnant::pockets;
use crate::search::shapes::Shapes;
use crate::search::task::{BANDS, Choice, Lay, Obstacle, Room, Spot, Task};
use crate::spread::{Family, Kind, Layout, Plies, Refusal, Spread};

use offer::{Kit, Mix, Offer};
use subject::{Subject, half_up};
pub(crate) use unfold::Opened;

/// What must be placed on one kind of spread, or on several one after another.
#[derive(Debug)]
pub struct Demand {
    pub(crate) task: Task,
    /// One for each stretch of the task.
    pub(crate) layouts: Vec<Layout>,
    cloth: String,
    /// For each item of the task, what it is a copy of.
    subjects: Arc<[Subject]>,
    /// What a choice's label means.
    labels: Vec<Label>,
    spacing: i64,
}

/// How a choice lays its piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Label {
    form: Form,
    pose: Pose,
    plies: Plies,
    yields: u32,
}

/// The demands of every way to spread one cloth of a job; the outlines and what is worked out for pairs of them are shared.
#[derive(Debug)]
pub(crate) struct Demands {
    shapes: Arc<Shapes>,
    subjects: Arc<[Subject]>,
    /// One for each of [`Family::ALL`], in that order.
    whole: Vec<Result<Demand, Refusal>>,
    /// One for each combination of sections worth trying, the plainest first; at least one.
    pub(crate) sections: Result<Vec<Demand>, Refusal>,
    /// Single thickness, to which all others open out, whether or not it is asked for.
    pub(crate) single: Option<Demand>,
}

impl Demands {
    /// Resolves a job for one cloth.
    pub(crate) fn new(job: &Job, cloth: &Cloth) -> Demands {
        let mut shapes = Shapes::default();
        let subjects: Arc<[Subject]> = Subject::all(job, cloth).into();
        let offers: Vec<Result<Offer, Refusal>> =
            Family::ALL.iter().map(|&f| Offer::new(job, cloth, f, &subjects, &mut shapes)).collect();
        let beyond = cloth.within.iter().flat_map(pockets).map(Flaw::Area);
        let kept_clear = cloth.flaws.iter().cloned().chain(beyond);
        let obstacles: Vec<Obstacle> = kept_clear.map(|f| obstacle(&f, cloth, &mut shapes)).collect();
        // Beside flaws, and in left-over cloth of any shape, it is a matter of hairs whether a piece goes in at all.
        if obstacles.is_empty() {
            shapes.ease();
        }
        shapes.seal();
        let shapes = Arc::new(shapes);
        let spacing = job.spacing.grid();
        let kit = Kit { subjects: &subjects, shapes: &shapes, cloth, spacing, obstacles: &obstacles };
        let whole = Family::ALL.iter().zip(&offers).map(|(&family, offer)| {
            if !job.spreads.contains(&Kind::Whole(family)) {
                return Err(Refusal::NotAsked);
            }
            let offer = offer.as_ref().map_err(Clone::clone)?;
            offer.refusal(&subjects).map_or(Ok(()), Err)?;
            Offer::compose(&Mix::of_one(offer), &kit).ok_or(Refusal::NoDepth)
        });
        let whole = whole.collect();
        let single = offers[0].as_ref().ok().filter(|offer| offer.layout.family == Family::Single);
        let sections = if job.spreads.contains(&Kind::Sections) {
            // Where flaws come to lie when the whole width is double depends on how long that section is.
            let fixed = |offer: &&Offer| obstacles.is_empty() || offer.layout.cloth_per_lay() == 1;
            let usable: Vec<&Offer> =
                offers.iter().flatten().filter(|o| o.serves(&subjects)).filter(fixed).collect();
            let all: Vec<Demand> =
                Mix::worth_trying(&usable).iter().filter_map(|mix| Offer::compose(mix, &kit)).collect();
            if all.is_empty() {
                // What has no place on a single ply has none anywhere.
                let why = single.and_then(|offer| offer.refusal(&subjects));
                Err(why.unwrap_or(Refusal::NothingToFold))
            } else {
                Ok(all)
            }
        } else {
            Err(Refusal::NotAsked)
        };
        let single = single.and_then(|offer| Offer::compose(&Mix::of_one(offer), &kit));
        Demands { shapes, subjects, whole, sections, single }
    }

    /// The demand of a spread that is the same from end to end, or why it does not serve.
    pub(crate) fn whole(&self, family: Family) -> &Result<Demand, Refusal> {
        let at = Family::ALL.iter().position(|&f| f == family).unwrap_or(0);
        &self.whole[at]
    }

    /// The first kind of spread that serves and uses one length of cloth for one of lay: single thickness, if that may be.
    pub(crate) fn into_plain(self) -> Option<(Kind, Demand)> {
        let all = Family::ALL.into_iter().zip(self.whole);
        all.filter_map(|(family, demand)| Some((Kind::Whole(family), demand.ok()?)))
            .find(|(_, demand)| demand.layouts[0].cloth_per_lay() == 1)
    }

    /// Builds what is worked out for pairs of outlines, as far as that is worth while before the search.
    pub(crate) fn prepare(&self) {
        let all = self.whole.iter().flatten().chain(self.sections.iter().flatten());
        let mut outlines: Vec<_> = all.flat_map(|demand| demand.task.outlines()).collect();
        outlines.sort_unstable();
        outlines.dedup();
        self.shapes.prepare(&outlines);
    }

    /// Area of all copies wanted, in square millimetres.
    pub(crate) fn total_area_mm2(&self) -> f64 {
        self.subjects.iter().map(|s| s.doubled_area() as f64 / 20_000.0).sum()
    }

    /// The least cloth that has the area of all copies in its usable width.
    pub(crate) fn area_bound(&self) -> i64 {
        let doubled: i64 = self.subjects.iter().map(Subject::doubled_area).sum();
        let layouts = self.whole.iter().flatten().chain(self.sections.iter().flatten()).chain(&self.single);
        let usable = layouts.map(|demand| demand.layouts[0].width - 2 * demand.layouts[0].selvage).max();
        // Rounded up: a length is a whole number of grid units.
        let per = 2 * usable.unwrap_or(1).max(1);
        (doubled + per - 1) / per
    }
}

/// A flaw as the search knows it: where it lies in respect of the lay, and its outline in each pose that a ply may have.
fn obstacle(flaw: &Flaw, cloth: &Cloth, shapes: &mut Shapes) -> Obstacle {
    let outline = flaw.outline().shifted(Point::new(-cloth.end_allowance.grid(), 0));
    let poses = [
        Pose::AS_DRAWN,
        Pose { mirrored: true, turn: Turn::None },
        Pose { mirrored: true, turn: Turn::Half },
    ];
    Obstacle {
        bounds: outline.bounds(),
        poses: poses.map(|pose| (pose, shapes.add(&outline, pose))).to_vec(),
    }
}

impl Demand {
    /// The cloth that a lay takes, without the half spacing at both ends that outlines let out have.
    pub(crate) fn cloth(&self, lay: &Lay) -> i64 {
        if self.spacing == 0 { lay.length } else { self.marker(lay).spread.cloth_length().grid() }
    }

    /// Builds what is worked out for pairs of outlines.
    pub(crate) fn prepare(&self) {
        self.task.shapes.prepare(&self.task.outlines());
    }

    /// The items of a lay of one stretch with something that ends past `most`.
    pub(crate) fn items_past(&self, lay: &Lay, most: i64) -> std::collections::BTreeSet<u32> {
        // Outlines let out for spacing begin half of it before the lay and end half of it after.
        let most = most + 2 * half_up(self.spacing);
        let end = |spot: &Spot| spot.at.x + self.task.shapes.outline(spot.choice.outline).width;
        lay.spots.iter().filter(|spot| end(spot) > most).map(|spot| spot.item).collect()
    }

    /// The name of an item's piece.
    pub(crate) fn name(&self, item: usize) -> &str {
        &self.subjects[item].name
    }

    /// A lay as a marker: outlines let out for spacing go back to what is cut, and stretches with nothing on them go.
    pub(crate) fn marker(&self, lay: &Lay) -> Marker {
        let holds = |s: usize| lay.spots.iter().any(|spot| Room::stretch_of(spot.choice) == s);
        let used: Vec<usize> = (0..lay.extents.len()).filter(|&s| holds(s)).collect();
        let placements: Vec<Placement> =
            lay.spots.iter().map(|spot| self.placement(spot, lay, &used)).collect();
        let shapes = lay.spots.iter().map(|spot| &self.subjects[spot.item as usize].shape);
        let ends = placements.iter().zip(shapes).map(|(p, shape)| p.outline(shape).bounds().high.x);
        let furthest = ends.max().unwrap_or(0);
        let start = |k: usize| if k == 0 { 0 } else { lay.extents[used[k]].start - self.margin(&used) };
        let sections = used.iter().enumerate().map(|(k, &s)| {
            let end = match used.get(k + 1) {
                Some(_) => start(k + 1),
                // Where a fold lies is decided even if the last piece ends before it.
                None if self.task.room.shifts_with_length(s) => lay.extents[s].end,
                None => furthest,
            };
            let length = Length::from_grid(end - start(k));
            self.layouts[s].section(lay.extents[s].depths, Length::from_grid(start(k)), length)
        });
        let sections = sections.collect();
        Marker { cloth: self.cloth.clone(), spread: Spread { sections }, placements }
    }

    /// How much sooner what is cut begins than the outlines let out for spacing. A cut end needs no clear space, and the
    /// lay begins with what is cut; at a crosswise fold the two copies of a piece face each other, and each keeps its half.
    /// Between sections the cut falls into the middle between pieces.
    fn margin(&self, used: &[usize]) -> i64 {
        let first = used.first().map(|&s| self.layouts[s].family);
        if first == Some(Family::CrosswiseFold) { 0 } else { half_up(self.spacing) }
    }

    fn placement(&self, spot: &Spot, lay: &Lay, used: &[usize]) -> Placement {
        let subject = &self.subjects[spot.item as usize];
        let label = self.labels[spot.choice.label as usize];
        // The outline let out for spacing is what lies at `spot.at`; the outline cut lies inside it.
        let wide = subject.wide(label.form).posed(label.pose);
        let margin = self.margin(used);
        let s = Room::stretch_of(spot.choice);
        let band = spot.choice.band as usize % BANDS;
        Placement {
            piece: subject.piece,
            size: subject.size,
            form: label.form,
            pose: label.pose,
            position: spot.at - wide.bounds().low - Point::new(margin, 0),
            section: used.iter().position(|&u| u == s).unwrap_or(0),
            band: self.layouts[s].band_among_used(lay.extents[s].depths, band),
            plies: label.plies,
            yields: label.yields,
        }
    }

    /// The length along the lay of what is cut of an item in a choice, without spacing.
    pub(crate) fn cut_width(&self, item: usize, choice: &Choice) -> i64 {
        let label = self.labels[choice.label as usize];
        label.form.of(&self.subjects[item].shape).posed(label.pose).bounds().width()
    }

    /// The outline that is cut in a choice, without spacing, as it lies.
    pub(crate) fn cut_outline(&self, choice: &Choice) -> &Polygon {
        // Bounds that look at single pieces are only asked for where no spacing is wanted.
        &self.task.shapes.outline(choice.outline).polygon
    }

    /// How long the fold edge of an item's piece is; 0 when it has none.
    pub(crate) fn fold_edge(&self, item: usize) -> i64 {
        let edge = self.subjects[item].shape.fold;
        edge.map_or(0, |(a, b)| (a.x - b.x).abs().max((a.y - b.y).abs()))
    }

    /// Is clear space wanted between pieces?
    pub(crate) fn is_spaced(&self) -> bool {
        self.spacing > 0
    }

    /// Twice the area of the copies wanted of an item, every ply counted.
    pub(crate) fn doubled_area(&self, item: usize) -> i64 {
        self.subjects[item].doubled_area()
    }
}
