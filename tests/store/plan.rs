//! The things of a plan: added, changed from a known version, removed when nothing names them.

use driploop::job::file::JobFile;
use driploop::job::plan::{Light, Location};
use driploop::job::point::Body;
use driploop::store::{
    Error, JobId, Version, Write, boards, circuits, devices, feeders, locations, log, modes, plan, points,
    raceways, removed,
};

use crate::fixture::{Shop, small};

/// A job with the head of [`small`] and none of its things.
async fn bare(shop: &Shop) -> JobId {
    let JobFile { plan, history } = small();
    let plan = driploop::job::plan::Plan {
        locations: vec![],
        raceways: vec![],
        boards: vec![],
        points: vec![],
        feeders: vec![],
        devices: vec![],
        circuits: vec![],
        modes: vec![],
        removed: vec![],
        ..plan
    };
    shop.import(&JobFile { plan, history }).await
}

#[tokio::test]
async fn a_plan_built_thing_by_thing_is_the_plan_imported() {
    let shop = Shop::open().await;
    let job = bare(&shop).await;
    let JobFile { plan: wanted, .. } = small();
    let mut write = shop.write().await;
    for location in &wanted.locations {
        locations::insert(&mut write, job, location).await.unwrap();
    }
    for raceway in &wanted.raceways {
        raceways::insert(&mut write, job, raceway).await.unwrap();
    }
    for board in &wanted.boards {
        boards::insert(&mut write, job, board).await.unwrap();
    }
    for point in &wanted.points {
        points::insert(&mut write, job, point).await.unwrap();
    }
    for feeder in &wanted.feeders {
        feeders::insert(&mut write, job, feeder).await.unwrap();
    }
    for device in &wanted.devices {
        devices::insert(&mut write, job, device).await.unwrap();
    }
    for circuit in &wanted.circuits {
        circuits::insert(&mut write, job, circuit).await.unwrap();
    }
    for mode in &wanted.modes {
        modes::insert(&mut write, job, mode).await.unwrap();
    }
    for removed in &wanted.removed {
        removed::insert(&mut write, job, removed).await.unwrap();
    }
    assert_eq!(plan::load(&mut write, job).await.unwrap(), wanted);
    let things = 3 + 2 + 2 + 7 + 3 + 3 + 2 + 2 + 1;
    assert_eq!(log::of_job(&mut write, job, None, 100).await.unwrap().len(), things + 1);
}

/// Changes each thing to what the second one of its kind is, but for its id, and back again.
#[tokio::test]
async fn every_thing_can_be_changed_to_any_other_of_its_kind() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let JobFile { plan: wanted, .. } = small();
    let mut write = shop.write().await;
    let (one, two, three) = (Version::first(), Version::from(2), Version::from(3));
    macro_rules! there_and_back {
        ($table:ident) => {
            let (held, other) = (&wanted.$table[0], &wanted.$table[1]);
            let mut changed = other.clone();
            changed.id = held.id.clone();
            assert_eq!($table::update(&mut write, job, &changed, one).await.unwrap(), two);
            let got = $table::get(&mut write, job, &held.id).await.unwrap();
            assert_eq!((got.value, got.version), (changed, two));
            assert_eq!($table::update(&mut write, job, held, two).await.unwrap(), three);
            assert_eq!($table::get(&mut write, job, &held.id).await.unwrap().value, *held);
        };
    }
    there_and_back!(locations);
    there_and_back!(raceways);
    there_and_back!(points);
    there_and_back!(feeders);
    there_and_back!(devices);
    there_and_back!(circuits);
    there_and_back!(modes);
    assert_eq!(plan::load(&mut write, job).await.unwrap(), wanted);
}

