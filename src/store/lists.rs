//! Rows that belong to rows: the positions of panels, the devices of circuits.

use std::collections::HashMap;
use std::hash::Hash;

/// Rows of several customers, each customer's in their order.
pub(super) struct Lists<K, T>(HashMap<K, Vec<T>>);

impl<K: Eq + Hash, T> Lists<K, T> {
    /// Takes what belongs to one customer; nothing where it has none.
    pub(super) fn take(&mut self, customer: &K) -> Vec<T> {
        self.0.remove(customer).unwrap_or_default()
    }
}

impl<K: Eq + Hash, T> From<Vec<(K, T)>> for Lists<K, T> {
    fn from(rows: Vec<(K, T)>) -> Self {
        let mut lists: HashMap<K, Vec<T>> = HashMap::new();
        for (customer, item) in rows {
            lists.entry(customer).or_default().push(item);
        }
        Self(lists)
    }
}
