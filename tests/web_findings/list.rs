//! The list of all findings of a job: its filters, its judgments, and the fields that it leads to.

use std::collections::BTreeSet;

use driploop::job::checked::Checked;
use driploop::job::correction::{self, Correction};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::job::finding_phase::phase_of;
use driploop::job::point::Body;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::shop::demo;
use driploop::shop::role::Role::{Manager, Technician};
use driploop::trade::finding::{Code, Level};
use uuid::Uuid;

use crate::shop::{Shop, between, job};

/// A fuse too large for its wire, an interrupt rating that nobody entered, and a switch too small for its load.
fn faulty() -> JobFile {
    let mut job = job();
    let pump = job.plan.circuits[1].protection.as_mut().unwrap();
    pump.rating_a = Some(100.0.try_into().unwrap());
    job.plan.circuits[0].protection.as_mut().unwrap().rating_a = None;
    job.plan.devices[0].load = None;
    job
}

fn findings(job: &JobFile) -> (Checked, Vec<Finding>) {
    let checked = Checked::of(job.plan.clone());
    let findings = checked.report.findings.clone();
    (checked, findings)
}

fn found<'a>(findings: &'a [Finding], code: Code, id: &str) -> &'a Finding {
    let found = findings.iter().find(|finding| finding.code == code && finding.subject.id == id);
    found.unwrap_or_else(|| panic!("no {} of {id}: {findings:#?}", code.phrase()))
}

#[test]
fn a_finding_leads_to_the_field_that_corrects_it() {
    let (checked, findings) = findings(&faulty());
    let field = |code, id| correction::of(&checked, found(&findings, code, id)).unwrap();
    let leads = |kind, id: &str, field: &str| Correction {
        item: Subject::new(kind, id),
        field: Some(field.to_owned()),
    };
    assert_eq!(field(Code::FuseOverWire, "C02"), leads(SubjectKind::Circuit, "C02", "protection.rating_a"));
    assert_eq!(field(Code::InputMissing, "nav"), leads(SubjectKind::Device, "nav", "load.figure"));
}

#[test]
fn a_finding_of_the_job_leads_to_the_first_thing_that_it_names() {
    let (checked, findings) = findings(&job());
    let seats = findings.iter().find(|finding| finding.lacks == Some("the studs, screws or tabs at {}"));
    let correction = correction::of(&checked, seats.unwrap()).unwrap();
    assert!(matches!(correction.item.kind, SubjectKind::Device | SubjectKind::Point), "{correction:?}");
    assert_eq!(correction.field.as_deref(), Some("stud"));
}

#[test]
fn a_position_leads_to_its_row() {
    let mut job = job();
    let Body::SwitchPanel(panel) = &mut job.plan.points[2].body else { panic!("no panel") };
    panel.positions[1].rating_a = None;
    let (checked, findings) = findings(&job);
    let position = found(&findings, Code::InputMissing, "panel-2");
    let correction = correction::of(&checked, position).unwrap();
    assert_eq!(correction.item, Subject::new(SubjectKind::Point, "panel"));
    assert_eq!(correction.field.as_deref(), Some("positions[1].rating_a"));
}

#[test]
fn every_finding_about_a_thing_of_the_demo_boats_has_a_form_to_correct_it() {
    for file in demo::files().unwrap() {
        let (checked, findings) = findings(&file);
        for finding in findings.iter().filter(|finding| finding.subject.kind != SubjectKind::Job) {
            assert!(correction::of(&checked, finding).is_some(), "{finding:?}");
        }
    }
}

/// Missing inputs that are not entered where they are missed: they follow from a load, a size or a rating of another
/// thing, which has its own finding.
const FOLLOWS: [&str; 4] = [
    "the design current",
    "the current of its circuits",
    "the size of {}",
    "the rating of what charges through it",
];

