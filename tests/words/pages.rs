//! The pages: what stands in the templates, and the sentences in the code that fills them.

use std::fs;
use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};
use syn::{Attribute, ItemMod, LitStr, Macro};

use crate::retired::in_text;

/// The files below a folder with that ending.
pub fn files(folder: &str, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![PathBuf::from(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|own| own == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// A template without what fills it and without its tags. Line breaks stay, so that lines keep their numbers.
fn text_of(template: &str) -> String {
    let mut text = String::new();
    let mut rest = template;
    while let Some(at) = rest.find(['{', '<']) {
        let (before, from) = rest.split_at(at);
        text.push_str(before);
        let end = [("{{", "}}"), ("{%", "%}"), ("{#", "#}"), ("<", ">")]
            .into_iter()
            .find(|(open, _)| from.starts_with(open))
            .and_then(|(_, close)| Some(from.find(close)? + close.len()))
            .unwrap_or(1);
        let (left_out, after) = from.split_at(end);
        text.push(' ');
        text.extend(left_out.chars().filter(|c| *c == '\n'));
        rest = after;
    }
    text.push_str(rest);
    text
}

#[test]
fn what_fills_a_template_and_its_tags_are_no_text() {
    assert_eq!(
        text_of("<p class=\"way\">Fuse {{ way }} of\n{% if way %}C01{% endif %}</p>"),
        " Fuse   of\n C01  "
    );
}

#[test]
fn the_templates_use_no_retired_term() {
    let found: Vec<String> = files("templates", "html")
        .iter()
        .flat_map(|path| in_text(&path.display().to_string(), &text_of(&fs::read_to_string(path).unwrap())))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The sentences in a file of code: texts of more than one word, outside tests and attributes.
#[derive(Default)]
struct Sentences(Vec<String>);

impl<'ast> Visit<'ast> for Sentences {
    fn visit_attribute(&mut self, _: &'ast Attribute) {}

    fn visit_item_mod(&mut self, module: &'ast ItemMod) {
        if module.ident != "tests" {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_lit_str(&mut self, text: &'ast LitStr) {
        if text.value().trim().contains(' ') {
            self.0.push(text.value());
        }
    }

    fn visit_macro(&mut self, call: &'ast Macro) {
        for token in call.tokens.clone() {
            if let Ok(text) = syn::parse2::<LitStr>(token.into()) {
                self.visit_lit_str(&text);
            }
        }
        visit::visit_macro(self, call);
    }
}

fn sentences(path: &Path) -> String {
    let mut sentences = Sentences::default();
    sentences.visit_file(&syn::parse_file(&fs::read_to_string(path).unwrap()).unwrap());
    without_gaps(&sentences.0.join("\n"))
}

/// A text without the names of what fills its gaps: `{name}`.
fn without_gaps(text: &str) -> String {
    let mut parts = text.split('{');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |text, part| text + "-" + part.split_once('}').map_or(part, |(_, rest)| rest))
}

#[test]
fn the_code_of_pages_and_papers_uses_no_retired_term() {
    let found: Vec<String> = ["src/cli", "src/drawing", "src/paper", "src/web"]
        .into_iter()
        .flat_map(|folder| files(folder, "rs"))
        .flat_map(|path| in_text(&path.display().to_string(), &sentences(&path)))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}
