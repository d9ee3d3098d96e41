//! A finding as pages show it: its level, its subject, and what is wrong.

use askama::Template;
use askama::filters::HtmlSafe;

use super::workings::WorkingPiece;
use crate::job::finding::Finding;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::Level;
use crate::trade::say::say;
use crate::trade::units::Units;

/// A level shown by shape, text and weight: an octagon, a triangle, a circle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Template)]
#[template(path = "partials/level.html")]
pub struct LevelMark(pub Level);

impl HtmlSafe for LevelMark {}

impl LevelMark {
    fn word(self) -> &'static str {
        self.0.word()
    }

    fn title(self) -> &'static str {
        match self.0 {
            Level::Stop => "Stop",
            Level::Fix => "Fix",
            Level::Note => "Note",
        }
    }
}

/// A finding as a list item: level, subject, what is wrong, and its working.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/finding.html")]
pub struct FindingPiece {
    mark: LevelMark,
    about: String,
    href: Option<String>,
    text: String,
    code: &'static str,
    working: Option<WorkingPiece>,
    /// The address of the field that corrects it, with the text of the link.
    edit: Option<(String, String)>,
    /// Who judged that it does not apply, and why.
    judged: Option<String>,
    /// The address to record a judgment at.
    judge: Option<String>,
}

impl HtmlSafe for FindingPiece {}

impl FindingPiece {
    /// A finding of the job at this address, in the shop's units.
    pub fn new(finding: &Finding, job: &str, units: Units) -> Self {
        Self {
            mark: LevelMark(finding.level),
            about: say!("{}", finding.thing()).text(units),
            href: sheet_of(&finding.subject).map(|path| format!("{job}{path}")),
            text: finding.text.text(units),
            code: finding.code.phrase(),
            working: finding.working.as_ref().map(|working| WorkingPiece::new(working, units)),
            edit: None,
            judged: None,
            judge: None,
        }
    }

    /// The same piece with a link to the field that corrects it.
    pub fn edit(self, href: String, words: String) -> Self {
        Self { edit: Some((href, words)), ..self }
    }

    /// The same piece with the judgment that sets it aside.
    pub fn judged(self, words: String) -> Self {
        Self { judged: Some(words), ..self }
    }

    /// The same piece with a link to the form of a judgment.
    pub fn judge(self, href: String) -> Self {
        Self { judge: Some(href), ..self }
    }
}

/// The page that shows what a finding is about, by the key of the finding.
pub fn page_of_key(job: &str, key: &str) -> Option<String> {
    let (_, subject) = key.strip_prefix("finding/")?.split_once('/')?;
    sheet_of(&subject.parse().ok()?).map(|path| format!("{job}{path}"))
}

/// The page within a job that shows a thing.
pub fn sheet_of(subject: &Subject) -> Option<String> {
    let id = &subject.id;
    match subject.kind {
        SubjectKind::Location => Some(format!("/plan/locations#{id}")),
        SubjectKind::Raceway => Some(format!("/plan/locations#{id}")),
        SubjectKind::Point => Some(format!("/plan/points#{id}")),
        SubjectKind::Feeder => Some(format!("/feeders/{id}")),
        SubjectKind::Device => Some(format!("/plan/devices#{id}")),
        SubjectKind::Circuit => Some(format!("/circuits/{id}")),
        SubjectKind::Board => Some(format!("/boards/{id}")),
        SubjectKind::Mode => Some(format!("/plan/modes#{id}")),
        SubjectKind::Removed => Some(format!("/plan/removed#{id}")),
        SubjectKind::Proposed => Some(format!("/plan/measure#{id}")),
        SubjectKind::Job => Some("/intake".to_owned()),
        SubjectKind::Conductor | SubjectKind::Cable => Some(format!("/wires/{id}")),
        SubjectKind::End => {
            let (piece, side) = id.split_at_checked(id.len().checked_sub(1)?)?;
            // The letter of a cable's end follows a dash.
            let piece = piece.strip_suffix('-').unwrap_or(piece);
            Some(format!("/wires/{piece}/{side}"))
        }
        SubjectKind::OpenItem => Some(format!("/open-items#item-{id}")),
        SubjectKind::Position | SubjectKind::Setting => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_is_shown_as_text_as_well() {
        for (level, word) in [(Level::Stop, "Stop"), (Level::Fix, "Fix"), (Level::Note, "Note")] {
            let html = LevelMark(level).render().unwrap();
            assert!(html.contains(word) && html.contains("<svg"), "{html}");
        }
    }
}
