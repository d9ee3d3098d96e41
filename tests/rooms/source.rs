//! Reads the crate's source into modules, and finds out which file a path in it names.

use std::collections::{BTreeSet, HashMap};
use std::fs;
use std::path::Path;

use proc_macro2::{TokenStream, TokenTree};
use syn::ext::IdentExt;
use syn::visit::{self, Visit};
use syn::{Attribute, Ident, Item, ItemUse, Macro, UseTree, Visibility};

/// One file that names another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Arrow {
    /// The file that names, from `src` on: `web/kit/page.rs`.
    pub from: String,
    /// The file that is named.
    pub to: String,
    /// What of it is named; empty where the module itself is.
    pub name: String,
}

/// A module's place in [`Source::modules`].
type Index = usize;

/// What a name in a module leads to.
#[derive(Debug, Clone)]
enum Leads {
    /// A definition of this module.
    Here,
    /// A module below this one.
    Child(Index),
    /// Another path, by a `use`.
    Path(Vec<String>),
}

struct Module {
    file: String,
    parent: Option<Index>,
    names: HashMap<String, Vec<Leads>>,
    globs: Vec<Vec<String>>,
    /// Whether macros make definitions of it.
    by_macro: bool,
    /// Every path that the module writes: in `use`, in code, in macros and in attributes.
    written: BTreeSet<Vec<String>>,
}

/// What a path ends on: a module, and the definition in it unless the path means the module.
type End = (Index, Option<String>);

/// The crate's modules.
pub struct Source {
    modules: Vec<Module>,
}

impl Source {
    /// Reads a crate from the file of its root module.
    pub fn read(folder: &Path) -> Self {
        let mut source = Self { modules: Vec::new() };
        source.file(folder, Path::new("lib.rs"), folder, None);
        source
    }

    /// Reads one file; `below` is the folder of the modules it declares.
    fn file(&mut self, root: &Path, file: &Path, below: &Path, parent: Option<Index>) -> Index {
        let text = fs::read_to_string(root.join(file)).unwrap();
        let parsed = syn::parse_file(&text).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        self.module(root, file, below, parent, &parsed.items)
    }

    fn module(
        &mut self,
        root: &Path,
        file: &Path,
        below: &Path,
        parent: Option<Index>,
        items: &[Item],
    ) -> Index {
        let index = self.modules.len();
        self.modules.push(Module {
            file: file.to_str().unwrap().to_owned(),
            parent,
            names: HashMap::new(),
            globs: Vec::new(),
            by_macro: false,
            written: BTreeSet::new(),
        });
        for item in items.iter().filter(|item| !only_for_tests(attributes(item))) {
            if let Item::Mod(inner) = item {
                let name = inner.ident.unraw().to_string();
                let below = below.join(&name);
                let child = match &inner.content {
                    Some((_, items)) => self.module(root, file, &below, Some(index), items),
                    None => {
                        let own = [below.with_extension("rs"), below.join("mod.rs")];
                        let own = own.iter().find(|path| path.exists()).unwrap();
                        self.file(root, own.strip_prefix(root).unwrap(), &below, Some(index))
                    }
                };
                self.modules[index].names.entry(name).or_default().push(Leads::Child(child));
            } else {
                let module = &mut self.modules[index];
                match defined(item) {
                    Some(name) => module.names.entry(name).or_default().push(Leads::Here),
                    None => module.by_macro |= matches!(item, Item::Macro(_)),
                }
                Reader { module }.visit_item(item);
            }
        }
        index
    }

    /// Every arrow between two files.
    pub fn arrows(&self) -> BTreeSet<Arrow> {
        let mut arrows = BTreeSet::new();
        for (index, module) in self.modules.iter().enumerate() {
            for path in &module.written {
                for (end, name) in self.follow(index, path, &mut Vec::new()) {
                    let (from, to) = (module.file.clone(), self.modules[end].file.clone());
                    if from != to {
                        arrows.insert(Arrow { from, to, name: name.unwrap_or_default() });
                    }
                }
            }
        }
        arrows
    }

