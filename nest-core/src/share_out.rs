//! Pieces shared out over remnants: which piece is cut from which, with a marker for each.
//!
//! A remnant is filled bottom left with everything that has no place yet, and what ends on it stays; then the next. The order
//! of the pieces and of the remnants is shaken until everything has a place or the tries are over; what then is left is
//! tried on every remnant with room for its area, by a search of a few rounds that may move what lies there already.

use rand::RngExt;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64Mcg;

use crate::answer::{Answer, Bound, BoundReason, Found, Line, Origin};
use crate::check::check;
use crate::cloth::Cloth;
use crate::demand::{Demand, Demands};
use crate::in_hand::{fitting, lay_within};
use crate::job::{Job, Portion, Want};
use crate::length::Length;
use crate::marker::Marker;
use crate::remnant::{either_face_serves, is_rectangle};
use crate::search::{Continue, Event, Observer, Settings, first_fill, random_stream};
use crate::spread::{Family, Kind, Refusal};

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
    /// What has no place on any of them.
    pub left: Vec<Want>,
}

/// Orders tried; rounds of a search that looks for room for one more; such searches at the most.
const TRIES: u32 = 60;
const ROUNDS: u64 = 8;
const SEARCHES: usize = 16;

/// A remnant ready to be filled.
struct Board {
    remnant: usize,
    cloth: Cloth,
    demand: Demand,
    kind: Kind,
    /// For each unit the item of the demand; none for what does not fit at all.
    items: Vec<Option<u32>>,
    /// Cloth there is, and its area in square millimetres.
    most: i64,
    area: f64,
}

/// Units on one board, and a marker of them.
#[derive(Clone, Default)]
struct Share {
    units: Vec<usize>,
    marker: Option<Marker>,
    kind: Option<Kind>,
}

/// Shares out what is to be cut from a cloth over its remnants.
///
/// # Complexity
/// At most 60 times as many bottom-left fills as there are remnants, and 16 searches of 8 rounds. The observer is told of
/// a round after each, and may end it.
pub fn share_out(job: &Job, cloth: &Cloth, settings: &Settings, observer: &mut dyn Observer) -> Shares {
    let units = units(job, cloth);
    let areas: Vec<f64> = units.iter().map(|unit| unit.area_mm2(&job.style)).collect();
    let boards: Vec<Board> =
        (0..cloth.remnants.len()).filter_map(|r| Board::new(job, cloth, r, &units)).collect();
    let mut rng = random_stream(settings.seed, REMNANTS);
    let mut best = vec![Share::default(); boards.len()];
    let mut best_left: Vec<usize> = (0..units.len()).collect();
    let mut patient = true;
    for n in 0..TRIES {
        if best_left.is_empty() || boards.is_empty() || !patient {
            break;
        }
        let (shares, left) = one_try(&boards, &areas, n, &mut rng);
        let lost = |left: &[usize]| left.iter().map(|&u| areas[u]).sum::<f64>();
        if lost(&left) < lost(&best_left) {
            (best, best_left) = (shares, left);
        }
        patient = observer.event(&round(u64::from(n) + 1)) == Continue::Yes;
    }
    if patient {
        let sharing = Sharing { job, cloth, units: &units, areas: &areas, boards: &boards };
        sharing.make_room((&mut best, &mut best_left), settings, observer);
    }
    settled(job, cloth, &units, &boards, best, best_left)
}

/// What is shared out one by one: single copies where a single ply is allowed, elsewhere what comes off two plies together.
fn units(job: &Job, cloth: &Cloth) -> Vec<Want> {
    let single = job.spreads.contains(&Kind::Whole(Family::Single));
    let mut units = Vec::new();
    for want in job.wants(&cloth.kind) {
        let of = |as_drawn, mirrored| Want { as_drawn, mirrored, ..want };
        let pairs = if single { 0 } else { want.as_drawn.min(want.mirrored) };
        units.extend((0..pairs).map(|_| of(1, 1)));
        let alike = want.mirrored == 0 && either_face_serves(job, cloth, want.piece, want.size);
        let twos = if single || !alike { 0 } else { want.as_drawn / 2 };
        units.extend((0..twos).map(|_| of(2, 0)));
        units.extend((pairs + 2 * twos..want.as_drawn).map(|_| of(1, 0)));
        units.extend((pairs..want.mirrored).map(|_| of(0, 1)));
    }
    units
}

