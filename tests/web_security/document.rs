//! The help pages that promise something name tests that are there.

use std::fs;
use std::path::{Path, PathBuf};

/// Every test of the crate, by the name of its function.
fn tests() -> Vec<String> {
    let mut found = Vec::new();
    for folder in ["src", "tests"] {
        collect(Path::new(folder), &mut found);
    }
    found
}

fn collect(folder: &Path, found: &mut Vec<String>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            collect(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            let after_attribute = text.match_indices("test").map(|(at, word)| &text[at + word.len()..]);
            found.extend(after_attribute.filter_map(name_after_attribute));
        }
    }
}

/// The function that follows what ends a `#[test]` or a `#[tokio::test(…)]`.
fn name_after_attribute(rest: &str) -> Option<String> {
    let rest =
        rest.strip_prefix(']').or_else(|| rest.strip_prefix('(')?.split_once(")]").map(|(_, rest)| rest))?;
    let rest = rest.trim_start();
    let rest = rest.strip_prefix("async ").unwrap_or(rest).strip_prefix("fn ")?;
    Some(rest.split('(').next()?.to_owned())
}

/// The rows of the tables whose last column names tests.
fn promises(page: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut within = false;
    for line in page.lines() {
        within = if line.ends_with("| tests |") { true } else { within && line.starts_with('|') };
        if within && line.starts_with("| ") && !line.ends_with("| tests |") {
            found.push(line);
        }
    }
    found
}

#[test]
fn every_promise_of_the_help_names_a_test_that_is_there() {
    let tests = tests();
    assert!(tests.iter().any(|name| name == "every_promise_of_the_help_names_a_test_that_is_there"));
    for (page, least) in [("security", 45), ("operating", 10), ("backups", 8)] {
        let document = fs::read_to_string(format!("templates/help/{page}.md")).unwrap();
        let rows = promises(&document);
        for row in &rows {
            let proof = row.trim_end_matches('|').rsplit('|').next().unwrap();
            let named: Vec<&str> = proof.split('`').skip(1).step_by(2).collect();
            assert!(!named.is_empty(), "{page}: no test is named: {row}");
            for name in named {
                assert!(tests.iter().any(|known| known == name), "{page}: there is no test '{name}': {row}");
            }
        }
        assert!(rows.len() >= least, "{page}: {} promises", rows.len());
    }
}