    /// The paths into the crate that lead nowhere: the walk would be blind to them.
    pub fn lost(&self) -> Vec<String> {
        let mut lost = Vec::new();
        for (index, module) in self.modules.iter().enumerate() {
            for path in &module.written {
                let inside = ["crate", "self", "super"].contains(&path[0].as_str());
                if inside && path.len() > 1 && self.follow(index, path, &mut Vec::new()).is_empty() {
                    lost.push(format!("{}: {}", module.file, path.join("::")));
                }
            }
        }
        lost
    }

    /// Whether a file defines something, not only declares modules and hands their names on.
    pub fn defines(&self, file: &str) -> bool {
        let here = |leads: &Vec<Leads>| leads.iter().any(|one| matches!(one, Leads::Here));
        self.modules.iter().any(|module| module.file == file && module.names.values().any(here))
    }

    /// Every file.
    pub fn files(&self) -> BTreeSet<&str> {
        self.modules.iter().map(|module| module.file.as_str()).collect()
    }

    /// Where a path leads that is written in a module. A name can mean two things, a type and a function say, so that
    /// it can lead to two ends. `open` are the names on the path so far that stand for another path: one that leads
    /// back to itself means an outside crate.
    fn follow(&self, from: Index, path: &[String], open: &mut Vec<(Index, String)>) -> Vec<End> {
        let Some((first, rest)) = path.split_first() else { return vec![(from, None)] };
        match first.as_str() {
            "crate" => self.within(0, rest, open),
            "self" => self.within(from, rest, open),
            "super" => self.modules[from].parent.map(|up| self.within(up, rest, open)).unwrap_or_default(),
            _ => self.step(from, first, rest, open),
        }
    }

    /// The same from a module that the path has named; there a name that nobody wrote is one that a macro made.
    fn within(&self, module: Index, path: &[String], open: &mut Vec<(Index, String)>) -> Vec<End> {
        let ends = self.follow(module, path, open);
        match path.first() {
            Some(name) if ends.is_empty() && self.modules[module].by_macro => {
                vec![(module, Some(name.clone()))]
            }
            _ => ends,
        }
    }

    fn step(&self, from: Index, first: &str, rest: &[String], open: &mut Vec<(Index, String)>) -> Vec<End> {
        let key = (from, first.to_owned());
        if open.contains(&key) {
            return Vec::new();
        }
        open.push(key);
        let module = &self.modules[from];
        let mut ends = Vec::new();
        for leads in module.names.get(first).into_iter().flatten() {
            ends.extend(match leads {
                Leads::Here => vec![(from, Some(first.to_owned()))],
                Leads::Child(child) => self.within(*child, rest, open),
                Leads::Path(path) => self.follow(from, &[path, rest].concat(), open),
            });
        }
        if ends.is_empty() {
            for glob in &module.globs {
                for (end, within) in self.follow(from, glob, open) {
                    // A glob can open an enum; its variants are no definitions of their own.
                    if within.is_none() {
                        ends.extend(self.step(end, first, rest, open));
                    }
                }
            }
        }
        open.pop();
        ends
    }
}

fn attributes(item: &Item) -> &[Attribute] {
    match item {
        Item::Const(item) => &item.attrs,
        Item::Enum(item) => &item.attrs,
        Item::Fn(item) => &item.attrs,
        Item::Impl(item) => &item.attrs,
        Item::Macro(item) => &item.attrs,
        Item::Mod(item) => &item.attrs,
        Item::Static(item) => &item.attrs,
        Item::Struct(item) => &item.attrs,
        Item::Trait(item) => &item.attrs,
        Item::Type(item) => &item.attrs,
        Item::Union(item) => &item.attrs,
        Item::Use(item) => &item.attrs,
        _ => &[],
    }
}

/// Whether something is there in the crate's own tests alone.
fn only_for_tests(attributes: &[Attribute]) -> bool {
    attributes.iter().any(|attribute| {
        attribute.path().is_ident("cfg")
            && attribute.parse_args::<syn::Path>().is_ok_and(|path| path.is_ident("test"))
    })
}

