//! Each distinct outline once, and the no-fit polygon of each pair of them, computed when first asked for.
//!
//! The outlines of one piece are the poses of one *base* shape. Posing both pieces of a pair alike poses their no-fit
//! polygon, and exchanging them reflects it, so only the pose of the second in respect of the first matters: a table
//! serves up to sixteen pairs of outlines.
//!
//! Where that is asked for, the search sees outlines of fewer corners, which cover those added.

use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::measure::{Depth, Glance, Measure};
use crate::geometry::{ConvexParts, NoFit, Point, Polygon, Pose, Turn, eased};

/// Index of an outline in [`Shapes`].
pub(crate) type OutlineId = u32;

/// An outline as it may lie: the lowest corner of its box at the origin.
#[derive(Clone, Debug)]
pub(crate) struct Outline {
    /// As it is cut.
    pub(crate) polygon: Polygon,
    /// What the search sees, in convex parts.
    pub(crate) parts: ConvexParts,
    pub(crate) width: i64,
    pub(crate) height: i64,
    /// Fourth root of the area over the mean area: what a unit of depth counts.
    pub(crate) root: f32,
    base: u32,
    pose: u8,
    /// Where the base's origin lies in this frame.
    origin: Point,
}

impl Outline {
    /// Its box when its lowest corner lies at `at`: low x, high x, low y, high y; exact in `f32` within the grid's range.
    pub(crate) fn box_at(&self, at: Point) -> [f32; 4] {
        [at.x as f32, (at.x + self.width) as f32, at.y as f32, (at.y + self.height) as f32]
    }
}

/// What the search sees of a shape.
#[derive(Clone, Debug)]
struct Base {
    polygon: Polygon,
    parts: ConvexParts,
}

/// What is known of a pair of bases in one relative pose.
#[derive(Debug)]
pub(crate) struct PairTable {
    measure: Measure,
    /// Positions of the second in respect of the first that touch and do not overlap: corners of the no-fit polygon, in
    /// their order along x.
    contacts: Vec<Point>,
    /// Which they are in their order along y.
    across: Vec<u32>,
}

/// All outlines of a task.
#[derive(Debug, Default)]
pub(crate) struct Shapes {
    bases: Vec<Base>,
    outlines: Vec<Outline>,
    base_of: HashMap<Polygon, usize>,
    outline_of: HashMap<Polygon, OutlineId>,
    tables: Vec<OnceLock<Box<PairTable>>>,
    /// For each moving outline, row by row, the link to each fixed one.
    links: Vec<Link>,
    /// What an overlap costs beside its depth, in grid units: [`TOUCH`] times the side of a square of the mean area.
    touch: f32,
    /// The same as it is cut, where anything is eased.
    exact: Option<Arc<Shapes>>,
}

/// A pair of outlines made ready: its table, and how to turn a difference of positions into the table's frame.
#[derive(Clone, Copy)]
pub(crate) struct Pair<'a> {
    table: &'a PairTable,
    link: Link,
}

/// Which table serves a pair of outlines, and how.
#[derive(Clone, Copy, Debug)]
struct Link {
    table: u32,
    /// The motion into the table's frame, an index into [`MOTIONS`]: first pose undone, and reflected when the moving
    /// outline is the table's first.
    motion: u8,
    /// Relative pose of the table.
    pose: u8,
    /// Difference of the base origins when both positions are zero: moving minus fixed.
    offset: [i32; 2],
}

/// The linear part of each motion, row by row: poses, then poses reflected in the origin. Exact on whole numbers.
static MOTIONS: [[f32; 4]; 16] = {
    let mut all = [[0.0; 4]; 16];
    let mut k = 0;
    while k < 16 {
        let pose = POSES[k % 8];
        let (x, y) = (pose.apply(Point::new(1, 0)), pose.apply(Point::new(0, 1)));
        let sign = if k < 8 { 1.0 } else { -1.0 };
        all[k] = [sign * x.x as f32, sign * y.x as f32, sign * x.y as f32, sign * y.y as f32];
        k += 1;
    }
    all
};

/// The linear part of each motion undone, row by row.
static BACK: [[i64; 4]; 16] = {
    let mut all = [[0; 4]; 16];
    let mut k = 0;
    while k < 16 {
        // Undoing a turn or a reflection exchanges rows and columns.
        let m = MOTIONS[k];
        all[k] = [m[0] as i64, m[2] as i64, m[1] as i64, m[3] as i64];
        k += 1;
    }
    all
};

