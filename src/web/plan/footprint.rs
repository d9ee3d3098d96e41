//! The footprint of a device or distribution point and its board: the part of the form that both kinds have.

use super::edit::Edit;
use crate::job::board::Side;
use crate::job::value::{BoardId, GapMm, OnBoardMm, SizeMm};
use crate::web::kit::form::declared::{Declared, FieldGroup, FieldRows, Input, RowLayout};

const NEEDED: &str = "Required.";
const BESIDE: &str = "Required beside the other.";

/// Adds the size, the holes and the board of a part to a form, folded until they are given.
pub fn part(declared: Declared<Edit>) -> Declared<Edit> {
    declared.fold("Size, holes and board", [footprint(), mounting()])
}

fn footprint() -> FieldGroup<Edit> {
    FieldGroup::new("Footprint")
        .hint("Upright, seen from the front. Needed to lay out a board and to drill for it.")
        .inputs([
            Input::number::<SizeMm>("footprint.width_mm", "Width", "mm").needed(NEEDED),
            Input::number::<SizeMm>("footprint.height_mm", "Height", "mm").needed(NEEDED),
            Input::number::<GapMm>("footprint.clearance_mm", "Clearance on every side", "mm")
                .help("boards#clearance"),
            Input::select::<Side>("footprint.wires_leave", "Wires leave", Edit::sides).beside(),
            Input::number::<GapMm>("footprint.wire_bend_mm", "Room for their bend", "mm"),
            Input::number::<SizeMm>("footprint.screw_mm", "Thread of its screws", "mm")
                .help("boards#thread-engagement")
                .hint("No. 6: 3.5, No. 8: 4.2, No. 10: 4.8"),
            Input::number::<GapMm>("footprint.compass_safe_mm", "Compass safe distance", "mm")
                .hint("As the manufacturer states it"),
            Input::check("footprint.upright", "Must be mounted upright"),
            Input::check("footprint.hot", "Gets hot"),
            Input::check("footprint.splash_ok", "Splash-proof"),
            Input::check("footprint.magnetic", "Has a magnet in it"),
            Input::check("footprint.compass", "Is a compass"),
        ])
        .rows(holes())
}

fn holes() -> FieldRows<Edit> {
    let hole = [
        Input::number::<OnBoardMm>("x_mm", "From the left", "mm").required(),
        Input::number::<OnBoardMm>("y_mm", "From the top", "mm").required(),
        Input::number::<SizeMm>("d_mm", "Diameter", "mm"),
    ];
    FieldRows::new("footprint.holes", RowLayout::Columns, hole)
        .title("Its holes, from its left and its upper edge")
        .hint("A hole without a diameter is the pilot hole of its screws.")
        .spare(4, "More holes")
}

fn mounting() -> FieldGroup<Edit> {
    FieldGroup::new("The board it goes on").inputs([
        Input::select::<BoardId>("mounting.board", "Board", Edit::boards)
            .needed("Choose the board that these are measured on.")
            .hint("A board at the same location"),
        Input::number::<OnBoardMm>("mounting.at.x_mm", "From the board\u{2019}s left edge", "mm")
            .needed(BESIDE)
            .hint("Empty: to be proposed"),
        Input::number::<OnBoardMm>("mounting.at.y_mm", "From its upper edge", "mm").needed(BESIDE),
        Input::check("mounting.at.turned", "Turned a quarter turn clockwise").beside(),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::board::{Footprint, Mounting};
    use crate::web::kit::form::Form;
    use crate::web::kit::length::LengthUnit;

    fn read(form: &mut Form) -> Option<serde_json::Value> {
        part(Declared::new()).read(form, LengthUnit::Meter)
    }

    #[test]
    fn nothing_given_is_no_footprint_and_half_of_one_is_refused() {
        let mut form = Form::filled([("footprint.wires_leave", "bottom")]);
        assert_eq!(read(&mut form), Some(serde_json::json!({})));
        assert!(form.sound().is_some());
        let mut form = Form::filled([("footprint.hot", "yes")]);
        assert_eq!(read(&mut form), None);
        assert_eq!(form.error("footprint.width_mm"), Some("Required."));
    }

    #[test]
    fn what_was_filled_in_is_read_again() {
        let footprint: Footprint = serde_json::from_value(serde_json::json!({
            "width_mm": 120, "height_mm": 60.5, "wires_leave": "left", "wire_bend_mm": 40, "screw_mm": 4.2,
            "holes": [{"x_mm": 6, "y_mm": 6}, {"x_mm": 114, "y_mm": 6, "d_mm": 5}], "hot": true
        }))
        .unwrap();
        let mounting: Mounting = serde_json::from_value(serde_json::json!({
            "board": "b1", "at": {"x_mm": 10, "y_mm": 0, "turned": true}
        }))
        .unwrap();
        let stored = serde_json::json!({"footprint": &footprint, "mounting": &mounting});
        let mut form = Form::default();
        part(Declared::new()).fill(&stored, &mut form, LengthUnit::Meter);
        let back = read(&mut form).unwrap();
        assert_eq!(serde_json::from_value::<Footprint>(back["footprint"].clone()).unwrap(), footprint);
        assert_eq!(serde_json::from_value::<Mounting>(back["mounting"].clone()).unwrap(), mounting);
    }
}
