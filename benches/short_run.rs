//! A whole short run, from outlines to a lay: tables, a first fill, and one round of separation in one lane.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use nest_benches::{PLACEMENTS, VERTICES, board};
use nest_core::board::Board;
use nest_core::search::{Continue, Settings, lay_board};

fn run(c: &mut Criterion, name: &str, cases: impl Iterator<Item = (Board, u32)>) {
    let settings = Settings { seed: 1, rounds: Some(1), lanes: 1 };
    let mut group = c.benchmark_group(name);
    group.sample_size(10);
    for (board, parameter) in cases {
        group.bench_function(BenchmarkId::from_parameter(parameter), |bencher| {
            bencher.iter(|| lay_board(&board, &settings, |_| Continue::Yes).lay.length);
        });
    }
    group.finish();
}

fn by_placements(c: &mut Criterion) {
    run(c, "run of one round, by placements", PLACEMENTS.into_iter().map(|n| (board(n, 20), n)));
}

fn by_vertices(c: &mut Criterion) {
    run(c, "run of one round, by vertices", VERTICES.into_iter().map(|v| (board(25, v), v)));
}

criterion_group!(benches, by_placements, by_vertices);
criterion_main!(benches);
