//! The list of help pages, chapter by chapter, with a search in all of them.

use askama::Template;
use axum::extract::Query;
use axum::response::Html;
use serde::Deserialize;

use super::book::{self, HelpPage};
use super::search::{self, HelpHit};
use crate::web::kit::Error;
use crate::web::kit::frame::Frame;
use crate::web::kit::manual;
use crate::web::kit::page::{Here, TitleBlock, html};

#[derive(Template)]
#[template(path = "help/list.html")]
struct List {
    title_block: TitleBlock,
    query: String,
    hits: Vec<HelpHit>,
    chapters: Vec<(&'static str, Vec<&'static HelpPage>)>,
}

/// The query of the page's address.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// The search text.
    pub q: String,
}

/// The list, or the search results.
pub async fn show(frame: Frame, Query(asked): Query<Asked>) -> Result<Html<String>, Error> {
    let pages =
        |chapter: &manual::Chapter| chapter.pages.iter().filter_map(|text| book::page(text.name)).collect();
    html(&List {
        hits: search::find(&asked.q),
        query: asked.q.trim().to_owned(),
        chapters: manual::CHAPTERS.iter().map(|chapter| (chapter.title, pages(chapter))).collect(),
        title_block: frame.title_block("Help").at(Here::Help),
    })
}