/// The number of this search's random stream, far from those of spreads.
const REMNANTS: u64 = 1 << 32;

fn round(round: u64) -> Event {
    Event::RoundDone { round, best_cloth: None, bound_cloth: Length::ZERO }
}

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

impl Board {
    /// None when nothing at all fits on it.
    fn new(job: &Job, cloth: &Cloth, remnant: usize, units: &[Want]) -> Option<Board> {
        let of = |wants: Vec<Want>| {
            let portion = Portion { wants, before: Vec::new() };
            let job = cloth.remnants[remnant].job(job, cloth, portion);
            let own = job.cloths[0].clone();
            let demands = Demands::new(&job, &own);
            let longest = own.length_in_hand.unwrap_or_default();
            demands.into_plain().map(|(kind, demand)| (own, kind, demand, longest))
        };
        let mut fits: Vec<bool> = Vec::with_capacity(units.len());
        for (u, unit) in units.iter().enumerate() {
            let before = u.checked_sub(1).filter(|&b| units[b] == *unit);
            let alone = || {
                of(vec![unit.clone()]).is_some_and(|(_, _, demand, longest)| {
                    first_fill(&demand, &[0], None).is_some_and(|lay| demand.cloth(&lay) <= longest.grid())
                })
            };
            fits.push(before.map_or_else(alone, |b| fits[b]));
        }
        let chosen: Vec<usize> = (0..units.len()).filter(|&u| fits[u]).collect();
        // Wants that are not put together give an item each, in their order.
        let (cloth, kind, demand, longest) = of(chosen.iter().map(|&u| units[u].clone()).collect())?;
        debug_assert_eq!(demand.task.items.len(), chosen.len(), "an item for each unit");
        let mut items = vec![None; units.len()];
        for (item, &u) in chosen.iter().enumerate() {
            items[u] = Some(item as u32);
        }
        let area = cloth.within.as_ref().map_or(0.0, |w| w.area_mm2());
        demand.prepare();
        Some(Board { remnant, cloth, demand, kind, items, most: longest.grid(), area })
    }

    /// Fills the board with units in this order; those that end on it, and the lay of them.
    fn fill(&self, order: &[usize], rng: Option<&mut Pcg64Mcg>) -> Share {
        let own: Vec<usize> = order.iter().copied().filter(|&u| self.items[u].is_some()).collect();
        let items: Vec<u32> = own.iter().filter_map(|&u| self.items[u]).collect();
        if items.is_empty() {
            return Share::default();
        }
        let Some(mut lay) = first_fill(&self.demand, &items, rng) else { return Share::default() };
        let past = self.demand.items_past(&lay, self.most);
        lay.spots.retain(|spot| !past.contains(&spot.item));
        lay.tighten(&self.demand.task);
        let units: Vec<usize> =
            own.into_iter().filter(|&u| self.items[u].is_some_and(|item| !past.contains(&item))).collect();
        if units.is_empty() {
            return Share::default();
        }
        Share { units, marker: Some(self.demand.marker(&lay)), kind: Some(self.kind) }
    }
}

