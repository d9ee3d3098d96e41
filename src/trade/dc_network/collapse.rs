//! Raises the loads step by step to full demand, and names the loads that cannot be supplied.

use uom::si::f64::Ratio;
use uom::si::ratio::ratio;

use super::network::{Law, NetworkPart};
use super::part_law::PartLaw;
use super::system::{NetworkSystem, Rest};
use super::tableau::{NetworkState, Singular};
use super::trouble::Trouble;

/// The smallest step, as a share of the loads. It sets how precisely a collapse is located.
const FINEST_STEP: f64 = 1e-4;

/// The state with every eager load supplied in full.
///
/// Full demand is tried first, which nearly always succeeds, without and then with Newton's method. If it
/// fails, all loads are raised together in smaller and smaller steps. Each step begins from the state before, up to the point where the voltage
/// collapses.
pub(super) fn raise(system: &NetworkSystem, eager: &[usize], rest: Rest) -> Result<NetworkState, Trouble> {
    if eager.is_empty() {
        return Ok(rest.state);
    }
    if let Some(settled) = system.settle(eager, &rest) {
        return Ok(settled);
    }
    let (mut state, mut fed, mut step) = (rest.state, 0.0, 1.0_f64);
    while fed < 1.0 {
        let share = f64::min(1.0, fed + step);
        if let Some(next) = system.feed(eager, share, &state)? {
            (state, fed) = (next, share);
        } else {
            step /= 2.0;
            if step < FINEST_STEP {
                return Err(collapsed(lost(system, eager, fed, &state)?, fed));
            }
        }
    }
    Ok(state)
}

/// The loads whose voltage is nearest to zero. Just before the collapse, each voltage falls at some rate. A
/// load is included if its voltage lasts at most twice as long as that of the worst load.
fn lost(
    system: &NetworkSystem,
    eager: &[usize],
    fed: f64,
    state: &NetworkState,
) -> Result<Vec<NetworkPart>, Singular> {
    let fall = fall(system, eager, fed, state)?;
    let lasts = |&slot: &usize| {
        let per_share = system.volts_over(&fall, slot);
        if per_share < 0.0 { system.volts_over(state, slot) / -per_share } else { f64::INFINITY }
    };
    let worst = eager.iter().map(lasts).fold(f64::INFINITY, f64::min);
    let named = eager.iter().filter(|slot| lasts(slot) <= 2.0 * worst);
    Ok(named.map(|&slot| NetworkPart(system.wiring.live[slot])).collect())
}

/// How much every voltage and current changes for each share that the loads are raised.
fn fall(
    system: &NetworkSystem,
    eager: &[usize],
    fed: f64,
    state: &NetworkState,
) -> Result<NetworkState, Singular> {
    let near = system.laws_near(eager, fed, state);
    let mut rates: Vec<PartLaw> = near.iter().map(PartLaw::without_sum).collect();
    for &slot in eager {
        rates[slot] = match system.branch(slot).law {
            Law::Watts(want) => {
                PartLaw::rate_of_watts(want, system.volts_over(state, slot), state.amperes[slot])
            }
            Law::Amperes(want) => PartLaw::amperes(want),
            Law::Ohmic { .. } | Law::Open => continue,
        };
    }
    system.state(&near, &rates)
}

/// The collapse as reported to the caller.
fn collapsed(loads: Vec<NetworkPart>, share: f64) -> Trouble {
    Trouble::Collapse { loads, feedable: Ratio::new::<ratio>(share) }
}
