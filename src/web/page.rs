//! What every page has around its content: who looks, the title block, and the way to other pages.

use std::convert::Infallible;

use askama::Template;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::response::Html;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use super::length::LengthUnit;
use super::theme::Theme;
use super::undo::LastChange;
use super::user::CurrentUser;
use super::{Error, assets};
use crate::job::phase::Phase;
use crate::shop::profile::{Profile, Units};
use crate::shop::role::Action;
use crate::trade::rules::RuleSet;

/// What is known of a request before any handler runs; the outermost part of every page.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// Who looks, once signed in.
    pub user: Option<CurrentUser>,
    /// Light or dark, where somebody chose.
    pub theme: Theme,
    /// The shop, once it is made.
    pub shop: Option<Profile>,
    /// When the request came in.
    pub now: Timestamp,
    /// The address asked for, to come back to.
    pub path: String,
    /// Whether the shop has a certificate authority of its own, that tablets have to trust.
    pub authority: bool,
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

    /// A time as pages write it.
    pub fn moment(&self, at: Timestamp) -> String {
        self.local(at).strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// How long ago something was, in words.
    pub fn ago(&self, at: Timestamp) -> String {
        ago(self.now, at)
    }

    /// The unit lengths are typed and shown in.
    pub fn length_unit(&self) -> LengthUnit {
        match self.units() {
            Units::Us => LengthUnit::Foot,
            Units::Metric => LengthUnit::Meter,
        }
    }

    /// The rules a new job starts with.
    pub fn usual_rules(&self) -> RuleSet {
        match self.units() {
            Units::Us => RuleSet::Us,
            Units::Metric => RuleSet::Iso,
        }
    }

    /// The shop's currency, as its three letters.
    pub fn currency(&self) -> &str {
        self.shop.as_ref().map_or("", |shop| shop.currency.as_str())
    }

    /// Whether the user's role allows something.
    pub fn may(&self, action: Action) -> bool {
        self.user.as_ref().is_some_and(|user| user.role().may(action))
    }

    /// The units the shop works in.
    pub fn units(&self) -> Units {
        self.shop.as_ref().map_or(Units::Metric, |shop| shop.units)
    }

    /// A page that belongs to the shop as a whole.
    pub fn title_block(self, title: impl Into<String>) -> TitleBlock {
        TitleBlock { frame: self, title: title.into(), here: Here::Elsewhere, job: None }
    }

    /// A page of one job.
    pub fn job_title_block(self, title: impl Into<String>, job: JobBlock, tab: Tab) -> TitleBlock {
        TitleBlock { frame: self, title: title.into(), here: Here::Job(tab), job: Some(job) }
    }
}

impl<S: Sync> FromRequestParts<S> for Frame {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(parts.extensions.get::<Self>().cloned().unwrap_or_default())
    }
}

/// A page as a drawing page: its title block and the links to the other pages.
#[derive(Debug, Clone)]
pub struct TitleBlock {
    /// Who looks and how.
    pub frame: Frame,
    /// Name of the page.
    pub title: String,
    /// Which link of the menus it is.
    pub here: Here,
    /// The job it belongs to, if any.
    pub job: Option<JobBlock>,
}

/// Which link a page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Here {
    /// The shop floor.
    Floor,
    /// The people of the shop.
    People,
    /// Signed-in devices.
    SignIns,
    /// How labels are made.
    Labels,
    /// Backups.
    Backups,
    /// A page of the job.
    Job(Tab),
    /// None of the menus.
    Elsewhere,
}

/// A page of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tab {
    /// The overview.
    Overview,
    /// The boat from above.
    Layout,
    /// The strip-out register.
    Removed,
    /// The ways of wires through the boat.
    Routes,
    /// Locations and raceways.
    Locations,
    /// Points.
    Points,
    /// Devices.
    Devices,
    /// Circuits.
    Circuits,
    /// Feeders.
    Feeders,
    /// Modes.
    Modes,
    /// The one-line diagram.
    OneLine,
    /// Points, modes and short circuits of the supply.
    Supply,
    /// State of charge over the days.
    Energy,
    /// The navigation lights.
    Lights,
    /// Feeders and branches sized together.
    Sizing,
    /// The wires, one in the hand at a time.
    Wires,
    /// The boards and what is mounted on them.
    Boards,
    /// The labels at the ends of the wires.
    Labels,
    /// Where a fault is, by the readings.
    Diagnosis,
    /// The jumpers of the panels, made on the bench.
    Bench,
    /// A phase.
    Phase(Phase),
    /// The finished-job report.
    Report,
    /// What happened on the job.
    Log,
}