/// What every overlap costs beside its depth, as a part of the side of a square of the mean area.
///
/// By depth alone, pushing a piece deeper into one neighbour and pushing it as deep into two cost the same. With this, few
/// overlaps are better than many shallow ones: a lay all of whose pieces overlap a little is far from one where none does.
const TOUCH: f64 = 0.12;

/// So many tables or fewer are all built before the search begins, within a second; with more, most pairs never meet.
const PREPARE: usize = 3000;

/// Of more distinct shapes the pairs are too many for all their tables to be built for a first lay: of a thousand it took twenty
/// seconds and two gigabytes.
const PAIRED: usize = 400;

/// How far an eased outline may lie from the one cut, as a part of the side of a square of its area, and at the most, in grid
/// units: a tenth of a millimetre, as far as chords leave the curves that they stand for. What that takes of the cloth is given
/// back when the pieces are pushed together.
const EASING: f64 = 0.002;
const MOST_EASING: f64 = 10.0;

const POSES: [Pose; 8] = {
    let mut all = [Pose { mirrored: false, turn: Turn::None }; 8];
    let mut k = 0;
    while k < 8 {
        all[k] = Pose { mirrored: k >= 4, turn: Turn::ALL[k % 4] };
        k += 1;
    }
    all
};

fn pose_index(pose: Pose) -> u8 {
    POSES.iter().position(|&p| p == pose).unwrap_or(0) as u8
}

/// The pose, as an index, that does `h` and then undoes `g`.
fn relative(g: u8, h: u8) -> u8 {
    // A pose is known by what it does to the two unit vectors.
    let undo = POSES[inverse(g) as usize];
    let image = |p: Point| undo.apply(POSES[h as usize].apply(p));
    let (x, y) = (image(Point::new(1, 0)), image(Point::new(0, 1)));
    POSES.iter().position(|p| p.apply(Point::new(1, 0)) == x && p.apply(Point::new(0, 1)) == y).unwrap_or(0)
        as u8
}

fn inverse(g: u8) -> u8 {
    let pose = POSES[g as usize];
    // A mirrored pose is its own inverse; a pure turn is undone by the rest of the circle.
    if pose.mirrored { g } else { (4 - g) % 4 }
}

impl Shapes {
    /// Adds `polygon` in `pose` (its position does not matter); equal outlines get one id.
    pub(crate) fn add(&mut self, polygon: &Polygon, pose: Pose) -> OutlineId {
        let own = polygon.shifted(-polygon.bounds().low);
        let base = *self.base_of.entry(own.clone()).or_insert_with(|| {
            self.bases.push(Base { parts: ConvexParts::of(&own), polygon: own.clone() });
            self.bases.len() - 1
        });
        let posed = own.posed(pose);
        let origin = -posed.bounds().low;
        let placed = posed.shifted(origin);
        let canonical = placed.canonical();
        if let Some(&known) = self.outline_of.get(&canonical) {
            return known;
        }
        let (width, height) = (placed.bounds().high.x, placed.bounds().high.y);
        self.outlines.push(Outline {
            parts: self.bases[base].parts.posed(pose, origin),
            polygon: placed,
            width,
            height,
            root: 1.0,
            base: base as u32,
            pose: pose_index(pose),
            origin,
        });
        let id = (self.outlines.len() - 1) as OutlineId;
        self.outline_of.insert(canonical, id);
        id
    }

    /// Has the search see outlines of fewer corners that cover those added and fill the same boxes, and keeps the others for what
    /// must be [exact](Shapes::exact). To be called when all are added, before they are sealed.
    pub(crate) fn ease(&mut self) {
        let ease = |base: &Base| {
            let side = (base.polygon.doubled_area() as f64 / 2.0).sqrt();
            eased(&base.polygon, (EASING * side).min(MOST_EASING))
        };
        let polygons: Vec<Polygon> = self.bases.par_iter().map(ease).collect();
        if polygons.iter().zip(&self.bases).all(|(polygon, base)| *polygon == base.polygon) {
            return;
        }
        let mut exact = Shapes {
            bases: self.bases.clone(),
            outlines: self.outlines.clone(),
            base_of: self.base_of.clone(),
            outline_of: self.outline_of.clone(),
            ..Shapes::default()
        };
        exact.seal();
        self.exact = Some(Arc::new(exact));
        self.bases.par_iter_mut().zip(polygons).for_each(|(base, polygon)| {
            if polygon != base.polygon {
                *base = Base { parts: ConvexParts::of(&polygon), polygon };
            }
        });
        for outline in &mut self.outlines {
            let parts = &self.bases[outline.base as usize].parts;
            outline.parts = parts.posed(POSES[outline.pose as usize], outline.origin);
        }
    }

