//! How long a solve takes on boat-like wiring of 100, 1,000 and 10,000 nodes: trees with 5 % second ways.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use driploop::trade::dc_network::{Network, NetworkLoad, Node, Unusable};
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

criterion_group!(benches, solve);
criterion_main!(benches);
