//! Currents in loops of parts without resistance, which Ohm's law does not determine.

use super::island::IslandWiring;
use super::network::NetworkBranch;
use super::part_law::PartLaw;
use super::tableau::{Singular, Tableau};

/// The current in every part, from the currents of the live parts and what is drawn at each node from
/// outside.
///
/// Where 0 Ω parts close a loop, the tied group shares its current as if each of its parts had the same small
/// resistance. Two parallel jumpers therefore carry half each.
pub(super) fn currents(
    branches: &[NetworkBranch],
    wiring: &IslandWiring,
    live: &[f64],
    drawn: impl Fn(usize) -> f64,
) -> Result<Vec<f64>, Singular> {
    let mut amperes = vec![0.0; branches.len()];
    for (&part, &i) in wiring.live.iter().zip(live) {
        amperes[part] = i;
    }
    if !wiring.loops.is_empty() {
        share(branches, wiring, &mut amperes, drawn)?;
    }
    Ok(amperes)
}

/// Shares the current within each tied group that contains a loop.
fn share(
    branches: &[NetworkBranch],
    wiring: &IslandWiring,
    amperes: &mut [f64],
    drawn: impl Fn(usize) -> f64,
) -> Result<(), Singular> {
    let mut looped = vec![false; wiring.island.len()];
    for &part in &wiring.loops {
        looped[wiring.tie_of(branches[part].from)] = true;
    }
    let in_group = |node: usize| looped[wiring.tie_of(node)];
    let parts = wiring.live.iter().chain(&wiring.loops).copied();
    let (sharing, outside): (Vec<usize>, Vec<usize>) =
        parts.partition(|&part| branches[part].tie().is_some() && in_group(branches[part].from));

    let mut leaving: Vec<f64> = (0..wiring.island.len()).map(drawn).collect();
    for part in outside {
        leaving[branches[part].from] += amperes[part];
        leaving[branches[part].to] -= amperes[part];
    }
    let nodes: Vec<usize> = (0..wiring.island.len()).filter(|&node| in_group(node)).collect();
    let is_reference: Vec<bool> = nodes.iter().map(|&node| wiring.tie_of(node) == node).collect();
    let place = |node: usize| nodes.partition_point(|&other| other < node);
    let ends = sharing.iter().map(|&part| (place(branches[part].from), place(branches[part].to)));
    let laws = vec![PartLaw::ohmic(0.0, 1.0); sharing.len()];
    let group = Tableau::new(&is_reference, ends.collect(), &vec![true; sharing.len()])?;
    let shared = group.state(&group.factor(&laws)?, &laws, |place| leaving[nodes[place]])?;
    for (part, i) in sharing.into_iter().zip(shared.amperes) {
        amperes[part] = i;
    }
    Ok(())
}
