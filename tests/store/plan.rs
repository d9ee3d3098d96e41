//! The things of a plan: added, changed from a known version, removed when nothing names them.

use driploop::job::board::Board;
use driploop::job::file::JobFile;
use driploop::job::plan::item::{self as items, Item, ItemVisitor};
use driploop::job::plan::{Circuit, Device, Feeder, Location, Mode, Plan, Raceway, RemovedEquipment};
use driploop::job::point::{Body, Point};
use driploop::store::{ChangeSet, Error, JobId, Version, Write, item, log, plan, undo};

use crate::fixture::{Shop, small};
use driploop::job::plan::List;
use driploop::trade::lights::LightKind;

/// A job with the head of [`small`] and none of its things.
async fn bare(shop: &Shop) -> JobId {
    let JobFile { plan, history } = small();
    let plan = Plan { customer: plan.customer, ..Plan::new(plan.job, plan.boat) };
    shop.import(&JobFile { plan, history }).await
}

#[tokio::test]
async fn a_plan_built_thing_by_thing_is_the_plan_imported() {
    let shop = Shop::open().await;
    let job = bare(&shop).await;
    let JobFile { plan: wanted, .. } = small();
    let mut write = shop.write().await;
    macro_rules! build {
        ($($list:ident),+) => {$(
            for thing in &wanted.$list {
                item::save(&mut write, job, thing, None).await.unwrap();
            }
        )+};
    }
    build!(locations, raceways, boards, points, feeders, devices, circuits, modes, removed);
    assert_eq!(plan::load(&mut write, job).await.unwrap(), wanted);
    let things = 3 + 2 + 2 + 7 + 3 + 3 + 2 + 2 + 1;
    assert_eq!(log::of_job(&mut write, job, None, 100).await.unwrap().len(), things + 1);
}

/// Changes the first item of each kind to what the second one is, but for its id, and back again.
struct ThereAndBack<'a> {
    wanted: &'a Plan,
    /// What is saved, in order: item by item, there and back.
    saves: Vec<Save>,
}

/// Saves an item as part of a change, from a version.
type Save = Box<dyn Fn(&mut ChangeSet<'_>, Option<Version>) -> Result<(), Error> + Send>;

/// The same item under another id, by way of its document.
fn named<T: Item>(item: &T, id: &T::Id) -> T {
    let mut document = serde_json::to_value(item).unwrap();
    document["id"] = id.to_string().into();
    serde_json::from_value(document).unwrap()
}

impl ItemVisitor for ThereAndBack<'_> {
    fn visit<T: Item>(&mut self) {
        let [held, other, ..] = T::list(self.wanted) else { return };
        for item in [named(other, held.id()), held.clone()] {
            self.saves.push(Box::new(move |change, from| change.save(&item, from)));
        }
    }
}

#[tokio::test]
async fn every_thing_can_be_changed_to_any_other_of_its_kind() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let JobFile { plan: mut wanted, .. } = small();
    // A part is where its board is, and there is one board a location.
    wanted.boards.clear();
    let mut all = ThereAndBack { wanted: &wanted, saves: Vec::new() };
    items::visit(&mut all);
    assert_eq!(all.saves.len(), 2 * 7);
    let mut write = shop.write().await;
    for (pair, no) in all.saves.chunks(2).zip((2..).step_by(2)) {
        for (save, (from, now)) in pair.iter().zip([(1, no), (no, no + 1)]) {
            let mut change = ChangeSet::begin(&mut write, job).await.unwrap();
            save(&mut change, Some(Version::from(from))).unwrap();
            assert_eq!(change.commit().await.unwrap(), Some(Version::from(now)), "the number of the change");
        }
    }
    assert_eq!(plan::load(&mut write, job).await.unwrap(), small().plan);
}

#[tokio::test]
async fn a_stale_save_shows_what_is_there_and_loses_neither() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let helm = item::get::<Location>(&mut write, job, &"helm".parse().unwrap()).await.unwrap();
    let theirs = Location { wet: true, ..helm.value.clone() };
    item::save(&mut write, job, &theirs, Some(helm.version)).await.unwrap();
    let mine = Location { name: "Console".parse().unwrap(), ..helm.value };
    let Error::Stale(stale) = item::save(&mut write, job, &mine, Some(helm.version)).await.unwrap_err()
    else {
        panic!()
    };
    assert_eq!(
        stale.theirs,
        serde_json::json!({"id": "helm", "name": "Helm console", "at": {"ahead_m": 3.1, "starboard_m": 0.2, "up_m": 0.9}, "wet": true})
    );
    item::save(&mut write, job, &mine, Some(stale.version)).await.unwrap();
    assert_eq!(item::get::<Location>(&mut write, job, &mine.id).await.unwrap().value, mine);
}

