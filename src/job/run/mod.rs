//! What is pulled through the boat, labeled and tied down: the wires of circuits and feeders, and the cables of
//! devices.
//!
//! A [`Piece`] is one wire or one cable, with two ends. The piece and each of its ends have a label. For a wire
//! these are `C01-3`, `C01-3a` nearer the source and `C01-3b`; for a cable `radar`, `radar-a` at its device and
//! `radar-b`. A cable that is cut to length has its ends made in the boat, as a wire has. A made one is plugged in.
//!
//! Labels, search, steps, the order of work and the pages for work use pieces. They do not need to know whether a
//! piece belongs to a circuit, a feeder or a device. Pieces that begin and end together are pulled as one [`Run`],
//! and [`routing`](super::routing) finds its route.

pub mod cable;
mod end;
mod id;
mod pulled;

use uom::si::f64::Length;

use super::conductor::{Conductor, Of};
use super::plan::{Plan, Polarity};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, FeederId};
use super::wiring::Conductors;
use crate::trade::conductor::Size;
use cable::DeviceCable;

pub use end::{At, PieceEnd};
pub use id::PieceId;
pub use pulled::Run;

/// One wire or one cable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece<'a> {
    /// A wire of a circuit or feeder.
    Wire(&'a Conductor),
    /// A cable of a device.
    Cable(DeviceCable<'a>),
}

impl<'a> From<&'a Conductor> for Piece<'a> {
    fn from(wire: &'a Conductor) -> Self {
        Self::Wire(wire)
    }
}

impl<'a> From<DeviceCable<'a>> for Piece<'a> {
    fn from(own: DeviceCable<'a>) -> Self {
        Self::Cable(own)
    }
}

impl<'a> Piece<'a> {
    /// Its id, which records use.
    pub fn id(self) -> &'a str {
        match self {
            Self::Wire(wire) => wire.id.as_str(),
            Self::Cable(own) => own.cable.id.as_str(),
        }
    }

    /// Its printed text, unless the shop's rule gives another.
    pub fn label(self) -> &'a str {
        match self {
            Self::Wire(wire) => &wire.label,
            Self::Cable(own) => own.cable.label_text(),
        }
    }

    /// The subject of its pull and label steps.
    pub fn subject(self) -> Subject {
        match self {
            Self::Wire(wire) => Subject::new(SubjectKind::Conductor, &wire.id),
            Self::Cable(own) => Subject::new(SubjectKind::Cable, &own.cable.id),
        }
    }

    /// The circuit, feeder or cable whose tie-down step includes it.
    pub fn run(self) -> Subject {
        match self {
            Self::Wire(wire) => wire.of.subject(),
            Self::Cable(_) => self.subject(),
        }
    }

    /// The circuit that it is part of.
    pub fn circuit(self) -> Option<&'a CircuitId> {
        match self {
            Self::Wire(Conductor { of: Of::Circuit(id), .. }) => Some(id),
            _ => None,
        }
    }

    /// The feeder, if the piece is one.
    pub fn feeder(self) -> Option<&'a FeederId> {
        match self {
            Self::Wire(Conductor { of: Of::Feeder(id), .. }) => Some(id),
            _ => None,
        }
    }

    /// Both ends. The first is the one nearer the source for a wire, and the one at its device for a cable.
    pub fn ends(self) -> [PieceEnd; 2] {
        match self {
            Self::Wire(wire) => {
                wire.ends().map(|end| PieceEnd { id: end.id, label: end.label, at: At::Landing(end.at) })
            }
            Self::Cable(own) => {
                let [near, far] = own.at();
                [('a', near), ('b', far)].map(|(side, at)| {
                    let named = |text: &str| format!("{text}-{side}");
                    PieceEnd { id: named(own.cable.id.as_str()), label: named(own.cable.label_text()), at }
                })
            }
        }
    }

    /// Whether it is pulled through the boat, and not laid on the bench or coiled within one location.
    pub fn is_pulled(self, plan: &Plan) -> bool {
        match self {
            Self::Wire(wire) => wire.pulled,
            Self::Cable(own) => {
                let [near, far] = own.between(plan);
                near != far
            }
        }
    }

    /// The cable, if it is one.
    pub fn cable(self) -> Option<DeviceCable<'a>> {
        match self {
            Self::Wire(_) => None,
            Self::Cable(own) => Some(own),
        }
    }

    /// Whether it is supplied with both its ends: a cable of a made length. Such a piece is plugged in.
    pub fn is_made_up(self) -> bool {
        self.cable().is_some_and(|own| own.made_length().is_some())
    }

    /// Its polarity; `None` for a cable.
    pub fn polarity(self) -> Option<Polarity> {
        match self {
            Self::Wire(wire) => Some(wire.polarity),
            Self::Cable(_) => None,
        }
    }

    /// Its description in a list of steps: `C01-3, fb1 → nav`, `radar, Radar, network cable, T-top → Console`.
    pub fn about(self, plan: &Plan) -> String {
        match self {
            Self::Wire(wire) => format!("{}, {}", wire.label, wire.way()),
            Self::Cable(own) => {
                let [from, to] = self.ends();
                let [from, to] = [&from, &to].map(|end| end.at.location_name(plan).unwrap_or_default());
                format!("{}, {}, {from} \u{2192} {to}", self.label(), own.called())
            }
        }
    }

    /// Its outside diameter; for a wire it depends on the size.
    pub fn outside(self, size: Option<Size>) -> Option<Length> {
        match self {
            Self::Wire(_) => size.map(Size::outside_diameter),
            Self::Cable(own) => Some(own.cable.outside()),
        }
    }
}

/// Every piece of a plan: the wires in the order of its conductors, then the cables device by device.
#[derive(Debug, Clone, Copy)]
pub struct Pieces<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
}

impl<'a> Pieces<'a> {
    /// The pieces of a plan with these conductors.
    pub fn of(plan: &'a Plan, conductors: &'a Conductors) -> Self {
        Self { plan, conductors }
    }

    /// All pieces.
    pub fn all(self) -> impl Iterator<Item = Piece<'a>> {
        self.conductors.all().iter().map(Piece::Wire).chain(cable::all(self.plan).map(Piece::Cable))
    }

    /// The piece with this id.
    pub fn get(self, id: &str) -> Option<Piece<'a>> {
        let wire = self.conductors.get(id).map(Piece::Wire);
        wire.or_else(|| cable::all(self.plan).map(Piece::Cable).find(|piece| piece.id() == id))
    }

    /// The piece that a step, a label or a record is about, and which of its ends, 0 or 1.
    pub fn about(self, subject: &Subject) -> Option<(Piece<'a>, Option<usize>)> {
        match subject.kind {
            SubjectKind::Conductor => Some((Piece::Wire(self.conductors.get(&subject.id)?), None)),
            SubjectKind::Cable => Some((self.get(&subject.id)?, None)),
            SubjectKind::End => {
                let of = |id: &str| {
                    let piece = self.get(id)?;
                    let end = piece.ends().iter().position(|end| end.id == subject.id)?;
                    Some((piece, Some(end)))
                };
                let id = subject.id.strip_suffix(['a', 'b'])?;
                of(id).or_else(|| of(id.strip_suffix('-')?))
            }
            _ => None,
        }
    }
}
