//! A wire or cable itself: its size, its color, its ends, and its length to cut.

use uom::si::area::square_millimeter;
use uom::si::length::meter;

use crate::drawing::wire::DrawnWire;
use crate::job::conductor::{Conductor, Of};
use crate::job::plan::{Circuit, Plan};
use crate::job::point::Body;
use crate::job::run::cable::DeviceCable;
use crate::job::run::{At, Piece};
use crate::job::{color, length};
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};

/// The size of a conductor: as given, or as the check chose it.
pub fn size_of(job: &Opened, conductor: &Conductor) -> Option<Size> {
    conductor.size.or_else(|| match &conductor.of {
        Of::Circuit(id) => job.report.circuits.get(id).and_then(|circuit| circuit.conductor.size),
        Of::Feeder(id) => job.report.feeders.get(id).and_then(|feeder| feeder.conductor.size),
    })
}

/// The wire or cable as a drawing, with these labels on its sleeves. The color of a cable's jacket cannot be chosen.
pub fn drawn<'a>(job: &Opened, piece: impl Into<Piece<'a>>, labels: [&str; 2]) -> DrawnWire {
    let conductor = match piece.into() {
        Piece::Cable(own) => return DrawnWire::new("from its manufacturer", own.cable.kind.words(), labels),
        Piece::Wire(conductor) => conductor,
    };
    let size = size_of(job, conductor);
    let text = size.map_or("size to choose".to_owned(), |size| size.to_string());
    let wire = DrawnWire::new(color::of(&job.plan, conductor), &text, labels);
    match size {
        Some(size) => wire.area_mm2(size.area().get::<square_millimeter>()),
        None => wire,
    }
}

/// The wire or cable in plain text: `14 AWG orange`, `antenna coax`.
pub fn words<'a>(job: &Opened, piece: impl Into<Piece<'a>>) -> String {
    let conductor = match piece.into() {
        Piece::Cable(own) => return own.cable.kind.words().to_owned(),
        Piece::Wire(conductor) => conductor,
    };
    let color = color::of(&job.plan, conductor);
    size_of(job, conductor)
        .map_or_else(|| format!("size to choose, {color}"), |size| format!("{size} {color}"))
}

/// The length of a factory cable, in plain text.
pub fn made_length(own: DeviceCable<'_>, unit: LengthUnit) -> String {
    own.made_length().map_or_else(|| "cut to length".to_owned(), |length| unit.said(length.get::<meter>()))
}

/// The two ends of a piece by name: `Fuse block → Panel 3`, `Radar, T-top → Console`.
pub fn way<'a>(plan: &Plan, piece: impl Into<Piece<'a>>) -> String {
    match piece.into() {
        Piece::Wire(wire) => {
            let [from, to] = [&wire.from, &wire.to].map(|at| landing(plan, &At::Landing(at.clone())));
            format!("{from} \u{2192} {to}")
        }
        piece @ Piece::Cable(_) => {
            let [from, to] = piece.ends().map(|end| landed(plan, &end.at));
            format!("{from} \u{2192} {to}")
        }
    }
}

/// Where an end lands, by its name and position: `Panel 3`.
pub fn landing(plan: &Plan, at: &At) -> String {
    match at.position() {
        0 => at.called(plan).to_owned(),
        position => format!("{} {position}", at.called(plan)),
    }
}

/// Where an end lands and at which location: `Panel 3, Helm console`.
pub fn landed(plan: &Plan, at: &At) -> String {
    match (at, at.location_name(plan)) {
        (At::Landing(_), Some(location)) => format!("{}, {location}", landing(plan, at)),
        _ => landing(plan, at),
    }
}

/// The page of a piece.
pub fn href(job: &Opened, piece: Piece<'_>) -> String {
    format!("{}/wires/{}", job.href(), piece.id())
}

/// The length to cut a wire, which opens on its working, or why it is not known.
pub fn cut(job: &Opened, unit: LengthUnit, conductor: &Conductor) -> Sentence {
    let run = job.report.routes.run_of(conductor);
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
                .words(" by its route, loops and waste included")
        }
        (Some(meters), Some(cut)) if meters > 0.0 => {
            let short = cut.total_m - cut.waste_m - meters;
            // Half a centimeter is rounding.
            let short =
                if short > 0.005 { format!(", short by {}", unit.said(short)) } else { String::new() };
            let way = Cell::by(
                conductor.id.as_str(),
                "needed by its route",
                Figure::length(cut.total_m, unit),
                by_its_way(),
            );
            set(meters)
                .words(format!(" set by hand{short}; its route needs "))
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

/// The working of a wire's length.
pub fn planned(job: &Opened, conductor: &Conductor) -> Vec<Working> {
    length::of_wire(&job.plan, &job.conductors, &job.report.routes, conductor)
}

/// The circuit or feeder of a conductor, by name and label.
pub fn circuit(plan: &Plan, conductor: &Conductor) -> String {
    match &conductor.of {
        Of::Feeder(id) => {
            plan.feeder(id).map_or_else(|| id.to_string(), |feeder| plan.feeder_name_and_label(feeder))
        }
        Of::Circuit(id) => plan.circuit(id).map_or_else(|| id.to_string(), Circuit::name_and_label),
    }
}

/// The label and position of a circuit's switch: `NAV (Panel 3)`.
pub fn switch(plan: &Plan, circuit: &Circuit) -> Option<String> {
    let at = circuit.switch.as_ref()?;
    let point = plan.point(&at.panel)?;
    let Body::SwitchPanel(panel) = &point.body else { return None };
    let label = panel.positions.get(usize::from(at.position).checked_sub(1)?)?;
    Some(format!("{} ({} {})", label.label, point.called(), at.position))
}
