//! A circuit's measurements as a piece of a page: expected values, readings, and the form for a new reading.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::bench::Bench;
use super::undo_button::UndoButton;
use crate::job::event::Reading;
use crate::job::meter::{ExpectedReading, ReadingOutcome};
use crate::job::plan::Circuit;
use crate::job::step::StepKey;
use crate::job::value::DeviceId;
use crate::job::work::{Lack, remarks, test_of};
use crate::shop::role::Permission;
use crate::trade::quantity::Quantity;
use crate::web::kit::figure::{Figure, amount, fine};
use crate::web::kit::form::Form;
use crate::web::kit::opens::Cell;

/// A circuit's measurements.
#[derive(Debug, Template)]
#[template(path = "phases/measured.html")]
pub struct Measured {
    circuit: String,
    action: String,
    back: String,
    event: Uuid,
    expected: Vec<ExpectedRow>,
    devices: Vec<(String, String)>,
    readings: Vec<ReadingPiece>,
    /// The volts measured at the start of the circuit, on which the expected values are based.
    fed: Option<String>,
    form: Form,
    may: bool,
    /// Whether the test is open and on hold, so that no reading counts yet.
    waits: bool,
    open: bool,
}

impl HtmlSafe for Measured {}

/// The expected values at one device.
#[derive(Debug)]
struct ExpectedRow {
    at: String,
    /// The text beside the fields of the form.
    source: Option<String>,
    load: Option<String>,
    current: Option<String>,
    ohms: Option<String>,
    /// The texts of the table; each figure opens on its working.
    cells: Option<Cells>,
}

/// The expected figures at one device; each opens on its working.
#[derive(Debug)]
struct Cells {
    source: Cell,
    load: Cell,
    current: Cell,
    drop: Cell,
    limit: Cell,
    ohms: Option<Cell>,
}

/// A reading with its result.
#[derive(Debug, Clone)]
pub struct ReadingPiece {
    /// Its id.
    id: Uuid,
    /// Where it was taken.
    pub at: String,
    /// Volts at the source, as a number to calculate with.
    source_v: Option<f64>,
    /// Volts at the source.
    pub source: Option<String>,
    /// Volts at the load.
    pub load: Option<String>,
    /// Amperes.
    pub current: Option<String>,
    /// The drop between source and load.
    pub drop: Option<String>,
    /// Resistance of the negative in ohms.
    pub ohms: Option<String>,
    /// The note.
    pub note: Option<String>,
    /// Its result; `None` if there is nothing to compare it with.
    pub outcome: Option<ReadingOutcome>,
    /// Why it did not pass, as sentences.
    pub why: Vec<String>,
    /// Who took it.
    pub by: String,
    /// When.
    pub when: String,
    /// The button that undoes it, if the user may.
    undo: Option<UndoButton>,
}

impl ReadingPiece {
    /// The result as text and shape.
    pub fn mark(&self) -> OutcomeMark {
        OutcomeMark(self.outcome.unwrap_or(ReadingOutcome::Look))
    }
}

/// The result of a reading, by shape, text and weight.
#[derive(Debug, Clone, Copy, Template)]
#[template(path = "phases/outcome.html")]
pub struct OutcomeMark(pub ReadingOutcome);

impl HtmlSafe for OutcomeMark {}

impl OutcomeMark {
    fn word(self) -> &'static str {
        match self.0 {
            ReadingOutcome::Pass => "pass",
            ReadingOutcome::Look => "look",
            ReadingOutcome::Fail => "fail",
        }
    }
}

/// A refused reading form, and the circuit or step it is for.
#[derive(Debug, Default)]
pub struct TypedReading {
    circuit: Option<String>,
    step: Option<StepKey>,
    /// The form.
    pub form: Form,
}

impl TypedReading {
    /// The form of a circuit.
    pub fn of_circuit(circuit: &Circuit, form: Form) -> Self {
        Self { circuit: Some(circuit.id.to_string()), step: None, form }
    }

    /// The form of a step.
    pub fn of_step(step: StepKey, form: Form) -> Self {
        Self { circuit: None, step: Some(step), form }
    }

