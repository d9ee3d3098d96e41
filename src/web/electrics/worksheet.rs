//! The load worksheet: for each bank and mode every load, and what they add up to; as a page and as a list.

use std::collections::{BTreeMap, BTreeSet};

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{Html, Response};

use crate::job::subject::{Subject, SubjectKind};
use crate::job::worksheet::{BankSheet, FeederLoad, Figured, LoadLine, ModeSheet, Worksheet, worksheet};
use crate::paper::csv;
use crate::store::JobId;
use crate::trade::working::figure;
use crate::web::kit::download::{Kind, download};
use crate::web::kit::figure::{Figure, rounded};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::linked::Linked;

const NOT_KNOWN: &str = "not known";

#[derive(Template)]
#[template(path = "electrics/worksheet.html")]
struct Page {
    title_block: TitleBlock,
    banks: Vec<Bank>,
    without_bank: Vec<Linked>,
    csv: String,
    paging: Paging,
}

/// A bank as the page shows it.
struct Bank {
    number: usize,
    name: String,
    facts: Vec<(&'static str, String)>,
    feeders: Vec<(Linked, Sentence)>,
    modes: Vec<Mode>,
}

/// A mode of a bank.
struct Mode {
    number: usize,
    name: String,
    hours: String,
    unknown: usize,
    continuous: Sentence,
    short_time: Sentence,
    charge: Sentence,
    design: Sentence,
    to_minimum: Sentence,
    /// Its loads that the page shows, and how many there are.
    rows: Vec<Row>,
    loads: usize,
}

/// One load.
struct Row {
    device: Linked,
    circuit: Linked,
    kind: &'static str,
    current: Sentence,
    share: String,
    hours: String,
    charge: Sentence,
}

/// The worksheet of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let sheet = worksheet(&job.plan, &job.report);
    let (rows, of_rows) = Rows::of(&sheet, &frame);
    let (without_bank, of_others) = page_of(&sheet.without_bank, &frame);
    let page = Page {
        banks: rows.banks(&job, &sheet),
        paging: of_rows.longer(of_others),
        without_bank: without_bank
            .iter()
            .map(|id| Linked::to(&job, &Subject::new(SubjectKind::Circuit, id)))
            .collect(),
        csv: format!("{}/worksheet.csv", job.href()),
        title_block: job.title_block(frame, Tab::Worksheet),
    };
    html(&page)
}

/// The rows that the page shows: modes, feeders and loads, by their positions.
struct Rows {
    modes: BTreeSet<(usize, usize)>,
    feeders: BTreeSet<(usize, usize)>,
    loads: BTreeMap<(usize, usize), Vec<usize>>,
}

impl Rows {
    fn of(sheet: &Worksheet, frame: &Frame) -> (Self, Paging) {
        let banks = || sheet.banks.iter().enumerate();
        let each = |bank: usize, many: usize| (0..many).map(move |at| (bank, at));
        let modes: Vec<_> = banks().flat_map(|(at, bank)| each(at, bank.modes.len())).collect();
        let feeders: Vec<_> = banks().flat_map(|(at, bank)| each(at, bank.feeders.len())).collect();
        let loads = modes.iter().flat_map(|&(bank, mode)| {
            let own = sheet.banks.get(bank).and_then(|bank| bank.modes.get(mode));
            (0..own.map_or(0, |mode| mode.loads.len())).map(move |load| (bank, mode, load))
        });
        let loads: Vec<(usize, usize, usize)> = loads.collect();
        let (modes, of_modes) = page_of(&modes, frame);
        let (feeders, of_feeders) = page_of(&feeders, frame);
        let (shown, of_loads) = page_of(&loads, frame);
        let mut loads: BTreeMap<_, Vec<usize>> = BTreeMap::new();
        for &(bank, mode, load) in shown {
            loads.entry((bank, mode)).or_default().push(load);
        }
        let rows = Self {
            modes: modes.iter().copied().collect(),
            feeders: feeders.iter().copied().collect(),
            loads,
        };
        (rows, of_loads.longer(of_modes).longer(of_feeders))
    }

