//! Files that are part of the program: style sheet, scripts and icons.
//!
//! Each address has the hash of the file in it, so a browser may keep the file for good.
//! An address of an older version of the program still works; the browser then asks again each time.

use std::collections::HashMap;
use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use rust_embed::{Embed, EmbeddedFile};
use sha2::{Digest, Sha256};

use super::{Error, manual};

#[derive(Embed)]
#[folder = "static/"]
struct Files;

/// The parts of the style sheet by subject, in the order they apply.
const STYLE_PARTS: &[&str] = &[
    "css/tokens.css",
    "css/base.css",
    "css/sheet.css",
    "css/parts.css",
    "css/forms.css",
    "css/wire.css",
    "css/drawing.css",
    "css/boards.css",
    "css/boat.css",
    "css/electrics.css",
    "css/floor.css",
    "css/hand.css",
    "css/help.css",
    "css/job.css",
    "css/labels.css",
    "css/phases.css",
    "css/plan.css",
    "css/print.css",
    "css/report.css",
];

/// The script that keeps pages for use without network. A script keeps only pages below its own address, so this one
/// is not served among the other files.
const WORKER: &str = "worker.js";

/// Pictures of the README, which no page shows.
const README: &str = "readme/";

struct Asset {
    body: Vec<u8>,
    kind: &'static str,
    hash: String,
}

impl Asset {
    fn new(body: Vec<u8>, kind: &'static str) -> Self {
        let digest = Sha256::digest(&body);
        let hash = digest.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
        Self { body, kind, hash }
    }

    fn file(name: &str, file: &EmbeddedFile) -> Self {
        Self::new(file.data.to_vec(), kind_of(name))
    }
}

static ASSETS: LazyLock<HashMap<String, Asset>> = LazyLock::new(|| {
    let mut assets: HashMap<String, Asset> = Files::iter()
        .filter(|name| !["css/", README].iter().any(|folder| name.starts_with(folder)) && name != WORKER)
        .filter_map(|name| Some((name.to_string(), Asset::file(&name, &Files::get(&name)?))))
        .collect();
    assets.insert("driploop.css".to_owned(), Asset::new(style_sheet(), "text/css; charset=utf-8"));
    assets
});

/// The media type for a file name.
fn kind_of(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("svg") => "image/svg+xml",
        Some("js") => "text/javascript; charset=utf-8",
        Some("html") => "text/html; charset=utf-8",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}

fn style_sheet() -> Vec<u8> {
    STYLE_PARTS.iter().filter_map(|name| Files::get(name)).flat_map(|file| file.data.to_vec()).collect()
}

/// The address of a file, with its hash in it.
pub fn address(name: &str) -> String {
    let hash = ASSETS.get(name).map_or("0", |asset| asset.hash.as_str());
    format!("/static/{hash}/{name}")
}

/// Serves one file.
pub async fn file(Path((hash, name)): Path<(String, String)>, request: HeaderMap) -> Result<Response, Error> {
    let asset = ASSETS.get(&name).ok_or(Error::NotFound("file"))?;
    let tag = format!("\"{}\"", asset.hash);
    let keep = if hash == asset.hash { "public, max-age=31536000, immutable" } else { "no-cache" };
    let mut headers = HeaderMap::new();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(keep));
    headers.insert(header::ETAG, header_value(&tag)?);
    if request.get(header::IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, headers).into_response());
    }
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(asset.kind));
    Ok((headers, asset.body.clone()).into_response())
}

/// Serves the script that keeps pages, with its build and the list of files and help pages to keep.
pub async fn worker() -> Result<impl IntoResponse, Error> {
    let script = Files::get(WORKER).ok_or(Error::NotFound("file"))?;
    let mut files: Vec<(&str, &str)> =
        ASSETS.iter().map(|(name, asset)| (name.as_str(), asset.hash.as_str())).collect();
    files.sort_unstable();
    let texts: Vec<&str> = manual::pages().map(|page| page.markdown).collect();
    let build = Asset::new(format!("{files:?}{texts:?}").into_bytes(), "").hash;
    let names: Vec<&str> = files.into_iter().map(|(name, _)| name).collect();
    let pages = manual::pages().map(|page| manual::address(page.name));
    let help: Vec<String> = std::iter::once(manual::ADDRESS.to_owned()).chain(pages).collect();
    let head = format!("const BUILD = {build:?};\nconst FILES = {names:?};\nconst HELP = {help:?};\n");
    Ok(([(header::CONTENT_TYPE, kind_of(WORKER))], [head.as_bytes(), &script.data].concat()))
}

fn header_value(text: &str) -> Result<HeaderValue, Error> {
    HeaderValue::from_str(text).map_err(Error::internal)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_of_the_style_sheet_is_there_and_none_is_forgotten() {
        let mut listed = STYLE_PARTS.to_vec();
        let mut there: Vec<String> =
            Files::iter().filter(|name| name.starts_with("css/")).map(|name| name.to_string()).collect();
        listed.sort_unstable();
        there.sort_unstable();
        assert_eq!(listed, there);
    }

    #[test]
    fn an_address_names_the_hash_of_its_file() {
        let address = address("driploop.css");
        assert!(address.starts_with("/static/") && address.ends_with("/driploop.css"));
        assert!(!address.contains("/0/"), "{address}");
    }

    #[test]
    fn every_file_has_a_media_type_of_its_own() {
        for (name, asset) in ASSETS.iter() {
            assert_ne!(asset.kind, "application/octet-stream", "{name}");
        }
    }
}
