//! The facts of a wire or cable on its page.

use crate::job::conductor::{Conductor, Of};
use crate::job::label::Labels;
use crate::job::routing::{CableReport, RunReport};
use crate::job::run::Piece;
use crate::job::run::cable::DeviceCable;
use crate::job::value::RacewayId;
use crate::trade::working::figure;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Sentence;
use crate::web::parts::bench::Bench;
use crate::web::parts::wires;
use crate::web::parts::workings::{WorkingPiece, pieces};

/// One fact.
#[derive(Debug)]
pub struct WireFact {
    /// Its name.
    pub name: &'static str,
    /// Its text.
    pub said: Sentence,
    /// The address of a page with more about it.
    pub href: Option<String>,
}

fn plain(name: &'static str, said: impl Into<Sentence>) -> WireFact {
    WireFact { name, said: said.into(), href: None }
}

/// Its kind, its ends, the raceways it goes through, and the circuit or feeder it belongs to.
pub fn of(bench: &Bench<'_>, labels: &Labels, piece: Piece<'_>) -> Vec<WireFact> {
    let (job, unit) = (bench.job, bench.frame.length_unit());
    let mut facts = match piece {
        Piece::Wire(wire) => {
            vec![plain("Wire", wires::words(job, wire)), plain("Cut to", wires::cut(job, unit, wire))]
        }
        Piece::Cable(own) => {
            vec![plain("Cable", format!("{}, {}", wires::words(job, piece), wires::made_length(own, unit)))]
        }
    };
    let along = match piece {
        Piece::Wire(wire) => [&wire.from, &wire.to].map(|at| at.id().to_owned()),
        Piece::Cable(_) => piece.ends().map(|end| end.at.id().to_owned()),
    };
    let ends = piece.ends();
    for (name, at) in ["From", "To"].into_iter().zip(along) {
        let end = ends.iter().find(|end| end.at.id() == at);
        facts.extend(
            end.map(|end| plain(name, wires::landed(&job.plan, &end.at) + &printed(labels, &end.id))),
        );
    }
    facts.push(through(job, piece));
    match piece {
        Piece::Wire(wire) => {
            facts.push(plain("Its part", format!("{}, {}", wire.role.words(), wire.polarity.word())));
            facts.push(part_of(job, wire));
        }
        Piece::Cable(own) => {
            let report = job.report.routes.run_of(own).and_then(|run| run.cable.as_ref());
            let reach = report.map(|report| report.verdict.text(job.units));
            let reach = reach.unwrap_or_else(|| "Not checked: its route is not known.".to_owned());
            facts.push(plain(if piece.is_made_up() { "Reach" } else { "Length" }, reach));
            facts.push(plain("Connector", connector(job, own, report)));
            facts.push(WireFact {
                name: if piece.is_made_up() { "Comes with" } else { "Of" },
                said: own.device.name.to_string().into(),
                href: Some(format!("{}/plan/devices#{}", job.href(), own.device.id)),
            });
        }
    }
    facts
}

fn printed(labels: &Labels, end: &str) -> String {
    labels.get(end).map_or_else(String::new, |label| format!(", labeled {}", label.text))
}

/// How far a cable reaches, and how much room its connector has.
pub fn workings(job: &Opened, piece: Piece<'_>) -> Vec<WorkingPiece> {
    let Piece::Cable(own) = piece else { return Vec::new() };
    let Some(run) = job.report.routes.run_of(own) else { return Vec::new() };
    let Some(report) = &run.cable else { return Vec::new() };
    let tight = [&report.first_because, &report.stuck_beside].into_iter().flatten();
    let reach = report.reach.iter().map(|reach| &reach.working);
    let cut = run.cut.iter().map(|cut| &cut.working);
    pieces(reach.chain(cut).chain(tight.map(|tight| &tight.working)), job.units)
}

/// The raceways it is pulled through, in order from its start.
fn through(job: &Opened, piece: Piece<'_>) -> WireFact {
    let routes = &job.report.routes;
    let said = match routes.run_of(piece) {
        Some(run) if !run.raceways.is_empty() => raceways(job, &run.raceways),
        Some(RunReport { by: None, why, .. }) => why.clone(),
        _ => "no raceway: it stays where it is".to_owned(),
    };
    let lit = piece.cable().map(|own| format!("?run={}", own.cable.id)).unwrap_or_default();
    WireFact { name: "Through", said: said.into(), href: Some(format!("{}/routes{lit}", job.href())) }
}

/// Raceways by their names, in order.
fn raceways(job: &Opened, ids: &[RacewayId]) -> String {
    let names = ids.iter().map(|id| {
        let name = job.plan.raceway(id).and_then(|raceway| raceway.name.as_ref());
        name.map_or_else(|| id.to_string(), ToString::to_string)
    });
    names.collect::<Vec<_>>().join(", then ")
}

fn part_of(job: &Opened, wire: &Conductor) -> WireFact {
    let (said, path) = match &wire.of {
        Of::Circuit(id) => (wires::circuit(&job.plan, wire), format!("/circuits/{id}")),
        Of::Feeder(id) => (format!("Feeder {}", wire.label), format!("/feeders/{id}")),
    };
    WireFact { name: "Of", said: said.into(), href: Some(format!("{}{path}", job.href())) }
}

/// How wide a cable's connector is, and where it does not pass.
fn connector(job: &Opened, own: DeviceCable<'_>, report: Option<&CableReport>) -> String {
    let Some(width) = own.cable.hauled_mm() else { return "width not given".to_owned() };
    let width = format!("{} mm wide", figure(width.number()));
    let Some(report) = report else { return width };
    if !report.connector_stops_at.is_empty() {
        return format!("{width}: it does not pass {}", raceways(job, &report.connector_stops_at));
    }
    match (&report.stuck_beside, &report.first_because) {
        (Some(tight), _) => format!("{width}: it does not pass {} beside the wires in it", tight.raceway),
        (None, Some(tight)) => format!("{width}: pull it before the other wires through {}", tight.raceway),
        (None, None) => width,
    }
}
