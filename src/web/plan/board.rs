//! A board: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::location::{aside, put_aside};
use super::next_id::next;
use crate::job::board::{Board, Stands};
use crate::job::subject::SubjectKind;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a board.
#[derive(Template)]
#[template(path = "plan/board.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

/// The fields that say there is a location to be read; a side is always chosen.
const STANDS: [&str; 4] = ["stands.ahead_m", "stands.aside_m", "stands.up_m", "stands.faces"];

impl Thing for Board {
    type Page = Page;

    const TAB: Tab = Tab::Boards;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("board", 1, job.plan.boards.iter().map(|board| &board.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("location", Some(&self.location));
        form.put("width_mm", Some(self.width_mm));
        form.put("height_mm", Some(self.height_mm));
        form.put("thickness_mm", self.thickness_mm);
        form.put("laminate_mm", self.laminate_mm);
        let Some(stands) = self.stands else { return };
        form.put("stands.ahead_m", Some(unit.text(stands.ahead_m.number())));
        put_aside(form, "stands", stands.starboard_m, unit);
        form.put("stands.up_m", Some(unit.text(stands.up_m.number())));
        form.put("stands.faces", word(stands.faces));
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let location = form.required_choice("location");
        let width_mm = form.required("width_mm");
        let height_mm = form.required("height_mm");
        let thickness_mm = form.optional("thickness_mm");
        let laminate_mm = form.optional("laminate_mm");
        let stands = if given(form) { stands(form, unit) } else { None };
        form.sound()?;
        Some(Self {
            id: id?,
            name: name?,
            location: location?,
            width_mm: width_mm?,
            height_mm: height_mm?,
            thickness_mm,
            laminate_mm,
            stands,
        })
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

impl Page {
    /// Whether something is said of where it stands, right or wrong.
    fn stands(&self) -> bool {
        given(&self.form)
    }
}

fn given(form: &Form) -> bool {
    STANDS.iter().any(|field| !form.typed(field).trim().is_empty())
}

/// Where it stands: all of it or nothing.
fn stands(form: &mut Form, unit: LengthUnit) -> Option<Stands> {
    let ahead_m = form.required_length("stands.ahead_m", unit);
    let starboard_m = aside(form, "stands", unit);
    if !form.flag("stands.aside_m") {
        form.refuse("stands.aside_m", "This is needed beside the others.");
    }
    let up_m = form.required_length("stands.up_m", unit);
    let faces = form.required_choice("stands.faces");
    Some(Stands { ahead_m: ahead_m?, starboard_m: starboard_m?, up_m: up_m?, faces: faces? })
}
