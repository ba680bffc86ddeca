//! [`Corners`]: corners of the free region in their order along the lay, put in order only as far as they are asked for.

use std::mem::replace;

use super::shapes::Pair;
use crate::geometry::Point;

/// Positions that a piece may take, of which most are never looked at: it finds a place early.
pub(crate) struct Corners<'a> {
    contacts: Vec<Contacts<'a>>,
    /// Corners that are no contacts.
    others: Vec<Corner>,
    /// The least and greatest position across.
    across: (i64, i64),
    /// None further along than this is wanted.
    until: i64,
    /// How far along the next few reach.
    step: i64,
}

/// A position, and the spot that a piece there only touches, if one is known.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Corner {
    pub(crate) at: Point,
    pub(crate) touches: Option<u32>,
}

/// Corner contacts with one spot.
struct Contacts<'a> {
    pair: Pair<'a>,
    spot: Point,
    /// None that comes before this is wanted.
    from: Point,
    /// Which comes next, counted in their order along the lay.
    next: usize,
}

/// How many are put in order at a time, about.
const FEW: usize = 32;
const MANY: usize = 256;

/// How far along the first few reach, in grid units: it soon comes to what serves.
const FIRST_STEP: i64 = 1 << 11;

impl<'a> Corners<'a> {
    /// None yet; of those added, none further along than `until` is wanted.
    pub(crate) fn within(across: (i64, i64), until: i64) -> Corners<'a> {
        Corners { contacts: Vec::new(), others: Vec::new(), across, until, step: FIRST_STEP }
    }

    /// Adds one.
    pub(crate) fn add(&mut self, at: Point) {
        self.others.push(Corner { at, touches: None });
    }

    /// Adds the corner contacts with the next spot, which lies at `spot`, but for those that come before `from`.
    pub(crate) fn add_contacts(&mut self, pair: Pair<'a>, spot: Point, from: Point) {
        self.contacts.push(Contacts { pair, spot, from, next: pair.contacts_before(from.x - spot.x) });
    }

    /// Adds the corners at which the box of a piece touches that of the next spot, of the sizes and at the place given, but for those
    /// that come before `from`: where contacts are not known.
    pub(crate) fn add_boxes(&mut self, spot: Point, [width, height]: [i64; 2], own: [i64; 2], from: Point) {
        let [left, right] = [-own[0], width].map(|x| spot.x + x);
        let [below, above] = [-own[1], height].map(|y| spot.y + y);
        let flush = [spot.x, spot.x + width - own[0]];
        let level = [spot.y, spot.y + height - own[1]];
        let beside = [left, right].into_iter().flat_map(|x| level.map(|y| Point::new(x, y)));
        let along = [below, above].into_iter().flat_map(|y| flush.map(|x| Point::new(x, y)));
        let within = |at: Point| Point::new(at.x, at.y.clamp(self.across.0, self.across.1));
        let wanted: Vec<Point> = beside.chain(along).map(within).filter(|&at| at >= from).collect();
        wanted.into_iter().for_each(|at| self.add(at));
    }

    /// The next of them in their order; none when all have been given.
    ///
    /// # Complexity
    /// O(n log c) for the contacts of n spots, c each, and O(k log k) for k given.
    pub(crate) fn next_few(&mut self) -> Option<Vec<Corner>> {
        let soonest = self.soonest().filter(|x| *x <= self.until)?;
        let end = soonest.saturating_add(self.step).min(self.until.saturating_add(1));
        let mut batch: Vec<Corner> = self.others.extract_if(.., |corner| corner.at.x < end).collect();
        for (contacts, j) in self.contacts.iter_mut().zip(0..) {
            batch.extend(contacts.before(end, self.across, j));
        }
        batch.sort_unstable_by_key(|corner| corner.at);
        match batch.len() {
            0..FEW => self.step *= 2,
            FEW..=MANY => {}
            _ => self.step = (self.step / 2).max(1),
        }
        Some(batch)
    }

    /// Where along the lay the next lies.
    fn soonest(&self) -> Option<i64> {
        let contacts = self.contacts.iter().filter_map(Contacts::soonest);
        contacts.chain(self.others.iter().map(|corner| corner.at.x)).min()
    }
}

impl Contacts<'_> {
    fn soonest(&self) -> Option<i64> {
        (self.next < self.pair.contacts()).then(|| self.spot.x + self.pair.contact_along(self.next).x)
    }

    /// All that lie before `end` along the lay; the spot is number `j`.
    fn before(
        &mut self,
        end: i64,
        (least, most): (i64, i64),
        j: u32,
    ) -> impl Iterator<Item = Corner> + use<'_> {
        let last = self.pair.contacts_before(end - self.spot.x).max(self.next);
        let contacts = replace(&mut self.next, last)..last;
        let corner = move |at: Point| {
            // One that lies outside the band may still tell how far along the next free place begins.
            let y = at.y.clamp(least, most);
            Corner { at: Point::new(at.x, y), touches: (y == at.y).then_some(j) }
        };
        let corners = contacts.map(|k| self.spot + self.pair.contact_along(k)).map(corner);
        corners.filter(|corner| corner.at >= self.from)
    }
}
