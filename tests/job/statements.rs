//! What findings say: plain words, short sentences, figures that a tape or a meter can show.

use std::fs;
use std::path::Path;

use driploop::job::finding::Finding;
use driploop::shop::demo;
use driploop::trade::finding::Code;
use driploop::trade::units::Units;

use crate::fixture::report;
use crate::work::findings;

/// Words that the glossary retired, or that no finding needs.
const RETIRED: [&str; 41] = [
    "anew",
    "answers",
    "asks",
    "bear out",
    "breaks it",
    "came off",
    "colour",
    "cooking gas",
    "floor",
    "free ground",
    "gate",
    "held against",
    "let-through",
    "lets through",
    "made are",
    "maker",
    "makers",
    "may carry",
    "mended",
    "metre",
    "metres",
    "opens",
    "passage",
    "passages",
    "petrol",
    "put right",
    "sheath",
    "sheathed",
    "socket",
    "sounder",
    "spot",
    "standing",
    "stands",
    "taken",
    "told",
    "up to it",
    "way",
    "ways",
    "weighs",
    "word",
    "words",
];
/// A sentence on a screen has no more words than this; what fills a gap counts as one.
const MOST_WORDS: usize = 20;

/// The retired words in a text; `under way` is what the rules of the road call it.
fn retired(text: &str) -> Vec<&'static str> {
    let plain: String = text
        .to_lowercase()
        .replace("under way", "")
        .replace("same words", "")
        .chars()
        .map(|letter| if letter.is_alphanumeric() || letter == '-' { letter } else { ' ' })
        .collect();
    let plain = format!(" {} ", plain.split_whitespace().collect::<Vec<_>>().join(" "));
    RETIRED.into_iter().filter(|word| plain.contains(&format!(" {word} "))).collect()
}

/// Every template of a statement in the source of the computations and of the job.
fn templates() -> Vec<String> {
    fn walk(folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|end| end == "rs") && !path.ends_with("say.rs") {
                let source = fs::read_to_string(&path).unwrap();
                let code = source.split("#[cfg(test)]").next().unwrap_or_default();
                found.extend(code.split("say!(").skip(1).filter_map(literal));
            }
        }
    }
    let mut found = Vec::new();
    for part in ["src/trade", "src/job"] {
        walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join(part), &mut found);
    }
    found
}

/// The string literal that some source begins with, its line ends joined.
fn literal(source: &str) -> Option<String> {
    let body = source.trim_start().strip_prefix('"')?;
    let text = &body[..body.find('"')?];
    Some(text.replace('\\', " ").split_whitespace().collect::<Vec<_>>().join(" "))
}

#[test]
fn every_template_is_plain_and_short() {
    let all = templates();
    assert!(all.len() > 100, "only {} templates were found", all.len());
    for template in all {
        assert!(retired(&template).is_empty(), "{template}: {:?}", retired(&template));
        for sentence in template.split_inclusive(". ") {
            let words = sentence
                .split_whitespace()
                .filter(|word| word.chars().any(char::is_alphanumeric) || *word == "{}");
            assert!(words.count() <= MOST_WORDS, "more than {MOST_WORDS} words: {sentence}");
        }
    }
}

#[test]
fn every_code_is_a_plain_phrase_of_its_own() {
    let mut phrases: Vec<_> = Code::ALL.iter().map(|code| code.phrase()).collect();
    for phrase in &phrases {
        assert!(phrase.chars().all(|letter| letter.is_ascii_lowercase() || letter == '-'), "{phrase}");
        let spaced = phrase.replace('-', " ");
        assert!(retired(&spaced).is_empty(), "{phrase}: {:?}", retired(&spaced));
    }
    phrases.sort_unstable();
    phrases.dedup();
    assert_eq!(phrases.len(), Code::ALL.len());
}

/// Whether a number has more decimals than a tape or a meter can show.
fn is_too_fine(text: &str) -> bool {
    text.split(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .filter_map(|number| number.split_once('.'))
        .any(|(whole, decimals)| !whole.is_empty() && decimals.len() > 3 && !decimals.contains('.'))
}

/// `typed`: the words of the plan, which a finding repeats as they are.
fn judge(finding: &Finding, typed: &str) {
    for units in Units::ALL {
        let text = finding.text.text(units);
        let own: Vec<_> = retired(&text).into_iter().filter(|word| !typed.contains(word)).collect();
        assert!(own.is_empty(), "{text}: {own:?}");
        assert!(!is_too_fine(&text), "{text}");
        assert!(text.ends_with('.'), "{text}");
        assert!(text.starts_with(|letter: char| !letter.is_lowercase()), "{text}");
        assert!(!text.contains("{}") && !text.contains("  "), "{text}");
    }
}

#[test]
fn the_findings_of_the_demo_boats_are_plain_and_named() {
    let mut kinds = Vec::new();
    for job in demo::files().unwrap() {
        let typed = format!("{:?}", job.plan).to_lowercase();
        for finding in findings(&job) {
            judge(&finding, &typed);
            let is_named = finding.name.is_some() || finding.subject.to_string() == "job/job";
            assert!(is_named, "{} has no name", finding.subject);
            kinds.push(finding.code);
        }
    }
    kinds.sort_unstable();
    kinds.dedup();
    assert!(kinds.len() > 10, "{kinds:?}");
}

#[test]
fn the_findings_of_a_broken_boat_are_plain() {
    let broken = report(|job| {
        job["circuits"][0]["size"] = serde_json::json!("22 AWG");
        job["circuits"][0]["length_m"] = serde_json::json!(2.5);
        job["circuits"][0]["protection"] =
            serde_json::json!({"kind": "blade-fuse", "rating_a": 33.3, "from_source_m": 0.987_654});
        job["devices"][0]["load"]["a"] = serde_json::json!(17.123_456);
        job["raceways"][0]["bore_mm"] = serde_json::json!(9);
        job["points"][1].as_object_mut().unwrap().remove("rating_a");
    });
    assert!(broken.findings.len() > 5);
    broken.findings.iter().for_each(|finding| judge(finding, ""));
    let text =
        |code: Code| broken.findings.iter().find(|one| one.code == code).map(|one| one.text.text(Units::Us));
    assert_eq!(
        text(Code::FuseFarFromSource).as_deref(),
        Some(
            "The protection sits 3 ft 2 7/8 in from its source; the limit is 7 in. Move it nearer or put the conductor in a jacket."
        )
    );
}
