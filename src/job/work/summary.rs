//! What holds a job, the worst first.

use foldhash::HashMap;
use serde::{Deserialize, Serialize};

use super::hold::Obstacle;
use super::lack::Lack;
use super::overall::Work;
use super::place::Place;
use crate::job::called::called;
use crate::job::open_item::Severity;
use crate::job::phase::Phase;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::trade::finding::Level;
use crate::trade::say::say;
use crate::trade::units::Units;

/// What holds a job.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Summary {
    /// The things whose latest measurement failed, by name, each with a step that it fails.
    pub failing: Vec<(String, StepKey)>,
    /// The number of `stop` findings that nobody judged.
    pub stops: usize,
    /// What they are about.
    pub stopped: Things,
    /// The number of `fix` findings.
    pub fixes: usize,
    /// What they are about.
    pub to_fix: Things,
    /// The open steps of each phase that has any.
    pub open: Vec<(Phase, usize)>,
    /// The open items that hold the most steps.
    pub waits: Vec<WaitedFor>,
    /// The number of open items of each severity that has any, the most serious first.
    pub items: Vec<(Severity, usize)>,
    /// The number of notes. They hold nothing.
    pub notes: usize,
    /// The number of `stop` findings that a judgment set aside. They hold nothing.
    pub judged: usize,
    /// Whether the plan has any step.
    pub has_steps: bool,
}

/// Some things by name.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Things {
    /// The first of them.
    pub named: Vec<String>,
    /// How many more there are.
    pub more: usize,
}

/// An open item that steps wait for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaitedFor {
    /// The item in plain text.
    pub text: String,
    /// Where it can be closed.
    pub place: Place,
    /// The number of steps that it holds.
    pub steps: usize,
}

/// One reason that holds a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// The reason in plain text.
    pub text: String,
    /// Where it is shown and can be corrected.
    pub place: Place,
}

/// How many things and open items a summary names of each sort.
const NAMED: usize = 2;

impl Work<'_> {
    /// The things whose latest measurement failed, by name.
    pub fn failing(&self) -> Vec<String> {
        self.failing_steps().into_iter().map(|(thing, _)| thing).collect()
    }

    /// The same, each with a step that fails. A circuit with two failed tests is named once.
    pub fn failing_steps(&self) -> Vec<(String, StepKey)> {
        let fails = |key| matches!(self.lack(key), Some(Lack::Failed(_)));
        let mut failing: Vec<(String, StepKey)> = Vec::new();
        for step in self.open_steps().filter(|step| fails(&step.key)) {
            let thing = called(self.checked, step);
            if failing.iter().all(|(known, _)| *known != thing) {
                failing.push((thing, step.key.clone()));
            }
        }
        failing
    }

    /// What holds the job.
    pub fn summary(&self) -> Summary {
        let open = Phase::ALL.map(|phase| (phase, self.phase(phase).open)).into_iter();
        let of_level = |level| self.findings().iter().filter(move |finding| finding.level == level);
        let stops = self.stops().count();
        let thing = |finding: &crate::job::finding::Finding| say!("{}", finding.thing()).text(Units::Metric);
        Summary {
            failing: self.failing_steps(),
            stops,
            stopped: Things::of(self.stops().map(thing)),
            fixes: of_level(Level::Fix).count(),
            to_fix: Things::of(of_level(Level::Fix).map(thing)),
            open: open.filter(|(_, open)| *open > 0).collect(),
            waits: self.waits(),
            items: self.items_by_severity(),
            notes: of_level(Level::Note).count(),
            judged: of_level(Level::Stop).count() - stops,
            has_steps: self.whole().all() > 0,
        }
    }

    /// The open items that hold the most steps. `stop` findings are named before, and a missing measurement is the
    /// step's own work.
    fn waits(&self) -> Vec<WaitedFor> {
        let mut held: HashMap<Place, (Obstacle, usize)> = HashMap::default();
        for (hold, steps) in self.holding_of(self.open_steps()).items {
            let Some(place) = hold.obstacle.place() else { continue };
            if !matches!(hold.obstacle, Obstacle::Stop(_)) {
                held.entry(place).or_insert((hold.obstacle, 0)).1 += steps;
            }
        }
        let mut waits: Vec<WaitedFor> = held
            .into_iter()
            .map(|(place, (obstacle, steps))| WaitedFor { text: self.open_item(&obstacle), place, steps })
            .collect();
        waits.sort_by(|one, other| (other.steps, &one.text).cmp(&(one.steps, &other.text)));
        waits.truncate(NAMED);
        waits
    }

    fn items_by_severity(&self) -> Vec<(Severity, usize)> {
        let open = self.open_items();
        let of = |severity| open.iter().filter(|item| item.severity == severity).count();
        Severity::ALL
            .map(|severity| (severity, of(severity)))
            .into_iter()
            .filter(|(_, count)| *count > 0)
            .collect()
    }

    fn open_item(&self, obstacle: &Obstacle) -> String {
        match obstacle {
            Obstacle::Step(key) => {
                let thing =
                    self.steps().get(key).map_or_else(|| key.to_string(), |step| called(self.checked, step));
                format!("{thing}, {}", key.action.open())
            }
            Obstacle::NotIsolated => "the boat, not isolated".to_owned(),
            Obstacle::NotPowered => "power: the boat is isolated, or a fuse is out".to_owned(),
            Obstacle::Sample(_) => "a good sample crimp".to_owned(),
            Obstacle::OpenItem(id) => {
                let open = self.open_items();
                let item = open.iter().find(|item| item.id == *id);
                item.map_or_else(String::new, |item| format!("the open item \u{201c}{}\u{201d}", item.found))
            }
            Obstacle::Stop(_) | Obstacle::Lack(_) | Obstacle::SamePerson => String::new(),
        }
    }

    fn open_steps(&self) -> impl Iterator<Item = &Step> {
        self.steps().all().iter().filter(|step| !self.state(&step.key).is_closed())
    }
}

