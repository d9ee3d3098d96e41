//! The floors and rooms of the program: who may name whom, read from the `use` lines and paths of every file in `src`.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod source;
mod walk;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::LazyLock;

use petgraph::algo::tarjan_scc;
use petgraph::graph::DiGraph;

use source::{Arrow, Source};

/// The floors from the top down. A file names its own floor and those below it.
const FLOORS: [&str; 8] = ["cli", "web", "paper", "drawing", "store", "shop", "job", "trade"];

/// A room of the web floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Room<'a> {
    /// What puts the pages together: the module itself, the route table, the server.
    Top,
    /// The pages of one subject.
    Family(&'a str),
    /// Pieces of page that several families show.
    Parts,
    /// What every page uses.
    Kit,
    /// The certificates. No page is made of them, and they name no other room.
    Tls,
}

impl<'a> Room<'a> {
    /// The room of a file; `None` on another floor.
    fn of(file: &'a str) -> Option<Self> {
        let path = file.strip_prefix("web/")?;
        Some(match path.split_once('/') {
            None => Self::Top,
            Some(("kit", _)) => Self::Kit,
            Some(("parts", _)) => Self::Parts,
            Some(("tls", _)) => Self::Tls,
            Some((family, _)) => Self::Family(family),
        })
    }

    /// Whether a file of this room may name one of the other.
    fn may_name(self, other: Self) -> bool {
        match (self, other) {
            _ if self == other => true,
            (Self::Top, _) | (Self::Family(_), Self::Parts | Self::Kit) => true,
            (Self::Parts, Self::Kit) | (Self::Kit, Self::Tls) => true,
            _ => false,
        }
    }
}

/// The program's source, read once.
static SOURCE: LazyLock<Source> =
    LazyLock::new(|| Source::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src")));

/// Every arrow in it.
static ARROWS: LazyLock<BTreeSet<Arrow>> = LazyLock::new(|| SOURCE.arrows());

fn floor(file: &str) -> Option<usize> {
    FLOORS.iter().position(|floor| file.split('/').next() == Some(floor))
}

/// Arrows as lines for the message of a failed test: `web/a.rs -> web/b.rs: One, Other`.
fn listed<'a>(arrows: impl IntoIterator<Item = &'a Arrow>) -> String {
    let mut lines: BTreeMap<(&str, &str), Vec<&str>> = BTreeMap::new();
    for arrow in arrows {
        lines.entry((&arrow.from, &arrow.to)).or_default().push(&arrow.name);
    }
    let lines = lines.into_iter().map(|((from, to), names)| format!("{from} -> {to}: {}", names.join(", ")));
    lines.collect::<Vec<_>>().join("\n")
}

/// The sets of files that name each other in a circle. A file that defines nothing, such as a `mod.rs` that only
/// declares its children, ties no circle.
fn circles(source: &Source, arrows: &BTreeSet<Arrow>) -> Vec<BTreeSet<String>> {
    let mut graph: DiGraph<&str, ()> = DiGraph::new();
    let nodes: BTreeMap<&str, _> =
        source.files().into_iter().map(|file| (file, graph.add_node(file))).collect();
    for arrow in arrows.iter().filter(|arrow| source.defines(&arrow.to)) {
        graph.update_edge(nodes[arrow.from.as_str()], nodes[arrow.to.as_str()], ());
    }
    let tied = tarjan_scc(&graph).into_iter().filter(|files| files.len() > 1);
    tied.map(|files| files.into_iter().map(|file| graph[file].to_owned()).collect()).collect()
}

#[test]
fn every_path_into_the_crate_is_followed() {
    assert!(SOURCE.files().len() > 300, "only {} files were read", SOURCE.files().len());
    assert_eq!(SOURCE.lost(), Vec::<String>::new(), "paths that lead nowhere");
}

#[test]
fn no_floor_names_one_above_it() {
    let up = ARROWS
        .iter()
        .filter(|arrow| floor(&arrow.from).zip(floor(&arrow.to)).is_some_and(|(from, to)| to < from));
    let up = listed(up);
    assert!(up.is_empty(), "a lower floor names a higher one:\n{up}");
}

#[test]
fn every_file_is_on_a_floor() {
    let astray: Vec<&str> =
        SOURCE.files().into_iter().filter(|file| *file != "lib.rs" && floor(file).is_none()).collect();
    assert_eq!(astray, Vec::<&str>::new());
}

#[test]
fn a_room_of_the_web_names_no_room_beside_or_above_it() {
    let wrong = ARROWS.iter().filter(|arrow| {
        let rooms = Room::of(&arrow.from).zip(Room::of(&arrow.to));
        rooms.is_some_and(|(from, to)| !from.may_name(to))
    });
    let wrong = listed(wrong);
    assert!(wrong.is_empty(), "a room names one that it may not:\n{wrong}");
}

#[test]
fn no_files_name_each_other_in_a_circle() {
    let circles = circles(&SOURCE, &ARROWS);
    let tied: Vec<String> = circles
        .iter()
        .map(|files| listed(ARROWS.iter().filter(|one| files.contains(&one.from) && files.contains(&one.to))))
        .collect();
    assert!(tied.is_empty(), "{} circles of files:\n{}", tied.len(), tied.join("\n\n"));
}
