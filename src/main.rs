//! The `driploop` program: reads the command line and starts.

fn main() {}
