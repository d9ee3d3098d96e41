//! The equations: Kirchhoff's current law at every node, and its own law for every part.
//!
//! The unknowns are the volts of each joint and the current of each series of parts (the sparse tableau). Because
//! the current is its own unknown, it is not derived from the very small voltage along a thick cable. A part of 0
//! Ω is treated like any other part. A limb, which one part alone connects to the rest, needs no equation.

use faer::linalg::solvers::Solve;
use faer::sparse::linalg::solvers::{Lu, SymbolicLu};
use faer::sparse::{Argsort, Pair, SparseColMat, SymbolicSparseColMat};

use super::limb::{self, Tip};
use super::part_law::PartLaw;
use super::series::{self, Series};

/// The matrix could not be solved.
#[derive(Debug)]
pub(super) struct Singular;

/// The position of each equation and unknown; the same for every set of laws.
#[derive(Debug)]
pub(super) struct Tableau {
    /// The unknown (and the current-law equation) of each joint; `None` for references, tips and the nodes
    /// within a series.
    row: Vec<Option<usize>>,
    /// The parts outside limbs. The currents of these series are the unknowns after those of the joints.
    core: Vec<Series>,
    tips: Vec<Tip>,
    unknown_nodes: usize,
    pattern: SymbolicSparseColMat<usize>,
    order: Argsort<usize>,
    elimination: Option<SymbolicLu<usize>>,
}

/// Volts of every node and current of every part.
#[derive(Debug, Clone)]
pub(super) struct NetworkState {
    pub(super) volts: Vec<f64>,
    pub(super) amperes: Vec<f64>,
}

impl Tableau {
    /// Sets up the tableau. Some nodes are references at 0 V. Parts join two nodes, and some conduct whatever
    /// the voltage.
    pub(super) fn new(
        is_reference: &[bool],
        ends: Vec<(usize, usize)>,
        conducts: &[bool],
    ) -> Result<Self, Singular> {
        let tips = limb::tips(is_reference, &ends, conducts);
        let (mut is_known, mut is_limb) = (is_reference.to_vec(), vec![false; ends.len()]);
        for tip in &tips {
            is_known[tip.node] = true;
            is_limb[tip.part] = true;
        }
        let outside: Vec<usize> = (0..ends.len()).filter(|&part| !is_limb[part]).collect();
        let core = series::series(&is_known, &outside, &ends, conducts);
        for node in core.iter().flat_map(Series::inner) {
            is_known[node] = true;
        }
        let mut unknown_nodes = 0;
        let row: Vec<Option<usize>> = is_known
            .iter()
            .map(|&known| {
                (!known).then(|| {
                    unknown_nodes += 1;
                    unknown_nodes - 1
                })
            })
            .collect();
        let mut places = Vec::new();
        for (own, series) in (unknown_nodes..).zip(&core) {
            let (from, to) = (series.from, series.to());
            for node in [row[from], row[to]].into_iter().flatten().filter(|_| from != to) {
                places.extend([Pair { row: node, col: own }, Pair { row: own, col: node }]);
            }
            places.push(Pair { row: own, col: own });
        }
        let size = unknown_nodes + core.len();
        let (pattern, order) =
            SymbolicSparseColMat::try_new_from_indices(size, size, &places).map_err(|_| Singular)?;
        let elimination =
            if size == 0 { None } else { Some(SymbolicLu::try_new(pattern.as_ref()).map_err(|_| Singular)?) };
        Ok(Self { row, core, tips, unknown_nodes, pattern, order, elimination })
    }

    /// How many unknowns there are.
    pub(super) fn unknowns(&self) -> usize {
        self.unknown_nodes + self.core.len()
    }

    /// The tips of the limbs, each before the node that it is connected to.
    pub(super) fn tips(&self) -> &[Tip] {
        &self.tips
    }

    /// Factors the equations with these laws, one for each part.
    pub(super) fn factor(&self, laws: &[PartLaw]) -> Result<Factored, Singular> {
        let Some(elimination) = &self.elimination else {
            return Ok(Factored(None));
        };
        let mut values = Vec::with_capacity(5 * self.core.len());
        for series in &self.core {
            let (law, (from, to)) = (series.law(laws), (series.from, series.to()));
            for (node, sign) in [(from, 1.0), (to, -1.0)] {
                if from != to && self.row[node].is_some() {
                    values.extend([sign, sign * law.per_volt]);
                }
            }
            values.push(law.per_ampere);
        }
        let matrix = SparseColMat::new_from_argsort(self.pattern.clone(), &self.order, &values)
            .map_err(|_| Singular)?;
        let lu = Lu::try_new_with_symbolic(elimination.clone(), matrix.as_ref()).map_err(|_| Singular)?;
        Ok(Factored(Some((matrix, lu))))
    }

    /// The state in which each part follows its law. `drawn(node)` is the amperes that leave the network at
    /// each node.
    pub(super) fn state(
        &self,
        ready: &Factored,
        laws: &[PartLaw],
        drawn: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        self.solved(laws, drawn, |sums| ready.answer(sums))
    }

    /// How the state changes if `more(node)` amperes more leave the network at each node. It is as exact as one
    /// elimination.
    pub(super) fn change(
        &self,
        ready: &Factored,
        laws: &[PartLaw],
        more: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        let along: Vec<PartLaw> = laws.iter().map(PartLaw::without_sum).collect();
        self.solved(&along, more, |sums| ready.solved_once(sums))
    }

