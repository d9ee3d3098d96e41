//! The kind and condition of a raceway in plain text.

use crate::job::plan::{Condition, RacewayKind};

/// Kinds of raceway in plain text.
pub const PASSAGE_KINDS: [(RacewayKind, &str); 4] = [
    (RacewayKind::Tube, "Rigging tube"),
    (RacewayKind::Tray, "Open tray"),
    (RacewayKind::Gunwale, "Under the gunwale"),
    (RacewayKind::Bulkhead, "Hole through a bulkhead"),
];

/// Conditions of a raceway in plain text.
pub const CONDITIONS: [(Condition, &str); 3] = [
    (Condition::Good, "Clear and sound"),
    (Condition::Worn, "Usable, with something to repair"),
    (Condition::Blocked, "Blocked: nothing more goes through"),
];
