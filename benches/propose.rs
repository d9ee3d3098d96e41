//! How long a proposed plan takes: the skiff, and a boat with 40 wishes.
#![allow(clippy::unwrap_used, reason = "a benchmark fails by panicking")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use driploop::job::kind::Catalog;
use driploop::job::plan::{BoatForm, ProposalRequest};
use driploop::job::propose::propose;
use serde::Deserialize;

/// A request as it is written for `driploop propose`.
#[derive(Deserialize)]
struct Written {
    boat: BoatForm,
    wishes: Vec<String>,
}

fn request(text: &str, more: &[&str]) -> ProposalRequest {
    let written: Written = serde_json::from_str(text).unwrap();
    let wishes = written.wishes.into_iter().chain(more.iter().map(ToString::to_string));
    ProposalRequest { boat: written.boat, wishes: wishes.collect::<Vec<_>>().join("\n").try_into().unwrap() }
}

/// Wishes beside the 37 of the request.
const MORE: &[&str] = &["Spotlight", "Hour meter", "Engine gauges"];

fn proposals(criterion: &mut Criterion) {
    let skiff = request(include_str!("../tests/propose/requests/skiff.json"), &[]);
    let large = request(include_str!("../tests/propose/requests/center-console.json"), MORE);
    for (name, request) in [("skiff, 8 wishes", skiff), ("center console, 40 wishes", large)] {
        criterion.bench_function(&format!("propose {name}"), |bencher| {
            bencher.iter(|| black_box(propose(black_box(&request), Catalog::built_in()).unwrap()));
        });
    }
}

criterion_group!(benches, proposals);
criterion_main!(benches);
