//! A raceway: its form.

use super::edit::{Edit, Thing};
use super::inputs::id;
use super::next_id::next;
use crate::job::plan::{Condition, PullString, Raceway, RacewayKind};
use crate::job::value::{LengthM, LocationId, Name, RacewayId, SizeMm};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, Input};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

impl Thing for Raceway {
    const TAB: Tab = Tab::Locations;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("way", 1, job.plan.raceways.iter().map(|raceway| &raceway.id))));
    }

    fn declared() -> Declared<Edit> {
        Declared::new().group(
            FieldGroup::new("Raceway").inputs([
                id::<RacewayId>(),
                Input::select::<RacewayKind>("kind", "What it is", Edit::raceway_kinds).required(),
                Input::select::<LocationId>("between[0]", "From", Edit::locations).required(),
                Input::select::<LocationId>("between[1]", "To", Edit::locations).required().also("between"),
                Input::text::<Name>("name", "Name").hint("Such as: Port tube in the sole"),
                Input::length::<LengthM>("length_m", "Length, measured")
                    .hint("Empty: from where its two locations are on the boat plan"),
                Input::number::<SizeMm>("bore_mm", "Inner diameter", "mm").hint("Of a tube or a hole"),
                Input::select::<PullString>("pull_string", "Pull string", Edit::pull_strings),
                Input::select::<Condition>("condition", "Condition", Edit::conditions),
                Input::check("engine_space", "Through an engine space"),
                Input::check("wet", "Water collects or runs in it"),
            ]),
        )
    }
}
