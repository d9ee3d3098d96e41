//! The load worksheet: for each bank and mode every load with its current, hours and charge, and what they add up
//! to.
//!
//! The current of a load is the one at the nominal voltage of its bank. A load that nobody entered is in the list
//! without figures, and the sums then say that they are the least. A circuit is continuous or short-time by the
//! same rule as in the check of feeders. The state with everything on lasts an hour, because no day has it.

use foldhash::HashMap;
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::time::hour;

use super::check::{Report, ShortTime, design_load};
use super::energy::{Members, as_bank, banks, loads, nominal_of};
use super::load::Load;
use super::plan::{Circuit, Mode, Plan, Polarity};
use super::value::{CircuitId, DeviceId, FeederId, ModeId, PointId};
use crate::trade::energy::{Bank, endurance};
use crate::trade::quantity::Quantity;
use crate::trade::source::{CHARGE_BALANCE, CIRCUIT_LAWS, LOAD_WORKSHEET};
use crate::trade::working::{Working, figure};

/// The load worksheet of a boat.
#[derive(Debug, Clone, PartialEq)]
pub struct Worksheet {
    /// Each bank.
    pub banks: Vec<BankSheet>,
    /// The circuits that no bank feeds.
    pub without_bank: Vec<CircuitId>,
}

/// The worksheet of one bank.
#[derive(Debug, Clone, PartialEq)]
pub struct BankSheet {
    /// Its name for people.
    pub name: String,
    /// Its batteries.
    pub batteries: Vec<PointId>,
    /// Its nominal voltage.
    pub nominal_v: f64,
    /// Its capacity at the 20-hour rate.
    pub capacity_ah: Option<f64>,
    /// Whether its chemistry is known, which its usable capacity depends on.
    pub has_chemistry: bool,
    /// The positive feeders that its circuits draw through.
    pub feeders: Vec<FeederLoad>,
    /// Each mode of the boat, then everything on.
    pub modes: Vec<ModeSheet>,
}

/// A feeder with its design load.
#[derive(Debug, Clone, PartialEq)]
pub struct FeederLoad {
    /// The feeder.
    pub feeder: FeederId,
    /// The current at which its drop is judged; `None` if a load on it is not known.
    pub design: Option<Figured>,
}

/// A figure with its working.
#[derive(Debug, Clone, PartialEq)]
pub struct Figured {
    /// The number.
    pub value: f64,
    /// How it was calculated.
    pub working: Working,
}

/// The loads of a bank in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeSheet {
    /// The mode; `None` with everything on.
    pub mode: Option<ModeId>,
    /// Its name for people.
    pub name: String,
    /// Hours a day; an hour with everything on.
    pub hours: f64,
    /// Every load that is on.
    pub loads: Vec<LoadLine>,
    /// The sum of the continuous loads; `None` if there is none.
    pub continuous: Option<Figured>,
    /// The sum of the short-time loads; `None` if there is none.
    pub short_time: Option<Figured>,
    /// The charge that all use.
    pub charge: Figured,
    /// Continuous loads and a part of the short-time loads.
    pub design: Figured,
    /// How long the bank alone lasts to its minimum state of charge; `None` if that cannot be calculated.
    pub to_minimum: Option<Figured>,
    /// How many loads are not known. If there are any, every sum is the least, and the time the most.
    pub unknown: usize,
}

/// One load in a mode.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadLine {
    /// Its circuit.
    pub circuit: CircuitId,
    /// The device.
    pub device: DeviceId,
    /// Its current at nominal voltage; `None` if it is not known.
    pub current: Option<Figured>,
    /// The share of the mode during which it is on.
    pub share: f64,
    /// Hours a day in this mode.
    pub hours: f64,
    /// Its charge a day in this mode; `None` if its current is not known.
    pub charge: Option<Figured>,
    /// Whether it is on for a short time only.
    pub is_short_time: bool,
}

impl ModeSheet {
    /// Whether no load of it is known.
    pub fn is_unknown(&self) -> bool {
        self.unknown > 0 && self.unknown == self.loads.len()
    }
}

