//! A list of items in the order of the plan, in which an item is found by its id without a search.

use std::ops::{Deref, DerefMut};
use std::sync::OnceLock;

use foldhash::HashMap;

/// Something with an id.
pub trait Keyed {
    /// Its id as text.
    fn key(&self) -> &str;
}

/// Items in their order, and the position of each id.
///
/// It can be used as a `Vec`. Whoever changes it drops the positions; the next search notes them again.
#[derive(Debug, Clone)]
pub struct List<T> {
    items: Vec<T>,
    by_key: OnceLock<HashMap<Box<str>, usize>>,
}

impl<T: Keyed> List<T> {
    /// The item with this id. If an id is there twice, the first one.
    pub fn with(&self, key: &str) -> Option<&T> {
        self.items.get(self.position(key)?)
    }

    /// The position in the list of the item with this id.
    pub fn position(&self, key: &str) -> Option<usize> {
        let by_key = self.by_key.get_or_init(|| {
            // From the last to the first, so that the first of two stays.
            let backwards = self.items.iter().enumerate().rev();
            backwards.map(|(at, item)| (item.key().into(), at)).collect()
        });
        by_key.get(key).copied()
    }
}

impl<T> Default for List<T> {
    fn default() -> Self {
        Vec::new().into()
    }
}

impl<T> From<Vec<T>> for List<T> {
    fn from(items: Vec<T>) -> Self {
        Self { items, by_key: OnceLock::new() }
    }
}

impl<T> From<List<T>> for Vec<T> {
    fn from(list: List<T>) -> Self {
        list.items
    }
}

impl<T: PartialEq> PartialEq for List<T> {
    fn eq(&self, other: &Self) -> bool {
        self.items == other.items
    }
}

impl<T> Deref for List<T> {
    type Target = Vec<T>;

    fn deref(&self) -> &Vec<T> {
        &self.items
    }
}

impl<T> DerefMut for List<T> {
    fn deref_mut(&mut self) -> &mut Vec<T> {
        self.by_key.take();
        &mut self.items
    }
}

impl<'a, T> IntoIterator for &'a List<T> {
    type Item = &'a T;
    type IntoIter = std::slice::Iter<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.items.iter()
    }
}

impl<'a, T> IntoIterator for &'a mut List<T> {
    type Item = &'a mut T;
    type IntoIter = std::slice::IterMut<'a, T>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter_mut()
    }
}

impl<T> IntoIterator for List<T> {
    type Item = T;
    type IntoIter = std::vec::IntoIter<T>;

    fn into_iter(self) -> Self::IntoIter {
        self.items.into_iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Keyed for &str {
        fn key(&self) -> &str {
            self
        }
    }

    #[test]
    fn an_item_is_found_after_every_change() {
        let mut list = List::from(vec!["bow", "stern", "aft"]);
        assert_eq!((list.position("aft"), list.position("bilge")), (Some(2), None));
        list.insert(0, "bilge");
        assert_eq!((list.position("aft"), list.with("bilge")), (Some(3), Some(&"bilge")));
        list.retain(|item| *item != "aft");
        assert_eq!(list.with("aft"), None);
    }

    #[test]
    fn of_two_items_with_one_id_the_first_is_found() {
        assert_eq!(List::from(vec!["bow", "aft", "aft"]).position("aft"), Some(1));
    }
}
