//! The order of rows with the fewest crossings.

use super::graph::{Graph, Order};
use super::place::Placed;
use super::row::WireText;

/// The order of rows with the fewest crossings that barycenters find.
pub(super) fn best(graph: &Graph<'_>, wire: &WireText<'_>) -> Placed {
    const SWEEPS: usize = 8;
    let mut order = graph.order();
    let mut best = Placed::new(graph, &order, wire);
    let mut fewest = best.crossings(graph);
    for _ in 0..SWEEPS {
        if fewest == 0 {
            break;
        }
        order = by_barycenter(&order, graph, &best);
        let next = Placed::new(graph, &order, wire);
        let crossings = next.crossings(graph);
        if crossings < fewest {
            (best, fewest) = (next, crossings);
        }
    }
    best
}

/// Sorts each root by the middle of what it feeds, and each child by the middle of what feeds it.
fn by_barycenter(order: &Order, graph: &Graph<'_>, placed: &Placed) -> Order {
    let mut next = order.clone();
    let fed = |node: &usize| middle(graph.nodes[*node].out.iter().map(|edge| placed.edge_y(*edge)));
    sort_by_middle(&mut next.roots, fed);
    for out in &mut next.out {
        sort_by_middle(out, |edge| {
            let to = graph.edges[*edge].to;
            middle(graph.nodes[to].into.iter().map(|into| placed.y(graph.edges[*into].from)))
        });
    }
    next
}

/// The sort is stable: equal items keep their order.
fn sort_by_middle(list: &mut [usize], middle: impl Fn(&usize) -> f64) {
    list.sort_by(|one, other| middle(one).total_cmp(&middle(other)));
}

fn middle(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    if count > 0.0 { sum / count } else { 0.0 }
}
