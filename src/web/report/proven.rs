//! The circuits and feeders of a report: wire, protection, what was measured, and how each stands.

use crate::job::check::ProtectionReport;
use crate::job::plan::Circuit;
use crate::job::progress::State;
use crate::trade::conductor::Size;
use crate::trade::working::figure;
use crate::web::circuit::wires;
use crate::web::job::Opened;
use crate::web::phases::{Bench, OutcomeMark, Read, readings, released, test_of};

/// A circuit as a row of the report.
#[derive(Debug)]
pub struct Proven {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// What it feeds and where.
    pub feeds: Vec<String>,
    /// The label of its switch.
    pub switch: Option<String>,
    /// Its wire: size and colour.
    pub wire: String,
    /// Its length one way.
    pub length: Option<String>,
    /// Its fuse or breaker, with its words.
    pub fuse: String,
    /// Its latest reading.
    pub read: Option<Read>,
    /// How it stands, in words.
    pub stands: String,
    /// Whether it is proven.
    pub proven: bool,
}

impl Proven {
    /// The verdict on its latest reading.
    pub fn mark(&self) -> Option<OutcomeMark> {
        self.read.as_ref().map(Read::mark)
    }
}

/// Every circuit of a job, in the plan's order.
pub fn circuits(bench: &Bench<'_>) -> Vec<Proven> {
    bench.job.plan.circuits.iter().map(|circuit| proven(bench, circuit)).collect()
}

fn proven(bench: &Bench<'_>, circuit: &Circuit) -> Proven {
    let (job, frame) = (bench.job, bench.frame);
    let report = job.report.circuits.get(&circuit.id);
    let feeds = circuit.devices.iter().filter_map(|id| job.plan.device(id));
    let (stands, proven) = stands(bench, circuit);
    Proven {
        id: circuit.id.to_string(),
        name: circuit.name.to_string(),
        feeds: feeds.map(|device| format!("{}, {}", device.name, place(job, &device.place))).collect(),
        switch: wires::switch(&job.plan, circuit),
        wire: wire(job, circuit),
        length: report.and_then(|report| report.one_way_m).map(|metres| frame.length_unit().said(metres)),
        fuse: fuse(report.and_then(|report| report.protection.as_ref())),
        read: readings(frame, job, bench.proof(), circuit).into_iter().next(),
        stands,
        proven,
    }
}

/// How a circuit's test stands, in words, and whether it is proven by its readings.
fn stands(bench: &Bench<'_>, circuit: &Circuit) -> (String, bool) {
    let released = released(bench, circuit).is_some();
    match bench.progress.state(&test_of(circuit)) {
        State::Open => ("not proven yet".to_owned(), false),
        State::NotNeeded => ("not tested: held not to be needed".to_owned(), false),
        State::Done if released => ("passed by release".to_owned(), true),
        State::Done => match bench.proof().lack(circuit) {
            None => (passed(bench, circuit), true),
            Some(lack) => (format!("ticked as passed. {}", lack.words()), false),
        },
    }
}

/// That a circuit passed, and why where its readings deserved a look.
fn passed(bench: &Bench<'_>, circuit: &Circuit) -> String {
    let tick = bench.progress.standing(&test_of(circuit)).last();
    let reason = tick.and_then(|tick| Some((tick.reason.as_ref()?, &tick.by)));
    reason.map_or_else(|| "passed".to_owned(), |(reason, by)| format!("passed by {by}: {reason}"))
}

/// The wire of a circuit: the size most of it has, and what else there is of it.
fn wire(job: &Opened, circuit: &Circuit) -> String {
    let conductors = job.conductors.of_circuit(&circuit.id);
    let own = job.report.circuits.get(&circuit.id).and_then(|report| report.size);
    let Some(main) = conductors.iter().find(|wire| wires::size_of(job, wire) == own).or(conductors.first())
    else {
        return String::new();
    };
    let mut others: Vec<Size> = conductors.iter().filter_map(|wire| wires::size_of(job, wire)).collect();
    others.retain(|size| Some(*size) != own);
    others.sort_unstable();
    others.dedup();
    let others = others.iter().map(|size| format!("; {size} in part"));
    std::iter::once(wires::words(job, main)).chain(others).collect()
}

/// A fuse or breaker in words.
pub fn fuse(protection: Option<&ProtectionReport>) -> String {
    match protection {
        None => "none".to_owned(),
        Some(fitted) => match fitted.rating_a {
            Some(rating) => format!("{} A {}", figure(rating), fitted.kind.words()),
            None => format!("{}, rating not chosen", fitted.kind.words()),
        },
    }
}

fn place(job: &Opened, id: &crate::job::value::PlaceId) -> String {
    job.plan.place(id).map_or_else(|| id.to_string(), |place| place.name.to_string())
}

/// A feeder as a row of the report.
#[derive(Debug)]
pub struct Fed {
    /// Its id.
    pub id: String,
    /// What it joins.
    pub way: String,
    /// Its wire: size and colour.
    pub wire: String,
    /// Its length.
    pub length: Option<String>,
    /// Its fuse or breaker.
    pub fuse: String,
}

/// Every feeder of a job, in the plan's order.
pub fn feeders(bench: &Bench<'_>) -> Vec<Fed> {
    let (job, unit) = (bench.job, bench.frame.length_unit());
    let called = |id| job.plan.point(id).map_or_else(|| id.to_string(), |point| point.called().to_owned());
    job.plan
        .feeders
        .iter()
        .map(|feeder| {
            let report = job.report.feeders.get(&feeder.id);
            let own = report.and_then(|report| report.protection.as_ref());
            let shared = report.and_then(|report| report.protected_by.as_ref());
            Fed {
                id: feeder.id.to_string(),
                way: format!("{} \u{2192} {}", called(&feeder.from), called(&feeder.to)),
                wire: job
                    .conductors
                    .of_feeder(&feeder.id)
                    .map_or_else(String::new, |wire| wires::words(job, wire)),
                length: feeder.length_m.map(|length| unit.said(length.number())),
                fuse: match (own, shared) {
                    (None, Some(other)) => format!("that of {other}"),
                    (own, _) => fuse(own),
                },
            }
        })
        .collect()
}
