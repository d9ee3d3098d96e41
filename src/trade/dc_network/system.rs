//! The equations of a network with its switches set.

use super::island::IslandWiring;
use super::network::{Law, Network, NetworkBranch, Part};
use super::tableau::{Factored, Line, NetworkState, Singular, Tableau};
use super::trouble::Trouble;
use uom::si::f64::ElectricPotential;

/// Below this a load has nothing to draw from, in volts.
pub(super) const NO_VOLTAGE: f64 = 1e-6;

/// How near a load's power must come to what it wants, relative.
const POWER_MET: f64 = 1e-12;

/// Newton near a collapse only halves its error with each step; far from it, five steps do.
const MOST_STEPS: usize = 60;

/// The equations of a network with its switches set. A *slot* is a place in the list of live parts.
pub(super) struct NetworkSystem {
    pub(super) branches: Vec<NetworkBranch>,
    pub(super) wiring: IslandWiring,
    tableau: Tableau,
}

impl NetworkSystem {
    pub(super) fn new(network: &Network, in_use: impl Fn(Part) -> bool) -> Result<Self, Trouble> {
        let in_use: Vec<bool> = network.parts().map(in_use).collect();
        let wiring = IslandWiring::new(network, &in_use).map_err(|clash| Trouble::Tied {
            sources: clash.sources.into_iter().map(Part).collect(),
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

    pub(super) fn factor(&self, laws: &[Line]) -> Result<Factored, Singular> {
        self.tableau.factor(laws)
    }

    pub(super) fn state(
        &self,
        ready: &Factored,
        laws: &[Line],
        drawn: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        self.tableau.state(ready, laws, drawn)
    }

    /// The laws with every load that draws left idle.
    pub(super) fn idle_laws(&self) -> Vec<Line> {
        let law = |slot| match self.branch(slot).law {
            Law::Ohmic { emf, ohms } => Line::ohmic(emf, ohms),
            Law::Open | Law::Amperes(_) | Law::Watts(_) => Line::amperes(0.0),
        };
        (0..self.wiring.live.len()).map(law).collect()
    }

    /// The state with every load that draws left idle: what there is to draw from.
    pub(super) fn at_rest(&self) -> Result<NetworkState, Singular> {
        let laws = self.idle_laws();
        self.state(&self.factor(&laws)?, &laws, |_| 0.0)
    }

    /// The loads that want something and find a voltage the right way round.
    pub(super) fn eager(&self, rest: &NetworkState) -> Vec<usize> {
        let wants = |branch: &NetworkBranch| branch.draws() && !branch.wants_nothing();
        let within_island = |branch: &NetworkBranch| self.wiring.joined(branch.from, branch.to);
        (0..self.wiring.live.len())
            .filter(|&slot| wants(self.branch(slot)) && within_island(self.branch(slot)))
            .filter(|&slot| self.volts_over(rest, slot) > NO_VOLTAGE)
            .collect()
    }

    /// The laws with each eager load at `share` of what it wants, near a state.
    pub(super) fn laws_near(&self, eager: &[usize], share: f64, state: &NetworkState) -> Vec<Line> {
        let mut laws = self.idle_laws();
        for &slot in eager {
            match self.branch(slot).law {
                Law::Amperes(want) => laws[slot] = Line::amperes(share * want),
                Law::Watts(want) => {
                    let (volts, amperes) = (self.volts_over(state, slot), state.amperes[slot]);
                    laws[slot] = Line::watts(share * want, volts, amperes);
                }
                Law::Ohmic { .. } | Law::Open => {}
            }
        }
        laws
    }

    /// The state in which each eager load has `share` of what it wants, or none found from `start`.
    ///
    /// Newton's method. From rest, in wiring with a positive and a negative side, each step only raises the
    /// loads' currents and never past the answer (the equations are order-concave and their Jacobian starts as
    /// an M-matrix), so a voltage that is gone on the way means that no answer exists.
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