/// The load worksheet of a checked plan.
pub fn worksheet(plan: &Plan, report: &Report) -> Worksheet {
    let banks = banks(plan);
    let fed = |circuit: &&Circuit| banks.iter().any(|bank| bank.circuit(&circuit.id).is_some());
    let without_bank =
        plan.circuits.iter().filter(|circuit| !fed(circuit)).map(|one| one.id.clone()).collect();
    let short_time = ShortTime::of(plan);
    let sheet = |members| Draft::of(plan, members, &short_time).sheet(report);
    Worksheet { banks: banks.iter().map(sheet).collect(), without_bank }
}

/// A bank whose sheet is being made.
struct Draft<'a> {
    plan: &'a Plan,
    members: &'a Members<'a>,
    short_time: &'a ShortTime<'a>,
    bank: Bank,
    nominal_v: f64,
}

impl<'a> Draft<'a> {
    fn of(plan: &'a Plan, members: &'a Members<'a>, short_time: &'a ShortTime<'a>) -> Self {
        let nominal_v = nominal_of(plan, members).get::<volt>();
        Self { plan, members, short_time, bank: as_bank(plan, members), nominal_v }
    }

    fn sheet(&self, report: &Report) -> BankSheet {
        let modes = self.plan.modes.iter().map(|mode| self.mode(mode)).chain([self.all_on()]);
        BankSheet {
            name: self.members.name(),
            batteries: self.members.batteries.iter().map(|(point, _)| point.id.clone()).collect(),
            nominal_v: self.nominal_v,
            capacity_ah: self.bank.capacity.map(|capacity| capacity.charge.get::<ampere_hour>()),
            has_chemistry: self.bank.chemistry.is_some(),
            feeders: self.feeders(report),
            modes: modes.collect(),
        }
    }

    /// The positive feeders that a circuit of the bank draws through, with their design loads.
    fn feeders(&self, report: &Report) -> Vec<FeederLoad> {
        let positive = self.plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive);
        let drawn = positive.filter_map(|feeder| Some((feeder, report.feeders.get(&feeder.id)?)));
        let own = |id: &CircuitId| self.members.circuit(id).is_some();
        let drawn = drawn.filter(|(_, figures)| figures.circuits.iter().any(own));
        drawn
            .map(|(feeder, figures)| {
                let workings = &figures.conductor.workings;
                let working = workings.iter().find(|working| working.what == Quantity::DesignLoad).cloned();
                let design = figures.design_load_a.zip(working);
                FeederLoad {
                    feeder: feeder.id.clone(),
                    design: design.map(|(value, working)| Figured { value, working }),
                }
            })
            .collect()
    }

    fn mode(&self, mode: &Mode) -> ModeSheet {
        let shares: HashMap<&CircuitId, f64> =
            mode.on.iter().map(|used| (&used.circuit, used.share.number())).collect();
        let on = self.members.circuits.iter().filter_map(|circuit| {
            Some((*circuit, *shares.get(&circuit.id)?)).filter(|(_, share)| *share > 0.0)
        });
        self.state(Some(&mode.id), mode.name.to_string(), mode.hours.number(), &on.collect::<Vec<_>>())
    }

    fn all_on(&self) -> ModeSheet {
        let on: Vec<_> = self.members.circuits.iter().map(|circuit| (*circuit, 1.0)).collect();
        self.state(None, "Everything on".to_owned(), 1.0, &on)
    }

    fn state(&self, mode: Option<&ModeId>, name: String, hours: f64, on: &[(&Circuit, f64)]) -> ModeSheet {
        let lines = on.iter().flat_map(|(circuit, share)| self.lines(circuit, *share, hours));
        let lines: Vec<LoadLine> = lines.collect();
        let [steady, short] = [false, true]
            .map(|short| lines.iter().filter(|line| line.is_short_time == short).collect::<Vec<_>>());
        let time = endurance(&self.bank, &loads(self.plan, self.members, on));
        ModeSheet {
            mode: mode.cloned(),
            name,
            hours,
            continuous: sum(Quantity::ContinuousLoads, &steady),
            short_time: sum(Quantity::ShortTimeLoads, &short),
            charge: charge(&lines),
            design: design(on, &lines, self.short_time),
            to_minimum: time.map(|(time, working)| Figured { value: time.get::<hour>(), working }),
            unknown: lines.iter().filter(|line| line.current.is_none()).count(),
            loads: lines,
        }
    }

    /// The loads of a circuit.
    fn lines(&self, circuit: &Circuit, share: f64, hours: f64) -> Vec<LoadLine> {
        let line = |id: &DeviceId| {
            let load = self.plan.device(id).and_then(|device| device.load);
            let current = load.map(|load| self.current(load));
            LoadLine {
                circuit: circuit.id.clone(),
                device: id.clone(),
                charge: current.as_ref().map(|current| used(current.value, share, hours)),
                current,
                share,
                hours: share * hours,
                is_short_time: self.short_time.has(circuit),
            }
        };
        circuit.devices().map(line).collect()
    }

    /// The current of a load at the nominal voltage of the bank.
    fn current(&self, load: Load) -> Figured {
        let volts = figure(self.nominal_v);
        let (formula, numbers) = match load {
            Load::ConstantCurrent(own) => ("as entered", format!("{own} A")),
            Load::ConstantPower(own) => ("I = P / U at nominal voltage", format!("{own} W / {volts} V")),
            Load::Resistance(own) => ("I = U / R at nominal voltage", format!("{volts} V / {own} ohm")),
        };
        let value = load.current_at(nominal_of(self.plan, self.members)).get::<ampere>();
        figured(Quantity::LoadCurrent, formula, numbers, value, "A", &CIRCUIT_LAWS)
    }
}

