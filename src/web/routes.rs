//! The one route table: every address, its verb, the action it needs, and its handler.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::middleware::from_fn_with_state;
use axum::routing::{self, MethodRouter};

use super::job::{findings, intake, overview, photos, state, undo};
use super::kit::guard::{self, Needs};
use super::kit::identify::TRUST;
use super::kit::{AppState, assets, manual, pictures, theme, watch};
use super::people::{confirm, first_run, granted, passphrase, roster, sign_in, sign_ins, switch};
use super::plan::{self, edit};
use super::shop::{backups, floor, log, mark, settings, trust};
use super::{boards, circuit, electrics, hand, help, labels, layout, open_items, phases, report};
use crate::job::board::Board;
use crate::job::plan::{Circuit, Device, Feeder, Location, Mode, Raceway, RemovedEquipment};
use crate::job::point::Point;
use crate::shop::role::Permission;

/// One line of the table.
pub struct Route {
    /// The verb.
    pub method: Method,
    /// The address, with its parts in braces.
    pub path: &'static str,
    /// What it needs.
    pub needs: Needs,
    handler: MethodRouter<AppState>,
}

impl Route {
    /// The same route with another limit for the request body, in bytes.
    pub fn takes(self, bytes: usize) -> Self {
        Self { handler: self.handler.layer(DefaultBodyLimit::max(bytes)), ..self }
    }
}

/// A page.
fn get<H, T>(path: &'static str, needs: impl Into<Needs>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::GET, path, needs: needs.into(), handler: routing::get(handler) }
}

/// A change.
fn post<H, T>(path: &'static str, needs: impl Into<Needs>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::POST, path, needs: needs.into(), handler: routing::post(handler) }
}

