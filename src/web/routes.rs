//! The one route table: every address, its verb, its least role, and its handler.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::middleware::from_fn_with_state;
use axum::routing::{self, MethodRouter};

use super::job::{intake, overview, photos, undo};
use super::kit::guard::{self, Least};
use super::kit::identify::TRUST;
use super::kit::{AppState, assets, manual, theme, watch};
use super::people::{first_run, passphrase, roster, sign_in, sign_ins, switch};
use super::plan::{self, edit};
use super::shop::{backups, floor, trust};
use super::{boards, circuit, electrics, hand, help, labels, layout, phases, report};
use crate::job::board::Board;
use crate::job::plan::{Circuit, Device, Feeder, Location, Mode, Raceway, RemovedEquipment};
use crate::job::point::Point;
use crate::shop::role::Role;

/// One line of the table.
pub struct Route {
    /// The verb.
    pub method: Method,
    /// The address, with its parts in braces.
    pub path: &'static str,
    /// The least role that may use it.
    pub least: Least,
    handler: MethodRouter<AppState>,
}

impl Route {
    /// The same route with another limit for the request body, in bytes.
    pub fn takes(self, bytes: usize) -> Self {
        Self { handler: self.handler.layer(DefaultBodyLimit::max(bytes)), ..self }
    }
}

/// A page.
fn get<H, T>(path: &'static str, least: impl Into<Least>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::GET, path, least: least.into(), handler: routing::get(handler) }
}

/// A change.
fn post<H, T>(path: &'static str, least: impl Into<Least>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::POST, path, least: least.into(), handler: routing::post(handler) }
}

