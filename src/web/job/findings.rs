//! All findings of a job in one list, with filters in the address.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;
use serde::Deserialize;

use crate::job::correction;
use crate::job::finding::Finding;
use crate::job::finding_phase::phase_of;
use crate::job::phase::Phase;
use crate::job::plan::item;
use crate::job::subject::SubjectKind;
use crate::job::work::Work;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::finding::Level;
use crate::trade::say::capital;
use crate::trade::say::say;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::{FindingPiece, LevelMark};

#[derive(Template)]
#[template(path = "job/findings.html")]
struct Page {
    title_block: TitleBlock,
    action: String,
    form: Form,
    filters: [Filter; 4],
    is_filtered: bool,
    of: usize,
    findings: Vec<FindingPiece>,
    paging: Paging,
    /// How many pass the filters.
    passing: usize,
    levels: [(LevelMark, usize, String); 3],
}

/// A filter as a list of choices, each with its number of findings.
struct Filter {
    name: &'static str,
    label: &'static str,
    choices: Vec<(String, String)>,
}

/// The filters of the address. An empty one lets everything pass.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    level: String,
    kind: String,
    subject: String,
    phase: String,
}

/// What a filter looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Facet {
    Level,
    Kind,
    Subject,
    Phase,
}

impl Facet {
    const ALL: [Self; 4] = [Self::Level, Self::Kind, Self::Subject, Self::Phase];

    fn name(self) -> &'static str {
        match self {
            Self::Level => "level",
            Self::Kind => "kind",
            Self::Subject => "subject",
            Self::Phase => "phase",
        }
    }

    fn label(self) -> &'static str {
        match self {
            Self::Level => "Level",
            Self::Kind => "Kind of thing",
            Self::Subject => "Thing",
            Self::Phase => "Phase",
        }
    }

    /// What the address has for a finding.
    fn value(self, finding: &Finding) -> String {
        match self {
            Self::Level => finding.level.word().to_owned(),
            Self::Kind => finding.subject.kind.word().to_owned(),
            Self::Subject => finding.subject.id.clone(),
            Self::Phase => phase_of(finding).word().to_owned(),
        }
    }

    /// The choice that a finding has, as a text, after a key for the order of the choices.
    fn choice(self, finding: &Finding, job: &Opened) -> (usize, String) {
        match self {
            Self::Level => (Level::Stop as usize - finding.level as usize, capital(finding.level.word())),
            Self::Kind => (finding.subject.kind as usize, capital(kind_words(finding.subject.kind))),
            Self::Subject => (0, say!("{}", finding.thing()).text(job.units)),
            Self::Phase => {
                let phase = phase_of(finding);
                (Phase::ALL.iter().position(|one| *one == phase).unwrap_or(0), phase.title().to_owned())
            }
        }
    }
}

impl Asked {
    fn of(&self, facet: Facet) -> &str {
        match facet {
            Facet::Level => &self.level,
            Facet::Kind => &self.kind,
            Facet::Subject => &self.subject,
            Facet::Phase => &self.phase,
        }
    }

    /// Whether a finding passes all filters, except one that is left out.
    fn passes(&self, finding: &Finding, without: Option<Facet>) -> bool {
        Facet::ALL.into_iter().filter(|facet| Some(*facet) != without).all(|facet| {
            let asked = self.of(facet);
            asked.is_empty() || asked == facet.value(finding)
        })
    }

    /// The choices of one filter, with the number of findings that each would show beside the other filters.
    fn filter(&self, facet: Facet, job: &Opened) -> Filter {
        let mut counts: BTreeMap<(usize, String), (String, usize)> = BTreeMap::new();
        let passing: Vec<&Finding> =
            job.findings().iter().filter(|finding| self.passes(finding, Some(facet))).collect();
        for finding in &passing {
            let (order, words) = facet.choice(finding, job);
            counts.entry((order, facet.value(finding))).or_insert((words, 0)).1 += 1;
        }
        let mut choices = vec![(String::new(), format!("All ({})", passing.len()))];
        let asked = self.of(facet);
        if !asked.is_empty() && !counts.keys().any(|(_, value)| value == asked) {
            choices.push((asked.to_owned(), format!("{asked} (0)")));
        }
        choices.extend(
            counts.into_iter().map(|((_, value), (words, count))| (value, format!("{words} ({count})"))),
        );
        Filter { name: facet.name(), label: facet.label(), choices }
    }
}

