//! What is fitted to each end that is made in the boat.
//!
//! An end of a wire gets a terminal, chosen by the size of the wire and by what it lands on. An end of a cable that
//! is cut to length gets the connector that the plan gives for it. The ends of a cable of a made length are not made
//! in the boat.
//!
//! A terminal is chosen only if the plan gives what it sits on. The `stud` of a distribution point takes feeders.
//! It also takes circuits, if the point has neither a `screw` nor a tab for them. The same holds if no ring of
//! their size is made for that screw.

use foldhash::HashMap;
use uom::si::f64::Length;
use uom::si::length::millimeter;

use super::conductor::{Conductor, Landing, Of};
use super::finding;
use super::names;
use super::plan::{Device, Join, Plan};
use super::run::cable::DeviceCable;
use super::run::{At, Piece, PieceEnd, Pieces};
use super::subject::{Subject, SubjectKind};
use super::value::{LocationId, Name, TabMm};
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

/// What is fitted to an end.
#[derive(Debug, Clone, PartialEq)]
pub enum EndPart {
    /// A terminal on a wire.
    Terminal(Fitted),
    /// A connector on a cable, by its type.
    Connector(Name),
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

/// What is fitted to an end of a piece; `None` if the piece is supplied with its ends. `size` is that of a wire.
///
/// # Errors
///
/// For a wire those of [`terminal`]. For a cable `input-missing` if the plan gives no connector there.
pub fn fit(
    plan: &Plan,
    piece: Piece<'_>,
    end: &PieceEnd,
    size: Option<Size>,
) -> Option<Result<EndPart, Box<RuleFinding>>> {
    match (piece, &end.at) {
        (Piece::Wire(wire), At::Landing(at)) => Some(terminal(plan, wire, at, size).map(EndPart::Terminal)),
        (Piece::Cable(own), _) if !piece.is_made_up() => {
            let missing = || {
                let connector = say!("the connector at {}", names::end_of_cable(own, &end.id));
                Box::new(RuleFinding::missing(connector, "what is fitted there"))
            };
            Some(connector(own, end).cloned().map(EndPart::Connector).ok_or_else(missing))
        }
        _ => None,
    }
}

fn connector<'a>(own: DeviceCable<'a>, end: &PieceEnd) -> Option<&'a Name> {
    let side = Piece::Cable(own).ends().iter().position(|known| known.id == end.id)?;
    own.connector(side)
}

fn of_end(end: &PieceEnd) -> Subject {
    Subject::new(SubjectKind::End, &end.id)
}

