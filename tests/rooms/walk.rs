//! The walk itself, on a small crate written for it.

use std::fs;

use super::source::Source;

/// The arrows of a crate of these files, as `from -> to: name`.
fn arrows(files: &[(&str, &str)]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let source = Source::read(folder.path());
    assert_eq!(source.lost(), Vec::<String>::new());
    source.arrows().iter().map(|arrow| format!("{} -> {}: {}", arrow.from, arrow.to, arrow.name)).collect()
}

/// What `web/a.rs` names when it holds this text.
fn named_by(text: &str) -> Vec<String> {
    let files = [
        ("lib.rs", "pub mod job; pub mod web;"),
        ("job/mod.rs", "pub mod plan; mod steps; pub use steps::{Step, all as every};"),
        ("job/plan.rs", "pub struct Plan; pub mod parts { pub enum Part { One } } ids! { Id }"),
        ("job/steps.rs", "pub struct Step; pub fn all() {}"),
        ("web/mod.rs", "mod a; mod b;"),
        ("web/a.rs", text),
        ("web/b.rs", "pub struct B; pub fn b() {}"),
    ];
    let arrows = arrows(&files).into_iter();
    arrows.filter_map(|arrow| arrow.strip_prefix("web/a.rs -> ").map(str::to_owned)).collect()
}

#[test]
fn a_use_is_followed_to_the_file_that_defines() {
    assert_eq!(named_by("use crate::job::plan::Plan;"), ["job/plan.rs: Plan"]);
    assert_eq!(named_by("use super::b::B as Other;"), ["web/b.rs: B"]);
    assert_eq!(named_by("use super::super::job::Step;"), ["job/steps.rs: Step"]);
    assert_eq!(
        named_by("use crate::{job::{self, plan::{Plan, parts::Part}, Step}, web::b::*};"),
        ["job/mod.rs: ", "job/plan.rs: Part", "job/plan.rs: Plan", "job/steps.rs: Step", "web/b.rs: "]
    );
}

#[test]
fn a_path_in_code_a_macro_or_an_attribute_counts_as_a_use_does() {
    assert_eq!(named_by("fn f() { crate::job::every(); }"), ["job/steps.rs: all"]);
    assert_eq!(named_by("use super::b; fn f() { b::b() }"), ["web/b.rs: ", "web/b.rs: b"]);
    assert_eq!(named_by("fn f() { use super::b::B; }"), ["web/b.rs: B"]);
    assert_eq!(named_by("fn f() { format!(\"{}\", super::b::b()); }"), ["web/b.rs: b"]);
    assert_eq!(named_by("#[serde(with = \"super::b\")] struct S;"), ["web/b.rs: "]);
    assert_eq!(
        named_by("fn f(x: crate::job::plan::Id) {}"),
        ["job/plan.rs: Id"],
        "a type that a macro makes"
    );
}

#[test]
fn what_names_nothing_of_the_crate_draws_no_arrow() {
    assert_eq!(named_by("use std::fmt; fn f() -> fmt::Result { Ok(()) }"), Vec::<String>::new());
    assert_eq!(named_by("#[cfg(test)] mod tests { use crate::job::plan::Plan; }"), Vec::<String>::new());
    assert_eq!(named_by("pub(in crate::web) fn f() {}"), Vec::<String>::new());
}
