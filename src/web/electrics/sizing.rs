//! The planned size and fuse of every circuit and feeder, beside those that the program chooses, and the form that
//! takes the choices over into the plan.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::sizing_row::{Row, is_open, replaces};
use crate::job::check::{JointReport, compared};
use crate::job::choice::{self, Choice};
use crate::job::finding::Finding;
use crate::job::plan::{Circuit, Feeder};
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId};
use crate::trade::finding::Level;
use crate::web::kit::figure::rounded;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::workings::WorkingPiece;

/// A form with a row for each circuit and feeder of the largest job.
pub const BODY_LIMIT: usize = 1024 * 1024;

const MEANWHILE: &str =
    "Somebody changed the plan meanwhile. Nothing is saved yet. Look at the choices again, then save them.";

#[derive(Template)]
#[template(path = "electrics/sizing.html")]
struct Page {
    title_block: TitleBlock,
    facts: Vec<(&'static str, String)>,
    rows: Vec<Row>,
    working: WorkingPiece,
    /// What no choice keeps.
    unmet: Vec<FindingPiece>,
    form: Form,
    may: bool,
    action: String,
    revision: i64,
    /// The wires whose choice is shown with all others as planned.
    agreed: Vec<String>,
    /// How many wires the plan leaves open.
    open: usize,
    /// How many choices replace something that was entered.
    replaced: usize,
    paging: Paging,
}

/// The sizes of a job's circuits and feeders.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let shown = Shown::of(&app, &job, &BTreeSet::new()).await?;
    page(frame, &job, &shown, Form::default(), StatusCode::OK)
}

/// Takes choices over into the plan, as one change.
pub async fn take(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let [ticked, agreed] = ["take", "agreed"].map(|field| wires(&form, field));
    let which = match form.typed("which") {
        "open" => Which::Open,
        "all" => Which::All,
        _ => Which::Ticked,
    };
    if form.typed("revision") != job.revision().to_string() {
        form.refuse("", MEANWHILE);
    } else if which == Which::Ticked && ticked.is_empty() {
        form.refuse("", "No row is ticked. Tick the rows to save.");
    } else if which == Which::All && !agreed.is_empty() {
        form.refuse("", "These are the choices with every row chosen. Look at them, then save them.");
    }
    if form.sound().is_none() {
        let shown = Shown::of(&app, &job, &BTreeSet::new()).await?;
        return page(frame, &job, &shown, form, StatusCode::CONFLICT);
    }
    let taken = if which == Which::Open {
        // The check of the plan chose these already.
        None
    } else {
        let some = if which == Which::Ticked { ticked } else { BTreeSet::new() };
        let shown = Shown::of(&app, &job, &some).await?;
        if some != agreed && shown.differs() {
            let text = "With the other rows as planned, some ticked rows need other sizes or fuses. They are shown now. \
                 Save them again.";
            form.refuse("", text);
            return page(frame, &job, &shown, form, StatusCode::CONFLICT);
        }
        if which == Which::All { Some(shown.all) } else { shown.some }
    };
    if !save(&app, &user, &job, taken.as_ref()).await? {
        return Err(Error::Conflict(MEANWHILE.to_owned()));
    }
    Ok(Redirect::to(&format!("{}{}", job.href(), Tab::Sizing.path())).into_response())
}

/// Which choices to take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Which {
    /// Those of the ticked rows.
    Ticked,
    /// Those for sizes and ratings that the plan leaves open.
    Open,
    /// All, in place of what was entered.
    All,
}

/// The choices as the page shows them.
struct Shown {
    /// With every wire chosen.
    all: Choice,
    /// With these wires chosen and the others as planned.
    some: Option<Choice>,
}

impl Shown {
    async fn of(app: &AppState, job: &Opened, some: &BTreeSet<Subject>) -> Result<Self, Error> {
        let (plan, some) = (job.plan.clone(), some.clone());
        let choose = move || Self {
            all: Choice::of(&plan, &choice::choosable(&plan)),
            some: (!some.is_empty()).then(|| Choice::of(&plan, &some)),
        };
        app.line().run(job.load, choose).await.map_err(Error::internal)
    }

