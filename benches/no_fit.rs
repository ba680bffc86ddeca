//! The no-fit polygon of two shapes with its table for measuring, and the inner-fit range of a piece.

use std::hint::black_box;

use criterion::{BatchSize, BenchmarkId, Criterion, criterion_group, criterion_main};
use nest_benches::{VERTICES, board, shape};
use nest_core::geometry::{ConvexParts, NoFit};
use nest_core::search::bench_internals::{Couple, Prepared};

fn no_fit(c: &mut Criterion) {
    let mut group = c.benchmark_group("no-fit polygon");
    for vertices in VERTICES {
        let (a, b) = (shape(vertices, 1), shape(vertices, 2));
        let (parts_a, parts_b) = (ConvexParts::of(&a), ConvexParts::of(&b));
        group.bench_function(BenchmarkId::new("boundary", vertices), |bencher| {
            bencher.iter(|| NoFit::of(black_box(&a), black_box(&b), &parts_a, &parts_b));
        });
        group.bench_function(BenchmarkId::new("table", vertices), |bencher| {
            bencher.iter_batched(|| Couple::new(&a, &b), |couple| couple.build(), BatchSize::SmallInput);
        });
    }
    group.finish();
}

fn convex_parts(c: &mut Criterion) {
    let mut group = c.benchmark_group("convex parts");
    for vertices in VERTICES {
        let a = shape(vertices, 1);
        group.bench_function(BenchmarkId::from_parameter(vertices), |bencher| {
            bencher.iter(|| ConvexParts::of(black_box(&a)));
        });
    }
    group.finish();
}

fn inner_fit(c: &mut Criterion) {
    // A band is a rectangle, so the inner-fit polygon is one too, whatever the shape.
    let mut group = c.benchmark_group("inner-fit range");
    for vertices in VERTICES {
        let prepared = Prepared::new(&board(25, vertices));
        let crowd = prepared.crowd(0.05);
        let mut turn = 0;
        group.bench_function(BenchmarkId::from_parameter(vertices), |bencher| {
            bencher.iter(|| {
                turn += 1;
                crowd.range(black_box(turn))
            });
        });
    }
    group.finish();
}

criterion_group!(benches, no_fit, convex_parts, inner_fit);
criterion_main!(benches);
