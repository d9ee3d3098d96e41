//! Builds the network of a plan.

use foldhash::{HashMap, HashSet};
use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::{ElectricalResistance, ThermodynamicTemperature};

use super::{CircuitModel, Fed, PartUse, Posts, none, surroundings};
use crate::job::conductor::{Conductor, ConductorRole, Landing};
use crate::job::load::Load;
use crate::job::plan::{Circuit, Feeder, Plan, Polarity, Protection};
use crate::job::point::{Body, PointKind};
use crate::job::value::{CurrentA, DeviceId, InternalMohm, Milliohm, PointId, SourceV};
use crate::job::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::dc_network::{self, Network, NetworkPart, Node, Pieces, Unusable};

/// The smallest resistance that the solver does not treat as zero.
const LEAST_OHM: f64 = 1e-9;

impl<'a> CircuitModel<'a> {
    /// Builds the network of a plan; `size` gives the size of each conductor. The conductors are as warm as
    /// their surroundings.
    ///
    /// A conductor of unknown size or length is left out, and so is everything downstream of it.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn new(
        plan: &'a Plan,
        conductors: &'a Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
    ) -> Result<Self, Unusable> {
        Self::at(plan, conductors, size, |conductor| surroundings(plan, conductor))
    }

    /// The same with the temperature of each conductor's copper.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn at(
        plan: &'a Plan,
        conductors: &'a Conductors,
        size: impl Fn(&Conductor) -> Option<Size>,
        copper: impl Fn(&Conductor) -> ThermodynamicTemperature,
    ) -> Result<Self, Unusable> {
        let ohms =
            |conductor: &Conductor| Some(size(conductor)?.resistance(conductor.length?, copper(conductor)));
        let mut bench = BenchModel::new(plan, ohms)?;
        for feeder in &plan.feeders {
            bench.feeder(feeder, conductors)?;
        }
        for circuit in &plan.circuits {
            bench.circuit(circuit, conductors.of_circuit(&circuit.id))?;
        }
        bench.wired.pieces = bench.wired.network.pieces();
        Ok(bench.wired)
    }
}

/// The network while it is built.
struct BenchModel<'a, F> {
    plan: &'a Plan,
    /// The resistance of a conductor's copper, if it is known.
    copper: F,
    wired: CircuitModel<'a>,
    /// Panels and bars that supply power, or receive it, as a whole.
    buses: HashSet<&'a PointId>,
}

impl<'a, F: Fn(&Conductor) -> Option<ElectricalResistance>> BenchModel<'a, F> {
    fn new(plan: &'a Plan, copper: F) -> Result<Self, Unusable> {
        let mut network = Network::new();
        let points = plan.points.iter().map(|point| {
            let (positive, negative) = match point.body.kind() {
                kind if kind.is_source() => (true, true),
                PointKind::NegativeBus => (false, true),
                _ => (true, false),
            };
            let mut node = |wanted: bool| wanted.then(|| network.node());
            (&point.id, Posts { positive: node(positive), negative: node(negative) })
        });
        let points = points.collect();
        let wired = CircuitModel {
            pieces: Pieces::default(),
            network,
            points,
            conductors: HashMap::default(),
            resistances: HashMap::default(),
            circuits: HashMap::default(),
            switches: Vec::new(),
            uses: Vec::new(),
            batteries: HashMap::default(),
            chargers: HashMap::default(),
            converters: HashMap::default(),
            starters: HashMap::default(),
        };
        let fed = plan.feeders.iter().flat_map(|feeder| [&feeder.from, &feeder.to]);
        let mut bench = Self {
            plan,
            copper,
            wired,
            buses: fed.chain(plan.circuits.iter().map(|circuit| &circuit.from)).collect(),
        };
        bench.sources()?;
        Ok(bench)
    }

