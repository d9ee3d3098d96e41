//! The paths of a circuit to its devices: their lengths, the current of each conductor, and the calculated
//! drop.

use std::ops::{Add, Range};
use std::rc::Rc;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::percent;

use super::context::{CheckContext, total};
use crate::job::conductor::{Conductor, ConductorRole};
use crate::job::plan::{self, Circuit, Polarity};
use crate::job::value::DeviceId;
use crate::job::wiring::Path;
use crate::trade::conductor::Size;
use crate::trade::drop::{self, Drop, PathLength};
use crate::trade::quantity::Quantity;
use crate::trade::source::GIVEN_LENGTHS;
use crate::trade::working::{self, Numbers, Working, figure};

/// The paths of a circuit to its devices, with the current of each conductor.
pub(super) struct Legs<'a> {
    pub(super) design_current: Option<ElectricCurrent>,
    pub(super) ways: Vec<DeviceLeg<'a>>,
    /// The conductors of the circuit: its jumpers, then a pair for each device.
    wires: Rc<[Carrying<'a>]>,
}

/// A conductor and its current, if known.
#[derive(Clone, Copy)]
struct Carrying<'a> {
    wire: &'a Conductor,
    current: Option<ElectricCurrent>,
}

/// The path to one device. In a chain the paths of all devices overlap, so each is kept by its sums.
pub(super) struct DeviceLeg<'a> {
    pub(super) device: &'a DeviceId,
    pub(super) one_way: Option<Length>,
    pub(super) round_trip: Option<Length>,
    /// The length over which the whole current causes the same drop.
    equivalent: Option<Length>,
    wires: Rc<[Carrying<'a>]>,
    jumpers: usize,
    /// Its pairs among the conductors of the circuit.
    pairs: Range<usize>,
}

