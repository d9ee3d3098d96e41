//! Migrations are compiled in: a new one must rebuild the program.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}