/// The name that an item gives to its module.
fn defined(item: &Item) -> Option<String> {
    let ident = match item {
        Item::Const(item) => &item.ident,
        Item::Enum(item) => &item.ident,
        Item::Fn(item) => &item.sig.ident,
        Item::Macro(item) => item.ident.as_ref()?,
        Item::Static(item) => &item.ident,
        Item::Struct(item) => &item.ident,
        Item::Trait(item) => &item.ident,
        Item::Type(item) => &item.ident,
        Item::Union(item) => &item.ident,
        _ => return None,
    };
    Some(ident.unraw().to_string())
}

/// Collects what a module writes.
struct Reader<'a> {
    module: &'a mut Module,
}

impl Reader<'_> {
    /// The names that one `use` brings in. A `use` within a function counts for its whole module.
    fn names(&mut self, tree: &UseTree, mut path: Vec<String>) {
        match tree {
            UseTree::Path(tree) => {
                path.push(tree.ident.unraw().to_string());
                self.names(&tree.tree, path);
            }
            UseTree::Group(group) => group.items.iter().for_each(|tree| self.names(tree, path.clone())),
            UseTree::Name(name) => self.named(&name.ident, None, path),
            UseTree::Rename(name) => self.named(&name.ident, Some(&name.rename), path),
            UseTree::Glob(_) => {
                self.module.written.insert(path.clone());
                self.module.globs.push(path);
            }
        }
    }

    fn named(&mut self, ident: &Ident, rename: Option<&Ident>, mut path: Vec<String>) {
        // `use a::{self}` names the module `a`.
        if ident != "self" || path.is_empty() {
            path.push(ident.unraw().to_string());
        }
        self.module.written.insert(path.clone());
        let name = rename.map(|ident| ident.unraw().to_string()).or_else(|| path.last().cloned());
        // `use x` without a path, and `use x::x`, say nothing that the name alone does not.
        if let Some(name) = name.filter(|name| path != [name.as_str()]) {
            self.module.names.entry(name).or_default().push(Leads::Path(path));
        }
    }

    /// The paths in what a macro is given, or an attribute.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match &token {
                TokenTree::Ident(ident) => {
                    if colons != 2 {
                        self.written(&mut path);
                    }
                    path.push(ident.unraw().to_string());
                }
                TokenTree::Punct(punct) if punct.as_char() == ':' && !path.is_empty() => {
                    colons += 1;
                    continue;
                }
                TokenTree::Group(group) => {
                    self.written(&mut path);
                    self.tokens(group.stream());
                }
                TokenTree::Literal(literal) => {
                    self.written(&mut path);
                    // `#[serde(with = "crate::job::value")]` writes its path as text.
                    let text = literal.to_string();
                    let text = text.trim_matches('"');
                    let names = |part: &str| {
                        !part.is_empty() && part.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
                    };
                    if text.contains("::") && text.split("::").all(names) {
                        path = text.split("::").map(str::to_owned).collect();
                        self.written(&mut path);
                    }
                }
                TokenTree::Punct(_) => self.written(&mut path),
            }
            colons = 0;
        }
        self.written(&mut path);
    }

    fn written(&mut self, path: &mut Vec<String>) {
        if path.len() > 1 {
            self.module.written.insert(std::mem::take(path));
        }
        path.clear();
    }
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item(&mut self, item: &'ast Item) {
        if !only_for_tests(attributes(item)) {
            visit::visit_item(self, item);
        }
    }

    fn visit_item_use(&mut self, item: &'ast ItemUse) {
        self.names(&item.tree, Vec::new());
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let mut names = path.segments.iter().map(|segment| segment.ident.unraw().to_string()).collect();
        self.written(&mut names);
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, called: &'ast Macro) {
        visit::visit_path(self, &called.path);
        self.tokens(called.tokens.clone());
    }

    fn visit_attribute(&mut self, attribute: &'ast Attribute) {
        if let syn::Meta::List(list) = &attribute.meta {
            self.tokens(list.tokens.clone());
        }
    }

    // `pub(in crate::web)` names who may look, not what is looked at.
    fn visit_visibility(&mut self, _: &'ast Visibility) {}
}
