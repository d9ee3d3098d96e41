//! The terminal on each end of a conductor, chosen by its size and by what it lands on.
//!
//! A terminal is chosen only if the plan gives what it sits on. The `stud` of a distribution point takes feeders.
//! It also takes circuits, if the point has neither a `screw` nor a tab for them. The same holds if no ring of
//! their size is made for that screw.

use std::collections::HashMap;

use uom::si::f64::Length;
use uom::si::length::millimeter;

use super::conductor::{Conductor, End, Landing, Of};
use super::finding;
use super::names;
use super::plan::{Device, Join, Plan};
use super::subject::{Subject, SubjectKind};
use super::value::{LocationId, TabMm};
use super::wiring::Conductors;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};
use crate::trade::terminal::{self, Barrel, Stud, Terminal, TerminalKind};
use crate::trade::units::mm;

/// What an end sits on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seat {
    /// A stud or a screw.
    Stud(Stud),
    /// A tab.
    Tab(TabMm),
    /// A lead of the device itself, with the kind of join.
    Lead(Join),
}

impl Seat {
    /// What an end of this conductor sits on, if the plan gives it.
    pub fn of(plan: &Plan, conductor: &Conductor, at: &Landing, size: Option<Size>) -> Option<Self> {
        match at {
            Landing::Device(id) => plan.device(id).and_then(Self::of_device),
            Landing::Point { id, .. } => {
                let point = plan.point(id)?;
                let stud = point.stud.map(Self::Stud);
                match conductor.of {
                    Of::Feeder(_) => stud,
                    Of::Circuit(_) => {
                        let tab = point.tab_mm.map(Self::Tab);
                        let screw = point.screw.filter(|screw| stud.is_none() || takes(*screw, size));
                        tab.or(screw.map(Self::Stud)).or(stud)
                    }
                }
            }
        }
    }

    fn of_device(device: &Device) -> Option<Self> {
        let stud = device.stud.map(Self::Stud);
        stud.or(device.tab_mm.map(Self::Tab)).or(device.join.map(Self::Lead))
    }

    /// The seat as a text: `#10 stud`, `6.3 mm tab`.
    pub fn words(self) -> String {
        match self {
            Self::Stud(stud) => format!("{stud} stud ({})", stud.metric()),
            Self::Tab(width) => format!("{width} mm tab"),
            Self::Lead(join) => join.words().to_owned(),
        }
    }
}

/// A terminal chosen for an end.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// What it sits on.
    pub seat: Seat,
    /// The terminal.
    pub terminal: Terminal,
    /// The heat shrink over it, if any: its diameter as supplied, and its length.
    pub tube: Option<Tube>,
}

/// A piece of heat shrink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tube {
    /// Diameter before it shrinks.
    pub diameter: Length,
    /// Length to cut.
    pub length: Length,
}

/// The terminal for an end of a conductor of this size.
///
/// # Errors
///
/// `input-missing` without the size, or without what the end sits on. `no-standard-terminal` if there is none.
/// `wire-nut` if a twist-on connector is planned, which is not a crimp.
pub fn fit(
    plan: &Plan,
    conductor: &Conductor,
    end: &End,
    size: Option<Size>,
) -> Result<Fitted, Box<RuleFinding>> {
    let missing = |what| Box::new(RuleFinding::missing(what, "the terminal there"));
    let seat = Seat::of(plan, conductor, &end.at, size)
        .ok_or_else(|| missing(say!("the stud, screw or tab at {}", names::landed(plan, &end.at))))?;
    let size = size.ok_or_else(|| {
        missing(say!("the size of {}", Subject::new(SubjectKind::Conductor, &conductor.id)))
    })?;
    let terminal = match seat {
        Seat::Stud(stud) => terminal::choose(TerminalKind::Ring, size, Some(stud))?,
        Seat::Tab(width) if terminal::is_made_for_tab(width.quantity()) => {
            terminal::choose(TerminalKind::PushOn, size, None)?
        }
        Seat::Tab(width) => return Err(no_push_on(width)),
        Seat::Lead(Join::WireNut) => return Err(Box::new(wire_nut())),
        Seat::Lead(_) => terminal::choose(TerminalKind::Butt, size, None)?,
    };
    let open = seat == Seat::Lead(Join::Butt);
    let tube = terminal.heat_shrink.filter(|_| !open);
    let tube = tube.map(|diameter| Tube { diameter, length: tube_length(&terminal) });
    Ok(Fitted { seat, terminal, tube })
}

/// Whether a ring of this size is made for a screw. An unknown size is accepted.
fn takes(screw: Stud, size: Option<Size>) -> bool {
    size.is_none_or(|size| terminal::choose(TerminalKind::Ring, size, Some(screw)).is_ok())
}

/// The length of tube that covers the barrel and a little of the insulation; for a butt connector, on both sides.
/// Common practice, no source.
fn tube_length(terminal: &Terminal) -> Length {
    let one_side = if terminal.barrel == Barrel::Lug { 50.0 } else { 30.0 };
    let sides = if terminal.kind == TerminalKind::Butt { 2.0 } else { 1.0 };
    Length::new::<millimeter>(one_side * sides)
}

fn no_push_on(width: TabMm) -> Box<RuleFinding> {
    let standard = Part::any(terminal::TABS_MM.map(mm));
    let text = say!(
        "No standard push-on terminal fits a {} tab. Use a tab of {}.",
        mm(width.quantity().get::<millimeter>()),
        standard
    );
    Box::new(RuleFinding::new(Code::NoStandardTerminal, text))
}