#[test]
fn a_missing_input_of_a_demo_boat_leads_to_its_field() {
    let mut without = BTreeSet::new();
    for file in demo::files().unwrap() {
        let (checked, findings) = findings(&file);
        for finding in findings.iter().filter(|finding| finding.code == Code::InputMissing) {
            let field = correction::of(&checked, finding).and_then(|correction| correction.field);
            let follows = finding.lacks.is_some_and(|lacks| FOLLOWS.contains(&lacks));
            if field.is_none() && !follows {
                without.insert((finding.subject.kind, finding.lacks));
            }
        }
    }
    assert!(without.is_empty(), "{without:#?}");
}

#[tokio::test]
async fn filters_work_by_the_address_alone_and_count_what_they_would_show() {
    let job = faulty();
    let (_, findings) = findings(&job);
    let shop = Shop::open(std::slice::from_ref(&job), Manager).await;
    let shown = |page: &str| page.matches("<li class=\"finding ").count();

    let all = shop.page("/jobs/1/findings").await;
    assert_eq!(shown(&all), findings.len());
    let stops: Vec<_> = findings.iter().filter(|finding| finding.level == Level::Stop).collect();
    assert!(!stops.is_empty());
    assert!(all.contains(&format!("<option value=\"stop\">Stop ({})</option>", stops.len())), "{all}");

    let page = shop.page("/jobs/1/findings?level=stop").await;
    assert_eq!(shown(&page), stops.len());
    assert!(page.contains(&format!("{} of {} findings shown.", stops.len(), findings.len())));

    let one = shop.page("/jobs/1/findings?level=stop&kind=circuit&subject=C02&phase=power-up-test").await;
    let is_it = |finding: &&&Finding| {
        finding.subject == Subject::new(SubjectKind::Circuit, "C02")
            && phase_of(finding).word() == "power-up-test"
    };
    assert_eq!(shown(&one), stops.iter().filter(is_it).count());
    assert!(one.contains("href=\"/jobs/1/plan/circuits/C02#protection.rating_a\""), "{one}");
    assert!(one.contains("<option value=\"C02\" selected>"), "{one}");

    let none = shop.page("/jobs/1/findings?kind=mode&phase=").await;
    assert_eq!(shown(&none), 0);
    assert!(none.contains("No finding passes these filters."));
    assert!(none.contains("<option value=\"mode\" selected>mode (0)</option>"), "{none}");

    let form = shop.page("/jobs/1/plan/circuits/C02").await;
    assert!(form.contains("id=\"protection.rating_a\""), "the field has the address of the link");
    assert!(shop.page("/jobs/1").await.contains("href=\"/jobs/1/findings\""));
}

#[tokio::test]
async fn a_stop_shows_the_form_of_its_judgment_until_it_is_judged_and_then_by_whom() {
    let shop = Shop::open(&[faulty()], Manager).await;
    let key = "finding/fuse-over-wire/circuit/C02";
    let address = format!("/jobs/1/judgment?finding={key}");
    let before = shop.page("/jobs/1/findings?level=stop&subject=C02").await;
    assert!(before.contains(&address), "{before}");
    let event = Uuid::now_v7().to_string();
    let judgment = [
        ("event", event.as_str()),
        ("finding", key),
        ("judge", "Nils Ohmsen"),
        ("qualification", "licensed electrician"),
        ("reason", "The fuse is a bus link"),
    ];
    shop.post("/jobs/1/judgments", &judgment).await;
    let after = shop.page("/jobs/1/findings?level=stop&subject=C02").await;
    assert!(!after.contains(&address), "{after}");
    let words = between(&after, "Set aside by the judgment of ", "</p>");
    for part in ["Nils Ohmsen, licensed electrician", "The fuse is a bus link", "Recorded by Ana"] {
        assert!(words.contains(part), "{words}");
    }
}

#[tokio::test]
async fn somebody_who_may_not_judge_gets_no_link_to_it() {
    let shop = Shop::open(&[faulty()], Technician).await;
    let page = shop.page("/jobs/1/findings?level=stop").await;
    assert!(!page.contains("/judgment?finding="), "{page}");
}
