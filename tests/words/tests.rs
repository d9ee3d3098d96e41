//! The tests: their names, and the data that they are made with.

use std::fs;

use syn::visit::{self, Visit};
use syn::{Attribute, ItemFn, Macro};

use super::pages::files;
use super::retired::in_text;

/// The names of the tests in a file, as sentences.
#[derive(Default)]
struct Names(Vec<String>);

fn is_test(attribute: &Attribute) -> bool {
    attribute.path().segments.last().is_some_and(|last| last.ident == "test")
}

impl Names {
    fn add(&mut self, function: &ItemFn) {
        if function.attrs.iter().any(is_test) {
            self.0.push(function.sig.ident.to_string().replace('_', " "));
        }
    }
}

impl<'ast> Visit<'ast> for Names {
    fn visit_item_fn(&mut self, function: &'ast ItemFn) {
        self.add(function);
    }

    fn visit_macro(&mut self, call: &'ast Macro) {
        if let Ok(inside) = syn::parse2::<syn::File>(call.tokens.clone()) {
            visit::visit_file(self, &inside);
        }
    }
}

fn names(code: &str) -> Vec<String> {
    let mut names = Names::default();
    names.visit_file(&syn::parse_file(code).unwrap());
    names.0
}

#[test]
fn the_name_of_a_test_is_read_as_a_sentence() {
    let code = "#[tokio::test] async fn a_gate_is_shut() {} fn no_gate() {}";
    assert_eq!(in_text("a", &names(code).join("\n")), ["a:1: gate -> hold point"]);
}

#[test]
fn the_names_of_tests_use_no_retired_term() {
    let found: Vec<String> = ["src", "tests"]
        .into_iter()
        .flat_map(|folder| files(folder, "rs"))
        .flat_map(|path| {
            let code = fs::read_to_string(&path).unwrap();
            in_text(&path.display().to_string(), &names(&code).join("\n"))
        })
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_job_files_of_tests_and_demos_use_no_retired_term_in_a_name() {
    let name = |line: &str| Some(line.split_once("\"name\": \"")?.1.split_once('"')?.0.to_owned());
    let found: Vec<String> = ["src/shop/demo", "tests"]
        .into_iter()
        .flat_map(|folder| files(folder, "json"))
        .flat_map(|path| {
            let text = fs::read_to_string(&path).unwrap();
            let names: Vec<String> = text.lines().filter_map(name).collect();
            in_text(&path.display().to_string(), &names.join("\n"))
        })
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}