impl Tab {
    /// The pages around the phases, in the order of the menu, under what they are about.
    const GROUPS: &'static [(&'static str, &'static [Self])] = &[
        ("Job", &[Self::Overview, Self::Report, Self::Log]),
        ("Boat", &[Self::Removed, Self::Layout, Self::Routes, Self::Boards, Self::Locations]),
        ("Wiring", &[Self::Points, Self::Feeders, Self::Devices, Self::Circuits, Self::Modes]),
        ("Calculations", &[Self::OneLine, Self::Supply, Self::Energy, Self::Lights, Self::Sizing]),
        ("Work", &[Self::Wires, Self::Labels, Self::Bench, Self::Diagnosis]),
    ];

    /// The page as the menu names it.
    pub fn title(self) -> &'static str {
        match self {
            Self::Overview => "Overview",
            Self::Removed => "Removed equipment",
            Self::Layout => "Boat plan",
            Self::Routes => "Routes",
            Self::Locations => "Locations",
            Self::Points => "Distribution",
            Self::Devices => "Devices",
            Self::Circuits => "Circuits",
            Self::Feeders => "Feeders",
            Self::Modes => "Modes",
            Self::OneLine => "One-line diagram",
            Self::Supply => "Supply",
            Self::Energy => "Energy",
            Self::Lights => "Lights",
            Self::Sizing => "Sizing",
            Self::Wires => "Wires",
            Self::Boards => "Boards",
            Self::Labels => "Labels",
            Self::Phase(phase) => phase.title(),
            Self::Bench => "Bench list",
            Self::Diagnosis => "Diagnosis",
            Self::Report => "Report",
            Self::Log => "Log",
        }
    }

    /// The page's address within its job.
    pub fn path(self) -> String {
        match self {
            Self::Overview => String::new(),
            Self::Removed => "/plan/removed".to_owned(),
            Self::Layout => "/layout".to_owned(),
            Self::Routes => "/routes".to_owned(),
            Self::Locations => "/plan/locations".to_owned(),
            Self::Points => "/plan/points".to_owned(),
            Self::Devices => "/plan/devices".to_owned(),
            Self::Circuits => "/plan/circuits".to_owned(),
            Self::Feeders => "/plan/feeders".to_owned(),
            Self::Modes => "/plan/modes".to_owned(),
            Self::OneLine => "/one-line".to_owned(),
            Self::Supply => "/supply".to_owned(),
            Self::Energy => "/energy".to_owned(),
            Self::Lights => "/lights".to_owned(),
            Self::Sizing => "/sizing".to_owned(),
            Self::Wires => "/wires".to_owned(),
            Self::Boards => "/boards".to_owned(),
            Self::Labels => "/labels".to_owned(),
            Self::Phase(phase) => format!("/phases/{phase}"),
            Self::Bench => "/bench".to_owned(),
            Self::Diagnosis => "/diagnosis".to_owned(),
            Self::Report => "/report".to_owned(),
            Self::Log => "/log".to_owned(),
        }
    }
}

/// What the title block says of a job.
#[derive(Debug, Clone)]
pub struct JobBlock {
    /// Address of the job: `/jobs/12`.
    pub href: String,
    /// Number of the job.
    pub number: String,
    /// Name of the job.
    pub name: String,
    /// Name of the boat.
    pub boat: String,
    /// How many times the plan was changed, counted from 1.
    pub edition: i64,
    /// Day of that change, in the shop's time zone.
    pub date: String,
    /// Who made it.
    pub by: String,
    /// The eight phases and how far each is.
    pub phases: PhaseStrip,
    /// The last change of its plan, where the user made it just now.
    pub last_change: Option<LastChange>,
}

/// The eight phases side by side, each filled as far as it is done.
#[derive(Debug, Clone, Default, Template)]
#[template(path = "partials/phase_strip.html")]
pub struct PhaseStrip {
    /// One cell a phase, in the order of work.
    pub cells: Vec<PhaseCell>,
}

impl askama::filters::HtmlSafe for PhaseStrip {}

