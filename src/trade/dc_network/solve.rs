//! Solving: everything that follows Ohm first, then the loads that draw what they like.

use super::collapse;
use super::network::{Network, Part};
use super::solution::Solution;
use super::system::NetworkSystem;
use super::trouble::Trouble;

impl Network {
    /// What a meter reads with the parts in use for which `in_use` is true. A part left out, be it a switch, a
    /// source or a load, carries nothing. Works for several islands at once and for parts that hang loose.
    ///
    /// # Errors
    /// [`Trouble`] when there is no such state of the network.
    pub fn solve(&self, in_use: impl Fn(Part) -> bool) -> Result<Solution, Trouble> {
        let system = NetworkSystem::new(self, in_use)?;
        let rest = system.at_rest()?;
        let eager = system.eager(&rest);
        let state = collapse::raise(&system, &eager, rest)?;
        let drawing: Vec<usize> = eager.iter().map(|&slot| system.wiring.live[slot]).collect();
        Solution::new(&self.branches, &system.wiring, state, &drawing)
    }
}
