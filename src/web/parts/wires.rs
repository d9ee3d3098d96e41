//! A conductor as the wire itself: its size, its color, where it runs, how long it is cut.

use uom::si::area::square_millimeter;
use uom::si::length::meter;

use crate::drawing::wire::Wire;
use crate::job::plan::{Circuit, Plan};
use crate::job::point::Body;
use crate::job::wiring::{Conductor, Landing, Of};
use crate::job::{color, length};
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};

/// The size a conductor has: as given, or as the check chose it.
pub fn size_of(job: &Opened, conductor: &Conductor) -> Option<Size> {
    conductor.size.or_else(|| match &conductor.of {
        Of::Circuit(id) => job.report.circuits.get(id).and_then(|circuit| circuit.size),
        Of::Feeder(id) => job.report.feeders.get(id).and_then(|feeder| feeder.size),
    })
}

/// The wire as a drawn piece with these labels on its sleeves.
pub fn drawn(job: &Opened, conductor: &Conductor, labels: [&str; 2]) -> Wire {
    let size = size_of(job, conductor);
    let text = size.map_or("size to choose".to_owned(), |size| size.to_string());
    let wire = Wire::new(color::of(&job.plan, conductor), &text, labels);
    match size {
        Some(size) => wire.area_mm2(size.area().get::<square_millimeter>()),
        None => wire,
    }
}

/// The wire in words: `14 AWG orange`.
pub fn words(job: &Opened, conductor: &Conductor) -> String {
    let color = color::of(&job.plan, conductor);
    size_of(job, conductor)
        .map_or_else(|| format!("size to choose, {color}"), |size| format!("{size} {color}"))
}

/// Where a conductor runs, by the names of what it joins: `Fuse block → Panel 3`.
pub fn way(plan: &Plan, conductor: &Conductor) -> String {
    format!("{} \u{2192} {}", landing(plan, &conductor.from), landing(plan, &conductor.to))
}

/// Where an end lands, by its name and position: `Panel 3`.
pub fn landing(plan: &Plan, landing: &Landing) -> String {
    match landing {
        Landing::Device(id) => {
            plan.device(id).map_or_else(|| id.to_string(), |device| device.name.to_string())
        }
        Landing::Point { id, position } => {
            let name = plan.point(id).map_or(id.as_str(), |point| point.called());
            position.map_or_else(|| name.to_owned(), |position| format!("{name} {position}"))
        }
    }
}

/// Where an end lands and at which location that is: `Panel 3, Helm console`.
pub fn landed(plan: &Plan, at: &Landing) -> String {
    let location = at.location(plan).and_then(|id| plan.location(id));
    location.map_or_else(|| landing(plan, at), |location| format!("{}, {}", landing(plan, at), location.name))
}

/// How long a wire is cut, open on how that came about, or why it is not known.
pub fn cut(job: &Opened, unit: LengthUnit, conductor: &Conductor) -> Sentence {
    let run = job.report.routes.run_of(&conductor.id);
    let cut = run.and_then(|run| run.cut.as_ref());
    let by_its_way =
        || run.and_then(|run| run.path.clone()).into_iter().chain(cut.map(|cut| cut.working.clone()));
    let opens = |name, meters, workings| {
        let value = Figure::length(meters, unit);
        Sentence::default().figure(Cell::by(conductor.id.as_str(), name, value, workings))
    };
    let set = |meters| opens("cut to", meters, planned(job, conductor));
    let given = conductor.length.map(|length| length.get::<meter>());
    match (given, cut) {
        (_, Some(cut)) if run.is_some_and(|run| !run.length_given) => {
            opens("cut to", cut.total_m, by_its_way().collect())
                .words(" by its way, loops and waste included")
        }
        (Some(meters), Some(cut)) if meters > 0.0 => {
            let short = cut.total_m - cut.waste_m - meters;
            // Half a centimeter is rounding.
            let short =
                if short > 0.005 { format!(", short by {}", unit.said(short)) } else { String::new() };
            let way = Cell::by(
                conductor.id.as_str(),
                "asked for by its way",
                Figure::length(cut.total_m, unit),
                by_its_way(),
            );
            set(meters)
                .words(format!(" set by hand{short}; its way asks for "))
                .figure(way)
                .words(", loops and waste included")
        }
        (Some(meters), None) if meters > 0.0 => {
            set(meters).words(" as planned; leave slack for the loops at both ends")
        }
        (Some(_), _) => "counted as touching: measure it before it is cut".into(),
        (None, _) => "no length planned: measure it before it is cut".into(),
    }
}

/// How the length of a wire came about.
pub fn planned(job: &Opened, conductor: &Conductor) -> Vec<Working> {
    length::of_wire(&job.plan, &job.conductors, &job.report.routes, conductor)
}

/// The circuit a conductor belongs to, by id and name; a feeder by its id.
pub fn circuit(plan: &Plan, conductor: &Conductor) -> String {
    match &conductor.of {
        Of::Feeder(id) => id.to_string(),
        Of::Circuit(id) => {
            plan.circuit(id).map_or_else(|| id.to_string(), |circuit| format!("{id} {}", circuit.name))
        }
    }
}

/// The label of a circuit's switch and where it is: `NAV (Panel 3)`.
pub fn switch(plan: &Plan, circuit: &Circuit) -> Option<String> {
    let at = circuit.switch.as_ref()?;
    let point = plan.point(&at.panel)?;
    let Body::SwitchPanel(panel) = &point.body else { return None };
    let label = panel.positions.get(usize::from(at.position).checked_sub(1)?)?;
    Some(format!("{} ({} {})", label.label, point.called(), at.position))
}