/// How far one phase is.
#[derive(Debug, Clone)]
pub struct PhaseCell {
    /// The phase.
    pub phase: Phase,
    /// Steps done or not needed.
    pub done: usize,
    /// Steps in all.
    pub of: usize,
    /// Whether its gate is shut: something of an earlier phase stands in the way.
    pub held: bool,
    /// Address of its page.
    pub href: String,
    /// Whether this is the page looked at.
    pub here: bool,
}

impl PhaseCell {
    /// Its location in the order of work, from 1.
    pub fn number(&self) -> usize {
        Phase::ALL.iter().position(|phase| *phase == self.phase).map_or(0, |index| index + 1)
    }

    /// Share done in percent; a phase without steps has none.
    pub fn percent(&self) -> usize {
        (self.done * 100).checked_div(self.of).unwrap_or(0)
    }

    /// The state in words, for those who do not see the cell.
    pub fn words(&self) -> String {
        let state = match (self.of, self.done) {
            (0, _) => "no steps".to_owned(),
            (of, done) if done >= of => "complete".to_owned(),
            (of, done) => format!("{done} of {of} done"),
        };
        if self.held { format!("{state}, on hold") } else { state }
    }

    /// The class that draws the state.
    pub fn class(&self) -> &'static str {
        match (self.of, self.done) {
            (0, _) => "empty",
            (of, done) if done >= of => "complete",
            (_, 0) => "open",
            _ => "begun",
        }
    }
}

/// A link of a menu.
#[derive(Debug, Clone)]
pub struct Link {
    /// Where it leads.
    pub href: String,
    /// What it says.
    pub label: &'static str,
    /// Whether it is the page looked at.
    pub here: bool,
}

impl TitleBlock {
    /// The same page, marked as a link of the shop's menu.
    pub fn at(self, here: Here) -> Self {
        Self { here, ..self }
    }

    /// Address of an embedded file.
    pub fn asset(&self, name: &str) -> String {
        assets::address(name)
    }

    /// The shop's menu.
    pub fn shop_links(&self) -> Vec<Link> {
        let link =
            |here: Here, href: &str, label| Link { href: href.to_owned(), label, here: self.here == here };
        match &self.frame.user {
            None => Vec::new(),
            Some(user) => {
                let mut links = vec![link(Here::Floor, "/", "Shop floor")];
                if user.role().may(Action::People) {
                    links.push(link(Here::People, "/people", "People"));
                }
                links.push(link(Here::SignIns, "/sign-ins", "Signed-in tablets"));
                if user.role().may(Action::Shop) {
                    links.push(link(Here::Labels, "/labels", "Labels"));
                    links.push(link(Here::Backups, "/backups", "Backups"));
                }
                links
            }
        }
    }

    /// The links to the other pages of the job, under what they are about.
    pub fn menu(&self) -> Vec<(&'static str, Vec<Link>)> {
        let Some(job) = &self.job else { return Vec::new() };
        let link = |tab: &Tab| Link {
            href: format!("{}{}", job.href, tab.path()),
            label: tab.title(),
            here: self.here == Here::Job(*tab),
        };
        Tab::GROUPS.iter().map(|(about, tabs)| (*about, tabs.iter().map(link).collect())).collect()
    }

    /// The theme the button in the title block changes to.
    pub fn other_theme(&self) -> Theme {
        self.frame.theme.next()
    }
}

/// How long ago something was, in words as coarse as one would say them.
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

/// Renders a page.
///
/// # Errors
/// When the template fails, which only a fault of the program's own brings about.
pub fn html(page: &impl Template) -> Result<Html<String>, Error> {
    Ok(Html(page.render()?))
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

    fn cell(done: usize, of: usize, held: bool) -> PhaseCell {
        PhaseCell { phase: Phase::Runs, done, of, held, href: String::new(), here: false }
    }

    #[test]
    fn a_cell_says_its_state_in_words() {
        assert_eq!(cell(0, 0, false).words(), "no steps");
        assert_eq!(cell(3, 8, true).words(), "3 of 8 done, on hold");
        assert_eq!(cell(8, 8, false).words(), "complete");
        assert_eq!((cell(3, 8, false).percent(), cell(0, 0, false).percent()), (37, 0));
        assert_eq!(cell(0, 1, false).number(), 3);
    }
}
