//! A location: its form.

use serde_json::Value;

use super::edit::{Edit, Thing};
use super::inputs::{aside, id};
use super::next_id::next;
use crate::job::plan::{HoleFill, Location, Vapor};
use crate::job::value::{AheadM, LengthM, LocationId, Name, UpM};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, Input};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

impl Thing for Location {
    const TAB: Tab = Tab::Locations;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("location", 1, job.plan.locations.iter().map(|location| &location.id))));
    }

    fn declared() -> Declared<Edit> {
        let [distance, side] = aside("at.starboard_m", "at.aside_m", "at.side");
        Declared::new()
            .group(
                FieldGroup::new("Location").inputs([
                    id::<LocationId>(),
                    Input::text::<Name>("name", "Name")
                        .required()
                        .hint("Such as: Helm console, Bow locker, Transom"),
                    Input::length::<LengthM>("rise_m", "Rise of wires here")
                        .help("locations#rise")
                        .hint("From the end of the raceway to the terminals. Empty: as set for the job"),
                    Input::check("engine_space", "In an engine space"),
                    Input::select::<Vapor>("vapor", "Gasoline or propane vapor", Edit::vapors)
                        .help("locations#vapor"),
                    Input::check("wet", "Water reaches it"),
                    Input::check("below_waterline", "Below the waterline"),
                ]),
            )
            .group(
                FieldGroup::new("Holes of the old fittings").inputs([
                    Input::number::<u16>("old_holes", "Left to close", "holes")
                        .hint("Empty: not counted yet. 0: none, so there is nothing to mark as done"),
                    Input::select::<HoleFill>("closed_with", "Closed with", Edit::hole_fills),
                ]),
            )
            .group(
                FieldGroup::new("Position on the boat")
                    .hint("What is not known may stay empty. You can also move the location on the")
                    .link("boat plan", |edit: &Edit| format!("{}/layout", edit.job.href()))
                    .inputs([
                        Input::length::<AheadM>("at.ahead_m", "Ahead of the transom")
                            .needed("This is needed where the rest of the position is given."),
                        distance.blank(|| Value::from(0.0)),
                        side,
                        Input::length::<UpM>("at.up_m", "Above the keel")
                            .hint("Counts in the lengths taken from the boat plan"),
                    ]),
            )
    }
}
