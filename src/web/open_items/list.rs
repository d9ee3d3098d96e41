//! The list of open items of a job, the most serious first, and the closed ones with what was done.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::open_item::{Closing, OpenItem};
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::photos::Photo;
use crate::store::{JobId, photos};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::open_item::{self, OpenItemPiece};

#[derive(Template)]
#[template(path = "open_items/list.html")]
struct Page {
    title_block: TitleBlock,
    count: String,
    open: Vec<OpenItemPiece>,
    closed: Vec<OpenItemPiece>,
    paging: Paging,
    /// The page to add one, if the user may.
    add: Option<String>,
}

/// The open items of a job.
///
/// # Errors
/// [`Error::NotFound`] if there is no such job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let photos = photos::of_job(&mut *app.store().read().await?, job.id).await?;
    let work = job.work();
    let open = work.open_items();
    let all: Vec<Row<'_>> = open
        .iter()
        .map(|item| (*item, None))
        .chain(work.closed_items().map(|(item, end)| (item, Some(end))))
        .collect();
    let (shown, paging) = page_of(&all, &frame);
    let (closed, open): (Vec<Row<'_>>, Vec<Row<'_>>) =
        shown.iter().copied().partition(|(_, end)| end.is_some());
    let pieces = |rows: &[Row<'_>]| rows.iter().map(|row| piece(&frame, &job, &photos, *row)).collect();
    let page = Page {
        count: work.summary().items_line().unwrap_or_else(|| "No open items.".to_owned()),
        open: pieces(&open),
        closed: pieces(&closed),
        paging,
        add: frame.may(Permission::Tick).then(|| format!("{}/open-items/new", job.href())),
        title_block: job.title_block(frame.clone(), Tab::OpenItems),
    };
    html(&page)
}

type Row<'a> = (&'a OpenItem, Option<&'a Closing>);

fn piece(frame: &Frame, job: &Opened, photos: &[Photo], (item, end): Row<'_>) -> OpenItemPiece {
    let id = item.id.to_string();
    let own = photos.iter().filter(|one| one.subject.kind == SubjectKind::OpenItem && one.subject.id == id);
    open_item::piece(frame, job, item, end, own)
}