    fn solved(
        &self,
        laws: &[PartLaw],
        drawn: impl Fn(usize) -> f64,
        answer: impl Fn(&[f64]) -> Vec<f64>,
    ) -> Result<NetworkState, Singular> {
        let (mut amperes, drawn) = self.inward(laws.len(), drawn);
        let answer = answer(&self.sums(laws, &drawn));
        if answer.iter().any(|x| !x.is_finite()) {
            return Err(Singular);
        }
        let volts = self.outward(&answer, laws, &drawn, &mut amperes);
        Ok(NetworkState { volts, amperes })
    }

    /// The current of each limb's parts, and what is then drawn at each node: the current drawn at a tip flows
    /// through its part.
    fn inward(&self, parts: usize, drawn: impl Fn(usize) -> f64) -> (Vec<f64>, Vec<f64>) {
        let mut drawn: Vec<f64> = (0..self.row.len()).map(drawn).collect();
        let mut amperes = vec![0.0; parts];
        for tip in &self.tips {
            amperes[tip.part] = if tip.inward { -drawn[tip.node] } else { drawn[tip.node] };
            drawn[tip.towards] += drawn[tip.node];
        }
        (amperes, drawn)
    }

    /// The right-hand sides. What is drawn within a series no longer flows where it ends.
    fn sums(&self, laws: &[PartLaw], drawn: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; self.unknowns()];
        for (row, drawn) in self.row.iter().zip(drawn) {
            if let Some(row) = *row {
                sums[row] = -drawn;
            }
        }
        for (own, series) in (self.unknown_nodes..).zip(&self.core) {
            sums[own] = series.sum(laws, drawn);
            if let Some(row) = self.row[series.to()] {
                sums[row] -= series.drawn(drawn);
            }
        }
        sums
    }

    /// The volts of every node: those of the answer, then along the series, then outward along the limbs. Adds the
    /// currents of the answer.
    fn outward(&self, answer: &[f64], laws: &[PartLaw], drawn: &[f64], amperes: &mut [f64]) -> Vec<f64> {
        let mut volts: Vec<f64> = self.row.iter().map(|row| row.map_or(0.0, |row| answer[row])).collect();
        for (series, own) in self.core.iter().zip(&answer[self.unknown_nodes..]) {
            series.spread(*own, drawn, amperes);
            series.step(&mut volts, |part| laws[part].volts_at(amperes[part]));
        }
        for tip in self.tips.iter().rev() {
            let along = laws[tip.part].volts_at(amperes[tip.part]);
            volts[tip.node] = volts[tip.towards] + if tip.inward { along } else { -along };
        }
        volts
    }
}

/// The factored equations, ready for several right-hand sides; `None` when there are no unknowns.
pub(super) struct Factored(Option<(SparseColMat<usize, f64>, Lu<usize, f64>)>);

impl Factored {
    /// Solves once.
    fn solved_once(&self, sums: &[f64]) -> Vec<f64> {
        self.0.as_ref().map(|(_, lu)| solve(lu, sums)).unwrap_or_default()
    }

    /// Solves, then repeats for the residual until every equation holds to its own rounding. Microampere
    /// terms are then as accurate as terms of volts or hundreds of amperes.
    fn answer(&self, sums: &[f64]) -> Vec<f64> {
        let Some((matrix, lu)) = &self.0 else { return Vec::new() };
        let mut answer = solve(lu, sums);
        for _ in 0..MOST_REPAIRS {
            let Some(left) = left_over(matrix, sums, &answer) else { break };
            for (x, step) in answer.iter_mut().zip(solve(lu, &left)) {
                *x += step;
            }
        }
        answer
    }
}

/// After this many corrections the answer no longer improves.
const MOST_REPAIRS: usize = 2;
/// The error allowed in an equation, as a share of the sum of its terms' absolute values.
const ROUNDING: f64 = 4.0 * f64::EPSILON;
/// Below this many volts or amperes there is only rounding. It is far below the share of a picoampere allowed
/// by Kirchhoff's law where almost no current flows.
const NOTHING: f64 = 1e-24;

fn solve(lu: &Lu<usize, f64>, sums: &[f64]) -> Vec<f64> {
    let mut column = faer::Col::from_fn(sums.len(), |i| sums[i]);
    lu.solve_in_place(column.as_mat_mut());
    column.iter().copied().collect()
}

/// The residual of the right-hand side with this answer; `None` when every equation holds to its rounding.
/// The test is the component-wise backward error, the usual test for ending such corrections.
fn left_over(matrix: &SparseColMat<usize, f64>, sums: &[f64], answer: &[f64]) -> Option<Vec<f64>> {
    let mut left = sums.to_vec();
    let mut sizes: Vec<f64> = sums.iter().map(|sum| sum.abs()).collect();
    for triplet in matrix.triplet_iter() {
        let term = triplet.val * answer[triplet.col];
        left[triplet.row] -= term;
        sizes[triplet.row] += term.abs();
    }
    let holds = left.iter().zip(&sizes).all(|(left, size)| left.abs() <= ROUNDING * size + NOTHING);
    (!holds).then_some(left)
}
