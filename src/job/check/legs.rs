//! The paths of a circuit to its devices: their lengths, the current of each conductor, and the calculated
//! drop.

use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::percent;

use super::context::{CheckContext, total};
use crate::job::conductor::Conductor;
use crate::job::plan::{self, Circuit};
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
}

/// The path to one device.
pub(super) struct DeviceLeg<'a> {
    pub(super) device: &'a DeviceId,
    pub(super) path: Path<'a>,
    /// The current of each conductor of the path, if known.
    currents: Vec<Option<ElectricCurrent>>,
}

impl<'a> Legs<'a> {
    pub(super) fn new(context: &CheckContext<'a>, circuit: &'a Circuit) -> Self {
        let taken: Vec<_> = circuit.devices().map(|device| context.current_of(device)).collect();
        let design_current = total(taken.iter().copied());
        let ways = circuit.devices().enumerate().map(|(index, device)| {
            let path = context.conductors.path(circuit, index);
            let currents = path.conductors().map(|wire| carried(circuit, &taken, index, wire)).collect();
            DeviceLeg { device, path, currents }
        });
        Self { design_current, ways: ways.collect() }
    }

    /// The longest of the paths; `None` if the length of one is not known.
    pub(super) fn longest(&self, length: fn(&Path<'a>) -> Option<Length>) -> Option<Length> {
        let lengths: Option<Vec<_>> = self.ways.iter().map(|leg| length(&leg.path)).collect();
        lengths?.into_iter().max_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// The longest single wire of the circuit's own size; `None` if the length of one is not known.
    pub(super) fn longest_wire(&self, size: Option<Size>) -> Option<Length> {
        let of_its_size = |wire: &&Conductor| wire.size.is_none_or(|own| Some(own) == size);
        let wires = self.conductors().map(|(wire, _)| wire).filter(of_its_size);
        let lengths: Option<Vec<_>> = wires.map(|wire| wire.length).collect();
        lengths?.into_iter().max_by(|one, other| one.value.total_cmp(&other.value))
    }

    /// The device with the longest path; of equally long paths, the last in the circuit.
    pub(super) fn farthest(&self) -> Option<&DeviceLeg<'a>> {
        let length = |leg: &DeviceLeg<'a>| leg.path.round_trip().map_or(f64::INFINITY, |length| length.value);
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
                    Some(whole) => leg.equivalent_length(whole)?,
                    None => leg.path.round_trip()?,
                };
                Some((length, context.drop_limit(leg.device)))
            })
            .collect();
        let strain = |(length, limit): &(Length, Ratio)| length.value / limit.value;
        demands?.into_iter().max_by(|one, other| strain(one).total_cmp(&strain(other)))
    }

    /// The calculated drop at each device, if it is known.
    pub(super) fn drops(
        &self,
        context: &CheckContext<'_>,
        size: Option<Size>,
    ) -> impl Iterator<Item = (&DeviceLeg<'a>, Option<Drop>)> {
        let drop = move |leg: &DeviceLeg<'a>| leg.handbook_drop(context, size?, self.design_current?);
        self.ways.iter().map(move |leg| (leg, drop(leg)))
    }

    /// The device that is nearest to its limit or farthest over it by its calculated drop, with drop and
    /// limit. `None` if one of the drops is not known.
    pub(super) fn worst_drop(
        &self,
        context: &CheckContext<'_>,
        size: Option<Size>,
    ) -> Option<(&'a DeviceId, Drop, Ratio)> {
        let drops = self.drops(context, size);
        let drops: Option<Vec<_>> =
            drops.map(|(leg, drop)| Some((leg.device, drop?, context.drop_limit(leg.device)))).collect();
        let strain = |(_, drop, limit): &(&DeviceId, Drop, Ratio)| drop.share.value / limit.value;
        drops?.into_iter().max_by(|one, other| strain(one).total_cmp(&strain(other)))
    }

    pub(super) fn conductors(&self) -> impl Iterator<Item = (&'a Conductor, Option<ElectricCurrent>)> {
        self.ways.iter().flat_map(|leg| leg.path.conductors().zip(leg.currents.iter().copied()))
    }

    pub(super) fn has_other_sizes(&self, size: Option<Size>) -> bool {
        self.conductors().any(|(conductor, _)| conductor.size.is_some() && conductor.size != size)
    }
}

impl DeviceLeg<'_> {
    /// The conductors with their currents and lengths, if all are known.
    pub(super) fn known(&self) -> Option<Vec<(&Conductor, ElectricCurrent, Length)>> {
        let wires = self.path.conductors().zip(&self.currents);
        wires.map(|(wire, current)| Some((wire, (*current)?, wire.length?))).collect()
    }

    /// The length of the path, with each conductor weighted by its share of the whole current.
    pub(super) fn equivalent_length(&self, whole: ElectricCurrent) -> Option<Length> {
        if whole.value <= 0.0 {
            return self.path.round_trip();
        }
        let nothing = Length::new::<meter>(0.0);
        let share = |(_, current, length): (&Conductor, ElectricCurrent, Length)| {
            length * (current.value / whole.value)
        };
        Some(self.known()?.into_iter().map(share).fold(nothing, |sum, length| sum + length))
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
            let length = PathLength::RoundTrip(self.path.round_trip()?);
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

/// The current of a conductor on the path to a device. In a chain it is the sum of the loads past its near
/// end.
fn carried(
    circuit: &Circuit,
    taken: &[Option<ElectricCurrent>],
    device: usize,
    conductor: &Conductor,
) -> Option<ElectricCurrent> {
    if conductor.role.is_jumper() {
        return total(taken.iter().copied());
    }
    match circuit.wiring {
        plan::Wiring::HomeRuns => taken.get(device).copied().flatten(),
        plan::Wiring::Chain => {
            let far = |id: &str| circuit.devices().position(|device| device.as_str() == id);
            let [_, end] = conductor.ends();
            total(taken.get(far(end.at.id())?..)?.iter().copied())
        }
    }
}

/// The workings of the wire lengths to the farthest device, then of the lengths out and back.
pub(super) fn length_workings(leg: &DeviceLeg<'_>) -> impl Iterator<Item = Working> + use<> {
    let path = &leg.path;
    let one_way = summed(
        Quantity::OneWay,
        "sum of its wires to the farthest device",
        path.out.iter().copied(),
        path.one_way(),
    );
    let round_trip = summed(
        Quantity::ThereAndBack,
        "sum of its wires to the farthest device and back",
        path.conductors(),
        path.round_trip(),
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
