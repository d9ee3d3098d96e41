//! A photo of a job as pages show it.

use askama::Template;

use crate::store::photos::Photo;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;

/// A photo as pages show it.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/photo.html")]
pub struct PhotoPiece {
    /// Its address.
    pub href: String,
    /// Its number.
    pub number: String,
    /// Its subject, as a kind and an id.
    pub subject: String,
    width: u32,
    height: u32,
    by: String,
    at: String,
}

impl askama::filters::HtmlSafe for PhotoPiece {}

impl PhotoPiece {
    /// A photo of a job.
    pub fn of(photo: &Photo, job: &Opened, frame: &Frame) -> Self {
        Self {
            href: format!("{}/photos/{}", job.href(), photo.id),
            number: photo.id.to_string(),
            subject: photo.subject.to_string(),
            width: photo.width,
            height: photo.height,
            by: photo.by.to_string(),
            at: frame.moment(photo.at),
        }
    }
}
