//! A board: its form.

use super::edit::{Edit, Thing};
use super::inputs::{aside, id};
use super::next_id::next;
use crate::job::board::{Board, Faces};
use crate::job::value::{AheadM, BoardId, LocationId, Name, SizeMm, UpM};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, Input};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

impl Thing for Board {
    const TAB: Tab = Tab::Boards;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("board", 1, job.plan.boards.iter().map(|board| &board.id))));
    }

    fn declared() -> Declared<Edit> {
        let needed = "Required.";
        let [distance, side] = aside("stands.starboard_m", "stands.aside_m", "stands.side");
        let position = FieldGroup::new("Its upper left corner, seen from the front")
            .hint(
                "Needed only where a compass, a magnet or something hot on this board must keep a distance from \
                 a part on another board. Distances count from the face of the board: a part that sticks out is \
                 nearer by as much.",
            )
            .inputs([
                Input::length::<AheadM>("stands.ahead_m", "Ahead of the transom").needed(needed),
                distance.needed("This is needed beside the others."),
                side,
                Input::length::<UpM>("stands.up_m", "Above the keel").needed(needed),
                Input::select::<Faces>("stands.faces", "Its front faces", Edit::faces).needed("Choose one."),
            ]);
        Declared::new()
            .group(
                FieldGroup::new("Board").inputs([
                    id::<BoardId>(),
                    Input::text::<Name>("name", "Name")
                        .required()
                        .hint("Such as: Inside the console, Battery bulkhead"),
                    Input::select::<LocationId>("location", "Where it is", Edit::locations).required(),
                    Input::number::<SizeMm>("width_mm", "Width", "mm").required(),
                    Input::number::<SizeMm>("height_mm", "Height", "mm").required(),
                    Input::number::<SizeMm>("thickness_mm", "Thickness of the board", "mm")
                        .hint("Empty where parts go on the laminate itself"),
                    Input::number::<SizeMm>("laminate_mm", "Laminate right behind it", "mm")
                        .hint("Glass laminate that the screws reach as well"),
                ]),
            )
            .fold("Position in the boat", [position])
    }
}
