//! The hold points: what each step waits for and rests on, and who may release it.
//!
//! Each function is one row of the table in the help page on hold points. Where practice does not decide a case,
//! the safer reading is taken.

use super::need::{Need, Wait, Who};
use super::ties::Ties;
use crate::job::conductor::{Conductor, Landing};
use crate::job::plan::{Circuit, Feeder};
use crate::job::run::{At, Piece};
use crate::job::step::{Action, StepKey};
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::LocationId;

use Who::{Judge, Manager, Nobody, Technician};

/// What a step waits for.
pub(super) fn waits(ties: &Ties<'_>, step: &Step) -> Vec<Wait> {
    let key = &step.key;
    match key.action {
        Action::Isolate => vec![Wait::holds(Need::Measured, Nobody)],
        Action::Strip => vec![dead()],
        Action::PullString => pull_string(ties, key),
        Action::Cut => stripped(ties, step.location.as_ref()).chain([dead()]).collect(),
        Action::Secure => vec![wait(key.also(Action::Cut), Technician), dead()],
        Action::Place | Action::Seal | Action::SealBelow => mount(ties, step).collect(),
        Action::Close => stripped(ties, step.location.as_ref()).collect(),
        // Both drill.
        Action::Back | Action::Mount => mount(ties, step).chain([dead()]).collect(),
        Action::Pull => pull(ties, key),
        Action::Label => {
            ties.if_step(key.also(Action::Pull)).into_iter().map(|pull| wait(pull, Technician)).collect()
        }
        Action::Terminate => terminate(ties, key),
        Action::Wire => ends_of_position(ties, step).map(|end| wait(end, Technician)).collect(),
        Action::Fit => fit(ties, key),
        Action::LookOver => look_over(ties),
        Action::AllOff | Action::NegativeOff => vec![dead()],
        Action::BetweenPoles => between_poles(),
        Action::Continuity | Action::NoShort => {
            before_power(ties, key).chain([Wait::holds(Need::Measured, Manager)]).collect()
        }
        Action::Polarity => before_power(ties, key).collect(),
        Action::MainFuseOut => vec![boat(Action::BetweenPoles)],
        Action::Connect => connect(ties),
        Action::FirstPower => {
            let connected = Need::Step(StepKey::of_boat(Action::Connect));
            vec![Wait::holds(connected, Manager), Wait::holds(Need::Measured, Manager)]
        }
        Action::Fuse => vec![Wait::holds(Need::Measured, Manager)],
        Action::FuseOut => Vec::new(),
        Action::Test => match key.subject.kind {
            SubjectKind::Feeder => test_of_feeder(ties, key),
            _ => test_of_circuit(ties, key),
        },
        Action::Inspect => inspect(ties, key),
        Action::AllOn => all_on(ties),
        Action::Crank | Action::Charge => running(ties, key),
        Action::Support | Action::Guard | Action::DripLoop | Action::Relieve => tie(ties, key),
        Action::Tie => {
            let parts = [Action::Support, Action::Guard, Action::DripLoop, Action::Relieve];
            let parts = parts.into_iter().filter_map(|part| ties.if_step(key.also(part)));
            tie(ties, key).into_iter().chain(parts.map(|part| wait(part, Manager))).collect()
        }
        Action::Set => set(ties, key),
        Action::DockTrial => dock_trial(ties, key),
        Action::SecondLook => second_look(ties),
        Action::Afloat => afloat(ties),
        Action::SeaTrial => vec![boat(Action::Afloat)],
        Action::HandOver => vec![Wait::rests(Need::EverythingElse, Manager)],
        Action::LeaveUnsafe => Vec::new(),
    }
}

/// What must be true before the fuse of a circuit or feeder goes in again while the boat has power.
pub(super) fn fuse_in(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let tests = tests_before_power(ties, &key.subject).map(|test| wait(test, Nobody));
    tests.chain([no_stop(with_feeders(ties, &key.subject))]).collect()
}

fn wait(step: StepKey, by: Who) -> Wait {
    Wait::waits(Need::Step(step), by)
}

