//! A location: its form.

use askama::Template;
use serde::{Deserialize, Serialize};

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::plan::{Location, Spot};
use crate::job::subject::SubjectKind;
use crate::job::value::{LengthM, StarboardM};
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a location.
#[derive(Template)]
#[template(path = "plan/location.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

/// A side of the boat, as one faces forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Side {
    Port,
    Starboard,
}

impl Thing for Location {
    type Page = Page;

    const TAB: Tab = Tab::Locations;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("location", 1, job.plan.locations.iter().map(|location| &location.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        if let Some(at) = self.at {
            form.put("at.ahead_m", Some(unit.text(at.ahead_m.number())));
            put_aside(form, "at", at.starboard_m, unit);
            form.put("at.up_m", at.up_m.map(|up| unit.text(up.number())));
        }
        form.put("rise_m", self.rise_m.map(|rise| unit.text(rise.number())));
        form.put("engine_space", self.engine_space.then_some("yes"));
        form.put("wet", self.wet.then_some("yes"));
        form.put("below_waterline", self.below_waterline.then_some("yes"));
        form.put("old_holes", self.old_holes);
        form.put("closed_with", self.closed_with.and_then(word));
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let at = spot(form, unit);
        let rise_m = form.length("rise_m", unit);
        let (engine_space, wet) = (form.flag("engine_space"), form.flag("wet"));
        let below_waterline = form.flag("below_waterline");
        let (old_holes, closed_with) = (form.optional("old_holes"), form.choice("closed_with"));
        form.sound()?;
        Some(Self {
            id: id?,
            name: name?,
            at,
            rise_m,
            engine_space,
            wet,
            below_waterline,
            old_holes,
            closed_with,
        })
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

/// Where the location is; nowhere yet where none of it is given, and refused where only some is.
fn spot(form: &mut Form, unit: LengthUnit) -> Option<Spot> {
    let ahead = form.length("at.ahead_m", unit);
    let aside = aside(form, "at", unit);
    let up_m = form.length("at.up_m", unit);
    let ahead_m = match ahead {
        None if (aside.is_some() || up_m.is_some()) && form.error("at.ahead_m").is_none() => {
            form.refuse("at.ahead_m", "This is needed where the rest of the spot is given.");
            None
        }
        ahead => ahead,
    }?;
    Some(Spot { ahead_m, starboard_m: aside.or_else(|| StarboardM::try_from(0.0).ok())?, up_m })
}

/// Fills in how far from the centerline something is, and to which side.
pub(super) fn put_aside(form: &mut Form, group: &str, starboard: StarboardM, unit: LengthUnit) {
    let aside = starboard.number();
    form.put(&format!("{group}.aside_m"), Some(unit.text(aside.abs())));
    form.put(&format!("{group}.side"), word(if aside < 0.0 { Side::Port } else { Side::Starboard }));
}

/// Reads how far from the centerline something is; `None` where that is left empty or refused.
pub(super) fn aside(form: &mut Form, group: &str, unit: LengthUnit) -> Option<StarboardM> {
    let field = format!("{group}.aside_m");
    let side = form.choice(&format!("{group}.side"));
    let aside: LengthM = form.length(&field, unit)?;
    let sign = if side == Some(Side::Port) { -1.0 } else { 1.0 };
    let starboard = StarboardM::try_from(sign * aside.number());
    if starboard.is_err() {
        form.refuse(&field, "Expected at most 5 m from the centerline.");
    }
    starboard.ok()
}