async fn used_by(result: Result<(), Error>) -> String {
    let Err(Error::InUse { subject, by }) = result else { panic!("{result:?}") };
    format!("{subject}: {}", by.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "))
}

#[tokio::test]
async fn what_is_still_used_stays_and_its_users_are_listed() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let one = Version::first();
    let location = item::remove::<Location>(&mut write, job, &"bow".parse().unwrap(), one).await;
    assert_eq!(used_by(location).await, "location/bow: raceway/under device/nav device/horn");
    let point = item::remove::<Point>(&mut write, job, &"panel".parse().unwrap(), one).await;
    assert_eq!(used_by(point).await, "point/panel: circuit/C02");
    let point = item::remove::<Point>(&mut write, job, &"house".parse().unwrap(), one).await;
    assert_eq!(used_by(point).await, "point/house: feeder/F1 feeder/F3");
    let device = item::remove::<Device>(&mut write, job, &"horn".parse().unwrap(), one).await;
    assert_eq!(used_by(device).await, "device/horn: circuit/C01");
    let location = item::remove::<Location>(&mut write, job, &"helm".parse().unwrap(), one).await;
    assert!(used_by(location).await.ends_with("device/horn"), "its cable goes there");
    let raceway = item::remove::<Raceway>(&mut write, job, &"tube".parse().unwrap(), one).await;
    assert_eq!(used_by(raceway).await, "raceway/tube: feeder/F2");
    let raceway = item::remove::<Raceway>(&mut write, job, &"under".parse().unwrap(), one).await;
    assert_eq!(used_by(raceway).await, "raceway/under: circuit/C02");
    let circuit = item::remove::<Circuit>(&mut write, job, &"C01".parse().unwrap(), one).await;
    assert_eq!(used_by(circuit).await, "circuit/C01: mode/running");
    assert_eq!(plan::load(&mut write, job).await.unwrap(), small().plan);
}

#[tokio::test]
async fn everything_goes_in_the_order_that_nothing_names_it() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let one = Version::first();
    let JobFile { plan, .. } = small();
    macro_rules! clear {
        ($($item:ident in $list:ident),+) => {$(
            for thing in &plan.$list {
                item::remove::<$item>(&mut write, job, &thing.id, one).await.unwrap();
                let gone = item::get::<$item>(&mut write, job, &thing.id).await.unwrap_err();
                assert!(matches!(gone, Error::NotFound(_)), "{gone}");
            }
        )+};
    }
    clear!(
        RemovedEquipment in removed,
        Mode in modes,
        Circuit in circuits,
        Device in devices,
        Feeder in feeders,
        Point in points,
        Board in boards,
        Raceway in raceways,
        Location in locations
    );
    assert_eq!(plan::load(&mut write, job).await.unwrap().devices, List::default());
}

async fn faults(result: Result<Version, Error>) -> Vec<String> {
    let Err(Error::Faults(faults)) = result else { panic!("{result:?}") };
    faults.into_iter().map(|fault| fault.path).collect()
}

#[tokio::test]
async fn a_change_that_does_not_fit_is_reported_field_by_field() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let one = Version::first();
    let mut write = shop.write().await;
    let mut circuit = small().plan.circuits.remove(0);
    circuit.from = "nowhere".parse().unwrap();
    circuit.feed(["nav".parse().unwrap(), "nav".parse().unwrap()]);
    circuit.switch.as_mut().unwrap().position = 9;
    circuit.conductors.clear();
    let told = faults(item::save(&mut write, job, &circuit, Some(one)).await).await;
    assert_eq!(told, ["from", "switch.position", "legs[1].number", "legs[1].device"]);

    // A panel that loses the position a circuit is on: the fault is the circuit's, and says whose.
    let mut panel = small().plan.points.remove(5);
    let Body::SwitchPanel(body) = &mut panel.body else { panic!() };
    body.positions.clear();
    let told = faults(item::save(&mut write, job, &panel, Some(one)).await).await;
    assert_eq!(told, ["circuits[0].switch.position"]);

    // A device by the id of a point.
    let mut device = small().plan.devices.remove(0);
    device.id = "fb1".parse().unwrap();
    let told = faults(item::save(&mut write, job, &device, None).await).await;
    assert_eq!(told, ["id"]);
}