fn boat(action: Action) -> Wait {
    wait(StepKey::of_boat(action), Manager)
}

fn rests(step: StepKey, by: Who) -> Wait {
    Wait::rests(Need::Step(step), by)
}

/// The boat is isolated. Nobody can release this.
fn dead() -> Wait {
    Wait::waits(Need::Dead(Vec::new()), Nobody)
}

fn no_stop(of: Vec<Subject>) -> Wait {
    Wait::holds(Need::NoStop(of), Judge)
}

/// No open item that must be closed is on any of these; on the boat, if there are none.
fn settled(of: Vec<Subject>) -> Wait {
    Wait::holds(Need::Settled(of), Nobody)
}

fn powered(of: Option<Subject>) -> Wait {
    Wait::waits(Need::Powered(of), Nobody)
}

fn stripped(ties: &Ties<'_>, location: Option<&LocationId>) -> impl Iterator<Item = Wait> {
    let strip = location.map(|id| StepKey::of(SubjectKind::Location, id, Action::Strip));
    strip.and_then(|strip| ties.if_step(strip)).map(|strip| wait(strip, Technician)).into_iter()
}

/// A part is mounted on a board whose cut-outs are made.
fn mount(ties: &Ties<'_>, step: &Step) -> impl Iterator<Item = Wait> {
    let cut =
        ties.board_of(&step.key.subject).map(|board| StepKey::of(SubjectKind::Board, board, Action::Cut));
    stripped(ties, step.location.as_ref()).chain(cut.map(|cut| wait(cut, Technician)))
}

fn pull_string(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let raceway = ties.plan().raceways.iter().find(|raceway| raceway.id.as_str() == key.subject.id);
    let ends = raceway.into_iter().flat_map(|raceway| &raceway.between);
    ends.flat_map(|end| stripped(ties, Some(end))).collect()
}

fn pull(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let Some((piece, _)) = ties.pieces().about(&key.subject) else { return Vec::new() };
    let strings = ties.raceways_of(piece).into_iter();
    let strings = strings.map(|id| StepKey::of(SubjectKind::Raceway, id, Action::PullString));
    strings.filter_map(|string| ties.if_step(string)).map(|string| wait(string, Technician)).collect()
}

/// An end waits for its own pull and label, for the part it lands on, and for the board of that part. An end made on the bench waits only for a
/// good sample crimp. The other ends on a panel or its junction bar, and the jumpers' ends in the boat, wait for the
/// fitted panel.
fn terminate(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let Some((piece, Some(end))) = ties.pieces().about(&key.subject) else { return Vec::new() };
    let sample = Wait::waits(Need::Sample(key.subject.id.clone()), Technician);
    let Some(at) = piece.ends().into_iter().nth(end).map(|end| end.at) else { return vec![sample] };
    if is_made_on_bench(ties, piece, &at) {
        return vec![sample];
    }
    let own = [Action::Pull, Action::Label].map(|action| StepKey { subject: piece.subject(), action });
    let lands_on = match &at {
        At::Landing(landing) => Some(landing.subject()),
        At::Location(_) => None,
    };
    let board = lands_on.as_ref().and_then(|part| ties.board_of(part));
    let board = board.map(|board| StepKey::of(SubjectKind::Board, board, Action::Secure));
    let mounted = lands_on.map(|subject| StepKey { subject, action: Action::Mount });
    let panel = jumper_of(piece).and_then(|wire| ties.panel_of(wire)).or(ties.bench_part(&at));
    let fitted = panel.map(|panel| StepKey::of(SubjectKind::Point, panel, Action::Fit));
    let steps =
        own.into_iter().chain(mounted).chain(board).chain(fitted).filter_map(|step| ties.if_step(step));
    let steps = steps.map(|step| wait(step, Technician));
    steps.chain([sample, Wait::waits(Need::Dead(ties.fuses_of(piece)), Nobody)]).collect()
}

