//! The big tick beside a step.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::job::work::StepState;

/// The big tick beside a step: one tap marks it done, the next undoes it.
///
/// It posts `event` (an id made for this tap), `step`, `mark` and `back` to `action`. An id that is sent twice
/// is stored once, so a tap repeated over a bad connection does no harm.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/tick.html")]
pub struct TickBox {
    /// The address that ticks of the job are posted to: `/jobs/12/ticks`.
    pub action: String,
    /// The key of the step: `circuit/C01/test`.
    pub step: String,
    /// The text of the step, for people who do not see the box.
    pub line: String,
    /// Its status.
    pub state: StepState,
    /// Whether the user may tick.
    pub may: bool,
    /// The page to come back to.
    pub back: String,
    /// The id of the event that this tap would make.
    pub event: Uuid,
    /// What the plan says about the step, as the form sends it.
    pub seen: Option<String>,
}

impl HtmlSafe for TickBox {}

impl TickBox {
    /// An id for the form, made from the step.
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

    /// The mark that a tap makes.
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
    fn a_tap_on_a_done_step_undoes_it() {
        let tick = |state| TickBox {
            action: "/jobs/1/ticks".to_owned(),
            step: "circuit/C01/test".to_owned(),
            line: "Tested".to_owned(),
            state,
            may: true,
            back: "/".to_owned(),
            event: Uuid::nil(),
            seen: None,
        };
        assert!(tick(StepState::Open).render().unwrap().contains(r#"value="done""#));
        let done = tick(StepState::Done).render().unwrap();
        assert!(done.contains(r#"value="undone""#) && done.contains(r#"aria-pressed="true""#), "{done}");
    }
}
