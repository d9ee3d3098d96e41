//! The equations of a network with its switches set.

use std::sync::OnceLock;

use super::island::IslandWiring;
use super::limb::Limbs;
use super::network::{Law, Network, NetworkBranch, NetworkPart};
use super::part_law::PartLaw;
use super::tableau::{Factored, NetworkState, Singular, Tableau};
use super::trouble::Trouble;
use uom::si::f64::ElectricPotential;

/// Below this voltage a load has no supply, in volts.
pub(super) const NO_VOLTAGE: f64 = 1e-6;

/// How closely a load's power must match its demand, relative.
const POWER_MET: f64 = 1e-12;

/// Near a collapse, each Newton step only halves the error. Far from it, five steps are sufficient.
const MOST_STEPS: usize = 60;

/// After this many rounds without a settled answer, Newton's method takes over.
const MOST_ROUNDS: usize = 40;

/// The equations of a network with its switches set. A *slot* is a position in the list of live parts: first
/// those that conduct, then the loads that draw.
pub(super) struct NetworkSystem {
    pub(super) branches: Vec<NetworkBranch>,
    pub(super) wiring: IslandWiring,
    is_reference: Vec<bool>,
    /// The equations of the parts that conduct. Nearly all of them are limbs.
    conducting: Tableau,
    conducting_parts: usize,
    /// The equations of all live parts, made once they are needed.
    whole: OnceLock<Tableau>,
}

/// The state without loads that draw, and the factored equations that it comes from.
pub(super) struct Rest {
    ready: Factored,
    laws: Vec<PartLaw>,
    pub(super) state: NetworkState,
}

impl NetworkSystem {
    pub(super) fn new(network: &Network, in_use: impl Fn(NetworkPart) -> bool) -> Result<Self, Trouble> {
        let in_use: Vec<bool> = network.parts().map(in_use).collect();
        let wiring = IslandWiring::new(network, &in_use).map_err(|clash| Trouble::Tied {
            sources: clash.sources.into_iter().map(NetworkPart).collect(),
            difference: ElectricPotential::new::<uom::si::electric_potential::volt>(clash.difference),
        })?;
        let mut is_reference = vec![false; network.nodes];
        for island in &wiring.islands {
            is_reference[island.reference] = true;
        }
        let live = || wiring.live.iter().map(|&part| &network.branches[part]);
        let conducting_parts = live().take_while(|branch| branch.conducts()).count();
        let ends = live().take(conducting_parts).map(|branch| (branch.from, branch.to)).collect();
        let conducting = Tableau::new(&is_reference, ends, &vec![true; conducting_parts])?;
        let branches = network.branches.clone();
        Ok(Self { branches, wiring, is_reference, conducting, conducting_parts, whole: OnceLock::new() })
    }

    fn whole(&self) -> Result<&Tableau, Singular> {
        if let Some(whole) = self.whole.get() {
            return Ok(whole);
        }
        let live = || (0..self.wiring.live.len()).map(|slot| self.branch(slot));
        let conducts: Vec<bool> = live().map(NetworkBranch::conducts).collect();
        let ends = live().map(|branch| (branch.from, branch.to)).collect();
        let whole = Tableau::new(&self.is_reference, ends, &conducts)?;
        Ok(self.whole.get_or_init(|| whole))
    }

    pub(super) fn branch(&self, slot: usize) -> &NetworkBranch {
        &self.branches[self.wiring.live[slot]]
    }

    pub(super) fn volts_over(&self, state: &NetworkState, slot: usize) -> f64 {
        let branch = self.branch(slot);
        state.volts[branch.from] - state.volts[branch.to]
    }

    /// The state with these laws, one for each slot.
    pub(super) fn state(&self, factored: &[PartLaw], laws: &[PartLaw]) -> Result<NetworkState, Singular> {
        let whole = self.whole()?;
        whole.state(&whole.factor(factored)?, laws, |_| 0.0)
    }

    /// The laws with every load that draws set to no current.
    pub(super) fn idle_laws(&self) -> Vec<PartLaw> {
        let law = |slot| match self.branch(slot).law {
            Law::Ohmic { emf, ohms } => PartLaw::ohmic(emf, ohms),
            Law::Open | Law::Amperes(_) | Law::Watts(_) => PartLaw::amperes(0.0),
        };
        (0..self.wiring.live.len()).map(law).collect()
    }

    /// The state with every load that draws set to no current: the voltage available to each load.
    pub(super) fn at_rest(&self) -> Result<Rest, Singular> {
        let mut laws = self.idle_laws();
        laws.truncate(self.conducting_parts);
        let ready = self.conducting.factor(&laws)?;
        let mut state = self.conducting.state(&ready, &laws, |_| 0.0)?;
        state.amperes.resize(self.wiring.live.len(), 0.0);
        Ok(Rest { ready, laws, state })
    }

    pub(super) fn nodes(&self) -> usize {
        self.is_reference.len()
    }

    /// How many unknowns the equations of the conducting parts have. Limbs have none.
    pub(super) fn unknowns(&self) -> usize {
        self.conducting.unknowns()
    }

    /// The limbs of the conducting parts.
    pub(super) fn limbs(&self) -> Limbs {
        let ohms = |slot: usize| match self.branch(slot).law {
            Law::Ohmic { ohms, .. } => ohms,
            Law::Open | Law::Amperes(_) | Law::Watts(_) => 0.0,
        };
        Limbs::new(self.is_reference.len(), self.conducting.tips(), ohms)
    }

