//! Navigation lights: every combination of the switches, whether it is legal, and why.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::said::{Linked, pieces};
use crate::job::finding::Finding;
use crate::job::lights::LightReport;
use crate::job::subject::{Kind as Thing, Subject};
use crate::store::JobId;
use crate::trade::finding::Code;
use crate::trade::lights::{Combination, Fit, Verdict};
use crate::web::job::Opened;
use crate::web::page::{Frame, Sheet, Tab, html};
use crate::web::piece::{FindingPiece, WorkingPiece};
use crate::web::{AppState, Error};

#[derive(Template)]
#[template(path = "electrics/lights.html")]
struct Page {
    sheet: Sheet,
    asked: Vec<WorkingPiece>,
    lights: Vec<Light>,
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
    verdict: Verdict,
    under_way: Judged,
    at_anchor: Judged,
}

impl Row {
    fn class(&self) -> &'static str {
        match self.verdict {
            Verdict::Neither => "shows shows-wrong",
            Verdict::Dark => "shows",
            _ => "shows",
        }
    }

    fn sign(&self) -> &'static str {
        match self.verdict {
            Verdict::Neither => "\u{2715}",
            Verdict::Dark => "\u{25CB}",
            _ => "\u{2713}",
        }
    }
}

/// A pattern held against one rule.
struct Judged {
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
        asked: pieces(&lights.asked),
        lights: lights.lights.iter().map(|light| shown(&job, light)).collect(),
        combinations: lights.combinations.iter().map(row).collect(),
        findings: findings(&job).map(|finding| FindingPiece::new(finding, &job.href())).collect(),
        sheet: job.sheet(frame, Tab::Lights),
    };
    html(&page)
}

fn findings(job: &Opened) -> impl Iterator<Item = &Finding> {
    let of_lights =
        [Code::NoLightsUnderWay, Code::NoLightAtAnchor, Code::LightsMislead, Code::LightsNotReviewed];
    let is_light = |subject: &Subject| {
        let mut lights = job.report.lights.lights.iter();
        subject.kind == Thing::Device && lights.any(|light| light.device.as_str() == subject.id)
    };
    job.report
        .findings
        .iter()
        .filter(move |finding| of_lights.contains(&finding.code) || is_light(&finding.subject))
}

fn shown(job: &Opened, light: &LightReport) -> Light {
    let switches = match (light.is_fed, light.switches.is_empty()) {
        (false, _) => "on no circuit".to_owned(),
        (true, true) => "none: burns whenever there is power".to_owned(),
        (true, false) => light.switches.join(", "),
    };
    Light {
        device: Linked::to(job, &Subject::new(Thing::Device, &light.device)),
        kind: light.kind.words(),
        switches,
        range: WorkingPiece(light.least_range.clone()),
    }
}

fn row(combination: &Combination) -> Row {
    let or = |list: &[String], none: &str| if list.is_empty() { none.to_owned() } else { list.join(", ") };
    Row {
        on: or(&combination.on, "all off"),
        burning: or(&combination.burning, "none"),
        verdict: combination.verdict,
        under_way: judged(&combination.under_way),
        at_anchor: judged(&combination.at_anchor),
    }
}

fn judged(fit: &Fit) -> Judged {
    match fit {
        Fit::Legal { pattern, remark, source } => {
            let why = match remark {
                Some(remark) => format!("{pattern}; {remark}"),
                None => (*pattern).to_owned(),
            };
            Judged { legal: "legal", why: vec![(why, source.section.to_owned())] }
        }
        Fit::Wrong { reasons } => Judged {
            legal: "not legal",
            why: reasons.iter().map(|one| (one.text.to_owned(), one.source.section.to_owned())).collect(),
        },
        Fit::Undecided { why, source } => {
            Judged { legal: "not decided", why: vec![((*why).to_owned(), source.section.to_owned())] }
        }
    }
}
