//! The pages: extractors, forms and answers. No rule of the trade lives here.
//!
//! # The rooms
//!
//! | room | content | what it may name |
//! |---|---|---|
//! | [`routes`], [`server`], `places`, this file | the route table, the connections, the program as one service | every room |
//! | `<family>/` | the pages of one subject, such as [`circuit`] or [`report`] | parts, kit |
//! | [`parts`] | pieces that several families show | kit |
//! | [`kit`] | what every page uses | tls |
//! | [`tls`] | the program's own certificates | no other room |
//!
//! A family never names another family. What two families need goes into parts or kit. No two files name each
//! other in a circle. `tests/rooms` reads every import and fails if one breaks these rules.
//!
//! # How a page is made
//!
//! One page is one handler file and one template. The order in the file: the view struct, the
//! methods its template calls, the handlers, the pure helpers, the tests. In such a file `Page` is the view and `Row`
//! a row of its table; both are private. Copy `job/intake.rs` with `templates/job/intake.html` for a new
//! form, `shop/floor.rs` for a new list.
//!
//! 1. **The address** is one line in [`routes::table`]: verb, path, action, handler. The guard
//!    ([`kit::guard`]) asks [`Access`](crate::shop::access::Access) before the handler runs, for the job too if the
//!    address names one. A test tries every line with every role, with and without a grant.
//! 2. **The view** is a struct with `#[derive(Template)]`. Its field `title_block` comes from
//!    [`Frame::title_block`](kit::frame::Frame::title_block) or, on a page of a job, from
//!    [`Opened::title_block`](kit::opened::Opened::title_block). It gives the layout its title block and menus.
//!    Templates get finished values: a figure is a [`Figure`](kit::figure::Figure), a level a
//!    [`LevelMark`](parts::finding::LevelMark), a wire a [`DrawnWire`](crate::drawing::wire::DrawnWire). Templates
//!    begin with `{% extends "layout.html" %}` and fill the block `content`; the layout writes the `h1`.
//! 3. **The handler** takes the [`Frame`](kit::frame::Frame) and what it needs from the path, and returns
//!    `Result<impl IntoResponse, Error>`. [`Error`] is the only error type; [`kit::error_page::show`] shows it.
//! 4. **A form** arrives as [`Form`](kit::form::Form): read each field with `required` or `optional` into a type of
//!    `job::value`, then call `sound`. If it has errors, answer 422 with the same page and the same form; the
//!    template writes `{% include "partials/refusals.html" %}` and then its fields, such as
//!    `{{ form.number("length_m", "Length overall", "m").required() }}`. If it has none, save and answer
//!    with a redirect (303) to a page.
//! 5. **Faster with script**: a form marked `data-quick` is sent in the background. Every element marked
//!    `data-live` that has an id is then replaced by its new version from the answered page. Such forms
//!    need an id of their own, so that the focus stays.
//! 6. **Open without network**: over HTTPS `static/worker.js` keeps the pages of the floor and of jobs that were
//!    opened. A link marked `data-ahead` leads to the next page, so that it is loaded beforehand. A page that a
//!    tablet must not keep sets `Cache-Control: no-store` itself; then it gets no `X-User`.
//! 7. **Nothing inline**: the content policy refuses `style=` and `onclick=`. Lengths that come from data are
//!    drawn in SVG by attributes.

pub mod boards;
pub mod circuit;
pub mod electrics;
pub mod hand;
pub mod help;
pub mod job;
pub mod kit;
pub mod labels;
pub mod layout;
pub mod open_items;
pub mod parts;
pub mod people;
pub mod phases;
mod places;
pub mod plan;
pub mod report;
pub mod routes;
pub mod server;
pub mod shop;
pub mod tls;

use std::sync::Arc;

use axum::middleware::from_fn_with_state;
use axum::{Extension, Router};

pub use kit::{AppState, Error, ServerSettings};

/// The whole program as one service: routes, guards and defenses. Tests build the same service.
pub fn app(state: AppState) -> Router {
    let routes = routes::router(&state).fallback(kit::error_page::unknown_address);
    // Handlers get what their family keeps in memory as an extension beside the state.
    let routes = routes.layer(Extension(Arc::new(shop::summaries::Summaries::default())));
    let service = kit::defence::around(routes, &state).with_state(state.clone());
    Router::new().fallback_service(service).layer(from_fn_with_state(state, kit::resume::go_on))
}