    /// Whether it is for this step.
    pub fn is_for_step(&self, step: &StepKey) -> bool {
        self.step.as_ref() == Some(step)
    }

    /// Whether it is for this circuit.
    pub fn is_for(&self, circuit: &Circuit) -> bool {
        self.circuit.as_deref() == Some(circuit.id.as_str())
    }
}

impl Measured {
    /// A circuit's measurements, with the form as it was filled in.
    pub fn new(bench: &Bench<'_>, circuit: &Circuit, back: String, mut form: Form, open: bool) -> Self {
        let job = bench.job;
        let name = |id: &DeviceId| {
            job.plan.device(id).map_or_else(|| id.to_string(), |device| device.name.to_string())
        };
        let expectations = bench.expected();
        let mut readings = readings(bench, circuit);
        for read in &mut readings {
            let what = format!("reading of {}", read.when);
            read.undo = UndoButton::new(bench.frame, job, (read.id, &read.by), &back, &what);
        }
        if form.typed("device").is_empty() {
            form.put("device", next_at(bench, circuit));
        }
        let fed = form.typed("source_v").trim().replace(',', ".").parse().ok();
        let fed = fed.or_else(|| readings.first().and_then(|read| read.source_v));
        let expected = circuit.devices().map(|id| {
            let at = fed.map_or_else(
                || expectations.of_circuit(circuit, Some(id)),
                |volts| expectations.fed_with(circuit, Some(id), volts),
            );
            expected(name(id), &format!("{} at {id}", circuit.id), at.as_ref())
        });
        let shut = !bench.work.may_measure(&test_of(&circuit.id));
        Self {
            circuit: circuit.id.to_string(),
            action: format!("{}/circuits/{}/readings", job.href(), circuit.id),
            back,
            event: Uuid::now_v7(),
            expected: expected.collect(),
            devices: circuit.devices().map(|id| (id.to_string(), name(id))).collect(),
            may: bench.frame.may(Permission::Tick) && !shut,
            waits: shut && bench.is_open(&test_of(&circuit.id)),
            open: open || !form.errors().is_empty() || form.flag("expect"),
            fed: fed.map(|volts| format!("{volts} V")),
            readings,
            form,
        }
    }

    /// The latest reading.
    fn last(&self) -> Option<&ReadingPiece> {
        self.readings.first()
    }

    fn earlier(&self) -> &[ReadingPiece] {
        self.readings.get(1..).unwrap_or_default()
    }

    /// The id of a field on a page that has such a form for each circuit.
    fn id(&self, field: &str) -> String {
        format!("{field}-{}", self.circuit)
    }

    /// The figures read with the circuit off, for which there is no expected value.
    fn fields_off(&self) -> [FigureField; 2] {
        let none = Some("0".to_owned());
        [
            self.field("load_off_v", "At the load", "V", none.as_ref()),
            self.field("current_off_a", "Current", "A", none.as_ref()),
        ]
    }

    fn field(
        &self,
        name: &'static str,
        label: &'static str,
        unit: &'static str,
        expected: Option<&String>,
    ) -> FigureField {
        FigureField {
            name,
            label,
            unit,
            expected: expected.cloned(),
            value: self.form.typed(name).to_owned(),
            error: self.form.error(name).map(str::to_owned),
        }
    }

    /// Whether a figure read with the circuit off was refused or must be confirmed.
    fn off_open(&self) -> bool {
        ["load_off_v", "current_off_a"].iter().any(|name| !self.form.typed(name).is_empty())
    }

    /// Whether the form asks the user to confirm the reading.
    fn asked(&self) -> bool {
        self.form.flag("asked")
    }

    /// The fields of the form, each with its expected value.
    fn fields(&self) -> [FigureField; 4] {
        let first = self.expected.first();
        [
            self.field("source_v", "At the source", "V", first.and_then(|row| row.source.as_ref())),
            self.field("load_v", "At the load", "V", first.and_then(|row| row.load.as_ref())),
            self.field("current_a", "Current", "A", first.and_then(|row| row.current.as_ref())),
            self.field(
                "return_ohm",
                "Negative, power off",
                "\u{3a9}",
                first.and_then(|row| row.ohms.as_ref()),
            ),
        ]
    }
}

