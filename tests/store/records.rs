//! Ticks, readings, releases and the log: stored once, never changed.

use std::fmt::Debug;

use driploop::job::event::{CrimpPull, Mark, Reading, Release, Repair, StepReading, Tick, Withdrawal};
use driploop::job::open_item::{Acts, Closing, OpenItem, Severity};
use driploop::job::plan::{Circuit, Mode};
use driploop::job::record::Record;
use driploop::job::subject::Subject;
use driploop::store::{ChangeSet, Error, JobId, Version, Write, log, record};
use uuid::Uuid;

use crate::fixture::{Shop, at, small};

fn tick(id: u128) -> Tick {
    Tick {
        id: Uuid::from_u128(id),
        step: "circuit/C01/test".parse().unwrap(),
        mark: Mark::Done,
        reason: None,
        by: "Ana".parse().unwrap(),
        seen: Default::default(),
        at: at(60),
    }
}

fn reading(id: u128) -> Reading {
    Reading {
        id: Uuid::from_u128(id),
        circuit: "C01".parse().unwrap(),
        device: Some("horn".parse().unwrap()),
        source_v: Some(12.5.try_into().unwrap()),
        load_v: None,
        current_a: None,
        return_ohm: None,
        load_off_v: None,
        current_off_a: None,
        note: None,
        by: "Ana".parse().unwrap(),
        at: at(61),
    }
}

fn release(id: u128) -> Release {
    Release {
        id: Uuid::from_u128(id),
        step: "circuit/C01/tie".parse().unwrap(),
        obstacle: "circuit/C01/test".to_owned(),
        reason: "The horn is loud enough.".parse().unwrap(),
        by: "Ana".parse().unwrap(),
        at: at(62),
    }
}

fn step_reading(id: u128) -> StepReading {
    StepReading {
        id: Uuid::from_u128(id),
        step: "circuit/C01/continuity".parse().unwrap(),
        point: None,
        rating_a: None,
        ohm: Some(0.3.try_into().unwrap()),
        v: None,
        note: None,
        by: "Ana".parse().unwrap(),
        at: at(63),
    }
}

fn repair(id: u128) -> Repair {
    Repair {
        id: Uuid::from_u128(id),
        circuit: "C01".parse().unwrap(),
        r#where: "the crimp at C01-2b".parse().unwrap(),
        found: "Made anew.".parse().unwrap(),
        by: "Ana".parse().unwrap(),
        at: at(64),
    }
}

fn pull(id: u128) -> CrimpPull {
    CrimpPull {
        id: Uuid::from_u128(id),
        end: "C01-1a".parse().unwrap(),
        force_n: 210.0.try_into().unwrap(),
        note: None,
        by: "Ana".parse().unwrap(),
        at: at(65),
    }
}

fn open_item(id: u128) -> OpenItem {
    OpenItem {
        id: Uuid::from_u128(id),
        thing: "end/C01-1a".parse::<Subject>().unwrap().into(),
        found: "A strand is cut.".parse().unwrap(),
        severity: Severity::Must,
        acts: Acts::Technician,
        by: "Ana".parse().unwrap(),
        at: at(66),
    }
}

fn closing(id: u128) -> Closing {
    Closing {
        id: Uuid::from_u128(id),
        item: Uuid::from_u128(7),
        done: "Cut back and crimped again.".parse().unwrap(),
        by: "Ana".parse().unwrap(),
        at: at(66),
    }
}

fn withdrawal(id: u128) -> Withdrawal {
    Withdrawal { id: Uuid::from_u128(id), event: Uuid::from_u128(7), by: "Ana".parse().unwrap(), at: at(67) }
}

/// Adds a record twice and finds it once, as the last of its kind.
async fn twice<E: Record + Debug>(write: &mut Write, job: JobId, sent: &E) {
    let before = record::all::<E>(write, job).await.unwrap().len();
    assert!(record::add(write, job, sent).await.unwrap());
    assert!(!record::add(write, job, sent).await.unwrap());
    let after = record::all::<E>(write, job).await.unwrap();
    assert_eq!((after.len(), after.last()), (before + 1, Some(sent)));
}

#[tokio::test]
async fn sent_twice_is_stored_once() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    twice(&mut write, job, &tick(1)).await;
    twice(&mut write, job, &reading(2)).await;
    twice(&mut write, job, &release(3)).await;
    twice(&mut write, job, &step_reading(4)).await;
    twice(&mut write, job, &repair(5)).await;
    twice(&mut write, job, &pull(6)).await;
    twice(&mut write, job, &open_item(7)).await;
    twice(&mut write, job, &withdrawal(8)).await;
    twice(&mut write, job, &closing(9)).await;
    let told = record::history(&mut write, job).await.unwrap();
    assert_eq!((told.ticks.len(), told.readings.len(), told.releases.len()), (3, 3, 2));
    // One line for the import and one for each event.
    assert_eq!(log::of_job(&mut write, job, None, 100).await.unwrap().len(), 10);
}

#[tokio::test]
async fn a_tick_sent_again_from_another_hand_is_refused_and_keeps_the_first_name() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    record::add(&mut write, job, &tick(1)).await.unwrap();
    write.commit().await.unwrap();
    let mut write = shop.write_by("Bo").await;
    let again = Tick { by: "Bo".parse().unwrap(), ..tick(1) };
    let refused = record::add(&mut write, job, &again).await;
    assert!(matches!(refused, Err(Error::RecordDiffers(_))), "{refused:?}");
    assert_eq!(record::all::<Tick>(&mut write, job).await.unwrap()[2].by.as_str(), "Ana");
}