    /// The banks that have any of them.
    fn banks(&self, job: &Opened, sheet: &Worksheet) -> Vec<Bank> {
        let all = self.modes.iter().chain(&self.feeders).chain(self.loads.keys());
        let banks: BTreeSet<usize> = all.map(|(bank, _)| *bank).collect();
        banks.into_iter().filter_map(|at| Some(self.bank(job, sheet.banks.get(at)?, at))).collect()
    }

    fn bank(&self, job: &Opened, bank: &BankSheet, at: usize) -> Bank {
        let feeders = bank.feeders.iter().enumerate();
        let feeders = feeders.filter(|(feeder, _)| self.feeders.contains(&(at, *feeder)));
        let modes = bank.modes.iter().enumerate();
        let modes = modes
            .filter(|(mode, _)| self.modes.contains(&(at, *mode)) || self.loads.contains_key(&(at, *mode)));
        let loads = |mode| self.loads.get(&(at, mode)).map(Vec::as_slice).unwrap_or_default();
        Bank {
            number: at + 1,
            name: bank.name.clone(),
            facts: vec![
                ("Nominal voltage", format!("{} V", figure(bank.nominal_v))),
                (
                    "Capacity, 20 h",
                    bank.capacity_ah.map_or_else(|| NOT_KNOWN.to_owned(), |ah| rounded(ah, 0, "Ah")),
                ),
            ],
            feeders: feeders.map(|(_, feeder)| feeder_row(job, feeder)).collect(),
            modes: modes
                .map(|(mode, own)| mode_shown(job, bank, own, (at + 1, mode + 1), loads(mode)))
                .collect(),
        }
    }
}

fn feeder_row(job: &Opened, own: &FeederLoad) -> (Linked, Sentence) {
    let feeder = Linked::to(job, &Subject::new(SubjectKind::Feeder, &own.feeder));
    let design = match &own.design {
        Some(design) => Sentence::default().figure(cell(&feeder.id, "design load", design, 1, "A")),
        None => "Not known: a load on it has no current".into(),
    };
    (feeder, design)
}

fn cell(of: &str, name: &str, own: &Figured, decimals: usize, unit: &'static str) -> Cell {
    Cell::by(of, name, Figure::rounded(own.value, decimals, unit), [own.working.clone()])
}

fn mode_shown(
    job: &Opened,
    bank: &BankSheet,
    mode: &ModeSheet,
    (bank_number, number): (usize, usize),
    shown: &[usize],
) -> Mode {
    let of = format!("Bank {bank_number}, {}", mode.name);
    let sum = |name: &str, own: Option<&Figured>, loads: usize, unknown: usize, unit| match own {
        Some(own) if unknown == 0 => Sentence::default().figure(cell(&of, name, own, 1, unit)),
        Some(own) if unknown < loads => Sentence::from("at least ").figure(cell(&of, name, own, 1, unit)),
        Some(_) => NOT_KNOWN.into(),
        None => "none".into(),
    };
    let of_kind = |short: bool| {
        let loads = || mode.loads.iter().filter(move |line| line.is_short_time == short);
        (loads().count(), loads().filter(|line| line.current.is_none()).count())
    };
    let any = |own| Some(own).filter(|_| !mode.loads.is_empty());
    let (all, (steady, steady_unknown), (short, short_unknown)) =
        (mode.loads.len(), of_kind(false), of_kind(true));
    Mode {
        number,
        name: mode.name.clone(),
        hours: if mode.mode.is_some() {
            format!("{} h a day", figure(mode.hours))
        } else {
            "for one hour".to_owned()
        },
        unknown: mode.unknown,
        continuous: sum("continuous", mode.continuous.as_ref(), steady, steady_unknown, "A"),
        short_time: sum("short time", mode.short_time.as_ref(), short, short_unknown, "A"),
        charge: sum("charge", any(&mode.charge), all, mode.unknown, "Ah"),
        design: sum("design load", any(&mode.design), all, mode.unknown, "A"),
        to_minimum: to_minimum(&of, bank, mode),
        loads: mode.loads.len(),
        rows: shown
            .iter()
            .filter_map(|at| Some(row(job, &format!("{of}, load {}", at + 1), mode.loads.get(*at)?)))
            .collect(),
    }
}

