//! The demo: an invented shop with three invented boats at different phases.
//!
//! - *Second Plover*, an open boat of 7.1 m: rewired from the batteries on, in the power-up test.
//! - *Hazel Tern*, a gasoline cabin cruiser of 9.4 m under ISO rules: halfway through its runs.
//! - *Crumb*, a skiff of 5.2 m: just received, hardly planned, so that much is still missing.
//!
//! The boats are job files like any other. The names of people, boats and the shop are invented. So is every
//! figure of a part: none is from manufacturer's data.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::role::Role;
use crate::job::event::History;
use crate::job::file::{FileError, JobFile};

/// The shop's name.
pub const SHOP: &str = "Otterslip Boat Wiring";

/// The shop's time zone, by its IANA name.
pub const TIME_ZONE: &str = "America/New_York";

/// A person of the demo shop, with passphrase and PIN. None of it is a secret.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Account {
    /// The name, as in the events of the demo jobs.
    pub name: &'static str,
    /// Their role in the shop.
    pub role: Role,
    /// Their passphrase for sign-in.
    pub passphrase: &'static str,
    /// Their PIN for the quick switch on a tablet that another person signed in.
    pub pin: &'static str,
}

const PEOPLE: [Account; 3] = [
    Account { name: "Ines Tarrowby", role: Role::Manager, passphrase: "copper before chrome", pin: "4071" },
    Account {
        name: "Rolf Haddenquist",
        role: Role::Technician,
        passphrase: "two ends on every wire",
        pin: "2583",
    },
    Account { name: "Juno Pellwick", role: Role::Apprentice, passphrase: "leave a pull string", pin: "9136" },
];

/// The people of the demo shop: the manager, a technician, an apprentice.
pub fn people() -> &'static [Account] {
    &PEOPLE
}

const BOATS: [&str; 3] = [
    include_str!("demo/second-plover.json"),
    include_str!("demo/hazel-tern.json"),
    include_str!("demo/crumb.json"),
];

/// The demo's jobs with their original dates, the largest first.
///
/// # Errors
///
/// [`FileError`] if a built-in file is not a job.
pub fn files() -> Result<Vec<JobFile>, FileError> {
    BOATS.iter().map(|text| JobFile::read(text.as_bytes())).collect()
}

/// The same job with every date shifted by the same number of days. The last activity was then the day before
/// `today`, so that a demo never looks abandoned. Days are counted in UTC.
///
/// A job without any activity does not change.
pub fn shift(mut file: JobFile, today: Date) -> JobFile {
    let Some(last) = moments(&mut file.history).map(|at| *at).max() else { return file };
    let by = day(last).duration_until(today) - SignedDuration::from_hours(24);
    for at in moments(&mut file.history) {
        // Only a shift beyond the year 9999 fails; such an event keeps its time.
        *at = at.checked_add(by).unwrap_or(*at);
    }
    let head = &mut file.plan.job;
    for date in [&mut head.received_on, &mut head.promised_on].into_iter().flatten() {
        *date = date.saturating_add(by);
    }
    file
}

fn day(at: Timestamp) -> Date {
    at.to_zoned_datetime(TimeZone::UTC).date()
}

/// The time of every event.
fn moments(history: &mut History) -> impl Iterator<Item = &mut Timestamp> {
    let History { ticks, readings, step_readings, crimp_pulls, end_notes, repairs, releases, withdrawals } =
        history;
    let ticks = ticks.iter_mut().map(|tick| &mut tick.at);
    let readings = readings.iter_mut().map(|reading| &mut reading.at);
    let of_steps = step_readings.iter_mut().map(|reading| &mut reading.at);
    let pulls = crimp_pulls.iter_mut().map(|pull| &mut pull.at);
    let notes = end_notes.iter_mut().map(|note| &mut note.at);
    let repairs = repairs.iter_mut().map(|repair| &mut repair.at);
    let withdrawals = withdrawals.iter_mut().map(|withdrawal| &mut withdrawal.at);
    let measured = readings.chain(of_steps).chain(pulls);
    let events = ticks.chain(measured).chain(notes).chain(repairs).chain(withdrawals);
    events.chain(releases.iter_mut().map(|release| &mut release.at))
}
