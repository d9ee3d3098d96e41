//! Energy: the daily consumption from each bank of batteries, and its state of charge over the days.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::drawing::chart::{Axis, Chart, ChartBand, ChartLimit, Divided, Format};
use crate::drawing::svg::{Caption, Drawing};
use crate::job::energy::{BankReport, CourseReport, ModeCharge, Moment, Since};
use crate::job::finding::Finding;
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::quantity::Quantity;
use crate::trade::source::{CHARGE_BALANCE, PEUKERT};
use crate::trade::units::Units;
use crate::trade::working::{Working, figure};
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::{or_dash, rounded};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Cell;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::linked::called;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::workings::pieces;

#[derive(Template)]
#[template(path = "electrics/energy.html")]
struct Page {
    title_block: TitleBlock,
    days: u8,
    modes: String,
    may_plan: bool,
    findings: Vec<FindingPiece>,
    banks: Vec<Bank>,
}

/// A bank as the page shows it.
struct Bank {
    number: usize,
    name: String,
    facts: Vec<(&'static str, String)>,
    not_counted: Vec<String>,
    modes: Vec<Mode>,
    daily: WorkingPiece,
    course: Option<Course>,
}

struct Mode {
    name: String,
    hours: String,
    used: String,
    charging: String,
    working: WorkingPiece,
}

/// The curve as a picture in two shapes, and as rows.
struct Course {
    pictures: [Drawing; 2],
    rows: Vec<Row>,
    workings: Vec<WorkingPiece>,
}

struct Row {
    at: String,
    mode: String,
    charge: Cell,
    current: String,
}

/// The energy page of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let energy = &job.report.energy;
    let page = Page {
        days: energy.days,
        modes: format!("{}{}", job.href(), Tab::Modes.path()),
        may_plan: frame.may(Permission::Plan),
        findings: findings(&job).map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
        banks: energy.banks.iter().zip(1..).map(|(bank, number)| shown(&job, bank, number)).collect(),
        title_block: job.title_block(frame, Tab::Energy),
    };
    html(&page)
}

/// The findings about the charge of the banks, whatever their subject.
fn findings(job: &Opened) -> impl Iterator<Item = &Finding> {
    let batteries: Vec<Subject> = job
        .report
        .energy
        .banks
        .iter()
        .flat_map(|bank| &bank.batteries)
        .map(|id| Subject::new(SubjectKind::Point, id))
        .collect();
    job.findings().iter().filter(move |finding| batteries.contains(&finding.subject))
}

fn shown(job: &Opened, bank: &BankReport, number: usize) -> Bank {
    Bank {
        number,
        name: bank.name.clone(),
        facts: facts(job, bank),
        not_counted: bank
            .not_counted
            .iter()
            .map(|id| job.plan.circuit(id).map_or_else(|| id.to_string(), Circuit::name_and_label))
            .collect(),
        modes: bank.modes.iter().map(|own| mode(own, job.units)).collect(),
        daily: WorkingPiece::new(&daily(bank), job.units),
        course: bank.course.as_ref().map(|course| drawn(job, bank, number, course)),
    }
}

fn daily(bank: &BankReport) -> Working {
    let terms: Vec<_> =
        bank.modes.iter().map(|mode| format!("{} Ah ({})", figure(mode.used_ah), mode.mode)).collect();
    Working {
        what: Quantity::DailyCharge,
        formula: "sum of the consumption of its modes",
        numbers: terms.join(" + ").into(),
        result: format!("{} Ah", figure(bank.daily_ah)).into(),
        source: &CHARGE_BALANCE,
    }
}

fn facts(job: &Opened, bank: &BankReport) -> Vec<(&'static str, String)> {
    let names = bank.chargers.iter().map(|id| called(job, id)).collect::<Vec<_>>().join(", ");
    let [at_least, at_most] = if bank.not_counted.is_empty() { ["", ""] } else { ["at least ", "at most "] };
    let mut facts = vec![
        ("Capacity, 20 h", or_dash(bank.capacity_ah.map(|ah| rounded(ah, 0, "Ah")))),
        ("Consumption per day", format!("{at_least}{}", rounded(bank.daily_ah, 1, "Ah"))),
        ("Charged by", if names.is_empty() { "nothing".to_owned() } else { names }),
    ];
    let Some(course) = &bank.course else { return facts };
    let hours = |hours: f64| rounded(hours, 1, "h");
    let lowest =
        format!("{at_most}{} after {}", rounded(course.lowest_pct, 0, "%"), hours(course.lowest_at_h));
    facts.push(("Lowest", lowest));
    facts.push((
        "Below minimum state of charge",
        course.floor_at_h.map_or_else(|| "never".to_owned(), |at| format!("after {}", hours(at))),
    ));
    facts.push((
        "Back to full from its lowest",
        course.back_to_full_h.map_or_else(
            || {
                if course.lowest_pct > 99.99 {
                    "stays full".to_owned()
                } else {
                    "not within these days".to_owned()
                }
            },
            |takes| format!("in {}", hours(takes)),
        ),
    ));
    facts.push((
        "Time to minimum, nothing charging",
        course.alone_h.map_or_else(|| "more than a week".to_owned(), hours),
    ));
    facts.extend(course.low_voltage_at_h.map(|at| ("Time to low voltage", format!("after {}", hours(at)))));
    facts.extend(course.needed_ah.map(|ah| ("Capacity needed", rounded(ah.ceil(), 0, "Ah"))));
    facts
}