    /// The same outlines under the same ids, none of them eased: these themselves where none is.
    pub(crate) fn exact(self: &Arc<Shapes>) -> &Arc<Shapes> {
        self.exact.as_ref().unwrap_or(self)
    }

    /// Is `polygon`, wherever it lies, the outline `id`?
    pub(crate) fn is(&self, id: OutlineId, polygon: &Polygon) -> bool {
        self.outline_of.get(&polygon.shifted(-polygon.bounds().low).canonical()) == Some(&id)
    }

    /// How many outlines there are; their ids are all below.
    pub(crate) fn count(&self) -> OutlineId {
        self.outlines.len() as OutlineId
    }

    /// The outline that is another turned by a half, if it is one of these.
    pub(crate) fn half_turned(&self, id: OutlineId) -> Option<OutlineId> {
        let turned = self.outline(id).polygon.posed(Pose { mirrored: false, turn: Turn::Half });
        self.outline_of.get(&turned.shifted(-turned.bounds().low).canonical()).copied()
    }

    /// To be called once, when all outlines are added and before any pair is asked for.
    pub(crate) fn seal(&mut self) {
        let count = self.outlines.len().max(1) as f64;
        let mean = self.outlines.iter().map(|o| o.polygon.area_mm2()).sum::<f64>() / count;
        for o in &mut self.outlines {
            o.root = (o.polygon.area_mm2() / mean).sqrt().sqrt() as f32;
        }
        let doubled = self.outlines.iter().map(|o| o.polygon.doubled_area() as f64).sum::<f64>() / count;
        self.touch = (TOUCH * (doubled / 2.0).sqrt()) as f32;
        let n = self.bases.len();
        self.tables.resize_with(n * n * 8, OnceLock::new);
        let relative: [[u8; 8]; 8] =
            std::array::from_fn(|g| std::array::from_fn(|h| relative(g as u8, h as u8)));
        let link = |m: &Outline, f: &Outline| {
            let forward = f.base <= m.base;
            let (first, second) = if forward { (f, m) } else { (m, f) };
            let pose = relative[first.pose as usize][second.pose as usize];
            let offset = m.origin - f.origin;
            Link {
                table: (first.base * n as u32 + second.base) * 8 + u32::from(pose),
                motion: inverse(first.pose) + if forward { 0 } else { 8 },
                pose,
                offset: [offset.x as i32, offset.y as i32],
            }
        };
        self.links =
            self.outlines.iter().flat_map(|m| self.outlines.iter().map(move |f| link(m, f))).collect();
    }

    /// What every overlap costs beside its depth, in grid units; before the size factors.
    pub(crate) fn touch(&self) -> f32 {
        self.touch
    }

    pub(crate) fn outline(&self, id: OutlineId) -> &Outline {
        &self.outlines[id as usize]
    }

    /// Builds, in parallel, the tables of all pairs of the outlines given, as long as there are not too many to be worth
    /// it; the others are built when first asked for.
    pub(crate) fn prepare(&self, outlines: &[OutlineId]) {
        // About half of the relative poses occur.
        if self.bases.len() * self.bases.len() * 2 <= PREPARE {
            outlines.par_iter().for_each(|&a| {
                for &b in outlines {
                    self.pair(a, b);
                }
            });
        }
    }

    /// Are there so many that a fill, which asks for nearly every pair, does better without tables?
    pub(crate) fn are_too_many_to_pair(&self) -> bool {
        self.bases.len() > PAIRED
    }

