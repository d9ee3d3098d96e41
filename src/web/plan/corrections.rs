//! Every field that a finding leads to is in the form of its thing.

use super::edit::Thing;
use crate::job::board::Board;
use crate::job::correction;
use crate::job::plan::{Circuit, Device, Feeder, Location, Raceway};
use crate::job::point::Point;
use crate::job::subject::SubjectKind;

fn has<T: Thing>(field: &str) -> bool {
    T::declared().label_of(field).is_some()
}

#[test]
fn every_field_that_corrects_a_finding_is_in_the_form_of_its_thing() {
    for (kind, field) in correction::fields() {
        let is_there = match kind {
            SubjectKind::Location => has::<Location>(&field),
            SubjectKind::Raceway => has::<Raceway>(&field),
            SubjectKind::Board => has::<Board>(&field),
            SubjectKind::Point => has::<Point>(&field),
            SubjectKind::Device => has::<Device>(&field),
            SubjectKind::Circuit => has::<Circuit>(&field),
            SubjectKind::Feeder => has::<Feeder>(&field),
            // Its form is of another family of pages, which has the same test.
            SubjectKind::Job => true,
            _ => false,
        };
        assert!(is_there, "the form of a {} has no field {field}", kind.word());
    }
}
