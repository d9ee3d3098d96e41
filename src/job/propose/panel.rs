//! Switch panels with their positions and spares, and the junction bars behind them (P11).

use super::outline::{Outline, text, value};
use super::planned::{Circuits, Planned, SwitchFunction};
use super::site::{HELM, HUB};
use super::supply::{SURPLUS, with_bar, with_spares};
use crate::job::kind::Connection;
use crate::job::panel::{Fits, fits, plate};
use crate::job::plan::{Rule, SwitchAt};
use crate::job::point::{Body, Engraved, Panel, Point, Position, SwitchKind};
use crate::job::value::BadValue;

/// The positions of one panel that are used at most.
const MOST_USED: usize = 18;
/// From this rank on a position belongs to the panel of the electronics.
const ELECTRONICS_RANK: u8 = 5;
/// The ratings that switches come with, A.
const SWITCHES_A: [f64; 4] = [15.0, 20.0, 30.0, 50.0];
/// The ratings that panels and junction bars come with, A.
const PANELS_A: [f64; 4] = [100.0, 150.0, 200.0, 300.0];

/// A panel with its junction bar and the positions on it, by number.
#[derive(Debug)]
struct OnePanel {
    id: &'static str,
    junction: &'static str,
    name: &'static str,
    functions: Vec<usize>,
}

/// The panels of a boat.
#[derive(Debug)]
pub(super) struct Panels(Vec<OnePanel>);

/// A position on a panel, and the junction bar behind it.
#[derive(Debug)]
pub(super) struct AtPosition<'p> {
    panel: &'p str,
    position: u16,
    throws: Vec<u16>,
    pub(super) junction: &'static str,
}

impl AtPosition<'_> {
    /// The switch of a circuit.
    pub(super) fn switch(self) -> Result<SwitchAt, BadValue> {
        Ok(SwitchAt { panel: text(self.panel)?, position: self.position, throws: self.throws })
    }
}

/// The ids and names of the panels and their junction bars.
const PANELS: [(&str, &str, &str); 6] = [
    ("panel", "junction", "Switch panel"),
    ("panel-2", "junction-2", "Second switch panel"),
    ("panel-3", "junction-3", "Third switch panel"),
    ("panel-4", "junction-4", "Fourth switch panel"),
    ("panel-5", "junction-5", "Fifth switch panel"),
    ("panel-6", "junction-6", "Sixth switch panel"),
];

impl Panels {
    /// Allots the positions to panels: all to one, or those of the electronics to another.
    pub(super) fn of(circuits: &Circuits<'_>) -> Self {
        let mut order: Vec<usize> = (0..circuits.functions.len()).collect();
        let rank = |number: &usize| circuits.functions.get(*number).map_or(0, |function| function.rank);
        order.sort_by_key(rank);
        let parts: Vec<Vec<usize>> = if order.len() <= MOST_USED {
            vec![order]
        } else {
            let (ship, electronics): (Vec<_>, Vec<_>) =
                order.into_iter().partition(|number| rank(number) < ELECTRONICS_RANK);
            [ship, electronics].iter().flat_map(|part| part.chunks(MOST_USED)).map(<[_]>::to_vec).collect()
        };
        let parts = parts.into_iter().filter(|part| !part.is_empty()).zip(PANELS);
        Self(
            parts
                .map(|(functions, (id, junction, name))| OnePanel { id, junction, name, functions })
                .collect(),
        )
    }

    /// Where a position is.
    pub(super) fn at(&self, function: usize, throws: &[u16]) -> Option<AtPosition<'_>> {
        self.0.iter().find_map(|panel| {
            let place = panel.functions.iter().position(|other| *other == function)?;
            Some(AtPosition {
                panel: panel.id,
                position: u16::try_from(place + 1).ok()?,
                throws: throws.to_vec(),
                junction: panel.junction,
            })
        })
    }
}

