//! What all records of a job have in common. One trait covers every kind: who, when, about what, and what makes a
//! record complete.

use foldhash::HashSet;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use serde::de::DeserializeOwned;
use uuid::Uuid;

use super::event::{
    Confirmation, CrimpPull, History, Judgment, Mark, Reading, Release, Repair, StepReading, Tick, Withdrawal,
};
use super::fault::PlanFault;
use super::open_item::{Closing, OpenItem};
use super::step::{Action, StepKey};
use super::subject::{Subject, SubjectKind};
use super::value::Name;

/// One kind of record: added once and never changed.
pub trait Record: Serialize + DeserializeOwned + Clone + PartialEq + Send + Sync + 'static {
    /// The name of the kind: `tick`.
    const KIND: &'static str;
    /// Its list in the history of the job file: `ticks`.
    const LIST: &'static str;

    /// The id that its creator gave it.
    fn id(&self) -> Uuid;

    /// Who.
    fn by(&self) -> &Name;

    /// When, by the clock of that person's device.
    fn at(&self) -> Timestamp;

    /// The same, mutable.
    fn at_mut(&mut self) -> &mut Timestamp;

    /// The moment: its time, then its id, which separates two records of the same time.
    fn moment(&self) -> (Timestamp, Uuid) {
        (self.at(), self.id())
    }

    /// What it is about; `None` for the job as a whole.
    fn subject(&self) -> Option<Subject>;

    /// The step that it is about, if any.
    fn step(&self) -> Option<&StepKey> {
        None
    }

    /// The items that the plan must have when it is added, each with the field that names it.
    fn names(&self) -> Vec<(&'static str, Subject)> {
        Vec::new()
    }

    /// Missing or inconsistent data in it, by field.
    fn fault(&self) -> Option<PlanFault> {
        None
    }

    /// All of its kind in a history.
    fn list(history: &History) -> &[Self];

    /// The same, mutable.
    fn list_mut(history: &mut History) -> &mut Vec<Self>;
}

/// An operation on every kind of record.
pub trait RecordVisitor {
    /// Does the operation for one kind.
    fn visit<R: Record>(&mut self);
}

/// Declares the kinds of records, in the order of the job file, each with its own parts.
macro_rules! records {
    ($($record:ident $kind:literal in $list:ident { $($own:tt)* })+) => {
        $(
            impl Record for $record {
                const KIND: &'static str = $kind;
                const LIST: &'static str = stringify!($list);

                fn id(&self) -> Uuid {
                    self.id
                }

                fn by(&self) -> &Name {
                    &self.by
                }

                fn at(&self) -> Timestamp {
                    self.at
                }

                fn at_mut(&mut self) -> &mut Timestamp {
                    &mut self.at
                }

                fn list(history: &History) -> &[Self] {
                    &history.$list
                }

                fn list_mut(history: &mut History) -> &mut Vec<Self> {
                    &mut history.$list
                }

                $($own)*
            }
        )+

        /// Calls a visitor for every kind of record, in the order of the job file.
        pub fn visit(visitor: &mut impl RecordVisitor) {
            $(visitor.visit::<$record>();)+
        }
    };
}

