//! The boat form of a proposed plan, read from and written to a web form.

use std::fmt::Display;

use crate::job::plan::{
    BankCount, BoatForm, BoatVoltage, Engine, EngineCount, Fuel, HullPattern, Plan, ProposalRequest, Top,
};
use crate::trade::energy::battery::Chemistry;
use crate::trade::rules::RuleSet;
use crate::web::kit::field::Field;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;

/// The field of the wishes.
pub(super) const WISHES: &str = "wishes";

/// The form filled from the last request of the job, or from what the job says of its boat.
pub(super) fn filled(plan: &Plan, unit: LengthUnit) -> Form {
    let mut form = Form::default();
    match &plan.job.proposed_from {
        Some(request) => put(&mut form, request, unit),
        None => {
            let boat = &plan.boat;
            form.put("length_m", Some(unit.text(boat.length_m.number())));
            form.put("beam_m", boat.beam_m.map(|beam| unit.text(beam.number())));
            form.put("engine", boat.engine.and_then(word));
            form.put("fuel", boat.fuel.and_then(word));
            form.put("propane", boat.propane.filter(|aboard| *aboard).map(|_| "yes"));
            form.put("top_speed_kn", boat.top_speed_kn);
            form.put("pattern", boat.sails.then(|| HullPattern::Sail.word()));
            form.put("rules", word(plan.job.rules));
            let is_24 = plan.job.nominal_v.number() > 18.0;
            form.put("voltage", Some(if is_24 { BoatVoltage::V24 } else { BoatVoltage::V12 }.word()));
            form.put(WISHES, plan.job.wishes.as_ref());
        }
    }
    form
}

fn put(form: &mut Form, request: &ProposalRequest, unit: LengthUnit) {
    let boat = &request.boat;
    form.put("pattern", Some(boat.pattern.word()));
    form.put("length_m", Some(unit.text(boat.length_m.number())));
    form.put("beam_m", boat.beam_m.map(|beam| unit.text(beam.number())));
    form.put("top", Some(boat.top.word()));
    form.put("engine", word(boat.engine));
    form.put("fuel", word(boat.fuel));
    form.put("engines", Some(boat.engines.word()));
    form.put("propane", boat.propane.then_some("yes"));
    form.put("top_speed_kn", boat.top_speed_kn);
    form.put("banks", Some(boat.banks.word()));
    form.put("chemistry", word(boat.chemistry));
    form.put("capacity_ah", boat.capacity_ah);
    form.put("voltage", Some(boat.voltage.word()));
    form.put("rules", word(boat.rules));
    form.put(WISHES, Some(&request.wishes));
}

/// The request; `None` if a field has an error.
pub(super) fn read(form: &mut Form, plan: &Plan, unit: LengthUnit) -> Option<ProposalRequest> {
    let length = form.length("length_m", unit);
    if length.is_none() && form.error("length_m").is_none() {
        form.refuse("length_m", "Required.");
    }
    let (beam_m, propane) = (form.length("beam_m", unit), form.flag("propane"));
    let (top_speed_kn, capacity_ah) = (form.optional("top_speed_kn"), form.optional("capacity_ah"));
    let pattern = form.required_choice::<HullPattern>("pattern");
    let engine = form.required_choice::<Engine>("engine");
    let fuel = form.required_choice::<Fuel>("fuel");
    let banks = form.required_choice::<BankCount>("banks");
    let rules = form.required_choice::<RuleSet>("rules");
    let top = form.choice::<Top>("top").unwrap_or_default();
    let engines = form.choice::<EngineCount>("engines").unwrap_or_default();
    let chemistry = form.choice::<Chemistry>("chemistry").unwrap_or(Chemistry::Agm);
    let voltage = form.choice::<BoatVoltage>("voltage").unwrap_or_default();
    let wishes = form.optional(WISHES);
    if wishes.is_none() && form.error(WISHES).is_none() {
        form.refuse(WISHES, "Write at least one wish.");
    }
    form.sound()?;
    Some(ProposalRequest {
        boat: BoatForm {
            name: plan.boat.name.clone(),
            pattern: pattern?,
            length_m: length?,
            beam_m,
            top,
            engine: engine?,
            fuel: fuel?,
            engines,
            propane,
            top_speed_kn,
            banks: banks?,
            chemistry,
            capacity_ah,
            voltage,
            rules: rules?,
        },
        wishes: wishes?,
    })
}

/// The fields of the boat form, in order.
pub(super) fn fields(form: &Form, unit: LengthUnit) -> Vec<Field> {
    vec![
        form.select(
            "pattern",
            "Hull pattern",
            &choices(HullPattern::ALL, HullPattern::word, HullPattern::words),
        )
        .required(),
        form.length_field("length_m", "Length over all", unit).required(),
        form.length_field("beam_m", "Beam", unit),
        form.select("top", "Over the helm", &choices(Top::ALL, Top::word, Top::words)).unmarked(),
        form.select("engine", "Engine", &ENGINES).required(),
        form.select(
            "engines",
            "How many engines",
            &choices(EngineCount::ALL, EngineCount::word, EngineCount::words),
        )
        .unmarked(),
        form.select("fuel", "Fuel", &FUELS).required(),
        form.check("propane", "Propane aboard"),
        form.number("top_speed_kn", "Top speed", "kn"),
        form.select("banks", "Battery banks", &choices(BankCount::ALL, BankCount::word, BankCount::words))
            .required(),
        form.select("chemistry", "Chemistry", &CHEMISTRIES).unmarked(),
        form.number("capacity_ah", "Capacity of the house bank", "Ah").hint("Left empty: what a day needs"),
        form.select("voltage", "Voltage", &choices(BoatVoltage::ALL, BoatVoltage::word, BoatVoltage::words))
            .unmarked(),
        form.select("rules", "Rules", &RULES).required(),
    ]
}

const ENGINES: [(&str, &str); 4] =
    [("", "Choose one"), ("outboard", "outboard"), ("inboard", "inboard"), ("none", "none")];
const FUELS: [(&str, &str); 4] =
    [("", "Choose one"), ("gasoline", "gasoline"), ("diesel", "diesel"), ("electric", "electric")];
const CHEMISTRIES: [(&str, &str); 4] = [
    ("agm", "absorbed glass mat"),
    ("flooded", "flooded lead-acid"),
    ("gel", "gel"),
    ("lifepo4", "lithium iron phosphate"),
];
const RULES: [(&str, &str); 3] =
    [("", "Choose one"), ("us", "US rules (33 CFR 183)"), ("iso", "ISO rules (ISO 10133 and 13297)")];

fn choices<T: Copy, W: Display>(
    all: &[T],
    word: fn(T) -> W,
    words: fn(T) -> &'static str,
) -> Vec<(String, &'static str)> {
    let first = (String::new(), "Choose one");
    std::iter::once(first).chain(all.iter().map(|one| (word(*one).to_string(), words(*one)))).collect()
}

/// The label of a field, for the list of errors.
pub(super) fn label(field: &str) -> Option<String> {
    let label = match field {
        "pattern" => "Hull pattern",
        "length_m" => "Length over all",
        "beam_m" => "Beam",
        "engine" => "Engine",
        "fuel" => "Fuel",
        "top_speed_kn" => "Top speed",
        "banks" => "Battery banks",
        "capacity_ah" => "Capacity of the house bank",
        "rules" => "Rules",
        WISHES => "Wishes",
        _ => return None,
    };
    Some(label.to_owned())
}
