//! The page of one wire, and of each of its ends: what the hand that holds it has to know, and the next tick.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;

use super::end::{EndCard, TypedEnd};
use super::find::WiresQuery;
use super::now::{JustDone, Now};
use super::stand::{Onward, Stand};
use crate::drawing::qr;
use crate::drawing::svg::{Caption, Drawing};
use crate::drawing::wire::Wire;
use crate::job::label::Labels;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::subject::{Kind, Subject};
use crate::job::value::RacewayId;
use crate::job::wiring::{Conductor, End, Of};
use crate::store::JobId;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Sentence;
use crate::web::kit::origin::Origin;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::step::StepPiece;
use crate::web::parts::{activity, labels, wires};

#[derive(Template)]
#[template(path = "hand/wire.html")]
struct Page {
    title_block: TitleBlock,
    done: Option<JustDone>,
    wire: Wire,
    facts: Vec<WireFact>,
    now: Option<Now>,
    next: Option<Onward>,
    list: String,
    steps: Vec<StepPiece>,
    ends: Vec<EndCard>,
    code: Option<Code>,
    happened: Vec<Happened>,
}

/// One thing to know of the wire.
#[derive(Debug)]
pub(super) struct WireFact {
    pub(super) name: &'static str,
    pub(super) said: Sentence,
    pub(super) href: Option<String>,
}

/// The page's own address as a code to be read from a label or another screen.
#[derive(Debug)]
pub(super) struct Code {
    pub(super) drawing: Drawing,
    pub(super) address: String,
}

/// The page of a wire.
pub async fn show(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, wire)): Path<(JobId, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let wire = job.conductors.get(&wire).ok_or(Error::NotFound("wire"))?;
    let labels = labels::usual(&app, &job).await?;
    page(frame, &origin, &job, &labels, HeldWire { wire, end: None }, &asked, &TypedEnd::default())
}

/// The page of one end of a wire.
pub async fn show_end(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, wire, side)): Path<(JobId, String, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let (wire, end) = job.conductors.end(&format!("{wire}{side}")).ok_or(Error::NotFound("end"))?;
    let labels = labels::usual(&app, &job).await?;
    page(frame, &origin, &job, &labels, HeldWire { wire, end: Some(end) }, &asked, &TypedEnd::default())
}

/// What somebody holds: a wire, or one end of it.
pub struct HeldWire<'a> {
    /// The wire.
    pub wire: &'a Conductor,
    /// The end, where it is one that was asked for.
    pub end: Option<End>,
}

impl HeldWire<'_> {
    fn label(&self) -> &str {
        self.end.as_ref().map_or(self.wire.id.as_str(), |end| &end.id)
    }

    fn subjects(&self) -> Vec<Subject> {
        let ends = self.wire.ends().map(|end| Subject::new(Kind::End, end.id));
        std::iter::once(Subject::new(Kind::Conductor, &self.wire.id)).chain(ends).collect()
    }

    /// Whether a step is done to the very end that was asked for.
    fn is_held(&self, step: &Step) -> bool {
        self.end
            .as_ref()
            .is_some_and(|end| step.key.subject.id == end.id && step.key.subject.kind == Kind::End)
    }
}

/// The page of what somebody holds, with a form as it was refused.
pub fn page(
    frame: Frame,
    origin: &Origin,
    job: &Opened,
    labels: &Labels,
    hand: HeldWire<'_>,
    asked: &WiresQuery,
    typed: &TypedEnd,
) -> Result<Html<String>, Error> {
    let stand = Stand::at(job, &asked.at).or(hand.end.as_ref().and_then(|end| end.at.location(&job.plan)));
    let here = stand.page_of_wire(hand.wire, hand.end.as_ref());
    let bench = Bench::new(&frame, job, here.clone());
    let order = stand.order(&bench);
    let subjects = hand.subjects();
    let (own, others): (Vec<&Step>, Vec<&Step>) =
        order.iter().copied().partition(|step| subjects.contains(&step.key.subject));
    let page = Page {
        done: JustDone::new(&bench, &stand, &asked.done),
        wire: drawn(job, hand.wire),
        facts: facts(&bench, labels, hand.wire),
        now: now(&bench, &stand, &hand, &own, &order),
        next: stand.onward(&bench, others.into_iter(), None),
        list: stand.list(),
        steps: pieces(&bench, &subjects[0]),
        ends: cards(&bench, &hand, typed, &here),
        code: Code::of(origin, &Stand::at(job, "").page_of_wire(hand.wire, hand.end.as_ref()), hand.label()),
        happened: activity::ticks_of(job, &frame, |subject| subjects.contains(subject)),
        title_block: titled(job, frame.clone(), hand.label()),
    };
    html(&page)
}

