//! What the help says about the program, compared with the program.

use clap::CommandFactory;
use driploop::cli::Cli;
use driploop::job::label::Word;
use driploop::job::phase::Phase;
use driploop::job::step::Action;
use driploop::job::work::{Who, Work};
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

/// The last cells of the rows about a step in the tables of hold points.
fn last_cells(step: &str) -> Vec<&'static str> {
    let rows = text("holds").lines().filter_map(|line| line.strip_prefix("| ")?.strip_suffix(" |"));
    let cells = rows.map(|row| row.split(" | ").collect::<Vec<_>>());
    cells.filter(|cells| cells.get(1) == Some(&step)).filter_map(|cells| cells.last().copied()).collect()
}

#[test]
fn the_hold_points_say_who_may_mark_each_step_as_not_needed() {
    let tied = "supported, protected from chafe, drip loop, strain relief";
    let steps = [
        ("isolated", vec![Action::Isolate]),
        ("old wiring removed", vec![Action::Strip]),
        ("pull string left", vec![Action::PullString]),
        (
            "held in place, bedded in sealant, sealed below the waterline",
            vec![Action::Place, Action::Seal, Action::SealBelow],
        ),
        ("backed, fastened", vec![Action::Back, Action::Mount]),
        ("old holes closed", vec![Action::Close]),
        ("pulled", vec![Action::Pull]),
        ("labeled", vec![Action::Label]),
        ("terminal fitted", vec![Action::Terminate]),
        ("wired", vec![Action::Wire]),
        ("fitted", vec![Action::Fit]),
        (tied, vec![Action::Support, Action::Guard, Action::DripLoop, Action::Relieve]),
        ("tied down", vec![Action::Tie]),
        ("set and recorded", vec![Action::Set]),
    ];
    for (step, actions) in steps {
        let said = last_cells(step);
        assert!(!said.is_empty(), "no row: {step}");
        for action in actions {
            let expected = match Work::waiver_by(action) {
                Who::Apprentice => "apprentice",
                Who::Technician => "technician, waive",
                Who::Manager => "manager, waive",
                Who::Judge | Who::Nobody => "nobody",
            };
            assert!(said.iter().all(|cell| *cell == expected), "{step}: {said:?}, expected {expected}");
        }
    }
}

#[test]
fn a_manager_waives_each_step_of_the_power_up_test() {
    assert!(text("holds").contains("A manager may release and waive each step of this table."));
    let steps = [
        Action::LookOver,
        Action::AllOff,
        Action::NegativeOff,
        Action::BetweenPoles,
        Action::Continuity,
        Action::Polarity,
        Action::MainFuseOut,
        Action::Connect,
        Action::FirstPower,
        Action::Fuse,
        Action::Test,
        Action::Inspect,
        Action::AllOn,
    ];
    for action in steps {
        assert_eq!(Work::waiver_by(action), Who::Manager, "{action:?}");
    }
    assert_eq!(Work::waiver_by(Action::FuseOut), Who::Nobody);
}
