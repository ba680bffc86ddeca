//! Pieces shared out over remnants: which piece is cut from which, with a marker for each.
//!
//! A remnant is filled bottom left with everything that has no place yet, and what ends on it stays; then the next. Copies
//! that belong to one garment, such as a pair, go together or wait (common practice: what is cut from different pieces of
//! cloth may differ in shade); only what then has no place may be divided, and only over remnants: where one of a pair goes
//! into none of them, both come off the roll. The order of the pieces and of the remnants is shaken until everything has a
//! place, undivided, or the tries are over; what is left, or divided, is then tried on every remnant with room for its area,
//! by a search of a few rounds that may move what lies there already.

use rand::RngExt;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64Mcg;

use crate::answer::{Answer, Bound, BoundReason, Found, Line, Origin};
use crate::check::check;
use crate::cloth::Cloth;
use crate::in_hand::{Filled, Stock, apart, fitting, groups, in_order, lay_within, thinned, units};
use crate::job::{Job, Portion, Want};
use crate::length::Length;
use crate::marker::Marker;
use crate::remnant::{faces, is_rectangle};
use crate::search::{Continue, Event, Observer, Settings, random_stream};
use crate::spread::{Kind, Refusal};

/// What a remnant gives.
#[derive(Clone, Debug)]
pub struct Lot {
    /// Index into the cloth's remnants.
    pub remnant: usize,
    /// The job of cutting just this from it.
    pub job: Job,
    /// A marker that goes into it and has passed the check of that job.
    known: (Kind, Marker),
}

/// What came of sharing out.
#[derive(Clone, Debug)]
pub struct Shares {
    /// The remnants that are used, in the order of the cloth.
    pub lots: Vec<Lot>,
    /// What has no place on any of them: with a copy all that belong to the same garment.
    pub left: Vec<Want>,
    /// Of these the copies that had room on a remnant, which others of their garment had not.
    pub kept_whole: Vec<Want>,
}

/// Orders tried; rounds of a search that looks for room for more; such searches at the most.
const TRIES: u32 = 60;
const ROUNDS: u64 = 8;
const SEARCHES: usize = 16;

/// What is shared out, and over what.
struct Sharing<'a> {
    job: &'a Job,
    cloth: &'a Cloth,
    units: Vec<Want>,
    /// Area of each unit, in square millimetres.
    areas: Vec<f64>,
    /// For each unit the copies that it belongs with.
    groups: Vec<usize>,
    boards: Vec<Board>,
}

/// A remnant ready to be filled.
struct Board {
    remnant: usize,
    stock: Stock,
    /// In square millimetres.
    area: f64,
}

/// How units lie: for each board what is on it, and what is on none.
#[derive(Clone)]
struct Layout {
    shares: Vec<Option<Filled>>,
    left: Vec<usize>,
    /// Units that were taken away from a remnant, as others of their group had no room.
    taken: Vec<usize>,
}

/// Shares out what is to be cut from a cloth over its remnants.
///
/// # Complexity
/// At most 60 times eight times as many bottom-left fills as there are remnants, and 16 searches of 8 rounds. The observer
/// is told of a round after each, and may end it.
pub fn share_out(job: &Job, cloth: &Cloth, settings: &Settings, observer: &mut dyn Observer) -> Shares {
    let sharing = Sharing::new(job, cloth);
    let mut rng = random_stream(settings.seed, REMNANTS);
    let count = sharing.boards.len();
    let mut best =
        Layout { shares: vec![None; count], left: (0..sharing.units.len()).collect(), taken: Vec::new() };
    let mut patient = true;
    for n in 0..TRIES {
        if sharing.boards.is_empty()
            || !patient
            || (best.left.is_empty() && sharing.divided(&best).is_empty())
        {
            break;
        }
        let layout = sharing.one_try(n, &mut rng);
        if sharing.cost(&layout) < sharing.cost(&best) {
            best = layout;
        }
        patient = observer.event(&Event::pause(u64::from(n) + 1)) == Continue::Yes;
    }
    if patient {
        sharing.make_room(&mut best, settings, observer);
        sharing.leave_whole(&mut best);
    }
    sharing.settled(best)
}

