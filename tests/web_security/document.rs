//! The document that says what is guarded names tests that are there.

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

#[test]
fn every_line_of_the_security_document_names_a_test_that_is_there() {
    let document = fs::read_to_string("templates/help/security.md").unwrap();
    let tests = tests();
    assert!(
        tests.iter().any(|name| name == "every_line_of_the_security_document_names_a_test_that_is_there")
    );
    let rows = document.lines().filter(|line| line.starts_with("| ") && !line.starts_with("| area"));
    let mut lines = 0;
    for row in rows {
        let proof = row.trim_end_matches('|').rsplit('|').next().unwrap();
        let named: Vec<&str> = proof.split('`').skip(1).step_by(2).collect();
        assert!(!named.is_empty(), "no test is named: {row}");
        for name in named {
            assert!(tests.iter().any(|known| known == name), "there is no test '{name}': {row}");
        }
        lines += 1;
    }
    assert!(lines > 30, "{lines} lines");
}
