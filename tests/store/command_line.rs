//! The commands that work on the shop's data, run as anybody runs them.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use driploop::job::file::JobFile;
use tempfile::TempDir;

/// Runs the program on a data folder, with a line of input.
fn driploop(data: &Path, args: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_driploop"))
        .args(args)
        .env("DRIPLOOP_DATA", data)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that reads no input may have ended before it is offered any.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

/// What it printed, where it went well.
fn said(data: &Path, args: &[&str], input: &str) -> String {
    let output = driploop(data, args, input);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What it complained of, where it could not do what it was asked.
fn complained(data: &Path, args: &[&str], input: &str) -> String {
    let output = driploop(data, args, input);
    assert_eq!(output.status.code(), Some(2), "{args:?}: {}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8(output.stderr).unwrap()
}

const DEMO: [&str; 3] =
    ["src/shop/demo/second-plover.json", "src/shop/demo/hazel-tern.json", "src/shop/demo/crumb.json"];

#[test]
fn a_shop_is_filled_backed_up_lost_and_restored() {
    let root = TempDir::new().unwrap();
    let (data, backups) = (root.path().join("data"), root.path().join("backups"));
    let to = backups.to_str().unwrap();
    let printed = said(&data, &[&["import"], &DEMO[..]].concat(), "");
    assert_eq!(printed.lines().count(), 3, "{printed}");
    assert_eq!(
        said(&data, &["user", "add", "Ana", "--role", "manager"], "copper before chrome\n"),
        "Ana is in the shop now, as manager\n"
    );
    let backup = said(&data, &["backup", "--to", to, "--keep", "3"], "");
    let backup = backup.trim();
    assert!(said(&data, &["restore", "--verify-only", backup], "").starts_with("sound: taken "));

    fs::remove_dir_all(&data).unwrap();
    assert!(said(&data, &["restore", backup], "").starts_with("restored: the shop as it was "));
    for (number, path) in (1..).zip(DEMO) {
        let wanted = JobFile::read(&fs::read(path).unwrap()).unwrap();
        assert_eq!(said(&data, &["export", &number.to_string()], ""), wanted.write(), "{path}");
    }
    assert_eq!(said(&data, &["user", "list"], ""), "Ana: manager\n");
    assert!(said(&data, &["doctor"], "").starts_with("schema: "));
}

#[test]
fn one_bad_file_among_good_ones_takes_none_in() {
    let data = TempDir::new().unwrap();
    let bad = data.path().join("bad.json");
    let text =
        fs::read_to_string(DEMO[2]).unwrap().replacen("\"format\": 1", "\"format\": 1, \"shape\": 2", 1);
    fs::write(&bad, text).unwrap();
    let complaint = complained(data.path(), &["import", DEMO[0], bad.to_str().unwrap()], "");
    assert!(complaint.contains("bad.json") && complaint.contains("shape"), "{complaint}");
    let complaint = complained(data.path(), &["export", "1"], "");
    assert_eq!(complaint, "driploop: there is no job 1\n");
}

#[test]
fn the_user_command_says_what_is_not_valid() {
    let data = TempDir::new().unwrap();
    let complaint = complained(data.path(), &["user", "add", "Ana", "--role", "manager"], "short\n");
    assert!(complaint.contains("expected a passphrase of 12 to 128 characters"), "{complaint}");
    said(data.path(), &["user", "add", "Ana", "--role", "manager"], "copper before chrome\n");
    let complaint =
        complained(data.path(), &["user", "add", "ana", "--role", "viewer"], "copper before chrome\n");
    assert_eq!(complaint, "driploop: name: taken by another person\n");
    let complaint = complained(data.path(), &["user", "disable", "Ana"], "");
    assert_eq!(complaint, "driploop: this is the shop's last manager: make somebody else a manager first\n");
    let complaint = complained(data.path(), &["user", "passphrase", "Bo"], "copper before chrome\n");
    assert_eq!(complaint, "driploop: there is no person 'Bo'\n");
    let complaint = complained(data.path(), &["user", "add", "Bo", "--role", "captain"], "");
    assert!(complaint.contains("expected a role: manager, technician, apprentice or viewer"), "{complaint}");
}