records! {
    Tick "tick" in ticks {
        fn subject(&self) -> Option<Subject> {
            Some(self.step.subject.clone())
        }

        fn step(&self) -> Option<&StepKey> {
            Some(&self.step)
        }

        fn fault(&self) -> Option<PlanFault> {
            let reasoned = self.reason.as_ref().is_some_and(|reason| !is_blank(reason.as_str()));
            match (self.mark, self.step.action) {
                _ if reasoned => None,
                (Mark::NotNeeded, _) => {
                    Some(PlanFault::new("reason", "missing: a step not needed has a reason"))
                }
                (Mark::Done, Action::LeaveUnsafe) => {
                    Some(PlanFault::new("reason", "missing: who signed for a boat that is not safe to use"))
                }
                _ => None,
            }
        }
    }
    Reading "reading" in readings {
        fn subject(&self) -> Option<Subject> {
            Some(Subject::new(SubjectKind::Circuit, &self.circuit))
        }

        fn names(&self) -> Vec<(&'static str, Subject)> {
            let circuit = ("circuit", Subject::new(SubjectKind::Circuit, &self.circuit));
            let device = self.device.as_ref().map(|device| ("device", Subject::new(SubjectKind::Device, device)));
            std::iter::once(circuit).chain(device).collect()
        }

        fn fault(&self) -> Option<PlanFault> {
            let volts = [self.source_v, self.load_v, self.load_off_v].iter().any(Option::is_some);
            let amperes = [self.current_a, self.current_off_a].iter().any(Option::is_some);
            let says = volts || amperes || self.return_ohm.is_some() || self.note.is_some();
            let text = "missing, and so are the others: expected a figure or a note";
            (!says).then(|| PlanFault::new("source_v", text))
        }
    }
    CrimpPull "crimp-pull" in crimp_pulls {
        fn subject(&self) -> Option<Subject> {
            Some(Subject::new(SubjectKind::End, &self.end))
        }
    }
    OpenItem "open-item" in open_items {
        fn subject(&self) -> Option<Subject> {
            Some(self.thing.subject().clone())
        }

        fn fault(&self) -> Option<PlanFault> {
            let text = "missing: expected what was found";
            is_blank(self.found.as_str()).then(|| PlanFault::new("found", text))
        }
    }
    Closing "closing" in closings {
        fn subject(&self) -> Option<Subject> {
            Some(Subject::new(SubjectKind::OpenItem, self.item))
        }

        fn fault(&self) -> Option<PlanFault> {
            let text = "missing: expected what was done";
            is_blank(self.done.as_str()).then(|| PlanFault::new("done", text))
        }
    }
    StepReading "step-reading" in step_readings {
        fn subject(&self) -> Option<Subject> {
            Some(self.step.subject.clone())
        }

        fn step(&self) -> Option<&StepKey> {
            Some(&self.step)
        }

        fn fault(&self) -> Option<PlanFault> {
            let figures = [self.ohm.is_some(), self.v.is_some(), self.rating_a.is_some()];
            let says = figures.contains(&true) || self.note.is_some();
            let text = "missing, and so are the other figures: expected a figure or a note";
            (!says).then(|| PlanFault::new("ohm", text))
        }
    }
    Repair "repair" in repairs {
        fn subject(&self) -> Option<Subject> {
            Some(Subject::new(SubjectKind::Circuit, &self.circuit))
        }

        fn names(&self) -> Vec<(&'static str, Subject)> {
            vec![("circuit", Subject::new(SubjectKind::Circuit, &self.circuit))]
        }

        fn fault(&self) -> Option<PlanFault> {
            let text = "missing: expected what was found and what was done";
            is_blank(self.found.as_str()).then(|| PlanFault::new("found", text))
        }
    }
    Release "release" in releases {
        fn subject(&self) -> Option<Subject> {
            Some(self.step.subject.clone())
        }

        fn step(&self) -> Option<&StepKey> {
            Some(&self.step)
        }

        fn fault(&self) -> Option<PlanFault> {
            let text = "missing: give the reason to go past the hold point";
            is_blank(self.reason.as_str()).then(|| PlanFault::new("reason", text))
        }
    }
    Judgment "judgment" in judgments {
        fn subject(&self) -> Option<Subject> {
            None
        }

        fn fault(&self) -> Option<PlanFault> {
            let text = "missing: give the reason why the finding does not apply";
            is_blank(self.reason.as_str()).then(|| PlanFault::new("reason", text))
        }
    }
    Confirmation "confirmation" in confirmations {
        fn subject(&self) -> Option<Subject> {
            None
        }
    }
    Withdrawal "withdrawal" in withdrawals {
        fn subject(&self) -> Option<Subject> {
            None
        }
    }
}

/// The list in the history for the name of a kind.
pub fn list_of(word: &str) -> &str {
    struct ListOf<'a>(&'a str);

    impl RecordVisitor for ListOf<'_> {
        fn visit<R: Record>(&mut self) {
            if R::KIND == self.0 {
                self.0 = R::LIST;
            }
        }
    }

    let mut search = ListOf(word);
    visit(&mut search);
    search.0
}

/// The smallest time difference that the database stores.
const JUST_AFTER: SignedDuration = SignedDuration::from_millis(1);

impl History {
    /// The time for a new event: `now`, but never before the latest event. Otherwise, after a clock was set
    /// back, an older tick would decide.
    pub fn moment(&self, now: Timestamp) -> Timestamp {
        let last = self.latest().unwrap_or(now);
        now.max(last.saturating_add(JUST_AFTER).unwrap_or(last))
    }

    /// The time of the latest event; `None` if nothing happened yet.
    pub fn latest(&self) -> Option<Timestamp> {
        let mut latest = Latest { history: self, at: None };
        visit(&mut latest);
        latest.at
    }

    /// Marks every event as imported.
    pub fn all_imported(&mut self) {
        let mut ids = Ids { history: self, ids: HashSet::default() };
        visit(&mut ids);
        self.imported = ids.ids;
    }

    /// The history without withdrawn events. A tick is undone by another tick.
    pub fn standing(mut self) -> Self {
        let gone = self.withdrawals.iter().map(|withdrawal| withdrawal.event).collect();
        visit(&mut Drop { history: &mut self, gone });
        self
    }
}

struct Ids<'a> {
    history: &'a History,
    ids: HashSet<Uuid>,
}

impl RecordVisitor for Ids<'_> {
    fn visit<R: Record>(&mut self) {
        self.ids.extend(R::list(self.history).iter().map(R::id));
    }
}

struct Latest<'a> {
    history: &'a History,
    at: Option<Timestamp>,
}

impl RecordVisitor for Latest<'_> {
    fn visit<R: Record>(&mut self) {
        self.at = self.at.max(R::list(self.history).iter().map(R::at).max());
    }
}

struct Drop<'a> {
    history: &'a mut History,
    gone: HashSet<Uuid>,
}

impl RecordVisitor for Drop<'_> {
    fn visit<R: Record>(&mut self) {
        R::list_mut(self.history).retain(|record| !self.gone.contains(&record.id()));
    }
}

fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}
