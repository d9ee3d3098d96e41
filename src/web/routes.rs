//! The one route table: every address, its verb, the least role it takes, and who answers.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::middleware::from_fn_with_state;
use axum::routing::{self, MethodRouter};

use super::guard::{self, Least};
use super::job::{intake, overview};
use super::people::{first_run, passphrase, roster, sign_in, sign_ins, switch};
use super::plan::{self, edit};
use super::{
    AppState, assets, backups, boards, circuit, electrics, floor, hand, labels, layout, live, phases, photos,
    report, theme, trust, undo,
};
use crate::job::board::Board;
use crate::job::plan::{Circuit, Device, Feeder, Mode, Passage, Place, Removal};
use crate::job::point::Point;
use crate::shop::role::Role;

/// One line of the table.
pub struct Route {
    /// The verb.
    pub method: Method,
    /// The address, with its parts in braces.
    pub path: &'static str,
    /// Who may ask at all.
    pub least: Least,
    handler: MethodRouter<AppState>,
}

impl Route {
    /// The same route, that takes a body of so many bytes instead of the usual.
    pub fn takes(self, bytes: usize) -> Self {
        Self { handler: self.handler.layer(DefaultBodyLimit::max(bytes)), ..self }
    }
}

/// A page that is looked at.
fn get<H, T>(path: &'static str, least: impl Into<Least>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::GET, path, least: least.into(), handler: routing::get(handler) }
}

