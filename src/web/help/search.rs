//! Searches the help: headings whose section, text or page title has the typed terms.

use super::book::{self, HelpPage};
use super::render::Section;
use crate::web::kit::manual;

/// The maximum number of results; with more, people type another term.
const MOST: usize = 30;
/// How many characters of text to show around the first term found.
const AROUND: usize = 80;

/// A heading in the results.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HelpHit {
    /// Its address.
    pub href: String,
    /// Title of its page.
    pub title: &'static str,
    /// The heading; empty for the section above the first.
    pub heading: &'static str,
    /// Text around the term found.
    pub excerpt: String,
}

/// The headings that have every term of the query: first pages with that title, then headings, then texts.
pub fn find(query: &str) -> Vec<HelpHit> {
    let lower = query.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    if words.is_empty() {
        return Vec::new();
    }
    let sections =
        book::pages().iter().flat_map(|page| page.sections.iter().map(move |section| (page, section)));
    let mut found: Vec<(u8, HelpHit)> = sections
        .filter_map(|(page, section)| Some((rank(page, section, &words)?, hit(page, section, &words))))
        .collect();
    found.sort_by_key(|(rank, _)| *rank);
    found.into_iter().map(|(_, hit)| hit).take(MOST).collect()
}

/// How well a section matches, 0 is best; `None` if a term is missing.
fn rank(page: &HelpPage, section: &Section, words: &[&str]) -> Option<u8> {
    let [title, heading, text] =
        [&page.title, &section.heading, &section.text].map(|text| text.to_lowercase());
    let in_heading = |word: &&str| heading.contains(*word);
    let in_title = |word: &&str| title.contains(*word);
    if !words.iter().all(|word| in_heading(word) || in_title(word) || text.contains(*word)) {
        return None;
    }
    let above_all = section.anchor.is_none();
    Some(match (words.iter().all(in_heading), words.iter().all(in_title)) {
        (_, true) if above_all => 0,
        (true, _) => 1,
        (_, false) => 2,
        (_, true) => 3,
    })
}

fn hit(page: &'static HelpPage, section: &'static Section, words: &[&str]) -> HelpHit {
    let topic = match &section.anchor {
        Some(anchor) => format!("{}#{anchor}", page.name),
        None => page.name.to_owned(),
    };
    HelpHit {
        href: manual::address(&topic),
        title: &page.title,
        heading: &section.heading,
        excerpt: excerpt(&section.text, words),
    }
}

/// The text around the first term that is in it; its start if none is.
fn excerpt(text: &str, words: &[&str]) -> String {
    let text: Vec<&str> = text.split_whitespace().collect();
    let has = |part: &&str| words.iter().any(|word| part.to_lowercase().contains(word));
    let first = text.iter().position(has).unwrap_or(0);
    let mut begin = first;
    let mut before = 0;
    while begin > 0 && before < AROUND {
        begin -= 1;
        before += text[begin].chars().count() + 1;
    }
    let mut after = 0;
    let end = text.iter().skip(first).take_while(|part| {
        after += part.chars().count() + 1;
        after < 2 * AROUND
    });
    let end = first + end.count().max(1);
    let shown = text.get(begin..end.min(text.len())).unwrap_or_default().join(" ");
    let (lead, trail) = (if begin > 0 { "… " } else { "" }, if end < text.len() { " …" } else { "" });
    format!("{lead}{shown}{trail}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heading_with_the_searched_term_comes_first() {
        let found = find("Interrupt RATING");
        assert_eq!(
            found.first().map(|hit| hit.href.as_str()),
            Some("/help/fuses#interrupt-rating"),
            "{found:?}"
        );
        assert!(found.len() > 1, "other pages speak of it too");
    }

    #[test]
    fn a_page_is_found_by_its_title() {
        assert_eq!(find("power-up").first().map(|hit| hit.href.as_str()), Some("/help/power-up-test"));
    }

    #[test]
    fn every_searched_term_has_to_be_there() {
        assert!(find("crimp zebra").is_empty());
        assert!(find("   ").is_empty());
    }

    #[test]
    fn an_excerpt_shows_the_searched_term_and_no_more_than_fits() {
        let long = format!("{} needle {}", "hay ".repeat(200), "straw ".repeat(200));
        let shown = excerpt(&long, &["needle"]);
        assert!(shown.contains("hay needle straw"), "{shown}");
        assert!(shown.starts_with('…') && shown.ends_with('…') && shown.chars().count() < 300, "{shown}");
    }
}
