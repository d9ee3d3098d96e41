//! The shop at the head of a paper: mark, name, address and phone.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::shop::profile::Profile;
use crate::store::mark;
use crate::web::kit::frame::Frame;
use crate::web::kit::{AppState, Error};

/// The shop at the head of a paper.
#[derive(Debug, Template)]
#[template(path = "partials/letterhead.html")]
pub struct Letterhead {
    shop: Option<Profile>,
    mark: Option<String>,
}

impl HtmlSafe for Letterhead {}

impl Letterhead {
    /// The head of the shop's papers as it is now.
    ///
    /// # Errors
    /// The store fails.
    pub async fn of(app: &AppState, frame: &Frame) -> Result<Self, Error> {
        let mark = mark::hash(&mut *app.store().read().await?).await?;
        Ok(Self { shop: frame.shop.clone(), mark })
    }
}
