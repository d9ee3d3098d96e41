//! Which circuit is on which position of a panel: a form for each circuit; dragging it there is faster.

use askama::Template;
use askama::filters::HtmlSafe;
use axum::extract::{Path, State};
use axum::response::Redirect;

use crate::job::finding::Finding;
use crate::job::panel;
use crate::job::plan::Circuit;
use crate::job::value::CircuitId;
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId};
use crate::trade::finding::Code;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::relabel::Relabel;
use crate::web::parts::switches;

/// The circuits of a job with their switches, and the findings about the panels.
#[derive(Debug, Template)]
#[template(path = "phases/assign.html")]
pub struct Assign {
    action: String,
    rows: Vec<Row>,
    positions: Vec<(String, String)>,
    findings: Vec<FindingPiece>,
    anew: Option<Relabel>,
    may: bool,
}

impl HtmlSafe for Assign {}

/// One circuit.
#[derive(Debug)]
struct Row {
    id: String,
    name: String,
    href: String,
    at: String,
    said: String,
}

impl Assign {
    /// The circuits of a job that its page shows; `None` if it has no panel.
    pub fn of(frame: &Frame, job: &Opened) -> Option<(Self, Paging)> {
        let positions = positions(job);
        let (shown, paging) = page_of(&job.plan.circuits, frame);
        let rows = shown.iter().map(|circuit| row(job, circuit, &positions)).collect();
        let of_panels = |one: &&Finding| is_of_panels(one.code);
        let findings = job.findings().iter().filter(of_panels);
        let is_there = !positions.is_empty();
        let own = Self {
            action: format!("{}/switches", job.href()),
            rows,
            findings: findings.map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
            positions,
            anew: Relabel::of(job),
            may: frame.may(Permission::Plan),
        };
        is_there.then_some((own, paging))
    }
}

/// Assigns a circuit to a position, or to none.
pub async fn hang(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Redirect, Error> {
    let unread = || Error::BadRequest("The form did not say which circuit goes where.".to_owned());
    let id: CircuitId = form.required("circuit").ok_or_else(unread)?;
    let switch = match form.typed("at") {
        "" => None,
        at => Some(switches::read(at).ok_or_else(unread)?),
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let mut change = ChangeSet::begin(&mut write, job).await?;
    change.alter::<Circuit>(&id, |circuit| panel::hang(circuit, switch))?;
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/phases/switches#switch-{id}")))
}

fn row(job: &Opened, circuit: &Circuit, positions: &[(String, String)]) -> Row {
    let at = circuit.switch.as_ref().map_or_else(String::new, switches::write);
    let said = positions.iter().find(|(value, _)| *value == at);
    Row {
        id: circuit.id.to_string(),
        name: circuit.name_and_label(),
        href: format!("{}/circuits/{}", job.href(), circuit.id),
        said: said.map_or_else(|| "no switch".to_owned(), |(_, said)| said.clone()),
        at,
    }
}

/// Every position of every panel, with its label.
fn positions(job: &Opened) -> Vec<(String, String)> {
    let spots = switches::spots(&job.plan);
    spots
        .map(|spot| {
            let said = format!("{} ({} {})", spot.label, spot.panel.called(), spot.at.position);
            (switches::write(&spot.at), said)
        })
        .collect()
}

fn is_of_panels(code: Code) -> bool {
    matches!(
        code,
        Code::LabelWrong
            | Code::LabelUnclear
            | Code::PositionsFree
            | Code::CircuitsUnswitched
            | Code::SwitchShared
            | Code::SwitchOverRating
    )
}