/// A change that is sent.
fn post<H, T>(path: &'static str, least: impl Into<Least>, handler: H) -> Route
where
    H: Handler<T, AppState>,
    T: 'static,
{
    Route { method: Method::POST, path, least: least.into(), handler: routing::post(handler) }
}

/// Every address the program answers.
pub fn table() -> Vec<Route> {
    use Least::Anyone;
    use Role::{Apprentice, Owner, Reader, Technician};

    vec![
        // The shop.
        get("/", Reader, floor::show),
        post("/theme", Anyone, theme::choose),
        get("/static/{hash}/{*name}", Anyone, assets::file),
        get("/worker.js", Anyone, assets::worker),
        get(trust::PAGE, Anyone, trust::show),
        get("/trust/authority.crt", Anyone, trust::certificate),
        // Its people.
        get("/first-run", Anyone, first_run::ask),
        post("/first-run", Anyone, first_run::make),
        get("/sign-in", Anyone, sign_in::ask),
        post("/sign-in", Anyone, sign_in::enter),
        post("/sign-out", Reader, sign_in::leave),
        get("/switch", Reader, switch::ask),
        post("/switch", Reader, switch::to),
        get("/sign-ins", Reader, sign_ins::list),
        post("/sign-ins/{sign_in}/end", Reader, sign_ins::end),
        get("/passphrase", Reader, passphrase::ask),
        post("/passphrase", Reader, passphrase::change),
        get("/people", Owner, roster::list),
        get("/people/new", Owner, roster::blank),
        post("/people", Owner, roster::add),
        get("/people/{person}", Owner, roster::edit),
        post("/people/{person}", Owner, roster::save),
        // How its labels are made.
        get("/labels", Owner, labels::setting::show),
        post("/labels", Owner, labels::setting::save),
        // Its backups.
        get("/backups", Owner, backups::show),
        post("/backups", Owner, backups::take),
        post("/backups/{backup}/prove", Owner, backups::prove),
        // A job.
        get("/jobs/new", Technician, intake::blank),
        post("/jobs", Technician, intake::create),
        get("/jobs/{job}", Reader, overview::show),
        get("/jobs/{job}/intake", Technician, intake::edit),
        post("/jobs/{job}/intake", Technician, intake::save),
        // The work on a job.
        get("/jobs/{job}/phases/{phase}", Reader, phases::show::show),
        post("/jobs/{job}/ticks", Apprentice, phases::tick::mark),
        post("/jobs/{job}/releases", Technician, phases::release::pass),
        post("/jobs/{job}/switches", Technician, phases::assign::hang),
        get("/jobs/{job}/bench", Reader, phases::bench_list::show),
        post("/jobs/{job}/bench", Technician, phases::bench_list::measure),
        get("/jobs/{job}/diagnosis", Reader, phases::diagnosis::show),
        post("/jobs/{job}/repairs", Apprentice, phases::diagnosis::mend),
        post("/jobs/{job}/step-readings", Apprentice, phases::step_reading::take),
        post("/jobs/{job}/circuits/{circuit}/readings", Apprentice, phases::reading::take),
        get("/jobs/{job}/circuits/{circuit}", Reader, circuit::show::show),
        post("/jobs/{job}/circuits/{circuit}/what-if", Technician, circuit::what_if::save),
        get("/jobs/{job}/feeders/{feeder}", Reader, circuit::feeder::show),
        // The boat as a place.
        get("/jobs/{job}/layout", Reader, layout::show::show),
        get("/jobs/{job}/routes", Reader, layout::ways::show),
        post("/jobs/{job}/plan/places/{id}/spot", Technician, layout::spot::move_to),
        // A wire in the hand.
        get("/jobs/{job}/live", Reader, live::listen),
        get("/jobs/{job}/wires", Reader, hand::find::show),
        get("/jobs/{job}/wires/{conductor}", Reader, hand::wire::show),
        get("/jobs/{job}/wires/{conductor}/{side}", Reader, hand::wire::show_end),
        get("/jobs/{job}/cables/{cable}", Reader, hand::cable::show),
        get("/jobs/{job}/cables/{cable}/{side}", Reader, hand::cable::show_end),
        // Photos of anything on a job.
        post("/jobs/{job}/photos", Apprentice, photos::add).takes(photos::BODY_LIMIT),
        get("/jobs/{job}/photos/{photo}", Reader, photos::file),
        post("/jobs/{job}/photos/{photo}/remove", Technician, photos::remove),
        post("/jobs/{job}/wires/{conductor}/{side}/notes", Apprentice, hand::record::note),
        post("/jobs/{job}/wires/{conductor}/{side}/pulls", Apprentice, hand::record::pull),
        post("/jobs/{job}/withdrawals", Apprentice, hand::withdraw::take_back),
        // What is computed of the whole supply.
        get("/jobs/{job}/one-line", Reader, electrics::one_line::show),
        get("/jobs/{job}/supply", Reader, electrics::supply::show),
        get("/jobs/{job}/energy", Reader, electrics::energy::show),
        get("/jobs/{job}/lights", Reader, electrics::lights::show),
        get("/jobs/{job}/sizing", Reader, electrics::sizing::show),
        // Its boards.
        get("/jobs/{job}/boards", Reader, boards::list::list),
        get("/jobs/{job}/boards/{board}", Reader, boards::show::show),
        post("/jobs/{job}/boards/{board}/parts", Technician, boards::place::part),
        post("/jobs/{job}/boards/{board}/propose", Technician, boards::place::propose),
        get("/jobs/{job}/boards/{board}/drilling/{paper}", Reader, boards::drill::pdf),
        get("/jobs/{job}/plan/new/board", Technician, edit::blank::<Board>),
        post("/jobs/{job}/plan/new/board", Technician, edit::create::<Board>),
        get("/jobs/{job}/plan/boards/{id}", Technician, edit::edit::<Board>),
        post("/jobs/{job}/plan/boards/{id}", Technician, edit::save::<Board>),
        post("/jobs/{job}/plan/boards/{id}/remove", Technician, edit::remove::<Board>),
        // What is printed for the work.
        get("/jobs/{job}/labels", Reader, labels::show::show),
        get("/jobs/{job}/labels.pdf", Reader, labels::files::pdf),
        get("/jobs/{job}/labels.csv", Reader, labels::files::csv),
        post("/jobs/{job}/log/{line}/undo", Technician, undo::take_back),
        // What is handed over.
        get("/jobs/{job}/report", Reader, report::show::show),
        get("/jobs/{job}/log", Reader, report::log::show),
        // A job file.
        get("/jobs/from-file", Technician, plan::file::blank),
        post("/jobs/from-file", Technician, plan::file::import).takes(plan::file::BODY_LIMIT),
        get("/jobs/{job}/job.json", Reader, plan::file::export),
        // The plan.
        get("/jobs/{job}/plan/places", Reader, plan::places::list),
        get("/jobs/{job}/plan/new/place", Technician, edit::blank::<Place>),
        post("/jobs/{job}/plan/new/place", Technician, edit::create::<Place>),
        get("/jobs/{job}/plan/places/{id}", Technician, edit::edit::<Place>),
        post("/jobs/{job}/plan/places/{id}", Technician, edit::save::<Place>),
        post("/jobs/{job}/plan/places/{id}/remove", Technician, edit::remove::<Place>),
        get("/jobs/{job}/plan/new/passage", Technician, edit::blank::<Passage>),
        post("/jobs/{job}/plan/new/passage", Technician, edit::create::<Passage>),
        get("/jobs/{job}/plan/passages/{id}", Technician, edit::edit::<Passage>),
        post("/jobs/{job}/plan/passages/{id}", Technician, edit::save::<Passage>),
        post("/jobs/{job}/plan/passages/{id}/remove", Technician, edit::remove::<Passage>),
        get("/jobs/{job}/plan/removals", Reader, plan::removals::list),
        get("/jobs/{job}/plan/new/removal", Technician, edit::blank::<Removal>),
        post("/jobs/{job}/plan/new/removal", Technician, edit::create::<Removal>),
        get("/jobs/{job}/plan/removals/{id}", Technician, edit::edit::<Removal>),
        post("/jobs/{job}/plan/removals/{id}", Technician, edit::save::<Removal>),
        post("/jobs/{job}/plan/removals/{id}/remove", Technician, edit::remove::<Removal>),
        post("/jobs/{job}/plan/removals/{id}/fit", Technician, plan::removal::fit),
        get("/jobs/{job}/plan/points", Reader, plan::points::list),
        get("/jobs/{job}/plan/new/point", Technician, edit::blank::<Point>),
        post("/jobs/{job}/plan/new/point", Technician, edit::create::<Point>),
        get("/jobs/{job}/plan/points/{id}", Technician, edit::edit::<Point>),
        post("/jobs/{job}/plan/points/{id}", Technician, edit::save::<Point>),
        post("/jobs/{job}/plan/points/{id}/remove", Technician, edit::remove::<Point>),
        get("/jobs/{job}/plan/devices", Reader, plan::devices::list),
        get("/jobs/{job}/plan/new/device", Technician, edit::blank::<Device>),
        post("/jobs/{job}/plan/new/device", Technician, edit::create::<Device>),
        get("/jobs/{job}/plan/devices/{id}", Technician, edit::edit::<Device>),
        post("/jobs/{job}/plan/devices/{id}", Technician, edit::save::<Device>),
        post("/jobs/{job}/plan/devices/{id}/remove", Technician, edit::remove::<Device>),
        get("/jobs/{job}/plan/circuits", Reader, plan::circuits::list),
        get("/jobs/{job}/plan/new/circuit", Technician, edit::blank::<Circuit>),
        post("/jobs/{job}/plan/new/circuit", Technician, edit::create::<Circuit>),
        get("/jobs/{job}/plan/circuits/{id}", Technician, edit::edit::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}", Technician, edit::save::<Circuit>),
        post("/jobs/{job}/plan/circuits/{id}/remove", Technician, edit::remove::<Circuit>),
        get("/jobs/{job}/plan/feeders", Reader, plan::feeders::list),
        get("/jobs/{job}/plan/new/feeder", Technician, edit::blank::<Feeder>),
        post("/jobs/{job}/plan/new/feeder", Technician, edit::create::<Feeder>),
        get("/jobs/{job}/plan/feeders/{id}", Technician, edit::edit::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}", Technician, edit::save::<Feeder>),
        post("/jobs/{job}/plan/feeders/{id}/remove", Technician, edit::remove::<Feeder>),
        get("/jobs/{job}/plan/modes", Reader, plan::modes::list),
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
