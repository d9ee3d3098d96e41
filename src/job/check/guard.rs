//! The protection between a positive feeder and the sources at both its ends.
//!
//! Every battery that reaches a conductor feeds a short in it, from either end. So each end needs one of
//! two things. Either the feeder's own protection sits near the source. Or every path from a battery to
//! that end passes a protection small enough for this conductor (33 CFR 183.455 and 183.460). A charger
//! limits its own current, which is the load of its feeder. There the source to protect against is the
//! battery at the other end.

use std::cell::RefCell;

use foldhash::HashMap;
use uom::si::f64::ElectricCurrent;

use super::circuit_size;
use super::context::{CheckContext, JoinedPoints};
use super::fuses::{Fuses, with_chargers};
use super::protect::{self, Protected, ProtectionNeeds};
use crate::job::plan::{Feeder, Polarity, Protection};
use crate::job::point::{Body, Point, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{FeederId, PointId};
use crate::trade::ampacity::Ampacity;
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::minimum::Laying;
use crate::trade::protection::opening::Opener;
use crate::trade::protection::{Family, PowerSource, ProtectionPosition, distance, range};
use crate::trade::rules::RuleSet;
use crate::trade::say::{Part, Statement, say};

/// A feeder with the limits for its protection, and the protection of all feeders.
pub(super) struct Guard<'g, 'a> {
    feeder: &'a Feeder,
    load: Option<ElectricCurrent>,
    ampacity: Option<Ampacity>,
    fuses: &'g Fuses<'a>,
    /// Which ratings of which family are small enough for the conductor, as far as it was asked.
    judged: RefCell<HashMap<(Family, u64), bool>>,
}

impl<'g, 'a> Guard<'g, 'a> {
    pub(super) fn new(
        feeder: &'a Feeder,
        load: Option<ElectricCurrent>,
        ampacity: Option<Ampacity>,
        fuses: &'g Fuses<'a>,
    ) -> Self {
        Self { feeder, load, ampacity, fuses, judged: RefCell::default() }
    }

    fn asked(&self) -> ProtectionNeeds<'_> {
        ProtectionNeeds { load: self.load, ampacity: self.ampacity.as_ref(), ..ProtectionNeeds::default() }
    }

    fn subject(&self) -> Subject {
        Subject::new(SubjectKind::Feeder, &self.feeder.id)
    }

    /// The other feeder whose protection also protects this one, which has none. If there is no such
    /// feeder, or its protection is too large for this conductor, the feeder is unprotected.
    pub(super) fn of_another(&self, context: &mut CheckContext<'a>) -> Option<FeederId> {
        if context.power_end(self.feeder) == &self.feeder.from {
            self.upstream(context)
        } else {
            self.beyond(context)
        }
    }

    fn upstream(&self, context: &mut CheckContext<'a>) -> Option<FeederId> {
        let Some((guards, fuse)) = self.fuses.before(context, &self.feeder.from) else {
            match self.ends_at_a_guarded_switch(context) {
                true => context.say(self.subject(), distance::bare_to_switch()),
                false => self.say_unprotected(context),
            }
            return None;
        };
        if self.ampacity.is_none() {
            let missing = RuleFinding::missing("the ampacity", UPSTREAM);
            context.say(self.subject(), missing);
            return None;
        }
        let Some(lets_through) = with_chargers(context, &self.feeder.from, fuse) else {
            let missing = "the rating of what charges on its path";
            context.say(self.subject(), RuleFinding::missing(missing, UPSTREAM));
            return None;
        };
        let names = Part::all(&guards);
        let Some(over) = over_wire(context, &self.asked(), lets_through) else {
            let near = self.over_ampacity(context, &guards, lets_through);
            context.say_all(&self.subject(), near);
            return guards.into_iter().next();
        };
        let text =
            say!("It has no protection of its own, and that of {} is not sufficient. {}", names, over.text);
        let unprotected =
            RuleFinding { text, code: Code::Unprotected, level: Code::Unprotected.level(), ..over };
        context.say(self.subject(), unprotected);
        None
    }

    fn say_unprotected(&self, context: &mut CheckContext<'a>) {
        let gaps = protect::feeder(context, self.feeder, &self.asked()).gaps;
        let unprotected = gaps.into_iter().find(|gap| gap.code == Code::Unprotected);
        let besides = if self.leads_to_a_starter(context) {
            Some(say!("Or mark it as a starter cable."))
        } else {
            self.as_one(context)
        };
        context.say_all(
            &self.subject(),
            unprotected.map(|said| RuleFinding { text: followed_by(said.text, besides), ..said }),
        );
    }

    /// Whether an unprotected path leads to an engine that this feeder may crank.
    fn leads_to_a_starter(&self, context: &CheckContext<'a>) -> bool {
        let on = context.joined(&self.feeder.to, |other| {
            other.polarity == Polarity::Positive && other.id != self.feeder.id && other.protection.is_none()
        });
        on.points().any(|point| match &point.body {
            Body::Charger(charger) => charger.starter_a.is_some(),
            _ => false,
        })
    }

    /// Another remedy for a jumper between the batteries of one bank in one location.
    fn as_one(&self, context: &CheckContext<'a>) -> Option<Statement> {
        let [from, to] = [&self.feeder.from, &self.feeder.to].map(|end| context.point(end));
        let battery = |point: Option<&'a Point>| {
            point.filter(|point| matches!(point.body, Body::Battery(_))).map(|point| &point.location)
        };
        match (battery(from), battery(to)) {
            (Some(from), Some(to)) if from == to => Some(say!("Or enter the bank as one battery.")),
            _ => None,
        }
    }

    /// Whether it leads from a battery to its switch, and everything after the switch has protection within
    /// the distance that the US rules allow.
    fn ends_at_a_guarded_switch(&self, context: &CheckContext<'a>) -> bool {
        let ends = [context.kind(&self.feeder.from), context.kind(&self.feeder.to)];
        if context.plan.job.rules != RuleSet::Us
            || ends != [Some(PointKind::Battery), Some(PointKind::BatterySwitch)]
        {
            return false;
        }
        let is_near_enough = |length| distance::is_within_reach_of_battery(length, RuleSet::Us);
        // Measured along the conductor from the battery, the rules allow no protection farther away.
        if !context.length_of(self.feeder).is_some_and(is_near_enough) {
            return false;
        }
        let is_near = |protection: Option<&Protection>| {
            protection.is_some_and(|protection| {
                let position = ProtectionPosition {
                    origin: PowerSource::BatterySwitch,
                    from_source: protection.from_source_m.map(|distance| distance.quantity()),
                    laying: Laying::Alone,
                };
                distance::judge(&position, RuleSet::Us).is_none_or(|said| said.level == Level::Note)
            })
        };
        let leaves = |from: &PointId| *from == self.feeder.to;
        let others = || context.plan.feeders.iter().filter(|other| other.id != self.feeder.id);
        // Another cable into the switch may connect another battery.
        if others().any(|other| other.to == self.feeder.to) {
            return false;
        }
        let feeders = others().filter(|other| leaves(&other.from));
        let circuits = context.plan.circuits.iter().filter(|circuit| leaves(&circuit.from));
        feeders.map(|other| other.protection.as_ref()).all(is_near)
            && circuits.map(|circuit| circuit.protection.as_ref()).all(is_near)
            && self.is_limited_beyond_switch(context)
    }

    /// Whether all that leaves its switch together blows or trips before this conductor is overloaded.
    fn is_limited_beyond_switch(&self, context: &CheckContext<'a>) -> bool {
        let feeders = context.plan.feeders.iter().filter(|other| other.from == self.feeder.to);
        let of_feeders = feeders.map(|other| self.fuses.of(&other.id));
        let circuits = context.plan.circuits.iter().filter(|circuit| circuit.from == self.feeder.to);
        let fuses = of_feeders.chain(circuits.map(|circuit| circuit_size::opener(context, circuit)));
        let Some(fuses) = fuses.collect::<Option<Vec<_>>>() else { return false };
        let Some(first) = fuses.first() else { return true };
        let sum = Opener { rating: fuses.iter().map(|fuse| fuse.rating).sum(), ..*first };
        self.ampacity.is_none() || over_wire(context, &self.asked(), sum).is_none()
    }

    /// Reports the gaps of its own protection, unless the upstream protection also protects the conductor, up
    /// to there or whole. The feeder whose protection does so, if it is small enough.
    pub(super) fn check_own(&self, context: &mut CheckContext<'a>, own: Protected) -> Option<FeederId> {
        let guards = self.fuses.reaching(context, &self.feeder.from);
        let does = |(_, fuse): &(_, Opener)| {
            let is_smaller = own.fitted.is_none_or(|own| fuse.rating < own.rating);
            self.ampacity.is_some()
                && (is_smaller || !own.gaps.is_empty())
                && over_wire(context, &self.asked(), *fuse).is_none()
        };
        let Some((guards, fuse)) = guards.filter(does) else {
            // Without any fuse it would be lawful, so one that does not protect it is worth a note.
            let lawful = !own.gaps.is_empty() && self.ends_at_a_guarded_switch(context);
            let level = |gap: &RuleFinding| if lawful { Level::Note } else { gap.level };
            let gaps = own.gaps.into_iter().map(|gap| RuleFinding { level: level(&gap), ..gap });
            context.say_all(&self.subject(), gaps);
            return None;
        };
        if !own.gaps.is_empty() {
            let near = self.over_ampacity(context, &guards, fuse);
            context.say_all(&self.subject(), near);
        }
        guards.into_iter().next()
    }

    /// The note that the upstream protection is over the ampacity.
    fn over_ampacity(
        &self,
        context: &CheckContext<'_>,
        guards: &[FeederId],
        fuse: Opener,
    ) -> Option<RuleFinding> {
        let near = against(context, &self.asked(), fuse, &[Code::FuseOverAmpacity])?;
        let text = say!("It is protected by {}. {}", Part::all(guards), near.text);
        Some(RuleFinding { text, ..near })
    }

    /// The protection between a charger's feeder and the batteries it leads to.
    fn beyond(&self, context: &mut CheckContext<'a>) -> Option<FeederId> {
        if self.ampacity.is_none() {
            let missing = RuleFinding::missing("the ampacity", "its protection by the feeder downstream");
            context.say(self.subject(), missing);
            return None;
        }
        if !self.unguarded(context).is_empty() {
            self.say_unprotected(context);
            return None;
        }
        let reached = self.open_to(context);
        let holds = |other: &&Feeder| {
            (reached.contains(&other.from) || reached.contains(&other.to)) && self.holds(context, other)
        };
        context.plan.feeders.iter().find(holds).map(|other| other.id.clone())
    }

    /// Reports sources that feed it from its far end without protection small enough for it.
    pub(super) fn check_far_end(&self, context: &mut CheckContext<'a>) {
        if context.power_end(self.feeder) != &self.feeder.from {
            self.check_alternator(context);
            return;
        }
        if !context.has_battery_at(self.feeder, &self.feeder.to) {
            return;
        }
        if self.ampacity.is_none() {
            let missing = RuleFinding::missing("the ampacity", "its protection from its far end");
            context.say(self.subject(), missing);
            return;
        }
        let unguarded = self.unguarded(context);
        if !unguarded.is_empty() {
            let text = say!(
                "{} feeds it from its other end, at {}, without sufficient protection. Fit protection at that end too, or \
                 a smaller fuse at that battery.",
                Part::all(unguarded),
                &self.feeder.to
            );
            let text = followed_by(text, self.as_one(context));
            context.say(self.subject(), RuleFinding::new(Code::FarEndUnprotected, text));
        }
    }

    /// An alternator without its own current limit burns its leads before a large fuse blows.
    fn check_alternator(&self, context: &mut CheckContext<'a>) {
        let Some(Body::Charger(charger)) = context.point(&self.feeder.from).map(|point| &point.body) else {
            return;
        };
        let fuse = self.fuses.of(&self.feeder.id).map(|fuse| fuse.rating);
        if let (Some(_), Some(rated), Some(fuse)) = (charger.starter_a, charger.rating_a, fuse) {
            context.say_all(
                &self.subject(),
                distance::judge_alternator(fuse, rated.quantity(), context.plan.job.rules),
            );
        }
    }

    /// The batteries that reach its far end without protection small enough for it.
    fn unguarded(&self, context: &CheckContext<'a>) -> Vec<&'a PointId> {
        let mut batteries = context.batteries(self.open_to(context));
        batteries.sort();
        batteries
    }

    /// The points connected to its far end without protection small enough for it.
    fn open_to(&self, context: &CheckContext<'a>) -> JoinedPoints<'a> {
        context.joined(&self.feeder.to, |other| {
            other.polarity == Polarity::Positive && other.id != self.feeder.id && !self.holds(context, other)
        })
    }

    /// Whether another feeder's protection is small enough for this conductor.
    fn holds(&self, context: &CheckContext<'a>, other: &Feeder) -> bool {
        let Some(fuse) = self.fuses.of(&other.id) else { return false };
        let key = (fuse.family, fuse.rating.value.to_bits());
        let mut judged = self.judged.borrow_mut();
        *judged.entry(key).or_insert_with(|| over_wire(context, &self.asked(), fuse).is_none())
    }
}

/// What the check cannot cover without the rating of the upstream protection.
const UPSTREAM: &str = "its protection by the feeder upstream";

fn followed_by(text: Statement, next: Option<Statement>) -> Statement {
    match next {
        Some(next) => text.then(next),
        None => text,
    }
}

/// The findings about a fuse for a conductor and the device on it.
pub(super) fn against(
    context: &CheckContext<'_>,
    asked: &ProtectionNeeds<'_>,
    fuse: Opener,
    codes: &[Code],
) -> Option<RuleFinding> {
    let said = range::judge(fuse.rating, &asked.duty(context, Some(fuse.family)));
    said.into_iter().find(|finding| codes.contains(&finding.code))
}

/// Why a fuse is too large for a conductor; `None` if it is not.
pub(super) fn over_wire(
    context: &CheckContext<'_>,
    asked: &ProtectionNeeds<'_>,
    fuse: Opener,
) -> Option<RuleFinding> {
    against(context, asked, fuse, &[Code::FuseOverWire])
}
