//! Why a network has no answer.

use super::network::NetworkPart;
use super::tableau::Singular;
use uom::si::f64::{ElectricPotential, Ratio};

/// Why a network has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Trouble {
    /// Sources tied together, or short-circuited, with no resistance between them.
    #[error("{} sources without resistance are tied together {:.3} V apart", sources.len(), difference.value.abs())]
    Tied {
        /// The sources in the tie.
        sources: Vec<NetworkPart>,
        /// The difference of their voltages.
        difference: ElectricPotential,
    },
    /// Loads that cannot be supplied: the more current they draw, the less power arrives.
    #[error("the voltage collapses at {} load{} once {:.0} % of all that is wanted is drawn",
        loads.len(), if loads.len() == 1 { "" } else { "s" }, feedable.get::<uom::si::ratio::percent>())]
    Collapse {
        /// The loads whose voltage collapses.
        loads: Vec<NetworkPart>,
        /// The share of all loads' demand at which it collapses.
        feedable: Ratio,
    },
    /// The arithmetic did not satisfy Kirchhoff's law within one part in a thousand million.
    #[error("the currents do not add up: one part in {:.0} is missing", 1.0 / residual)]
    Unsettled {
        /// The error at the worst node, as a share of the largest current of its island.
        residual: f64,
    },
}

impl From<Singular> for Trouble {
    fn from(Singular: Singular) -> Self {
        Self::Unsettled { residual: 1.0 }
    }
}
