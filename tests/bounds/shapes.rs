//! Every hard shape is read and checked on a small stack.

use std::sync::Mutex;

use driploop::job::check::together;
use driploop::job::checked::Checked;
use driploop::job::file::JobFile;

use crate::hard_shapes::SHAPES;

/// The program's own stacks hold 2 MiB. No depth of a computation follows its input, so far less is enough,
/// even in a build without optimization, whose frames are several times as large.
const STACK: usize = 256 * 1024;

/// So many at once, because each takes seconds in a build without optimization.
const WORKERS: usize = 2;

#[test]
fn every_hard_shape_is_checked_on_a_small_stack() {
    let shapes = Mutex::new(SHAPES.into_iter());
    let next = || shapes.lock().expect("no thread failed before").next();
    let work = || {
        while let Some(shape) = next() {
            let name = shape.name;
            let file = JobFile::read(shape.text().as_bytes());
            let checked = Checked::of(file.unwrap_or_else(|error| panic!("{name}: {error:.500}")).plan);
            assert_eq!(checked.report.circuits.len(), checked.plan.circuits.len(), "{name}");
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..WORKERS {
            std::thread::Builder::new().stack_size(STACK).spawn_scoped(scope, work).expect("a thread");
        }
    });
}

#[test]
fn a_feeder_back_to_its_battery_is_sized_on_a_small_stack() {
    let [shape, ..] = SHAPES;
    let size = move || {
        let checked = Checked::of(JobFile::read(shape.text().as_bytes()).expect("a job").plan);
        together(&checked.plan, &checked.report)
    };
    let thread = std::thread::Builder::new().stack_size(STACK).spawn(size);
    assert!(thread.expect("a thread").join().is_ok());
}
