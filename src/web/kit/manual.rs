//! The text of the program's help: Markdown pages in reading order.
//!
//! The pages are part of the program, so they match what it does and open without network. The family
//! [`help`](crate::web::help) shows them; [`assets`](super::assets) lists them for the browser to keep.

/// The address of the help.
pub const ADDRESS: &str = "/help";

/// Pages about one part of the work.
pub struct Chapter {
    /// Its subject.
    pub title: &'static str,
    /// Its pages in reading order.
    pub pages: &'static [Text],
}

/// The text of one page.
pub struct Text {
    /// Its name in addresses and links.
    pub name: &'static str,
    /// The page in Markdown; the first line is its title.
    pub markdown: &'static str,
}

/// Declares the chapters with the names of their pages; each name is a file in `templates/help`.
macro_rules! chapters {
    ($($title:literal: $($name:literal),+;)+) => {
        /// Every page, chapter by chapter.
        pub static CHAPTERS: &[Chapter] = &[$(Chapter {
            title: $title,
            pages: &[$(Text {
                name: $name,
                markdown: include_str!(concat!("../../../templates/help/", $name, ".md")),
            }),+],
        }),+];
    };
}

chapters! {
    "First": "start", "safety", "people", "shop", "offline";
    "The work": "strip-out", "mounting", "runs", "terminations", "switches", "power-up-test", "readings", "tie-down",
        "setup", "open-items", "holds", "releases";
    "The plan": "proposal", "locations", "boards", "distribution", "wishes", "devices", "circuits", "fuses", "modes";
    "Checks and calculations": "findings", "finding-codes", "supply", "energy", "lights", "sources";
    "On paper": "labels", "report";
    "For whoever runs it": "operating", "service", "network", "backups", "job-file", "job-check", "security";
}

/// Every page in reading order.
pub fn pages() -> impl Iterator<Item = &'static Text> {
    CHAPTERS.iter().flat_map(|chapter| chapter.pages)
}

/// The address of a page or of a heading in it: `circuits` or `circuits#bundle`.
pub fn address(topic: &str) -> String {
    format!("{ADDRESS}/{topic}")
}