    /// How the conducting parts answer to the amperes drawn at each node.
    pub(super) fn answer(
        &self,
        rest: &Rest,
        laws: &[PartLaw],
        drawn: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        self.conducting.state(&rest.ready, laws, drawn)
    }

    /// The state in which each eager load has its full demand, found with the equations of the state at rest
    /// alone. `None` where the voltages do not settle quickly, as near a collapse.
    ///
    /// Each round sets the loads' currents by the voltages of the round before. From rest, in wiring with a
    /// positive and a negative side, voltages only fall and never pass the solution.
    pub(super) fn settle(&self, eager: &[usize], rest: &Rest) -> Option<NetworkState> {
        let mut state = rest.state.clone();
        for _ in 0..MOST_ROUNDS {
            let mut more = vec![0.0; self.nodes()];
            for &slot in eager {
                let amperes = self.wanted(slot, &state);
                let rise = amperes - state.amperes[slot];
                more[self.branch(slot).from] += rise;
                more[self.branch(slot).to] -= rise;
                state.amperes[slot] = amperes;
            }
            // The rounds add up changes that get smaller and smaller, so their rounding does not matter.
            let change = self.conducting.change(&rest.ready, &rest.laws, |node| more[node]).ok()?;
            add(&mut state.volts, &change.volts);
            add(&mut state.amperes, &change.amperes);
            if eager.iter().any(|&slot| self.volts_over(&state, slot) <= NO_VOLTAGE) {
                return None;
            }
            if eager.iter().all(|&slot| self.is_met(slot, 1.0, &state)) {
                return self.with_drawn(eager, rest, &state).ok();
            }
        }
        None
    }

    /// The state in which the eager loads draw the currents of another state.
    fn with_drawn(
        &self,
        eager: &[usize],
        rest: &Rest,
        other: &NetworkState,
    ) -> Result<NetworkState, Singular> {
        let mut drawn = vec![0.0; self.nodes()];
        for &slot in eager {
            drawn[self.branch(slot).from] += other.amperes[slot];
            drawn[self.branch(slot).to] -= other.amperes[slot];
        }
        let mut state = self.answer(rest, &rest.laws, |node| drawn[node])?;
        state.amperes.extend(other.amperes.iter().skip(self.conducting_parts));
        Ok(state)
    }

    /// The current that a load wants at the voltage of a state.
    fn wanted(&self, slot: usize, state: &NetworkState) -> f64 {
        match self.branch(slot).law {
            Law::Amperes(want) => want,
            Law::Watts(want) => want / self.volts_over(state, slot),
            Law::Ohmic { .. } | Law::Open => 0.0,
        }
    }

    /// The loads that have a demand and a voltage of the correct polarity.
    pub(super) fn eager(&self, rest: &NetworkState) -> Vec<usize> {
        let wants = |branch: &NetworkBranch| branch.draws() && !branch.wants_nothing();
        let within_island = |branch: &NetworkBranch| self.wiring.joined(branch.from, branch.to);
        (0..self.wiring.live.len())
            .filter(|&slot| wants(self.branch(slot)) && within_island(self.branch(slot)))
            .filter(|&slot| self.volts_over(rest, slot) > NO_VOLTAGE)
            .collect()
    }

    /// The laws near a state, with each eager load at `share` of its demand.
    pub(super) fn laws_near(&self, eager: &[usize], share: f64, state: &NetworkState) -> Vec<PartLaw> {
        let mut laws = self.idle_laws();
        for &slot in eager {
            match self.branch(slot).law {
                Law::Amperes(want) => laws[slot] = PartLaw::amperes(share * want),
                Law::Watts(want) => {
                    let (volts, amperes) = (self.volts_over(state, slot), state.amperes[slot]);
                    laws[slot] = PartLaw::watts(share * want, volts, amperes);
                }
                Law::Ohmic { .. } | Law::Open => {}
            }
        }
        laws
    }

    /// The state in which each eager load has `share` of its demand. `None` if none is found from `start`.
    ///
    /// Uses Newton's method. From rest, in wiring with a positive and a negative side, each step only raises
    /// the loads' currents and never passes the solution. The reason: the equations are order-concave, and
    /// their Jacobian starts as an M-matrix. A voltage that disappears during the steps therefore means that
    /// no solution exists.
    pub(super) fn feed(
        &self,
        eager: &[usize],
        share: f64,
        start: &NetworkState,
    ) -> Result<Option<NetworkState>, Singular> {
        let mut state = start.clone();
        for _ in 0..MOST_STEPS {
            let laws = self.laws_near(eager, share, &state);
            let Ok(next) = self.state(&laws, &laws) else { return Ok(None) };
            state = next;
            if eager.iter().any(|&slot| self.volts_over(&state, slot) <= 0.0) {
                return Ok(None);
            }
            if eager.iter().all(|&slot| self.is_met(slot, share, &state)) {
                return Ok(Some(state));
            }
        }
        Ok(None)
    }

    fn is_met(&self, slot: usize, share: f64, state: &NetworkState) -> bool {
        match self.branch(slot).law {
            Law::Watts(want) => {
                let watts = self.volts_over(state, slot) * state.amperes[slot];
                (watts - share * want).abs() <= POWER_MET * share * want
            }
            Law::Ohmic { .. } | Law::Open | Law::Amperes(_) => true,
        }
    }
}

fn add(to: &mut [f64], changes: &[f64]) {
    for (to, change) in to.iter_mut().zip(changes) {
        *to += change;
    }
}
