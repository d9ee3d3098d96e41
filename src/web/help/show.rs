//! One page of the help.

use askama::Template;
use axum::extract::Path;
use axum::response::Html;

use super::book::{self, HelpPage};
use super::render::Section;
use crate::web::kit::Error;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};

#[derive(Template)]
#[template(path = "help/page.html")]
struct Shown {
    title_block: TitleBlock,
    page: &'static HelpPage,
    before: Option<&'static HelpPage>,
    after: Option<&'static HelpPage>,
}

impl Shown {
    /// The headings of the page, each with its anchor.
    fn headings(&self) -> impl Iterator<Item = (&str, &Section)> {
        self.page.sections.iter().filter_map(|section| Some((section.anchor.as_deref()?, section)))
    }
}

/// The page with this name.
pub async fn show(frame: Frame, Path(name): Path<String>) -> Result<Html<String>, Error> {
    let pages = book::pages();
    let at = pages.iter().position(|page| page.name == name).ok_or(Error::NotFound("help page"))?;
    let page = pages.get(at).ok_or(Error::NotFound("help page"))?;
    html(&Shown {
        before: at.checked_sub(1).and_then(|before| pages.get(before)),
        after: pages.get(at + 1),
        title_block: frame.title_block(page.title.as_str()).at(Here::Help),
        page,
    })
}
