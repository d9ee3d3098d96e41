//! Finds the most likely location of a fault from a job's readings.
//!
//! The plan's conductors, fuses and sources are the possible locations. The solved network gives the share
//! of a circuit's current through each. For each circuit and device only the latest reading counts. It
//! counts only if nothing on its path was opened since, because a reading from before a repair proves
//! nothing.

use std::collections::HashMap;

use serde::Serialize;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

use super::conductor::{Conductor, ConductorRole};
use super::event::{History, Reading};
use super::meter::MeterModel;
use super::network::{CircuitModel, Solved};
use super::plan::{Circuit, Plan, Polarity, Protection};
use super::point::Body;
use super::subject::{Subject, SubjectKind};
use super::supply::Supply;
use super::value::{CircuitId, InternalMohm, PointId};
use super::wiring::Conductors;
use super::work::{Work, test_of};
use crate::trade::diagnosis::{self, NetworkReading, Sign, StretchShare, SuspectStretch, Taken};
use crate::trade::working::figure;

/// The result of the diagnosis.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct DiagnosisReport {
    /// How many readings were used.
    pub readings: usize,
    /// Faults that need no calculation.
    pub signs: Vec<Told>,
    /// Where excess resistance is, the most likely explanation first.
    pub explanations: Vec<Explained>,
    /// Parts of the boat that these readings do not cover.
    pub unseen: Vec<Suspect>,
    /// Circuits whose readings have no current, so that they cannot locate a fault.
    pub without_current: Vec<CircuitId>,
}

impl DiagnosisReport {
    /// Whether the readings show no fault.
    pub fn is_clear(&self) -> bool {
        self.signs.is_empty() && self.explanations.is_empty()
    }

    /// The signs and faults of a circuit: those about the circuit itself, and those on its path.
    pub fn of_circuit(&self, id: &CircuitId) -> (Vec<&Told>, Vec<&LikelyFault>) {
        let signs = self.signs.iter().filter(|told| told.circuits.contains(id)).collect();
        let likeliest = self.explanations.first().map_or(&[][..], |first| &first.faults);
        (signs, likeliest.iter().filter(|fault| fault.circuits.contains(id)).collect())
    }
}

/// One sign as text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The circuits that it is about.
    pub circuits: Vec<CircuitId>,
    /// The text of the sign.
    pub text: String,
    /// What to check, in this order.
    pub look: Vec<String>,
}

/// One set of locations that would explain the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// The locations, the one with the largest extra drop first.
    pub faults: Vec<LikelyFault>,
    /// Its probability among the given explanations, from 0 to 1.
    pub share: f64,
    /// The remaining difference between the readings and this explanation: chi-squared.
    pub amiss: f64,
}

/// Excess resistance at one location: positions that the readings cannot separate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LikelyFault {
    /// The positions, in the order in which to check them.
    pub spots: Vec<Suspect>,
    /// The measured circuits whose current passes this location.
    pub circuits: Vec<CircuitId>,
    /// The extra drop on the circuit with the largest one, in V.
    pub costs_v: f64,
    /// What to check, in this order.
    pub look: Vec<String>,
}

/// A conductor, a fuse in its holder, or a source with its posts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suspect {
    /// What it is part of.
    #[serde(flatten)]
    pub subject: Subject,
    /// Its name, for people.
    pub name: String,
    /// Its excess resistance, if it is the fault; `None` for a position that is only named.
    pub milliohm: Option<f64>,
    #[serde(skip)]
    kind: What,
}

/// The kind of a possible fault location.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum What {
    Fuse,
    Jumper,
    Lead,
    Return,
    Feeder,
    Source,
}

impl What {
    /// Where to check it first. Common practice, no source.
    fn look(self) -> &'static str {
        match self {
            Self::Fuse => {
                "the fuse in its holder: pull it, look for heat and green on both clips, press it home"
            }
            Self::Jumper => "the jumper at the panel: tug both its terminals, tighten the switch and the bar",
            Self::Lead => "the crimps of the positive wire, at the bar and at the load",
            Self::Return => "the crimps of the negative wire, its ring on the negative bus first",
            Self::Feeder => "the lugs of the feeder: tight, clean, crimped all around",
            Self::Source => "the battery\u{2019}s posts, then its charge and its age",
        }
    }
}

