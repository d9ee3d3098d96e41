//! The boat plan as pages show it: both ways round, the style sheet shows the one that fits.

use askama::Template;

use crate::drawing::boat_plan::{self, Bow, Lit, View};
use crate::drawing::svg::Drawing;
use crate::web::job::Opened;

/// The boat from above, bow to the right and bow up.
#[derive(Template)]
#[template(path = "layout/drawn.html")]
pub struct BoatPlan {
    drawings: [Drawing; 2],
}

impl askama::filters::HtmlSafe for BoatPlan {}

impl BoatPlan {
    /// The plan of a job's boat; none while no place has a spot on it.
    pub fn where_places_are(job: &Opened, lit: &Lit) -> Option<Self> {
        let drawn = job.plan.places.iter().any(|place| place.at.is_some());
        drawn.then(|| Self::of(job, lit, None))
    }

    /// The plan of a job's boat, with what is in hand lit up, over a sketch or photo where there is one.
    pub fn of(job: &Opened, lit: &Lit, sketch: Option<&str>) -> Self {
        let href = job.href();
        let place = |id: &_| Some(format!("{href}/plan/places/{id}"));
        let passage = |id: &_| Some(format!("{href}/plan/passages/{id}"));
        let drawings = [Bow::Right, Bow::Up].map(|bow| {
            let sketch = sketch.map(str::to_owned);
            let view = View { bow, lit: lit.clone(), place: &place, passage: &passage, sketch };
            boat_plan::draw(&job.plan, &view)
        });
        Self { drawings }
    }
}
