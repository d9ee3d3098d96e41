//! A board: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::board::Board;
use crate::job::subject::Kind;
use crate::web::form::Form;
use crate::web::job::Opened;
use crate::web::length::LengthUnit;
use crate::web::page::{Sheet, Tab};

/// The form of a board.
#[derive(Template)]
#[template(path = "plan/board.html")]
pub struct Page {
    sheet: Sheet,
    form: Form,
    edit: Edit,
}

impl Thing for Board {
    type Page = Page;

    const KIND: Kind = Kind::Board;
    const TAB: Tab = Tab::Boards;
    const LIST: &'static str = "boards";

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("board", 1, job.plan.boards.iter().map(|board| &board.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("place", Some(&self.place));
        form.put("width_mm", Some(self.width_mm));
        form.put("height_mm", Some(self.height_mm));
        form.put("thickness_mm", self.thickness_mm);
        form.put("laminate_mm", self.laminate_mm);
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let place = form.required_choice("place");
        let width_mm = form.required("width_mm");
        let height_mm = form.required("height_mm");
        let thickness_mm = form.optional("thickness_mm");
        let laminate_mm = form.optional("laminate_mm");
        form.sound()?;
        Some(Self {
            id: id?,
            name: name?,
            place: place?,
            width_mm: width_mm?,
            height_mm: height_mm?,
            thickness_mm,
            laminate_mm,
        })
    }

    fn page(sheet: Sheet, form: Form, edit: Edit) -> Page {
        Page { sheet, form, edit }
    }
}
