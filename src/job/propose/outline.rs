//! The plan while it is proposed: what is in it already, by which rules, and which values are supposed.

use std::collections::BTreeMap;
use std::fmt::Display;
use std::str::FromStr;

use super::said::{LeftOut, Said};
use super::site::{Air, Site, sites};
use crate::job::kind::{Catalog, Kind};
use crate::job::load::Load;
use crate::job::plan::item::Item;
use crate::job::plan::{
    Boat, BoatForm, Circuit, Device, Feeder, Head, Hull, HullPattern, Plan, Polarity, ProposalRequest,
    Protection, Rule,
};
use crate::job::point::Point;
use crate::job::subject::Subject;
use crate::job::value::{BadValue, CircuitId, DeviceId, FeederId, Name, NominalV, PointId};
use crate::trade::conductor::Size;

/// A value of the plan from a number.
pub(super) fn value<T: TryFrom<f64, Error = BadValue>>(number: f64) -> Result<T, BadValue> {
    T::try_from(number)
}

/// A text or an id of the plan.
pub(super) fn text<T: FromStr<Err = BadValue>>(text: impl Display) -> Result<T, BadValue> {
    text.to_string().parse()
}

/// A field that was supposed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SupposedField {
    /// The thing.
    pub(super) thing: Subject,
    /// The field, by its names in the job file.
    pub(super) field: &'static str,
    /// The rule that supposed it.
    pub(super) rule: Rule,
    /// What it is measured once for, if several things have it in common.
    pub(super) as_one: Option<String>,
}

/// A device of the plan with its kind and its site.
#[derive(Debug, Clone)]
pub(super) struct Fitted<'a> {
    /// The device.
    pub(super) device: DeviceId,
    /// Its name.
    pub(super) name: Name,
    /// Its kind.
    pub(super) kind: &'a Kind,
    /// Its site.
    pub(super) site: Site,
}

/// The plan while it is proposed.
pub(super) struct Outline<'a> {
    /// The boat form.
    pub(super) form: &'a BoatForm,
    /// The kinds.
    pub(super) catalog: &'a Catalog,
    /// Every site of the hull pattern, whether it is used or not.
    pub(super) sites: Vec<Site>,
    /// The plan so far.
    pub(super) plan: Plan,
    /// The rules of each thing.
    pub(super) rules: BTreeMap<Subject, Vec<Rule>>,
    /// The fields that were supposed.
    pub(super) supposed: Vec<SupposedField>,
    /// The devices, in the order of the wishes.
    pub(super) fitted: Vec<Fitted<'a>>,
    /// The circuits with the kind that decides how each is used.
    pub(super) drawn: Vec<(CircuitId, &'a Kind)>,
    /// The wishes that were left out.
    pub(super) left_out: Vec<LeftOut>,
    /// What there is to say about the proposal.
    pub(super) said: Vec<Said>,
}

impl<'a> Outline<'a> {
    /// An empty plan for the boat of a request.
    pub(super) fn new(request: &'a ProposalRequest, catalog: &'a Catalog) -> Result<Self, BadValue> {
        let form = &request.boat;
        Ok(Self {
            form,
            catalog,
            sites: sites(form),
            plan: Plan::new(head(request)?, boat(form)?),
            rules: BTreeMap::new(),
            supposed: Vec::new(),
            fitted: Vec::new(),
            drawn: Vec::new(),
            left_out: Vec::new(),
            said: Vec::new(),
        })
    }

    /// The site with this id.
    pub(super) fn site(&self, id: &str) -> Option<Site> {
        self.sites.iter().copied().find(|site| site.id == id)
    }

    /// Whether vapor can gather at a site of this boat.
    pub(super) fn gathers(&self, site: &Site) -> bool {
        site.air == Air::Low && self.form.has_vapor()
    }

    /// Adds a rule to a thing.
    pub(super) fn by<T: Item>(&mut self, item: &T, rule: Rule) {
        let rules = self.rules.entry(item.subject()).or_default();
        if !rules.contains(&rule) {
            rules.push(rule);
        }
    }

    /// Says that a field of a thing is supposed.
    pub(super) fn suppose<T: Item>(&mut self, item: &T, field: &'static str, rule: Rule) {
        self.suppose_once(item, field, rule, None);
    }

    /// The same for a field that is measured once for all things with this name.
    pub(super) fn suppose_once<T: Item>(
        &mut self,
        item: &T,
        field: &'static str,
        rule: Rule,
        as_one: Option<String>,
    ) {
        self.supposed.push(SupposedField { thing: item.subject(), field, rule, as_one });
    }

    /// Says something about the proposal.
    pub(super) fn say(&mut self, rule: Rule, text: impl Into<String>) {
        self.said.push(Said { rule, text: text.into() });
    }

    /// Adds a device.
    pub(super) fn add_device(&mut self, device: Device, rule: Rule) {
        self.by(&device, rule);
        self.plan.devices.push(device);
    }

    /// Adds a distribution point.
    pub(super) fn add_point(&mut self, point: Point, rule: Rule) {
        self.by(&point, rule);
        self.plan.points.push(point);
    }

