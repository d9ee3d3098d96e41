//! The equations of a network with its switches set.

use super::island::IslandWiring;
use super::network::{Law, Network, NetworkBranch, NetworkPart};
use super::tableau::{Factored, NetworkState, PartLaw, Singular, Tableau};
use super::trouble::Trouble;
use uom::si::f64::ElectricPotential;

/// Below this voltage a load has no supply, in volts.
pub(super) const NO_VOLTAGE: f64 = 1e-6;

/// How closely a load's power must match its demand, relative.
const POWER_MET: f64 = 1e-12;

/// Near a collapse, each Newton step only halves the error. Far from it, five steps are sufficient.
const MOST_STEPS: usize = 60;

/// The equations of a network with its switches set. A *slot* is a position in the list of live parts.
pub(super) struct NetworkSystem {
    pub(super) branches: Vec<NetworkBranch>,
    pub(super) wiring: IslandWiring,
    tableau: Tableau,
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
        let conducts: Vec<bool> = live().map(NetworkBranch::conducts).collect();
        let ends = live().map(|branch| (branch.from, branch.to)).collect();
        let tableau = Tableau::new(&is_reference, ends, &conducts)?;
        Ok(Self { branches: network.branches.clone(), wiring, tableau })
    }

    pub(super) fn branch(&self, slot: usize) -> &NetworkBranch {
        &self.branches[self.wiring.live[slot]]
    }

    pub(super) fn volts_over(&self, state: &NetworkState, slot: usize) -> f64 {
        let branch = self.branch(slot);
        state.volts[branch.from] - state.volts[branch.to]
    }

    pub(super) fn factor(&self, laws: &[PartLaw]) -> Result<Factored, Singular> {
        self.tableau.factor(laws)
    }

    pub(super) fn state(
        &self,
        ready: &Factored,
        laws: &[PartLaw],
        drawn: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        self.tableau.state(ready, laws, drawn)
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
    pub(super) fn at_rest(&self) -> Result<NetworkState, Singular> {
        let laws = self.idle_laws();
        self.state(&self.factor(&laws)?, &laws, |_| 0.0)
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
            let Ok(next) = self.factor(&laws).and_then(|ready| self.state(&ready, &laws, |_| 0.0)) else {
                return Ok(None);
            };
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
