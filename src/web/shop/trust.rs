//! How a tablet comes to trust this shop's certificate authority.
//!
//! Anyone may open this page: a person whose tablet does not trust the authority yet should not type a passphrase.
//! Nothing on the page is secret. Only the fingerprint proves that it is the right authority: it must equal the one
//! printed at the machine.

use askama::Template;
use axum::extract::State;
use axum::http::header;
use axum::response::{Html, IntoResponse};

use crate::drawing::qr;
use crate::drawing::svg::{Caption, Drawing};
use crate::web::kit::frame::Frame;
use crate::web::kit::identify::TRUST;
use crate::web::kit::origin::Origin;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "trust.html")]
struct Page {
    title_block: TitleBlock,
    authority: Option<Told>,
}

/// What the page shows of the authority.
struct Told {
    fingerprint: Vec<String>,
    until: String,
    code: Option<Code>,
}

/// The address of the page, to scan with a camera.
struct Code {
    drawing: Drawing,
    address: String,
}

impl Code {
    fn new(origin: &Origin) -> Option<Self> {
        let address = origin.address(TRUST)?;
        let caption = Caption { title: "Code of this page".to_owned(), words: address.clone() };
        Some(Self { drawing: qr::draw(&address, &caption)?, address })
    }
}

/// The page.
pub async fn show(frame: Frame, origin: Origin, State(app): State<AppState>) -> Result<Html<String>, Error> {
    let authority = app.identity().map(|identity| identity.authority()).map(|authority| Told {
        fingerprint: authority.fingerprint(),
        until: frame.local(authority.until).date().to_string(),
        code: Code::new(&origin),
    });
    html(&Page {
        title_block: frame.title_block("Trust this shop").help("network#https-by-itself"),
        authority,
    })
}

/// The certificate of the authority as a file (`application/x-x509-ca-cert`, DER), which devices offer to install.
pub async fn certificate(State(app): State<AppState>) -> Result<impl IntoResponse, Error> {
    let identity = app.identity().ok_or(Error::NotFound("certificate authority"))?;
    let headers = [
        (header::CONTENT_TYPE, "application/x-x509-ca-cert"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"driploop-authority.crt\""),
    ];
    Ok((headers, identity.authority().certificate.clone()))
}