/// The number of this search's random stream, far from those of spreads.
const REMNANTS: u64 = 1 << 32;

/// Wants of the same piece and size put together.
fn together<'a>(units: impl IntoIterator<Item = &'a Want>) -> Vec<Want> {
    let mut wants: Vec<Want> = Vec::new();
    for unit in units {
        match wants.iter_mut().find(|w| (w.piece, w.size) == (unit.piece, unit.size)) {
            Some(want) => {
                want.as_drawn += unit.as_drawn;
                want.mirrored += unit.mirrored;
            }
            None => wants.push(unit.clone()),
        }
    }
    wants.sort_by_key(|w| (w.piece, w.size));
    wants
}

impl<'a> Sharing<'a> {
    fn new(job: &'a Job, cloth: &'a Cloth) -> Sharing<'a> {
        let units = units(job, cloth);
        let board = |remnant: usize| {
            let of = |wants| cloth.remnants[remnant].job(job, cloth, Portion { wants, before: Vec::new() });
            let area = cloth.remnants[remnant].outline.area_mm2();
            Some(Board { remnant, stock: Stock::new(&units, &of)?, area })
        };
        let boards = (0..cloth.remnants.len()).filter_map(board).collect();
        let areas = units.iter().map(|unit| unit.area_mm2(&job.style)).collect();
        Sharing { job, cloth, groups: groups(job, &units), areas, boards, units }
    }

    /// What has no place, by its area; then how many groups are divided.
    fn cost(&self, layout: &Layout) -> (f64, usize) {
        (layout.left.iter().map(|&u| self.areas[u]).sum(), self.divided(layout).len())
    }

    /// The groups of which some lie on one remnant and some on another, or nowhere.
    fn divided(&self, layout: &Layout) -> Vec<usize> {
        let mut places: Vec<Option<usize>> = vec![None; self.units.len()];
        for (b, share) in layout.shares.iter().enumerate() {
            share.iter().flat_map(|share| &share.units).for_each(|&u| places[u] = Some(b));
        }
        let first = |u: usize| (0..=u).find(|&other| self.groups[other] == self.groups[u]).unwrap_or(u);
        let apart = (0..places.len()).filter(|&u| places[first(u)] != places[u]);
        let mut divided: Vec<usize> = apart.map(|u| self.groups[u]).collect();
        divided.sort_unstable();
        divided.dedup();
        divided
    }

    /// Fills the boards one after another with what is left: groups as a whole, then what has no place one by one.
    fn one_try(&self, n: u32, rng: &mut Pcg64Mcg) -> Layout {
        let mut keys: Vec<f64> = self.areas.clone();
        let mut choices = vec![0; keys.len()];
        let mut turn: Vec<usize> = (0..self.boards.len()).collect();
        // The first two tries in order of size: the smallest remnant that holds a piece, or the largest first.
        turn.sort_by(|&a, &b| self.boards[a].area.total_cmp(&self.boards[b].area).then(a.cmp(&b)));
        if n == 1 {
            turn.reverse();
        } else if n > 1 {
            for key in &mut keys {
                *key *= 1.0 + 0.8 * rng.random::<f64>();
            }
            choices.fill_with(|| rng.random_range(0..8));
            turn.shuffle(rng);
        }
        let left = in_order(&keys, &self.groups);
        let mut layout = Layout { shares: vec![None; self.boards.len()], left, taken: Vec::new() };
        self.fill_with_left(&mut layout, &turn, &choices, false);
        self.fill_with_left(&mut layout, &turn, &choices, true);
        if self.leave_whole(&mut layout) {
            // What went away may have made room for others.
            self.fill_with_left(&mut layout, &turn, &choices, false);
        }
        layout
    }

    /// Fills the boards in turn with what is left: groups as a whole, or one by one.
    fn fill_with_left(&self, layout: &mut Layout, turn: &[usize], choices: &[u8], divides: bool) {
        let alone = apart(&self.units);
        let groups = if divides { &alone } else { &self.groups };
        for &b in turn {
            if layout.left.is_empty() {
                break;
            }
            let before = layout.shares[b].as_ref().map_or_else(Vec::new, |share| share.units.clone());
            if !before.is_empty() && self.free(b, &before) <= 0.0 {
                continue;
            }
            let order: Vec<usize> = before.iter().chain(&layout.left).copied().collect();
            let filled = self.boards[b].stock.fill(&order, choices, groups, &self.areas);
            // What lies there already must not lose its place.
            if let Some(filled) = filled.filter(|f| before.iter().all(|u| f.units.contains(u))) {
                layout.left.retain(|u| !filled.units.contains(u));
                layout.shares[b] = Some(filled);
            }
        }
    }

    /// Takes away what lies on a remnant of groups of which something is left: a pair is not cut half from a remnant and half
    /// from the roll. Was there any?
    fn leave_whole(&self, layout: &mut Layout) -> bool {
        let is_broken = |u: &usize| layout.left.iter().any(|&left| self.groups[left] == self.groups[*u]);
        let lying = layout.shares.iter().flatten().flat_map(|share| share.units.iter().copied());
        let broken: Vec<usize> = lying.filter(is_broken).collect();
        self.take_away(layout, &broken);
        layout.left.extend(&broken);
        // Of a group what was taken last: room for one and then for another is not room for both.
        layout.taken.retain(|t| broken.iter().all(|u| self.groups[*u] != self.groups[*t]));
        layout.taken.extend(&broken);
        !broken.is_empty()
    }

    /// Area of a board that units leave.
    fn free(&self, b: usize, units: &[usize]) -> f64 {
        self.boards[b].area - units.iter().map(|&u| self.areas[u]).sum::<f64>()
    }

    /// Tries to find room by searching: for groups of which something is left, whole, then one by one; and to bring
    /// together what is divided; the largest first.
    fn make_room(&self, layout: &mut Layout, settings: &Settings, observer: &mut dyn Observer) {
        let settings = Settings { rounds: Some(ROUNDS), ..settings.clone() };
        let mut searches = 0;
        for set in self.without_room(layout) {
            // A group that found room as a whole leaves none of its units behind.
            if set.len() == 1 && !layout.left.contains(&set[0]) {
                continue;
            }
            let area: f64 = set.iter().map(|&u| self.areas[u]).sum();
            let others = |b: usize| -> Vec<usize> {
                let lying = layout.shares[b].iter().flat_map(|share| share.units.iter().copied());
                lying.filter(|u| !set.contains(u)).collect()
            };
            let mut rooms: Vec<(f64, usize, Vec<usize>)> = (0..self.boards.len())
                .filter(|&b| set.iter().all(|&u| self.boards[b].stock.holds(u)))
                .map(|b| (b, others(b)))
                .map(|(b, others)| (self.free(b, &others), b, others))
                .filter(|(free, ..)| *free >= area)
                .collect();
            rooms.sort_by(|x, y| y.0.total_cmp(&x.0).then(x.1.cmp(&y.1)));
            for (_, b, others) in rooms {
                if searches >= SEARCHES {
                    return;
                }
                searches += 1;
                let all: Vec<usize> = others.iter().chain(&set).copied().collect();
                let portion =
                    Portion { wants: together(all.iter().map(|&u| &self.units[u])), before: Vec::new() };
                let own = self.cloth.remnants[self.boards[b].remnant].job(self.job, self.cloth, portion);
                let most = own.cloths[0].length_in_hand.unwrap_or_default();
                let within = lay_within(&own, &own.cloths[0], most, &settings, observer);
                if let Some((kind, checked)) = within.found {
                    self.take_away(layout, &set);
                    layout.shares[b] = Some(Filled { units: all, marker: checked.marker().clone(), kind });
                    layout.left.retain(|u| !set.contains(u));
                    break;
                }
                if within.stopped {
                    return;
                }
            }
        }
    }

    /// What room is to be found for: groups of more than one unit of which some are left or that are divided; then what is
    /// left, one by one.
    fn without_room(&self, layout: &Layout) -> Vec<Vec<usize>> {
        let mut groups: Vec<usize> = Vec::new();
        for group in layout.left.iter().map(|&u| self.groups[u]).chain(self.divided(layout)) {
            if !groups.contains(&group) {
                groups.push(group);
            }
        }
        let of = |group| (0..self.units.len()).filter(|&u| self.groups[u] == group).collect();
        let whole = groups.into_iter().map(of).filter(|set: &Vec<usize>| set.len() > 1);
        // One whose fellow goes into no remnant would be taken away again.
        let held = |u: usize| self.boards.iter().any(|board| board.stock.holds(u));
        let all_held =
            |&&u: &&usize| (0..self.units.len()).all(|v| self.groups[v] != self.groups[u] || held(v));
        whole.chain(layout.left.iter().filter(all_held).map(|&u| vec![u])).collect()
    }

    /// Takes units away from where they lie.
    fn take_away(&self, layout: &mut Layout, set: &[usize]) {
        for share in &mut layout.shares {
            let Some(filled) = share else { continue };
            let mut going: Vec<&Want> =
                filled.units.iter().filter(|u| set.contains(u)).map(|&u| &self.units[u]).collect();
            if going.is_empty() {
                continue;
            }
            let mut gone = Vec::new();
            for (k, p) in filled.marker.placements.iter().enumerate() {
                let gives = faces(self.job, self.cloth, p);
                let same =
                    |w: &&Want| (w.piece, w.size, (w.as_drawn, w.mirrored)) == (p.piece, p.size, gives);
                if let Some(at) = going.iter().position(same) {
                    going.remove(at);
                    gone.push(k);
                }
            }
            filled.units.retain(|u| !set.contains(u));
            match thinned(self.job, &filled.marker, &gone) {
                Some(marker) => filled.marker = marker,
                None => *share = None,
            }
        }
    }

    /// Makes lots of the shares whose markers pass the check; anything else, a fault of this program, counts as left.
    fn settled(&self, layout: Layout) -> Shares {
        let Layout { shares, mut left, mut taken } = layout;
        // What found room after all, with its fellows, is left no more.
        taken.retain(|u| left.contains(u));
        taken.sort_unstable();
        taken.dedup();
        let mut lots: Vec<Lot> = Vec::new();
        let mut before: Vec<Want> = Vec::new();
        for (board, share) in self.boards.iter().zip(shares) {
            let Some(Filled { units, marker, kind }) = share else { continue };
            let wants = together(units.iter().map(|&u| &self.units[u]));
            let portion = Portion { wants: wants.clone(), before: before.clone() };
            let own = self.cloth.remnants[board.remnant].job(self.job, self.cloth, portion);
            if check(&own, &marker).is_ok() {
                before.extend(wants);
                lots.push(Lot { remnant: board.remnant, job: own, known: (kind, marker) });
            } else {
                left.extend(units);
            }
        }
        let wants = |units: &[usize]| together(units.iter().map(|&u| &self.units[u]));
        Shares { lots, left: wants(&left), kept_whole: wants(&taken) }
    }
}