    /// The pairs of some fixed outlines and a moving one. What tables are missing is built in parallel: a first fill of hundreds
    /// of distinct outlines spends most of its time on tables.
    pub(crate) fn pairs(&self, fixed: impl Iterator<Item = OutlineId>, moving: OutlineId) -> Vec<Pair<'_>> {
        let links: Vec<Link> = fixed.map(|fixed| self.link(fixed, moving)).collect();
        let is_missing = |link: &&Link| self.tables[link.table as usize].get().is_none();
        let mut missing: Vec<&Link> = links.iter().filter(is_missing).collect();
        missing.sort_unstable_by_key(|link| link.table);
        missing.dedup_by_key(|link| link.table);
        missing.par_iter().for_each(|&&link| {
            self.build(link);
        });
        links.into_iter().map(|link| self.linked(link)).collect()
    }

    #[inline]
    fn link(&self, fixed: OutlineId, moving: OutlineId) -> Link {
        self.links[moving as usize * self.outlines.len() + fixed as usize]
    }

    /// The pair of a fixed and a moving outline.
    #[inline]
    pub(crate) fn pair(&self, fixed: OutlineId, moving: OutlineId) -> Pair<'_> {
        self.linked(self.link(fixed, moving))
    }

    /// The same, if it is there already.
    #[inline]
    pub(crate) fn known_pair(&self, fixed: OutlineId, moving: OutlineId) -> Option<Pair<'_>> {
        self.known(self.link(fixed, moving))
    }

    #[inline]
    fn known(&self, link: Link) -> Option<Pair<'_>> {
        self.tables[link.table as usize].get().map(|table| Pair { table, link })
    }

    #[inline]
    fn linked(&self, link: Link) -> Pair<'_> {
        self.known(link).unwrap_or_else(|| Pair { table: self.build(link), link })
    }

    #[cold]
    fn build(&self, link: Link) -> &PairTable {
        self.tables[link.table as usize].get_or_init(|| {
            let pair = link.table as usize / 8;
            let (a, b) = (&self.bases[pair / self.bases.len()], &self.bases[pair % self.bases.len()]);
            Box::new(PairTable::of(a, b, POSES[link.pose as usize]))
        })
    }

    /// Do the interiors of two placed outlines meet? Exact for what the search sees.
    pub(crate) fn overlap(&self, a: OutlineId, at_a: Point, b: OutlineId, at_b: Point) -> bool {
        self.outline(a).parts.overlaps(&self.outline(b).parts, at_b - at_a)
    }
}

impl PairTable {
    fn of(a: &Base, b: &Base, pose: Pose) -> PairTable {
        let polygon = b.polygon.posed(pose);
        let parts = b.parts.posed(pose, Point::default());
        let no_fit = NoFit::of(&a.polygon, &polygon, &a.parts, &parts);
        let mut contacts = no_fit.touching.clone();
        for v in no_fit.rings.iter().flatten() {
            // The true corner lies within two units of the shrunk one.
            let near = Point::new(v[0].round() as i64, v[1].round() as i64);
            // Most corners are where two vertices touch, and those are known.
            let first = no_fit.touching.partition_point(|t| t.x < near.x - 3);
            let known = no_fit.touching[first..].iter().take_while(|t| t.x <= near.x + 3);
            if known.into_iter().any(|t| (t.y - near.y).abs() <= 3) {
                continue;
            }
            let around = (-2..=2).flat_map(|dx| (-2..=2).map(move |dy| near + Point::new(dx, dy)));
            let free = around
                .filter(|&p| !a.parts.overlaps(&parts, p))
                .min_by_key(|&p| ((p - near).dot(p - near), p));
            contacts.extend(free);
        }
        contacts.sort_unstable();
        contacts.dedup();
        let mut across: Vec<u32> = (0..contacts.len() as u32).collect();
        across.sort_by_key(|&k| contacts[k as usize].y);
        PairTable { measure: Measure::of(&no_fit), contacts, across }
    }
}

impl PairTable {
    /// How deep positions lie, in the table's frame.
    #[inline]
    pub(crate) fn measure(&self) -> &Measure {
        &self.measure
    }
}

