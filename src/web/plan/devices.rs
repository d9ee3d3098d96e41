//! The list of devices, with the load and the circuit of each.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::choices::LIGHTS;
use crate::job::load::Load;
use crate::job::plan::{Circuit, Device};
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::found::{self, FindingCount};

#[derive(Template)]
#[template(path = "plan/devices.html")]
struct Page {
    title_block: TitleBlock,
    plan: String,
    may_plan: bool,
    devices: Vec<Row>,
    paging: Paging,
}

struct Row {
    id: String,
    name: String,
    location: String,
    load: Option<Figure>,
    fed_by: Vec<String>,
    drop_limit: Option<Figure>,
    max_fuse: Option<Figure>,
    light: Option<&'static str>,
    settings: usize,
    kept: bool,
    checked: Option<FindingCount>,
}

/// Devices of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let (devices, paging) = page_of(&job.plan.devices, &frame);
    html(&Page {
        plan: format!("{}/plan", job.href()),
        may_plan: frame.may(Permission::Plan),
        devices: devices.iter().map(|device| of_device(device, &job)).collect(),
        paging,
        title_block: job.title_block(frame, Tab::Devices),
    })
}

fn of_device(device: &Device, job: &Opened) -> Row {
    let location = job
        .plan
        .location(&device.location)
        .map_or(device.location.as_str(), |location| location.name.as_str());
    let feeding = job.plan.circuits.iter().filter(|circuit| circuit.feeds(&device.id));
    Row {
        id: device.id.to_string(),
        name: device.name.to_string(),
        location: location.to_owned(),
        load: device.load.map(figure),
        fed_by: feeding.map(Circuit::name_and_label).collect(),
        drop_limit: device.drop_limit_pct.map(|limit| Figure::new(limit, "%")),
        max_fuse: device.max_fuse_a.map(|rating| Figure::new(rating, "A")),
        light: LIGHTS.iter().find(|(light, _)| Some(*light) == device.light).map(|(_, words)| *words),
        settings: device.settings.len(),
        kept: device.kept,
        checked: found::checked(job, SubjectKind::Device, device.id.as_str()),
    }
}

fn figure(load: Load) -> Figure {
    match load {
        Load::ConstantCurrent(current) => Figure::new(current, "A"),
        Load::ConstantPower(power) => Figure::new(power, "W"),
        Load::Resistance(resistance) => Figure::new(resistance, "Ω"),
    }
}
