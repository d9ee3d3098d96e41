//! A circuit with the texts of its row. No name is cut: a long one takes more lines.

use crate::drawing::part::DrawnPart;
use crate::drawing::svg::{text_width, wrapped};
use crate::job::plan::{Circuit, Device, Plan};
use crate::job::point::Body;

/// The size of all text in drawing units.
pub const TEXT: f64 = 14.0;

/// The texts on the wire of a feeder or circuit.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WireTexts {
    /// Its size.
    pub size: Option<String>,
    /// The rating of its fuse or breaker, if it has one.
    pub rating: Option<String>,
}

/// Returns the texts on the wire of a feeder or circuit.
pub type WireText<'a> = dyn Fn(DrawnPart<'_>) -> WireTexts + 'a;

/// The width of a circuit's name, of its devices, and of the label of its switch.
const CIRCUIT_NAME: f64 = 232.0;
const DEVICES: f64 = 260.0;
const SWITCH_LABEL: f64 = 110.0;
/// Space between the names of two devices.
const BETWEEN_DEVICES: f64 = 6.0;

/// A circuit with the texts of its row.
#[derive(Debug)]
pub(super) struct CircuitRow<'a> {
    pub(super) circuit: &'a Circuit,
    /// The rating of its protection, over the symbol.
    pub(super) rating: Option<String>,
    /// The label of its switch, in lines.
    pub(super) switch: Option<Vec<String>>,
    /// Its junction bar, as it is labeled.
    pub(super) junction: Option<&'a str>,
    /// The size of its wire.
    pub(super) size: Option<String>,
    /// Its name and label, in lines.
    pub(super) name: Vec<String>,
    /// Its devices, in lines of names.
    pub(super) devices: Vec<Vec<DeviceText<'a>>>,
    /// Whether a navigation light is among its devices.
    pub(super) is_lamp: bool,
}

/// The name of a device, or a part of it if it needs more than one line.
#[derive(Debug)]
pub(super) struct DeviceText<'a> {
    pub(super) device: &'a Device,
    pub(super) text: String,
    /// Its distance from the left edge of the column.
    pub(super) left: f64,
}

impl<'a> CircuitRow<'a> {
    pub(super) fn of(plan: &'a Plan, circuit: &'a Circuit, wire: &WireText<'_>) -> Self {
        let devices: Vec<&Device> = circuit.devices().filter_map(|id| plan.device(id)).collect();
        let WireTexts { size, rating } = wire(DrawnPart::Circuit(&circuit.id));
        Self {
            circuit,
            rating,
            switch: switch_label(plan, circuit).map(|label| wrapped(label, TEXT, SWITCH_LABEL)),
            junction: circuit.junction.as_ref().map(|junction| junction.as_str()),
            size,
            name: wrapped(&circuit.name_and_label(), TEXT, CIRCUIT_NAME),
            is_lamp: devices.iter().any(|device| device.light.is_some()),
            devices: in_lines(&devices),
        }
    }

    /// How many lines of text are over its line.
    pub(super) fn lines_over(&self) -> usize {
        self.switch.as_ref().map_or(1, |lines| lines.len().max(1))
    }

    /// How many lines are beside its symbol at the right.
    pub(super) fn lines_beside(&self) -> usize {
        self.name.len().max(self.devices.len()).max(1)
    }

    /// The width of the column of devices that it needs.
    pub(super) fn devices_width(&self) -> f64 {
        let ends = self.devices.iter().flatten().map(|name| name.left + text_width(&name.text, TEXT));
        ends.fold(0.0, f64::max)
    }
}

fn switch_label<'a>(plan: &'a Plan, circuit: &Circuit) -> Option<&'a str> {
    let at = circuit.switch.as_ref()?;
    let Body::SwitchPanel(panel) = &plan.point(&at.panel)?.body else { return None };
    Some(panel.positions.get(usize::from(at.position).checked_sub(1)?)?.label.as_str())
}

/// The names of devices, as many in a line as fit.
fn in_lines<'a>(devices: &[&'a Device]) -> Vec<Vec<DeviceText<'a>>> {
    let mut lines: Vec<Vec<DeviceText<'a>>> = Vec::new();
    let mut left = f64::INFINITY;
    for (at, device) in devices.iter().enumerate() {
        let comma = if at + 1 < devices.len() { "," } else { "" };
        for text in wrapped(&format!("{}{comma}", device.name), TEXT, DEVICES) {
            let width = text_width(&text, TEXT);
            if left + width > DEVICES {
                lines.push(Vec::new());
                left = 0.0;
            }
            if let Some(line) = lines.last_mut() {
                line.push(DeviceText { device, text, left });
            }
            left += width + BETWEEN_DEVICES;
        }
    }
    lines
}

/// The width of the widest text.
pub(super) fn widest<'t>(texts: impl IntoIterator<Item = &'t String>) -> f64 {
    texts.into_iter().map(|text| text_width(text, TEXT)).fold(0.0, f64::max)
}
