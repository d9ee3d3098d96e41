//! How long the full check of a job takes: the demo's largest boat, and the same with all that is in it 10 and
//! 100 times: locations and raceways, boards, points, feeders, devices and circuits.
#![allow(clippy::unwrap_used, reason = "a benchmark fails by panicking")]

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use driploop::job::check::check;
use driploop::job::file::JobFile;
use driploop::job::plan::{CableTo, InUse, Plan};
use driploop::job::value::PointId;

const DEMO: &str = include_str!("../src/shop/demo/second-plover.json");

/// All that is in a boat, so many times over.
fn repeated(plan: &Plan, times: usize) -> Plan {
    let mut whole = Plan {
        customer: plan.customer.clone(),
        modes: plan.modes.clone(),
        ..Plan::new(plan.job.clone(), plan.boat.clone())
    };
    for mode in &mut whole.modes {
        let (on, charging) = (std::mem::take(&mut mode.on), std::mem::take(&mut mode.charging));
        let copy = |copy: usize| move |id: &str| format!("{id}-{copy}");
        for copy in (0..times).map(copy) {
            mode.on.extend(on.iter().map(|use_of| InUse {
                circuit: copy(use_of.circuit.as_str()).parse().unwrap(),
                ..use_of.clone()
            }));
            mode.charging.extend(charging.iter().map(|id| copy(id.as_str()).parse::<PointId>().unwrap()));
        }
    }
    for copy in 0..times {
        let mut part = plan.clone();
        macro_rules! renamed {
            ($($id:expr),+ $(,)?) => {{ $($id = format!("{}-{copy}", $id).parse().unwrap();)+ }};
        }
        for location in &mut part.locations {
            renamed!(location.id);
        }
        for raceway in &mut part.raceways {
            renamed!(raceway.id, raceway.between[0], raceway.between[1]);
        }
        for board in &mut part.boards {
            renamed!(board.id, board.location);
        }
        for point in &mut part.points {
            renamed!(point.id, point.location);
            point.mounting.iter_mut().for_each(|mounting| renamed!(mounting.board));
        }
        for feeder in &mut part.feeders {
            renamed!(feeder.id, feeder.from, feeder.to);
            feeder.route.iter_mut().for_each(|raceway| renamed!(*raceway));
        }
        for device in &mut part.devices {
            renamed!(device.id, device.location);
            for cable in &mut device.cables {
                renamed!(cable.id);
                match &mut cable.to {
                    CableTo::Location(location) => renamed!(*location),
                    CableTo::Device(device) => renamed!(*device),
                }
            }
            device.mounting.iter_mut().for_each(|mounting| renamed!(mounting.board));
        }
        for circuit in &mut part.circuits {
            renamed!(circuit.id, circuit.from, circuit.r#return);
            circuit.route.iter_mut().for_each(|raceway| renamed!(*raceway));
            circuit.legs.iter_mut().for_each(|leg| renamed!(leg.device));
            circuit.switch.iter_mut().for_each(|switch| renamed!(switch.panel));
            circuit.junction.iter_mut().for_each(|junction| renamed!(*junction));
            circuit.conductors.iter_mut().for_each(|conductor| renamed!(conductor.from, conductor.to));
        }
        whole.locations.append(&mut part.locations);
        whole.raceways.append(&mut part.raceways);
        whole.boards.append(&mut part.boards);
        whole.points.append(&mut part.points);
        whole.feeders.append(&mut part.feeders);
        whole.devices.append(&mut part.devices);
        whole.circuits.append(&mut part.circuits);
    }
    assert_eq!(whole.faults(), []);
    whole
}

fn full_check(criterion: &mut Criterion) {
    let demo = JobFile::read(DEMO.as_bytes()).unwrap().plan;
    let mut group = criterion.benchmark_group("full check");
    group.sample_size(10);
    for times in [1, 10, 100] {
        let plan = repeated(&demo, times);
        let circuits = plan.circuits.len();
        group.bench_with_input(BenchmarkId::new("circuits", circuits), &plan, |bench, plan| {
            bench.iter(|| check(black_box(plan)));
        });
    }
    group.finish();
}

fn reading(criterion: &mut Criterion) {
    let demo = JobFile::read(DEMO.as_bytes()).unwrap();
    let mut group = criterion.benchmark_group("job file");
    group.sample_size(10);
    for times in [1, 10, 100] {
        let plan = repeated(&demo.plan, times);
        let circuits = plan.circuits.len();
        let text = JobFile { plan, history: demo.history.clone() }.write();
        group.bench_with_input(BenchmarkId::new("circuits read", circuits), &text, |bench, text| {
            bench.iter(|| JobFile::read(black_box(text.as_bytes())));
        });
    }
    group.finish();
}

criterion_group!(benches, full_check, reading);
criterion_main!(benches);
