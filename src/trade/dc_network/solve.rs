//! Solves the network: first the linear parts by Ohm's law, then the loads that set their own current.

use super::collapse;
use super::network::{Network, NetworkPart};
use super::solution::Solution;
use super::system::NetworkSystem;
use super::trouble::Trouble;

impl Network {
    /// What a meter reads with the parts for which `in_use` is true. A part not in use carries no current,
    /// whether it is a switch, a source or a load. Works for several islands at once and for parts with a
    /// free end.
    ///
    /// # Errors
    /// [`Trouble`] when the network has no such state.
    pub fn solve(&self, in_use: impl Fn(NetworkPart) -> bool) -> Result<Solution, Trouble> {
        let system = NetworkSystem::new(self, in_use)?;
        let rest = system.at_rest()?;
        let eager = system.eager(&rest.state);
        let state = collapse::raise(&system, &eager, rest)?;
        let drawing: Vec<usize> = eager.iter().map(|&slot| system.wiring.live[slot]).collect();
        Solution::new(&self.branches, &system.wiring, state, &drawing)
    }
}
