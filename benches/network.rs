//! How long a solve takes on boat-like wiring of 100, 1,000 and 10,000 nodes: trees with 5 % second ways. Beside
//! it, one factorization of the conductance matrix of the same wiring by the library alone.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use driploop::trade::dc_network::{Network, NetworkLoad, Node, Unusable};
use faer::sparse::linalg::solvers::{Lu, SymbolicLu};
use faer::sparse::{SparseColMat, Triplet};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use uom::si::power::watt;

/// Half the nodes on the positive side, half on the negative; every spot hangs from one of an eighth of its
/// number and draws current, power or as a resistor by turns, 40 A in all.
fn boat(nodes: u32) -> Result<Network, Unusable> {
    let ohms = ElectricalResistance::new::<ohm>;
    let mut network = Network::new();
    let spots = nodes / 2;
    let sides: Vec<[Node; 2]> = (0..spots).map(|_| [network.node(), network.node()]).collect();
    let at = |spot: u32| sides[spot as usize];
    network.source(at(0)[0], at(0)[1], ElectricPotential::new::<volt>(12.8), ohms(0.005))?;
    let each = 40.0 / f64::from(spots);
    for spot in 1..spots {
        let (here, up) = (at(spot), at(spot / 8));
        network.resistance(up[0], here[0], ohms(0.004))?;
        network.resistance(here[1], up[1], ohms(0.004))?;
        if spot % 20 == 0 {
            network.resistance(at(spot - 7)[0], here[0], ohms(0.01))?;
        }
        let load = match spot % 3 {
            0 => NetworkLoad::Current(ElectricCurrent::new::<ampere>(each)),
            1 => NetworkLoad::Power(Power::new::<watt>(12.0 * each)),
            _ => NetworkLoad::Resistance(ohms(12.0 / each)),
        };
        network.load(here[0], here[1], load)?;
    }
    Ok(network)
}

/// The conductance matrix of that wiring, with every load as a resistor. The negative post is at 0 V.
fn conductances(nodes: u32) -> Option<SparseColMat<usize, f64>> {
    let spots = nodes / 2;
    let row = |spot: u32, side: u32| (2 * spot + side) as usize;
    let mut entries = Vec::new();
    let mut joins = vec![(row(0, 0), row(0, 1), 0.005)];
    for spot in 1..spots {
        for side in 0..2 {
            joins.push((row(spot / 8, side), row(spot, side), 0.004));
        }
        if spot % 20 == 0 {
            joins.push((row(spot - 7, 0), row(spot, 0), 0.01));
        }
        joins.push((row(spot, 0), row(spot, 1), 12.0 * f64::from(spots) / 40.0));
    }
    // The negative post is the reference, so its row has only an entry of its own.
    let ground = row(0, 1);
    entries.push(Triplet::new(ground, ground, 1.0));
    for (one, other, ohms) in joins {
        let siemens = 1.0 / ohms;
        let ends =
            [(one, one, siemens), (other, other, siemens), (one, other, -siemens), (other, one, -siemens)];
        let kept = ends.into_iter().filter(|(row, column, _)| *row != ground && *column != ground);
        entries.extend(kept.map(|(row, column, value)| Triplet::new(row, column, value)));
    }
    let size = 2 * spots as usize;
    SparseColMat::try_new_from_triplets(size, size, &entries).ok()
}

fn factorization(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("bare factorization");
    for nodes in [100, 1_000, 10_000] {
        let Some(matrix) = conductances(nodes) else { continue };
        let factored = |matrix: &SparseColMat<usize, f64>| {
            let symbolic = SymbolicLu::try_new(matrix.symbolic()).ok()?;
            Lu::try_new_with_symbolic(symbolic, matrix.as_ref()).ok()
        };
        assert!(factored(&matrix).is_some(), "a matrix that has no factors would measure something else");
        group.bench_with_input(BenchmarkId::from_parameter(nodes), &matrix, |bench, matrix| {
            bench.iter(|| factored(black_box(matrix)));
        });
    }
    group.finish();
}

fn solve(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("network solve");
    for nodes in [100, 1_000, 10_000] {
        let Ok(network) = boat(nodes) else { continue };
        assert!(network.solve(|_| true).is_ok(), "a network without an answer would measure something else");
        group.bench_with_input(BenchmarkId::from_parameter(nodes), &network, |bench, network| {
            bench.iter(|| black_box(network).solve(|_| true));
        });
    }
    group.finish();
}

criterion_group!(benches, solve, factorization);
criterion_main!(benches);
