//! What holds the steps of a phase, as a piece of its page: each open item once, with the number of steps that wait
//! for it.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::job::work::{Hold, Obstacle};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::page_of_key;
use crate::web::parts::step::anchor;

/// What holds a phase.
#[derive(Debug, Template)]
#[template(path = "phases/holds.html")]
pub struct HoldsPiece {
    phase: Phase,
    /// The open steps of the phase that are on hold, and all open steps.
    held: usize,
    open: usize,
    shown: Vec<Held>,
    more: usize,
    /// The page of all releases.
    releases: String,
}

impl HtmlSafe for HoldsPiece {}

/// One open item.
#[derive(Debug)]
struct Held {
    text: String,
    steps: usize,
    href: Option<String>,
    stop: bool,
}

/// How many open items a page names.
const SHOWN: usize = 8;

impl HoldsPiece {
    /// What holds a phase.
    pub fn new(bench: &Bench<'_>, phase: Phase) -> Self {
        let mut items: Vec<(Hold<'_>, usize)> = Vec::new();
        let (mut held, mut open) = (0, 0);
        // What holds the handover has a piece of its own.
        let steps = bench.work.open_in(phase).filter(|step| step.key.action != Action::HandOver);
        for step in steps {
            open += 1;
            let holds = bench.work.on_hold(&step.key);
            // A measurement that is missing is shown at its own step.
            let holds = holds.into_iter().filter(|hold| !matches!(hold.obstacle, Obstacle::Lack(_)));
            let mut holds = holds.peekable();
            held += usize::from(holds.peek().is_some());
            for hold in holds {
                match items.iter_mut().find(|(known, _)| known.obstacle == hold.obstacle) {
                    Some((_, steps)) => *steps += 1,
                    None => items.push((hold, 1)),
                }
            }
        }
        items.sort_by_key(|(hold, steps)| (!is_stop(hold), std::cmp::Reverse(*steps)));
        let more = items.len().saturating_sub(SHOWN);
        let shown = items.into_iter().take(SHOWN).map(|(hold, steps)| Held {
            text: hold.text.text(bench.job.units),
            href: href(bench, &hold.obstacle),
            stop: is_stop(&hold),
            steps,
        });
        let releases = format!("{}/releases", bench.job.href());
        Self { phase, held, open, shown: shown.collect(), more, releases }
    }

    fn headline(&self) -> String {
        let steps = if self.open == 1 { "step is" } else { "steps are" };
        match self.held {
            held if held == self.open => format!("On hold: all {} open {steps} waiting", self.open),
            held => format!("On hold: {held} of {} open steps wait", self.open),
        }
    }
}

fn is_stop(hold: &Hold<'_>) -> bool {
    matches!(hold.obstacle, Obstacle::Stop(_))
}

/// The page where an open item can be closed.
fn href(bench: &Bench<'_>, obstacle: &Obstacle) -> Option<String> {
    let job = bench.job.href();
    match obstacle {
        Obstacle::Step(step) => Some(step_page(&job, step)),
        Obstacle::NotIsolated => Some(step_page(&job, &StepKey::of_boat(Action::Isolate))),
        Obstacle::NotPowered => Some(format!("{job}/phases/{}", Phase::PowerUpTest)),
        Obstacle::Stop(key) | Obstacle::Sample(key) => page_of_key(&job, key),
        Obstacle::Lack(_) | Obstacle::SamePerson => None,
    }
}

/// The address of a step on the page of its phase.
pub fn step_page(job: &str, step: &StepKey) -> String {
    format!("{job}/phases/{}#{}", step.action.phase(), anchor(step))
}
