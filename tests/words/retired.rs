//! The retired terms, and where a text has one.

use std::sync::LazyLock;

const LIST: &str = include_str!("retired.txt");

/// A term that is not used any more.
struct Retired {
    /// In small letters.
    term: &'static str,
    /// What to use.
    instead: &'static str,
    /// Phrases in which the term is right.
    right_in: Vec<&'static str>,
}

static RETIRED: LazyLock<Vec<Retired>> = LazyLock::new(|| LIST.lines().filter_map(read).collect());

fn read(line: &'static str) -> Option<Retired> {
    if line.is_empty() || line.starts_with('#') {
        return None;
    }
    let [term, instead, right_in] = line.split('|').map(str::trim).collect::<Vec<_>>().try_into().unwrap();
    let right_in = right_in.split(';').map(str::trim).filter(|phrase| !phrase.is_empty()).collect();
    Some(Retired { term, instead, right_in })
}

/// Every line of a text that has a retired term, as `name:line: term -> what to use`.
pub fn in_text(name: &str, text: &str) -> Vec<String> {
    let lines = text.lines().enumerate();
    lines.flat_map(|(at, line)| in_line(line).map(move |said| format!("{name}:{}: {said}", at + 1))).collect()
}

fn in_line(line: &str) -> impl Iterator<Item = String> {
    let line = line.to_lowercase().replace('\u{2019}', "'");
    let has = move |retired: &&Retired| {
        let rest = retired.right_in.iter().fold(line.clone(), |line, phrase| line.replace(phrase, " "));
        rest.match_indices(retired.term).any(|(at, term)| is_whole(&rest, at, at + term.len()))
    };
    RETIRED.iter().filter(has).map(|retired| format!("{} -> {}", retired.term, retired.instead))
}

/// Whether what is between is no part of a longer word; a hyphen and an apostrophe are parts of words.
fn is_whole(line: &str, from: usize, to: usize) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '\'');
    let before = line.get(..from).and_then(|before| before.chars().next_back());
    let after = line.get(to..).and_then(|after| after.chars().next());
    !before.is_some_and(is_part) && !after.is_some_and(is_part)
}

/// Markdown without what is not prose: blocks and spans of code, and where links lead.
pub fn prose(markdown: &str) -> String {
    let mut fenced = false;
    let lines = markdown.lines().map(|line| {
        let fence = line.starts_with("```");
        fenced ^= fence;
        if fenced || fence { String::new() } else { without_targets(&without_code(line)) }
    });
    lines.collect::<Vec<_>>().join("\n")
}

fn without_code(line: &str) -> String {
    line.split('`').step_by(2).collect::<Vec<_>>().join("-")
}

fn without_targets(line: &str) -> String {
    let mut parts = line.split("](");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |text, part| text + "]" + part.split_once(')').map_or(part, |(_, rest)| rest))
}

#[test]
fn a_term_is_found_on_its_own_and_outside_the_phrases_where_it_is_right() {
    let said = |line: &str| in_line(line).collect::<Vec<_>>();
    assert_eq!(said("The Gate is shut."), ["gate -> hold point"]);
    assert_eq!(said("One way, from the source: one-way length."), [""; 0]);
    assert_eq!(said("The way there"), ["way -> route, direction or method"]);
    assert_eq!(said("The maker\u{2019}s manual"), ["maker's -> manufacturer's"]);
    assert_eq!(said("The gateway, a password"), [""; 0]);
}

#[test]
fn code_and_targets_of_links_are_no_prose() {
    let markdown = "See [fill](way.md#gate) and `gate`.\n```sh\nanew\n```\nGate";
    assert_eq!(in_text("a", &prose(markdown)), ["a:5: gate -> hold point"]);
}

#[test]
fn no_term_is_listed_twice() {
    let mut terms: Vec<&str> = RETIRED.iter().map(|retired| retired.term).collect();
    terms.sort_unstable();
    assert!(terms.windows(2).all(|pair| pair[0] != pair[1]), "{terms:?}");
    assert!(terms.len() > 100);
}
