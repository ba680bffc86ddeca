//! One candidate position: whom it would touch, how deep, how heavy.

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use nest_benches::{PLACEMENTS, VERTICES, board};
use nest_core::search::bench_internals::Prepared;

fn evaluate(c: &mut Criterion, name: &str, cases: impl Iterator<Item = (u32, u32, u32)>) {
    let mut group = c.benchmark_group(name);
    group.throughput(Throughput::Elements(1));
    for (placements, vertices, parameter) in cases {
        let prepared = Prepared::new(&board(placements, vertices));
        let mut crowd = prepared.crowd(0.05);
        group.bench_function(BenchmarkId::from_parameter(parameter), |bencher| {
            bencher.iter(|| crowd.evaluate());
        });
    }
    group.finish();
}

fn by_placements(c: &mut Criterion) {
    evaluate(c, "position, by placements", PLACEMENTS.into_iter().map(|n| (n, 20, n)));
}

fn by_vertices(c: &mut Criterion) {
    evaluate(c, "position, by vertices", VERTICES.into_iter().map(|v| (25, v, v)));
}

criterion_group!(benches, by_placements, by_vertices);
criterion_main!(benches);
