//! Which circuits are on for a short time only.
//!
//! A circuit is continuous if one of these holds:
//!
//! - A mode has it on all the time, or for at least three hours.
//! - It feeds a navigation light.
//! - No mode has it on at all. Nothing then says that it is on for a short time.

use foldhash::HashMap;

use crate::job::plan::{Circuit, Mode, Plan};
use crate::job::value::CircuitId;

/// A load is continuous from this time on, h (NFPA 70 article 100; from memory).
const CONTINUOUS_H: f64 = 3.0;
/// Which circuits are on for a short time only.
#[derive(Debug, Default)]
pub(in crate::job) struct ShortTime<'a>(HashMap<&'a CircuitId, bool>);

impl<'a> ShortTime<'a> {
    pub(in crate::job) fn of(plan: &'a Plan) -> Self {
        let mut short = HashMap::default();
        for (mode, used) in plan.modes.iter().flat_map(|mode| mode.on.iter().map(move |used| (mode, used))) {
            let lasts = is_continuous(mode, used.share.number());
            *short.entry(&used.circuit).or_insert(true) &= !lasts;
        }
        for circuit in plan.circuits.iter().filter(|circuit| lights_the_way(plan, circuit)) {
            short.insert(&circuit.id, false);
        }
        Self(short)
    }

    pub(in crate::job) fn has(&self, circuit: &Circuit) -> bool {
        self.0.get(&circuit.id).copied().unwrap_or(false)
    }
}

fn is_continuous(mode: &Mode, share: f64) -> bool {
    share >= 1.0 || share * mode.hours.number() >= CONTINUOUS_H
}

fn lights_the_way(plan: &Plan, circuit: &Circuit) -> bool {
    let lit = |device| plan.device(device).is_some_and(|device| device.light.is_some());
    circuit.devices().any(lit)
}
