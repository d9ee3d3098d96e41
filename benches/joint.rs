//! How long joint sizing takes on boats of 20, 60 and 200 circuits.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use driploop::trade::joint::size;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;

#[path = "../tests/cable_tree/mod.rs"]
mod cable_tree;

fn joint(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("joint sizing");
    for circuits in [20, 60, 200] {
        let mut runner = TestRunner::deterministic();
        let feasible = std::iter::repeat_with(|| cable_tree::boat(circuits).new_tree(&mut runner))
            .flatten()
            .map(|tree| tree.current())
            .find(|stretches| size(stretches).is_ok());
        let Some(stretches) = feasible else { continue };
        group.bench_with_input(BenchmarkId::from_parameter(circuits), &stretches, |bench, stretches| {
            bench.iter(|| size(black_box(stretches)));
        });
    }
    group.finish();
}

criterion_group!(benches, joint);
criterion_main!(benches);