#[tokio::test]
async fn positions_of_a_panel_grow_and_shrink_around_the_ones_in_use() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let mut panel = small().plan.points.remove(5);
    let Body::SwitchPanel(body) = &mut panel.body else { panic!() };
    body.positions.truncate(1);
    body.positions[0].label = "LIGHTS".parse().unwrap();
    let two = item::save(&mut write, job, &panel, Some(Version::first())).await.unwrap();
    assert_eq!(item::get::<Point>(&mut write, job, &panel.id).await.unwrap().value, panel);
    let before = small().plan.points.remove(5);
    item::save(&mut write, job, &before, Some(two)).await.unwrap();
    assert_eq!(item::get::<Point>(&mut write, job, &panel.id).await.unwrap().value, before);
}

#[tokio::test]
async fn nothing_can_be_added_to_a_job_that_is_not_there() {
    let shop = Shop::open().await;
    let mut write = shop.write().await;
    let location = small().plan.locations.remove(0);
    let gone = item::save(&mut write, JobId::from(7), &location, None).await.unwrap_err();
    assert!(matches!(gone, Error::NotFound(_)), "{gone}");
}

/// The database refuses by itself what the program would never write.
#[tokio::test]
async fn a_row_cannot_go_to_another_job() {
    let shop = Shop::open().await;
    let (job, other) = (shop.import(&small()).await, bare(&shop).await);
    let mut raw = shop.raw().await;
    let moved = sqlx::query("UPDATE item SET job = ?, version = version + 1 WHERE job = ? AND id = 'horn'")
        .bind(other)
        .bind(job)
        .execute(&mut raw)
        .await
        .unwrap_err();
    assert!(moved.to_string().contains("never changes its id"), "{moved}");
}

#[tokio::test]
async fn nothing_is_kept_without_a_commit() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write: Write = shop.write().await;
    item::remove::<Mode>(&mut write, job, &"running".parse().unwrap(), Version::first()).await.unwrap();
    drop(write);
    assert_eq!(shop.export(job).await, small());
}

#[tokio::test]
async fn a_board_stays_while_anything_is_mounted_on_it() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let board = item::get::<Board>(&mut write, job, &"inside".parse().unwrap()).await.unwrap();
    let refused = item::remove::<Board>(&mut write, job, &board.value.id, board.version).await.unwrap_err();
    assert_eq!(refused.to_string(), "board/inside is still used by point 'fb1'");
    let mut block = item::get::<Point>(&mut write, job, &"fb1".parse().unwrap()).await.unwrap();
    block.value.mounting = None;
    item::save(&mut write, job, &block.value, Some(block.version)).await.unwrap();
    item::remove::<Board>(&mut write, job, &board.value.id, board.version).await.unwrap();
}

#[tokio::test]
async fn an_id_that_was_removed_is_not_used_again_and_undo_brings_it_back_whole() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let horn = "horn".parse().unwrap();
    let mut change = ChangeSet::begin(&mut write, job).await.unwrap();
    let off = |mut circuit: Circuit| {
        circuit.feed(["pump".parse().unwrap()]);
        circuit
    };
    change.alter(&"C01".parse().unwrap(), off).unwrap();
    change.commit().await.unwrap();
    let held = item::get::<Device>(&mut write, job, &horn).await.unwrap();
    assert!(held.value.footprint.as_ref().is_some_and(|own| own.magnetic && own.compass_safe_mm.is_some()));
    item::remove::<Device>(&mut write, job, &horn, held.version).await.unwrap();
    let told = faults(item::save(&mut write, job, &held.value, None).await).await;
    assert_eq!(told, ["id"]);
    let stale = item::save(&mut write, job, &held.value, Some(held.version)).await;
    assert!(matches!(stale, Err(Error::Gone(_))), "{stale:?}");

    undo::change(&mut write, job, Version::from(3)).await.unwrap();
    let back = item::get::<Device>(&mut write, job, &horn).await.unwrap();
    assert_eq!(back.value, held.value);
    // Removed and put back is not what the form began with.
    let stale = item::save(&mut write, job, &held.value, Some(held.version)).await;
    assert!(matches!(stale, Err(Error::Stale(_))), "{stale:?}");
}

#[tokio::test]
async fn every_kind_of_navigation_light_is_kept() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    for light in [
        LightKind::Masthead,
        LightKind::Sides,
        LightKind::Port,
        LightKind::Starboard,
        LightKind::Stern,
        LightKind::AllRound,
        LightKind::Tricolor,
        LightKind::RedOverGreen,
    ] {
        let mut held = item::get::<Device>(&mut write, job, &"nav".parse().unwrap()).await.unwrap();
        held.value.light = Some(light);
        item::save(&mut write, job, &held.value, Some(held.version)).await.unwrap();
        let read = item::get::<Device>(&mut write, job, &held.value.id).await.unwrap().value;
        assert_eq!(read, held.value);
    }
}
