//! A feeder's page: its ends, its figures, the circuits it feeds, and its history.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::figured::Figured;
use super::figures;
use super::show::{Neighbors, PlanFact, ways};
use super::story::{self, PhaseSteps};
use crate::job::finding::Finding;
use crate::job::plan::{Circuit, Feeder};
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::shop::role::Permission;
use crate::store::{JobId, log};
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::wire_row::{self, WireRow};

#[derive(Template)]
#[template(path = "circuit/feeder.html")]
struct Page {
    title_block: TitleBlock,
    edit: Option<String>,
    neighbors: Neighbors,
    facts: Vec<PlanFact>,
    figures: Vec<Figured>,
    wire: Option<WireRow>,
    findings: Vec<FindingPiece>,
    circuits: Vec<(String, String)>,
    chapters: Vec<PhaseSteps>,
    happened: Vec<Happened>,
}

/// How many log lines the page searches.
const LOOKS_BACK: u32 = 2000;

/// The page of a feeder.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, String)>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let feeder =
        job.plan.feeders.iter().find(|feeder| feeder.id.as_str() == id).ok_or(Error::NotFound("feeder"))?;
    let lines = log::of_job(&mut *app.store().read().await?, job.id, None, LOOKS_BACK).await?;
    let bench = Bench::new(&frame, &job, format!("{}/feeders/{id}", job.href()));
    let report = job.report.feeders.get(&feeder.id);
    let findings = findings(&job, feeder);
    let page = Page {
        edit: frame.may(Permission::Plan).then(|| format!("{}/plan/feeders/{id}", job.href())),
        neighbors: neighbors(&job, feeder),
        facts: facts(&job, feeder),
        wire: job.conductors.of_feeder(&feeder.id).map(|conductor| wire_row::row(&bench, conductor)),
        circuits: report.map(|report| circuits(&job, &report.circuits)).unwrap_or_default(),
        chapters: story::chapters(&bench, steps(&job, feeder)),
        happened: story::about(&lines, &frame, SubjectKind::Feeder, &id),
        findings: findings.iter().map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
        figures: report
            .map(|report| figures::of_feeder(feeder.polarity, report, findings, frame.length_unit()))
            .unwrap_or_default(),
        title_block: TitleBlock {
            title: format!("Feeder {}", job.plan.feeder_name_and_label(feeder)),
            ..job.title_block(frame.clone(), Tab::Feeders)
        },
    };
    html(&page)
}

fn findings<'j>(job: &'j Opened, feeder: &Feeder) -> Vec<&'j Finding> {
    let own = |subject: &Subject| {
        matches!(subject.kind, SubjectKind::Feeder | SubjectKind::Conductor)
            && subject.id == feeder.id.as_str()
    };
    job.findings().iter().filter(|finding| own(&finding.subject)).collect()
}

/// The steps of the feeder's one conductor, its ends and its tie-down.
fn steps<'j>(job: &'j Opened, feeder: &Feeder) -> impl Iterator<Item = &'j Step> {
    let id = feeder.id.to_string();
    job.steps.all().iter().filter(move |step| {
        let subject = &step.key.subject;
        match subject.kind {
            SubjectKind::Feeder | SubjectKind::Conductor => subject.id == id,
            SubjectKind::End => subject.id.strip_suffix(['a', 'b']) == Some(id.as_str()),
            _ => false,
        }
    })
}

fn circuits(job: &Opened, ids: &[crate::job::value::CircuitId]) -> Vec<(String, String)> {
    let name = |id| job.plan.circuit(id).map_or_else(|| id.to_string(), Circuit::name_and_label);
    ids.iter().map(|id| (format!("{}/circuits/{id}", job.href()), name(id))).collect()
}

fn neighbors(job: &Opened, feeder: &Feeder) -> Neighbors {
    let feeders = &job.plan.feeders;
    let at = feeders.iter().position(|other| other.id == feeder.id);
    let link = |index: Option<usize>| {
        let other = feeders.get(index?)?;
        Some((format!("{}/feeders/{}", job.href(), other.id), job.plan.feeder_name_and_label(other)))
    };
    Neighbors { before: link(at.and_then(|at| at.checked_sub(1))), after: link(at.map(|at| at + 1)) }
}

fn facts(job: &Opened, feeder: &Feeder) -> Vec<PlanFact> {
    let point = |id: &PointId| {
        let name = job.plan.point(id).map_or(id.as_str(), |point| point.called());
        vec![(name.to_owned(), Some(format!("{}/plan/points#{id}", job.href())))]
    };
    let plain = |text: String| vec![(text, None)];
    let mut facts = vec![
        PlanFact { name: "From", said: point(&feeder.from) },
        PlanFact { name: "To", said: point(&feeder.to) },
        PlanFact { name: "Side", said: plain(feeder.polarity.word().to_owned()) },
        PlanFact { name: "Insulation", said: plain(format!("{} \u{b0}C", feeder.insulation_c)) },
    ];
    facts.extend(ways(job, &Subject::new(SubjectKind::Feeder, &feeder.id)));
    if feeder.jacketed {
        facts.push(PlanFact { name: "Covered", said: plain("in a jacket".to_owned()) });
    }
    if feeder.cranking {
        facts.push(PlanFact { name: "Feeds", said: plain("a cranking motor".to_owned()) });
    }
    let protected_by =
        job.report.feeders.get(&feeder.id).and_then(|report| report.conductor.protected_by.as_ref());
    facts.extend(protected_by.map(|id| PlanFact::protected_by(job, id)));
    facts
}
