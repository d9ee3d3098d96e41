//! Every hard shape is read and checked on a small stack.

use driploop::job::check::together;
use driploop::job::checked::Checked;
use driploop::job::file::JobFile;

use crate::hard_shapes::SHAPES;

/// The program's own stacks hold 2 MiB. No depth of a computation follows its input, so far less is enough,
/// even in a build without optimization, whose frames are several times as large.
const STACK: usize = 256 * 1024;

/// These shapes take long in a build without optimization. They are checked if their names contain the text of
/// `DRIPLOOP_SHAPES`.
const LONG: [&str; 6] = [
    "2,000 feeders in a row",
    "2,000 batteries",
    "60 bars each joined to each",
    "1,000 two-way loops",
    "1,000 modes x 300 circuits",
    "200 doubled switches",
];

#[test]
fn every_hard_shape_is_checked_on_a_small_stack() {
    let asked = std::env::var("DRIPLOOP_SHAPES");
    let is_asked = |name: &str| match &asked {
        Ok(part) => name.contains(part.as_str()),
        Err(_) => !LONG.contains(&name),
    };
    for shape in SHAPES.into_iter().filter(|shape| is_asked(shape.name)) {
        let name = shape.name;
        let check = move || {
            let file =
                JobFile::read(shape.text().as_bytes()).unwrap_or_else(|error| panic!("{name}: {error:.500}"));
            Checked::of(file.plan)
        };
        let thread = std::thread::Builder::new().stack_size(STACK).spawn(check);
        let checked = thread.expect("a thread").join().expect(name);
        assert_eq!(checked.report.circuits.len(), checked.plan.circuits.len(), "{name}");
    }
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
