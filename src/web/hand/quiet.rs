//! What the page of a wire or end says in place of the big tick when there is nothing to tick.

use super::stand::{Onward, Stand};
use super::wire::HeldWire;
use crate::job::steps::Step;
use crate::web::parts::bench::Bench;

/// What is said in place of the big tick.
#[derive(Debug)]
pub struct Quiet {
    /// What is done or on hold.
    pub title: String,
    /// By whom it was done, or what holds it.
    pub words: String,
    /// What can be done on the same wire instead, each one tap away.
    pub elsewhere: Vec<Onward>,
}

impl Quiet {
    /// For the end in the address; for the whole run if it names none. `own` has the open steps on the run.
    pub fn new(bench: &Bench<'_>, stand: &Stand<'_>, hand: HeldWire<'_>, own: &[&Step]) -> Self {
        let at_end: Vec<&Step> = bench.job.steps.all().iter().filter(|step| hand.is_held(step)).collect();
        let Some(last) = at_end.last() else { return Self::of_run(hand) };
        let held = own.iter().find(|step| hand.is_held(step));
        let (title, words) = match held {
            Some(step) => ("on hold", bench.shut(step).unwrap_or_default()),
            None => (bench.work.state(&last.key).words(), who_did(bench, last)),
        };
        let title = format!("End {}: {title}", hand.label());
        Self { title, words, elsewhere: elsewhere(bench, stand, own) }
    }

    fn of_run(hand: HeldWire<'_>) -> Self {
        let words = match hand.piece.is_made_up() {
            true => "It is pulled and labeled.",
            false => "It is pulled, labeled and terminated.",
        };
        Self { title: "No open tasks on this run".to_owned(), words: words.to_owned(), elsewhere: Vec::new() }
    }
}

/// The other open steps on the run that may be done now.
fn elsewhere(bench: &Bench<'_>, stand: &Stand<'_>, own: &[&Step]) -> Vec<Onward> {
    let free = own.iter().filter(|step| bench.shut(step).is_none());
    free.map(|step| Onward {
        href: stand.page_of(&step.key, None),
        words: format!("{}: {}", step.key.action.line(), stand.words(step)),
    })
    .collect()
}

fn who_did(bench: &Bench<'_>, step: &Step) -> String {
    let tick = bench.work.status(&step.key).last();
    tick.map_or_else(String::new, |tick| format!("{}, {}", tick.by, bench.frame.moment(tick.at)))
}