    /// Adds a circuit. Its color follows the table.
    pub(super) fn add_circuit(&mut self, circuit: Circuit, kind: &'a Kind, rule: Rule) {
        self.drawn.push((circuit.id.clone(), kind));
        self.by(&circuit, rule);
        self.by(&circuit, Rule::Colors);
        self.by(&circuit, Rule::Sizes);
        self.plan.circuits.push(circuit);
    }

    /// A point made from a kind of the catalog.
    pub(super) fn point(&self, kind: &str, id: &str, name: &str, site: &str) -> Result<Point, BadValue> {
        self.point_on(kind, id, name, site, self.form.nominal())
    }

    /// A point made from a kind of the catalog, on a side of this nominal voltage.
    pub(super) fn point_on(
        &self,
        kind: &str,
        id: &str,
        name: &str,
        site: &str,
        nominal: f64,
    ) -> Result<Point, BadValue> {
        let missing =
            || BadValue { got: kind.to_owned(), expected: "a kind of distribution point in the catalog" };
        let nominal: NominalV = value(nominal)?;
        let made = self.catalog.named(kind).ok_or_else(missing)?;
        made.point(text(id)?, text(name)?, text(site)?, nominal).ok_or_else(missing)
    }

    /// Adds a feeder with the next id, and returns its id. One within a location gets its usual length.
    pub(super) fn add_feeder(&mut self, feeder: NewFeeder<'_>, rule: Rule) -> Result<FeederId, BadValue> {
        let id: FeederId = text(format!("F{:02}", self.plan.feeders.len() + 1))?;
        let location = |point: &PointId| self.plan.point(point).map(|point| point.location.clone());
        let (from, to) = (text(feeder.from)?, text(feeder.to)?);
        let is_within = location(&from) == location(&to);
        let feeder = Feeder {
            id: id.clone(),
            label: None,
            from,
            to,
            polarity: feeder.polarity,
            size: feeder.size,
            insulation_c: value(105.0)?,
            length_m: if is_within { Some(value(WITHIN_M)?) } else { None },
            route: Vec::new(),
            jacketed: false,
            bundle: None,
            cranking: feeder.size.is_some(),
            color: None,
            protection: feeder.protection,
        };
        self.by(&feeder, rule);
        self.by(&feeder, Rule::Sizes);
        if is_within {
            self.suppose(&feeder, "length_m", Rule::Raceways);
        }
        self.plan.feeders.push(feeder);
        Ok(id)
    }

    /// Marks the load of a device as supposed, and the fuse that its manufacturer allows if it has a motor.
    pub(super) fn suppose_load(&mut self, device: &Device, kind: &Kind) {
        let field = match device.load {
            Some(Load::ConstantCurrent(_)) => "load/a",
            Some(Load::ConstantPower(_)) => "load/w",
            Some(Load::Resistance(_)) => "load/ohm",
            None => return,
        };
        let name = Some(kind.name.to_string());
        self.suppose_once(device, field, Rule::Circuits, name.clone());
        if kind.start.is_some() && device.max_fuse_a.is_some() {
            self.suppose_once(device, "max_fuse_a", Rule::Circuits, name);
        }
    }
}

/// The usual length of a feeder within one location, m.
const WITHIN_M: f64 = 0.5;

/// A feeder to be added.
pub(super) struct NewFeeder<'a> {
    from: &'a str,
    to: &'a str,
    polarity: Polarity,
    /// Its size, for a starter cable.
    size: Option<Size>,
    protection: Option<Protection>,
}

impl<'a> NewFeeder<'a> {
    /// A feeder of the positive side.
    pub(super) fn positive(from: &'a str, to: &'a str) -> Self {
        Self { from, to, polarity: Polarity::Positive, size: None, protection: None }
    }

    /// A feeder of the negative side.
    pub(super) fn negative(from: &'a str, to: &'a str) -> Self {
        Self { polarity: Polarity::Negative, ..Self::positive(from, to) }
    }

    /// The same as a starter cable of this size.
    pub(super) fn starter(self, size: Size) -> Self {
        Self { size: Some(size), ..self }
    }

    /// The same with a fuse.
    pub(super) fn fused(self, protection: Protection) -> Self {
        Self { protection: Some(protection), ..self }
    }
}

fn head(request: &ProposalRequest) -> Result<Head, BadValue> {
    Ok(Head {
        name: text("Rewire")?,
        rules: request.boat.rules,
        nominal_v: value(request.boat.nominal())?,
        ambient_c: value(30.0)?,
        contact_mohm: None,
        allowances: Default::default(),
        wishes: None,
        budget: None,
        proposed_from: Some(request.clone()),
        received_on: None,
        promised_on: None,
    })
}

fn boat(form: &BoatForm) -> Result<Boat, BadValue> {
    let beam = match form.beam_m {
        Some(beam) => beam,
        None => value((0.36 * form.length_m.number()).clamp(0.5, 10.0))?,
    };
    Ok(Boat {
        name: form.name.clone(),
        length_m: form.length_m,
        beam_m: Some(beam),
        hull: Some(Hull::Pointed),
        fuel: Some(form.fuel),
        engine: Some(form.engine),
        propane: Some(form.propane),
        sails: form.pattern == HullPattern::Sail,
        top_speed_kn: match form.top_speed_kn {
            Some(speed) => Some(speed),
            None => Some(value(super::site::usual_speed(form.pattern))?),
        },
    })
}