fn wire_nut() -> RuleFinding {
    let text = say!("A twist-on connector works loose in a boat. Crimp a sealed butt connector instead.");
    RuleFinding::new(Code::WireNut, text)
}

/// The terminals of a plan's conductors, and the findings about terminals and joins. If inputs to choose a
/// terminal are missing, a finding says so.
pub fn check(
    plan: &Plan,
    conductors: &Conductors,
    size: impl Fn(&Conductor) -> Option<Size>,
) -> (Tally, Vec<finding::Finding>) {
    let (mut tally, mut findings) = (Tally::default(), joins(plan));
    let mut unknown: Vec<Subject> = Vec::new();
    let ends = in_order_of_locations(plan, conductors);
    for (conductor, end) in &ends {
        let size = size(conductor);
        match fit(plan, conductor, end, size) {
            Ok(fitted) => tally.add(end.at.location(plan).cloned(), &fitted, size),
            Err(said) => {
                tally.not_chosen += 1;
                let at = end.at.subject();
                if Seat::of(plan, conductor, &end.at, size).is_none() && !unknown.contains(&at) {
                    unknown.push(at);
                }
                if said.code == Code::NoStandardTerminal {
                    let subject = Subject::new(SubjectKind::End, &end.id);
                    findings.push(finding::Finding::about(subject, *said));
                }
            }
        }
    }
    if !unknown.is_empty() {
        let what = say!("the studs, screws or tabs at {}", Part::all(unknown));
        let said = RuleFinding::not_checked(what, "which terminals go there");
        findings.push(finding::Finding::about(Subject::new(SubjectKind::Job, "job"), said));
    }
    (tally, findings)
}

/// Both ends of every conductor, location by location in the plan's order.
fn in_order_of_locations<'a>(plan: &Plan, conductors: &'a Conductors) -> Vec<(&'a Conductor, End)> {
    let ranks: HashMap<&LocationId, usize> =
        plan.locations.iter().map(|location| &location.id).zip(0..).collect();
    let rank = |end: &End| end.at.location(plan).and_then(|location| ranks.get(location)).copied();
    let mut ends: Vec<(&Conductor, End)> =
        conductors.all().iter().flat_map(|wire| wire.ends().map(|end| (wire, end))).collect();
    ends.sort_by_cached_key(|(_, end)| rank(end).unwrap_or(usize::MAX));
    ends
}

/// Findings about joins that do not last: twist-on joins anywhere, open joins where water reaches.
fn joins(plan: &Plan) -> Vec<finding::Finding> {
    let wrong = |device: &Device| match device.join? {
        Join::WireNut => Some(wire_nut()),
        Join::Butt if plan.location(&device.location).is_some_and(|location| location.wet) => {
            let text = say!(
                "Water reaches this join and it is not sealed. Use a sealed butt connector, or move the join to a dry \
                 location."
            );
            Some(RuleFinding::new(Code::JoinNotSealed, text))
        }
        Join::Butt | Join::SealedButt => None,
    };
    let said = plan.devices.iter().filter_map(|device| {
        Some(finding::Finding::about(Subject::new(SubjectKind::Device, &device.id), wrong(device)?))
    });
    said.collect()
}

/// The counts of everything on the conductor ends of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Terminals, location by location in the plan's order.
    pub terminals: Vec<Count>,
    /// Heat shrink, location by location in the plan's order.
    pub tubes: Vec<TubeCount>,
    /// Ends whose terminal could not be chosen.
    pub not_chosen: usize,
}

/// The number of terminals of one kind at one location.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// The location; `None` for an end that lands on nothing in the plan.
    pub location: Option<LocationId>,
    /// Kind of terminal.
    pub kind: TerminalKind,
    /// Its barrel.
    pub barrel: Barrel,
    /// The gauge, for a lug, which takes exactly one.
    pub gauge: Option<Size>,
    /// What it sits on.
    pub seat: Seat,
    /// How many.
    pub count: usize,
}

/// The amount of heat shrink of one diameter at one location.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeCount {
    /// The location.
    pub location: Option<LocationId>,
    /// Diameter before it shrinks.
    pub diameter: Length,
    /// How many pieces.
    pub pieces: usize,
    /// Total length.
    pub length: Length,
    /// The number of pieces of each length.
    pub cuts: Vec<(Length, usize)>,
}

impl Tally {
    fn add(&mut self, location: Option<LocationId>, fitted: &Fitted, size: Option<Size>) {
        let terminal = &fitted.terminal;
        let gauge = size.filter(|_| terminal.barrel == Barrel::Lug);
        let (kind, barrel, seat) = (terminal.kind, terminal.barrel, fitted.seat);
        let one = Count { location: location.clone(), kind, barrel, gauge, seat, count: 1 };
        let same = |known: &&mut Count| Count { count: 1, ..(**known).clone() } == one;
        match self.terminals.iter_mut().find(same) {
            Some(known) => known.count += 1,
            None => self.terminals.push(one),
        }
        let Some(Tube { diameter, length }) = fitted.tube else { return };
        match self.tubes.iter_mut().find(|known| known.location == location && known.diameter == diameter) {
            Some(known) => known.add(length),
            None => {
                self.tubes.push(TubeCount { location, diameter, pieces: 1, length, cuts: vec![(length, 1)] });
            }
        }
    }
}

impl TubeCount {
    fn add(&mut self, length: Length) {
        self.pieces += 1;
        self.length += length;
        match self.cuts.iter_mut().find(|(known, _)| *known == length) {
            Some((_, count)) => *count += 1,
            None => self.cuts.push((length, 1)),
        }
    }
}
