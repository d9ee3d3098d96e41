//! One step of the work: its tick, who marked it and when, and the form to mark it as not needed.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::tick::TickBox;
use crate::job::event::{self, Mark};
use crate::job::step::{Action, StepKey};
use crate::job::work::{StepState, StepStatus};
use crate::trade::say::capital;
use crate::web::kit::frame::Frame;

/// A step as a piece of a page.
#[derive(Debug, Clone, Template)]
#[template(path = "phases/step.html")]
pub struct StepPiece {
    anchor: String,
    tick: TickBox,
    line: &'static str,
    said: Option<Said>,
    before: Option<Said>,
    /// Why it is open although it was recorded as done.
    reopened: Option<String>,
    shut: Option<String>,
    /// The page that releases it.
    release: Option<String>,
    /// Why it needs a written reason to be done.
    doubt: Option<String>,
    /// The label of that reason, and the button that sends it.
    asks: &'static str,
    answer: &'static str,
    may_spare: bool,
    /// Whether "not needed" waives its result.
    waive: bool,
    other_event: Uuid,
    passed_event: Uuid,
    refused: Option<Refused>,
}

/// Who marked a step, how and when.
#[derive(Debug, Clone)]
struct Said {
    words: &'static str,
    by: String,
    at: String,
    reason: Option<String>,
}

/// A reason that was refused, with the typed text.
#[derive(Debug, Clone)]
pub struct Refused {
    /// The step it was for.
    pub step: StepKey,
    /// The mark that the reason was for.
    pub mark: Mark,
    /// The typed text.
    pub typed: String,
    /// What is wrong with it.
    pub text: String,
}

impl HtmlSafe for StepPiece {}

/// What a step needs to become a piece of a page.
#[derive(Debug)]
pub struct StepInHand<'a> {
    /// The step.
    pub key: &'a StepKey,
    /// The thing it belongs to, for people who do not see the page.
    pub about: &'a str,
    /// Its status.
    pub status: StepStatus<'a>,
    /// The address of the job.
    pub job: &'a str,
    /// The page that shows it.
    pub page: &'a str,
    /// Whether the user may tick at all.
    pub may: bool,
    /// Whether the user may mark it as not needed.
    pub may_spare: bool,
    /// Whether "not needed" waives its result.
    pub waive: bool,
    /// The page that releases it, if the user may.
    pub release: Option<String>,
    /// Why it cannot be done yet, if it cannot.
    pub shut: Option<String>,
    /// Why it needs a written reason to be done, if it does.
    pub doubt: Option<String>,
    /// What the plan says about it, as a form sends it.
    pub seen: Option<String>,
    /// A reason that was refused.
    pub refused: Option<&'a Refused>,
}

/// The anchor of a step on a page: `step-circuit-C01-test`.
pub fn anchor(key: &StepKey) -> String {
    format!("step-{}", key.to_string().replace('/', "-"))
}

impl StepPiece {
    /// A step as a piece of a page.
    pub fn new(frame: &Frame, hand: StepInHand<'_>) -> Self {
        let (state, anchor) = (hand.status.state, anchor(hand.key));
        let line = hand.key.action.line();
        let open = state == StepState::Open;
        let doubt = hand.doubt.filter(|_| open && hand.may && hand.shut.is_none());
        let refused = hand.refused.filter(|refused| refused.step == *hand.key);
        let tick = TickBox {
            action: format!("{}/ticks", hand.job),
            step: hand.key.to_string(),
            line: format!("{}, {line}", hand.about),
            state,
            // A wrong mark may always be undone.
            may: hand.may && (!open || (hand.shut.is_none() && doubt.is_none())),
            back: format!("{}#{anchor}", hand.page),
            event: Uuid::now_v7(),
            seen: hand.seen,
        };
        let said = |tick: &event::Tick| Said {
            words: tick.mark.words(),
            by: tick.by.to_string(),
            at: frame.moment(tick.at),
            reason: tick.reason.as_ref().map(ToString::to_string),
        };
        let (asks, answer) = match hand.key.action {
            Action::LeaveUnsafe => ("Who signed, and the warning given", "Record"),
            _ => ("Reason to accept it", "Accept"),
        };
        Self {
            anchor,
            tick,
            asks,
            answer,
            line,
            said: hand.status.last().map(said),
            before: hand.status.contradicted().map(said),
            reopened: hand
                .status
                .reopened
                .as_ref()
                .map(|why| capital(&format!("{}.", why.words().trim_end_matches('.')))),
            release: hand.release.filter(|_| open),
            waive: hand.waive,
            may_spare: refused.is_some_and(|refused| refused.mark == Mark::NotNeeded)
                || (hand.may && hand.may_spare && open),
            shut: hand.shut.filter(|_| open),
            other_event: Uuid::now_v7(),
            passed_event: Uuid::now_v7(),
            refused: refused.cloned(),
            doubt,
        }
    }

    fn refused_as(&self, mark: Mark) -> Option<&Refused> {
        self.refused.as_ref().filter(|refused| refused.mark == mark)
    }

    fn not_spared(&self) -> Option<&Refused> {
        self.refused_as(Mark::NotNeeded)
    }

    fn not_passed(&self) -> Option<&Refused> {
        self.refused_as(Mark::Done)
    }

    fn form_id(&self) -> String {
        format!("spare-{}", self.anchor)
    }
}