/// Every address of the program.
pub fn table() -> Vec<Route> {
    use Least::Anyone;
    use Role::{Apprentice, Manager, Technician, Viewer};

    vec![
        // The shop.
        get("/", Viewer, floor::show),
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
        post("/sign-out", Viewer, sign_in::leave),
        get("/switch", Viewer, switch::ask),
        post("/switch", Viewer, switch::to),
        get("/sign-ins", Viewer, sign_ins::list),
        post("/sign-ins/{sign_in}/end", Viewer, sign_ins::end),
        get("/passphrase", Viewer, passphrase::ask),
        post("/passphrase", Viewer, passphrase::change),
        get("/people", Manager, roster::list),
        get("/people/new", Manager, roster::blank),
        post("/people", Manager, roster::add),
        get("/people/{person}", Manager, roster::edit),
        post("/people/{person}", Manager, roster::save),
        // How its labels are made.
        get("/labels", Manager, labels::setting::show),
        post("/labels", Manager, labels::setting::save),
        // Its backups.
        get("/backups", Manager, backups::show),
        post("/backups", Manager, backups::take),
        post("/backups/{backup}/prove", Manager, backups::prove),
        // A job.
        get("/jobs/new", Technician, intake::blank),
        post("/jobs", Technician, intake::create),
        get("/jobs/{job}", Viewer, overview::show),
        get("/jobs/{job}/intake", Technician, intake::edit),
        post("/jobs/{job}/intake", Technician, intake::save),
        // The work on a job.
        get("/jobs/{job}/phases/{phase}", Viewer, phases::show::show),
        post("/jobs/{job}/ticks", Apprentice, phases::tick::mark),
        get("/jobs/{job}/releases", Viewer, phases::released::show),
        post("/jobs/{job}/releases", Technician, phases::release::pass),
        get("/jobs/{job}/release", Technician, phases::release::show),
        get("/jobs/{job}/judgment", Manager, phases::judgment::show),
        post("/jobs/{job}/judgments", Manager, phases::judgment::keep),
        post("/jobs/{job}/confirmations", Manager, phases::released::confirm),
        post("/jobs/{job}/switches", Technician, phases::assign::hang),
        get("/jobs/{job}/bench", Viewer, phases::bench_list::show),
        post("/jobs/{job}/bench", Technician, phases::bench_list::measure),
        get("/jobs/{job}/diagnosis", Viewer, phases::diagnosis::show),
        post("/jobs/{job}/repairs", Apprentice, phases::diagnosis::repair),
        post("/jobs/{job}/step-readings", Apprentice, phases::step_reading::take),
        post("/jobs/{job}/circuits/{circuit}/readings", Apprentice, phases::reading::take),
        get("/jobs/{job}/circuits/{circuit}", Viewer, circuit::show::show),
        post("/jobs/{job}/circuits/{circuit}/what-if", Technician, circuit::keep::save),
        get("/jobs/{job}/feeders/{feeder}", Viewer, circuit::feeder::show),
        // The boat plan and the routes.
        get("/jobs/{job}/layout", Viewer, layout::show::show),
        get("/jobs/{job}/routes", Viewer, layout::routes::show),
        post("/jobs/{job}/plan/locations/{id}/spot", Technician, layout::position::move_to),
        // The work on a wire.
        get("/jobs/{job}/live", Viewer, watch::listen),
        get("/jobs/{job}/wires", Viewer, hand::find::show),
        get("/jobs/{job}/wires/{conductor}", Viewer, hand::wire::show),
        get("/jobs/{job}/wires/{conductor}/{side}", Viewer, hand::wire::show_end),
        // Photos of anything on a job.
        post("/jobs/{job}/photos", Apprentice, photos::add).takes(photos::BODY_LIMIT),
        get("/jobs/{job}/photos/{photo}", Viewer, photos::file),
        post("/jobs/{job}/photos/{photo}/remove", Technician, photos::remove),
        post("/jobs/{job}/wires/{conductor}/{side}/notes", Apprentice, hand::record::note),
        post("/jobs/{job}/wires/{conductor}/{side}/pulls", Apprentice, hand::record::pull),
        post("/jobs/{job}/withdrawals", Apprentice, hand::withdraw::withdraw),
        // Calculations of the whole supply.
        get("/jobs/{job}/one-line", Viewer, electrics::one_line::show),
        get("/jobs/{job}/supply", Viewer, electrics::supply::show),
        get("/jobs/{job}/energy", Viewer, electrics::energy::show),
        get("/jobs/{job}/lights", Viewer, electrics::lights::show),
        get("/jobs/{job}/sizing", Viewer, electrics::sizing::show),
        // Its boards.
        get("/jobs/{job}/boards", Viewer, boards::list::list),
        get("/jobs/{job}/boards/{board}", Viewer, boards::show::show),
        post("/jobs/{job}/boards/{board}/parts", Technician, boards::place::part),
        post("/jobs/{job}/boards/{board}/propose", Technician, boards::place::propose),
        get("/jobs/{job}/boards/{board}/drilling/{paper}", Viewer, boards::drill::pdf),
        get("/jobs/{job}/plan/new/board", Technician, edit::blank::<Board>),
        post("/jobs/{job}/plan/new/board", Technician, edit::create::<Board>),
        get("/jobs/{job}/plan/boards/{id}", Technician, edit::edit::<Board>),
        post("/jobs/{job}/plan/boards/{id}", Technician, edit::save::<Board>),
        post("/jobs/{job}/plan/boards/{id}/remove", Technician, edit::remove::<Board>),
        // Printed papers for the work.
        get("/jobs/{job}/labels", Viewer, labels::show::show),
        get("/jobs/{job}/labels.pdf", Viewer, labels::files::pdf),
        get("/jobs/{job}/labels.csv", Viewer, labels::files::csv),
        post("/jobs/{job}/log/{line}/undo", Technician, undo::change),
        // The handover.
        get("/jobs/{job}/report", Viewer, report::show::show),
        get("/jobs/{job}/log", Viewer, report::log::show),
        // A job file.
        get("/jobs/from-file", Technician, plan::file::blank),
        post("/jobs/from-file", Technician, plan::file::import).takes(plan::file::BODY_LIMIT),
        get("/jobs/{job}/job.json", Viewer, plan::file::export),
        // The plan.
        get("/jobs/{job}/plan/locations", Viewer, plan::locations::list),
        get("/jobs/{job}/plan/new/location", Technician, edit::blank::<Location>),
        post("/jobs/{job}/plan/new/location", Technician, edit::create::<Location>),
        get("/jobs/{job}/plan/locations/{id}", Technician, edit::edit::<Location>),
        post("/jobs/{job}/plan/locations/{id}", Technician, edit::save::<Location>),
        post("/jobs/{job}/plan/locations/{id}/remove", Technician, edit::remove::<Location>),
        get("/jobs/{job}/plan/new/raceway", Technician, edit::blank::<Raceway>),
        post("/jobs/{job}/plan/new/raceway", Technician, edit::create::<Raceway>),
        get("/jobs/{job}/plan/raceways/{id}", Technician, edit::edit::<Raceway>),
        post("/jobs/{job}/plan/raceways/{id}", Technician, edit::save::<Raceway>),
        post("/jobs/{job}/plan/raceways/{id}/remove", Technician, edit::remove::<Raceway>),
        get("/jobs/{job}/plan/removed", Viewer, plan::removed_list::list),
        get("/jobs/{job}/plan/new/removed", Technician, edit::blank::<RemovedEquipment>),
        post("/jobs/{job}/plan/new/removed", Technician, edit::create::<RemovedEquipment>),
        get("/jobs/{job}/plan/removed/{id}", Technician, edit::edit::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}", Technician, edit::save::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}/remove", Technician, edit::remove::<RemovedEquipment>),
        post("/jobs/{job}/plan/removed/{id}/fit", Technician, plan::removed::fit),
        get("/jobs/{job}/plan/points", Viewer, plan::points::list),
        get("/jobs/{job}/plan/new/point", Technician, edit::blank::<Point>),
        post("/jobs/{job}/plan/new/point", Technician, edit::create::<Point>),
        get("/jobs/{job}/plan/points/{id}", Technician, edit::edit::<Point>),
        post("/jobs/{job}/plan/points/{id}", Technician, edit::save::<Point>),
        post("/jobs/{job}/plan/points/{id}/remove", Technician, edit::remove::<Point>),
        get("/jobs/{job}/plan/devices", Viewer, plan::devices::list),
        get("/jobs/{job}/plan/new/device", Technician, edit::blank::<Device>),
        post("/jobs/{job}/plan/new/device", Technician, edit::create::<Device>),
        get("/jobs/{job}/plan/devices/{id}", Technician, edit::edit::<Device>),
        post("/jobs/{job}/plan/devices/{id}", Technician, edit::save::<Device>),
        post("/jobs/{job}/plan/devices/{id}/remove", Technician, edit::remove::<Device>),
        get("/jobs/{job}/plan/circuits", Viewer, plan::circuits::list),
        get("/jobs/{job}/plan/new/circuit", Technician, edit::blank::<Circuit>),
        post("/jobs/{job}/plan/new/circuit", Technician, edit::create::<Circuit>),
        get("/jobs/{job}/plan/circuits/{id}", Technician, edit::edit::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}", Technician, edit::save::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}/remove", Technician, edit::remove::<Circuit>),
        get("/jobs/{job}/plan/feeders", Viewer, plan::feeders::list),
        get("/jobs/{job}/plan/new/feeder", Technician, edit::blank::<Feeder>),
        post("/jobs/{job}/plan/new/feeder", Technician, edit::create::<Feeder>),
        get("/jobs/{job}/plan/feeders/{id}", Technician, edit::edit::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}", Technician, edit::save::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}/remove", Technician, edit::remove::<Feeder>),
        get("/jobs/{job}/plan/modes", Viewer, plan::modes::list),
        get("/jobs/{job}/plan/new/mode", Technician, edit::blank::<Mode>),
        post("/jobs/{job}/plan/new/mode", Technician, edit::create::<Mode>),
        get("/jobs/{job}/plan/modes/{id}", Technician, edit::edit::<Mode>),
        post("/jobs/{job}/plan/modes/{id}", Technician, edit::save::<Mode>),
        post("/jobs/{job}/plan/modes/{id}/remove", Technician, edit::remove::<Mode>),
    ]
}

/// The table as a router, with each route's least role enforced around its handler.
pub fn router() -> Router<AppState> {
    table().into_iter().fold(Router::new(), |router, route| {
        let guard = from_fn_with_state(route.least, guard::admit);
        router.route(route.path, route.handler.route_layer(guard))
    })
}
