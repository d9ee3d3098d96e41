//! A feeder: its form.

use super::edit::{Edit, Thing};
use super::inputs::{bundle, id, insulation, protection, route, size, wire_color};
use super::next_id::next;
use super::routed::USUAL_INSULATION_C;
use crate::job::plan::{Feeder, Polarity};
use crate::job::value::{FeederId, Label, LengthM, PointId};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, Input};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

impl Thing for Feeder {
    const TAB: Tab = Tab::Feeders;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("F", 1, job.plan.feeders.iter().map(|feeder| &feeder.id))));
        let insulation =
            job.plan.feeders.last().map_or(USUAL_INSULATION_C, |last| last.insulation_c.number());
        form.put("insulation_c", Some(insulation));
    }

    fn declared() -> Declared<Edit> {
        Declared::new()
            .group(FieldGroup::new("Feeder").inputs([
                id::<FeederId>(),
                Input::text::<Label>("label", "Label on its wire").hint("Empty: its id"),
                Input::select::<Polarity>("polarity", "Side", Edit::polarities).required(),
                Input::select::<PointId>("from", "From", Edit::all_points)
                    .required()
                    .hint("Where the current comes from"),
                Input::select::<PointId>("to", "To", Edit::all_points).required(),
                Input::check("cranking", "Feeds a cranking motor"),
            ]))
            .group(protection())
            .group(FieldGroup::new("Wire").inputs([
                size(),
                Input::length::<LengthM>("length_m", "Length one way").help("circuits#length").hint("Empty: along its route"),
                insulation(),
                wire_color("color", "Color").hint("Empty: red, or black of a negative"),
                bundle(),
                Input::check("jacketed", "In a jacket up to its fuse"),
            ]))
            .group(route(
                "Empty: the shortest route with room. To set it by hand, choose the raceways in order from its start.",
            ))
    }
}
