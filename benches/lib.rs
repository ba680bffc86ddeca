//! Shapes and boards for the benches, generated: the same numbers give the same shapes on every machine.

use std::f64::consts::TAU;

use nest_core::board::{Board, BoardPiece};
use nest_core::geometry::{Point, Polygon, Turn};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;

/// Vertices of the shapes that kernels are measured on.
pub const VERTICES: [u32; 4] = [5, 20, 100, 400];

/// Placements of the boards that they are measured on.
pub const PLACEMENTS: [u32; 3] = [25, 100, 400];

/// Grid units across the strip of every board.
const HEIGHT: i64 = 200_000;

/// The mean distance of an outline from its middle: some eight pieces lie side by side.
const RADIUS: f64 = 12_000.0;

/// A shape with so many vertices: seen from its middle the outline winds round once, in a few lobes, with hollows between,
/// as garment pieces have.
///
/// # Panics
/// Never, for the numbers of vertices in use: an outline that winds round once does not cross itself.
pub fn shape(vertices: u32, seed: u64) -> Polygon {
    let mut rng = Pcg64Mcg::seed_from_u64(seed.wrapping_mul(1000).wrapping_add(u64::from(vertices)));
    let mut part = |most: f64| most * rng.random::<f64>();
    let lobes: Vec<[f64; 3]> = (2..=5).map(|k| [f64::from(k), part(0.22), part(TAU)]).collect();
    let stretch = 0.6 + part(0.8);
    let corners = (0..vertices).map(|k| {
        // Unequal steps, but never back.
        let angle = (f64::from(k) + part(0.7)) * TAU / f64::from(vertices);
        let lobed: f64 = lobes.iter().map(|[n, size, phase]| size * (n * angle + phase).sin()).sum();
        let radius = RADIUS * (1.0 + lobed);
        Point::new((radius * angle.cos() * stretch) as i64, (radius * angle.sin() / stretch) as i64)
    });
    Polygon::new(corners.collect()).expect("an outline that winds round once is simple")
}

/// A board with so many placements of shapes with so many vertices, each kind about five times, at the most sixty kinds; turned
/// by 0 or 180.
///
/// # Panics
/// Never: the shapes are far smaller than the strip.
pub fn board(placements: u32, vertices: u32) -> Board {
    board_of((placements / 5).clamp(1, 60), placements, vertices)
}

/// A board with so many placements of five shapes with so many vertices: what more placements cost by themselves.
///
/// # Panics
/// Never: the shapes are far smaller than the strip.
pub fn board_of_five(placements: u32, vertices: u32) -> Board {
    board_of(5, placements, vertices)
}

fn board_of(kinds: u32, placements: u32, vertices: u32) -> Board {
    let pieces = (0..kinds).map(|kind| BoardPiece {
        name: format!("shape {kind}"),
        outline: shape(vertices, u64::from(kind)),
        quantity: placements / kinds + u32::from(kind < placements % kinds),
        turns: vec![Turn::None, Turn::Half],
    });
    Board::new(HEIGHT, pieces.collect()).expect("shapes smaller than the strip")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_have_the_vertices_asked_for_and_repeat() {
        for vertices in VERTICES {
            let shape_1 = shape(vertices, 1);
            // A vertex in line with its neighbours is dropped: rare, and only where there are many.
            assert!(shape_1.points().len() as u32 * 100 >= vertices * 95, "{vertices}");
            assert_eq!(shape_1, shape(vertices, 1));
            assert_ne!(shape_1, shape(vertices, 2));
        }
        assert!(!shape(20, 3).is_convex(), "there are hollows to lie in");
    }

    #[test]
    fn boards_have_the_placements_asked_for() {
        for placements in PLACEMENTS {
            assert_eq!(board(placements, 20).count(), placements);
            assert_eq!(board_of_five(placements, 20).count(), placements);
        }
        assert_eq!(board_of_five(400, 5).pieces().len(), 5);
        assert_eq!(board(400, 5).pieces().len(), 60);
    }
}