impl<'a> Legs<'a> {
    pub(super) fn new(context: &CheckContext<'a>, circuit: &'a Circuit) -> Self {
        let taken: Vec<_> = circuit.devices().map(|device| context.current_of(device)).collect();
        let design_current = total(taken.iter().copied());
        let all = context.conductors.of_circuit(&circuit.id).iter();
        // The path by the hand switch is the longer.
        let all: Vec<&Conductor> = all.filter(|wire| wire.role != ConductorRole::ToFloat).collect();
        let jumpers = all.len().saturating_sub(2 * circuit.legs.len());
        let of_legs = of_legs(circuit.wiring, &taken, design_current);
        let current = |at: usize| match at.checked_sub(jumpers) {
            None => design_current,
            Some(in_pairs) => of_legs.get(in_pairs / 2).copied().flatten(),
        };
        let wires = all.into_iter().enumerate().map(|(at, wire)| Carrying { wire, current: current(at) });
        let wires: Rc<[Carrying<'a>]> = wires.collect();
        let lengths = sums(circuit.wiring, &wires, jumpers, |one| one.wire.length);
        let shares = lengths_by_share(circuit.wiring, &wires, jumpers, design_current);
        let ways = circuit.devices().enumerate().map(|(at, device)| DeviceLeg {
            device,
            one_way: lengths.get(at).and_then(|sums| sums.out),
            round_trip: lengths.get(at).and_then(PathSums::whole),
            equivalent: shares.get(at).and_then(PathSums::whole),
            wires: Rc::clone(&wires),
            jumpers,
            pairs: match circuit.wiring {
                plan::Wiring::Chain => jumpers..jumpers + 2 * (at + 1),
                plan::Wiring::HomeRuns => jumpers + 2 * at..jumpers + 2 * (at + 1),
            },
        });
        Self { design_current, ways: ways.collect(), wires }
    }

    /// The longest of the paths; `None` if the length of one is not known.
    pub(super) fn longest(&self, length: fn(&DeviceLeg<'a>) -> Option<Length>) -> Option<Length> {
        let lengths: Option<Vec<_>> = self.ways.iter().map(length).collect();
        lengths?.into_iter().max_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// The device with the longest path; of equally long paths, the last in the circuit.
    pub(super) fn farthest(&self) -> Option<&DeviceLeg<'a>> {
        let length = |leg: &DeviceLeg<'a>| leg.round_trip.map_or(f64::INFINITY, |length| length.value);
        self.ways.iter().max_by(|one, other| length(one).total_cmp(&length(other)))
    }

    pub(super) fn strictest(&self, context: &CheckContext<'_>) -> Option<Ratio> {
        let limits = self.ways.iter().map(|leg| context.drop_limit(leg.device));
        limits.min_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// The path that needs the most copper, as its equivalent length out and back and its drop limit. The
    /// equivalent length is the length over which the whole current causes the same drop.
    pub(super) fn most_demanding(&self, context: &CheckContext<'_>) -> Option<(Length, Ratio)> {
        let demands: Option<Vec<_>> = self
            .ways
            .iter()
            .map(|leg| {
                // Without a current, use the full length. The missing current has its own finding.
                let length = match self.design_current {
                    Some(_) => leg.equivalent?,
                    None => leg.round_trip?,
                };
                Some((length, context.drop_limit(leg.device)))
            })
            .collect();
        let strain = |(length, limit): &(Length, Ratio)| length.value / limit.value;
        demands?.into_iter().max_by(|one, other| strain(one).total_cmp(&strain(other)))
    }

    /// The longest single wire of the circuit's own size; `None` if the length of one is not known.
    pub(super) fn longest_wire(&self, size: Option<Size>) -> Option<Length> {
        let of_its_size = |wire: &&Conductor| wire.size.is_none_or(|own| Some(own) == size);
        let wires = self.conductors().map(|(wire, _)| wire).filter(of_its_size);
        let lengths: Option<Vec<_>> = wires.map(|wire| wire.length).collect();
        lengths?.into_iter().max_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// The calculated drop at each device in volts, if it is known.
    pub(super) fn drops(
        &self,
        context: &CheckContext<'_>,
        size: Option<Size>,
    ) -> impl Iterator<Item = (&DeviceLeg<'a>, Option<ElectricPotential>)> {
        let rules = context.plan.job.rules;
        // The volts of the formula do not depend on the nominal voltage.
        let volts = |one: &Carrying<'_>| {
            let length = PathLength::RoundTrip(one.wire.length?);
            Some(
                drop::handbook(rules, one.wire.size.or(size)?, one.current?, length, context.nominal()).volts,
            )
        };
        let jumpers = self.ways.first().map_or(0, |leg| leg.jumpers);
        let sums = sums(self.wiring().unwrap_or_default(), &self.wires, jumpers, volts);
        let is_known = size.is_some() && self.design_current.is_some();
        self.ways.iter().zip(sums).map(move |(leg, sums)| (leg, sums.whole().filter(|_| is_known)))
    }

    /// The device that is nearest to its limit or farthest over it by its calculated drop, with drop and
    /// limit. `None` if one of the drops is not known.
    pub(super) fn worst_drop(
        &self,
        context: &CheckContext<'_>,
        size: Option<Size>,
    ) -> Option<(&'a DeviceId, Drop, Ratio)> {
        let drops: Option<Vec<_>> = self.drops(context, size).map(|(leg, drop)| Some((leg, drop?))).collect();
        let strain = |(leg, drop): &(&DeviceLeg<'a>, ElectricPotential)| {
            let share = *drop / context.sides().of_device(leg.device);
            share.value / context.drop_limit(leg.device).value
        };
        let (worst, _) = drops?.into_iter().max_by(|one, other| strain(one).total_cmp(&strain(other)))?;
        let drop = worst.handbook_drop(context, size?, self.design_current?)?;
        Some((worst.device, drop, context.drop_limit(worst.device)))
    }

    /// How the devices share the wire. A single device is both a chain and a home run.
    fn wiring(&self) -> Option<plan::Wiring> {
        let first = self.ways.first()?.pairs.start;
        let is_chain = self.ways.last()?.pairs.start == first;
        Some(if is_chain { plan::Wiring::Chain } else { plan::Wiring::HomeRuns })
    }

    /// Each conductor of the circuit with its current.
    pub(super) fn conductors(&self) -> impl Iterator<Item = (&'a Conductor, Option<ElectricCurrent>)> {
        self.wires.iter().map(|one| (one.wire, one.current))
    }

    pub(super) fn has_other_sizes(&self, size: Option<Size>) -> bool {
        self.conductors().any(|(conductor, _)| conductor.size.is_some() && conductor.size != size)
    }
}

/// Sums over the path to a device.
#[derive(Clone, Copy)]
struct PathSums<T> {
    /// Over its jumpers and the way out.
    out: Option<T>,
    /// Over the way back.
    back: Option<T>,
}

impl<T: Add<Output = T> + Copy> PathSums<T> {
    fn whole(&self) -> Option<T> {
        Some(self.out? + self.back?)
    }

    fn and(&self, out: Option<T>, back: Option<T>) -> Self {
        let sum = |one: Option<T>, other: Option<T>| Some(one? + other?);
        Self { out: sum(self.out, out), back: sum(self.back, back) }
    }
}

/// The sums of something over the path to each device. In a chain each path goes on from the one before.
fn sums<'a, T: Add<Output = T> + Copy + Default>(
    wiring: plan::Wiring,
    wires: &[Carrying<'a>],
    jumpers: usize,
    of: impl Fn(&Carrying<'a>) -> Option<T>,
) -> Vec<PathSums<T>> {
    let (before, pairs) = wires.split_at(jumpers.min(wires.len()));
    let jumpers = before.iter().try_fold(T::default(), |sum, wire| Some(sum + of(wire)?));
    let mut so_far = PathSums { out: jumpers, back: Some(T::default()) };
    let of_pairs = pairs.chunks_exact(2).map(|pair| {
        let sums = so_far.and(pair.first().and_then(&of), pair.last().and_then(&of));
        if wiring == plan::Wiring::Chain {
            so_far = sums;
        }
        sums
    });
    of_pairs.collect()
}

/// The lengths of the paths, each conductor weighted by its share of the whole current.
fn lengths_by_share(
    wiring: plan::Wiring,
    wires: &[Carrying<'_>],
    jumpers: usize,
    whole: Option<ElectricCurrent>,
) -> Vec<PathSums<Length>> {
    sums(wiring, wires, jumpers, |one| {
        let (length, whole) = (one.wire.length?, whole?);
        if whole.value <= 0.0 {
            return Some(length);
        }
        Some(length * (one.current?.value / whole.value))
    })
}

/// The current in the pair of each device. In a chain it is the sum of the loads past its near end.
fn of_legs(
    wiring: plan::Wiring,
    taken: &[Option<ElectricCurrent>],
    whole: Option<ElectricCurrent>,
) -> Vec<Option<ElectricCurrent>> {
    let mut of_legs = taken.to_vec();
    if wiring == plan::Wiring::Chain {
        let mut past = Some(ElectricCurrent::new::<ampere>(0.0));
        for current in of_legs.iter_mut().rev() {
            past = past.zip(*current).map(|(past, own)| past + own);
            *current = past;
        }
        if let Some(first) = of_legs.first_mut() {
            *first = whole;
        }
    }
    of_legs
}

impl<'a> DeviceLeg<'a> {
    /// Its conductors: the jumpers, then those out to the device, then those back.
    fn conductors(&self) -> impl Iterator<Item = &Carrying<'a>> {
        let of = |polarity: Polarity| {
            let pairs = self.wires.get(self.pairs.clone()).unwrap_or_default().iter();
            pairs.filter(move |one| one.wire.polarity == polarity)
        };
        let jumpers = self.wires.iter().take(self.jumpers);
        jumpers.chain(of(Polarity::Positive)).chain(of(Polarity::Negative))
    }

    /// The path itself.
    pub(super) fn path(&self) -> Path<'a> {
        let is_back = |wire: &&Conductor| wire.polarity == Polarity::Negative;
        let (back, out) = self.conductors().map(|one| one.wire).partition(is_back);
        Path { out, back }
    }

    /// The conductors with their currents and lengths, if all are known.
    pub(super) fn known(&self) -> Option<Vec<(&'a Conductor, ElectricCurrent, Length)>> {
        self.conductors().map(|one| Some((one.wire, one.current?, one.wire.length?))).collect()
    }

    /// One formula if one size carries the whole current over the whole length; otherwise the sum over the
    /// conductors.
    fn handbook_drop(&self, context: &CheckContext<'_>, size: Size, whole: ElectricCurrent) -> Option<Drop> {
        let (rules, nominal) = (context.plan.job.rules, context.sides().of_device(self.device));
        let pieces: Vec<_> = self.known()?.into_iter().filter(|(.., length)| length.value > 0.0).collect();
        let alike = |(wire, current, _): &(&Conductor, ElectricCurrent, Length)| {
            wire.size.is_none_or(|own| own == size) && *current == whole
        };
        if pieces.iter().all(alike) {
            let length = PathLength::RoundTrip(self.round_trip?);
            return Some(drop::handbook(rules, size, whole, length, nominal));
        }
        let drops = pieces.iter().map(|(wire, current, length)| {
            let size = wire.size.unwrap_or(size);
            drop::handbook(rules, size, *current, PathLength::RoundTrip(*length), nominal)
        });
        sum_of(drops.collect(), nominal)
    }
}

/// The total of drops in series.
fn sum_of(drops: Vec<Drop>, nominal: ElectricPotential) -> Option<Drop> {
    let volts = drops.iter().fold(ElectricPotential::new::<volt>(0.0), |sum, drop| sum + drop.volts);
    let first = drops.first()?;
    let numbers = drops.iter().map(|drop| drop.working.numbers.clone());
    let share = volts / nominal;
    let result = format!("{} V ({} %)", figure(volts.get::<volt>()), figure(share.get::<percent>()));
    let working =
        Working { numbers: Numbers::joined(numbers, " + "), result: result.into(), ..first.working.clone() };
    Some(Drop { volts, share, working })
}

/// The workings of the wire lengths to the farthest device, then of the lengths out and back.
pub(super) fn length_workings(leg: &DeviceLeg<'_>) -> impl Iterator<Item = Working> + use<> {
    let path = &leg.path();
    let one_way = summed(
        Quantity::OneWay,
        "sum of its wires to the farthest device",
        path.out.iter().copied(),
        leg.one_way,
    );
    let round_trip = summed(
        Quantity::ThereAndBack,
        "sum of its wires to the farthest device and back",
        path.conductors(),
        leg.round_trip,
    );
    one_way.into_iter().chain(round_trip)
}

fn summed<'a>(
    what: Quantity,
    formula: &'static str,
    wires: impl Iterator<Item = &'a Conductor>,
    whole: Option<Length>,
) -> Option<Working> {
    let whole = whole?.get::<meter>();
    let terms = wires.map(|wire| {
        let length = wire.length?.get::<meter>();
        let length = working::length((length * 1000.0).round() / 1000.0);
        Some(Numbers::filled("{} ({})", [length, wire.id.to_string().into()]))
    });
    Some(Working {
        what,
        formula,
        numbers: Numbers::joined(terms.collect::<Option<Vec<_>>>()?, " + "),
        result: working::length((whole * 1000.0).round() / 1000.0),
        source: &GIVEN_LENGTHS,
    })
}
