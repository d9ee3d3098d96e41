//! Two people at work on one job at the same time: what is stored is what the same acts one after another give.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use driploop::job::checked::Checked;
use driploop::job::event::{History, Mark, StepReading, Tick};
use driploop::job::plan::Circuit;
use driploop::job::step::StepKey;
use driploop::job::value::Label;
use driploop::job::work::{Verdicts, Who, Work};
use driploop::store::log::Edition;
use driploop::store::work::{self, Added, Basis};
use driploop::store::{ChangeSet, JobId, file, log, plan, record};
use uuid::Uuid;

use crate::fixture::{Shop, at, small};

/// One act of a person.
#[derive(Debug, Clone, Copy)]
enum Act {
    Tick(&'static str, Mark),
    ReadZeroVolts,
    Relabel(&'static str),
}

use Act::{ReadZeroVolts, Relabel, Tick as Marked};

/// What the acts are drawn from: some hold others, some undo others, some change the plan below them.
const ACTS: [Act; 10] = [
    ReadZeroVolts,
    Marked("job/job/isolate", Mark::Done),
    Marked("job/job/isolate", Mark::Undone),
    Marked("location/helm/strip", Mark::Done),
    Marked("location/helm/strip", Mark::Undone),
    Marked("location/stern/strip", Mark::Done),
    Marked("raceway/under/pull-string", Mark::Done),
    Marked("device/horn/place", Mark::Done),
    Relabel("H1"),
    Relabel("H2"),
];

/// What a person saw before an act.
struct View {
    edition: Option<Edition>,
    checked: Rc<Checked>,
    verdicts: Verdicts,
}

/// Checked plans by the label that the acts change: nothing else differs.
type Plans = RefCell<HashMap<Option<Label>, Rc<Checked>>>;

async fn look(shop: &Shop, plans: &Plans, job: JobId) -> View {
    let mut read = shop.store.read().await.unwrap();
    let edition = log::edition(&mut read, job).await.unwrap();
    let plan = plan::load(&mut read, job).await.unwrap();
    let label = plan.circuits[0].label.clone();
    let checked = plans.borrow_mut().entry(label).or_insert_with(|| Rc::new(Checked::of(plan))).clone();
    let history = record::history(&mut read, job).await.unwrap();
    let verdicts = Verdicts::of(&checked, &history);
    View { edition, checked, verdicts }
}

/// Does an act on what was seen. Returns whether it was stored, and whether the person has to look again.
async fn act(shop: &Shop, job: JobId, view: &View, act: Act, number: u128) -> Added {
    let mut write = shop.write_by("Ana").await;
    let basis =
        Basis { edition: view.edition.as_ref(), checked: view.checked.as_ref(), verdicts: &view.verdicts };
    let (id, by) = (Uuid::from_u128(number), "Ana".parse().unwrap());
    let at = at(100 + i64::try_from(number).unwrap());
    let added = match act {
        Marked(step, mark) => {
            let step: StepKey = step.parse().unwrap();
            let seen = driploop::job::work::seen::today(&view.checked, &step);
            let tick = Tick { id, step: step.clone(), mark, reason: None, by, seen, at };
            let allows = |work: &Work<'_>| work.may(&step, mark, Who::Technician, "Ana").is_ok();
            work::add(&mut write, job, basis, &tick, allows).await.unwrap()
        }
        ReadZeroVolts => {
            let step = "job/job/isolate".parse().unwrap();
            let v = Some(0.0.try_into().unwrap());
            let reading =
                StepReading { id, step, point: None, ohm: None, v, rating_a: None, note: None, by, at };
            work::add(&mut write, job, basis, &reading, |_| true).await.unwrap()
        }
        Relabel(label) => {
            let mut change = ChangeSet::begin(&mut write, job).await.unwrap();
            let label = Some(label.parse().unwrap());
            let id = view.checked.plan.circuits[0].id.clone();
            change.alter(&id, |circuit: Circuit| Circuit { label, ..circuit }).unwrap();
            change.commit().await.unwrap();
            Added::New
        }
    };
    write.commit().await.unwrap();
    added
}

/// Small steps of a pseudo-random sequence (a linear congruential generator), the same on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % sides
    }
}

