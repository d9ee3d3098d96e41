//! What if: both drops, protection and findings as planned and with the change, side by side, before saving.

use std::collections::HashSet;

use askama::Template;
use askama::filters::HtmlSafe;

use super::figures;
use super::supposed::{self, Supposed, load_field};
use crate::job::check::{self, CircuitReport, Report};
use crate::job::finding::Finding;
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::role::Permission;
use crate::store::item;
use crate::trade::conductor::Size;
use crate::trade::working::figure;
use crate::web::kit::figure::amount;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::workings::{self, WorkingPiece};

/// The form and, after it was sent, the result.
#[derive(Debug, Template)]
#[template(path = "circuit/what_if.html")]
pub struct WhatIf {
    form: Form,
    action: String,
    unit: LengthUnit,
    sizes: Vec<(String, String)>,
    loads: Vec<LoadField>,
    answer: Option<Answer>,
    may_save: bool,
}

impl HtmlSafe for WhatIf {}

/// A device whose load can be changed in the form.
#[derive(Debug)]
struct LoadField {
    field: String,
    label: String,
    unit: &'static str,
}

/// The result.
#[derive(Debug)]
struct Answer {
    rows: Vec<Compared>,
    /// How these figures were calculated.
    workings: Vec<WorkingPiece>,
    findings: [Vec<FindingPiece>; 2],
    /// The findings elsewhere in the job that would go, and the new ones.
    elsewhere: [Vec<FindingPiece>; 2],
}

/// A figure before and after.
#[derive(Debug, PartialEq)]
struct Compared {
    name: &'static str,
    before: String,
    after: String,
}

impl Compared {
    fn differs(&self) -> bool {
        self.before != self.after
    }
}

impl WhatIf {
    /// The form of a circuit and, if values were sent, the result.
    ///
    /// # Errors
    /// The errors of the store.
    pub async fn new(
        frame: &Frame,
        app: &AppState,
        job: &Opened,
        circuit: &Circuit,
        asked: Option<Form>,
    ) -> Result<Self, Error> {
        let unit = frame.length_unit();
        let is_asked = asked.is_some();
        let mut form = asked.unwrap_or_else(|| supposed::filled(&job.plan, circuit, unit));
        let answer = match is_asked {
            true => supposed::read(&mut form, &job.plan, circuit, unit)
                .map(|supposed| answer(job, &supposed, unit)),
            false => None,
        };
        if form.typed("version").is_empty() {
            let held = item::get::<Circuit>(&mut *app.store().read().await?, job.id, &circuit.id).await?;
            form.put("version", Some(held.version));
        }
        Ok(Self {
            form,
            action: format!("{}/circuits/{}", job.href(), circuit.id),
            unit,
            sizes: sizes(job),
            loads: loads(job, circuit),
            answer,
            may_save: frame.may(Permission::Plan),
        })
    }

    /// The same with its refused form.
    pub fn with(self, form: Form) -> Self {
        Self { form, ..self }
    }

    /// Whether a sent value has an error.
    pub fn is_refused(&self) -> bool {
        !self.form.errors().is_empty()
    }
}

fn sizes(job: &Opened) -> Vec<(String, String)> {
    let choose = (String::new(), "Choose it".to_owned());
    let made = Size::all(job.plan.job.rules.system()).map(|size| (size.to_string(), size.to_string()));
    std::iter::once(choose).chain(made).collect()
}

fn loads(job: &Opened, circuit: &Circuit) -> Vec<LoadField> {
    supposed::devices(&job.plan, circuit)
        .map(|device| LoadField {
            field: load_field(&device.id),
            label: format!("Load of {}", device.name),
            unit: device.load.map_or("A", |load| supposed::figure(load).1),
        })
        .collect()
}

fn answer(job: &Opened, supposed: &Supposed, unit: LengthUnit) -> Answer {
    let plan = supposed.within(&job.plan);
    let after = check::check(&plan);
    let id = &supposed.circuit.id;
    let subject = Subject::new(SubjectKind::Circuit, id);
    let pieces = |report: &Report| {
        report
            .about(&subject)
            .map(|finding| FindingPiece::new(finding, &job.href(), job.units))
            .collect::<Vec<_>>()
    };
    // A finding whose figure changed is still the same finding, so it is compared by its code and subject.
    let elsewhere = |in_one: &Report, not_in: &Report| {
        let key = |finding: &Finding| (finding.code, finding.subject.clone());
        let known: HashSet<_> = not_in.findings.iter().map(key).collect();
        let other = in_one.findings.iter().filter(|finding| finding.subject != subject);
        let news = other.filter(|finding| !known.contains(&key(finding)));
        news.map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect::<Vec<_>>()
    };
    let rows = match (job.report.circuits.get(id), after.circuits.get(id)) {
        (Some(before), Some(after)) => compared(before, after, unit),
        _ => Vec::new(),
    };
    let workings = after.circuits.get(id).map(|own| own.conductor.workings.clone()).unwrap_or_default();
    Answer {
        rows,
        workings: workings::pieces(&workings, job.units),
        findings: [pieces(&job.report), pieces(&after)],
        elsewhere: [elsewhere(&job.report, &after), elsewhere(&after, &job.report)],
    }
}

fn compared(before: &CircuitReport, after: &CircuitReport, unit: LengthUnit) -> Vec<Compared> {
    let row = |name, of: &dyn Fn(&CircuitReport) -> Option<String>| {
        let said = |report| of(report).unwrap_or_else(|| "not computed".to_owned());
        Compared { name, before: said(before), after: said(after) }
    };
    vec![
        row("Size", &|report| report.conductor.size.map(|size| size.to_string())),
        row("Length there and back", &|report| report.conductor.round_trip_m.map(|meters| unit.said(meters))),
        row("Design current", &|report| amount(report.conductor.design_current_a, "A")),
        row("Ampacity", &|report| amount(report.conductor.derated_ampacity_a, "A")),
        row("Calculated drop", &|report| {
            figures::drop(report.conductor.handbook_drop_v, report.conductor.handbook_drop_pct)
        }),
        row("Limit", &|report| report.drop_limit_pct.map(|limit| format!("{} %", figure(limit)))),
        row("Solved drop", &|report| {
            figures::drop(report.conductor.solved_drop_v, report.conductor.solved_drop_pct)
        }),
        row("Total drop, battery to device", &|report| {
            figures::drop(report.solved_drop_from_battery_v, report.solved_drop_from_battery_pct)
        }),
        row("Protection", &|report| amount(report.conductor.protection.as_ref()?.rating_a, "A")),
        row("Allowed ratings", &|report| {
            let fitted = report.conductor.protection.as_ref()?;
            Some(format!("{} to {} A", figure(fitted.lowest_a?), figure(fitted.highest_a?)))
        }),
        row("Fault current at the far end", &|report| amount(report.conductor.fault_current_a, "A")),
    ]
}
