//! Navigation lights: every combination of the switches, whether it is legal, and why.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::finding::Finding;
use crate::job::lights::LightReport;
use crate::job::subject::{Subject, SubjectKind};
use crate::store::JobId;
use crate::trade::finding::Code;
use crate::trade::lights::{Combination, Doing, Legality};
use crate::trade::say::capital;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::linked::Linked;
use crate::web::parts::workings::{WorkingPiece, pieces};

#[derive(Template)]
#[template(path = "electrics/lights.html")]
struct Page {
    title_block: TitleBlock,
    asked: Vec<WorkingPiece>,
    lights: Vec<Light>,
    /// What the boat can be doing, one column each.
    doings: Vec<String>,
    combinations: Vec<Row>,
    findings: Vec<FindingPiece>,
}

struct Light {
    device: Linked,
    kind: &'static str,
    switches: String,
    range: WorkingPiece,
}

/// One combination of the switches.
struct Row {
    on: String,
    burning: String,
    class: &'static str,
    sign: &'static str,
    shows: String,
    judged: Vec<Judged>,
}

/// A combination checked against one rule.
struct Judged {
    doing: String,
    legal: &'static str,
    why: Vec<(String, String)>,
}

/// The lights of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let lights = &job.report.lights;
    let page = Page {
        asked: pieces(&lights.asked, job.units),
        lights: lights.lights.iter().map(|light| shown(&job, light)).collect(),
        doings: doings(&lights.combinations),
        combinations: lights.combinations.iter().map(row).collect(),
        findings: findings(&job).map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
        title_block: job.title_block(frame, Tab::Lights),
    };
    html(&page)
}

fn findings(job: &Opened) -> impl Iterator<Item = &Finding> {
    let of_lights = [
        Code::NoLightsUnderPower,
        Code::NoLightsUnderSail,
        Code::FlashlightNeeded,
        Code::NoAnchorLight,
        Code::LightsMislead,
        Code::LightsNotChecked,
    ];
    let is_light = |subject: &Subject| {
        let mut lights = job.report.lights.lights.iter();
        subject.kind == SubjectKind::Device && lights.any(|light| light.device.as_str() == subject.id)
    };
    job.report
        .findings
        .iter()
        .filter(move |finding| of_lights.contains(&finding.code) || is_light(&finding.subject))
}

fn shown(job: &Opened, light: &LightReport) -> Light {
    let switches = match (light.is_fed, light.switches.is_empty()) {
        (false, _) => "on no circuit".to_owned(),
        (true, true) => "none: lit whenever there is power".to_owned(),
        (true, false) => light.switches.join(", "),
    };
    Light {
        device: Linked::to(job, &Subject::new(SubjectKind::Device, &light.device)),
        kind: light.kind.words(),
        switches,
        range: WorkingPiece::new(&light.least_range, job.units),
    }
}

/// What each combination was checked for.
fn doings(combinations: &[Combination]) -> Vec<String> {
    let judged = combinations.first().map(|combination| &combination.judged[..]).unwrap_or_default();
    judged.iter().map(|judged| capital(judged.doing.words())).collect()
}

fn row(combination: &Combination) -> Row {
    let or = |list: &[String], none: &str| if list.is_empty() { none.to_owned() } else { list.join(", ") };
    let (class, sign) = if combination.is_dark() {
        ("shows", "\u{25CB}")
    } else if combination.is_wrong() {
        ("shows shows-wrong", "\u{2715}")
    } else {
        ("shows", "\u{2713}")
    };
    Row {
        on: or(&combination.on, "all off"),
        burning: or(&combination.burning, "none"),
        class,
        sign,
        shows: combination.words(),
        judged: combination.judged.iter().map(|judged| self::judged(judged.doing, &judged.fit)).collect(),
    }
}

fn judged(doing: Doing, fit: &Legality) -> Judged {
    let (legal, why) = match fit {
        Legality::Legal { pattern, remark, source } => {
            let why = match remark {
                Some(remark) => format!("{pattern}; {remark}"),
                None => (*pattern).to_owned(),
            };
            ("legal", vec![(why, source.section.to_owned())])
        }
        Legality::Wrong { reasons } => {
            let why = reasons.iter().map(|one| (one.text.to_owned(), one.source.section.to_owned()));
            ("not legal", why.collect())
        }
        Legality::Undecided { why, source } => {
            ("not decided", vec![((*why).to_owned(), source.section.to_owned())])
        }
    };
    Judged { doing: capital(doing.words()), legal, why }
}
