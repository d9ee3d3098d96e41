//! Removed equipment: each piece, what becomes of it, and its photos.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::plan::{Fate, RemovedEquipment, Tested};
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::role::Permission;
use crate::store::{JobId, Version, item, photos};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::photo::PhotoPiece;

#[derive(Template)]
#[template(path = "plan/removed_list.html")]
struct Page {
    title_block: TitleBlock,
    href: String,
    may_plan: bool,
    may_tick: bool,
    currency: String,
    groups: Vec<Group>,
    paging: Paging,
}

/// All pieces with the same fate.
struct Group {
    fate: Fate,
    rows: Vec<Row>,
    /// Their total price when new.
    worth: f64,
}

struct Row {
    id: String,
    name: String,
    version: Version,
    subject: String,
    location: Option<String>,
    tested: Option<Tested>,
    notes: Option<String>,
    worth_new: Option<String>,
    device: Option<String>,
    photos: Vec<PhotoPiece>,
    may_fit: bool,
}

impl Page {
    fn is_empty(&self) -> bool {
        self.groups.is_empty()
    }
}

/// The removed equipment of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let opened = Opened::load(&app, job).await?;
    let mut read = app.store().read().await?;
    let versions = item::versions::<RemovedEquipment>(&mut read, job).await?;
    let photos: Vec<PhotoPiece> = photos::of_job(&mut read, job)
        .await?
        .iter()
        .map(|photo| PhotoPiece::of(photo, &opened, &frame))
        .collect();
    let (removed, paging) = page_of(&opened.plan.removed, &frame);
    let rows = |fate| {
        let of_fate = removed.iter().filter(move |removed| removed.fate == fate);
        of_fate.map(|removed| row(removed, versions.get(&removed.id).copied(), &opened, &photos)).collect()
    };
    let groups =
        Fate::ALL.into_iter().map(|fate| Group { fate, rows: rows(fate), worth: worth(&opened, fate) });
    html(&Page {
        href: opened.href(),
        may_plan: frame.may(Permission::Plan),
        may_tick: frame.may(Permission::Tick),
        currency: frame.currency().to_owned(),
        paging,
        groups: groups.filter(|group| !group.rows.is_empty()).collect(),
        title_block: opened.title_block(frame, Tab::Removed),
    })
}

fn worth(job: &Opened, fate: Fate) -> f64 {
    let of_fate = job.plan.removed.iter().filter(|removed| removed.fate == fate);
    of_fate.filter_map(|removed| removed.worth_new).map(|worth| worth.number()).sum()
}

fn row(removed: &RemovedEquipment, version: Option<Version>, job: &Opened, photos: &[PhotoPiece]) -> Row {
    let subject = Subject::new(SubjectKind::Removed, &removed.id).to_string();
    let location = removed.location.as_ref().and_then(|id| job.plan.location(id));
    Row {
        id: removed.id.to_string(),
        name: removed.name.to_string(),
        version: version.unwrap_or(Version::first()),
        location: location.map(|location| location.name.to_string()),
        tested: removed.tested,
        notes: removed.notes.as_ref().map(ToString::to_string),
        worth_new: removed.worth_new.map(|worth| format!("{:.2}", worth.number())),
        device: removed.device.as_ref().map(ToString::to_string),
        photos: photos.iter().filter(|photo| photo.subject == subject).cloned().collect(),
        may_fit: removed.fate == Fate::Keep && removed.device.is_none(),
        subject,
    }
}
