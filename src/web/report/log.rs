//! The log of a job: who changed what, and when, the newest on top.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;
use jiff::civil::Date;
use serde::Deserialize;
use serde_json::Value;

use crate::job::called::{open_item, step_line};
use crate::job::event::{Confirmation, CrimpPull, Judgment, Reading, Release, Repair, StepReading, Tick};
use crate::job::open_item::{Closing, OpenItem};
use crate::shop::role::Permission;
use crate::store::log::{self, Change, LogLine};
use crate::store::{JobId, undo};
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::differences::{self, Difference};

#[derive(Template)]
#[template(path = "report/log.html")]
struct Page {
    title_block: TitleBlock,
    /// Its own address.
    here: String,
    days: Vec<Day>,
    older: Option<String>,
    newest: Option<String>,
}

/// The log lines of one day, in the shop's time zone.
#[derive(Debug)]
struct Day {
    date: Date,
    lines: Vec<Entry>,
}

#[derive(Debug)]
struct Entry {
    /// Its number, on the first line of one action.
    id: Option<i64>,
    time: String,
    happened: Happened,
    detail: Option<String>,
    reason: Option<String>,
    changes: Vec<Difference>,
    /// The address to undo it, if the user may.
    undo: Option<String>,
}

/// Which part of the log to show.
#[derive(Debug, Default, Deserialize)]
pub struct From {
    before: Option<i64>,
}

/// How many log lines a page shows.
const LINES: u32 = 100;

/// The log of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(from): Query<From>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let lines = log::of_job(&mut *app.store().read().await?, job.id, from.before, LINES).await?;
    let doings = lines.chunk_by(|line, next| line.id == next.id).count();
    let full = doings == usize::try_from(LINES).unwrap_or(usize::MAX);
    let here = format!("{}/log", job.href());
    let older = lines.last().filter(|_| full).map(|line| format!("{here}?before={}", line.id));
    let days = days(&frame, &job, &lines, &here);
    html(&Page {
        title_block: job.title_block(frame, Tab::Log),
        days,
        older,
        newest: from.before.map(|_| here.clone()),
        here,
    })
}

fn days(frame: &Frame, job: &Opened, lines: &[LogLine], here: &str) -> Vec<Day> {
    let may = frame.may(Permission::Plan);
    let is_undone = |line: &LogLine| line.no.is_some() && lines.iter().any(|other| other.undoes == line.no);
    let mut days: Vec<Day> = Vec::new();
    for doing in lines.chunk_by(|line, next| line.id == next.id) {
        let goes = |line: &&LogLine| may && undo::goes(line) && !is_undone(line);
        let mut undo = doing.iter().find(goes).map(|line| format!("{here}/{}/undo", line.id));
        let mut id = doing.first().map(|line| line.id);
        for line in doing {
            let date = frame.local(line.at).date();
            let entry = Entry { id: id.take(), undo: undo.take(), ..entry(frame, job, line) };
            match days.last_mut() {
                Some(day) if day.date == date => day.lines.push(entry),
                _ => days.push(Day { date, lines: vec![entry] }),
            }
        }
    }
    days
}

fn entry(frame: &Frame, job: &Opened, line: &LogLine) -> Entry {
    let after =
        |field| line.after.as_ref().and_then(|after: &Value| after.get(field)).and_then(Value::as_str);
    let mut happened = Happened::new(line, frame);
    let mut detail = detail(line);
    if let Some((what, more)) = decided(job, line) {
        (happened.what, detail) = (what, more);
    }
    Entry {
        id: None,
        undo: None,
        time: frame.local(line.at).strftime("%H:%M").to_string(),
        happened,
        detail,
        reason: after("reason").or_else(|| after("note")).map(str::to_owned),
        changes: differences::of(line),
    }
}

/// The content of an event, besides its subject.
fn detail(line: &LogLine) -> Option<String> {
    if line.undoes.is_some() {
        return Some("by undoing an earlier change".to_owned());
    }
    let after = line.after.as_ref()?;
    match line.change {
        Change::Ticked => {
            let tick: Tick = serde_json::from_value(after.clone()).ok()?;
            Some(format!("{}: {}", tick.step.action.line(), tick.mark.words()))
        }
        Change::Measured => taken(after),
        Change::Repaired | Change::Found | Change::Settled => found(after),
        _ => None,
    }
}

/// A release, a judgment or a confirmation: what was decided, and about what.
fn decided(job: &Opened, line: &LogLine) -> Option<(String, Option<String>)> {
    let after = line.after.as_ref().filter(|_| line.change == Change::Released)?;
    let item = |key: &str| open_item(job, job.findings(), key, job.units);
    let release = || {
        let release: Release = serde_json::from_value(after.clone()).ok()?;
        let step = step_line(job, &release.step);
        Some((format!("released {step}"), Some(format!("although {}", item(&release.obstacle)))))
    };
    let judgment = || {
        let judgment: Judgment = serde_json::from_value(after.clone()).ok()?;
        let by = format!("by {}, {}", judgment.judge, judgment.qualification);
        Some((format!("recorded a judgment of: {}", item(&judgment.finding)), Some(by)))
    };
    let confirmation = || {
        serde_json::from_value::<Confirmation>(after.clone()).ok()?;
        Some(("confirmed an imported release, waiver or judgment".to_owned(), None))
    };
    release().or_else(judgment).or_else(confirmation)
}

/// A reading of a circuit or step, or the pull force of a sample crimp.
fn taken(after: &Value) -> Option<String> {
    let circuit = || serde_json::from_value(after.clone()).ok().map(|reading| measured(&reading));
    let step = || {
        let reading: StepReading = serde_json::from_value(after.clone()).ok()?;
        let figures = [
            reading.ohm.map(|ohms| format!("{ohms} \u{3a9}")),
            reading.v.map(|volts| format!("{volts} V")),
            reading.rating_a.map(|amperes| format!("{amperes} A")),
        ];
        let figures = figures.into_iter().flatten().collect::<Vec<_>>().join(", ");
        Some(format!("{}: {figures}", reading.step.action.line()))
    };
    let pull = || {
        let pull: CrimpPull = serde_json::from_value(after.clone()).ok()?;
        Some(format!("crimp pulled at {} N", pull.force_n))
    };
    circuit().or_else(step).or_else(pull)
}

/// What was found, what was done about it, or what was repaired.
fn found(after: &Value) -> Option<String> {
    let item = || {
        let item: OpenItem = serde_json::from_value(after.clone()).ok()?;
        Some(format!("{}, {} acts: {}", item.severity.word(), item.acts.word(), item.found))
    };
    let closing = || serde_json::from_value::<Closing>(after.clone()).ok().map(|one| one.done.to_string());
    let repair = || {
        let repair: Repair = serde_json::from_value(after.clone()).ok()?;
        Some(format!("repaired, {}: {}", repair.r#where, repair.found))
    };
    item().or_else(closing).or_else(repair)
}

fn measured(reading: &Reading) -> String {
    let figures = [
        reading.source_v.map(|volts| format!("{volts} V at the source")),
        reading.load_v.map(|volts| format!("{volts} V at the load")),
        reading.current_a.map(|amperes| format!("{amperes} A")),
        reading.return_ohm.map(|ohms| format!("{ohms} \u{3a9} negative")),
        reading.load_off_v.map(|volts| format!("{volts} V at the load when off")),
        reading.current_off_a.map(|amperes| format!("{amperes} A when off")),
    ];
    figures.into_iter().flatten().collect::<Vec<_>>().join(", ")
}