fn titled(job: &Opened, frame: Frame, label: &str) -> TitleBlock {
    TitleBlock { title: format!("Wire {label}"), ..job.title_block(frame, Tab::Wires) }
}

/// The wire's next step: at the end that was asked for, or else the first that may be done.
fn now(
    bench: &Bench<'_>,
    stand: &Stand<'_>,
    hand: &HeldWire<'_>,
    own: &[&Step],
    order: &[&Step],
) -> Option<Now> {
    let may = |step: &&&Step| bench.shut(step).is_none();
    let held = own.iter().filter(may).find(|step| hand.is_held(step));
    let step = held.or_else(|| own.iter().find(may)).or(own.first())?;
    Some(Now::new(bench, stand, step, onward(bench, stand, order, &step.key)))
}

/// Where a tick of this step leads: to the next, or to the list where nothing is left to do.
pub(super) fn onward(bench: &Bench<'_>, stand: &Stand<'_>, order: &[&Step], ticked: &StepKey) -> String {
    let rest = order.iter().copied().filter(|step| step.key != *ticked);
    let next = stand.onward(bench, rest, Some(ticked));
    next.map_or_else(|| stand.list_after(ticked), |next| next.href)
}

fn pieces(bench: &Bench<'_>, subject: &Subject) -> Vec<StepPiece> {
    bench.job.steps.of_subject(subject).map(|step| bench.step(step)).collect()
}

fn drawn(job: &Opened, wire: &Conductor) -> Wire {
    let [near, far] = wire.ends().map(|end| end.id);
    wires::drawn(job, wire, [&near, &far])
}

fn facts(bench: &Bench<'_>, labels: &Labels, wire: &Conductor) -> Vec<WireFact> {
    let (job, plan) = (bench.job, &bench.job.plan);
    let plain = |name, said: Sentence| WireFact { name, said, href: None };
    let printed = wire.ends().map(|end| labels.get(&end.id).map(|label| label.text.clone()));
    let [near, far] = printed.map(|text| text.map_or_else(String::new, |text| format!(", labeled {text}")));
    vec![
        plain("Wire", wires::words(job, wire).into()),
        plain("Cut to", wires::cut(job, bench.frame.length_unit(), wire)),
        plain("From", (wires::landed(plan, &wire.from) + &near).into()),
        plain("To", (wires::landed(plan, &wire.to) + &far).into()),
        through(job, wire),
        plain("Its part", format!("{}, {}", wire.role.words(), wire.polarity.word()).into()),
        part_of(job, wire),
    ]
}

/// The raceways that it is pulled through, in order from its beginning.
fn through(job: &Opened, wire: &Conductor) -> WireFact {
    let said = match job.report.routes.run_of(&wire.id) {
        None => "no raceway: it stays where it is".to_owned(),
        Some(run) if run.raceways.is_empty() => run.why.clone(),
        Some(run) => raceways(job, &run.raceways),
    };
    WireFact { name: "Through", said: said.into(), href: Some(format!("{}/routes", job.href())) }
}

/// Raceways by their names, in order.
pub(super) fn raceways(job: &Opened, ids: &[RacewayId]) -> String {
    let names = ids.iter().map(|id| {
        let name = job.plan.raceway(id).and_then(|raceway| raceway.name.as_ref());
        name.map_or_else(|| id.to_string(), ToString::to_string)
    });
    names.collect::<Vec<_>>().join(", then ")
}

fn part_of(job: &Opened, wire: &Conductor) -> WireFact {
    let (said, path) = match &wire.of {
        Of::Circuit(id) => {
            let name = job.plan.circuit(id).map_or("", |circuit| circuit.name.as_str());
            (format!("{id} {name}"), format!("/circuits/{id}"))
        }
        Of::Feeder(id) => (format!("Feeder {id}"), format!("/feeders/{id}")),
    };
    WireFact { name: "Of", said: said.into(), href: Some(format!("{}{path}", job.href())) }
}

/// Both ends, the one that was asked for first.
fn cards(bench: &Bench<'_>, hand: &HeldWire<'_>, typed: &TypedEnd, here: &str) -> Vec<EndCard> {
    let mut ends = hand.wire.ends().map(|end| (hand.end.as_ref() == Some(&end), end));
    ends.sort_by_key(|(asked_for, _)| !asked_for);
    ends.map(|(asked_for, end)| EndCard::new(bench, hand.wire, end, asked_for, typed, here)).into()
}

impl Code {
    /// The code of a page of this path, by what it is labeled; `None` where no address leads there.
    pub(super) fn of(origin: &Origin, path: &str, label: &str) -> Option<Self> {
        let address = origin.address(path)?;
        let title = format!("Code for the page of {label}");
        let caption = Caption { title, words: format!("It holds the address {address}") };
        Some(Self { drawing: qr::draw(&address, &caption)?, address })
    }
}