impl Lot {
    /// The cloth that the remnant is.
    pub fn cloth(&self) -> &Cloth {
        &self.job.cloths[0]
    }

    /// An answer for this lot, without markers that are longer than the remnant, and with the one that is known to go in where
    /// the search has found none that does.
    pub fn completed(&self, mut answer: Answer) -> Answer {
        let most = self.cloth().length_in_hand.unwrap_or_default();
        let known = self.with_known(&answer, most);
        let folds = self.cloth().within.as_ref().is_none_or(is_rectangle);
        for line in &mut answer.lines {
            match &line.result {
                Ok(found) if found.marker.spread.cloth_length() > most => {
                    line.result = Err(Refusal::TooLong(most));
                }
                Err(Refusal::NotAsked) if !folds => {
                    line.result = Err(Refusal::ClothForm("a remnant that is no rectangle is laid single"));
                }
                _ => {}
            }
        }
        if let Some(line) = known {
            answer.lines.retain(|other| other.kind != line.kind);
            answer.lines.push(line);
            answer.lines.sort_by_key(|line| Kind::ALL.iter().position(|&k| k == line.kind));
        }
        answer
    }

    /// The line of the marker that is known to go in; none when the search has found one.
    fn with_known(&self, answer: &Answer, most: Length) -> Option<Line> {
        if fitting(answer, most).is_some() {
            return None;
        }
        let (kind, marker) = &self.known;
        let bound =
            answer.lines.iter().find(|line| line.kind == *kind).and_then(|line| line.result.as_ref().ok());
        let nothing = || Bound { length: Length::ZERO, reason: BoundReason::Area };
        let found = Found {
            marker: marker.clone(),
            bound: bound.map_or_else(nothing, |found| found.bound.clone()),
            origin: Origin::BottomLeft,
            round: 0,
        };
        Some(Line { kind: *kind, result: Ok(found) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::Silent;

    fn job(pieces: &str, cloth: &str) -> Job {
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [{pieces}], "cloths": [{{ "width": 100, {cloth} }}] }}"#
        );
        Job::read(&text).expect("a job")
    }

