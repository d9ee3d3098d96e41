//! What every page has around its content: the title block and the menus.

use askama::Template;
use axum::response::Html;

use super::frame::Frame;
use super::last_change::LastChange;
use super::theme::Theme;
use super::{Error, assets, manual};
use crate::job::phase::Phase;
use crate::shop::role::Permission;

/// The title block of a page and the links to the other pages.
#[derive(Debug, Clone)]
pub struct TitleBlock {
    /// The user and the display settings.
    pub frame: Frame,
    /// Title of the page.
    pub title: String,
    /// Which link of the menus it is.
    pub here: Here,
    /// The explanation of the page: a page of the help, or a heading in one. `None` for the help itself.
    pub topic: Option<&'static str>,
    /// The job it belongs to, if any.
    pub job: Option<JobBlock>,
}

impl Frame {
    /// The title block of a page of the whole shop.
    pub fn title_block(self, title: impl Into<String>) -> TitleBlock {
        TitleBlock {
            frame: self,
            title: title.into(),
            here: Here::Elsewhere,
            topic: Here::Elsewhere.topic(),
            job: None,
        }
    }

    /// The title block of a page of one job.
    pub fn job_title_block(self, title: impl Into<String>, job: JobBlock, tab: Tab) -> TitleBlock {
        let topic = Some(tab.topic());
        TitleBlock { frame: self, title: title.into(), here: Here::Job(tab), topic, job: Some(job) }
    }
}

/// Which menu link a page has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Here {
    /// The shop floor.
    Floor,
    /// The boats and tasks of the user.
    MyWork,
    /// The people of the shop.
    People,
    /// Devices that are signed in.
    SignIns,
    /// The label settings.
    Labels,
    /// The settings of the shop.
    Settings,
    /// The log of the shop.
    ShopLog,
    /// Backups.
    Backups,
    /// The help.
    Help,
    /// A page of the job.
    Job(Tab),
    /// No menu link.
    Elsewhere,
}

impl Here {
    /// Its explanation in the help. The help has none.
    fn topic(self) -> Option<&'static str> {
        match self {
            Self::Floor | Self::Elsewhere => Some("start"),
            Self::MyWork => Some("start#my-work"),
            Self::People => Some("people"),
            Self::SignIns => Some("people#signed-in-tablets"),
            Self::Labels => Some("labels"),
            Self::Settings => Some("shop"),
            Self::ShopLog => Some("shop#the-log-of-the-shop"),
            Self::Backups => Some("backups"),
            Self::Help => None,
            Self::Job(tab) => Some(tab.topic()),
        }
    }
}

/// A page of a job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tab {
    /// The overview.
    Overview,
    /// All findings.
    Findings,
    /// The boat from above.
    Layout,
    /// The removed equipment.
    Removed,
    /// The routes of the wires through the boat.
    Routes,
    /// Locations and raceways.
    Locations,
    /// Distribution points.
    Points,
    /// A plan proposed from the boat form and the wishes.
    Proposal,
    /// The values that are still to be measured.
    Measure,
    /// A list of wishes that becomes devices.
    Wishes,
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
    /// Distribution points, modes and short circuits of the supply.
    Supply,
    /// State of charge over days.
    Energy,
    /// The loads of each bank and mode.
    Worksheet,
    /// The navigation lights.
    Lights,
    /// Feeders and branches sized together.
    Sizing,
    /// The wires, and the tasks on one of them.
    Wires,
    /// The boards and the parts mounted on them.
    Boards,
    /// The labels at the ends of the wires.
    Labels,
    /// Where a fault is, by the readings.
    Diagnosis,
    /// The jumpers of the panels, made on the bench.
    Bench,
    /// A phase.
    Phase(Phase),
    /// What was seen and is not settled: the punch list.
    OpenItems,
    /// Releases, waivers and judgments.
    Releases,
    /// The finished-job report.
    Report,
    /// The log of the job.
    Log,
}