impl Things {
    /// Each thing once.
    fn of(things: impl Iterator<Item = String>) -> Self {
        let mut named: Vec<String> = Vec::new();
        for thing in things {
            if !named.contains(&thing) {
                named.push(thing);
            }
        }
        let more = named.len().saturating_sub(NAMED);
        named.truncate(NAMED);
        Self { named, more }
    }

    fn words(&self) -> String {
        let named = self.named.join(", ");
        if self.more == 0 { named } else { format!("{named} and {} more", self.more) }
    }
}

impl Summary {
    /// Whether anything is dangerous.
    pub fn is_dangerous(&self) -> bool {
        !self.failing.is_empty() || self.stops > 0
    }

    /// What to say in place of the lines if there is none: what was looked at, and what remains to be read.
    pub fn without_lines(&self) -> String {
        let steps = if self.has_steps { "All steps done" } else { "No steps planned" };
        let notes = many(self.notes, "note", "notes");
        let judged =
            many(self.judged, "stop finding set aside by judgment", "stop findings set aside by judgment");
        let rest: Vec<String> = judged.into_iter().chain(notes).collect();
        if rest.is_empty() {
            format!("{steps}, no findings")
        } else {
            format!("{steps}. {}", rest.join(", "))
        }
    }

    /// The open items by number and severity: `Open items: 1 must, 2 note`.
    pub fn items_line(&self) -> Option<String> {
        let counts: Vec<String> =
            self.items.iter().map(|(severity, count)| format!("{count} {}", severity.word())).collect();
        (!counts.is_empty()).then(|| format!("Open items: {}", counts.join(", ")))
    }

    /// Every reason, the worst first.
    pub fn reasons(&self) -> Vec<Reason> {
        let failing = self.failing.iter().map(|(name, step)| Reason {
            text: format!("Failed test: {name}"),
            place: Place::Step(step.clone()),
        });
        let findings = |count, one, more, things: &Things, level| {
            let text = format!("{}: {}", many(count, one, more)?, things.words());
            Some(Reason { text, place: Place::Findings(level) })
        };
        let stops = "stop findings, do not power up";
        let stops = findings(self.stops, "stop finding, do not power up", stops, &self.stopped, Level::Stop);
        let fixes = findings(self.fixes, "finding to fix", "findings to fix", &self.to_fix, Level::Fix);
        let open = self.open.iter().map(|(phase, open)| {
            let steps = if *open == 1 { "step" } else { "steps" };
            Reason { text: format!("{}: {open} {steps} open", phase.title()), place: Place::Phase(*phase) }
        });
        let waits = self.waits.iter().map(|wait| {
            let steps = if wait.steps == 1 { "1 step waits" } else { &format!("{} steps wait", wait.steps) };
            Reason { text: format!("On hold: {steps} for {}", wait.text), place: wait.place.clone() }
        });
        let items = self.items_line().map(|text| Reason { text, place: Place::OpenItems });
        failing.chain(stops).chain(items).chain(fixes).chain(open).chain(waits).collect()
    }
}

fn many(count: usize, one: &str, more: &str) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        count => Some(format!("{count} {more}")),
    }
}
