//! Open lines joined head to tail into rings: outlines are often drawn seam by seam.

use super::line::Line;
use crate::geometry::DrawnPoint;

/// How far apart two ends may lie and still be meant to meet: 1 mm, the width of a pencil line. Chosen by hand.
pub(super) const GAP: f64 = 1.0;

/// Lines joined.
pub(super) struct Chain {
    pub(super) line: Line,
    /// The widest gap that was closed, zero when all ends met.
    pub(super) widest_gap: f64,
    /// Where lines were joined, as indices into the points, in order.
    pub(super) joints: Vec<usize>,
}

/// Joins lines whose ends lie within `gap`, each to the nearest of the others, turning lines round where needed.
///
/// The first line not yet joined begins a chain, which is closed as soon as its ends meet better than any other line would.
///
/// # Complexity
/// O(n² + points) for n lines.
pub(super) fn join(lines: Vec<Vec<DrawnPoint>>, gap: f64) -> Vec<Chain> {
    let mut rest: Vec<Option<Vec<DrawnPoint>>> =
        lines.into_iter().map(|line| (line.len() > 1).then_some(line)).collect();
    let mut chains = Vec::new();
    for i in 0..rest.len() {
        let Some(line) = rest[i].take() else {
            continue;
        };
        chains.push(joined(line, &mut rest[i + 1..], gap));
    }
    chains
}

fn joined(first: Vec<DrawnPoint>, rest: &mut [Option<Vec<DrawnPoint>>], gap: f64) -> Chain {
    let mut points = first;
    let mut joints = vec![points[0], points[points.len() - 1]];
    let mut widest_gap: f64 = 0.0;
    // Forwards until nothing follows, then the other way from the beginning.
    for backwards in [false, true] {
        loop {
            let (head, tail) = (points[0], points[points.len() - 1]);
            let closing = if points.len() > 2 { head.distance(tail) } else { f64::INFINITY };
            let next = rest
                .iter()
                .enumerate()
                .flat_map(|(i, line)| line.as_ref().map(|line| (i, line)))
                .flat_map(|(i, line)| {
                    [(i, false, tail.distance(line[0])), (i, true, tail.distance(line[line.len() - 1]))]
                })
                .filter(|&(_, _, off)| off <= gap && off < closing)
                .min_by(|a, b| a.2.total_cmp(&b.2));
            let Some((mut line, (_, turned, off))) = next.and_then(|next| Some((rest[next.0].take()?, next)))
            else {
                break;
            };
            if turned {
                line.reverse();
            }
            widest_gap = widest_gap.max(off);
            points.extend(line.into_iter().skip(1));
            joints.push(points[points.len() - 1]);
        }
        let closing = points[0].distance(points[points.len() - 1]);
        if points.len() > 3 && closing <= gap {
            points.pop();
            let widest_gap = widest_gap.max(closing);
            let joints = indices(&points, &joints);
            return Chain { line: Line::ring(points), widest_gap, joints };
        }
        if !backwards {
            points.reverse();
        }
    }
    points.reverse();
    let joints = indices(&points, &joints);
    Chain { line: Line::open(points), widest_gap, joints }
}

fn indices(points: &[DrawnPoint], some: &[DrawnPoint]) -> Vec<usize> {
    let mut indices: Vec<usize> = some.iter().flat_map(|&s| points.iter().position(|&p| p == s)).collect();
    indices.sort_unstable();
    indices.dedup();
    indices
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(list: &[(f64, f64)]) -> Vec<DrawnPoint> {
        list.iter().map(|&(x, y)| DrawnPoint::new(x, y)).collect()
    }

    #[test]
    fn seams_in_any_order_and_direction_make_one_ring() {
        let seams = vec![
            line(&[(0.0, 0.0), (50.0, 0.0)]),
            line(&[(0.0, 80.0), (0.0, 0.3)]),
            line(&[(50.0, 0.0), (60.0, 40.0), (50.0, 80.0)]),
            line(&[(0.0, 80.0), (50.0, 80.0)]),
        ];
        let chains = join(seams, GAP);
        assert_eq!(chains.len(), 1);
        assert!(chains[0].line.closed);
        assert!((chains[0].widest_gap - 0.3).abs() < 1e-12);
        assert_eq!(
            chains[0].line.points,
            line(&[(0.0, 0.0), (50.0, 0.0), (60.0, 40.0), (50.0, 80.0), (0.0, 80.0)])
        );
        assert_eq!(chains[0].joints, [0, 1, 3, 4]);
    }

    #[test]
    fn what_does_not_meet_stays_open_and_a_chain_grows_at_both_ends() {
        let chains = join(
            vec![
                line(&[(10.0, 0.0), (20.0, 0.0)]),
                line(&[(10.0, 0.0), (0.0, 5.0)]),
                line(&[(20.0, 0.0), (30.0, 5.0)]),
                line(&[(500.0, 0.0), (510.0, 0.0)]),
            ],
            GAP,
        );
        assert_eq!(chains.len(), 2);
        assert!(!chains[0].line.closed && !chains[1].line.closed);
        assert_eq!(chains[0].line.points, line(&[(0.0, 5.0), (10.0, 0.0), (20.0, 0.0), (30.0, 5.0)]));
    }

    #[test]
    fn a_ring_takes_up_no_line_that_merely_passes_its_corner() {
        let chains = join(
            vec![
                line(&[(0.0, 0.0), (50.0, 0.0), (50.0, 80.0), (0.0, 0.0)]),
                line(&[(0.0, 0.9), (-20.0, 0.0)]),
            ],
            GAP,
        );
        assert_eq!(chains.len(), 2);
        assert!(chains[0].line.closed && !chains[1].line.closed);
    }
}