impl Tab {
    /// The pages other than the phases, in menu order, grouped by subject.
    pub const GROUPS: &'static [(&'static str, &'static [Self])] = &[
        ("Job", &[Self::Overview, Self::Findings, Self::Report, Self::Log]),
        ("Boat", &[Self::Removed, Self::Layout, Self::Routes, Self::Boards, Self::Locations, Self::Measure]),
        (
            "Wiring",
            &[
                Self::Proposal,
                Self::Wishes,
                Self::Points,
                Self::Feeders,
                Self::Devices,
                Self::Circuits,
                Self::Modes,
            ],
        ),
        (
            "Calculations",
            &[Self::OneLine, Self::Supply, Self::Energy, Self::Worksheet, Self::Lights, Self::Sizing],
        ),
        ("Work", &[Self::Wires, Self::OpenItems, Self::Labels, Self::Bench, Self::Diagnosis, Self::Releases]),
    ];

    /// The title of the page in the menu.
    pub fn title(self) -> &'static str {
        match self {
            Self::Overview => "Overview",
            Self::Findings => "Findings",
            Self::Removed => "Removed equipment",
            Self::Layout => "Boat plan",
            Self::Routes => "Routes",
            Self::Locations => "Locations",
            Self::Points => "Distribution",
            Self::Proposal => "Proposed plan",
            Self::Measure => "Values to measure",
            Self::Wishes => "Wishes",
            Self::Devices => "Devices",
            Self::Circuits => "Circuits",
            Self::Feeders => "Feeders",
            Self::Modes => "Modes",
            Self::OneLine => "One-line diagram",
            Self::Supply => "Supply",
            Self::Energy => "Energy",
            Self::Worksheet => "Load worksheet",
            Self::Lights => "Lights",
            Self::Sizing => "Sizing",
            Self::Wires => "Wires",
            Self::Boards => "Boards",
            Self::Labels => "Labels",
            Self::Phase(phase) => phase.title(),
            Self::Bench => "Bench list",
            Self::Diagnosis => "Diagnosis",
            Self::OpenItems => "Open items",
            Self::Releases => "Releases",
            Self::Report => "Report",
            Self::Log => "Log",
        }
    }

    /// Its explanation in the help.
    pub fn topic(self) -> &'static str {
        match self {
            Self::Overview => "start",
            Self::Findings => "findings#all-findings-of-a-job",
            Self::Removed => "strip-out#removed-equipment",
            Self::Layout => "locations#position-on-the-boat",
            Self::Routes => "runs#routes",
            Self::Locations => "locations",
            Self::Points => "distribution",
            Self::Proposal => "proposal",
            Self::Measure => "proposal#values-to-measure",
            Self::Wishes => "wishes",
            Self::Devices => "devices",
            Self::Circuits => "circuits",
            Self::Feeders => "circuits#feeders",
            Self::Modes => "modes",
            Self::OneLine => "supply#one-line-diagram",
            Self::Supply => "supply#supply",
            Self::Energy => "energy",
            Self::Worksheet => "energy#load-worksheet",
            Self::Lights => "lights",
            Self::Sizing => "supply#sizing-together",
            Self::Wires => "start#finding-your-next-task",
            Self::Boards => "boards",
            Self::Labels => "labels",
            Self::Phase(phase) => phase.word(),
            Self::Bench => "switches#the-bench-list",
            Self::Diagnosis => "readings#diagnosis",
            Self::OpenItems => "open-items",
            Self::Releases => "releases",
            Self::Report => "report",
            Self::Log => "report#the-log",
        }
    }

    /// The page's address within its job.
    pub fn path(self) -> String {
        match self {
            Self::Overview => String::new(),
            Self::Findings => "/findings".to_owned(),
            Self::Removed => "/plan/removed".to_owned(),
            Self::Layout => "/layout".to_owned(),
            Self::Routes => "/routes".to_owned(),
            Self::Locations => "/plan/locations".to_owned(),
            Self::Points => "/plan/points".to_owned(),
            Self::Proposal => "/plan/propose".to_owned(),
            Self::Measure => "/plan/measure".to_owned(),
            Self::Wishes => "/plan/wishes".to_owned(),
            Self::Devices => "/plan/devices".to_owned(),
            Self::Circuits => "/plan/circuits".to_owned(),
            Self::Feeders => "/plan/feeders".to_owned(),
            Self::Modes => "/plan/modes".to_owned(),
            Self::OneLine => "/one-line".to_owned(),
            Self::Supply => "/supply".to_owned(),
            Self::Energy => "/energy".to_owned(),
            Self::Worksheet => "/worksheet".to_owned(),
            Self::Lights => "/lights".to_owned(),
            Self::Sizing => "/sizing".to_owned(),
            Self::Wires => "/wires".to_owned(),
            Self::Boards => "/boards".to_owned(),
            Self::Labels => "/labels".to_owned(),
            Self::Phase(phase) => format!("/phases/{phase}"),
            Self::Bench => "/bench".to_owned(),
            Self::Diagnosis => "/diagnosis".to_owned(),
            Self::OpenItems => "/open-items".to_owned(),
            Self::Releases => "/releases".to_owned(),
            Self::Report => "/report".to_owned(),
            Self::Log => "/log".to_owned(),
        }
    }
}

