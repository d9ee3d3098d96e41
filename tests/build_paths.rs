//! What the compiler builds names no folder of the machine that built it.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::fs;
use std::path::Path;
use std::process::Command;

/// A library in the folder of the crates, and a program that panics in it, in generated code and in its own file.
fn sources(home: &Path) {
    let library = home.join("registry/src/somewhere-0123/lib-1.0.0/src");
    fs::create_dir_all(&library).unwrap();
    fs::write(library.join("lib.rs"), "#[inline(never)]\npub fn far(n: usize) -> u8 { [1, 2][n] }\n")
        .unwrap();
}

fn compile(home: &Path, within: &Path, args: &[&str]) {
    let wrapper = Path::new(env!("CARGO_MANIFEST_DIR")).join(".cargo/rustc.sh");
    let rustc = std::env::var("RUSTC").unwrap_or_else(|_| "rustc".to_owned());
    let status = Command::new(wrapper)
        .arg(rustc)
        .args(["--edition=2024", "-C", "debuginfo=line-tables-only"])
        .args(args)
        .current_dir(within)
        .env("CARGO_HOME", home)
        .env("OUT_DIR", within.join("target/out"))
        .status()
        .unwrap();
    assert!(status.success(), "{args:?}");
}

#[cfg(unix)]
#[test]
fn the_compiler_puts_no_folder_of_this_machine_into_what_it_builds() {
    let machine = tempfile::Builder::new().prefix("unlikely-name-of-a-folder").tempdir().unwrap();
    let (home, own) = (machine.path().join("home"), machine.path().join("own"));
    sources(&home);
    fs::create_dir_all(own.join("target/out")).unwrap();
    fs::write(own.join("target/out/made.rs"), "fn made(n: usize) -> u8 { [3, 4][n] }\n").unwrap();
    let program = "include!(concat!(env!(\"OUT_DIR\"), \"/made.rs\"));\n\
        fn main() { let n = std::env::args().count(); println!(\"{}{}{}\", lib::far(n), made(n), [5, 6][n]); }\n";
    fs::write(own.join("main.rs"), program).unwrap();
    let library = home.join("registry/src/somewhere-0123/lib-1.0.0");
    let source = library.join("src/lib.rs");
    let out = own.join("target/liblib.rlib");
    compile(
        &home,
        &library,
        &["--crate-type=rlib", "--crate-name=lib", "-o", out.to_str().unwrap(), source.to_str().unwrap()],
    );
    let with = format!("lib={}", out.display());
    compile(&home, &own, &["--extern", &with, "-C", "strip=debuginfo", "-o", "program", "main.rs"]);
    let built = String::from_utf8_lossy(&fs::read(own.join("program")).unwrap()).into_owned();
    assert!(built.contains("cargo/registry/src/somewhere-0123/lib-1.0.0/src/lib.rs"), "the crate is named");
    assert!(built.contains("generated/made.rs"), "and so is the generated source");
    assert!(!built.contains("unlikely-name-of-a-folder"), "but no folder of the machine");
}

#[test]
fn every_build_runs_the_compiler_by_that_script() {
    let settings = fs::read_to_string(".cargo/config.toml").unwrap();
    assert!(settings.contains("rustc-wrapper = \".cargo/rustc.sh\""), "{settings}");
}
