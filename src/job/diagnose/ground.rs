//! The possible locations of a fault, and the paths of the measured currents through them.

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

use super::report::{LikelyFault, Suspect, Told, What};
use super::words::{look, looks, text};
use crate::job::conductor::{Conductor, ConductorRole};
use crate::job::event::Reading;
use crate::job::meter::MeterModel;
use crate::job::network::{CircuitModel, Solved};
use crate::job::plan::{Circuit, Plan, Polarity, Protection};
use crate::job::point::Body;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::supply::Supply;
use crate::job::value::{CircuitId, InternalMohm, PointId};
use crate::job::wiring::Conductors;
use crate::trade::diagnosis::{self, NetworkReading, Sign, StretchShare, SuspectStretch, Taken};

/// The possible fault locations of the boat, added as they are needed.
pub(super) struct Ground<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    pub(super) wired: &'a CircuitModel<'a>,
    supply: Supply<'a>,
    pub(super) stretches: Vec<SuspectStretch>,
    pub(super) spots: Vec<Suspect>,
    known: HashMap<(What, String), usize>,
    sources: Vec<&'a PointId>,
}

impl<'a> Ground<'a> {
    pub(super) fn new(plan: &'a Plan, conductors: &'a Conductors, wired: &'a CircuitModel<'a>) -> Self {
        Self {
            plan,
            conductors,
            wired,
            supply: Supply::of(plan),
            stretches: Vec::new(),
            spots: Vec::new(),
            known: HashMap::default(),
            sources: Vec::new(),
        }
    }

