//! The form of a boat and its job.

use jiff::civil::Date;
use serde::Serialize;

use crate::job::plan::{Engine, Fuel, Hull};
use crate::job::value::{
    AmbientC, BeamM, BoatLengthM, LengthM, Milliohm, Money, Name, NominalV, Prose, SpeedKn, WastePct,
};
use crate::trade::route::Allowances;
use crate::trade::rules::RuleSet;
use crate::web::kit::form::declared::{Choice, Declared, FieldGroup, FormContext, Input, listed, or_none};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;

/// What the form needs to know about the shop.
pub struct IntakeShop {
    unit: LengthUnit,
    currency: String,
    is_new: bool,
}

impl IntakeShop {
    /// The shop's unit and currency.
    pub fn of(frame: &Frame, is_new: bool) -> Self {
        Self { unit: frame.length_unit(), currency: frame.currency().to_owned(), is_new }
    }
}

impl FormContext for IntakeShop {
    fn unit(&self) -> LengthUnit {
        self.unit
    }

    fn is_new(&self) -> bool {
        self.is_new
    }
}

/// The form, with every field once.
pub fn declared() -> Declared<IntakeShop> {
    Declared::new().group(boat()).group(customer()).group(job()).group(allowances()).group(wishes())
}

fn boat() -> FieldGroup<IntakeShop> {
    FieldGroup::new("The boat").inputs([
        Input::text::<Name>("boat.name", "Name of the boat").required(),
        Input::length::<BoatLengthM>("boat.length_m", "Length overall")
            .required()
            .hint("You can type another unit with it: 7.1 m, 23 ft 4 in")
            .hint_in_feet("Such as 23 ft 4 in"),
        Input::length::<BeamM>("boat.beam_m", "Beam"),
        Input::select::<Hull>("boat.hull", "Hull seen from above", |_| unknown_or(&HULLS))
            .hint("Shapes the outline of the boat plan"),
        Input::select::<Fuel>("boat.fuel", "Fuel", |_| unknown_or(&FUELS))
            .hint("Gasoline calls for ignition-protected parts"),
        Input::answer("boat.propane", "Propane aboard").help("locations#vapor"),
        Input::select::<Engine>("boat.engine", "Engine", |_| unknown_or(&ENGINES)),
        Input::number::<SpeedKn>("boat.top_speed_kn", "Top speed", "kn"),
        Input::check("boat.sails", "Has sails: its lights are checked under sail as well"),
    ])
}

fn customer() -> FieldGroup<IntakeShop> {
    FieldGroup::new("The customer").inputs([
        Input::text::<Name>("customer.name", "Name of the customer")
            .needed("This is needed where a contact is given."),
        Input::text::<Name>("customer.contact", "How to reach the customer"),
    ])
}

fn job() -> FieldGroup<IntakeShop> {
    FieldGroup::new("The job").inputs([
        Input::text::<Name>("job.name", "Name of the job")
            .required()
            .hint("Such as: Full rewire, new console"),
        Input::select::<RuleSet>("job.rules", "Rules it is wired to", |_| {
            listed(&[RuleSet::Us, RuleSet::Iso].map(|rules| (rules, rules.words())))
        })
        .help("sources#which-rules-a-job-uses")
        .required(),
        Input::number::<NominalV>("job.nominal_v", "Voltage of the boat", "V")
            .required()
            .hint("Direct current: 12, 24, 36 or 48"),
        Input::number::<AmbientC>("job.ambient_c", "Ambient temperature", "\u{b0}C")
            .required()
            .hint("Where wires lie, outside engine spaces"),
        Input::number::<Milliohm>("job.contact_mohm", "Contact resistance", "m\u{2126}")
            .hint("Counted at every crimped and bolted end. Empty: none"),
        Input::date::<Date>("job.received_on", "Received on"),
        Input::date::<Date>("job.promised_on", "Promised for"),
        Input::number_in::<Money>("job.budget", "Customer\u{2019}s budget", |shop: &IntakeShop| {
            shop.currency.clone()
        }),
    ])
}

fn allowances() -> FieldGroup<IntakeShop> {
    FieldGroup::new("Added when a run is cut").hint_in(usual_allowances).inputs([
        Input::length::<LengthM>("job.allowances.rise_m", "Rise at each end").help("locations#rise"),
        Input::length::<LengthM>("job.allowances.service_loop_m", "Service loop at each end")
            .help("runs#service-loop"),
        Input::length::<LengthM>("job.allowances.drip_loop_m", "Drip loop at each end")
            .help("runs#drip-loop"),
        Input::number::<WastePct>("job.allowances.waste_pct", "Waste", "%"),
    ])
}

/// The default allowances, in the shop's unit.
fn usual_allowances(shop: &IntakeShop) -> String {
    let usual = [Allowances::USUAL_RISE_M, Allowances::USUAL_SERVICE_LOOP_M, Allowances::USUAL_DRIP_LOOP_M];
    let [rise, service, drip] = usual.map(|meters| shop.unit.said(meters));
    let waste = Allowances::USUAL_WASTE_PERCENT;
    format!(
        "Empty: {rise} of rise, {service} of service loop and {drip} of drip loop at each end, and {waste}\u{a0}% of \
         waste."
    )
}

fn wishes() -> FieldGroup<IntakeShop> {
    FieldGroup::new("The customer\u{2019}s wishes").inputs([Input::area::<Prose>(
        "job.wishes",
        "What the customer wants",
    )
    .hint("What to keep, what is new, what has caused trouble")])
}

const HULLS: [(Hull, &str); 4] = [
    (Hull::Pointed, "Pointed bow, square stern"),
    (Hull::Square, "Square bow"),
    (Hull::Twin, "Two hulls and a deck"),
    (Hull::DoubleEnded, "Pointed at both ends"),
];

const FUELS: [(Fuel, &str); 3] =
    [(Fuel::Gasoline, "Gasoline"), (Fuel::Diesel, "Diesel"), (Fuel::Electric, "Electric")];

const ENGINES: [(Engine, &str); 3] =
    [(Engine::Outboard, "Outboard"), (Engine::Inboard, "Inboard"), (Engine::None, "No engine")];

fn unknown_or<T: Serialize + Copy>(kinds: &[(T, &str)]) -> Vec<Choice> {
    or_none("Not known yet", listed(kinds))
}
