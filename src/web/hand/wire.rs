//! The page of one wire or cable, and of each of its ends: the facts a person needs, and the next tick.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;

use super::end::{EndCard, TypedEnd};
use super::facts::{self, WireFact};
use super::find::WiresQuery;
use super::held::HeldWire;
use super::now::{JustDone, Now};
use super::quiet::Quiet;
use super::stand::{Onward, Stand};
use crate::drawing::qr;
use crate::drawing::svg::{Caption, Drawing};
use crate::drawing::wire::DrawnWire;
use crate::job::label::Labels;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::store::JobId;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::opened::Opened;
use crate::web::kit::origin::Origin;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::step::StepPiece;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::{activity, labels, wires};

#[derive(Template)]
#[template(path = "hand/wire.html")]
struct Page {
    title_block: TitleBlock,
    done: Option<JustDone>,
    wire: DrawnWire,
    facts: Vec<WireFact>,
    workings: Vec<WorkingPiece>,
    now: Option<Now>,
    /// What is said when there is nothing to tick.
    quiet: Quiet,
    next: Option<Onward>,
    list: String,
    steps: Vec<StepPiece>,
    ends: Vec<EndCard>,
    code: Option<Code>,
    happened: Vec<Happened>,
}

/// The page's own address as a QR code, to scan from a label or another screen.
#[derive(Debug)]
struct Code {
    drawing: Drawing,
    address: String,
}

/// The page of a wire or cable.
pub async fn show(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    held(&app, frame, &origin, (job, &id, None), &asked).await
}

/// The page of one end of a wire or cable.
pub async fn show_end(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path((job, id, side)): Path<(JobId, String, String)>,
    Query(asked): Query<WiresQuery>,
) -> Result<Html<String>, Error> {
    let end = match side.as_str() {
        "a" => 0,
        "b" => 1,
        _ => return Err(Error::NotFound("end")),
    };
    held(&app, frame, &origin, (job, &id, Some(end)), &asked).await
}

async fn held(
    app: &AppState,
    frame: Frame,
    origin: &Origin,
    (job, id, end): (JobId, &str, Option<usize>),
    asked: &WiresQuery,
) -> Result<Html<String>, Error> {
    let job = Opened::load(app, job).await?;
    let piece = job.pieces().get(id).ok_or(Error::NotFound("wire"))?;
    let labels = labels::usual(app, &job).await?;
    page(frame, origin, &job, &labels, HeldWire { piece, end }, asked, &TypedEnd::default())
}

/// The page of a wire, cable or end, with a refused form.
pub fn page(
    frame: Frame,
    origin: &Origin,
    job: &Opened,
    labels: &Labels,
    hand: HeldWire<'_>,
    asked: &WiresQuery,
    typed: &TypedEnd,
) -> Result<Html<String>, Error> {
    let (piece, ends) = (hand.piece, hand.piece.ends());
    let at = hand.end.and_then(|end| ends.get(end)).and_then(|end| end.at.location(&job.plan));
    let stand = Stand::at(job, &asked.at).or(at);
    let here = stand.page_of_piece(piece, hand.end);
    let bench = Bench::new(&frame, job, here.clone());
    let order = stand.order(&bench);
    let subjects = hand.subjects();
    let (own, others): (Vec<&Step>, Vec<&Step>) =
        order.iter().copied().partition(|step| subjects.contains(&step.key.subject));
    let what = if piece.cable().is_some() { "Cable" } else { "Wire" };
    let page = Page {
        done: JustDone::new(&bench, &stand, &asked.done),
        wire: wires::drawn(job, piece, [&ends[0].label, &ends[1].label]),
        facts: facts::of(&bench, labels, piece),
        workings: facts::workings(job, piece),
        now: now(&bench, &stand, hand, (&own, &order), !asked.done.is_empty()),
        quiet: Quiet::new(&bench, &stand, hand, &own),
        next: stand.onward(&bench, others.into_iter(), None),
        list: stand.list(),
        steps: job.steps.of_subject(&piece.subject()).map(|step| bench.step(step)).collect(),
        ends: cards(&bench, labels, hand, typed, &here),
        code: Code::of(origin, &Stand::at(job, "").page_of_piece(piece, hand.end), &hand.label()),
        happened: activity::ticks_of(job, &frame, |subject| subjects.contains(subject)),
        title_block: TitleBlock {
            title: format!("{what} {}", hand.label()),
            ..job.title_block(frame.clone(), Tab::Wires)
        },
    };
    html(&page)
}

/// The next step of the end in the address; without one, the first step on the run that may be done, or what is on
/// hold. An end that is done or on hold never gives its place to the other end.
fn now(
    bench: &Bench<'_>,
    stand: &Stand<'_>,
    hand: HeldWire<'_>,
    (own, order): (&[&Step], &[&Step]),
    rests: bool,
) -> Option<Now> {
    let may = |step: &&&Step| bench.shut(step).is_none();
    let step = match hand.end {
        Some(_) => own.iter().filter(may).find(|step| hand.is_held(step)),
        None => own.iter().find(may).or(own.first()),
    }?;
    Some(Now::new(bench, stand, step, onward(bench, stand, order, &step.key), rests))
}

/// Where the tick of this step leads: to the next step, or to the list if no step is open.
fn onward(bench: &Bench<'_>, stand: &Stand<'_>, order: &[&Step], ticked: &StepKey) -> String {
    let rest = order.iter().copied().filter(|step| step.key != *ticked);
    let next = stand.onward(bench, rest, Some(ticked));
    next.map_or_else(|| stand.list_after(ticked), |next| next.href)
}

/// Both ends, the one in the address first.
fn cards(
    bench: &Bench<'_>,
    labels: &Labels,
    hand: HeldWire<'_>,
    typed: &TypedEnd,
    here: &str,
) -> Vec<EndCard> {
    let mut ends: Vec<_> = hand
        .piece
        .ends()
        .into_iter()
        .enumerate()
        .map(|(number, end)| (hand.end == Some(number), end))
        .collect();
    ends.sort_by_key(|(asked_for, _)| !asked_for);
    let card = |(asked_for, end)| EndCard::new(bench, labels, hand.piece, end, asked_for, typed, here);
    ends.into_iter().map(card).collect()
}

impl Code {
    /// The QR code of the page at this path, with a label; `None` if no address can lead there.
    fn of(origin: &Origin, path: &str, label: &str) -> Option<Self> {
        let address = origin.address(path)?;
        let title = format!("Code for the page of {label}");
        let caption = Caption { title, words: format!("It holds the address {address}") };
        Some(Self { drawing: qr::draw(&address, &caption)?, address })
    }
}