/// The wire, if it is a jumper of a switch panel.
fn jumper_of(piece: Piece<'_>) -> Option<&Conductor> {
    match piece {
        Piece::Wire(wire) if !wire.pulled && wire.role.is_jumper() => Some(wire),
        _ => None,
    }
}

/// Whether an end is made on the bench: the end of a jumper that lands on the panel or its junction bar.
fn is_made_on_bench(ties: &Ties<'_>, piece: Piece<'_>, at: &At) -> bool {
    let Some(wire) = jumper_of(piece) else { return false };
    let Some(panel) = ties.panel_of(wire) else { return false };
    let junction = ties.circuit_of(wire).and_then(|circuit| circuit.junction.as_ref());
    matches!(at, At::Landing(Landing::Point { id, .. }) if id == panel || Some(id) == junction)
}

/// The ends on the bench of the jumpers of a switch position.
fn ends_of_position(ties: &Ties<'_>, step: &Step) -> impl Iterator<Item = StepKey> {
    let circuits = step.circuits.iter().filter_map(|id| ties.plan().circuit(id));
    let jumpers = circuits.flat_map(|circuit| ties.conductors().of_circuit(&circuit.id));
    let pieces = jumpers.map(Piece::Wire);
    let ends = pieces.flat_map(|piece| piece.ends().map(|end| (piece, end)));
    let on_bench = ends.filter(|(piece, end)| is_made_on_bench(ties, *piece, &end.at));
    let keys = on_bench.map(|(_, end)| StepKey::of(SubjectKind::End, end.id, Action::Terminate));
    keys.filter_map(|key| ties.if_step(key)).collect::<Vec<_>>().into_iter()
}

fn fit(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    ties.positions_of(&key.subject.id).into_iter().map(|position| wait(position, Technician)).collect()
}

/// The boat is looked over when the ends of everything that gets power are made, and the panels are fitted.
fn look_over(ties: &Ties<'_>) -> Vec<Wait> {
    let ends = ties.circuits_and_feeders().flat_map(|of| {
        let ends = ties.wires_of(&of).iter().flat_map(|wire| wire.ends());
        let ends = ends.map(|end| StepKey::of(SubjectKind::End, end.id, Action::Terminate));
        ends.map(|end| Wait::waits(Need::StepOrFuseOut(end, of.clone()), Manager)).collect::<Vec<_>>()
    });
    let panels = ties.panels().map(|panel| StepKey::of(SubjectKind::Point, panel, Action::Fit));
    ends.chain(panels.map(|panel| wait(panel, Manager))).chain([dead()]).collect()
}

fn between_poles() -> Vec<Wait> {
    vec![boat(Action::AllOff), boat(Action::NegativeOff), dead(), Wait::holds(Need::Measured, Manager)]
}

/// The tests before power rest on everything that carries the current of this circuit or feeder alone.
fn before_power(ties: &Ties<'_>, key: &StepKey) -> impl Iterator<Item = Wait> {
    let steps = ties.wires_of(&key.subject).iter().flat_map(|wire| {
        let pull = StepKey::of(SubjectKind::Conductor, &wire.id, Action::Pull);
        let ends = wire.ends().map(|end| StepKey::of(SubjectKind::End, end.id, Action::Terminate));
        [pull].into_iter().chain(ends)
    });
    let circuit = ties.circuit(&key.subject);
    let at = circuit.and_then(|circuit| circuit.switch.as_ref());
    let position = at
        .map(|at| StepKey::of(SubjectKind::Position, format!("{}-{}", at.panel, at.position), Action::Wire));
    let panel = at.map(|at| StepKey::of(SubjectKind::Point, &at.panel, Action::Fit));
    let steps = steps.chain(position).chain(panel).filter_map(|step| ties.if_step(step));
    let made_safe = [boat(Action::AllOff), boat(Action::NegativeOff), dead()];
    steps.map(|step| rests(step, Manager)).chain(made_safe)
}

/// The tests before power of a circuit or feeder.
fn tests_before_power(ties: &Ties<'_>, subject: &Subject) -> impl Iterator<Item = StepKey> + use<> {
    let tests = [Action::Continuity, Action::Polarity, Action::NoShort];
    let tests = tests.map(|action| StepKey { subject: subject.clone(), action });
    tests.into_iter().filter_map(|test| ties.if_step(test)).collect::<Vec<_>>().into_iter()
}

