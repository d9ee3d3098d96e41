//! The choice of a switch: every position of every panel, and each throw of a switch that is on in both positions.
//!
//! A choice is sent as `panel-a:3`, with its throws as `panel-a:3:1` or `panel-a:3:1+2`.

use crate::job::plan::{Plan, SwitchAt};
use crate::job::point::{Body, Point, Position};

/// One choice: the position and its label.
pub struct SwitchChoice<'a> {
    /// The position, with the throws that are chosen.
    pub at: SwitchAt,
    /// The panel.
    pub panel: &'a Point,
    /// Its label; for a switch that is on in both positions, with the throw.
    pub label: String,
}

/// Every choice, panel by panel.
pub fn spots(plan: &Plan) -> impl Iterator<Item = SwitchChoice<'_>> {
    let panels = plan.points.iter().filter_map(|point| match &point.body {
        Body::SwitchPanel(panel) => Some((point, panel)),
        _ => None,
    });
    panels.flat_map(|(point, panel)| {
        (1u16..)
            .zip(&panel.positions)
            .flat_map(move |(number, position)| of_position(point, number, position))
    })
}

fn of_position<'a>(panel: &'a Point, position: u16, of: &'a Position) -> Vec<SwitchChoice<'a>> {
    let spot = |throws: &[u16], label: String| SwitchChoice {
        at: SwitchAt { panel: panel.id.clone(), position, throws: throws.to_vec() },
        panel,
        label,
    };
    match of.throws.as_slice() {
        [one, other] => vec![
            spot(&[1], format!("{}, {one} only", of.label)),
            spot(&[2], format!("{}, {other} only", of.label)),
            spot(&[1, 2], format!("{}, {one} and {other}", of.label)),
        ],
        _ => vec![spot(&[], of.label.to_string())],
    }
}

/// A choice as it is sent.
pub fn write(at: &SwitchAt) -> String {
    let throws: Vec<String> = at.throws.iter().map(u16::to_string).collect();
    let throws = if throws.is_empty() { String::new() } else { format!(":{}", throws.join("+")) };
    format!("{}:{}{throws}", at.panel, at.position)
}

/// A choice as it was sent.
pub fn read(sent: &str) -> Option<SwitchAt> {
    let mut parts = sent.split(':');
    let (panel, position) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
    let throws = parts.next().map(|throws| throws.split('+').map(|throw| throw.parse().ok()).collect());
    let throws: Vec<u16> = throws.unwrap_or_else(|| Some(Vec::new()))?;
    parts.next().is_none().then_some(SwitchAt { panel, position, throws })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_is_read_as_it_is_written() {
        for sent in ["panel-a:3", "panel-a:1:1", "panel-a:1:1+2"] {
            assert_eq!(write(&read(sent).unwrap()), sent);
        }
        for nothing in ["", "panel-a", "panel-a:x", "panel-a:1:", "panel-a:1:1:2"] {
            assert_eq!(read(nothing), None, "{nothing}");
        }
    }
}