/// The job's part of the title block.
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
    /// How often the plan was changed: its revision, counted from 1.
    pub edition: i64,
    /// Day of that change, in the shop's time zone.
    pub date: String,
    /// Who made it.
    pub by: String,
    /// The eight phases with their progress.
    pub phases: PhaseStrip,
    /// The last change of its plan, if the user made it just now.
    pub last_change: Option<LastChange>,
    /// What to reduce, if the check of its plan reached the limit of its work.
    pub too_large: Option<String>,
}

/// The eight phases side by side, each filled to its progress.
#[derive(Debug, Clone, Default, Template)]
#[template(path = "partials/phase_strip.html")]
pub struct PhaseStrip {
    /// One cell a phase, in the order of work.
    pub cells: Vec<PhaseCell>,
}

impl askama::filters::HtmlSafe for PhaseStrip {}

/// The progress of one phase.
#[derive(Debug, Clone)]
pub struct PhaseCell {
    /// The phase.
    pub phase: Phase,
    /// Steps done or not needed.
    pub done: usize,
    /// Steps in all.
    pub of: usize,
    /// Whether it is on hold: an earlier phase has open items.
    pub held: bool,
    /// Address of its page.
    pub href: String,
    /// Whether this is the page shown.
    pub here: bool,
}

impl PhaseCell {
    /// Its position in the order of work, from 1.
    pub fn number(&self) -> usize {
        Phase::ALL.iter().position(|phase| *phase == self.phase).map_or(0, |index| index + 1)
    }

    /// Share done in percent; 0 for a phase without steps.
    pub fn percent(&self) -> usize {
        (self.done * 100).checked_div(self.of).unwrap_or(0)
    }

    /// The state in plain text, for people who do not see the cell.
    pub fn words(&self) -> String {
        let state = match (self.of, self.done) {
            (0, _) => "no steps".to_owned(),
            (of, done) if done >= of => "complete".to_owned(),
            (of, done) => format!("{done} of {of} done"),
        };
        if self.held { format!("{state}, on hold") } else { state }
    }

    /// The CSS class that shows the state.
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
    /// Its address.
    pub href: String,
    /// Its text.
    pub label: &'static str,
    /// Whether it is the page shown.
    pub here: bool,
}

impl TitleBlock {
    /// The same page, marked as a link of the shop's menu.
    pub fn at(self, here: Here) -> Self {
        Self { here, topic: here.topic(), ..self }
    }

    /// The same page with another title.
    pub fn titled(self, title: impl Into<String>) -> Self {
        Self { title: title.into(), ..self }
    }

    /// The same page with another explanation: a page or heading of the help, such as `people#signing-in`.
    pub fn help(self, topic: &'static str) -> Self {
        Self { topic: Some(topic), ..self }
    }

    /// The address of the page's explanation.
    pub fn help_address(&self) -> Option<String> {
        self.topic.map(manual::address)
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
            None => vec![link(Here::Help, manual::ADDRESS, "Help")],
            Some(_) => {
                let mut links = vec![link(Here::Floor, "/", "Shop floor")];
                if self.frame.may(Permission::Tick) {
                    links.push(link(Here::MyWork, "/my-work", "My work"));
                }
                if self.frame.may(Permission::People) {
                    links.push(link(Here::People, "/people", "People"));
                }
                links.push(link(Here::SignIns, "/sign-ins", "Signed-in tablets"));
                if self.frame.may(Permission::Shop) {
                    links.push(link(Here::Settings, "/shop", "Settings"));
                    links.push(link(Here::Labels, "/labels", "Labels"));
                    links.push(link(Here::Backups, "/backups", "Backups"));
                }
                links.push(link(Here::Help, manual::ADDRESS, "Help"));
                links
            }
        }
    }

    /// The links to the other pages of the job, grouped by subject.
    pub fn menu(&self) -> Vec<(&'static str, Vec<Link>)> {
        let Some(job) = &self.job else { return Vec::new() };
        let link = |tab: &Tab| Link {
            href: format!("{}{}", job.href, tab.path()),
            label: tab.title(),
            here: self.here == Here::Job(*tab),
        };
        Tab::GROUPS.iter().map(|(about, tabs)| (*about, tabs.iter().map(link).collect())).collect()
    }

    /// Whether the user may reopen a job that is not open.
    pub fn may_reopen(&self) -> bool {
        self.frame.may(Permission::Close)
    }

    /// The theme that the button in the title block switches to.
    pub fn other_theme(&self) -> Theme {
        self.frame.theme.next()
    }
}

/// Renders a page.
///
/// # Errors
/// The template fails, which only a fault of the program itself can cause.
pub fn html(page: &impl Template) -> Result<Html<String>, Error> {
    Ok(Html(page.render()?))
}

#[cfg(test)]
mod tests {
    use super::*;

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
