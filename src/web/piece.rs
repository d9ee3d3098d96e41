//! Small pieces of page that are the same everywhere: a figure with its unit, a level, a tick.

use std::fmt;

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::form::capital;
use super::length::LengthUnit;
use crate::job::finding::Finding;
use crate::job::progress::StepState;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::Level;
use crate::trade::working::Working;

/// A figure with its unit set small beside it.
#[derive(Debug, Clone, PartialEq, Eq, Template)]
#[template(
    source = r#"<span class="figure">{{ number }}{% if !unit.is_empty() %}<span class="unit">{{ unit }}</span>{% endif %}</span>"#,
    ext = "html"
)]
pub struct Figure {
    number: String,
    unit: &'static str,
}

impl HtmlSafe for Figure {}

impl Figure {
    /// A number as it is.
    pub fn new(number: impl fmt::Display, unit: &'static str) -> Self {
        Self { number: number.to_string(), unit }
    }

    /// A length as a tape has it.
    pub fn length(meters: f64, unit: LengthUnit) -> Self {
        Self::new(unit.said(meters), "")
    }

    /// A number rounded to so many decimals.
    pub fn rounded(number: f64, decimals: usize, unit: &'static str) -> Self {
        Self { number: format!("{number:.decimals$}"), unit }
    }
}

/// A level by shape, word and weight: an octagon, a triangle, a circle.
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

/// A figure's working, folded away behind the figure.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/working.html")]
pub struct WorkingPiece(pub Working);

impl HtmlSafe for WorkingPiece {}

/// A finding as an item of a list: level, what it is about, what is wrong, and its working.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "partials/finding.html")]
pub struct FindingPiece {
    mark: LevelMark,
    about: String,
    href: Option<String>,
    text: String,
    code: &'static str,
    working: Option<WorkingPiece>,
}

impl HtmlSafe for FindingPiece {}

impl FindingPiece {
    /// A finding of the job at that address.
    pub fn new(finding: &Finding, job: &str) -> Self {
        Self {
            mark: LevelMark(finding.level),
            about: about(&finding.subject),
            href: sheet_of(&finding.subject).map(|path| format!("{job}{path}")),
            text: finding.text.clone(),
            code: finding.code.phrase(),
            working: finding.working.clone().map(WorkingPiece),
        }
    }
}

/// A thing by kind and id; of the job itself the kind says it all.
fn about(subject: &Subject) -> String {
    match subject.kind {
        SubjectKind::Job => "The job".to_owned(),
        kind => format!("{} {}", capital(kind.word()), subject.id),
    }
}

/// The page within a job where a thing can be looked at.
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
        SubjectKind::Job => Some("/intake".to_owned()),
        SubjectKind::Conductor => Some(format!("/wires/{id}")),
        SubjectKind::End => {
            let (wire, side) = id.split_at_checked(id.len().checked_sub(1)?)?;
            Some(format!("/wires/{wire}/{side}"))
        }
        SubjectKind::Cable => Some(format!("/cables/{id}")),
        SubjectKind::Position | SubjectKind::Setting => None,
    }
}

/// The big tick beside a step: one tap marks it done, the next undoes it.
///
/// It posts `event` (an id made for this tap), `step`, `mark` and `back` to `action`. An id sent twice
/// is stored once, so a tap repeated over a bad connection does no harm.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/tick.html")]
pub struct Tick {
    /// Where ticks of the job are posted: `/jobs/12/ticks`.
    pub action: String,
    /// The step as it is written: `circuit/C01/test`.
    pub step: String,
    /// What the step says, for those who do not see the box.
    pub line: String,
    /// How it stands.
    pub state: StepState,
    /// Whether the user may tick.
    pub may: bool,
    /// The page to come back to.
    pub back: String,
    /// The id of the event this tap would make.
    pub event: Uuid,
}

impl HtmlSafe for Tick {}

impl Tick {
    /// An id for the form, made of the step.
    fn form_id(&self) -> String {
        format!("tick-{}", self.step.replace('/', "-"))
    }

    fn class(&self) -> &'static str {
        match self.state {
            StepState::Open => "tick-open",
            StepState::Done => "tick-done",
            StepState::NotNeeded => "tick-not-needed",
        }
    }

    fn words(&self) -> &'static str {
        match self.state {
            StepState::Open => "Open",
            StepState::Done => "Done",
            StepState::NotNeeded => "Not needed",
        }
    }

    /// What a tap says of the step.
    fn mark(&self) -> &'static str {
        match self.state {
            StepState::Open => "done",
            StepState::Done | StepState::NotNeeded => "undone",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_sets_its_unit_small() {
        assert_eq!(
            Figure::rounded(0.386, 2, "V").render().unwrap(),
            r#"<span class="figure">0.39<span class="unit">V</span></span>"#
        );
    }

    #[test]
    fn a_level_is_told_by_word_as_well() {
        for (level, word) in [(Level::Stop, "Stop"), (Level::Fix, "Fix"), (Level::Note, "Note")] {
            let html = LevelMark(level).render().unwrap();
            assert!(html.contains(word) && html.contains("<svg"), "{html}");
        }
    }

    #[test]
    fn a_tap_on_a_done_step_undoes_it() {
        let tick = |state| Tick {
            action: "/jobs/1/ticks".to_owned(),
            step: "circuit/C01/test".to_owned(),
            line: "Tested".to_owned(),
            state,
            may: true,
            back: "/".to_owned(),
            event: Uuid::nil(),
        };
        assert!(tick(StepState::Open).render().unwrap().contains(r#"value="done""#));
        let done = tick(StepState::Done).render().unwrap();
        assert!(done.contains(r#"value="undone""#) && done.contains(r#"aria-pressed="true""#), "{done}");
    }
}
