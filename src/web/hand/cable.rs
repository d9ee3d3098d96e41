//! The page of one factory cable, and of each of its ends: what it is, whether it reaches, and the next tick.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;

use super::find::WiresQuery;
use super::now::{JustDone, Now};
use super::stand::{Onward, Stand};
use super::wire::{Code, WireFact, onward, raceways};
use crate::drawing::wire::Wire;
use crate::job::cable::{self, Cable};
use crate::job::label::Labels;
use crate::job::steps::Step;
use crate::job::subject::{Kind, Subject};
use crate::store::JobId;
use crate::trade::working::figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::origin::Origin;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::step::StepPiece;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::{activity, factory, labels};

#[derive(Template)]
#[template(path = "hand/cable.html")]
struct Page {
    title_block: TitleBlock,
    done: Option<JustDone>,
    wire: Wire,
    facts: Vec<WireFact>,
    workings: Vec<WorkingPiece>,
    now: Option<Now>,
    next: Option<Onward>,
    list: String,
    steps: Vec<StepPiece>,
    ends: Vec<CableEnd>,
    code: Option<Code>,
    happened: Vec<Happened>,
}

/// One end of a cable.
#[derive(Debug)]
struct CableEnd {
    id: String,
    side: char,
    here: bool,
    at: String,
    label: String,
}

/// The page of a cable.
pub async fn show(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, cable)): Path<(JobId, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    page(&app, frame, &origin, (job, &cable, None), &asked).await
}

/// The page of one end of a cable.
pub async fn show_end(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, cable, side)): Path<(JobId, String, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    let end = match side.as_str() {
        "a" => 0,
        "b" => 1,
        _ => return Err(Error::NotFound("end")),
    };
    page(&app, frame, &origin, (job, &cable, Some(end)), &asked).await
}

async fn page(
    app: &AppState,
    frame: Frame,
    origin: &Origin,
    (job, id, end): (JobId, &str, Option<usize>),
    asked: &WiresQuery,
) -> Result<Html<String>, Error> {
    let job = Opened::load(app, job).await?;
    let cable = cable::get(&job.plan, id).ok_or(Error::NotFound("cable"))?;
    let labels = labels::usual(app, &job).await?;
    let ends = cable.ends();
    let held = end.and_then(|end| ends.get(end));
    let stand = Stand::at(&job, &asked.at).or(held.map(|end| end.location));
    let bench = Bench::new(&frame, &job, stand.page_of_cable(cable, end));
    let order = stand.order(&bench);
    let subject = Subject::new(Kind::Cable, cable.id());
    let (own, others): (Vec<&Step>, Vec<&Step>) =
        order.iter().copied().partition(|step| step.key.subject == subject);
    let label = held.map_or(cable.id(), |end| &end.id);
    let page = Page {
        done: JustDone::new(&bench, &stand, &asked.done),
        wire: factory::drawn(cable, [&ends[0].id, &ends[1].id]),
        facts: facts(&job, cable, frame.length_unit()),
        workings: workings(&job, cable),
        now: now(&bench, &stand, &own, &order),
        next: stand.onward(&bench, others.into_iter(), None),
        list: stand.list(),
        steps: job.steps.of_subject(&subject).map(|step| bench.step(step)).collect(),
        ends: cards(&job, cable, &labels, end),
        code: Code::of(origin, &Stand::at(&job, "").page_of_cable(cable, end), label),
        happened: activity::ticks_of(&job, &frame, |ticked| *ticked == subject),
        title_block: TitleBlock {
            title: format!("Cable {label}"),
            ..job.title_block(frame.clone(), Tab::Wires)
        },
    };
    html(&page)
}

/// The first of its steps that may be done.
fn now(bench: &Bench<'_>, stand: &Stand<'_>, own: &[&Step], order: &[&Step]) -> Option<Now> {
    let step = own.iter().find(|step| bench.shut(step).is_none()).or(own.first())?;
    Some(Now::new(bench, stand, step, onward(bench, stand, order, &step.key)))
}

/// Its ends, the one that was asked for first.
fn cards(job: &Opened, cable: Cable<'_>, labels: &Labels, asked: Option<usize>) -> Vec<CableEnd> {
    let texts = labels.of_cable(cable.id()).map(|label| label.text.clone());
    let ats = factory::ends(&job.plan, cable).into_iter();
    let mut cards: Vec<CableEnd> = cable
        .ends()
        .into_iter()
        .zip(['a', 'b'])
        .zip(ats.zip(texts))
        .enumerate()
        .map(|(number, ((end, side), (at, label)))| CableEnd {
            here: asked == Some(number),
            id: end.id,
            side,
            at,
            label,
        })
        .collect();
    cards.sort_by_key(|card| !card.here);
    cards
}

/// How far it reaches, and what room its connector has.
fn workings(job: &Opened, cable: Cable<'_>) -> Vec<WorkingPiece> {
    let Some(report) = job.report.routes.cables.get(&cable.device.id) else { return Vec::new() };
    let tight = [&report.first_because, &report.stuck_beside].into_iter().flatten();
    let reach = report.reach.iter().map(|reach| reach.working.clone());
    reach.chain(tight.map(|tight| tight.working.clone())).map(WorkingPiece).collect()
}

fn facts(job: &Opened, cable: Cable<'_>, unit: LengthUnit) -> Vec<WireFact> {
    let plan = &job.plan;
    let plain = |name, said: String| WireFact { name, said: said.into(), href: None };
    let report = job.report.routes.cables.get(&cable.device.id);
    let routes = format!("{}/routes?cable={}", job.href(), cable.id());
    let through = match report {
        Some(report) if !report.raceways.is_empty() => raceways(job, &report.raceways),
        _ if !cable.is_pulled() => "no raceway: it stays where it is".to_owned(),
        _ => "no raceways lead there".to_owned(),
    };
    let [from, to] = factory::ends(plan, cable);
    let reach = report.map(|report| report.told(plan, |meters| unit.said(meters)));
    vec![
        plain("Cable", factory::words(cable, unit)),
        plain("From", from),
        plain("To", to),
        WireFact { name: "Through", said: through.into(), href: Some(routes) },
        plain("Reach", reach.unwrap_or_else(|| "Not checked: its way is not known.".to_owned())),
        plain("Connector", connector(job, cable)),
        WireFact {
            name: "Comes with",
            said: cable.device.name.to_string().into(),
            href: Some(format!("{}/plan/devices#{}", job.href(), cable.id())),
        },
    ]
}

/// How wide its connector is, and where it does not pass.
fn connector(job: &Opened, cable: Cable<'_>) -> String {
    let Some(width) = cable.made.connector_mm else { return "how wide it is, is not given".to_owned() };
    let width = format!("{} mm wide", figure(width.number()));
    let report = job.report.routes.cables.get(&cable.device.id);
    match report {
        Some(report) if !report.connector_stops_at.is_empty() => {
            format!("{width}: it does not pass {}", raceways(job, &report.connector_stops_at))
        }
        Some(report) => match (&report.stuck_beside, &report.first_because) {
            (Some(tight), _) => format!("{width}: it does not pass {} beside what lies there", tight.raceway),
            (None, Some(tight)) => {
                format!("{width}: pull it before what else goes through {}", tight.raceway)
            }
            (None, None) => width,
        },
        None => width,
    }
}
