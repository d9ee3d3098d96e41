//! The log of the shop: people, sign-ins, settings and deleted jobs, the newest on top.

use askama::Template;
use axum::extract::{Query, State};
use axum::response::Html;
use serde::Deserialize;

use crate::store::log::{self, LogLine};
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::differences::{self, Difference};

#[derive(Template)]
#[template(path = "shop/log.html")]
struct Page {
    title_block: TitleBlock,
    lines: Vec<Entry>,
    older: Option<i64>,
}

struct Entry {
    happened: Happened,
    changes: Vec<Difference>,
    /// The folder that keeps a deleted job.
    kept: Option<String>,
}

/// Which part of the log to show.
#[derive(Debug, Default, Deserialize)]
pub struct From {
    before: Option<i64>,
}

/// How many lines a page shows.
const LINES: u32 = 100;

/// The log of the shop.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Query(from): Query<From>,
) -> Result<Html<String>, Error> {
    let lines = log::of_shop(&mut *app.store().read().await?, from.before, LINES).await?;
    let full = lines.len() == usize::try_from(LINES).unwrap_or(usize::MAX);
    let older = lines.last().filter(|_| full).map(|line| line.id);
    let lines = lines.iter().map(|line| Entry::new(line, &frame)).collect();
    html(&Page { title_block: frame.title_block("Log of the shop").at(Here::ShopLog), lines, older })
}

impl Entry {
    fn new(line: &LogLine, frame: &Frame) -> Self {
        let kept = line.after.as_ref().and_then(|after| Some(after.get("kept")?.as_str()?.to_owned()));
        Self { happened: Happened::new(line, frame), changes: differences::of(line), kept }
    }
}
