//! The page of all releases, waivers and judgments of a job, with what is waiting for a judgment or a confirmation.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{Html, Redirect};
use uuid::Uuid;

use crate::job::called::{open_item, step_line};
use crate::job::event::{Confirmation, Mark};
use crate::job::record::Record;
use crate::job::work::Work;
use crate::shop::role::Permission;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, once};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::page_of_key;
use crate::web::parts::place::step_page;
use crate::web::parts::undo_button::UndoButton;

#[derive(Template)]
#[template(path = "phases/releases.html")]
struct Page {
    title_block: TitleBlock,
    /// The address for confirmations.
    action: String,
    may: bool,
    stops: Vec<StopRow>,
    given: Vec<Given>,
}

/// A `stop` finding.
#[derive(Debug)]
struct StopRow {
    text: String,
    href: Option<String>,
    /// The form of its judgment, if there is none yet.
    judge: Option<String>,
}

/// A release, a waiver or a judgment.
#[derive(Debug)]
struct Given {
    kind: &'static str,
    what: String,
    href: Option<String>,
    reason: String,
    by: String,
    at: String,
    status: &'static str,
    /// The ids of a confirmation and of the record to confirm.
    confirm: Option<(Uuid, Uuid)>,
    undo: Option<UndoButton>,
}

/// All releases, waivers and judgments of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let bench = Bench::new(&frame, &job, format!("{}/releases", job.href()));
    let mut given: Vec<(jiff::Timestamp, Given)> =
        releases(&bench).chain(waivers(&bench)).chain(judgments(&bench)).collect();
    given.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    let page = Page {
        stops: stops(&bench),
        given: given.into_iter().map(|(_, given)| given).collect(),
        action: format!("{}/confirmations", job.href()),
        may: frame.may(Permission::ReleaseStop),
        title_block: job.title_block(frame.clone(), Tab::Releases),
    };
    html(&page)
}

/// Confirms an imported release, waiver or judgment.
pub async fn confirm(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    form: Form,
) -> Result<Redirect, Error> {
    let (id, event) = (once::event(&form, "event")?, once::event(&form, "of")?);
    let job = Opened::load(&app, job).await?;
    if !is_imported(&job, event) {
        return Err(Error::NotFound("imported record"));
    }
    let confirmation = Confirmation { id, event, by: user.name().clone(), at: job.moment(app.now()) };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job.id, &confirmation).await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("{}/releases", job.href())))
}

fn is_imported(job: &Opened, event: Uuid) -> bool {
    job.history.imported.contains(&event)
}

fn stops(bench: &Bench<'_>) -> Vec<StopRow> {
    let job = bench.job;
    let may = bench.frame.may(Permission::ReleaseStop);
    let row = |finding: &crate::job::finding::Finding| StopRow {
        text: finding.line().text(job.units),
        href: page_of_key(&job.href(), &finding.key()),
        judge: may.then(|| format!("{}/judgment?finding={}", job.href(), finding.key())),
    };
    bench.work.stops().map(row).collect()
}

/// The status of a record that may have been imported.
fn status(bench: &Bench<'_>, id: Uuid, counts: bool) -> (&'static str, Option<(Uuid, Uuid)>) {
    let confirmed = bench.job.history.confirmations.iter().any(|one| one.event == id);
    match (is_imported(bench.job, id) && !confirmed, counts) {
        (true, _) => ("imported, not confirmed", Some((Uuid::now_v7(), id))),
        (false, true) => ("in force", None),
        (false, false) => ("ended", None),
    }
}

fn undo(bench: &Bench<'_>, id: Uuid, by: &str, what: &str) -> Option<UndoButton> {
    let back = format!("{}/releases", bench.job.href());
    UndoButton::new(bench.frame, bench.job, (id, by), &back, what).map(UndoButton::onward)
}

fn releases(bench: &Bench<'_>) -> impl Iterator<Item = (jiff::Timestamp, Given)> {
    let counting: Vec<Uuid> = bench.work.releases().map(|release| release.id).collect();
    bench.job.history.releases.iter().map(move |release| {
        let what = format!(
            "{}, although {}",
            step_line(bench.job, &release.step),
            open_item(bench.job, bench.job.findings(), &release.obstacle, bench.job.units)
        );
        let (status, confirm) = status(bench, release.id, counting.contains(&release.id));
        let given = Given {
            kind: "Release",
            href: Some(step_page(&bench.job.href(), &release.step)),
            reason: release.reason.to_string(),
            by: release.by.to_string(),
            at: bench.frame.moment(release.at),
            undo: undo(bench, release.id, release.by.as_str(), &what),
            what,
            status,
            confirm,
        };
        (release.at, given)
    })
}

fn waivers(bench: &Bench<'_>) -> impl Iterator<Item = (jiff::Timestamp, Given)> {
    let results = bench.job.steps.all().iter().filter(|step| Work::is_result(step.key.action));
    let waived = results.filter_map(|step| {
        let last = bench.work.status(&step.key).last();
        Some((step, last.filter(|tick| tick.mark == Mark::NotNeeded)?))
    });
    waived.map(|(step, tick)| {
        let (status, confirm) = status(bench, tick.id, bench.work.state(&step.key).is_closed());
        let given = Given {
            kind: "Waiver",
            what: step_line(bench.job, &step.key),
            href: Some(step_page(&bench.job.href(), &step.key)),
            reason: tick.reason.as_ref().map_or_else(String::new, ToString::to_string),
            by: tick.by.to_string(),
            at: bench.frame.moment(tick.at),
            undo: None,
            status,
            confirm,
        };
        (tick.at, given)
    })
}

fn judgments(bench: &Bench<'_>) -> impl Iterator<Item = (jiff::Timestamp, Given)> {
    let in_force: Vec<Uuid> =
        bench.work.findings().iter().filter_map(|finding| Some(bench.work.judgment(finding)?.id)).collect();
    bench.job.history.judgments.iter().map(move |judgment| {
        let what = open_item(bench.job, bench.job.findings(), &judgment.finding, bench.job.units);
        let (status, confirm) = status(bench, judgment.id, in_force.contains(&judgment.id));
        let given = Given {
            kind: "Judgment",
            href: page_of_key(&bench.job.href(), &judgment.finding),
            reason: judgment.reason.to_string(),
            by: format!("{}, {}; recorded by {}", judgment.judge, judgment.qualification, judgment.by),
            at: bench.frame.moment(judgment.at),
            undo: undo(bench, judgment.id, judgment.by.as_str(), &what),
            what,
            status,
            confirm,
        };
        (judgment.moment().0, given)
    })
}
