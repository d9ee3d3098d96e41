//! The demo: an invented shop with four invented boats at different phases.
//!
//! - *Second Plover*, an open boat of 7.1 m: rewired from the batteries on, in the power-up test.
//! - *Hazel Tern*, a gasoline cabin cruiser of 9.4 m under ISO rules: halfway through its runs.
//! - *Crumb*, a skiff of 5.2 m: just received, hardly planned, so that much is still missing.
//! - *Pied Wagtail*, an open boat of 5.5 m: finished, every circuit proven and tied.
//!
//! The boats are job files like any other. The names of people, boats and the shop are invented. So is every
//! figure of a part: none is from manufacturer's data.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use super::role::Role;
use crate::job::event::History;
use crate::job::file::{FileError, JobFile};
use crate::job::record::{self, Record, RecordVisitor};

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

const BOATS: [&str; 4] = [
    include_str!("demo/second-plover.json"),
    include_str!("demo/hazel-tern.json"),
    include_str!("demo/crumb.json"),
    include_str!("demo/pied-wagtail.json"),
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
    let Some(last) = file.history.latest() else { return file };
    let by = day(last).duration_until(today) - SignedDuration::from_hours(24);
    record::visit(&mut Shift { history: &mut file.history, by });
    let head = &mut file.plan.job;
    for date in [&mut head.received_on, &mut head.promised_on].into_iter().flatten() {
        *date = date.saturating_add(by);
    }
    file
}

fn day(at: Timestamp) -> Date {
    at.to_zoned_datetime(TimeZone::UTC).date()
}

/// Shifts the time of every event.
struct Shift<'a> {
    history: &'a mut History,
    by: SignedDuration,
}

impl RecordVisitor for Shift<'_> {
    fn visit<R: Record>(&mut self) {
        for at in R::list_mut(self.history).iter_mut().map(R::at_mut) {
            // Only a shift beyond the year 9999 fails; such an event keeps its time.
            *at = at.checked_add(self.by).unwrap_or(*at);
        }
    }
}
