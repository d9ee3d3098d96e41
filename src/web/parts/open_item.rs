//! Open items as pages show them: one in a list, and those on a thing with the link to add another.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::bench::{self, Bench};
use super::finding::sheet_of;
use super::photo::PhotoPiece;
use super::undo_button::UndoButton;
use crate::job::called;
use crate::job::open_item::{Closing, OpenItem};
use crate::job::subject::Subject;
use crate::job::work::Work;
use crate::shop::role::Permission;
use crate::store::photos::Photo;
use crate::trade::say::capital;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// An open item in a list.
#[derive(Debug, Template)]
#[template(path = "partials/open_item.html")]
pub struct OpenItemPiece {
    id: Uuid,
    severity: String,
    about: String,
    href: Option<String>,
    found: String,
    acts: String,
    by: String,
    at: String,
    photos: Vec<PhotoPiece>,
    /// What was done, by whom and when.
    done: Option<String>,
    /// The form to close it, if the user may.
    close: Option<CloseForm>,
    /// The form to add a photo, if the user may.
    add_photo: Option<String>,
    back: String,
    undo: Option<UndoButton>,
}

impl HtmlSafe for OpenItemPiece {}

/// The form that closes an open item.
#[derive(Debug)]
struct CloseForm {
    action: String,
    event: Uuid,
}

/// An open item with its photos, and what was done about it if it is closed.
pub fn piece<'p>(
    frame: &Frame,
    job: &Opened,
    item: &OpenItem,
    end: Option<&Closing>,
    photos: impl Iterator<Item = &'p Photo>,
) -> OpenItemPiece {
    let (thing, open) = (item.thing.subject(), end.is_none());
    let back = format!("{}/open-items#item-{}", job.href(), item.id);
    let (made, by) = end.map_or((item.id, &item.by), |end| (end.id, &end.by));
    OpenItemPiece {
        severity: capital(item.severity.word()),
        about: called::thing(job, thing),
        href: sheet_of(thing).map(|path| format!("{}{path}", job.href())),
        found: item.found.to_string(),
        acts: capital(item.acts.word()),
        by: item.by.to_string(),
        at: frame.moment(item.at),
        photos: photos.map(|photo| PhotoPiece::of(photo, job, frame)).collect(),
        done: end.map(|end| format!("{} {}, {}", end.done, end.by, frame.moment(end.at))),
        close: (open && bench::who(frame).is_some_and(|who| who >= Work::closed_by(item.severity)))
            .then(|| CloseForm { action: format!("{}/closings", job.href()), event: Uuid::now_v7() }),
        add_photo: (open && frame.may(Permission::Tick)).then(|| format!("{}/photos", job.href())),
        undo: UndoButton::new(frame, job, (made, by.as_str()), &back, item.found.as_str())
            .map(UndoButton::onward),
        id: item.id,
        back,
    }
}

/// The open items on a thing, and the link to add one.
#[derive(Debug, Template)]
#[template(path = "partials/found_here.html")]
pub struct FoundHere {
    id: String,
    items: Vec<FoundLine>,
    /// The page to add one, if the user may.
    add: Option<String>,
    about: String,
}

impl HtmlSafe for FoundHere {}

#[derive(Debug)]
struct FoundLine {
    severity: String,
    found: String,
    href: String,
    acts: &'static str,
}

impl FoundHere {
    /// Those on a thing; `back` is the page to come back to.
    pub fn on(bench: &Bench<'_>, thing: &Subject, back: &str) -> Self {
        let (job, about) = (bench.job, called::thing(bench.job, thing));
        let here = bench.work.open_items().into_iter().filter(|item| item.thing.subject() == thing);
        let line = |item: &OpenItem| FoundLine {
            severity: capital(item.severity.word()),
            found: item.found.to_string(),
            href: format!("{}/open-items#item-{}", job.href(), item.id),
            acts: item.acts.word(),
        };
        let query = serde_urlencoded::to_string([("thing", thing.to_string().as_str()), ("back", back)]);
        let query = query.ok().filter(|_| bench.frame.may(Permission::Tick));
        Self {
            id: format!("found-{}", thing.to_string().replace('/', "-")),
            items: here.map(line).collect(),
            add: query.map(|query| format!("{}/open-items/new?{query}", job.href())),
            about,
        }
    }
}
