//! One move: the best place found for an overlapping placement while all others stay.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use nest_benches::{PLACEMENTS, VERTICES, board, board_of_five};
use nest_core::board::Board;
use nest_core::search::bench_internals::Prepared;

fn settle(c: &mut Criterion, name: &str, cases: impl Iterator<Item = (u32, Board)>) {
    let mut group = c.benchmark_group(name);
    for (parameter, board) in cases {
        let prepared = Prepared::new(&board);
        let mut crowd = prepared.crowd(0.05);
        let mut turn = 0;
        group.bench_function(BenchmarkId::from_parameter(parameter), |bencher| {
            bencher.iter(|| {
                turn += 1;
                crowd.settle(turn)
            });
        });
    }
    group.finish();
}

fn by_placements(c: &mut Criterion) {
    settle(c, "move, by placements", PLACEMENTS.into_iter().map(|n| (n, board(n, 20))));
    settle(c, "move, by placements of five", PLACEMENTS.into_iter().map(|n| (n, board_of_five(n, 20))));
}

fn by_vertices(c: &mut Criterion) {
    settle(c, "move, by vertices", VERTICES.into_iter().map(|v| (v, board(25, v))));
}

criterion_group!(benches, by_placements, by_vertices);
criterion_main!(benches);
