//! What a device or a point takes up and the board it goes on: the part of their forms that both have.

use super::choices::Choice;
use super::edit::Edit;
use crate::job::board::{Footprint, Hole, Mounting, Side};
use crate::web::kit::form::rows::cell;
use crate::web::kit::form::{Form, word};
use crate::web::parts::corner::corner;

/// The list of holes in the form.
pub const HOLES: &str = "footprint.holes";
/// What makes a row of it count.
pub const HOLE_KEYS: &[&str] = &["x_mm", "y_mm", "d_mm"];

/// The fields that say there is a footprint at all.
const MEASURES: [&str; 6] = [
    "footprint.width_mm",
    "footprint.height_mm",
    "footprint.clearance_mm",
    "footprint.wire_bend_mm",
    "footprint.screw_mm",
    "footprint.compass_safe_mm",
];
/// What is ticked of it.
const TICKS: [&str; 5] =
    ["footprint.upright", "footprint.hot", "footprint.splash_ok", "footprint.compass", "footprint.magnetic"];

impl Edit {
    /// The sides of a part.
    pub fn sides(&self) -> [(&'static str, &'static str); 4] {
        [("", "Below"), ("top", "Above"), ("left", "To the left"), ("right", "To the right")]
    }

    /// Where the front of a board looks.
    pub fn faces(&self) -> [(&'static str, &'static str); 7] {
        [
            ("", "Not given"),
            ("aft", "Aft"),
            ("ahead", "Ahead"),
            ("port", "To port"),
            ("starboard", "To starboard"),
            ("up", "Up, its upper edge ahead"),
            ("down", "Down, its upper edge ahead"),
        ]
    }

    /// The job's boards.
    pub fn boards(&self) -> Vec<Choice> {
        let boards = self.job.plan.boards.iter();
        let boards =
            boards.map(|board| (board.id.to_string(), format!("{} ({})", board.name, board.location)));
        [(String::new(), "No board".to_owned())].into_iter().chain(boards).collect()
    }
}

/// Fills the form with what is stored.
pub fn fill(footprint: Option<&Footprint>, mounting: Option<&Mounting>, form: &mut Form) {
    if let Some(footprint) = footprint {
        let usual = footprint.wires_leave == Side::default();
        form.put("footprint.wires_leave", (!usual).then(|| word(footprint.wires_leave)).flatten());
        form.put("footprint.width_mm", Some(footprint.width_mm));
        form.put("footprint.height_mm", Some(footprint.height_mm));
        form.put("footprint.clearance_mm", footprint.clearance_mm);
        form.put("footprint.wire_bend_mm", footprint.wire_bend_mm);
        form.put("footprint.screw_mm", footprint.screw_mm);
        form.put("footprint.compass_safe_mm", footprint.compass_safe_mm);
        let ticked =
            [footprint.upright, footprint.hot, footprint.splash_ok, footprint.compass, footprint.magnetic];
        for (field, ticked) in TICKS.into_iter().zip(ticked) {
            form.put(field, ticked.then_some("yes"));
        }
        for (row, hole) in footprint.holes.iter().enumerate() {
            form.put(&cell(HOLES, row, "x_mm"), Some(hole.x_mm));
            form.put(&cell(HOLES, row, "y_mm"), Some(hole.y_mm));
            form.put(&cell(HOLES, row, "d_mm"), hole.d_mm);
        }
    }
    let Some(mounting) = mounting else { return };
    form.put("mounting.board", Some(&mounting.board));
    form.put("mounting.at.x_mm", mounting.at.map(|at| at.x_mm));
    form.put("mounting.at.y_mm", mounting.at.map(|at| at.y_mm));
    form.put("mounting.at.turned", mounting.at.is_some_and(|at| at.turned).then_some("yes"));
}

/// Reads what it takes up; nothing where nothing of it is given.
pub fn read(form: &mut Form) -> Option<Footprint> {
    let count = form.settle(HOLES, HOLE_KEYS);
    let given = |field: &&str| !form.typed(field).trim().is_empty();
    if count == 0 && !MEASURES.iter().chain(&TICKS).any(given) {
        return None;
    }
    let (width_mm, height_mm) = (form.required("footprint.width_mm"), form.required("footprint.height_mm"));
    let clearance_mm = form.optional("footprint.clearance_mm");
    let wires_leave = form.choice("footprint.wires_leave").unwrap_or_default();
    let wire_bend_mm = form.optional("footprint.wire_bend_mm");
    let screw_mm = form.optional("footprint.screw_mm");
    let compass_safe_mm = form.optional("footprint.compass_safe_mm");
    let holes = (0..count).filter_map(|row| hole(form, row)).collect();
    let [upright, hot, splash_ok, compass, magnetic] = TICKS.map(|field| form.flag(field));
    Some(Footprint {
        width_mm: width_mm?,
        height_mm: height_mm?,
        clearance_mm,
        wires_leave,
        wire_bend_mm,
        screw_mm,
        holes,
        upright,
        hot,
        splash_ok,
        compass,
        compass_safe_mm,
        magnetic,
    })
}

fn hole(form: &mut Form, row: usize) -> Option<Hole> {
    let x_mm = form.required(&cell(HOLES, row, "x_mm"));
    let y_mm = form.required(&cell(HOLES, row, "y_mm"));
    let d_mm = form.optional(&cell(HOLES, row, "d_mm"));
    Some(Hole { x_mm: x_mm?, y_mm: y_mm?, d_mm })
}

/// Reads the board it goes on, and where on it.
pub fn read_mounting(form: &mut Form) -> Option<Mounting> {
    let board = form.choice("mounting.board");
    let at = corner(form, "mounting.at");
    if board.is_none() && at.is_some() {
        form.refuse("mounting.board", "Choose the board that these are measured on.");
    }
    Some(Mounting { board: board?, at })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_given_is_no_footprint_and_half_of_one_is_refused() {
        let mut form = Form::filled([("footprint.wires_leave", "bottom")]);
        assert_eq!(read(&mut form), None);
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
        let mut form = Form::default();
        fill(Some(&footprint), Some(&mounting), &mut form);
        assert_eq!(read(&mut form), Some(footprint));
        assert_eq!(read_mounting(&mut form), Some(mounting));
    }
}