    fn sources(&mut self) -> Result<(), Unusable> {
        for point in &self.plan.points {
            match &point.body {
                Body::Battery(battery) => {
                    let part = self.source(&point.id, battery.open_circuit_v, battery.internal())?;
                    let part = part.map(|part| self.counts(part, PartUse::Battery));
                    self.wired.batteries.extend(part.map(|part| (&point.id, part)));
                }
                Body::Charger(charger) => {
                    let part = self.source(
                        &point.id,
                        charger.open_circuit_v,
                        charger.internal_mohm.map(InternalMohm::quantity),
                    )?;
                    let part = part.map(|part| self.counts(part, PartUse::Charger));
                    self.wired.chargers.extend(part.map(|part| (&point.id, part)));
                    self.starter(&point.id, charger.starter_a)?;
                }
                Body::Converter(converter) => {
                    let inner = converter.internal_mohm.map(InternalMohm::quantity);
                    let part = self.source(&point.id, converter.open_circuit_v, inner)?;
                    let part = part.map(|part| self.counts(part, PartUse::Converter));
                    self.wired.converters.extend(part.map(|part| (&point.id, part)));
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn starter(&mut self, id: &'a PointId, draws: Option<CurrentA>) -> Result<(), Unusable> {
        let posts = self.wired.points.get(id).copied();
        if let (Some(Posts { positive: Some(positive), negative: Some(negative) }), Some(draws)) =
            (posts, draws)
        {
            let draws = dc_network::NetworkLoad::Current(draws.quantity());
            let part = self.wired.network.load(positive, negative, draws)?;
            self.counts(part, PartUse::Starter);
            self.wired.starters.insert(id, part);
        }
        Ok(())
    }

    fn source(
        &mut self,
        id: &PointId,
        voltage: SourceV,
        internal: Option<ElectricalResistance>,
    ) -> Result<Option<NetworkPart>, Unusable> {
        let Some(Posts { positive: Some(positive), negative: Some(negative) }) =
            self.wired.points.get(id).copied()
        else {
            return Ok(None);
        };
        self.wired
            .network
            .source(positive, negative, voltage.quantity(), internal.unwrap_or_else(none))
            .map(Some)
    }

    /// Records when a new part is in use.
    fn counts(&mut self, part: NetworkPart, when: PartUse) -> NetworkPart {
        self.wired.uses.push(when);
        part
    }

    fn feeder(&mut self, feeder: &'a Feeder, conductors: &'a Conductors) -> Result<(), Unusable> {
        let ends = [&feeder.from, &feeder.to].map(|point| self.wired.node(point, feeder.polarity));
        let ([Some(from), Some(to)], Some(conductor)) = (ends, conductors.of_feeder(&feeder.id)) else {
            return Ok(());
        };
        self.conductor(conductor, from, to, of_protection(feeder.protection.as_ref()))
    }

    fn circuit(&mut self, circuit: &'a Circuit, conductors: &'a [Conductor]) -> Result<(), Unusable> {
        let source = self.wired.node(&circuit.from, Polarity::Positive);
        let r#return = self.wired.node(&circuit.r#return, Polarity::Negative);
        let (Some(source), Some(r#return)) = (source, r#return) else { return Ok(()) };
        let protected = self.wired.network.node();
        let protection = of_protection(circuit.protection.as_ref());
        let gate = self.wired.network.resistance(source, protected, protection)?;
        self.wired.switches.push(&circuit.id);
        let switch = PartUse::Circuit(self.wired.switches.len() - 1);
        self.counts(gate, switch);

        let devices = circuit.devices().map(|device| (device, [(); 2].map(|()| self.wired.network.node())));
        let devices: HashMap<_, _> = devices.collect();
        let ends = self.ends(circuit, protected, r#return, &devices);
        // A float switch closes beside the hand switch: the path by the hand switch is the longer.
        for conductor in conductors.iter().filter(|conductor| conductor.role != ConductorRole::ToFloat) {
            let end = |landing: &Landing| ends.get(&(landing.id(), conductor.polarity)).copied();
            if let (Some(from), Some(to)) = (end(&conductor.from), end(&conductor.to)) {
                self.conductor(conductor, from, to, none())?;
            }
        }
        self.loads(circuit, &devices, switch)?;
        self.wired.circuits.insert(&circuit.id, Fed { source, r#return, gate, devices });
        Ok(())
    }

    /// The node of each landing of a circuit, by its side of the supply.
    fn ends(
        &mut self,
        circuit: &'a Circuit,
        protected: Node,
        r#return: Node,
        devices: &HashMap<&'a DeviceId, [Node; 2]>,
    ) -> HashMap<(&'a str, Polarity), Node> {
        let mut ends = HashMap::default();
        if let Some(switch) = &circuit.switch {
            ends.insert((switch.panel.as_str(), Polarity::Positive), self.wired.network.node());
        }
        if let Some(junction) = &circuit.junction {
            let bus = self.wired.node(junction, Polarity::Positive).filter(|_| self.buses.contains(junction));
            let node = bus.unwrap_or_else(|| self.wired.network.node());
            ends.insert((junction.as_str(), Polarity::Positive), node);
        }
        for (device, [positive, negative]) in devices {
            ends.insert((device.as_str(), Polarity::Positive), *positive);
            ends.insert((device.as_str(), Polarity::Negative), *negative);
        }
        // Last, because a switch or junction bar on the source itself begins after the protection.
        ends.insert((circuit.from.as_str(), Polarity::Positive), protected);
        ends.insert((circuit.r#return.as_str(), Polarity::Negative), r#return);
        ends
    }

    fn loads(
        &mut self,
        circuit: &'a Circuit,
        devices: &HashMap<&'a DeviceId, [Node; 2]>,
        switch: PartUse,
    ) -> Result<(), Unusable> {
        for id in circuit.devices() {
            let load = self.plan.device(id).and_then(|device| device.load);
            let (Some(load), Some([positive, negative])) = (load, devices.get(id)) else { continue };
            let part = self.wired.network.load(*positive, *negative, as_network_load(load))?;
            self.counts(part, switch);
        }
        Ok(())
    }

    fn conductor(
        &mut self,
        conductor: &'a Conductor,
        from: Node,
        to: Node,
        in_series: ElectricalResistance,
    ) -> Result<(), Unusable> {
        let Some(copper) = (self.copper)(conductor) else { return Ok(()) };
        let ends = 2.0 * resistance(self.plan.job.contact_mohm);
        let part = self.wired.network.resistance(from, to, told_from_none(copper + ends + in_series))?;
        self.counts(part, PartUse::Always);
        self.wired.conductors.insert(&conductor.id, part);
        self.wired.resistances.insert(&conductor.id, copper + ends);
        Ok(())
    }
}

fn as_network_load(load: Load) -> dc_network::NetworkLoad {
    match load {
        Load::ConstantCurrent(current) => dc_network::NetworkLoad::Current(current.quantity()),
        Load::ConstantPower(power) => dc_network::NetworkLoad::Power(power.quantity()),
        Load::Resistance(resistance) => dc_network::NetworkLoad::Resistance(resistance.quantity()),
    }
}

fn of_protection(protection: Option<&Protection>) -> ElectricalResistance {
    resistance(protection.and_then(|protection| protection.resistance_mohm))
}

/// The given resistance, or zero.
fn resistance(given: Option<Milliohm>) -> ElectricalResistance {
    told_from_none(ElectricalResistance::new::<milliohm>(given.map_or(0.0, Milliohm::number)))
}

fn told_from_none(resistance: ElectricalResistance) -> ElectricalResistance {
    if resistance.get::<ohm>() < LEAST_OHM { none() } else { resistance }
}