/// Diagnoses the readings of a job.
pub fn diagnose(
    plan: &Plan,
    conductors: &Conductors,
    meter: &MeterModel<'_>,
    history: &History,
    work: &Work<'_>,
) -> DiagnosisReport {
    let latest = latest(plan, history, work);
    let mut ground = Ground::new(plan, conductors, meter.wired());
    let rest = ground.wired.solve(|_| false).ok();
    let taken: Vec<(&Circuit, Taken)> = latest
        .iter()
        .filter_map(|(circuit, reading)| {
            Some((*circuit, ground.taken(meter, circuit, reading, rest.as_ref()?)?))
        })
        .collect();
    let readings: Vec<Taken> = taken.iter().map(|(_, taken)| taken.clone()).collect();
    let placed = diagnosis::diagnose(&ground.stretches, &readings);
    let circuits = |stretches: &[usize]| through(&taken, stretches);
    DiagnosisReport {
        readings: readings.len(),
        signs: diagnosis::signs(&readings).iter().map(|sign| ground.told(sign, &taken)).collect(),
        explanations: placed
            .explanations
            .iter()
            .map(|one| Explained {
                share: one.share,
                amiss: one.amiss,
                faults: one.faults.iter().map(|excess| ground.fault(excess, circuits)).collect(),
            })
            .collect(),
        unseen: placed.unseen.iter().filter_map(|stretch| ground.spots.get(*stretch).cloned()).collect(),
        without_current: latest
            .iter()
            .filter(|(_, reading)| reading.current_a.is_none())
            .map(|(circuit, _)| circuit.id.clone())
            .collect(),
    }
}

/// The latest reading of each circuit at each of its devices, taken since its wire was last repaired.
fn latest<'a>(plan: &'a Plan, history: &'a History, work: &Work<'_>) -> Vec<(&'a Circuit, &'a Reading)> {
    let mut latest: Vec<(&Circuit, &Reading)> = Vec::new();
    for circuit in &plan.circuits {
        let opened = work.measured_since(&test_of(&circuit.id)).map(|by| by.moment());
        let of_this = history.readings.iter().filter(|reading| reading.circuit == circuit.id);
        for reading in of_this.filter(|reading| opened.is_none_or(|opened| opened < (reading.at, reading.id)))
        {
            let same = |(known, read): &&mut (&Circuit, &Reading)| {
                known.id == circuit.id && read.device == reading.device
            };
            match latest.iter_mut().find(same) {
                Some((_, known)) if (known.at, known.id) < (reading.at, reading.id) => *known = reading,
                Some(_) => {}
                None => latest.push((circuit, reading)),
            }
        }
    }
    latest
}

/// The circuits whose current passes any of these locations.
fn through(taken: &[(&Circuit, Taken)], stretches: &[usize]) -> Vec<CircuitId> {
    let passes = |taken: &Taken| {
        [&taken.before, &taken.out, &taken.back]
            .into_iter()
            .flatten()
            .any(|passed| stretches.contains(&passed.stretch))
    };
    let mut circuits: Vec<CircuitId> =
        taken.iter().filter(|(_, taken)| passes(taken)).map(|(circuit, _)| circuit.id.clone()).collect();
    circuits.dedup();
    circuits
}

/// The possible fault locations of the boat, added as they are needed.
struct Ground<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    wired: &'a CircuitModel<'a>,
    supply: Supply<'a>,
    stretches: Vec<SuspectStretch>,
    spots: Vec<Suspect>,
    known: HashMap<(What, String), usize>,
    sources: Vec<&'a PointId>,
}

impl<'a> Ground<'a> {
    fn new(plan: &'a Plan, conductors: &'a Conductors, wired: &'a CircuitModel<'a>) -> Self {
        Self {
            plan,
            conductors,
            wired,
            supply: Supply::of(plan),
            stretches: Vec::new(),
            spots: Vec::new(),
            known: HashMap::new(),
            sources: Vec::new(),
        }
    }