/// Fills the boards one after another with what is left.
fn one_try(boards: &[Board], areas: &[f64], n: u32, rng: &mut Pcg64Mcg) -> (Vec<Share>, Vec<usize>) {
    let mut order: Vec<usize> = (0..areas.len()).collect();
    let mut keys: Vec<f64> = areas.to_vec();
    let mut turn: Vec<usize> = (0..boards.len()).collect();
    // The first two tries in order of size: the smallest remnant that holds a piece, or the largest first.
    turn.sort_by(|&a, &b| boards[a].area.total_cmp(&boards[b].area).then(a.cmp(&b)));
    if n == 1 {
        turn.reverse();
    } else if n > 1 {
        for key in &mut keys {
            *key *= 1.0 + 0.8 * rng.random::<f64>();
        }
        turn.shuffle(rng);
    }
    order.sort_by(|&a, &b| keys[b].total_cmp(&keys[a]).then(a.cmp(&b)));
    let mut shares = vec![Share::default(); boards.len()];
    for b in turn {
        let share = boards[b].fill(&order, (n > 1).then_some(&mut *rng));
        order.retain(|u| !share.units.contains(u));
        shares[b] = share;
    }
    (shares, order)
}

/// What is shared out, and over what.
struct Sharing<'a> {
    job: &'a Job,
    cloth: &'a Cloth,
    units: &'a [Want],
    /// Area of each unit, in square millimetres.
    areas: &'a [f64],
    boards: &'a [Board],
}

impl Sharing<'_> {
    /// Area of a board that its share leaves.
    fn free(&self, b: usize, shares: &[Share]) -> f64 {
        self.boards[b].area - shares[b].units.iter().map(|&u| self.areas[u]).sum::<f64>()
    }

    /// Tries to find room for what is left, the largest first, by searching.
    fn make_room(
        &self,
        (shares, left): (&mut [Share], &mut Vec<usize>),
        settings: &Settings,
        observer: &mut dyn Observer,
    ) {
        let settings = Settings { rounds: Some(ROUNDS), ..settings.clone() };
        let mut searches = 0;
        for unit in left.clone() {
            let holds = |b: &usize| self.boards[*b].items[unit].is_some();
            let mut order: Vec<usize> = (0..self.boards.len()).filter(holds).collect();
            order.sort_by(|&a, &b| self.free(b, shares).total_cmp(&self.free(a, shares)).then(a.cmp(&b)));
            for b in order {
                if self.free(b, shares) < self.areas[unit] || searches >= SEARCHES {
                    continue;
                }
                searches += 1;
                let tried = shares[b].units.iter().chain([&unit]).map(|&u| &self.units[u]);
                let portion = Portion { wants: together(tried), before: Vec::new() };
                let own = self.cloth.remnants[self.boards[b].remnant].job(self.job, self.cloth, portion);
                let most = Length::from_grid(self.boards[b].most);
                let within = lay_within(&own, &own.cloths[0], most, &settings, observer);
                if let Some((kind, checked)) = within.found {
                    shares[b].units.push(unit);
                    shares[b].marker = Some(checked.marker().clone());
                    shares[b].kind = Some(kind);
                    left.retain(|&u| u != unit);
                    break;
                }
                if within.stopped {
                    return;
                }
            }
        }
    }
}

/// Makes lots of the shares whose markers pass the check; anything else counts as left.
fn settled(
    job: &Job,
    cloth: &Cloth,
    units: &[Want],
    boards: &[Board],
    shares: Vec<Share>,
    mut left: Vec<usize>,
) -> Shares {
    let mut lots: Vec<Lot> = Vec::new();
    let mut before: Vec<Want> = Vec::new();
    for (board, share) in boards.iter().zip(shares) {
        let (Some(marker), Some(kind)) = (share.marker, share.kind) else { continue };
        let wants = together(share.units.iter().map(|&u| &units[u]));
        let portion = Portion { wants: wants.clone(), before: before.clone() };
        let own = cloth.remnants[board.remnant].job(job, cloth, portion);
        debug_assert_eq!(own.cloths[0], board.cloth, "the same remnant");
        if check(&own, &marker).is_ok() {
            before.extend(wants);
            lots.push(Lot { remnant: board.remnant, job: own, known: (kind, marker) });
        } else {
            left.extend(share.units);
        }
    }
    Shares { lots, left: together(left.iter().map(|&u| &units[u])) }
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
        let pieces = rectangle("square", 2, 20, 20);
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
            assert!(!report.text().contains("to buy than"), "{}", report.text());
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
}