/// How long the bank lasts, or why that cannot be said.
fn to_minimum(of: &str, bank: &BankSheet, mode: &ModeSheet) -> Sentence {
    match &mode.to_minimum {
        _ if mode.is_unknown() => "Not known: no load has a current".into(),
        Some(time) if mode.unknown > 0 => {
            Sentence::from("at most ").figure(cell(of, "to minimum", time, 1, "h"))
        }
        Some(time) => Sentence::default().figure(cell(of, "to minimum", time, 1, "h")),
        None if bank.capacity_ah.is_none() => "Not known: the bank’s capacity is not entered".into(),
        None if !bank.has_chemistry => "Not known: the bank’s chemistry is not entered".into(),
        None => "No load draws from it".into(),
    }
}

fn row(job: &Opened, of: &str, line: &LoadLine) -> Row {
    let known = |name: &str, own: Option<&Figured>, decimals, unit| match own {
        Some(own) => Sentence::default().figure(cell(of, name, own, decimals, unit)),
        None => NOT_KNOWN.into(),
    };
    Row {
        device: Linked::to(job, &Subject::new(SubjectKind::Device, &line.device)),
        circuit: Linked::to(job, &Subject::new(SubjectKind::Circuit, &line.circuit)),
        kind: kind(line),
        current: known("current", line.current.as_ref(), 2, "A"),
        share: format!("{} %", figure(line.share * 100.0)),
        hours: format!("{} h", figure(line.hours)),
        charge: known("charge", line.charge.as_ref(), 2, "Ah"),
    }
}

fn kind(line: &LoadLine) -> &'static str {
    if line.is_short_time { "short time" } else { "continuous" }
}

/// The columns of the list.
const COLUMNS: [&str; 10] =
    ["bank", "mode", "mode_h", "device", "circuit", "kind", "current_a", "share_pct", "hours_h", "charge_ah"];

/// The worksheet as a list, one load per line.
pub async fn file(State(app): State<AppState>, Path(job): Path<JobId>) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let sheet = worksheet(&job.plan, &job.report);
    let head = COLUMNS.map(str::to_owned);
    let lines = sheet.banks.iter().flat_map(|bank| {
        bank.modes.iter().flat_map(move |mode| mode.loads.iter().map(move |line| (bank, mode, line)))
    });
    let rows = lines.map(|(bank, mode, line)| listed(&job, bank, mode, line));
    let text = csv::table([head].into_iter().chain(rows)).map_err(Error::internal)?;
    Ok(download(Kind::Csv, job.plan.boat.name.as_str(), job.id, "worksheet", text))
}

fn listed(job: &Opened, bank: &BankSheet, mode: &ModeSheet, line: &LoadLine) -> [String; COLUMNS.len()] {
    let known = |own: Option<&Figured>| own.map_or_else(|| NOT_KNOWN.to_owned(), |own| figure(own.value));
    [
        bank.name.clone(),
        mode.name.clone(),
        figure(mode.hours),
        Linked::to(job, &Subject::new(SubjectKind::Device, &line.device)).to_string(),
        Linked::to(job, &Subject::new(SubjectKind::Circuit, &line.circuit)).to_string(),
        kind(line).to_owned(),
        known(line.current.as_ref()),
        figure(line.share * 100.0),
        figure(line.hours),
        known(line.charge.as_ref()),
    ]
}