async fn new_job(shop: &Shop) -> JobId {
    let mut write = shop.write_by("Ana").await;
    let mut job = small();
    job.history = History::default();
    let id = file::import(&mut write, &job).await.unwrap();
    write.commit().await.unwrap();
    id
}

/// The status of every step, and the records without their ids' jobs.
async fn outcome(shop: &Shop, plans: &Plans, job: JobId) -> (Vec<String>, History) {
    let view = look(shop, plans, job).await;
    let history = record::history(&mut shop.store.read().await.unwrap(), job).await.unwrap();
    let work = Work::of(&view.checked, &history, &view.verdicts);
    let state = |key: &StepKey| format!("{key}: {}", work.state(key).words());
    (view.checked.steps.all().iter().map(|step| state(&step.key)).collect(), history)
}

#[tokio::test]
async fn two_writers_at_once_end_as_the_same_acts_one_after_another() {
    let (shop, plans) = (Shop::open().await, Plans::default());
    let mut refused = 0;
    for round in 0..200_u64 {
        let mut dice = Dice(round * 7919 + 1);
        let job = new_job(&shop).await;
        // Each of two people looks, and acts later on what he saw.
        let mut pending: [Option<(View, Act, u128)>; 2] = [None, None];
        let mut order: Vec<(Act, u128, Added)> = Vec::new();
        let mut number = 1;
        for _ in 0..16 {
            let who = dice.below(2);
            match pending[who].take() {
                None => {
                    let chosen = ACTS[dice.below(ACTS.len())];
                    pending[who] = Some((look(&shop, &plans, job).await, chosen, number));
                    number += 1;
                }
                Some((view, chosen, number)) => {
                    let mut added = act(&shop, job, &view, chosen, number).await;
                    for _ in 0..3 {
                        if added == Added::Outdated {
                            added = act(&shop, job, &look(&shop, &plans, job).await, chosen, number).await;
                        }
                    }
                    assert_ne!(added, Added::Outdated, "nobody else acts between looking and acting again");
                    refused += usize::from(added == Added::Refused);
                    order.push((chosen, number, added));
                }
            }
        }
        let alone = new_job(&shop).await;
        for (chosen, number, before) in order {
            let added = act(&shop, alone, &look(&shop, &plans, alone).await, chosen, number).await;
            assert_eq!(added, before, "round {round}: {chosen:?}");
        }
        assert_eq!(outcome(&shop, &plans, job).await, outcome(&shop, &plans, alone).await, "round {round}");
    }
    assert!(refused > 100, "the acts get in each other's way: {refused}");
}

#[tokio::test]
async fn a_record_sent_twice_is_known_even_when_the_work_would_refuse_it_now() {
    let (shop, plans) = (Shop::open().await, Plans::default());
    let job = new_job(&shop).await;
    let view = look(&shop, &plans, job).await;
    assert_eq!(act(&shop, job, &view, ReadZeroVolts, 1).await, Added::New);
    assert_eq!(act(&shop, job, &view, ReadZeroVolts, 1).await, Added::Known);
    let isolate = Marked("job/job/isolate", Mark::Done);
    assert_eq!(act(&shop, job, &view, isolate, 2).await, Added::Outdated, "a reading came in between");
    assert_eq!(act(&shop, job, &look(&shop, &plans, job).await, isolate, 2).await, Added::New);
    let strip = Marked("location/helm/strip", Mark::Done);
    assert_eq!(act(&shop, job, &look(&shop, &plans, job).await, strip, 3).await, Added::New);
    let ended = Marked("job/job/isolate", Mark::Undone);
    assert_eq!(act(&shop, job, &look(&shop, &plans, job).await, ended, 4).await, Added::New);
    assert_eq!(act(&shop, job, &view, strip, 3).await, Added::Known);
    let other = Marked("location/stern/strip", Mark::Done);
    assert_eq!(act(&shop, job, &look(&shop, &plans, job).await, other, 5).await, Added::Refused);
}