    fn rectangle(id: &str, cut: u32, length: u32, width: u32) -> String {
        let middle = f64::from(width) / 2.0;
        format!(
            r#"{{ "id": "{id}", "cut": {cut}, "outline": [[0, 0], [{length}, 0], [{length}, {width}], [0, {width}]],
                "grainline": [[1, {middle}], [{}, {middle}]] }}"#,
            length - 1
        )
    }

    /// Shares out, and proves that every lot passes its check and that all together give everything but what is left.
    fn shared(job: &Job) -> Shares {
        let cloth = &job.cloths[0];
        let shares = share_out(job, cloth, &Settings::default(), &mut Silent);
        let markers: Vec<Marker> = shares.lots.iter().map(|lot| lot.known.1.clone()).collect();
        for (k, lot) in shares.lots.iter().enumerate() {
            check(&lot.job, &markers[k]).unwrap_or_else(|v| panic!("{}", v[0]));
            check(&crate::remnant::job_of(job, &markers, k), &markers[k])
                .unwrap_or_else(|v| panic!("{}", v[0]));
            assert!(Some(markers[k].spread.cloth_length()) <= lot.cloth().length_in_hand);
        }
        let missing = crate::remnant::missing(job, cloth, &markers);
        let mut left: Vec<(usize, usize)> = shares.left.iter().map(|w| (w.piece, w.size)).collect();
        left.dedup();
        assert_eq!(missing.len(), left.len(), "{missing:?}, {left:?}");
        shares
    }

    #[test]
    fn every_remnant_takes_what_fits_it() {
        let pieces =
            [rectangle("long", 1, 90, 20), rectangle("wide", 1, 30, 60), rectangle("small", 4, 20, 20)]
                .join(",");
        // A strip for the long one and half the small ones, and a block for the wide one and the others.
        let cloth = r#""remnants": [{ "name": "block", "length": 50, "width": 60 }, { "name": "strip", "length": 110, "width": 40 }]"#;
        let shares = shared(&job(&pieces, cloth));
        assert!(shares.left.is_empty(), "{:?}", shares.left);
        assert_eq!(shares.lots.len(), 2);
    }

    #[test]
    fn what_fits_nowhere_is_told_and_the_rest_is_cut() {
        let pieces = [rectangle("long", 1, 90, 20), rectangle("small", 2, 20, 20)].join(",");
        let shares = shared(&job(&pieces, r#""remnants": [{ "length": 50, "width": 60 }]"#));
        assert_eq!(shares.left.len(), 1);
        assert_eq!((shares.left[0].piece, shares.left[0].as_drawn), (0, 1));
    }

    #[test]
    fn a_corner_beyond_the_edge_is_not_used() {
        // A triangle: of two squares of 20 only one lies in its right angle, whatever its box says.
        let pieces = [rectangle("square", 1, 20, 20), rectangle("other", 1, 20, 20)].join(",");
        let shares = shared(&job(&pieces, r#""remnants": [{ "outline": [[0, 0], [44, 0], [0, 44]] }]"#));
        assert_eq!(shares.left.iter().map(|w| w.as_drawn).sum::<u32>(), 1, "{:?}", shares.left);
        let wider = shared(&job(&pieces, r#""remnants": [{ "outline": [[0, 0], [64, 0], [0, 64]] }]"#));
        assert!(wider.left.is_empty());
    }

    #[test]
    fn a_rectangle_is_folded_where_everything_fits_on_two_plies() {
        use crate::report::Report;
        // A pair of uneven pieces: folded, one lay of 40 cm by 20 gives both; single, one is flipped.
        let uneven = r#"{ "id": "side", "cut": 2, "pairs": true,
            "outline": [[0, 0], [40, 0], [30, 20], [0, 20]], "grainline": [[5, 10], [25, 10]] }"#;
        let laid = |remnant: &str| {
            let job = job(uneven, &format!(r#""remnants": [{remnant}]"#));
            let shares = shared(&job);
            assert!(shares.left.is_empty());
            let settings = Settings { rounds: Some(1), ..Settings::default() };
            let lot = &shares.lots[0];
            let answer = lot.completed(crate::search::lay(&lot.job, lot.cloth(), &settings, &mut Silent));
            Report::new(&lot.job, &[answer], &settings)
        };
        // 44 by 50: both spreads go in. The single ply takes 40 cm, the fold as much or more: the easier is chosen.
        for (remnant, folded) in [
            (r#"{ "length": 44, "width": 50 }"#, true),
            (r#"{ "length": 90, "width": 40 }"#, true),
            // No rectangle: it is laid single.
            (r#"{ "outline": [[0, 0], [90, 0], [80, 60], [0, 60]] }"#, false),
        ] {
            let report = laid(remnant);
            let winner = report.cloths[0].winner().expect("a lay");
            assert!(winner.purchase.missing().is_none(), "{remnant}");
            assert_eq!(winner.handling.placements, if folded { 1 } else { 2 }, "{remnant}");
            assert_eq!(winner.handling.folds, usize::from(folded), "{remnant}");
            assert!(!report.text().contains("to buy"), "{}", report.text());
        }
    }

    #[test]
    fn thirty_pieces_go_over_four_remnants() {
        let pieces = [
            rectangle("a", 3, 40, 25),
            rectangle("b", 6, 30, 18),
            rectangle("c", 8, 22, 14),
            rectangle("d", 13, 15, 9),
        ]
        .join(",");
        // 10 459 of 14 737 square centimetres; three remnants have slanting edges.
        let cloth = r#""remnants": [
            { "outline": [[0, 0], [95, 0], [80, 55], [0, 60]] }, { "length": 60, "width": 70 },
            { "outline": [[10, 0], [75, 0], [75, 50], [0, 50]] }, { "outline": [[0, 0], [50, 0], [50, 30], [20, 45], [0, 45]] }
        ]"#;
        let shares = shared(&job(&pieces, cloth));
        assert!(shares.left.is_empty(), "{:?}", shares.left);
        let again = shared(&job(&pieces, cloth));
        assert_eq!(shares.lots.len(), again.lots.len());
        assert!(
            shares.lots.iter().zip(&again.lots).all(|(a, b)| a.known == b.known),
            "the same seed, the same answer"
        );
    }

    /// Copies of each piece that each lot gives.
    fn by_lot(shares: &Shares) -> Vec<Vec<(usize, u32)>> {
        let of = |lot: &Lot| lot.job.wants(&lot.cloth().kind).iter().map(|w| (w.piece, w.copies())).collect();
        shares.lots.iter().map(of).collect()
    }

    #[test]
    fn a_pair_comes_from_one_remnant_where_it_can() {
        // The larger remnant has room for both of the pair or for the back and one of them; the smaller for the back or
        // for one of the pair.
        let pair = r#"{ "id": "front", "cut": 2, "pairs": true,
            "outline": [[0, 0], [40, 0], [30, 20], [0, 20]], "grainline": [[5, 10], [25, 10]] }"#;
        let pieces = [pair.to_owned(), rectangle("back", 1, 40, 21)].join(",");
        let cloth = r#""remnants": [{ "length": 41, "width": 42 }, { "length": 41, "width": 22 }]"#;
        let shares = shared(&job(&pieces, cloth));
        assert!(shares.left.is_empty(), "{:?}", shares.left);
        assert_eq!(by_lot(&shares), [vec![(0, 2)], vec![(1, 1)]]);
        assert!(shares.lots.iter().all(|lot| lot.job.apart(&lot.cloth().kind).is_empty()));
    }

    #[test]
    fn a_pair_is_divided_only_when_nothing_else_goes_in() {
        let pieces = rectangle("sleeve", 2, 40, 20);
        let cloth = r#""remnants": [{ "length": 41, "width": 22 }, { "length": 42, "width": 23 }]"#;
        let shares = shared(&job(&pieces, cloth));
        assert!(shares.left.is_empty(), "{:?}", shares.left);
        assert_eq!(by_lot(&shares), [vec![(0, 1)], vec![(0, 1)]]);
        let report = {
            let settings = Settings { rounds: Some(1), ..Settings::default() };
            let lot = &shares.lots[0];
            let answer = lot.completed(crate::search::lay(&lot.job, lot.cloth(), &settings, &mut Silent));
            crate::report::Report::new(&lot.job, &[answer], &settings).text()
        };
        let told = report.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("Not all copies for a garment come from this cloth: sleeve."), "{report}");
    }

    #[test]
    fn a_pair_of_which_one_goes_into_no_remnant_comes_off_the_roll() {
        // There is room for one sleeve, or for the yoke: not for both sleeves.
        let remnant = r#""remnants": [{ "length": 41, "width": 22 }]"#;
        let pieces = [rectangle("sleeve", 2, 40, 20), rectangle("yoke", 1, 30, 10)].join(",");
        let shares = shared(&job(&pieces, remnant));
        assert_eq!(by_lot(&shares), [vec![(1, 1)]], "the yoke, which has the room that a sleeve would take");
        let left: Vec<(usize, u32)> = shares.left.iter().map(|w| (w.piece, w.copies())).collect();
        assert_eq!(left, [(0, 2)]);
        // Nothing else to cut: the remnant is not used at all.
        let shares = shared(&job(&rectangle("sleeve", 2, 40, 20), remnant));
        assert!(shares.lots.is_empty() && shares.left[0].copies() == 2, "{:?}", shares.left);
        assert_eq!(shares.kept_whole.iter().map(|w| (w.piece, w.copies())).collect::<Vec<_>>(), [(0, 1)]);
        // Where neither goes in nothing was taken away.
        let shares = shared(&job(&rectangle("sleeve", 2, 45, 20), remnant));
        assert!(shares.left[0].copies() == 2 && shares.kept_whole.is_empty(), "{:?}", shares.kept_whole);
        // Of a second garment one pair goes in, and the other comes off the roll, each whole.
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [{}], "order": [{{ "garments": 2 }}],
                "cloths": [{{ "width": 100, "remnants": [{{ "length": 41, "width": 42 }}, {{ "length": 41, "width": 23 }}] }}] }}"#,
            rectangle("sleeve", 2, 40, 20)
        );
        let shares = shared(&Job::read(&text).expect("a job"));
        assert_eq!(by_lot(&shares), [vec![(0, 2)]]);
        assert_eq!(shares.left[0].copies(), 2);
    }

    #[test]
    fn two_garments_may_come_from_two_remnants() {
        let text = format!(
            r#"{{ "version": 1, "units": "cm", "pieces": [{}], "order": [{{ "garments": 2 }}],
                "cloths": [{{ "width": 100, "remnants": [{{ "length": 41, "width": 42 }}, {{ "length": 41, "width": 43 }}] }}] }}"#,
            rectangle("sleeve", 2, 40, 20)
        );
        let job = Job::read(&text).expect("a job");
        let shares = shared(&job);
        assert!(shares.left.is_empty(), "{:?}", shares.left);
        assert_eq!(by_lot(&shares), [vec![(0, 2)], vec![(0, 2)]]);
        assert!(shares.lots.iter().all(|lot| lot.job.apart(&lot.cloth().kind).is_empty()));
    }
}
