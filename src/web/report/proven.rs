//! The circuits and feeders of a report: wire, protection, readings and status.

use super::annex::{Annex, Cited};
use crate::job::color;
use crate::job::conductor::Conductor;
use crate::job::handover::{fuse_result, test_result};
use crate::job::plan::{Circuit, Feeder};
use crate::job::step::{Action, StepKey};
use crate::job::subject::SubjectKind;
use crate::job::work::test_of;
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::{OutcomeMark, ReadingPiece, readings};
use crate::web::parts::settled::SettledSize;
use crate::web::parts::wires;
use crate::web::parts::workings::ONE_WAY;

/// A circuit as a row of the report.
#[derive(Debug)]
pub struct Proven {
    /// Its id.
    pub id: String,
    /// Its name and label.
    pub name: String,
    /// What it feeds and where.
    pub feeds: Vec<String>,
    /// The label of its switch.
    pub switch: Option<String>,
    /// Its wire: size and color, and its one-way length.
    pub wire: Cited,
    /// Its fuse or breaker, in plain text.
    pub fuse: Cited,
    /// Whether the fuse or breaker was read.
    pub fuse_read: Option<&'static str>,
    /// Its latest reading.
    pub read: Option<ReadingPiece>,
    /// The result of its test, in plain text.
    pub result: String,
}

impl Proven {
    /// The result of its latest reading.
    pub fn mark(&self) -> Option<OutcomeMark> {
        self.read.as_ref().map(ReadingPiece::mark)
    }
}

/// The circuits of a job that the page shows, in the plan's order.
pub fn circuits(bench: &Bench<'_>, annex: &mut Annex) -> (Vec<Proven>, Paging) {
    let (shown, paging) = page_of(&bench.job.plan.circuits, bench.frame);
    (shown.iter().map(|circuit| proven(bench, circuit, annex)).collect(), paging)
}

fn proven(bench: &Bench<'_>, circuit: &Circuit, annex: &mut Annex) -> Proven {
    let job = bench.job;
    let report = job.report.circuits.get(&circuit.id);
    let settled = report.map(|report| SettledSize::circuit(circuit.id.as_str(), report));
    let feeds = circuit.devices().filter_map(|id| job.plan.device(id));
    let test = test_of(&circuit.id);
    Proven {
        id: circuit.id.to_string(),
        name: circuit.name_and_label(),
        feeds: feeds.map(|device| format!("{}, {}", device.name, location(job, &device.location))).collect(),
        switch: wires::switch(&job.plan, circuit),
        wire: annex.cite(wire(bench, circuit, settled.as_ref())),
        fuse: annex.cite(settled.as_ref().and_then(SettledSize::fuse).unwrap_or_else(|| "none".into())),
        read: readings(bench, circuit).into_iter().next(),
        fuse_read: fuse_result(&bench.work, &test.subject),
        result: test_result(&bench.work, &test),
    }
}

/// The wire of a circuit: its most frequent size, its other sizes, and its one-way length.
fn wire(bench: &Bench<'_>, circuit: &Circuit, settled: Option<&SettledSize<'_>>) -> Sentence {
    let job = bench.job;
    let conductors = job.conductors.of_circuit(&circuit.id);
    let report = job.report.circuits.get(&circuit.id);
    let own = report.and_then(|report| report.conductor.size);
    let Some(main) = conductors.iter().find(|wire| wires::size_of(job, wire) == own).or(conductors.first())
    else {
        return Sentence::default();
    };
    let mut others: Vec<Size> = conductors.iter().filter_map(|wire| wires::size_of(job, wire)).collect();
    others.retain(|size| Some(*size) != own);
    others.sort_unstable();
    others.dedup();
    let others: String = others.iter().map(|size| format!("; {size} in part")).collect();
    let length = report.and_then(|report| {
        length(bench, circuit.id.as_str(), report.conductor.one_way_m, &report.conductor.workings)
    });
    let wire = sized(job, main, settled).words(others);
    length.into_iter().fold(wire, |wire, length| wire.words(", ").figure(length))
}

/// A wire by its size, which opens on what decided it, and its color.
fn sized(job: &Opened, wire: &Conductor, settled: Option<&SettledSize<'_>>) -> Sentence {
    let own = settled.zip(wires::size_of(job, wire)).filter(|(settled, size)| settled.is(*size));
    match own.and_then(|(settled, _)| settled.size()) {
        Some(size) => Sentence::default().figure(size).words(format!(" {}", color::of(&job.plan, wire))),
        None => wires::words(job, wire).into(),
    }
}

/// A one-way length, which opens on its working.
fn length(bench: &Bench<'_>, of: &str, meters: Option<f64>, workings: &[Working]) -> Option<Cell> {
    let value = Figure::length(meters?, bench.frame.length_unit());
    Some(Cell::new(of, "one way", value, workings, ONE_WAY))
}

fn location(job: &Opened, id: &crate::job::value::LocationId) -> String {
    job.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string())
}

/// A feeder as a row of the report.
#[derive(Debug)]
pub struct Fed {
    /// Its name and label.
    pub name: String,
    /// Its wire: size and color.
    pub wire: Cited,
    /// Its length.
    pub length: Option<Cited>,
    /// Its fuse or breaker.
    pub fuse: Cited,
    /// Whether the fuse or breaker was read.
    pub fuse_read: Option<&'static str>,
    /// The result of its test, in plain text.
    pub result: String,
}

/// The feeders of a job that the page shows, in the plan's order.
pub fn feeders(bench: &Bench<'_>, annex: &mut Annex) -> (Vec<Fed>, Paging) {
    let (shown, paging) = page_of(&bench.job.plan.feeders, bench.frame);
    (shown.iter().map(|feeder| fed(bench, feeder, annex)).collect(), paging)
}

fn fed(bench: &Bench<'_>, feeder: &Feeder, annex: &mut Annex) -> Fed {
    let (job, id) = (bench.job, feeder.id.as_str());
    let report = job.report.feeders.get(&feeder.id);
    let settled = report.map(|report| SettledSize::feeder(id, report));
    let shared = report.and_then(|report| report.conductor.protected_by.as_ref());
    let wire = job.conductors.of_feeder(&feeder.id);
    let wire = wire.map_or_else(Sentence::default, |wire| sized(job, wire, settled.as_ref()));
    let length =
        report.and_then(|report| length(bench, id, report.conductor.one_way_m, &report.conductor.workings));
    let fuse = match (settled.as_ref().and_then(SettledSize::fuse), shared) {
        (Some(own), _) => own,
        (None, Some(other)) => format!("that of {other}").into(),
        (None, None) => "none".into(),
    };
    let test = StepKey::of(SubjectKind::Feeder, id, Action::Test);
    Fed {
        name: job.plan.feeder_name_and_label(feeder),
        wire: annex.cite(wire),
        length: length.map(|length| annex.cite(Sentence::default().figure(length))),
        fuse: annex.cite(fuse),
        fuse_read: fuse_result(&bench.work, &test.subject),
        result: test_result(&bench.work, &test),
    }
}
