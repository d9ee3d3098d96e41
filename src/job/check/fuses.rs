//! The upstream protection of a conductor that has none of its own, and the rating of that protection.
//!
//! A feeder downstream of a fused feeder must withstand the current that its fuse allows. The same applies
//! to a return. In a short circuit at a panel, the fault current through the panel's fuse flows back
//! through the return and heats it too. 33 CFR 183.455 requires a fuse only on the ungrounded side. So that
//! fuse has to protect both.

use std::collections::{BTreeMap, BTreeSet};

use foldhash::{HashMap, HashSet};
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::circuit_size;
use super::context::CheckContext;
use super::fuse_lines::{Before, FuseLines, Lines};
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, FeederId, PointId};
use crate::trade::protection::opening::Opener;
use crate::trade::protection::protection_rule;
use crate::trade::quantity::Quantity;
use crate::trade::rules::RuleSet;
use crate::trade::working::{Working, figure};

/// For each feeder, the circuits that may draw through it, in the order of the plan.
pub(super) type Through<'a> = HashMap<&'a FeederId, Vec<&'a Circuit>>;

/// The protection of every feeder that has one.
#[derive(Default)]
pub(super) struct Fuses<'a>(FuseLines<'a>);

/// Upstream protection: protection that is not on the conductor itself.
pub(super) struct Behind {
    /// The feeders or the circuit that the protection belongs to.
    pub(super) of: Vec<Subject>,
    /// Its combined rating.
    pub(super) fuse: Opener,
}

impl Behind {
    fn new((of, fuse): (Vec<Subject>, Opener)) -> Self {
        Self { of, fuse }
    }

    /// Where the protection is, and its combined rating.
    pub(super) fn working(&self, polarity: Polarity, rules: RuleSet) -> Working {
        let ids: Vec<&str> = self.of.iter().map(|of| of.id.as_str()).collect();
        Working {
            what: Quantity::UpstreamProtection,
            formula: match polarity {
                Polarity::Positive => {
                    "least line of fuses before it, those side by side added, with what charges there"
                }
                Polarity::Negative => "the largest rating past which a short circuit comes back through it",
            },
            numbers: format!("that of {}", ids.join(" and ")).into(),
            result: format!("{} A", figure(self.fuse.rating.get::<ampere>())).into(),
            source: protection_rule(rules),
        }
    }
}

impl<'a> Fuses<'a> {
    pub(super) fn fit(&mut self, feeder: &'a Feeder, fuse: Opener) {
        self.0.fit(&feeder.id, fuse);
    }

    pub(super) fn of(&self, feeder: &FeederId) -> Option<Opener> {
        self.0.fitted().get(feeder).copied()
    }

    /// The feeders whose protection covers every path to a point, and their combined rating.
    pub(super) fn before(
        &self,
        context: &CheckContext<'a>,
        point: &PointId,
    ) -> Option<(Vec<FeederId>, Opener)> {
        self.lines(context).every(point)
    }

    /// The same with the charging current at that point added; `None` also if a charger states no rating.
    pub(super) fn reaching(
        &self,
        context: &CheckContext<'a>,
        point: &PointId,
    ) -> Option<(Vec<FeederId>, Opener)> {
        let (of, fuses) = self.before(context, point)?;
        Some((of, with_chargers(context, point, fuses)?))
    }

