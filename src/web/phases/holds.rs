//! What holds the steps of a phase, as a piece of its page: each open item once, with the number of steps that wait
//! for it.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::phase::Phase;
use crate::job::work::{Hold, Holding, Obstacle};
use crate::web::parts::bench::Bench;
use crate::web::parts::place::href;

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
        let Holding { open, held, mut items, .. } = bench.work.holding(phase);
        items.sort_by_key(|(hold, steps)| (!is_stop(hold), std::cmp::Reverse(*steps)));
        let more = items.len().saturating_sub(SHOWN);
        let shown = items.into_iter().take(SHOWN).map(|(hold, steps)| Held {
            text: hold.text.text(bench.job.units),
            href: hold.obstacle.place().and_then(|place| href(&bench.job.href(), &place)),
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
