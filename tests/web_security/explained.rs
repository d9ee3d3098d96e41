//! Every page, and every field and finding on it that says so, leads to what explains it in the help.

use axum::http::{Method, StatusCode};
use driploop::shop::role::Role;
use driploop::store::file;
use driploop::web::help::book;
use driploop::web::routes;

use crate::roles::filled;
use crate::shop::{JOB, Shop};

/// The topics of the help that a page leads to.
fn topics(page: &str) -> impl Iterator<Item = &str> {
    page.split("href=\"/help/").skip(1).filter_map(|rest| Some(rest.split_once('"')?.0))
}

#[tokio::test]
async fn every_page_leads_to_what_explains_it() {
    let shop = Shop::open().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    let manager = shop.sign_in(Role::Manager).await;
    let (mut pages, mut fields) = (0, 0);
    for route in routes::table() {
        let answers_at_once = route.method == Method::GET && !route.path.ends_with("/live");
        if !answers_at_once || route.path.starts_with("/help") {
            continue;
        }
        let path = filled(route.path, &plan);
        let answer = shop.get(&manager, &path).await;
        if answer.status != StatusCode::OK || !answer.text.contains("<main") {
            continue;
        }
        pages += 1;
        let title_block = answer.text.split("</header>").next().unwrap();
        assert_eq!(topics(title_block).count(), 1, "{path} leads to no help");
        for topic in topics(&answer.text) {
            let (name, anchor) = topic.split_once('#').unwrap_or((topic, ""));
            let page = book::page(name).unwrap_or_else(|| panic!("{path}: no help page {name}"));
            let known = anchor.is_empty() || page.anchors.iter().any(|known| known == anchor);
            assert!(known, "{path}: {topic}");
        }
        fields += topics(&answer.text).count() - 1;
    }
    assert!(pages > 40 && fields > 15, "{pages} pages, {fields} links from what is on them");
}