    fn lines<'s>(&'s self, context: &'s CheckContext<'a>) -> Before<'s, 'a> {
        Before { lines: &self.0, context }
    }

    /// The upstream protection that a conductor without its own must withstand. `None` if it has its own
    /// protection, has none upstream, or cranks an engine.
    pub(super) fn behind(
        &self,
        context: &CheckContext<'a>,
        feeder: &'a Feeder,
        through: &Through<'a>,
    ) -> Option<Behind> {
        match feeder.polarity {
            Polarity::Negative => self.behind_return(context, feeder, through).map(Behind::new),
            Polarity::Positive if feeder.protection.is_some() || feeder.cranking => None,
            Polarity::Positive if context.power_end(feeder) != &feeder.from => {
                self.beyond(context, feeder).map(Behind::new)
            }
            Polarity::Positive => self.reaching(context, &feeder.from).map(as_subjects).map(Behind::new),
        }
    }

    /// The fault current from one battery to another through a return that joins their negative posts. A
    /// short at the posts of the other battery causes it. Each positive path between them counts with its
    /// smallest protection, and the path with the largest value decides.
    fn between_batteries(
        &self,
        context: &CheckContext<'a>,
        back: &'a Feeder,
    ) -> Option<(Vec<Subject>, Opener)> {
        let [one, other] =
            [&back.from, &back.to].map(|end| context.batteries_at(back, end).collect::<BTreeSet<_>>());
        // Each fuse asks for a search from each battery, of several points.
        if !other.is_empty() && !context.may_search(8 * one.len() * self.0.fitted().len()) {
            return None;
        }
        let past = |passes: &dyn Fn(&Opener) -> bool| {
            let open = |feeder: &Feeder| {
                feeder.polarity == Polarity::Positive && self.0.fitted().get(&feeder.id).is_none_or(passes)
            };
            one.iter()
                .any(|from| context.joined(from, open).ids().any(|at| at != *from && other.contains(&at)))
        };
        // A missing protection between them is a finding of the feeder that joins them.
        if past(&|_| false) {
            return None;
        }
        let holds_back = |fuse: &Opener| past(&|open: &Opener| open.rating >= fuse.rating);
        let fuses = self.0.fitted().iter().filter(|(_, fuse)| holds_back(fuse));
        largest(fuses.map(|(id, fuse)| (vec![feeder_subject(id)], *fuse)))
    }

    /// The protection between the batteries and a charger whose current uses this return. A short in the
    /// charger drives fault current through the return too.
    fn of_a_charger(&self, context: &CheckContext<'a>, back: &Feeder) -> Option<(Vec<Subject>, Opener)> {
        let chargers = context.charging().back_through(&back.id);
        let is_its = |lead: &&Feeder| lead.polarity == Polarity::Positive && chargers.contains(&&lead.from);
        let leads = context.plan.feeders.iter().filter(is_its);
        largest(leads.filter_map(|lead| match self.of(&lead.id) {
            Some(own) => Some((vec![feeder_subject(&lead.id)], own)),
            None => self.beyond(context, lead),
        }))
    }

    /// The largest protection between the far end of a charger's feeder and the batteries.
    fn beyond(&self, context: &CheckContext<'a>, feeder: &Feeder) -> Option<(Vec<Subject>, Opener)> {
        let open = context.joined(&feeder.to, |other| {
            other.polarity == Polarity::Positive && other.id != feeder.id && self.of(&other.id).is_none()
        });
        let meets = |other: &&Feeder| {
            other.id != feeder.id && (open.contains(&other.from) || open.contains(&other.to))
        };
        let fused = context.plan.feeders.iter().filter(meets);
        largest(fused.filter_map(|other| Some((vec![feeder_subject(&other.id)], self.of(&other.id)?))))
    }

    /// The protection of a feeder, or what is before it if that is smaller.
    fn limited(&self, context: &CheckContext<'a>, feeder: &Feeder) -> Option<(Vec<Subject>, Opener)> {
        let own = self.of(&feeder.id)?;
        let before = self.reaching(context, &feeder.from).filter(|(_, before)| before.rating < own.rating);
        Some(before.map_or_else(|| (vec![feeder_subject(&feeder.id)], own), as_subjects))
    }

    /// The protection of each fused point of the positive side in the location where a return begins.
    fn beside(
        &self,
        context: &CheckContext<'a>,
        back: &Feeder,
        of_home: &Lines<'a>,
    ) -> Vec<(Vec<Subject>, Opener)> {
        let location = context.point(&back.from).map(|point| &point.location);
        let beside = location.map(|location| context.positives_at(location)).unwrap_or_default();
        let guarded = |point: &&PointId| self.lines(context).counted(of_home, point);
        beside.iter().filter_map(guarded).map(as_subjects).collect()
    }

    /// The largest protection that limits the fault current through a return. Five kinds of protection
    /// count:
    ///
    /// - that of the panel or bar feeding a circuit that returns here, or else the circuit's own;
    /// - that of every panel or bar in the location of its near end, where a tool can touch both;
    /// - that of every feeder whose circuits all return here;
    /// - the protection upstream of a charger;
    /// - the protection between two batteries.
    fn behind_return(
        &self,
        context: &CheckContext<'a>,
        back: &'a Feeder,
        through: &Through<'a>,
    ) -> Option<(Vec<Subject>, Opener)> {
        let landing = through.get(&back.id).map(Vec::as_slice).unwrap_or_default();
        // Current returns to the battery it came from. A jumper between two posts or blocks can lead it to
        // either.
        let is_source = |end: &&PointId| context.kind(end).is_some_and(PointKind::is_source);
        let is_jumper = [&back.from, &back.to].iter().all(is_source);
        let mut homes: BTreeSet<&PointId> = context.batteries_at(back, &back.to).collect();
        if is_jumper {
            homes.extend(context.batteries_at(back, &back.from));
        }
        let of_home = self.lines(context).of_homes(&homes)?;
        let mut panels: BTreeMap<&PointId, Option<(Vec<Subject>, Opener)>> = BTreeMap::new();
        for circuit in landing {
            panels
                .entry(&circuit.from)
                .or_insert_with(|| self.lines(context).counted(&of_home, &circuit.from).map(as_subjects));
        }
        let beside = self.beside(context, back, &of_home);
        let bare = landing.iter().filter(|circuit| panels.get(&circuit.from).is_none_or(Option::is_none));
        let own = bare.filter_map(|circuit| {
            Some((
                vec![Subject::new(SubjectKind::Circuit, &circuit.id)],
                circuit_size::opener(context, circuit)?,
            ))
        });
        let own: Vec<_> = own.collect();
        let ids: HashSet<&CircuitId> = landing.iter().map(|circuit| &circuit.id).collect();
        let all_land = |id: &FeederId| {
            let drawn = through.get(id).map(Vec::as_slice).unwrap_or_default();
            !drawn.is_empty() && drawn.iter().all(|circuit| ids.contains(&circuit.id))
        };
        let feeders = of_home.counted().filter(|id| all_land(id));
        let feeders = feeders.filter_map(|id| self.limited(context, context.plan.feeder(id)?));
        largest(
            panels
                .into_values()
                .flatten()
                .chain(own)
                .chain(feeders)
                .chain(beside)
                .chain(self.of_a_charger(context, back))
                .chain(self.between_batteries(context, back)),
        )
    }
}

