//! The button that undoes a record: a reading, a pull, a note, a repair or a release.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::shop::role::Permission;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// The button that undoes the record beside it.
#[derive(Debug, Clone, Template)]
#[template(path = "hand/undo.html")]
pub struct UndoButton {
    id: Uuid,
    event: Uuid,
    action: String,
    back: String,
    what: String,
    onward: bool,
}

impl HtmlSafe for UndoButton {}

impl UndoButton {
    /// The button for the record with this id, made by the person `by`; `None` if the user may not undo it.
    pub fn new(frame: &Frame, job: &Opened, (id, by): (Uuid, &str), back: &str, what: &str) -> Option<Self> {
        may(frame, by).then(|| Self {
            id,
            event: Uuid::now_v7(),
            action: format!("{}/withdrawals", job.href()),
            back: back.to_owned(),
            what: what.to_owned(),
            onward: false,
        })
    }

    /// The same button, for a record whose undoing changes more of the page than the part around the button.
    pub fn onward(self) -> Self {
        Self { onward: true, ..self }
    }
}

/// Whether the user may undo a record of this person: their own, or anybody's as a technician.
pub fn may(frame: &Frame, by: &str) -> bool {
    let own = frame.user.as_ref().is_some_and(|user| user.name().as_str() == by);
    frame.may(Permission::Release) || (own && frame.may(Permission::Tick))
}
