//! What the help says about the program, compared with the program.

use clap::CommandFactory;
use driploop::cli::Cli;
use driploop::job::label::Word;
use driploop::job::phase::Phase;
use driploop::trade::finding::Code;
use driploop::web::kit::manual;

fn text(name: &str) -> &'static str {
    manual::pages().find(|page| page.name == name).unwrap().markdown
}

#[test]
fn every_finding_code_is_explained_with_its_level() {
    let page = text("finding-codes");
    for code in Code::ALL {
        let line = format!("- `{}` ({}): ", code.phrase(), code.level().word());
        assert!(page.contains(&line), "{line}");
    }
    let lines = page.lines().filter(|line| line.starts_with("- `")).count();
    assert_eq!(lines, Code::ALL.len(), "a code is explained that is none");
}

#[test]
fn every_phase_has_a_page_and_is_in_the_first_one() {
    for phase in Phase::ALL {
        assert!(text("start").contains(&format!("[{}]({}.md)", phase.title(), phase.word())), "{phase}");
        assert!(text(phase.word()).starts_with(&format!("# {}\n", phase.title())), "{phase}");
    }
}

#[test]
fn every_term_of_a_label_rule_is_explained() {
    for word in Word::ALL {
        assert!(text("labels").contains(&format!("`{{{}}}`", word.text())), "{}", word.text());
    }
}

#[test]
fn every_option_of_the_server_and_every_command_is_listed() {
    let mut command = Cli::command();
    command.build();
    let serve = command.find_subcommand("serve").unwrap();
    for option in serve.get_arguments().filter_map(|argument| argument.get_long()) {
        if option != "help" {
            assert!(text("operating").contains(&format!("| `--{option}")), "--{option}");
        }
    }
    for known in command.get_subcommands().map(clap::Command::get_name).filter(|name| *name != "help") {
        let pages = [text("job-check"), text("backups"), text("operating")];
        assert!(pages.iter().any(|page| page.contains(&format!("driploop {known}"))), "{known}");
    }
}

#[test]
fn every_part_of_a_job_file_is_explained() {
    let schema = serde_json::to_value(driploop::job::file::JobFile::schema()).unwrap();
    for part in schema["properties"].as_object().unwrap().keys() {
        assert!(text("job-file").contains(&format!("`{part}`")), "{part}");
    }
}
