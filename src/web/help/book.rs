//! All pages of the help, rendered once.

use std::sync::LazyLock;

use super::render::{self, Markup, Section};
use crate::web::kit::manual;

/// One page of the help.
#[derive(Debug)]
pub struct HelpPage {
    /// Its name in addresses and links.
    pub name: &'static str,
    /// Its title.
    pub title: String,
    /// The HTML below the title.
    pub html: Markup,
    /// Its text without markup, heading by heading; the first section is above the first heading.
    pub sections: Vec<Section>,
    /// Every anchor in it that a link can lead to.
    pub anchors: Vec<String>,
}

impl HelpPage {
    /// Its address.
    pub fn address(&self) -> String {
        manual::address(self.name)
    }

    /// The first sentence of its first paragraph.
    pub fn summary(&self) -> &str {
        let top = self.sections.first().map_or("", |section| section.text.trim());
        top.split_once(". ").map_or(top, |(first, _)| first).trim_end_matches('.')
    }
}

static PAGES: LazyLock<Vec<HelpPage>> = LazyLock::new(|| manual::pages().map(rendered).collect());

fn rendered(text: &manual::Text) -> HelpPage {
    let render::Rendered { title, html, sections, anchors } = render::render(text.markdown);
    HelpPage { name: text.name, title, html, sections, anchors }
}

/// Every page in reading order.
pub fn pages() -> &'static [HelpPage] {
    &PAGES
}

/// The page with this name.
pub fn page(name: &str) -> Option<&'static HelpPage> {
    pages().iter().find(|page| page.name == name)
}
