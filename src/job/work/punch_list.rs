//! The open items of a job, closed ones too, and who may close them.

use std::cmp::Reverse;

use super::need::Who;
use super::overall::Work;
use crate::job::open_item::{Closing, OpenItem, Severity};

impl<'a> Work<'a> {
    /// Who may close an open item of this severity.
    pub fn closed_by(severity: Severity) -> Who {
        match severity {
            Severity::Must => Who::Technician,
            Severity::Should | Severity::Note => Who::Apprentice,
        }
    }

    /// The open items that nobody closed, the most serious first.
    pub fn open_items(&self) -> Vec<&'a OpenItem> {
        let mut open: Vec<_> = self.events.open_items().collect();
        open.sort_by_key(|item| (Reverse(item.severity), item.at, item.id));
        open
    }

    /// The open items that were closed, each with what was done, the oldest first.
    pub fn closed_items(&self) -> impl Iterator<Item = (&'a OpenItem, &'a Closing)> {
        self.events.closed_items()
    }

    /// The open items that hold the handover.
    pub fn items_before_handover(&self) -> impl Iterator<Item = &'a OpenItem> {
        self.unsettled.iter().map(|one| one.item)
    }
}
