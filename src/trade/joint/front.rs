//! Fronts: the cost of a subtree against the volts that may be lost before it.

use super::bound::Bound;
use super::tree::{SizedLeg, Tree};

/// How many points of a front the first, quick search keeps.
const THIN: usize = 48;

/// Which points of a front are kept.
pub(super) enum Sieve {
    /// A few points spread over it, the most tolerant included: quick and feasible, but seldom the best.
    Thin,
    /// All points except those that cannot be part of an answer as cheap as the known one.
    Exact { bound: Bound, known: f64 },
}

/// The cheapest choice found, and the number of points examined.
pub(super) struct CheapestChoice {
    pub(super) chosen: Vec<usize>,
    pub(super) cost: f64,
    pub(super) points: usize,
    pub(super) largest_front: usize,
}

/// At this cost, a leg and everything downstream keep their limits if at most `tolerates` is lost before the
/// leg.
#[derive(Debug, Clone, Copy)]
struct Point {
    tolerates: f64,
    cost: f64,
    choice: usize,
    /// The tolerance that then remains at the far end of the leg.
    beyond: f64,
}

/// The cheapest choice that keeps every limit; `None` if the sieve leaves no point.
pub(super) fn cheapest(tree: &Tree, sieve: &Sieve) -> Option<CheapestChoice> {
    let least_before = tree.before(SizedLeg::least_lost);
    let most_before = tree.before(SizedLeg::most_lost);
    let mut fronts: Vec<Vec<Point>> = vec![Vec::new(); tree.legs.len()];
    for (place, leg) in tree.legs.iter().enumerate().rev() {
        let beyond = beyond(leg, &fronts);
        let reachable = (least_before[place], most_before[place]);
        let mut front = pareto(leg, &beyond, reachable);
        match sieve {
            Sieve::Thin => thin(&mut front),
            Sieve::Exact { bound, known } => {
                front.retain(|point| bound.of(place, point.tolerates, point.cost) <= known * (1.0 + 1e-9));
            }
        }
        fronts[place] = front;
    }
    choose(tree, &fronts)
}

/// The total cost of everything connected to the far end of a leg, against the tolerance there: pairs of
/// tolerance and cost, both rising.
fn beyond(leg: &SizedLeg, fronts: &[Vec<Point>]) -> Vec<(f64, f64)> {
    let below: Vec<&[Point]> = leg.below.iter().map(|&place| &fronts[place][..]).collect();
    let most = below.iter().map(|front| front.last().map_or(f64::NEG_INFINITY, |point| point.tolerates));
    let most = most.fold(leg.roomy_limit(), f64::min);
    let mut steps: Vec<f64> =
        below.iter().flat_map(|front| front.iter().map(|point| point.tolerates)).collect();
    steps.retain(|&step| step < most);
    steps.push(most);
    steps.sort_by(f64::total_cmp);
    steps.dedup();
    let mut reached = vec![0; below.len()];
    let mut cost_at = |step: f64| {
        let each = below.iter().zip(&mut reached).map(|(front, at)| {
            *at += front[*at..].iter().take_while(|point| point.tolerates < step).count();
            front.get(*at).map_or(f64::INFINITY, |point| point.cost)
        });
        each.sum()
    };
    let mut pairs: Vec<(f64, f64)> = steps.into_iter().map(|step| (step, cost_at(step))).collect();
    pairs.retain(|(_, cost)| cost.is_finite());
    pairs
}

/// Combines every wire with every pair beyond it. It drops points that tolerate no more than a cheaper one,
/// and points that tolerate more than can ever be needed.
fn pareto(leg: &SizedLeg, beyond: &[(f64, f64)], (least, most): (f64, f64)) -> Vec<Point> {
    let mut points = Vec::with_capacity(leg.options.len() * beyond.len());
    for wire in &leg.options {
        for &(tolerated, cost) in beyond {
            let tolerates = tolerated - wire.lost;
            if tolerates >= least {
                points.push(Point {
                    tolerates,
                    cost: wire.cost + cost,
                    choice: wire.choice,
                    beyond: tolerated,
                });
            }
        }
    }
    points.sort_by(|a, b| a.cost.total_cmp(&b.cost).then(b.tolerates.total_cmp(&a.tolerates)));
    let mut tolerated = f64::NEG_INFINITY;
    points.retain(|point| {
        let better = tolerated < most && point.tolerates > tolerated;
        tolerated = tolerated.max(point.tolerates);
        better
    });
    points
}

/// Keeps a few points spread over a front, including its first and last.
fn thin(front: &mut Vec<Point>) {
    if front.len() > THIN {
        let last = front.len() - 1;
        *front = (0..THIN).map(|k| front[k * last / (THIN - 1)]).collect();
    }
}

/// Follows the cheapest points from the source outward.
fn choose(tree: &Tree, fronts: &[Vec<Point>]) -> Option<CheapestChoice> {
    let mut chosen = vec![0; tree.legs.len()];
    let mut cost = 0.0;
    let mut next: Vec<(usize, f64)> = tree.roots().map(|root| (root, 0.0)).collect();
    while let Some((place, lost)) = next.pop() {
        let front = &fronts[place];
        let point = front.get(front.partition_point(|point| point.tolerates < lost))?;
        chosen[place] = point.choice;
        if tree.legs[place].above.is_none() {
            cost += point.cost;
        }
        next.extend(tree.legs[place].below.iter().map(|&below| (below, point.beyond)));
    }
    let sizes = || fronts.iter().map(Vec::len);
    Some(CheapestChoice { chosen, cost, points: sizes().sum(), largest_front: sizes().max().unwrap_or(0) })
}
