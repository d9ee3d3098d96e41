//! Raising the loads from nothing to what they want, and naming those that cannot get there.

use uom::si::f64::Ratio;
use uom::si::ratio::ratio;

use super::network::{Law, Part};
use super::system::NetworkSystem;
use super::tableau::{Line, NetworkState, Singular};
use super::trouble::Trouble;

/// The share of the loads to which a collapse is closed in on.
const FINEST_STEP: f64 = 1e-4;

/// The state with every eager load fed in full.
///
/// The whole is tried at once, which nearly always succeeds. When it does not, the loads are raised together
/// in ever smaller steps, each from the state before, up to where the voltage is lost.
pub(super) fn raise(
    system: &NetworkSystem,
    eager: &[usize],
    rest: NetworkState,
) -> Result<NetworkState, Trouble> {
    if eager.is_empty() {
        return Ok(rest);
    }
    let (mut state, mut fed, mut step) = (rest, 0.0, 1.0_f64);
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

/// The loads whose voltage is nearest to being gone: those for which, at the rate at which it falls just short
/// of the collapse, it lasts at most twice as long as for the worst.
fn lost(
    system: &NetworkSystem,
    eager: &[usize],
    fed: f64,
    state: &NetworkState,
) -> Result<Vec<Part>, Singular> {
    let fall = fall(system, eager, fed, state)?;
    let lasts = |&slot: &usize| {
        let per_share = system.volts_over(&fall, slot);
        if per_share < 0.0 { system.volts_over(state, slot) / -per_share } else { f64::INFINITY }
    };
    let worst = eager.iter().map(lasts).fold(f64::INFINITY, f64::min);
    let named = eager.iter().filter(|slot| lasts(slot) <= 2.0 * worst);
    Ok(named.map(|&slot| Part(system.wiring.live[slot])).collect())
}

/// By how much every voltage and current changes for each share that the loads are raised.
fn fall(
    system: &NetworkSystem,
    eager: &[usize],
    fed: f64,
    state: &NetworkState,
) -> Result<NetworkState, Singular> {
    let near = system.laws_near(eager, fed, state);
    let mut rates: Vec<Line> = near.iter().map(Line::without_sum).collect();
    for &slot in eager {
        rates[slot] = match system.branch(slot).law {
            Law::Watts(want) => {
                Line::rate_of_watts(want, system.volts_over(state, slot), state.amperes[slot])
            }
            Law::Amperes(want) => Line::amperes(want),
            Law::Ohmic { .. } | Law::Open => continue,
        };
    }
    system.state(&system.factor(&near)?, &rates, |_| 0.0)
}

/// The collapse as reported to the caller.
fn collapsed(loads: Vec<Part>, share: f64) -> Trouble {
    Trouble::Collapse { loads, feedable: Ratio::new::<ratio>(share) }
}
