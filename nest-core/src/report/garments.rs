//! Which garment each copy is for, so that a tally can prove that every garment gets every piece.

use std::collections::{BTreeMap, VecDeque};

use crate::job::Job;
use crate::marker::{Form, Marker};
use crate::spread::Plies;

/// For every placement of a marker the numbers of the garments that its wanted copies are for. Garments are numbered from
/// 1 through the whole order, line by line; copies are handed out in the order of the placements, faces where they belong.
/// A copy that no garment wants is for none.
pub fn garment_numbers(job: &Job, marker: &Marker) -> Vec<Vec<u32>> {
    let mut due: BTreeMap<(usize, usize), [VecDeque<u32>; 2]> = BTreeMap::new();
    let mut number = 0;
    for line in &job.order {
        for _ in 0..line.garments {
            number += 1;
            for &p in &job.style.views[line.view].pieces {
                let piece = &job.style.pieces[p];
                let mirrored = if piece.pairs { piece.cut / 2 } else { 0 };
                let queues = due.entry((p, line.size)).or_default();
                queues[0].extend(std::iter::repeat_n(number, (piece.cut - mirrored) as usize));
                queues[1].extend(std::iter::repeat_n(number, mirrored as usize));
            }
        }
    }
    // What is cut elsewhere goes to the garments that come first.
    for want in job.portion.iter().flat_map(|portion| &portion.before) {
        if let Some(queues) = due.get_mut(&(want.piece, want.size)) {
            for (queue, copies) in queues.iter_mut().zip([want.as_drawn, want.mirrored]) {
                let copies = (copies as usize).min(queue.len());
                queue.drain(..copies);
            }
        }
    }
    marker
        .placements
        .iter()
        .map(|placement| {
            let Some(queues) = due.get_mut(&(placement.piece, placement.size)) else { return Vec::new() };
            let first = usize::from(
                placement.form == Form::Whole && placement.plies == Plies::One && placement.pose.mirrored,
            );
            let mut numbers: Vec<u32> = (0..placement.yields.min(2) as usize)
                .filter_map(|copy| {
                    let face = (first + copy) % 2;
                    queues[face].pop_front().or_else(|| queues[1 - face].pop_front())
                })
                .collect();
            numbers.sort_unstable();
            numbers
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::invented;

    #[test]
    fn every_garment_gets_every_piece() {
        for (name, job, marker) in invented::good_markers() {
            let numbers = garment_numbers(&job, &marker);
            let copies: usize = numbers.iter().map(Vec::len).sum();
            let wanted: u32 = job.wants("self").iter().map(|w| w.copies()).sum();
            assert_eq!(copies, wanted as usize, "{name}");
            assert!(numbers.iter().flatten().all(|&n| n == 1), "{name}: one garment only");
        }
    }

    #[test]
    fn pairs_stay_together_in_a_run() {
        let (_, mut job, mut marker) = invented::turned_double();
        job.order[0].garments = 2;
        let again = marker.placements.clone();
        marker.placements.extend(again);
        assert_eq!(garment_numbers(&job, &marker), [[1, 1], [1, 1], [2, 2], [2, 2]]);
        // On one ply the left of a pair is one placement and the right another.
        let (_, mut job, mut marker) = invented::off_centre_fold();
        job.order[0].garments = 2;
        let front = marker.placements[1].clone();
        marker.placements.push(front);
        assert_eq!(garment_numbers(&job, &marker), [[1], [1], [1], [1], [2]]);
    }
}
