//! One bottom-left fill, large pieces first, with every table ready.

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use nest_benches::{PLACEMENTS, VERTICES, board};
use nest_core::search::bench_internals::Prepared;

fn fill(c: &mut Criterion, name: &str, cases: impl Iterator<Item = (u32, u32, u32)>) {
    let mut group = c.benchmark_group(name);
    group.sample_size(10);
    for (placements, vertices, parameter) in cases {
        let prepared = Prepared::new(&board(placements, vertices));
        group.bench_function(BenchmarkId::from_parameter(parameter), |bencher| {
            bencher.iter(|| prepared.fill());
        });
    }
    group.finish();
}

fn by_placements(c: &mut Criterion) {
    fill(c, "bottom-left fill, by placements", PLACEMENTS.into_iter().map(|n| (n, 20, n)));
}

fn by_vertices(c: &mut Criterion) {
    fill(c, "bottom-left fill, by vertices", VERTICES.into_iter().map(|v| (25, v, v)));
}

criterion_group!(benches, by_placements, by_vertices);
criterion_main!(benches);
