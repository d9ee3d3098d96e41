//! The labels already on wires that a change of the plan made wrong, and the link to print them again.

use askama::Template;
use askama::filters::HtmlSafe;

use super::wires;
use crate::job::moved;
use crate::web::kit::opened::Opened;

/// The wires to label again, as a piece of a page.
#[derive(Debug, Template)]
#[template(path = "labels/relabel.html")]
pub struct Relabel {
    wires: Vec<Named>,
    print: String,
}

impl HtmlSafe for Relabel {}

#[derive(Debug)]
struct Named {
    href: String,
    id: String,
    way: String,
}

impl Relabel {
    /// The wires of a job to label again; `None` if no change moved any.
    pub fn of(job: &Opened) -> Option<Self> {
        let wires: Vec<Named> = moved::to_label(job.pieces(), &job.progress())
            .into_iter()
            .map(|piece| Named {
                href: wires::href(job, piece),
                id: piece.label().to_owned(),
                way: wires::way(&job.plan, piece),
            })
            .collect();
        let print = format!("{}/labels?wires=anew", job.href());
        (!wires.is_empty()).then_some(Self { wires, print })
    }
}
