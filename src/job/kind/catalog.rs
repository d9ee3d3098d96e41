//! The catalog of kinds: the program's own, and those of a shop.

use std::sync::LazyLock;

use serde::Deserialize;
use thiserror::Error;

use super::model::Kind;
use crate::job::value::KindId;

/// The kinds that the program knows.
const BUILT_IN: &str = include_str!("catalog.toml");

/// Kinds of equipment, in the order of the catalog.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Catalog {
    /// The kinds.
    #[serde(rename = "kind")]
    kinds: Vec<Kind>,
}

/// A catalog that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the catalog of kinds cannot be read: {0}")]
pub struct CatalogError(#[from] toml::de::Error);

impl Catalog {
    /// Reads a catalog from TOML.
    ///
    /// # Errors
    ///
    /// The first field that is wrong, with its line.
    pub fn read(text: &str) -> Result<Self, CatalogError> {
        Ok(toml::from_str(text)?)
    }

    /// The kinds that the program knows. A test reads them, so that the catalog is never empty.
    pub fn built_in() -> &'static Self {
        static CATALOG: LazyLock<Catalog> = LazyLock::new(|| Catalog::read(BUILT_IN).unwrap_or_default());
        &CATALOG
    }

    /// This catalog with a shop's own kinds. A kind with an id of this catalog replaces it. The names of a shop's kind
    /// are no longer names of other kinds.
    pub fn with(&self, own: impl IntoIterator<Item = Kind>) -> Self {
        let mut kinds: Vec<Kind> = own.into_iter().collect();
        let taken: Vec<String> = kinds.iter().flat_map(Kind::typed_names).map(str::to_lowercase).collect();
        let rest = self.kinds.iter().filter(|kind| kinds.iter().all(|own| own.id != kind.id));
        let rest = rest.cloned().map(|mut kind| {
            kind.names.retain(|name| !taken.contains(&name.as_str().to_lowercase()));
            kind
        });
        let rest: Vec<Kind> = rest.collect();
        kinds.extend(rest);
        Self { kinds }
    }

    /// All kinds: a shop's own first.
    pub fn kinds(&self) -> &[Kind] {
        &self.kinds
    }

    /// The kind with this id.
    pub fn kind(&self, id: &KindId) -> Option<&Kind> {
        self.named(id.as_str())
    }

    /// The kind with this id, given as text.
    pub fn named(&self, id: &str) -> Option<&Kind> {
        self.kinds.iter().find(|kind| kind.id.as_str() == id)
    }
}
