//! Switch panels with their positions and spares, and the junction bars behind them (P11).

use super::circuits::{Circuits, Planned, Spot};
use super::draft::{Draft, text, value};
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
    spots: Vec<usize>,
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
        let mut order: Vec<usize> = (0..circuits.spots.len()).collect();
        let rank = |number: &usize| circuits.spots.get(*number).map_or(0, |spot| spot.rank);
        order.sort_by_key(rank);
        let parts: Vec<Vec<usize>> = if order.len() <= MOST_USED {
            vec![order]
        } else {
            let (ship, electronics): (Vec<_>, Vec<_>) =
                order.into_iter().partition(|number| rank(number) < ELECTRONICS_RANK);
            [ship, electronics].iter().flat_map(|part| part.chunks(MOST_USED)).map(<[_]>::to_vec).collect()
        };
        let parts = parts.into_iter().filter(|part| !part.is_empty()).zip(PANELS);
        Self(parts.map(|(spots, (id, junction, name))| OnePanel { id, junction, name, spots }).collect())
    }

    /// Where a position is.
    pub(super) fn at(&self, spot: usize, throws: &[u16]) -> Option<AtPosition<'_>> {
        self.0.iter().find_map(|panel| {
            let place = panel.spots.iter().position(|other| *other == spot)?;
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
pub(super) fn draw(draft: &mut Draft<'_>, circuits: &Circuits<'_>, panels: &Panels) -> Result<(), BadValue> {
    for panel in &panels.0 {
        let spots: Vec<&Spot> = panel.spots.iter().filter_map(|spot| circuits.spots.get(*spot)).collect();
        let mut positions = spots.iter().map(|spot| position(spot)).collect::<Result<Vec<_>, _>>()?;
        let used = positions.len();
        for number in 1..=with_spares(positions.len()).saturating_sub(positions.len()) {
            positions.push(spare(&format!("SPARE {}", used + number))?);
        }
        let is_on = |planned: &&Planned<'_>| {
            planned.spot.as_ref().is_some_and(|(spot, _)| panel.spots.contains(spot))
        };
        let through = circuits.planned.iter().filter(is_on).count();
        let all: f64 = circuits.planned.iter().filter(is_on).map(|planned| planned.amperes).sum();
        let rating = PANELS_A.into_iter().find(|made| *made >= all * SURPLUS).unwrap_or(all.ceil());
        let mut point = draft.point("switch-panel", panel.id, panel.name, HELM)?;
        let kind = draft.catalog.named("switch-panel");
        point.tab_mm = kind.and_then(|kind| kind.connection).and_then(Connection::tab);
        point.body = Body::SwitchPanel(Panel { rating_a: Some(value(rating)?), positions });
        draft.add_point(point, Rule::Panel);
        let name = format!("Junction bar, {}", panel.name.to_lowercase());
        let point = draft.point("junction-bar", panel.junction, &name, HUB)?;
        // Larger screws than usual: a long circuit may need 8 AWG here.
        let point = Point { screw: "#10".parse().ok(), ..with_bar(point, rating, through)? };
        draft.add_point(point, Rule::Panel);
    }
    Ok(())
}

fn position(spot: &Spot) -> Result<Position, BadValue> {
    let throws = spot.throws.iter().map(text).collect::<Result<Vec<_>, _>>()?;
    let rating = SWITCHES_A.into_iter().find(|made| *made >= spot.amperes).unwrap_or(spot.amperes.ceil());
    Ok(Position {
        engraved: Some(Engraved::Free),
        switch: Some(spot.switch),
        indicator: Some(spot.switch != SwitchKind::Momentary),
        poles: Some(spot.poles),
        rating_a: Some(value(rating)?),
        throws,
        ..Position::labeled(text(&spot.label)?)
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
pub(super) fn relabel(draft: &mut Draft<'_>) -> Result<(), BadValue> {
    let plan = draft.plan.clone();
    for point in &mut draft.plan.points {
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
