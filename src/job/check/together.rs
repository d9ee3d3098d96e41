//! The sizes of a plan beside those with every size chosen again.

use uom::si::area::square_meter;

use super::context::{CheckContext, Index};
use super::joint::copper_m;
use super::joint::report::{JointReport, WireSize};
use super::needed::Needed;
use super::report::{By, Report};
use super::whole::{check, sizes_by_themselves};
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::source::LEAST_COPPER;
use crate::trade::working::{Working, figure};

/// Copper, in kg/m3.
const COPPER_KG_PER_M3: f64 = 8960.0;

/// The sizes of a checked plan beside those with every size chosen again. This takes as long as another check.
pub fn together(plan: &Plan, report: &Report) -> JointReport {
    let open = without_sizes(plan);
    compared(plan, report, &open, &check(&open))
}

/// The sizes of a checked plan beside those of the check of the same plan with sizes left open.
pub fn compared(plan: &Plan, report: &Report, open: &Plan, anew: &Report) -> JointReport {
    // The conductors of the open plan have no size of their own, unless a single one was given it.
    let (conductors, nothing) = (anew.conductors(open), Needed::default());
    let smallest = sizes_by_themselves(&CheckContext::new(open, &conductors, Index::of(open), &nothing));
    let subjects = (plan.feeders.iter().map(|one| Subject::new(SubjectKind::Feeder, &one.id)))
        .chain(plan.circuits.iter().map(|one| Subject::new(SubjectKind::Circuit, &one.id)));
    let sized = |subject: Subject| WireSize {
        copper_m: copper_m(&conductors, &subject),
        planned: report.of_wire(&subject).and_then(|own| own.size),
        given: report.of_wire(&subject).is_some_and(|own| own.size_by == Some(By::Given)),
        anew: anew.of_wire(&subject).and_then(|own| own.size),
        smallest: smallest.of_wire(&subject),
        subject,
    };
    let wires: Vec<WireSize> = subjects.map(sized).collect();
    let kilograms = |size: fn(&WireSize) -> Option<Size>| {
        let each = wires.iter().filter_map(|wire| Some(wire.copper_m * kilograms_per_meter(size(wire)?)));
        each.sum::<f64>()
    };
    let anew_kg = kilograms(|wire| wire.anew);
    JointReport {
        planned_kg: kilograms(|wire| wire.planned),
        lower_bound_kg: kilograms(|wire| wire.smallest),
        working: copper_working(&wires, anew_kg),
        anew_kg,
        wires,
    }
}

/// The plan with its sizes left open, except those of starter cables and of single conductors.
fn without_sizes(plan: &Plan) -> Plan {
    let mut open = plan.clone();
    open.feeders.iter_mut().filter(|feeder| !feeder.cranking).for_each(|feeder| feeder.size = None);
    open.circuits.iter_mut().for_each(|circuit| circuit.size = None);
    open
}

fn kilograms_per_meter(size: Size) -> f64 {
    size.area().get::<square_meter>() * COPPER_KG_PER_M3
}

fn copper_working(wires: &[WireSize], kg: f64) -> Working {
    let term = |wire: &WireSize| {
        let per_meter = figure(kilograms_per_meter(wire.anew?));
        Some(format!("{} m x {per_meter} kg/m ({})", figure(wire.copper_m), wire.subject.id))
    };
    Working {
        what: Quantity::Copper,
        formula: "sum of length x area x 8960 kg/m3",
        numbers: wires.iter().filter_map(term).collect::<Vec<_>>().join(" + ").into(),
        result: format!("{} kg", figure(kg)).into(),
        source: &LEAST_COPPER,
    }
}