/// Adds the panels and the junction bars.
pub(super) fn draw(
    outline: &mut Outline<'_>,
    circuits: &Circuits<'_>,
    panels: &Panels,
) -> Result<(), BadValue> {
    for panel in &panels.0 {
        let functions: Vec<&SwitchFunction> =
            panel.functions.iter().filter_map(|function| circuits.functions.get(*function)).collect();
        let mut positions =
            functions.iter().map(|function| position(function)).collect::<Result<Vec<_>, _>>()?;
        let used = positions.len();
        for number in 1..=with_spares(positions.len()).saturating_sub(positions.len()) {
            positions.push(spare(&format!("SPARE {}", used + number))?);
        }
        let is_on = |planned: &&Planned<'_>| {
            planned.function.as_ref().is_some_and(|(function, _)| panel.functions.contains(function))
        };
        let through = circuits.planned.iter().filter(is_on).count();
        let all: f64 = circuits.planned.iter().filter(is_on).map(|planned| planned.amperes).sum();
        let rating = PANELS_A.into_iter().find(|made| *made >= all * SURPLUS).unwrap_or(all.ceil());
        let mut point = outline.point("switch-panel", panel.id, panel.name, HELM)?;
        let kind = outline.catalog.named("switch-panel");
        point.tab_mm = kind.and_then(|kind| kind.connection).and_then(Connection::tab);
        point.body = Body::SwitchPanel(Panel { rating_a: Some(value(rating)?), positions });
        outline.add_point(point, Rule::Panel);
        let name = format!("Junction bar, {}", panel.name.to_lowercase());
        let point = outline.point("junction-bar", panel.junction, &name, HUB)?;
        // Larger screws than usual: a long circuit may need 8 AWG here.
        let point = Point { screw: "#10".parse().ok(), ..with_bar(point, rating, through)? };
        outline.add_point(point, Rule::Panel);
    }
    Ok(())
}

fn position(function: &SwitchFunction) -> Result<Position, BadValue> {
    let throws = function.throws.iter().map(text).collect::<Result<Vec<_>, _>>()?;
    let rating =
        SWITCHES_A.into_iter().find(|made| *made >= function.amperes).unwrap_or(function.amperes.ceil());
    Ok(Position {
        engraved: Some(Engraved::Free),
        switch: Some(function.switch),
        indicator: Some(function.switch != SwitchKind::Momentary),
        poles: Some(function.poles),
        rating_a: Some(value(rating)?),
        throws,
        ..Position::labeled(text(&function.label)?)
    })
}

/// A spare position.
pub(super) fn spare(label: &str) -> Result<Position, BadValue> {
    Ok(Position {
        engraved: Some(Engraved::Free),
        switch: Some(SwitchKind::OnOff),
        indicator: Some(true),
        poles: Some(1),
        rating_a: Some(value(SWITCHES_A[0])?),
        ..Position::labeled(text(label)?)
    })
}

/// Gives each position whose label does not name its circuit one that does (P18).
pub(super) fn relabel(outline: &mut Outline<'_>) -> Result<(), BadValue> {
    let plan = outline.plan.clone();
    for point in &mut outline.plan.points {
        let Body::SwitchPanel(panel) = &mut point.body else { continue };
        let mut used: Vec<String> =
            panel.positions.iter().map(|position| position.label.to_string()).collect();
        for (number, position) in (1..).zip(&mut panel.positions) {
            let mut circuits = plan.on_position(&point.id, number);
            let unclear = circuits.find(|circuit| fits(&plan, &position.label, circuit) != Fits::Says);
            if let Some(circuit) = unclear {
                let quotes = ['\u{2018}', '\u{2019}'];
                let label = plate(circuit).trim_matches(quotes).to_owned();
                let label = if used.contains(&label) { format!("{label} {number}") } else { label };
                position.label = text(&label)?;
                used.push(label);
            }
        }
    }
    Ok(())
}
