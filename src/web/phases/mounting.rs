//! What a person needs to mount a device or distribution point: its board, position and screws, and what is behind.

use std::collections::BTreeMap;

use crate::job::board::Board;
use crate::job::board::parts::{PartOn, mountable};
use crate::job::subject::Subject;
use crate::job::value::SizeMm;
use crate::trade::board::{Hold, Screw};
use crate::trade::finding::Code;
use crate::trade::units::Units;
use crate::trade::working::figure;
use crate::web::kit::opened::Opened;
use crate::web::parts::workings::{WorkingPiece, pieces};

/// The lines of a thing's card. An unknown value is named, so that nobody takes it for settled.
pub fn notes(job: &Opened, subject: &Subject) -> Vec<String> {
    let Some(thing) = mountable(&job.plan).find(|thing| thing.subject == *subject) else { return Vec::new() };
    let Some(board) = thing.mounting.and_then(|mounting| job.plan.board(&mounting.board)) else {
        return vec!["On no board: choose its position on the boat".to_owned()];
    };
    let Some(part) = thing.part() else {
        return vec![format!("On {}; its footprint is not given", board.name)];
    };
    let mut notes = vec![spot(&part, board)];
    notes.extend(drilled(&part, board));
    notes.extend(screws(&part, board, job.units));
    notes
}

/// The workings of its pilot hole and of its thread engagement.
pub fn workings(job: &Opened, subject: &Subject) -> Vec<WorkingPiece> {
    let hold = mountable(&job.plan).find(|thing| thing.subject == *subject).and_then(|thing| {
        let board = job.plan.board(&thing.mounting?.board)?;
        thing.part()?.hold(board)
    });
    pieces(hold.iter().flat_map(|hold| &hold.workings), job.units)
}

fn spot(part: &PartOn<'_>, board: &Board) -> String {
    match part.at {
        Some(at) => {
            let turned = if at.turned { ", turned a quarter clockwise" } else { "" };
            format!(
                "On {}: its upper left corner {} mm from the left and {} mm from above{turned}",
                board.name, at.x_mm, at.y_mm
            )
        }
        None => format!("On {}: its position is not set yet", board.name),
    }
}

/// How many holes of which diameter.
fn drilled(part: &PartOn<'_>, board: &Board) -> Option<String> {
    let pilot = part.hold(board).and_then(|hold| hold.pilot_mm);
    let mut sizes: BTreeMap<String, usize> = BTreeMap::new();
    for hole in &part.footprint.holes {
        let width = hole.d_mm.map(SizeMm::number).or(pilot);
        let words = width.map_or_else(|| "of unknown width".to_owned(), |mm| format!("{} mm", figure(mm)));
        *sizes.entry(words).or_default() += 1;
    }
    let said: Vec<String> = sizes.iter().map(|(size, count)| format!("{count} \u{d7} {size}")).collect();
    (!said.is_empty()).then(|| format!("Holes: {}", said.join(", ")))
}

/// Its screws with their pilot hole, and whether they hold without a backing board.
fn screws(part: &PartOn<'_>, board: &Board, units: Units) -> Vec<String> {
    let (Some(screw), Some(hold)) = (part.footprint.screw_mm, part.hold(board)) else {
        return vec!["Its screws are not given: thread engagement is not checked".to_owned()];
    };
    let number = Screw::of(screw.number()).map_or_else(String::new, |made| format!(" (No. {})", made.number));
    let pilot = hold.pilot_mm.map_or_else(
        || "pilot hole not known".to_owned(),
        |pilot| format!("pilot hole {} mm", figure(pilot)),
    );
    vec![format!("Screws of {screw} mm{number}, {pilot}"), backing(&hold, units)]
}

fn backing(hold: &Hold, units: Units) -> String {
    let lacking = [Code::ThreadTooShort, Code::InputMissing];
    let lack = hold.findings.iter().find(|finding| lacking.contains(&finding.code));
    lack.map_or_else(
        || "The screws hold in this thickness: no backing board or through-bolts needed".to_owned(),
        |finding| finding.text.text(units),
    )
}
