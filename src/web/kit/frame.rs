//! What is known about a request before any handler runs.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use super::length::LengthUnit;
use super::theme::Theme;
use super::user::CurrentUser;
use crate::shop::access::OnJob;
use crate::shop::profile::{Profile, Units};
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::rules::RuleSet;

/// What is known about a request before any handler runs. Every page contains it.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// The user, if signed in.
    pub user: Option<CurrentUser>,
    /// Light or dark, if somebody chose.
    pub theme: Theme,
    /// The shop, after it is set up.
    pub shop: Option<Profile>,
    /// When the request came in.
    pub now: Timestamp,
    /// The requested address, to come back to.
    pub path: String,
    /// Whether the shop has its own certificate authority, which tablets have to trust.
    pub authority: bool,
    /// The job that the request is about, if its address names one and the user may see it.
    pub job: Option<OnJob<JobId>>,
}

impl Frame {
    /// A time in the shop's own time zone.
    pub fn local(&self, at: Timestamp) -> ZonedDateTime {
        at.to_zoned_datetime(self.shop.as_ref().map_or(TimeZone::UTC, |shop| shop.time_zone.rules()))
    }

    /// Today in the shop.
    pub fn today(&self) -> Date {
        self.local(self.now).date()
    }

    /// A time as pages show it.
    pub fn moment(&self, at: Timestamp) -> String {
        self.local(at).strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// How long ago a time was, in plain text.
    pub fn ago(&self, at: Timestamp) -> String {
        ago(self.now, at)
    }

    /// The unit for typed and shown lengths.
    pub fn length_unit(&self) -> LengthUnit {
        match self.units() {
            Units::Us => LengthUnit::Foot,
            Units::Metric => LengthUnit::Meter,
        }
    }

    /// The rule set of a new job.
    pub fn usual_rules(&self) -> RuleSet {
        match self.units() {
            Units::Us => RuleSet::Us,
            Units::Metric => RuleSet::Iso,
        }
    }

    /// The shop's currency as its three letters.
    pub fn currency(&self) -> &str {
        self.shop.as_ref().map_or("", |shop| shop.currency.as_str())
    }

    /// Whether the user may do something on the job that the request is about, or in the shop. It may still need the
    /// passphrase.
    pub fn may(&self, action: Permission) -> bool {
        self.user.as_ref().is_some_and(|user| user.access().may_open(action, self.job).is_ok())
    }

    /// Whether the user came to this tablet with a PIN, so that some acts need the passphrase first.
    pub fn is_by_pin(&self) -> bool {
        self.user.as_ref().is_some_and(|user| user.access().is_by_pin())
    }

    /// Why there is no work on the job that the request is about; `None` while it is open.
    pub fn not_open(&self) -> Option<&'static str> {
        self.job.and_then(|job| job.state.refusal())
    }

    /// The units the shop works in.
    pub fn units(&self) -> Units {
        self.shop.as_ref().map_or(Units::Metric, |shop| shop.units)
    }
}

impl<S: Sync> FromRequestParts<S> for Frame {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(parts.extensions.get::<Self>().cloned().unwrap_or_default())
    }
}

/// How long ago a time was, in plain text, rounded as in speech.
fn ago(now: Timestamp, at: Timestamp) -> String {
    let minutes = (now.as_second() - at.as_second()) / 60;
    match minutes {
        ..1 => "just now".to_owned(),
        1 => "a minute ago".to_owned(),
        2..60 => format!("{minutes} minutes ago"),
        60..120 => "an hour ago".to_owned(),
        120..1440 => format!("{} hours ago", minutes / 60),
        1440..2880 => "a day ago".to_owned(),
        _ => format!("{} days ago", minutes / 1440),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_long_ago_is_said_as_people_say_it() {
        let said = |seconds: i64| {
            ago(
                Timestamp::from_second(1_000_000).unwrap(),
                Timestamp::from_second(1_000_000 - seconds).unwrap(),
            )
        };
        assert_eq!(said(-90), "just now", "a tablet whose clock runs ahead");
        assert_eq!(said(61), "a minute ago");
        assert_eq!(said(7200), "2 hours ago");
        assert_eq!(said(3 * 86_400 + 5), "3 days ago");
    }
}