fn mode(mode: &ModeCharge, units: Units) -> Mode {
    Mode {
        name: mode.mode.clone(),
        hours: rounded(mode.hours, 1, "h"),
        used: rounded(mode.used_ah, 1, "Ah"),
        charging: if mode.charging_a > 0.0 { rounded(mode.charging_a, 0, "A") } else { or_dash(None) },
        working: WorkingPiece::new(&mode.working, units),
    }
}

fn drawn(job: &Opened, bank: &BankReport, number: usize, course: &CourseReport) -> Course {
    let chart = chart(&bank.name, course, job.report.energy.days);
    Course {
        pictures: [Format::Narrow, Format::Wide].map(|format| chart.draw(format)),
        rows: rows(number, course),
        workings: pieces(&course.workings, job.units),
    }
}

fn chart(name: &str, course: &CourseReport, days: u8) -> Chart {
    let words = format!(
        "Over {days} days it is lowest after {:.1} h, at {:.0} %, and ends at {:.0} %. The minimum is {:.0} %.",
        course.lowest_at_h, course.lowest_pct, course.end_pct, course.floor_pct
    );
    Chart {
        caption: Caption { title: format!("State of charge, {name}"), words },
        x: Axis {
            label: "Hours from the start".to_owned(),
            range: (0.0, 24.0 * f64::from(days)),
            divided: Divided::ByHours,
        },
        y: Axis { label: "State of charge, %".to_owned(), range: (0.0, 100.0), divided: Divided::Evenly },
        points: course.curve.iter().map(|moment| (moment.hours, moment.charge_pct)).collect(),
        limit: Some(ChartLimit { at: course.floor_pct, label: format!("minimum {:.0} %", course.floor_pct) }),
        bands: course
            .bands
            .iter()
            .map(|band| ChartBand { from: band.from_h, to: band.to_h, label: band.mode.clone() })
            .collect(),
    }
}

/// The moments in the drawing. The table has everything that the picture shows.
fn rows(bank: usize, course: &CourseReport) -> Vec<Row> {
    let mode = |hours: f64| {
        let band = course.bands.iter().find(|band| hours <= band.to_h + 1e-9);
        band.map_or_else(String::new, |band| band.mode.clone())
    };
    let row = |moment: &Moment| Row {
        at: rounded(moment.hours, 1, "h"),
        mode: mode(moment.hours),
        charge: Cell::by(
            &format!("Bank {bank} at {} h", figure(moment.hours)),
            "charge",
            Figure::rounded(moment.charge_pct, 1, "%"),
            moment.since.map(|since| charge(course, moment, &since)),
        ),
        current: rounded(moment.current_a, 1, "A"),
    };
    course.curve.iter().map(row).collect()
}

/// The working of the state of charge at a moment from the moment before.
fn charge(course: &CourseReport, moment: &Moment, since: &Since) -> Working {
    let full = figure(course.full_ah);
    let mut numbers = format!("{} %", figure(since.before_pct));
    if since.weighed_ah > 0.0 {
        numbers += &format!(" - {} Ah / {full} Ah", figure(since.weighed_ah));
    }
    if since.charged_ah > 0.0 {
        numbers += &format!(" + {} x {} Ah / {full} Ah", course.efficiency, figure(since.charged_ah));
    }
    if since.weighed_ah > 0.0 {
        numbers += &format!(" ({} Ah drawn, k = {})", figure(since.drawn_ah), figure(course.peukert));
    }
    Working {
        what: Quantity::StateOfCharge,
        formula: "before - Peukert-corrected load / capacity + efficiency x charged / capacity",
        numbers: numbers.into(),
        result: format!("{} %", figure(moment.charge_pct)).into(),
        source: &PEUKERT,
    }
}
