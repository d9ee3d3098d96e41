//! What the page of a wire or end says in place of the big tick when there is nothing to tick.

use super::held::HeldWire;
use super::stand::{Onward, Stand};
use crate::job::steps::Step;
use crate::web::parts::bench::Bench;
use crate::web::parts::wires;

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
        Self { title, words, elsewhere: elsewhere(bench, stand, hand, own) }
    }

    fn of_run(hand: HeldWire<'_>) -> Self {
        let words = match hand.piece.is_made_up() {
            true => "It is pulled and labeled.",
            false => "It is pulled, labeled and terminated.",
        };
        Self { title: "No open tasks on this run".to_owned(), words: words.to_owned(), elsewhere: Vec::new() }
    }
}

/// What can be done on the run itself now, and its other end.
fn elsewhere(bench: &Bench<'_>, stand: &Stand<'_>, hand: HeldWire<'_>, own: &[&Step]) -> Vec<Onward> {
    let run = hand.piece.subject();
    let free = own.iter().filter(|step| step.key.subject == run && bench.shut(step).is_none());
    let free = free.map(|step| Onward {
        href: stand.page_of(&step.key, None),
        words: format!("{}: {}", step.key.action.line(), stand.words(step)),
    });
    free.chain(other_end(bench, stand, hand)).collect()
}

fn other_end(bench: &Bench<'_>, stand: &Stand<'_>, hand: HeldWire<'_>) -> Option<Onward> {
    let other = 1_usize.checked_sub(hand.end?)?;
    let ends = hand.piece.ends();
    let end = ends.get(other)?;
    let words = format!("Other end: {} at {}", end.label, wires::landed(&bench.job.plan, &end.at));
    Some(Onward { href: stand.page_of_piece(hand.piece, Some(other)), words })
}

fn who_did(bench: &Bench<'_>, step: &Step) -> String {
    let tick = bench.work.status(&step.key).last();
    tick.map_or_else(String::new, |tick| format!("{}, {}", tick.by, bench.frame.moment(tick.at)))
}