fn figured(
    what: Quantity,
    formula: &'static str,
    numbers: String,
    value: f64,
    unit: &str,
    source: &'static crate::trade::source::Source,
) -> Figured {
    let result = format!("{} {unit}", figure(value)).into();
    Figured { value, working: Working { what, formula, numbers: numbers.into(), result, source } }
}

/// The charge that a load uses in a mode.
fn used(amperes: f64, share: f64, hours: f64) -> Figured {
    let numbers = format!("{} A x {} % x {} h", figure(amperes), figure(share * 100.0), figure(hours));
    let value = amperes * share * hours;
    figured(Quantity::LoadCharge, "current x share of time x hours", numbers, value, "Ah", &CHARGE_BALANCE)
}

/// The sum of the known currents, each with its device; `None` without a load.
fn sum(what: Quantity, lines: &[&LoadLine]) -> Option<Figured> {
    let known = lines.iter().filter_map(|line| Some((line, line.current.as_ref()?.value)));
    let known: Vec<_> = known.collect();
    let terms = known.iter().map(|(line, amperes)| format!("{} A ({})", figure(*amperes), line.device));
    let value = known.iter().fold(0.0, |sum, (_, amperes)| sum + amperes);
    let sum = || figured(what, "sum of the currents", added(terms), value, "A", &LOAD_WORKSHEET);
    (!lines.is_empty()).then(sum)
}

/// The charge of all known loads.
fn charge(lines: &[LoadLine]) -> Figured {
    let known: Vec<_> = lines.iter().filter_map(|line| Some((line, line.charge.as_ref()?.value))).collect();
    let terms = known.iter().map(|(line, charge)| format!("{} Ah ({})", figure(*charge), line.device));
    let value = known.iter().fold(0.0, |sum, (_, charge)| sum + charge);
    figured(Quantity::ModeCharge, "sum of the charges", added(terms), value, "Ah", &LOAD_WORKSHEET)
}

fn added(terms: impl Iterator<Item = String>) -> String {
    let terms: Vec<String> = terms.collect();
    if terms.is_empty() { "no load".to_owned() } else { terms.join(" + ") }
}

/// The design load of what is on, by circuits, as for a feeder.
fn design(on: &[(&Circuit, f64)], lines: &[LoadLine], short_time: &ShortTime<'_>) -> Figured {
    let (mut steady, mut short) = (Vec::new(), Vec::new());
    for (circuit, _) in on {
        let own = lines.iter().filter(|line| line.circuit == circuit.id);
        let known = own.filter_map(|line| Some(line.current.as_ref()?.value));
        let current = known.fold(0.0, |sum, amperes| sum + amperes);
        if short_time.has(circuit) { short.push(current) } else { steady.push(current) }
    }
    let (load, working) = design_load(&steady, &short, None);
    Figured { value: load.get::<ampere>(), working }
}
