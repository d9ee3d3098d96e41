//! The boat plan as pages show it: in both directions, of which the style sheet shows the one that fits.

use askama::Template;

use super::photo::PhotoPiece;
use crate::drawing::boat_plan::{self, Bow, Lit, View};
use crate::drawing::svg::Drawing;
use crate::job::subject::{Subject, SubjectKind};
use crate::store::photos;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::{AppState, Error};

/// The boat from above, bow to the right and bow up.
#[derive(Template)]
#[template(path = "layout/drawn.html")]
pub struct BoatPlan {
    drawings: [Drawing; 2],
}

impl askama::filters::HtmlSafe for BoatPlan {}

impl BoatPlan {
    /// The plan of a job's boat; `None` while no location has a position on it.
    pub fn where_locations_are(job: &Opened, lit: &Lit) -> Option<Self> {
        let drawn = job.plan.locations.iter().any(|location| location.at.is_some());
        drawn.then(|| Self::drawn(job, lit, None, false))
    }

    /// The plan of a job's boat with its raceways numbered and `lit` highlighted, over a sketch or photo if there is
    /// one.
    pub fn of(job: &Opened, lit: &Lit, sketch: Option<&PhotoPiece>) -> Self {
        Self::drawn(job, lit, sketch.map(|sketch| sketch.href.as_str()), true)
    }

    fn drawn(job: &Opened, lit: &Lit, sketch: Option<&str>, numbered: bool) -> Self {
        let href = job.href();
        let location = |id: &_| Some(format!("{href}/plan/locations/{id}"));
        let raceway = |id: &_| Some(format!("{href}/plan/raceways/{id}"));
        let drawings = [Bow::Right, Bow::Up].map(|bow| {
            let sketch = sketch.map(str::to_owned);
            let (lit, units) = (lit.clone(), job.units);
            let view = View { bow, lit, location: &location, raceway: &raceway, sketch, units, numbered };
            boat_plan::draw(&job.plan, &view)
        });
        Self { drawings }
    }
}

/// The background sketch or photo of the plan: the latest photo of the whole boat.
///
/// # Errors
///
/// [`Error`]: the photos cannot be read.
pub async fn sketch(app: &AppState, job: &Opened, frame: &Frame) -> Result<Option<PhotoPiece>, Error> {
    let of_boat = Subject::new(SubjectKind::Job, "job");
    let photos = photos::of_job(&mut *app.store().read().await?, job.id).await?;
    let sketch = photos.iter().rfind(|photo| photo.subject == of_boat);
    Ok(sketch.map(|photo| PhotoPiece::of(photo, job, frame)))
}
