//! The list of distribution points: batteries, switches, bars, blocks and panels, in the order of the plan.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::choices::title;
use crate::job::plan::Plan;
use crate::job::point::{Body, Point};
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::found::{self, FindingCount};

#[derive(Template)]
#[template(path = "plan/points.html")]
struct Page {
    title_block: TitleBlock,
    plan: String,
    may_plan: bool,
    points: Vec<Row>,
    paging: Paging,
}

struct Row {
    id: String,
    name: String,
    kind: &'static str,
    location: String,
    facts: Vec<(&'static str, Figure)>,
    positions: Vec<Switch>,
    /// How many more positions there are; its own page has them.
    more: usize,
    checked: Option<FindingCount>,
}

/// A position of a switch panel, with the circuits on it.
struct Switch {
    number: u16,
    label: String,
    circuits: String,
}

/// How many positions of a panel the list shows.
const SHOWN: usize = 100;

/// Distribution points of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let (points, paging) = page_of(&job.plan.points, &frame);
    html(&Page {
        plan: format!("{}/plan", job.href()),
        may_plan: frame.may(Permission::Plan),
        points: points.iter().map(|point| of_point(point, &job)).collect(),
        paging,
        title_block: job.title_block(frame, Tab::Points),
    })
}

fn of_point(point: &Point, job: &Opened) -> Row {
    let location =
        job.plan.location(&point.location).map_or(point.location.as_str(), |location| location.name.as_str());
    let positions = switches(point, &job.plan);
    Row {
        id: point.id.to_string(),
        name: point.called().to_owned(),
        kind: title(point.body.kind()),
        location: location.to_owned(),
        facts: facts(point, job),
        more: positions.len().saturating_sub(SHOWN),
        positions: positions.into_iter().take(SHOWN).collect(),
        checked: found::checked(job, SubjectKind::Point, point.id.as_str()),
    }
}

fn facts(point: &Point, job: &Opened) -> Vec<(&'static str, Figure)> {
    let mut facts = Vec::new();
    match &point.body {
        Body::Battery(battery) => {
            facts.push(("At rest", Figure::new(battery.open_circuit_v, "V")));
            facts.extend(battery.capacity_ah.map(|capacity| ("Capacity", Figure::new(capacity, "Ah"))));
            facts
                .extend(battery.internal_mohm.map(|inner| ("Internal resistance", Figure::new(inner, "mΩ"))));
            facts.extend(battery.cranking_a.map(|current| ("Cold cranking", Figure::new(current, "A"))));
            facts.extend(battery.peukert.map(|exponent| ("Peukert exponent", Figure::new(exponent, ""))));
            facts.extend(battery.floor_pct.map(|floor| ("Keep above", Figure::new(floor, "%"))));
            facts.extend(battery.low_v.map(|low| ("Empty at", Figure::new(low, "V"))));
        }
        Body::Converter(converter) => {
            facts.push(("Regulates to", Figure::new(converter.open_circuit_v, "V")));
        }
        Body::Charger(charger) => {
            facts.push(("Regulates to", Figure::new(charger.open_circuit_v, "V")));
            facts
                .extend(charger.internal_mohm.map(|inner| ("Internal resistance", Figure::new(inner, "mΩ"))));
            // One fact for each speed: a figure does not wrap, so all of them in one line would be too wide.
            facts.extend(charger.curve.iter().map(|point| {
                let gives = format!("{} A at {} rpm", point.a.number(), point.rpm.number());
                ("Output", Figure::new(gives, ""))
            }));
            facts.extend(charger.starter_a.map(|current| ("Starter draws", Figure::new(current, "A"))));
        }
        _ => {}
    }
    facts.extend(point.body.nominal().map(|nominal| ("Nominal voltage", Figure::new(nominal, "V"))));
    facts.extend(point.body.rating().map(|rating| ("Rating", Figure::new(rating, "A"))));
    if let Some(report) = job.report.points.get(&point.id) {
        let passing = report.current_a.map(|amperes| ("Current, all on", Figure::rounded(amperes, 1, "A")));
        facts.extend(passing);
        let used =
            |count| ("Positions used", Figure::new(format!("{} of {count}", report.positions_used), ""));
        facts.extend(report.positions.map(used));
    }
    facts
}

fn switches(point: &Point, plan: &Plan) -> Vec<Switch> {
    let Body::SwitchPanel(panel) = &point.body else { return Vec::new() };
    let switches = panel.positions.iter().zip(1..).map(|(position, number)| {
        let on = plan.on_position(&point.id, number);
        let circuits: Vec<&str> = on.map(|circuit| circuit.id.as_str()).collect();
        Switch { number, label: position.label.to_string(), circuits: circuits.join(", ") }
    });
    switches.collect()
}