impl Page {
    fn count(&self) -> String {
        let shown = self.passing;
        match (self.of, self.is_filtered) {
            (0, _) => "No findings. A check covers only what was entered.".to_owned(),
            (of, true) => format!("{shown} of {of} findings shown."),
            (1, false) => "1 finding.".to_owned(),
            (of, false) => format!("{of} findings, the most serious first."),
        }
    }
}

/// All findings of a job that pass the filters.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<Asked>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let action = format!("{}{}", job.href(), Tab::Findings.path());
    let work = job.work();
    let passing: Vec<&Finding> =
        job.findings().iter().filter(|finding| asked.passes(finding, None)).collect();
    let (shown, paging) = page_of(&passing, &frame);
    let page = Page {
        findings: shown.iter().map(|finding| piece(&frame, &job, &work, finding)).collect(),
        paging,
        passing: passing.len(),
        form: Form::filled(Facet::ALL.map(|facet| (facet.name(), asked.of(facet)))),
        filters: Facet::ALL.map(|facet| asked.filter(facet, &job)),
        is_filtered: Facet::ALL.iter().any(|facet| !asked.of(*facet).is_empty()),
        of: job.findings().len(),
        levels: [Level::Stop, Level::Fix, Level::Note]
            .map(|level| (LevelMark(level), job.count(level), format!("{action}?level={}", level.word()))),
        action,
        title_block: job.title_block(frame.clone(), Tab::Findings),
    };
    html(&page)
}

/// A finding with the link to the field that corrects it, and its judgment or the link to record one.
fn piece(frame: &Frame, job: &Opened, work: &Work<'_>, finding: &Finding) -> FindingPiece {
    let mut piece = FindingPiece::new(finding, &job.href(), job.units);
    if let Some(correction) = correction::of(job, finding).filter(|_| frame.may(Permission::Plan)) {
        let (kind, id) = (correction.item.kind, &correction.item.id);
        let form = match kind {
            SubjectKind::Job => format!("{}/intake", job.href()),
            kind => format!("{}/plan/{}/{id}", job.href(), item::list_of(kind.word())),
        };
        let field = correction.field.map_or_else(String::new, |field| format!("#{field}"));
        piece = piece.edit(format!("{form}{field}"), format!("Edit this {}", kind_words(kind)));
    }
    if finding.level != Level::Stop {
        return piece;
    }
    match work.judgment(finding) {
        Some(judgment) => piece.judged(format!(
            "Set aside by the judgment of {}, {}: \u{201c}{}\u{201d}. Recorded by {}, {}.",
            judgment.judge,
            judgment.qualification,
            judgment.reason,
            judgment.by,
            frame.moment(judgment.at)
        )),
        None if frame.may(Permission::ReleaseStop) => {
            piece.judge(format!("{}/judgment?finding={}", job.href(), finding.key()))
        }
        None => piece,
    }
}

/// A kind of thing as pages name it.
fn kind_words(kind: SubjectKind) -> &'static str {
    match kind {
        SubjectKind::Point => "distribution point",
        SubjectKind::Position => "switch position",
        SubjectKind::End => "wire end",
        SubjectKind::Removed => "removed equipment",
        kind => kind.word(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::job::intake_form;

    #[test]
    fn every_field_of_the_job_that_corrects_a_finding_is_in_its_form() {
        let form = intake_form::declared();
        for (kind, field) in correction::fields() {
            assert!(kind != SubjectKind::Job || form.label_of(&field).is_some(), "{field}");
        }
    }
}
