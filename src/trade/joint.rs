//! Feeder and branch sizes chosen together: of a tree exactly ([`size`]), of any network step by step
//! ([`raise`]).
//!
//! A feeder's drop is part of the total drop of every device that it feeds. If the feeder is too thin, every
//! branch must be thicker. When each conductor is sized alone, it gets a share of the limit beforehand. When
//! all are sized together, the shares are part of the choice. The same limits are then met with the least
//! copper (or money).
//!
//! The choice is exact. Every stretch of the tree has a *front*: the cost of its whole subtree against the
//! volts that may already be lost where it begins. Fronts are built from the devices inward. Points that cost
//! more and tolerate no more are dropped. Points that cannot be part of an answer as cheap as a known one are
//! dropped too. A lower bound from Lagrange multipliers identifies them. Nothing is rounded. The bound is
//! returned as well. It does not depend on the fronts, and the answer's cost is never below it.
//!
//! This module does not know rules, minimum sizes or protection: the caller lists the sizes that are allowed.

mod bound;
mod exact;
mod front;
mod raise;
mod stretch;
mod tree;

pub use exact::{Proof, TreeSizing, size};
pub use raise::{BrokenLimit, RaisableWire, RaisedSize, raise};
pub use stretch::{NoSizing, SizeChoice, TreeStretch, UnmetStretch};