#[tokio::test]
async fn a_stale_save_shows_what_is_there_and_loses_neither() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let helm = locations::get(&mut write, job, &"helm".parse().unwrap()).await.unwrap();
    let theirs = Location { wet: true, ..helm.value.clone() };
    locations::update(&mut write, job, &theirs, helm.version).await.unwrap();
    let mine = Location { name: "Console".parse().unwrap(), ..helm.value };
    let Error::Stale(stale) = locations::update(&mut write, job, &mine, helm.version).await.unwrap_err()
    else {
        panic!()
    };
    assert_eq!(
        stale.theirs,
        serde_json::json!({"id": "helm", "name": "Helm console", "at": {"ahead_m": 3.1, "starboard_m": 0.2, "up_m": 0.9}, "wet": true})
    );
    locations::update(&mut write, job, &mine, stale.version).await.unwrap();
    assert_eq!(locations::get(&mut write, job, &mine.id).await.unwrap().value, mine);
}

async fn used_by(result: Result<(), Error>) -> String {
    let Err(Error::InUse { subject, by }) = result else { panic!("{result:?}") };
    format!("{subject}: {}", by.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "))
}

#[tokio::test]
async fn what_is_still_named_stays_and_its_users_are_told() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let one = Version::first();
    let location = locations::remove(&mut write, job, &"bow".parse().unwrap(), one).await;
    assert_eq!(used_by(location).await, "location/bow: raceway/under device/horn device/nav");
    let point = points::remove(&mut write, job, &"panel".parse().unwrap(), one).await;
    assert_eq!(used_by(point).await, "point/panel: circuit/C02");
    let point = points::remove(&mut write, job, &"house".parse().unwrap(), one).await;
    assert_eq!(used_by(point).await, "point/house: feeder/F1 feeder/F3");
    let device = devices::remove(&mut write, job, &"horn".parse().unwrap(), one).await;
    assert_eq!(used_by(device).await, "device/horn: circuit/C01");
    let location = locations::remove(&mut write, job, &"helm".parse().unwrap(), one).await;
    assert!(used_by(location).await.ends_with("device/horn"), "its cable goes there");
    let raceway = raceways::remove(&mut write, job, &"tube".parse().unwrap(), one).await;
    assert_eq!(used_by(raceway).await, "raceway/tube: feeder/F2");
    let raceway = raceways::remove(&mut write, job, &"under".parse().unwrap(), one).await;
    assert_eq!(used_by(raceway).await, "raceway/under: circuit/C02");
    let circuit = circuits::remove(&mut write, job, &"C01".parse().unwrap(), one).await;
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
        ($($table:ident),+) => {$(
            for thing in &plan.$table {
                $table::remove(&mut write, job, &thing.id, one).await.unwrap();
                let gone = $table::get(&mut write, job, &thing.id).await.unwrap_err();
                assert!(matches!(gone, Error::NotFound(_)), "{gone}");
            }
        )+};
    }
    clear!(removed, modes, circuits, devices, feeders, points, boards, raceways, locations);
    assert_eq!(plan::load(&mut write, job).await.unwrap().devices, []);
}

async fn faults(result: Result<Version, Error>) -> Vec<String> {
    let Err(Error::Faults(faults)) = result else { panic!("{result:?}") };
    faults.into_iter().map(|fault| fault.path).collect()
}

#[tokio::test]
async fn a_change_that_does_not_fit_is_told_field_by_field() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let one = Version::first();
    let mut write = shop.write().await;
    let mut circuit = small().plan.circuits.remove(0);
    circuit.from = "nowhere".parse().unwrap();
    circuit.feed(["nav".parse().unwrap(), "nav".parse().unwrap()]);
    circuit.switch.as_mut().unwrap().position = 9;
    circuit.conductors.clear();
    let told = faults(circuits::update(&mut write, job, &circuit, one).await).await;
    assert_eq!(told, ["from", "switch.position", "legs[1].number", "legs[1].device"]);

    // A panel that loses the position a circuit is on: the fault is the circuit's, and says whose.
    let mut panel = small().plan.points.remove(5);
    let Body::SwitchPanel(body) = &mut panel.body else { panic!() };
    body.positions.clear();
    let told = faults(points::update(&mut write, job, &panel, one).await).await;
    assert_eq!(told, ["circuits[0].switch.position"]);

    // A device by the id of a point.
    let mut device = small().plan.devices.remove(0);
    device.id = "fb1".parse().unwrap();
    let told = faults(devices::insert(&mut write, job, &device).await.map(|()| one)).await;
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
    let two = points::update(&mut write, job, &panel, Version::first()).await.unwrap();
    assert_eq!(points::get(&mut write, job, &panel.id).await.unwrap().value, panel);
    let before = small().plan.points.remove(5);
    points::update(&mut write, job, &before, two).await.unwrap();
    assert_eq!(points::get(&mut write, job, &panel.id).await.unwrap().value, before);
}