    /// A reading with the path of its current; `None` if the network has no path or no solution for it.
    pub(super) fn taken(
        &mut self,
        meter: &MeterModel<'_>,
        circuit: &'a Circuit,
        reading: &Reading,
        rest: &Solved<'_>,
    ) -> Option<Taken> {
        let expected = meter.expect(circuit, reading.device.as_ref())?;
        let device = circuit.devices().position(|id| *id == expected.device)?;
        let solved = self.wired.solve(|on| *on == circuit.id).ok()?;
        let whole = solved.of_circuit(&circuit.id)?.get::<ampere>();
        let share = |amperes: Option<ElectricCurrent>| amperes.map_or(0.0, |a| a.get::<ampere>() / whole);
        let [to, back] = self.supply.ways_of(circuit);
        let source = to.source?;
        let mut before =
            vec![StretchShare { stretch: self.source(source), share: share(solved.of_source(source)) }];
        for feeder in to.shortest.into_iter().chain(back.shortest).flatten() {
            let wire = self.conductors.of_feeder(&feeder.id)?;
            let share = share(solved.of_conductor(&wire.id));
            before.extend(
                self.fuse(SubjectKind::Feeder, &feeder.id, feeder.protection.as_ref())
                    .map(|stretch| StretchShare { stretch, share }),
            );
            before.push(StretchShare { stretch: self.conductor(wire)?, share });
        }
        let path = self.conductors.path(circuit, device);
        let mut passed = |wires: &[&'a Conductor]| -> Option<Vec<StretchShare>> {
            let one = |wire: &&'a Conductor| {
                Some(StretchShare {
                    stretch: self.conductor(wire)?,
                    share: share(solved.of_conductor(&wire.id)),
                })
            };
            wires.iter().map(one).collect()
        };
        let (mut out, back) = (passed(&path.out)?, passed(&path.back)?);
        let fuse = self.fuse(SubjectKind::Circuit, &circuit.id, circuit.protection.as_ref());
        out.splice(0..0, fuse.map(|stretch| StretchShare { stretch, share: 1.0 }));
        Some(Taken {
            of: circuit.id.to_string(),
            supply: self.supply_number(source),
            rest: rest.at_source(&circuit.id)?,
            before,
            out,
            back,
            expected: NetworkReading {
                source: ElectricPotential::new::<volt>(expected.source_v),
                load: ElectricPotential::new::<volt>(expected.load_v),
                current: ElectricCurrent::new::<ampere>(expected.current_a),
                fuse: expected.fuse_a.map(ElectricCurrent::new::<ampere>),
            },
            meter: read(reading),
        })
    }

    fn supply_number(&mut self, source: &'a PointId) -> usize {
        let known = self.sources.iter().position(|known| *known == source);
        known.unwrap_or_else(|| {
            self.sources.push(source);
            self.sources.len() - 1
        })
    }

    /// The inside of a source, with its posts.
    fn source(&mut self, id: &PointId) -> usize {
        let point = self.plan.point(id);
        let internal = point.and_then(|point| match &point.body {
            Body::Battery(battery) => battery.internal(),
            Body::Charger(charger) => charger.internal_mohm.map(InternalMohm::quantity),
            Body::Converter(converter) => converter.internal_mohm.map(InternalMohm::quantity),
            _ => None,
        });
        let design = internal.unwrap_or_else(|| ElectricalResistance::new::<milliohm>(0.0));
        let name = format!("{} and its posts", point.map_or(id.as_str(), |point| point.called()));
        self.stretch(What::Source, Subject::new(SubjectKind::Point, id), name, design)
    }

    /// A fuse or breaker in its holder.
    fn fuse(
        &mut self,
        kind: SubjectKind,
        id: &impl ToString,
        protection: Option<&Protection>,
    ) -> Option<usize> {
        let protection = protection?;
        let design = protection.resistance_mohm.map_or(0.0, |given| given.number());
        let (id, design) = (id.to_string(), ElectricalResistance::new::<milliohm>(design));
        let name = format!("fuse of {id} in its holder");
        Some(self.stretch(What::Fuse, Subject::new(kind, id), name, design))
    }

    fn conductor(&mut self, wire: &Conductor) -> Option<usize> {
        let what = match (wire.role, wire.polarity) {
            (ConductorRole::Feeder, _) => What::Feeder,
            (role, _) if role.is_jumper() => What::Jumper,
            (_, Polarity::Positive) => What::Lead,
            (_, Polarity::Negative) => What::Return,
        };
        let design = self.wired.resistance_of(&wire.id)?;
        let name = format!("{}, {}", wire.id, wire.way());
        Some(self.stretch(what, Subject::new(SubjectKind::Conductor, &wire.id), name, design))
    }

    fn stretch(&mut self, kind: What, subject: Subject, name: String, design: ElectricalResistance) -> usize {
        let next = self.stretches.len();
        let number = *self.known.entry((kind, subject.to_string())).or_insert(next);
        if number == next {
            self.stretches.push(SuspectStretch { name: name.clone(), design });
            self.spots.push(Suspect { subject, name, milliohm: None, kind });
        }
        number
    }

    pub(super) fn fault(
        &self,
        excess: &diagnosis::Excess,
        circuits: impl Fn(&[usize]) -> Vec<CircuitId>,
    ) -> LikelyFault {
        let stretches: Vec<usize> = excess.stretches.iter().map(|(stretch, _)| *stretch).collect();
        let spot = |(stretch, excess): &(usize, f64)| {
            self.spots.get(*stretch).map(|spot| Suspect { milliohm: Some(*excess), ..spot.clone() })
        };
        let mut spots: Vec<Suspect> = excess.stretches.iter().filter_map(spot).collect();
        // What can be checked without opening anything comes first: a fuse is pulled by hand.
        spots.sort_by_key(|spot| spot.kind);
        LikelyFault { circuits: circuits(&stretches), costs_v: excess.costs_v, look: looks(&spots), spots }
    }

    pub(super) fn told(&self, sign: &Sign, taken: &[(&Circuit, Taken)]) -> Told {
        let is_of = |circuit: &Circuit| sign.of().contains(&circuit.id.as_str());
        let mut circuits: Vec<CircuitId> = taken
            .iter()
            .filter(|(circuit, _)| is_of(circuit))
            .map(|(circuit, _)| circuit.id.clone())
            .collect();
        circuits.dedup();
        let on = match sign {
            Sign::Open { on, .. } => on.as_slice(),
            _ => &[],
        };
        let mut spots: Vec<Suspect> =
            on.iter().filter_map(|stretch| self.spots.get(*stretch).cloned()).collect();
        spots.sort_by_key(|spot| spot.kind);
        Told { circuits, text: text(sign, &spots), look: look(sign, &spots) }
    }
}

fn read(reading: &Reading) -> diagnosis::MeterReading {
    let volts = |read: Option<crate::job::value::MeterV>| {
        read.map(|read| ElectricPotential::new::<volt>(read.number()))
    };
    let amperes = |read: Option<crate::job::value::MeterA>| {
        read.map(|read| ElectricCurrent::new::<ampere>(read.number()))
    };
    diagnosis::MeterReading {
        source: volts(reading.source_v),
        load: volts(reading.load_v),
        current: amperes(reading.current_a),
        back: reading.return_ohm.map(|read| ElectricalResistance::new::<ohm>(read.number())),
        load_off: volts(reading.load_off_v),
        current_off: amperes(reading.current_off_a),
    }
}