impl<'a> Pair<'a> {
    /// The table that serves the pair.
    pub(crate) fn table(&self) -> &'a PairTable {
        self.table
    }

    /// The linear part of the motion into the table's frame, row by row, and where the difference of positions `by` comes
    /// to lie there.
    pub(crate) fn frame(&self, by: Point) -> ([f32; 4], [f32; 2]) {
        let (x, y) = self.query(by);
        (MOTIONS[self.link.motion as usize], [x, y])
    }

    /// Into the table's frame: the difference of positions, moving minus fixed, on the grid.
    #[inline]
    fn query(&self, by: Point) -> (f32, f32) {
        let (x, y) = ((by.x as i32 + self.link.offset[0]) as f32, (by.y as i32 + self.link.offset[1]) as f32);
        let m = &MOTIONS[self.link.motion as usize];
        (x * m[0] + y * m[1], x * m[2] + y * m[3])
    }

    /// From the table's frame back to a difference of positions.
    #[inline]
    fn answer(&self, q: Point) -> Point {
        let back = &BACK[self.link.motion as usize];
        let [x, y] = self.link.offset.map(i64::from);
        Point::new(back[0] * q.x + back[1] * q.y - x, back[2] * q.x + back[3] * q.y - y)
    }

    /// A quick look, for the moving outline at `by` from the fixed one.
    #[inline]
    pub(crate) fn glance(&self, by: Point) -> Glance {
        let (x, y) = self.query(by);
        self.table.measure.glance(x, y)
    }

    /// The depth of the overlap.
    pub(crate) fn depth(&self, by: Point) -> Depth {
        let (x, y) = self.query(by);
        self.table.measure.depth(x, y)
    }

    /// How many corner contacts there are.
    pub(crate) fn contacts(&self) -> usize {
        self.table.contacts.len()
    }

    /// The `k`-th corner contact, as a difference of positions.
    pub(crate) fn contact(&self, k: usize) -> Point {
        self.answer(self.table.contacts[k])
    }

    /// Does the table's y lie along the lay, not its x; and 1 where it runs with the lay, -1 where against it.
    #[inline]
    fn along(&self) -> (bool, i64) {
        let [x, y, ..] = BACK[self.link.motion as usize];
        (x == 0, x + y)
    }

    /// The same in their order along the lay.
    #[inline]
    pub(crate) fn contact_along(&self, k: usize) -> Point {
        let (by_y, sense) = self.along();
        let k = if sense > 0 { k } else { self.contacts() - 1 - k };
        self.contact(if by_y { self.table.across[k] as usize } else { k })
    }

    /// How many corner contacts lie at differences of less than `x` along the lay.
    ///
    /// # Complexity
    /// O(log c) for c contacts.
    pub(crate) fn contacts_before(&self, x: i64) -> usize {
        let PairTable { contacts, across, .. } = self.table;
        let (by_y, sense) = self.along();
        let x = (x + i64::from(self.link.offset[0])) * sense;
        let is_before = |q: i64| if sense > 0 { q < x } else { q <= x };
        let before = match by_y {
            true => across.partition_point(|&k| is_before(contacts[k as usize].y)),
            false => contacts.partition_point(|contact| is_before(contact.x)),
        };
        if sense > 0 { before } else { contacts.len() - before }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented::hook;

    #[test]
    fn an_outline_turned_by_a_half_is_found_if_it_is_there() {
        let mut shapes = Shapes::default();
        let pose = |turn| Pose { mirrored: false, turn };
        let [up, down] = [Turn::None, Turn::Half].map(|turn| shapes.add(&hook(), pose(turn)));
        let aside = shapes.add(&hook(), pose(Turn::Quarter));
        let slab = shapes.add(&Polygon::rectangle(300, 200), pose(Turn::None));
        let turned = [up, down, aside, slab].map(|id| shapes.half_turned(id));
        assert_eq!(turned, [Some(down), Some(up), None, Some(slab)]);
    }

    #[test]
    fn eased_outlines_fill_the_same_boxes_and_what_they_leave_free_is_free() {
        let corner = |k: i32| {
            let (sine, cosine) = (f64::from(k) / 360.0 * std::f64::consts::TAU).sin_cos();
            Point::new((6000.0 * cosine) as i64, (4000.0 * sine) as i64)
        };
        let oval = Polygon::new((0..360).map(corner).collect()).expect("an oval");
        let mut shapes = Shapes::default();
        let ids: Vec<OutlineId> =
            POSES.iter().flat_map(|&pose| [shapes.add(&oval, pose), shapes.add(&hook(), pose)]).collect();
        shapes.ease();
        shapes.seal();
        let shapes = Arc::new(shapes);
        let exact = shapes.exact();
        assert!(!Arc::ptr_eq(exact, &shapes), "an oval is eased");
        assert!(Arc::ptr_eq(exact.exact(), exact));
        for &id in &ids {
            let (eased, cut) = (shapes.outline(id), exact.outline(id));
            assert_eq!((eased.width, eased.height, &eased.polygon), (cut.width, cut.height, &cut.polygon));
        }
        let corners =
            |shapes: &Shapes| shapes.outline(ids[0]).parts.rings().map(<[Point]>::len).sum::<usize>();
        assert!(corners(&shapes) * 2 < corners(exact), "{} for {}", corners(&shapes), corners(exact));
        let mut touching = 0;
        for &a in &ids {
            for &b in &ids {
                let pair = shapes.pair(a, b);
                for k in 0..pair.contacts() {
                    assert!(!exact.overlap(a, Point::default(), b, pair.contact(k)));
                    touching += 1;
                }
            }
        }
        assert!(touching > 1000);
        // What has no more corners than it needs stays as it is.
        let mut plain = Shapes::default();
        plain.add(&Polygon::rectangle(300, 200), POSES[0]);
        plain.ease();
        let plain = Arc::new(plain);
        assert!(Arc::ptr_eq(plain.exact(), &plain));
    }

    #[test]
    fn poses_form_a_group() {
        for g in 0..8 {
            assert_eq!(relative(g, g), 0);
            for h in 0..8 {
                let p = Point::new(3, 11);
                let there = POSES[g as usize].apply(POSES[relative(g, h) as usize].apply(p));
                assert_eq!(there, POSES[h as usize].apply(p));
            }
        }
    }

    #[test]
    fn tables_agree_with_the_exact_test_in_every_pose_and_order() {
        let mut shapes = Shapes::default();
        let block =
            Polygon::new([(0, 0), (900, 0), (700, 800)].map(|(x, y)| Point::new(x, y)).to_vec()).unwrap();
        let ids: Vec<OutlineId> =
            POSES.iter().flat_map(|&p| [shapes.add(&hook(), p), shapes.add(&block, p)]).collect();
        shapes.seal();
        let mut told = (0, 0);
        for &a in &ids {
            for &b in &ids {
                let pair = shapes.pair(a, b);
                for k in 0..400 {
                    let by = Point::new(-4500 + (k * 7919) % 9000, -3500 + (k * 104_729) % 7000);
                    let exact = shapes.overlap(a, Point::default(), b, by);
                    match pair.depth(by) {
                        Depth::Free => assert!(!exact, "free at {by:?}"),
                        Depth::Inside(_) => assert!(exact, "inside at {by:?}"),
                        Depth::Near(_) => continue,
                    }
                    if pair.glance(by) == Glance::Free {
                        assert!(!exact, "the raster says free at {by:?}");
                    }
                    if exact { told.0 += 1 } else { told.1 += 1 }
                }
                let contacts: Vec<Point> = (0..pair.contacts()).map(|k| pair.contact(k)).collect();
                for &contact in &contacts {
                    assert!(!shapes.overlap(a, Point::default(), b, contact), "a contact is free");
                }
                let along: Vec<Point> = (0..pair.contacts()).map(|k| pair.contact_along(k)).collect();
                assert!(along.is_sorted_by_key(|contact| contact.x), "in their order along the lay");
                assert!(contacts.iter().all(|contact| along.contains(contact)), "the same ones");
                for x in [-5000, -300, 0, 700, 5000] {
                    assert_eq!(pair.contacts_before(x), along.iter().filter(|contact| contact.x < x).count());
                }
            }
        }
        assert!(told.0 > 1000 && told.1 > 1000, "both answers were tried");
    }

    #[test]
    fn missing_tables_are_built_once_and_for_those_asked_for_only() {
        let mut shapes = Shapes::default();
        let mut ids: Vec<OutlineId> =
            (0..6).map(|k| shapes.add(&Polygon::rectangle(500 + 10 * k, 300), Pose::AS_DRAWN)).collect();
        ids.push(shapes.add(&hook(), Pose::AS_DRAWN));
        shapes.seal();
        let built = |shapes: &Shapes| shapes.tables.iter().filter(|table| table.get().is_some()).count();
        assert_eq!(shapes.pairs([ids[0], ids[1], ids[0]].into_iter(), ids[6]).len(), 3);
        assert_eq!(built(&shapes), 2);
        let first: *const PairTable = shapes.pair(ids[0], ids[6]).table();
        let pairs = shapes.pairs(ids.iter().copied(), ids[6]);
        assert_eq!(built(&shapes), ids.len());
        assert!(std::ptr::eq(first, pairs[0].table()), "pairs come in the order asked for");
        assert!(std::ptr::eq(first, shapes.pair(ids[0], ids[6]).table()), "what is there is kept");
    }
}
