//! Why a network has no answer.

use super::network::Part;
use super::tableau::Singular;
use uom::si::f64::{ElectricPotential, Ratio};

/// Why a network has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Trouble {
    /// Sources tied together, or shorted, with no resistance at all between them.
    #[error("{} sources without resistance are tied together {:.3} V apart", sources.len(), difference.value.abs())]
    Tied {
        /// The sources in the tie.
        sources: Vec<Part>,
        /// How far apart they are.
        difference: ElectricPotential,
    },
    /// Loads that cannot be fed: the more they draw, the less arrives.
    #[error("the voltage collapses at {} load{} once {:.0} % of all that is wanted is drawn",
        loads.len(), if loads.len() == 1 { "" } else { "s" }, feedable.get::<uom::si::ratio::percent>())]
    Collapse {
        /// The loads at which the voltage is lost.
        loads: Vec<Part>,
        /// The share of what all loads want at which it is lost.
        feedable: Ratio,
    },
    /// The arithmetic did not reach Kirchhoff's law within one part in a thousand million.
    #[error("the currents do not add up: one part in {:.0} is missing", 1.0 / residual)]
    Unsettled {
        /// What is missing at the worst node over the largest current of its island.
        residual: f64,
    },
}

impl From<Singular> for Trouble {
    fn from(Singular: Singular) -> Self {
        Self::Unsettled { residual: 1.0 }
    }
}