/// The terminal for the end of a wire of this size that lands here.
///
/// # Errors
///
/// `input-missing` without the size, or without what the end sits on. `no-standard-terminal` if there is none.
/// `wire-nut` if a twist-on connector is planned, which is not a crimp.
pub fn terminal(
    plan: &Plan,
    conductor: &Conductor,
    at: &Landing,
    size: Option<Size>,
) -> Result<Fitted, Box<RuleFinding>> {
    let missing = |what| Box::new(RuleFinding::missing(what, "the terminal there"));
    let seat = Seat::of(plan, conductor, at, size)
        .ok_or_else(|| missing(say!("the stud, screw or tab at {}", names::landed(plan, at))))?;
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

/// The parts on the ends of a plan's pieces, and the findings about terminals and joins. If inputs to choose a part
/// are missing, a finding says so.
pub fn check(
    plan: &Plan,
    conductors: &Conductors,
    size: impl Fn(&Conductor) -> Option<Size>,
) -> (Tally, Vec<finding::Finding>) {
    let (mut tally, mut findings) = (Tally::default(), joins(plan));
    let mut unknown = Unknown::default();
    for (piece, end) in &in_order_of_locations(plan, conductors) {
        let size = match piece {
            Piece::Wire(wire) => size(wire),
            Piece::Cable(_) => None,
        };
        let location = end.at.location(plan).cloned();
        match fit(plan, *piece, end, size) {
            None => {}
            Some(Ok(EndPart::Terminal(fitted))) => tally.add(location, &fitted, size),
            Some(Ok(EndPart::Connector(name))) => tally.add_connector(location, name),
            Some(Err(said)) => {
                tally.not_chosen += 1;
                unknown.add(plan, *piece, end, size);
                if said.code == Code::NoStandardTerminal {
                    findings.push(finding::Finding::about(of_end(end), *said));
                }
            }
        }
    }
    findings.extend(unknown.finding());
    (tally, findings)
}

/// What the plan does not give about ends.
#[derive(Default)]
struct Unknown {
    /// Distribution points and devices without a stud, screw or tab.
    seats: Vec<Subject>,
    /// Ends of cables without a connector.
    connectors: Vec<Subject>,
}

impl Unknown {
    /// Adds what an end lacks, each thing once.
    fn add(&mut self, plan: &Plan, piece: Piece<'_>, end: &PieceEnd, size: Option<Size>) {
        match (piece, &end.at) {
            (Piece::Wire(wire), At::Landing(at)) => {
                let subject = at.subject();
                if Seat::of(plan, wire, at, size).is_none() && !self.seats.contains(&subject) {
                    self.seats.push(subject);
                }
            }
            _ => self.connectors.push(of_end(end)),
        }
    }

    /// The one finding about all of it.
    fn finding(self) -> Option<finding::Finding> {
        let seats = say!("the studs, screws or tabs at {}", Part::all(self.seats.clone()));
        let connectors = say!("the connectors at {}", Part::all(self.connectors.clone()));
        let (what, goes) = match (self.seats.is_empty(), self.connectors.is_empty()) {
            (true, true) => return None,
            (false, true) => (seats, "which terminals go there"),
            (true, false) => (connectors, "which connectors go there"),
            (false, false) => {
                (say!("{}; and {}", seats, connectors), "which terminals and connectors go there")
            }
        };
        let said = RuleFinding::not_checked(what, goes);
        Some(finding::Finding::about(Subject::new(SubjectKind::Job, "job"), said))
    }
}

/// Both ends of every piece, location by location in the plan's order.
fn in_order_of_locations<'a>(plan: &'a Plan, conductors: &'a Conductors) -> Vec<(Piece<'a>, PieceEnd)> {
    let ranks: HashMap<&LocationId, usize> =
        plan.locations.iter().map(|location| &location.id).zip(0..).collect();
    let rank = |end: &PieceEnd| end.at.location(plan).and_then(|location| ranks.get(location)).copied();
    let pieces = Pieces::of(plan, conductors).all();
    let mut ends: Vec<_> = pieces.flat_map(|piece| piece.ends().map(|end| (piece, end))).collect();
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

/// The counts of everything on the ends of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// Terminals, location by location in the plan's order.
    pub terminals: Vec<Count>,
    /// Heat shrink, location by location in the plan's order.
    pub tubes: Vec<TubeCount>,
    /// Connectors, location by location in the plan's order.
    pub connectors: Vec<ConnectorCount>,
    /// Ends whose terminal could not be chosen, or whose connector the plan does not give.
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

/// The number of connectors of one type at one location.
#[derive(Debug, Clone, PartialEq)]
pub struct ConnectorCount {
    /// The location; `None` for an end that lands on nothing in the plan.
    pub location: Option<LocationId>,
    /// Its type.
    pub name: Name,
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
    fn add_connector(&mut self, location: Option<LocationId>, name: Name) {
        let here = self.connectors.iter_mut().rev().take_while(|known| known.location == location);
        match here.filter(|known| known.name == name).last() {
            Some(known) => known.count += 1,
            None => self.connectors.push(ConnectorCount { location, name, count: 1 }),
        }
    }

    fn add(&mut self, location: Option<LocationId>, fitted: &Fitted, size: Option<Size>) {
        let terminal = &fitted.terminal;
        let gauge = size.filter(|_| terminal.barrel == Barrel::Lug);
        let (kind, barrel, seat) = (terminal.kind, terminal.barrel, fitted.seat);
        let one = Count { location: location.clone(), kind, barrel, gauge, seat, count: 1 };
        // Ends come location by location, so an equal count is among the last of its location.
        let here = self.terminals.iter_mut().rev().take_while(|known| known.location == location);
        match here.filter(|known| Count { count: 1, ..(**known).clone() } == one).last() {
            Some(known) => known.count += 1,
            None => self.terminals.push(one),
        }
        let Some(Tube { diameter, length }) = fitted.tube else { return };
        let here = self.tubes.iter_mut().rev().take_while(|known| known.location == location);
        match here.filter(|known| known.diameter == diameter).last() {
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
