//! The drilling template of a board, as PDF.

use axum::extract::{Path, State};
use axum::response::Response;

use crate::job::board::parts;
use crate::job::label::Paper;
use crate::job::value::BoardId;
use crate::paper::template;
use crate::store::JobId;
use crate::web::kit::download::{Kind, download};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::{AppState, Error};

/// The template on pages of this paper size.
pub async fn pdf(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, id, paper)): Path<(JobId, BoardId, String)>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let paper = Paper::ALL.into_iter().find(|known| known.key() == paper).ok_or(Error::NotFound("paper"))?;
    let board = job.plan.board(&id).cloned().ok_or(Error::NotFound("board"))?;
    let count = template::sheets(paper, &board);
    if count > template::MOST_SHEETS {
        let words = format!(
            "The template needs {count} sheets; the limit is {}. Use larger paper or a smaller board.",
            template::MOST_SHEETS
        );
        return Err(Error::Conflict(words));
    }
    let head = template::TemplateHead {
        boat: job.plan.boat.name.to_string(),
        job: format!("{} {}", job.id, job.plan.job.name),
        date: frame.today().to_string(),
    };
    let (plan, name) = (job.plan.clone(), format!("{id}-drilling"));
    let set = move || template::print(&head, paper, &board, &parts::on(&plan, &board.id));
    let pdf = app.line().run(job.load, set).await.map_err(Error::internal)?.map_err(Error::internal)?;
    Ok(download(Kind::Pdf, job.plan.boat.name.as_str(), job.id, &name, pdf))
}