    /// The choice that is shown for a wire.
    fn choice_for(&self, wire: &Subject) -> &Choice {
        self.some.as_ref().filter(|some| some.wires.contains(wire)).unwrap_or(&self.all)
    }

    /// Whether some wires get another choice if the others stay as planned.
    fn differs(&self) -> bool {
        let some = self.some.iter();
        some.flat_map(|some| some.wires.iter().map(move |wire| some.get(wire) != self.all.get(wire)))
            .any(|one| one)
    }
}

/// Saves the choices as one change, or what the plan leaves open; `false` if the plan is not the one that was shown.
async fn save(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    taken: Option<&Choice>,
) -> Result<bool, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    if !job.is_current(&mut write).await? {
        return Ok(false);
    }
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    for feeder in &job.plan.feeders {
        change.alter(&feeder.id, |own: Feeder| match taken {
            Some(choice) => choice.take_feeder(own),
            None => choice::filled_feeder(own, &job.report),
        })?;
    }
    for circuit in &job.plan.circuits {
        change.alter(&circuit.id, |own: Circuit| match taken {
            Some(choice) => choice.take_circuit(own),
            None => choice::filled_circuit(own, &job.report),
        })?;
    }
    change.commit().await?;
    write.commit().await?;
    Ok(true)
}

fn wires(form: &Form, field: &str) -> BTreeSet<Subject> {
    form.every(field).filter_map(|key| key.parse().ok()).collect()
}

fn page(
    frame: Frame,
    job: &Opened,
    shown: &Shown,
    form: Form,
    status: StatusCode,
) -> Result<Response, Error> {
    let joint = compared(&job.plan, &job.report, &shown.all.open, &shown.all.report);
    let ticked = wires(&form, "take");
    let (wires, paging) = page_of(&joint.wires, &frame);
    let rows = wires.iter().filter_map(|wire| {
        let is_ticked = ticked.contains(&wire.subject);
        Row::of(job, &wire.subject, shown.choice_for(&wire.subject), is_ticked)
    });
    let all = || joint.wires.iter().map(|wire| &wire.subject);
    let unmet = unmet(&shown.all);
    let (unmet, of_unmet) = page_of(&unmet, &frame);
    let page = Page {
        facts: facts(&joint),
        working: WorkingPiece::new(&joint.working, job.units),
        unmet: unmet.iter().map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
        may: frame.may(Permission::Plan) && frame.not_open().is_none(),
        action: frame.path.clone(),
        revision: job.revision(),
        agreed: shown.some.iter().flat_map(|some| &some.wires).map(ToString::to_string).collect(),
        open: all().filter(|wire| is_open(job, wire)).count(),
        replaced: all().filter(|wire| replaces(job, wire, shown.choice_for(wire))).count(),
        rows: rows.collect(),
        paging: paging.longer(of_unmet),
        form,
        title_block: job.title_block(frame, Tab::Sizing),
    };
    Ok((status, html(&page)?).into_response())
}

fn facts(joint: &JointReport) -> Vec<(&'static str, String)> {
    let kilograms = |kg: f64| rounded(kg, 2, "kg");
    vec![
        ("Copper as planned, without starter cables", kilograms(joint.planned_kg)),
        ("With all choices", kilograms(joint.anew_kg)),
        ("Lower bound", kilograms(joint.lower_bound_kg)),
    ]
}

/// The findings about wires that remain if every choice is taken.
fn unmet(all: &Choice) -> Vec<&Finding> {
    let is_wire = |one: &&Finding| matches!(one.subject.kind, SubjectKind::Feeder | SubjectKind::Circuit);
    all.report.findings.iter().filter(|one| one.level > Level::Note).filter(is_wire).collect()
}