#[tokio::test]
async fn nothing_can_be_added_to_a_job_that_is_not_there() {
    let shop = Shop::open().await;
    let mut write = shop.write().await;
    let location = small().plan.locations.remove(0);
    let gone = locations::insert(&mut write, JobId::from(7), &location).await.unwrap_err();
    assert!(matches!(gone, Error::NotFound(_)), "{gone}");
}

/// The database refuses by itself what the program would never write.
#[tokio::test]
async fn a_row_cannot_name_a_thing_of_another_job() {
    let shop = Shop::open().await;
    let (job, other) = (shop.import(&small()).await, bare(&shop).await);
    let mut raw = shop.raw().await;
    let moved = sqlx::query("UPDATE devices SET job = ? WHERE job = ? AND id = 'horn'")
        .bind(other)
        .bind(job)
        .execute(&mut raw)
        .await
        .unwrap_err();
    assert!(moved.to_string().contains("FOREIGN KEY constraint failed"), "{moved}");
}

#[tokio::test]
async fn nothing_is_kept_without_a_commit() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write: Write = shop.write().await;
    modes::remove(&mut write, job, &"running".parse().unwrap(), Version::first()).await.unwrap();
    drop(write);
    assert_eq!(shop.export(job).await, small());
}

#[tokio::test]
async fn a_board_stays_while_anything_is_mounted_on_it() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let board = boards::get(&mut write, job, &"inside".parse().unwrap()).await.unwrap();
    let refused = boards::remove(&mut write, job, &board.value.id, board.version).await.unwrap_err();
    assert_eq!(refused.to_string(), "board/inside is still used by point 'fb1'");
    let mut block = points::get(&mut write, job, &"fb1".parse().unwrap()).await.unwrap();
    block.value.mounting = None;
    points::update(&mut write, job, &block.value, block.version).await.unwrap();
    boards::remove(&mut write, job, &board.value.id, board.version).await.unwrap();
}

#[tokio::test]
async fn what_a_part_takes_up_goes_with_it() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    let horn = "horn".parse().unwrap();
    let mut circuit = circuits::get(&mut write, job, &"C01".parse().unwrap()).await.unwrap();
    circuit.value.legs.retain(|leg| leg.device != horn);
    circuits::update(&mut write, job, &circuit.value, circuit.version).await.unwrap();
    let held = devices::get(&mut write, job, &horn).await.unwrap();
    assert!(held.value.footprint.as_ref().is_some_and(|own| own.magnetic && own.compass_safe_mm.is_some()));
    devices::remove(&mut write, job, &horn, held.version).await.unwrap();
    let again = driploop::job::plan::Device { footprint: None, ..held.value };
    devices::insert(&mut write, job, &again).await.unwrap();
    assert_eq!(devices::get(&mut write, job, &horn).await.unwrap().value.footprint, None);
}

#[tokio::test]
async fn every_kind_of_navigation_light_is_kept() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    for light in [
        Light::Masthead,
        Light::Sides,
        Light::Port,
        Light::Starboard,
        Light::Stern,
        Light::AllRound,
        Light::Tricolor,
        Light::RedOverGreen,
    ] {
        let mut held = devices::get(&mut write, job, &"nav".parse().unwrap()).await.unwrap();
        held.value.light = Some(light);
        devices::update(&mut write, job, &held.value, held.version).await.unwrap();
        let read = devices::get(&mut write, job, &held.value.id).await.unwrap().value;
        assert_eq!(read, held.value);
    }
}
