//! The equations: Kirchhoff's current law at every node, and its own law for every part.
//!
//! The unknowns are the volts of each node and the current of each part (the sparse tableau). Because the
//! current is its own unknown, it is not derived from the very small voltage along a thick cable. A part of 0
//! Ω is treated like any other part. A limb, which one part alone connects to the rest, needs no equation.

use faer::linalg::solvers::Solve;
use faer::sparse::linalg::solvers::{Lu, SymbolicLu};
use faer::sparse::{Argsort, Pair, SparseColMat, SymbolicSparseColMat};

use super::limb::{self, Tip};

/// The law of one part as a linear equation: `per_volt * (v_from - v_to) + per_ampere * i = sum`.
#[derive(Debug, Clone, Copy)]
pub(super) struct PartLaw {
    per_volt: f64,
    per_ampere: f64,
    sum: f64,
}

impl PartLaw {
    /// Ohm's law with an EMF that drives current from `from` to `to`.
    pub(super) fn ohmic(emf: f64, ohms: f64) -> Self {
        Self { per_volt: 1.0, per_ampere: -ohms, sum: -emf }.scaled()
    }

    /// A fixed current.
    pub(super) fn amperes(current: f64) -> Self {
        Self { per_volt: 0.0, per_ampere: 1.0, sum: current }
    }

    /// The tangent of `v * i = watts` at a voltage and current near the answer.
    pub(super) fn watts(watts: f64, volts: f64, amperes: f64) -> Self {
        Self { per_volt: amperes, per_ampere: volts, sum: watts + volts * amperes }.scaled()
    }

    /// How voltage and current change along that tangent while the watts rise by `watts`.
    pub(super) fn rate_of_watts(watts: f64, volts: f64, amperes: f64) -> Self {
        Self { per_volt: amperes, per_ampere: volts, sum: watts }.scaled()
    }

    /// How voltage and current change along this line.
    pub(super) fn without_sum(&self) -> Self {
        Self { sum: 0.0, ..*self }
    }

    /// The volts from `from` to `to` across a conducting part at a current.
    fn volts_at(&self, amperes: f64) -> f64 {
        (self.sum - self.per_ampere * amperes) / self.per_volt
    }

    /// Scales the larger coefficient to one, so that a large resistance does not outweigh Kirchhoff's law.
    fn scaled(self) -> Self {
        let larger = self.per_volt.abs().max(self.per_ampere.abs());
        Self {
            per_volt: self.per_volt / larger,
            per_ampere: self.per_ampere / larger,
            sum: self.sum / larger,
        }
    }
}

/// The matrix could not be solved.
#[derive(Debug)]
pub(super) struct Singular;

/// The position of each equation and unknown; the same for every set of laws.
#[derive(Debug)]
pub(super) struct Tableau {
    /// The unknown (and the current-law equation) of each node; `None` for references and tips.
    row: Vec<Option<usize>>,
    ends: Vec<(usize, usize)>,
    /// The parts outside limbs. Their currents are the unknowns after those of the nodes.
    core: Vec<usize>,
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
        let core: Vec<usize> = (0..ends.len()).filter(|&part| !is_limb[part]).collect();
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
        for (own, &part) in (unknown_nodes..).zip(&core) {
            let (from, to) = ends[part];
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
        Ok(Self { row, ends, core, tips, unknown_nodes, pattern, order, elimination })
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
        for &part in &self.core {
            let (law, (from, to)) = (laws[part], self.ends[part]);
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
        let (mut amperes, drawn) = self.inward(laws.len(), drawn);
        let mut sums = self.sums(&drawn);
        for (own, &part) in sums[self.unknown_nodes..].iter_mut().zip(&self.core) {
            *own = laws[part].sum;
        }
        let volts =
            self.outward(&ready.answer(&sums), &mut amperes, |part, amperes| laws[part].volts_at(amperes))?;
        Ok(NetworkState { volts, amperes })
    }

    /// How the state changes if `more(node)` amperes more leave the network at each node. It is as exact as one
    /// elimination.
    pub(super) fn change(
        &self,
        ready: &Factored,
        laws: &[PartLaw],
        more: impl Fn(usize) -> f64,
    ) -> Result<NetworkState, Singular> {
        let (mut amperes, more) = self.inward(laws.len(), more);
        let answer = ready.solved_once(&self.sums(&more));
        let along = |part: usize, amperes| laws[part].without_sum().volts_at(amperes);
        let volts = self.outward(&answer, &mut amperes, along)?;
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

    /// The right-hand sides of the current laws; those of the parts' laws are zero.
    fn sums(&self, drawn: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; self.unknown_nodes + self.core.len()];
        for (row, drawn) in self.row.iter().zip(drawn) {
            if let Some(row) = *row {
                sums[row] = -drawn;
            }
        }
        sums
    }

    /// The volts of every node, from the answer of the equations and then outward along the limbs. Adds the
    /// currents of the answer.
    fn outward(
        &self,
        answer: &[f64],
        amperes: &mut [f64],
        along: impl Fn(usize, f64) -> f64,
    ) -> Result<Vec<f64>, Singular> {
        if answer.iter().any(|x| !x.is_finite()) {
            return Err(Singular);
        }
        for (&part, own) in self.core.iter().zip(&answer[self.unknown_nodes..]) {
            amperes[part] = *own;
        }
        let mut volts: Vec<f64> = self.row.iter().map(|row| row.map_or(0.0, |row| answer[row])).collect();
        for tip in self.tips.iter().rev() {
            let along = along(tip.part, amperes[tip.part]);
            volts[tip.node] = volts[tip.towards] + if tip.inward { along } else { -along };
        }
        Ok(volts)
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