    /// A reading with the path of its current; `None` if the network has no path or no solution for it.
    fn taken(
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

    fn fault(
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

    fn told(&self, sign: &Sign, taken: &[(&Circuit, Taken)]) -> Told {
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
    let volts =
        |read: Option<super::value::MeterV>| read.map(|read| ElectricPotential::new::<volt>(read.number()));
    let amperes =
        |read: Option<super::value::MeterA>| read.map(|read| ElectricCurrent::new::<ampere>(read.number()));
    diagnosis::MeterReading {
        source: volts(reading.source_v),
        load: volts(reading.load_v),
        current: amperes(reading.current_a),
        back: reading.return_ohm.map(|read| ElectricalResistance::new::<ohm>(read.number())),
        load_off: volts(reading.load_off_v),
        current_off: amperes(reading.current_off_a),
    }
}

/// What to check at a location, each kind once.
fn looks(spots: &[Suspect]) -> Vec<String> {
    let mut kinds: Vec<What> = spots.iter().map(|spot| spot.kind).collect();
    kinds.dedup();
    kinds.into_iter().map(|kind| kind.look().to_owned()).collect()
}

fn text(sign: &Sign, spots: &[Suspect]) -> String {
    match sign {
        Sign::Reversed { of, at_source: true } => {
            format!("{of}: positive and negative are crossed before the circuit begins, in its supply")
        }
        Sign::Reversed { of, .. } => format!("{of}: positive and negative are crossed on the circuit"),
        Sign::Open { of, .. } => {
            let names: Vec<&str> = spots.iter().map(|spot| spot.name.as_str()).collect();
            let at = if names.is_empty() { "somewhere along it".to_owned() } else { names.join(", or ") };
            format!("{}: nothing arrives, the way is open at {at}", of.join(", "))
        }
        Sign::LoadOpen { of } => format!(
            "{of}: voltage but no current; without current a bad joint does not show, so the wire has not passed"
        ),
        Sign::Short { of, current_a } => {
            format!("{of}: {} A and no voltage: positive and negative touch", figure(*current_a))
        }
        Sign::Swapped { of, with } => {
            format!("{of} and {with} look swapped: each draws the current of the other")
        }
        Sign::FedTwice { of, off_v: Some(volts) } => {
            format!(
                "{of}: {} V at the load with the circuit off: another circuit feeds it too",
                figure(*volts)
            )
        }
        Sign::FedTwice { of, off_v: None } => {
            format!(
                "{of}: more volts at the load than at the source: another circuit feeds it, or source and load were not read together"
            )
        }
        Sign::DrawsWhenOff { of, current_a } => {
            format!("{of}: {} A drawn with the circuit off", figure(*current_a))
        }
        Sign::DrawsTooMuch { of, current_a, expected_a } => {
            format!("{of} draws {} A where {} A is expected", figure(*current_a), figure(*expected_a))
        }
        Sign::DrawsTooLittle { of, current_a, expected_a } => {
            format!("{of} draws only {} A where {} A is expected", figure(*current_a), figure(*expected_a))
        }
    }
}

fn look(sign: &Sign, spots: &[Suspect]) -> Vec<String> {
    let say = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
    match sign {
        Sign::Open { .. } => looks(spots),
        Sign::Reversed { at_source: true, .. } => {
            say(&["the battery\u{2019}s posts", "the feeders of the block and of its negative bar"])
        }
        Sign::Reversed { .. } => say(&[
            "the two wires at the load",
            "the colors at every join on the way",
            "the meter\u{2019}s own leads",
        ]),
        Sign::LoadOpen { .. } => {
            say(&["the load\u{2019}s own switch and plug", "the load itself, on a known good supply"])
        }
        Sign::Short { .. } => say(&[
            "switch it off before anything else",
            "where the wire passes an edge",
            "the terminals at the load: no loose strand across",
        ]),
        Sign::Swapped { .. } => say(&[
            "the labels of both at the junction bar and at the fuse block",
            "swap them back, then measure both again",
        ]),
        Sign::FedTwice { .. } => say(&[
            "pull the other fuses one by one until the volts go",
            "joints with two positives under one screw",
        ]),
        Sign::DrawsWhenOff { .. } => {
            say(&["a load wired past the switch", "a memory or standby current that the manufacturer states"])
        }
        Sign::DrawsTooMuch { .. } => {
            say(&["a second load on the same wire", "a motor that binds", "the figure planned for it"])
        }
        Sign::DrawsTooLittle { .. } => say(&["whether all its loads are on", "the figure planned for it"]),
    }
}