#[tokio::test]
async fn a_record_sent_again_at_another_time_is_the_same_and_keeps_the_first() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    record::add(&mut write, job, &tick(1)).await.unwrap();
    let later = Tick { at: at(900), ..tick(1) };
    assert!(!record::add(&mut write, job, &later).await.unwrap());
    assert_eq!(record::all::<Tick>(&mut write, job).await.unwrap()[2], tick(1));
}

/// What was kept on a tablet may arrive when the circuit it names is gone: it is known all the same.
#[tokio::test]
async fn a_record_sent_again_after_its_circuit_went_is_still_the_same() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    record::add(&mut write, job, &reading(2)).await.unwrap();
    let mut change = ChangeSet::begin(&mut write, job).await.unwrap();
    change.alter::<Mode>(&"running".parse().unwrap(), |mode| Mode { on: vec![], ..mode }).unwrap();
    change.remove::<Circuit>(&"C01".parse().unwrap(), Version::first()).unwrap();
    change.commit().await.unwrap();
    assert!(!record::add(&mut write, job, &reading(2)).await.unwrap());
    let error = record::add(&mut write, job, &reading(3)).await.unwrap_err();
    assert!(error.to_string().contains("expected the id of a circuit of this job"), "{error}");
}

#[tokio::test]
async fn one_id_cannot_say_two_things() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    record::add(&mut write, job, &tick(1)).await.unwrap();
    record::add(&mut write, job, &reading(2)).await.unwrap();
    record::add(&mut write, job, &release(3)).await.unwrap();
    record::add(&mut write, job, &step_reading(4)).await.unwrap();
    record::add(&mut write, job, &repair(5)).await.unwrap();
    record::add(&mut write, job, &pull(6)).await.unwrap();
    record::add(&mut write, job, &open_item(7)).await.unwrap();
    record::add(&mut write, job, &withdrawal(8)).await.unwrap();
    record::add(&mut write, job, &closing(9)).await.unwrap();
    let undone = Tick { mark: Mark::Undone, ..tick(1) };
    let higher = Reading { source_v: Some(12.6.try_into().unwrap()), ..reading(2) };
    let other = Release { obstacle: "job/job/all-on".to_owned(), ..release(3) };
    let open = StepReading { ohm: Some(900.0.try_into().unwrap()), ..step_reading(4) };
    let better = Repair { found: "A new terminal.".parse().unwrap(), ..repair(5) };
    let weaker = CrimpPull { force_n: 90.0.try_into().unwrap(), ..pull(6) };
    let lighter = OpenItem { severity: Severity::Note, ..open_item(7) };
    let otherwise = Closing { done: "Nothing.".parse().unwrap(), ..closing(9) };
    let of_another = Withdrawal { event: Uuid::from_u128(6), ..withdrawal(8) };
    for error in [
        record::add(&mut write, job, &undone).await.unwrap_err(),
        record::add(&mut write, job, &higher).await.unwrap_err(),
        record::add(&mut write, job, &other).await.unwrap_err(),
        record::add(&mut write, job, &open).await.unwrap_err(),
        record::add(&mut write, job, &better).await.unwrap_err(),
        record::add(&mut write, job, &weaker).await.unwrap_err(),
        record::add(&mut write, job, &lighter).await.unwrap_err(),
        record::add(&mut write, job, &otherwise).await.unwrap_err(),
        record::add(&mut write, job, &of_another).await.unwrap_err(),
    ] {
        assert!(matches!(error, Error::RecordDiffers(_)), "{error}");
    }
    assert_eq!(record::all::<Tick>(&mut write, job).await.unwrap()[2], tick(1));
}

#[tokio::test]
async fn what_cannot_have_happened_is_refused_by_field() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    let said = |error: Error| match error {
        Error::Faults(faults) => faults[0].to_string(),
        other => other.to_string(),
    };
    let unreasoned = Tick { mark: Mark::NotNeeded, reason: Some(" ".parse().unwrap()), ..tick(1) };
    let error = record::add(&mut write, job, &unreasoned).await.unwrap_err();
    assert_eq!(said(error), "reason: missing: a step not needed has a reason");
    let elsewhere = Reading { circuit: "C99".parse().unwrap(), ..reading(1) };
    let error = record::add(&mut write, job, &elsewhere).await.unwrap_err();
    assert_eq!(said(error), "circuit: 'C99' is not valid here: expected the id of a circuit of this job");
    let empty = Reading { source_v: None, ..reading(1) };
    let error = record::add(&mut write, job, &empty).await.unwrap_err();
    assert_eq!(said(error), "source_v: missing, and so are the others: expected a figure or a note");
    let silent = OpenItem { found: " ".parse().unwrap(), ..open_item(1) };
    let error = record::add(&mut write, job, &silent).await.unwrap_err();
    assert_eq!(said(error), "found: missing: expected what was found");
    let silent = Closing { done: " ".parse().unwrap(), ..closing(1) };
    let error = record::add(&mut write, job, &silent).await.unwrap_err();
    assert_eq!(said(error), "done: missing: expected what was done");
    let error = record::add(&mut write, JobId::from(7), &tick(1)).await.unwrap_err();
    assert!(matches!(error, Error::NoSuchJob), "{error}");
}