/// Every address of the program.
pub fn table() -> Vec<Route> {
    use Needs::Anyone;
    use Permission::{Close, Delete, Look, People, Plan, Release, ReleaseStop, Shop, Tick};

    vec![
        // The shop.
        get("/", Look, floor::show),
        get("/my-work", Tick, hand::my_work::show),
        post("/theme", Anyone, theme::choose),
        get("/static/{hash}/{*name}", Anyone, assets::file),
        get("/worker.js", Anyone, assets::worker),
        get(TRUST, Anyone, trust::show),
        get(manual::ADDRESS, Anyone, help::list::show),
        get("/help/{page}", Anyone, help::show::show),
        get("/trust/authority.crt", Anyone, trust::certificate),
        // Its people.
        get("/first-run", Anyone, first_run::ask),
        post("/first-run", Anyone, first_run::make),
        get("/sign-in", Anyone, sign_in::ask),
        post("/sign-in", Anyone, sign_in::enter),
        post("/sign-out", Look, sign_in::leave),
        get("/confirm", Look, confirm::ask),
        post("/confirm", Look, confirm::enter),
        get("/switch", Look, switch::ask),
        post("/switch", Look, switch::to),
        get("/sign-ins", Look, sign_ins::list),
        post("/sign-ins/{sign_in}/end", Look, sign_ins::end),
        get("/passphrase", Look, passphrase::ask),
        post("/passphrase", Look, passphrase::change),
        get("/people", People, roster::list),
        get("/people/new", People, roster::blank),
        post("/people", People, roster::add),
        get("/people/{person}", People, roster::edit),
        post("/people/{person}", People, roster::save),
        post("/people/{person}/jobs", People, granted::save),
        // Its settings.
        get("/shop", Shop, settings::show),
        post("/shop", Shop, settings::save),
        post("/shop/mark", Shop, mark::save).takes(mark::BODY_LIMIT),
        get("/shop/mark/{mark}", Look, mark::file),
        get("/log", Shop, log::show),
        // How its labels are made.
        get("/labels", Shop, labels::setting::show),
        post("/labels", Shop, labels::setting::save),
        // Its backups.
        get("/backups", Shop, backups::show),
        post("/backups", Shop, backups::take),
        post("/backups/{backup}/prove", Shop, backups::prove),
        // A job.
        get("/jobs/new", Plan, intake::blank),
        post("/jobs", Plan, intake::create),
        get("/jobs/{job}", Look, overview::show),
        get("/jobs/{job}/findings", Look, findings::show),
        get("/jobs/{job}/intake", Plan, intake::edit),
        post("/jobs/{job}/intake", Plan, intake::save),
        get("/jobs/{job}/state", Close, state::show),
        post("/jobs/{job}/state", Close, state::change),
        post("/jobs/{job}/delete", Delete, state::delete),
        // The work on a job.
        get("/jobs/{job}/phases/{phase}", Look, phases::show::show),
        post("/jobs/{job}/ticks", Tick, phases::tick::mark),
        get("/jobs/{job}/releases", Look, phases::released::show),
        post("/jobs/{job}/releases", Release, phases::release::pass),
        get("/jobs/{job}/release", Release, phases::release::show),
        get("/jobs/{job}/judgment", ReleaseStop, phases::judgment::show),
        post("/jobs/{job}/judgments", ReleaseStop, phases::judgment::keep),
        post("/jobs/{job}/confirmations", ReleaseStop, phases::released::confirm),
        post("/jobs/{job}/switches", Plan, phases::assign::hang),
        get("/jobs/{job}/bench", Look, phases::bench_list::show),
        post("/jobs/{job}/bench", Plan, phases::bench_list::measure),
        get("/jobs/{job}/diagnosis", Look, phases::diagnosis::show),
        post("/jobs/{job}/repairs", Tick, phases::diagnosis::repair),
        post("/jobs/{job}/step-readings", Tick, phases::step_reading::take),
        post("/jobs/{job}/circuits/{circuit}/readings", Tick, phases::reading::take),
        get("/jobs/{job}/circuits/{circuit}", Look, circuit::show::show),
        post("/jobs/{job}/circuits/{circuit}/what-if", Plan, circuit::keep::save),
        get("/jobs/{job}/feeders/{feeder}", Look, circuit::feeder::show),
        // The boat plan and the routes.
        get("/jobs/{job}/layout", Look, layout::show::show),
        get("/jobs/{job}/routes", Look, layout::routes::show),
        post("/jobs/{job}/plan/locations/{id}/spot", Plan, layout::position::move_to),
        // The work on a wire.
        get("/jobs/{job}/live", Look, watch::listen),
        get("/jobs/{job}/wires", Look, hand::find::show),
        get("/jobs/{job}/wires/{conductor}", Look, hand::wire::show),
        get("/jobs/{job}/wires/{conductor}/{side}", Look, hand::wire::show_end),
        // What was found and is not settled.
        get("/jobs/{job}/open-items", Look, open_items::list::show),
        get("/jobs/{job}/open-items/new", Tick, open_items::found::ask),
        post("/jobs/{job}/open-items", Tick, open_items::found::add).takes(pictures::BODY_LIMIT),
        post("/jobs/{job}/closings", Tick, open_items::closing::add),
        // Photos of anything on a job.
        post("/jobs/{job}/photos", Tick, photos::add).takes(pictures::BODY_LIMIT),
        get("/jobs/{job}/photos/{photo}", Look, photos::file),
        post("/jobs/{job}/photos/{photo}/remove", Plan, photos::remove),
        post("/jobs/{job}/wires/{conductor}/{side}/pulls", Tick, hand::record::pull),
        post("/jobs/{job}/withdrawals", Tick, hand::withdraw::withdraw),
        // Calculations of the whole supply.
        get("/jobs/{job}/one-line", Look, electrics::one_line::show),
        get("/jobs/{job}/one-line.pdf", Look, electrics::one_line::pdf),
        get("/jobs/{job}/supply", Look, electrics::supply::show),
        get("/jobs/{job}/energy", Look, electrics::energy::show),
        get("/jobs/{job}/lights", Look, electrics::lights::show),
        get("/jobs/{job}/worksheet", Look, electrics::worksheet::show),
        get("/jobs/{job}/worksheet.csv", Look, electrics::worksheet::file),
        get("/jobs/{job}/sizing", Look, electrics::sizing::show),
        post("/jobs/{job}/sizing", Plan, electrics::sizing::take).takes(electrics::sizing::BODY_LIMIT),
        // Its boards.
        get("/jobs/{job}/boards", Look, boards::list::list),
        get("/jobs/{job}/boards/{board}", Look, boards::show::show),
        post("/jobs/{job}/boards/{board}/parts", Plan, boards::place::part),
        post("/jobs/{job}/boards/{board}/propose", Plan, boards::place::propose),
        get("/jobs/{job}/boards/{board}/drilling/{paper}", Look, boards::drill::pdf),
        get("/jobs/{job}/plan/new/board", Plan, edit::blank::<Board>),
        post("/jobs/{job}/plan/new/board", Plan, edit::create::<Board>),
        get("/jobs/{job}/plan/boards/{id}", Plan, edit::edit::<Board>),
        post("/jobs/{job}/plan/boards/{id}", Plan, edit::save::<Board>),
        post("/jobs/{job}/plan/boards/{id}/remove", Plan, edit::remove::<Board>),
        // Printed papers for the work.
        get("/jobs/{job}/labels", Look, labels::show::show),
        get("/jobs/{job}/labels.pdf", Look, labels::files::pdf),
        get("/jobs/{job}/labels.csv", Look, labels::files::csv),
        post("/jobs/{job}/log/{line}/undo", Plan, undo::change),
        // The handover.
        get("/jobs/{job}/report", Look, report::show::show),
        get("/jobs/{job}/log", Look, report::log::show),
        // A job file.
        get("/jobs/from-file", Plan, plan::file::blank),
        post("/jobs/from-file", Plan, plan::file::import).takes(plan::file::BODY_LIMIT),
        get("/jobs/{job}/job.json", Look, plan::file::export),
        // The plan.
        get("/jobs/{job}/plan/locations", Look, plan::locations::list),
        get("/jobs/{job}/plan/new/location", Plan, edit::blank::<Location>),
        post("/jobs/{job}/plan/new/location", Plan, edit::create::<Location>),
        get("/jobs/{job}/plan/locations/{id}", Plan, edit::edit::<Location>),
        post("/jobs/{job}/plan/locations/{id}", Plan, edit::save::<Location>),
        post("/jobs/{job}/plan/locations/{id}/remove", Plan, edit::remove::<Location>),
        get("/jobs/{job}/plan/new/raceway", Plan, edit::blank::<Raceway>),
        post("/jobs/{job}/plan/new/raceway", Plan, edit::create::<Raceway>),
        get("/jobs/{job}/plan/raceways/{id}", Plan, edit::edit::<Raceway>),
        post("/jobs/{job}/plan/raceways/{id}", Plan, edit::save::<Raceway>),
        post("/jobs/{job}/plan/raceways/{id}/remove", Plan, edit::remove::<Raceway>),
        get("/jobs/{job}/plan/removed", Look, plan::removed_list::list),
        get("/jobs/{job}/plan/new/removed", Plan, edit::blank::<RemovedEquipment>),
        post("/jobs/{job}/plan/new/removed", Plan, edit::create::<RemovedEquipment>),
        get("/jobs/{job}/plan/removed/{id}", Plan, edit::edit::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}", Plan, edit::save::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}/remove", Plan, edit::remove::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}/fit", Plan, plan::removed::fit),
        get("/jobs/{job}/plan/points", Look, plan::points::list),
        get("/jobs/{job}/plan/new/point", Plan, edit::blank::<Point>),
        post("/jobs/{job}/plan/new/point", Plan, edit::create::<Point>),
        get("/jobs/{job}/plan/points/{id}", Plan, edit::edit::<Point>),
        post("/jobs/{job}/plan/points/{id}", Plan, edit::save::<Point>),
        post("/jobs/{job}/plan/points/{id}/remove", Plan, edit::remove::<Point>),
        get("/jobs/{job}/plan/propose", Look, plan::propose::show),
        post("/jobs/{job}/plan/propose", Plan, plan::propose::submit),
        get("/jobs/{job}/plan/measure", Look, plan::measure::show),
        post("/jobs/{job}/plan/measure", Plan, plan::measure::save),
        get("/jobs/{job}/plan/wishes", Look, plan::wishes::show),
        post("/jobs/{job}/plan/wishes", Plan, plan::wishes::submit),
        get("/jobs/{job}/plan/devices", Look, plan::devices::list),
        get("/jobs/{job}/plan/new/device", Plan, edit::blank::<Device>),
        post("/jobs/{job}/plan/new/device", Plan, edit::create::<Device>),
        get("/jobs/{job}/plan/devices/{id}", Plan, edit::edit::<Device>),
        post("/jobs/{job}/plan/devices/{id}", Plan, edit::save::<Device>),
        post("/jobs/{job}/plan/devices/{id}/remove", Plan, edit::remove::<Device>),
        get("/jobs/{job}/plan/circuits", Look, plan::circuits::list),
        get("/jobs/{job}/plan/new/circuit", Plan, edit::blank::<Circuit>),
        post("/jobs/{job}/plan/new/circuit", Plan, edit::create::<Circuit>),
        get("/jobs/{job}/plan/circuits/{id}", Plan, edit::edit::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}", Plan, edit::save::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}/remove", Plan, edit::remove::<Circuit>),
        get("/jobs/{job}/plan/feeders", Look, plan::feeders::list),
        get("/jobs/{job}/plan/new/feeder", Plan, edit::blank::<Feeder>),
        post("/jobs/{job}/plan/new/feeder", Plan, edit::create::<Feeder>),
        get("/jobs/{job}/plan/feeders/{id}", Plan, edit::edit::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}", Plan, edit::save::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}/remove", Plan, edit::remove::<Feeder>),
        get("/jobs/{job}/plan/modes", Look, plan::modes::list),
        get("/jobs/{job}/plan/new/mode", Plan, edit::blank::<Mode>),
        post("/jobs/{job}/plan/new/mode", Plan, edit::create::<Mode>),
        get("/jobs/{job}/plan/modes/{id}", Plan, edit::edit::<Mode>),
        post("/jobs/{job}/plan/modes/{id}", Plan, edit::save::<Mode>),
        post("/jobs/{job}/plan/modes/{id}/remove", Plan, edit::remove::<Mode>),
    ]
}

/// The table as a router, with what each route needs enforced around its handler.
pub fn router(app: &AppState) -> Router<AppState> {
    table().into_iter().fold(Router::new(), |router, route| {
        let guard = from_fn_with_state((app.clone(), route.needs), guard::admit);
        router.route(route.path, route.handler.route_layer(guard))
    })
}