/// The battery is connected only if every circuit and feeder whose fuse is in passed its tests before power.
fn connect(ties: &Ties<'_>) -> Vec<Wait> {
    let whole = [Action::LookOver, Action::BetweenPoles, Action::MainFuseOut].map(boat);
    let tests = ties.circuits_and_feeders().flat_map(|of| {
        tests_before_power(ties, &of)
            .map(move |test| Wait::holds(Need::StepOrFuseOut(test, of.clone()), Manager))
    });
    whole.into_iter().chain(tests).chain([Wait::holds(Need::NoStopAhead, Judge)]).collect()
}

fn with_feeders(ties: &Ties<'_>, subject: &Subject) -> Vec<Subject> {
    let feeders = ties.circuit(subject).into_iter().flat_map(|circuit| ties.feeders_of(circuit));
    let feeders = feeders.map(|feeder: &Feeder| Subject::new(SubjectKind::Feeder, &feeder.id));
    [subject.clone()].into_iter().chain(feeders).collect()
}

fn test_of_circuit(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let path = with_feeders(ties, &key.subject);
    let before = path.iter().flat_map(|of| tests_before_power(ties, of)).map(|test| rests(test, Manager));
    let fuse = ties.if_step(key.also(Action::Fuse)).map(|fuse| rests(fuse, Manager));
    let mut waits: Vec<Wait> = before.chain(fuse).collect();
    waits.extend([boat(Action::FirstPower), powered(Some(key.subject.clone()))]);
    waits.extend([settled(path.clone()), no_stop(path), Wait::holds(Need::Measured, Manager)]);
    waits
}

fn test_of_feeder(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let before = tests_before_power(ties, &key.subject).map(|test| rests(test, Manager));
    let fuse = ties.if_step(key.also(Action::Fuse)).map(|fuse| rests(fuse, Manager));
    let mut waits: Vec<Wait> = before.chain(fuse).collect();
    waits.extend([boat(Action::AllOn), powered(Some(key.subject.clone()))]);
    let own = vec![key.subject.clone()];
    waits.extend([settled(own.clone()), no_stop(own), Wait::holds(Need::Measured, Manager)]);
    waits
}

/// A cable is looked over after its own pull, label and ends. A new label does not open it again.
fn inspect(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let Some((piece, _)) = ties.pieces().about(&key.subject) else { return Vec::new() };
    let ends = piece.ends().map(|end| StepKey::of(SubjectKind::End, end.id, Action::Terminate));
    let steps = [key.also(Action::Pull)].into_iter().chain(ends).filter_map(|step| ties.if_step(step));
    let label = ties.if_step(key.also(Action::Label)).map(|label| wait(label, Manager));
    let own = settled(vec![key.subject.clone()]);
    steps.map(|step| rests(step, Manager)).chain(label).chain([own]).collect()
}

fn all_on(ties: &Ties<'_>) -> Vec<Wait> {
    let tests = ties.plan().circuits.iter().map(|circuit: &Circuit| {
        let test = StepKey::of(SubjectKind::Circuit, &circuit.id, Action::Test);
        let of = test.subject.clone();
        Wait::rests(Need::StepOrFuseOut(test, of), Manager)
    });
    tests.chain([powered(None), settled(Vec::new()), Wait::holds(Need::Measured, Manager)]).collect()
}

/// A starter turns and a charger charges after first power, through cables that passed their tests before power.
fn running(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let cables = ties.feeders_at(&key.subject.id);
    let before = cables.iter().flat_map(|of| tests_before_power(ties, of)).map(|test| rests(test, Manager));
    let mut waits: Vec<Wait> = before.collect();
    waits.extend([boat(Action::FirstPower), powered(None)]);
    waits.extend([settled(cables.clone()), no_stop(cables), Wait::holds(Need::Measured, Manager)]);
    waits
}