/// The combined rating of the fuses before a point, plus the charging current there. Chargers limit their
/// own current, whatever their fuses. `None` if one of them states no rating.
pub(super) fn with_chargers(context: &CheckContext<'_>, point: &PointId, fuses: Opener) -> Option<Opener> {
    let gives = context.charging().through_point(point).unwrap_or(Some(0.0))?;
    Some(Opener { rating: fuses.rating + ElectricCurrent::new::<ampere>(gives), ..fuses })
}

fn as_subjects((of, fuse): (Vec<FeederId>, Opener)) -> (Vec<Subject>, Opener) {
    (of.iter().map(feeder_subject).collect(), fuse)
}

fn feeder_subject(id: &FeederId) -> Subject {
    Subject::new(SubjectKind::Feeder, id)
}

/// Picks the largest rating; of two equal ratings, the one whose id comes first as text.
fn largest(fuses: impl Iterator<Item = (Vec<Subject>, Opener)>) -> Option<(Vec<Subject>, Opener)> {
    let ids = |of: &[Subject]| of.iter().map(|subject| subject.id.clone()).collect::<Vec<_>>();
    fuses.max_by(|(of, one), (other_of, other)| {
        one.rating.value.total_cmp(&other.rating.value).then_with(|| ids(other_of).cmp(&ids(of)))
    })
}