/// One field of the form.
#[derive(Debug)]
struct FigureField {
    name: &'static str,
    label: &'static str,
    unit: &'static str,
    expected: Option<String>,
    value: String,
    error: Option<String>,
}

/// The device to measure next, or the first.
fn next_at(bench: &Bench<'_>, circuit: &Circuit) -> Option<DeviceId> {
    bench.work.next_at(circuit).or(circuit.devices().next()).cloned()
}

/// A circuit's readings with their results, the latest first.
pub fn readings(bench: &Bench<'_>, circuit: &Circuit) -> Vec<ReadingPiece> {
    let mut taken: Vec<&Reading> =
        bench.job.history.readings.iter().filter(|reading| reading.circuit == circuit.id).collect();
    taken.sort_by_key(|reading| std::cmp::Reverse((reading.at, reading.id)));
    taken.into_iter().map(|reading| read(bench, circuit, reading)).collect()
}

fn read(bench: &Bench<'_>, circuit: &Circuit, reading: &Reading) -> ReadingPiece {
    let (job, frame) = (bench.job, bench.frame);
    let expected = bench.expected().of_circuit(circuit, reading.device.as_ref());
    let device = reading.device.as_ref().or(expected.as_ref().map(|expected| &expected.device));
    let name = device.and_then(|id| job.plan.device(id)).map(|device| device.name.to_string());
    let verdict = bench.work.verdict(reading.id);
    ReadingPiece {
        at: name.unwrap_or_else(|| "the load".to_owned()),
        id: reading.id,
        undo: None,
        source_v: reading.source_v.map(|volts| volts.number()),
        source: reading.source_v.map(|volts| format!("{volts} V")),
        load: reading.load_v.map(|volts| format!("{volts} V")),
        current: reading.current_a.map(|amperes| format!("{amperes} A")),
        drop: reading
            .source_v
            .zip(reading.load_v)
            .map(|(source, load)| format!("{:.2} V", source.number() - load.number())),
        ohms: reading.return_ohm.map(|ohms| format!("{ohms} \u{3a9}")),
        note: reading.note.as_ref().map(ToString::to_string),
        outcome: verdict.map(|verdict| verdict.outcome),
        why: verdict.map_or_else(|| vec![Lack::NotJudged.words()], remarks),
        by: reading.by.to_string(),
        when: frame.moment(reading.at),
    }
}

fn expected(at: String, of: &str, expected: Option<&ExpectedReading>) -> ExpectedRow {
    let volts = |of: fn(&ExpectedReading) -> f64| expected.map(|expected| format!("{:.2} V", of(expected)));
    ExpectedRow {
        at,
        source: volts(|expected| expected.source_v),
        load: volts(|expected| expected.load_v),
        current: expected.and_then(|expected| amount(Some(expected.current_a), "A")),
        ohms: expected.and_then(|expected| amount(expected.return_ohm, "\u{3a9}")),
        cells: expected.map(|expected| Cells::new(of, expected)),
    }
}

impl Cells {
    fn new(of: &str, expected: &ExpectedReading) -> Self {
        let cell = |name, value, what| Cell::new(of, name, value, &expected.workings, &[what]);
        let volts = |volts| Figure::rounded(volts, 2, "V");
        Self {
            source: cell("source", volts(expected.source_v), Quantity::VoltsExpectedAtSource),
            load: cell("load", volts(expected.load_v), Quantity::VoltsExpectedAtLoad),
            current: cell("current", Figure::new(fine(expected.current_a), "A"), Quantity::CurrentExpected),
            drop: cell("drop", volts(expected.drop_v), Quantity::VoltsExpectedAtLoad),
            limit: cell("drop allowed", volts(expected.most_drop_v), Quantity::DropAllowed),
            ohms: expected
                .return_ohm
                .map(|ohms| cell("return", Figure::new(fine(ohms), "\u{3a9}"), Quantity::ReturnResistance)),
        }
    }
}