/// A run is tied when its own tests passed. It also waits for the tests of every run beside it, and for the test
/// with everything on.
fn tie(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let own = own_test(&key.subject);
    let fed = match key.subject.kind {
        SubjectKind::Feeder => ties.fed_by(&key.subject.id),
        _ => Vec::new(),
    };
    let fed = fed
        .into_iter()
        .map(|circuit| wait(StepKey::of(SubjectKind::Circuit, circuit, Action::Test), Manager));
    let beside = ties.raceways_of_run(&key.subject).into_iter();
    let beside = beside.map(|raceway| Wait::waits(Need::Raceway(raceway), Manager));
    let all_on = boat(Action::AllOn);
    [all_on, rests(own, Manager)].into_iter().chain(fed).chain(beside).collect()
}

/// The test that proves a circuit, feeder or cable.
pub(super) fn own_test(run: &Subject) -> StepKey {
    let action = if run.kind == SubjectKind::Cable { Action::Inspect } else { Action::Test };
    StepKey { subject: run.clone(), action }
}

/// A device is set up when everything that is wired to it is proven and tied.
fn set(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let device = key.subject.id.rsplit_once('-').map_or("", |(device, _)| device);
    proven_and_tied(ties, device).collect()
}

/// The test and the tie of everything that is wired to a device.
fn proven_and_tied(ties: &Ties<'_>, device: &str) -> impl Iterator<Item = Wait> {
    let steps = ties.runs_of_device(device).into_iter().flat_map(|run| {
        let tie = StepKey { subject: run.clone(), action: Action::Tie };
        [own_test(&run), tie]
    });
    steps.filter_map(|step| ties.if_step(step)).map(|step| rests(step, Technician))
}

/// A device is tried when it is proven, tied and set up.
fn dock_trial(ties: &Ties<'_>, key: &StepKey) -> Vec<Wait> {
    let settings = ties.settings_of(&key.subject.id).map(|setting| wait(setting, Technician));
    proven_and_tied(ties, &key.subject.id).chain(settings).collect()
}

/// A second person looks at the finished work: everything is tied down.
fn second_look(ties: &Ties<'_>) -> Vec<Wait> {
    let ties = ties.all_of(Action::Tie).map(|tie| wait(tie, Manager));
    ties.chain([Wait::waits(Need::SecondPerson, Nobody)]).collect()
}

/// The boat is afloat only with every seal made and every old hole closed.
fn afloat(ties: &Ties<'_>) -> Vec<Wait> {
    let tight = [Action::Seal, Action::SealBelow, Action::Close];
    tight.into_iter().flat_map(|action| ties.all_of(action)).map(|step| wait(step, Manager)).collect()
}

/// Who may record that a step is not needed. On a step that others rest on, this is a waiver: it accepts a missing
/// or failed result.
pub(super) fn waiver_by(action: Action) -> Who {
    match action {
        Action::Isolate | Action::FuseOut | Action::HandOver | Action::LeaveUnsafe => Nobody,
        Action::LookOver
        | Action::AllOff
        | Action::NegativeOff
        | Action::BetweenPoles
        | Action::Continuity
        | Action::Polarity
        | Action::NoShort
        | Action::MainFuseOut
        | Action::Connect
        | Action::FirstPower
        | Action::Fuse
        | Action::Test
        | Action::Inspect
        | Action::AllOn
        | Action::Crank
        | Action::Charge
        | Action::SecondLook
        | Action::Afloat
        | Action::SeaTrial => Manager,
        Action::Pull | Action::Terminate | Action::Wire | Action::Fit | Action::Tie | Action::DockTrial => {
            Technician
        }
        _ => Who::Apprentice,
    }
}

/// Who may record that a step is done.
pub(super) fn done_by(action: Action) -> Who {
    match action {
        Action::HandOver | Action::LeaveUnsafe => Manager,
        _ => Who::Apprentice,
    }
}

/// Whether others rest on this step, so that "not needed" is a waiver.
pub(super) fn is_result(action: Action) -> bool {
    waiver_by(action) >= Technician
}
