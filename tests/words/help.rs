//! The help and the README.

use std::fs;

use driploop::web::kit::manual;

use crate::retired::{in_text, prose};

#[test]
fn the_help_uses_no_retired_term() {
    let found: Vec<String> =
        manual::pages().flat_map(|page| in_text(page.name, &prose(page.markdown))).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_readme_uses_no_retired_term() {
    let found = in_text("README.md", &prose(&fs::read_to_string("README.md").unwrap()));
    assert!(found.is_empty(), "{}", found.join("\n"));
}
