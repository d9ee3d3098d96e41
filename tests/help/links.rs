//! Every link to a page of the help, or to a heading in one, leads somewhere.

use std::fs;
use std::path::{Path, PathBuf};

use driploop::job::phase::Phase;
use driploop::web::help::book;
use driploop::web::kit::page::Tab;
use driploop::web::routes;

/// Whether there is a page, and in it the heading that is named: `circuits` or `circuits#bundle`.
fn leads_somewhere(topic: &str) -> bool {
    let (name, anchor) = topic.split_once('#').map_or((topic, None), |(name, anchor)| (name, Some(anchor)));
    let page = book::page(name);
    page.is_some_and(|page| anchor.is_none_or(|anchor| page.anchors.iter().any(|known| known == anchor)))
}

/// What follows each `mark` up to the `end`.
fn after<'t>(text: &'t str, mark: &'t str, end: char) -> impl Iterator<Item = &'t str> {
    text.split(mark).skip(1).filter_map(move |rest| Some(rest.split_once(end)?.0))
}

fn files(folder: &str, ending: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    collect(Path::new(folder), ending, &mut found);
    assert!(!found.is_empty(), "{folder}");
    found
}

fn collect(folder: &Path, ending: &str, found: &mut Vec<(PathBuf, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, ending, found);
        } else if path.extension().is_some_and(|own| own == ending) {
            let text = fs::read_to_string(&path).unwrap();
            found.push((path, text));
        }
    }
}

#[test]
fn links_within_the_help_lead_somewhere() {
    let mut count = 0;
    for page in book::pages() {
        for href in after(page.html.as_str(), "href=\"", '"') {
            count += 1;
            let topic = href.strip_prefix("/help/");
            let known = match topic {
                Some(topic) => leads_somewhere(topic),
                None => routes::table().iter().any(|route| route.path == href),
            };
            assert!(known, "{}: {href}", page.name);
        }
    }
    assert!(count > 50, "{count} links");
}

#[test]
fn links_from_pages_and_fields_lead_somewhere() {
    let mut topics: Vec<(PathBuf, String)> = Vec::new();
    for (path, text) in files("templates", "html") {
        let links = after(&text, "/help/", '"').filter(|topic| !topic.contains("{{"));
        let fields = after(&text, ".help(\"", '"');
        topics.extend(links.chain(fields).map(|topic| (path.clone(), topic.to_owned())));
    }
    for (path, text) in files("src", "rs") {
        let named = after(&text, ".help(\"", '"').chain(after(&text, "manual::address(\"", '"'));
        topics.extend(named.map(|topic| (path.clone(), topic.to_owned())));
    }
    for (path, topic) in &topics {
        assert!(leads_somewhere(topic), "{}: {topic}", path.display());
    }
    assert!(topics.len() >= 10, "{topics:?}");
}

#[test]
fn every_page_of_a_job_has_its_explanation() {
    let tabs = Tab::GROUPS.iter().flat_map(|(_, tabs)| tabs.iter().copied());
    for tab in tabs.chain(Phase::ALL.map(Tab::Phase)) {
        assert!(leads_somewhere(tab.topic()), "{}: {}", tab.title(), tab.topic());
    }
}

#[test]
fn links_from_the_readme_lead_somewhere() {
    let mut count = 0;
    for name in ["README.md", "DEVELOPERS.md"] {
        let text = fs::read_to_string(name).unwrap();
        for target in after(&text, "](", ')') {
            let (file, anchor) = target.split_once('#').unwrap_or((target, ""));
            assert!(Path::new(file).exists(), "{name}: {target}");
            if let Some(page) = file.strip_prefix("templates/help/").and_then(|page| page.strip_suffix(".md"))
            {
                count += 1;
                let topic = if anchor.is_empty() { page.to_owned() } else { format!("{page}#{anchor}") };
                assert!(leads_somewhere(&topic), "{name}: {target}");
            }
        }
    }
    assert!(count >= 5, "{count} links to the help");
}
