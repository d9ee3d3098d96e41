//! The choices of a list.

use serde::Serialize;

use crate::web::kit::form::word;

/// A choice: the key that is sent, and the text that is shown.
pub type Choice = (String, String);

/// Kinds, each with its text.
pub fn listed<T: Serialize + Copy>(kinds: &[(T, &str)]) -> Vec<Choice> {
    kinds.iter().filter_map(|(kind, words)| Some((word(*kind)?, (*words).to_owned()))).collect()
}

/// The choice of none with its text, then the other choices.
pub fn or_none(nothing: &str, choices: impl IntoIterator<Item = Choice>) -> Vec<Choice> {
    [(String::new(), nothing.to_owned())].into_iter().chain(choices).collect()
}
