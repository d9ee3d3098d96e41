//! Sample crimps: what a failed sample means for the ends of the same sort.
//!
//! A sample represents every end with the same kind of terminal on the same size of conductor. If the
//! latest sample of a sort held less than the published force, the tool, the terminal or the technique is
//! at fault. No more ends of that sort are then made. Ends made since its last good sample, or all ends if
//! there is none, are not proven. A good sample or a release ends this. That one sample represents its sort
//! is common practice, no source.

use foldhash::HashMap;
use jiff::Timestamp;
use uom::si::force::newton;
use uuid::Uuid;

use super::conductor::Conductor;
use super::event::{CrimpPull, History, Mark, Tick};
use super::finding::Finding;
use super::plan::Plan;
use super::step::{Action, StepKey};
use super::subject::{Subject, SubjectKind};
use super::termination;
use super::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, Statement, say};
use crate::trade::terminal::{self, LeastPull, TerminalKind};
use crate::trade::units::{count, newtons};
use crate::trade::working::{Working, figure};

/// What a sample represents: a kind of terminal, if one could be chosen, on a size of conductor.
type Sort = (Option<TerminalKind>, Size);
/// A moment, with the id that separates two events at the same moment.
type Moment = (Timestamp, Uuid);

/// A sort of crimp whose latest sample failed.
#[derive(Debug, Clone, PartialEq)]
pub struct Failed {
    /// The end that the sample was made for.
    pub sample: Subject,
    /// When the latest sample was pulled.
    pub pulled: Moment,
    /// The sort as text: `ring terminal on 16 AWG`.
    pub sort: String,
    /// The force that the sample held, in N.
    pub held_n: f64,
    /// The required force, and the source that requires it.
    pub least: LeastPull,
    /// Every end of the sort.
    pub ends: Vec<String>,
    /// The ends of the sort that were made since the last good sample.
    pub unproven: Vec<String>,
}

/// The required pull force of a crimp on a conductor, from the first source that gives one; `None` if none
/// does.
pub fn least(size: Size) -> Option<LeastPull> {
    terminal::pulls(size).into_iter().next()
}

/// The sorts of crimp whose latest sample failed.
pub fn failed(
    plan: &Plan,
    conductors: &Conductors,
    size: impl Fn(&Conductor) -> Option<Size>,
    history: &History,
) -> Vec<Failed> {
    if history.crimp_pulls.is_empty() {
        return Vec::new();
    }
    let mut sorts: Vec<(Sort, Vec<String>)> = Vec::new();
    for conductor in conductors.all() {
        let Some(size) = size(conductor) else { continue };
        for end in conductor.ends() {
            let kind =
                termination::terminal(plan, conductor, &end.at, Some(size)).ok().map(|fit| fit.terminal.kind);
            match sorts.iter_mut().find(|(sort, _)| *sort == (kind, size)) {
                Some((_, ends)) => ends.push(end.id),
                None => sorts.push(((kind, size), vec![end.id])),
            }
        }
    }
    let made = made(history);
    sorts.into_iter().filter_map(|(sort, ends)| of_sort(sort, ends, history, &made)).collect()
}

fn of_sort(
    (kind, size): Sort,
    ends: Vec<String>,
    history: &History,
    made: &HashMap<&str, Moment>,
) -> Option<Failed> {
    let least = least(size)?;
    let of_this = |pull: &&CrimpPull| ends.iter().any(|end| end == pull.end.as_str());
    let samples = || history.crimp_pulls.iter().filter(of_this);
    let moment = |pull: &CrimpPull| (pull.at, pull.id);
    let holds = |pull: &CrimpPull| pull.force_n.quantity() >= least.least;
    let latest = samples().max_by_key(|pull| moment(pull)).filter(|pull| !holds(pull))?;
    let good = samples().filter(|pull| holds(pull)).map(moment).max();
    let since =
        |end: &&String| made.get(end.as_str()).is_some_and(|made| good.is_none_or(|good| good < *made));
    let unproven = ends.iter().filter(since).cloned().collect();
    let kind = kind.map_or("crimp", TerminalKind::words);
    Some(Failed {
        sample: Subject::new(SubjectKind::End, &latest.end),
        pulled: moment(latest),
        sort: format!("{kind} on {size}"),
        held_n: latest.force_n.number(),
        unproven,
        ends,
        least,
    })
}

/// When each terminated end was made.
fn made(history: &History) -> HashMap<&str, Moment> {
    let mut latest: HashMap<&str, &Tick> = HashMap::default();
    for tick in history.ticks.iter().filter(|tick| tick.step.action == Action::Terminate) {
        let known = latest.entry(tick.step.subject.id.as_str()).or_insert(tick);
        if (known.at, known.id) < (tick.at, tick.id) {
            *known = tick;
        }
    }
    let done = latest.into_iter().filter(|(_, tick)| tick.mark == Mark::Done);
    done.map(|(end, tick)| (end, (tick.at, tick.id))).collect()
}

/// The most unproven ends that one finding names.
const MOST_NAMED: usize = 8;

impl Failed {
    /// Whether this step makes an end of this sort, and so must wait.
    pub fn shuts(&self, step: &StepKey) -> bool {
        step.action == Action::Terminate && self.ends.contains(&step.subject.id)
    }

    /// The force that the sample held, and the required force.
    pub fn sentence(&self) -> Statement {
        let least = self.least.least.get::<newton>();
        say!(
            "The latest sample of {}, {}, held {}; the requirement is {}.",
            self.sort.clone(),
            &self.sample,
            newtons(self.held_n).beside(least),
            newtons(least)
        )
    }

    /// The finding that puts power and tie-down on hold because of such ends.
    pub fn finding(&self) -> Finding {
        let least = self.least.least.get::<newton>();
        let ends = match self.unproven.as_slice() {
            [] => say!("No end like it was made yet."),
            ends if ends.len() <= MOST_NAMED => say!("Not passed: {}.", Part::all(ends.iter().cloned())),
            ends => {
                let (named, more) = ends.split_at(MOST_NAMED - 1);
                let named = Part::all(
                    named.iter().cloned().map(Part::from).chain([say!("{} more", count(more.len())).into()]),
                );
                say!("Not passed: {}.", named)
            }
        };
        let remedy =
            say!("Adjust the tool and pull another sample. Crimp again what a good sample does not prove.");
        let text = self.sentence().then(ends).then(remedy);
        let working = Working {
            what: Quantity::CrimpPull,
            formula: "force held >= force published for the size",
            numbers: format!("{} N >= {} N", figure(self.held_n), figure(least)).into(),
            result: "fails".into(),
            source: self.least.source,
        };
        let said = RuleFinding::new(Code::CrimpSampleFailed, text);
        Finding::about(self.sample.clone(), said.against(self.held_n, least, "N").working(working))
    }
}
