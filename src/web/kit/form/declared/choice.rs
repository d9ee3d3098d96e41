//! The choices of a list.

use serde::Serialize;

use crate::web::kit::form::word;

/// A choice: the word it is sent as, and what it says.
pub type Choice = (String, String);

/// Kinds, each with what it says.
pub fn listed<T: Serialize + Copy>(kinds: &[(T, &str)]) -> Vec<Choice> {
    kinds.iter().filter_map(|(kind, words)| Some((word(*kind)?, (*words).to_owned()))).collect()
}

/// The choice of nothing, with what that means, and then the others.
pub fn or_none(nothing: &str, choices: impl IntoIterator<Item = Choice>) -> Vec<Choice> {
    [(String::new(), nothing.to_owned())].into_iter().chain(choices).collect()
}
