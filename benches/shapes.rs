//! How long each hard shape takes, from a job file that is read to a checked plan.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a benchmark fails by panicking")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use driploop::job::checked::Checked;
use driploop::job::file::JobFile;

#[path = "../tests/hard_shapes/mod.rs"]
mod hard_shapes;

fn shapes(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("hard shapes");
    group.sample_size(10);
    for shape in hard_shapes::SHAPES {
        let plan = JobFile::read(shape.text().as_bytes()).unwrap().plan;
        group.bench_function(shape.name, |bench| bench.iter(|| Checked::of(black_box(plan.clone()))));
    }
    group.finish();
}

criterion_group!(benches, shapes);
criterion_main!(benches);
