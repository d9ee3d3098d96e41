//! The equations: Kirchhoff's current law at every node, the part's own law for every part.
//!
//! The unknowns are the volts of each node and the current of each part (the sparse tableau). The current
//! being an unknown of its own, it need not be read from the minute voltage over a thick cable, and a part
//! of 0 Ω is a part like any other.

use faer::linalg::solvers::Solve;
use faer::sparse::linalg::solvers::{Lu, SymbolicLu};
use faer::sparse::{Argsort, Pair, SparseColMat, SymbolicSparseColMat};

/// The law of one part as a straight line: `per_volt * (v_from - v_to) + per_ampere * i = sum`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    per_volt: f64,
    per_ampere: f64,
    sum: f64,
}

impl Line {
    /// Ohm's law with an EMF that drives current from `from` to `to`.
    pub(super) fn ohmic(emf: f64, ohms: f64) -> Self {
        Self { per_volt: 1.0, per_ampere: -ohms, sum: -emf }.scaled()
    }

    /// A given current.
    pub(super) fn amperes(current: f64) -> Self {
        Self { per_volt: 0.0, per_ampere: 1.0, sum: current }
    }

    /// The tangent of `v * i = watts` at a voltage and current near the answer.
    pub(super) fn watts(watts: f64, volts: f64, amperes: f64) -> Self {
        Self { per_volt: amperes, per_ampere: volts, sum: watts + volts * amperes }.scaled()
    }

    /// How voltage and current go along that tangent while the watts rise by `watts`.
    pub(super) fn rate_of_watts(watts: f64, volts: f64, amperes: f64) -> Self {
        Self { per_volt: amperes, per_ampere: volts, sum: watts }.scaled()
    }

    /// How voltage and current go along this line.
    pub(super) fn without_sum(&self) -> Self {
        Self { sum: 0.0, ..*self }
    }

    /// Brings the larger coefficient to one, so that a megohm does not outweigh Kirchhoff.
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

/// Where each equation and unknown stands; the same for every setting of the laws.
#[derive(Debug)]
pub(super) struct Tableau {
    /// The unknown (and the current-law equation) of each node; none for the references.
    row: Vec<Option<usize>>,
    ends: Vec<(usize, usize)>,
    unknown_nodes: usize,
    pattern: SymbolicSparseColMat<usize>,
    order: Argsort<usize>,
    elimination: Option<SymbolicLu<usize>>,
}

/// Volts of every node and current of every part.
#[derive(Debug, Clone)]
pub(super) struct State {
    pub(super) volts: Vec<f64>,
    pub(super) amperes: Vec<f64>,
}

impl Tableau {
    /// For nodes of which some are references at 0 V, and parts from one node to another.
    pub(super) fn new(is_reference: &[bool], ends: Vec<(usize, usize)>) -> Result<Self, Singular> {
        let mut unknown_nodes = 0;
        let row: Vec<Option<usize>> = is_reference
            .iter()
            .map(|&reference| {
                (!reference).then(|| {
                    unknown_nodes += 1;
                    unknown_nodes - 1
                })
            })
            .collect();
        let mut places = Vec::new();
        for (part, &(from, to)) in ends.iter().enumerate() {
            let own = unknown_nodes + part;
            for node in [row[from], row[to]].into_iter().flatten().filter(|_| from != to) {
                places.extend([Pair { row: node, col: own }, Pair { row: own, col: node }]);
            }
            places.push(Pair { row: own, col: own });
        }
        let size = unknown_nodes + ends.len();
        let (pattern, order) =
            SymbolicSparseColMat::try_new_from_indices(size, size, &places).map_err(|_| Singular)?;
        let elimination =
            if size == 0 { None } else { Some(SymbolicLu::try_new(pattern.as_ref()).map_err(|_| Singular)?) };
        Ok(Self { row, ends, unknown_nodes, pattern, order, elimination })
    }

    /// Factors the equations with these laws, one for each part.
    pub(super) fn factor(&self, laws: &[Line]) -> Result<Factored, Singular> {
        let Some(elimination) = &self.elimination else {
            return Ok(Factored(None));
        };
        let mut values = Vec::new();
        for (law, &(from, to)) in laws.iter().zip(&self.ends) {
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

    /// The state in which each part follows its law and `drawn(node)` amperes leave the network at each node.
    pub(super) fn state(
        &self,
        ready: &Factored,
        laws: &[Line],
        drawn: impl Fn(usize) -> f64,
    ) -> Result<State, Singular> {
        let mut sums = vec![0.0; self.unknown_nodes + laws.len()];
        for (node, row) in self.row.iter().enumerate() {
            if let Some(row) = *row {
                sums[row] = -drawn(node);
            }
        }
        for (own, law) in sums[self.unknown_nodes..].iter_mut().zip(laws) {
            *own = law.sum;
        }
        let answer = ready.answer(&sums);
        if answer.iter().any(|x| !x.is_finite()) {
            return Err(Singular);
        }
        let volts = self.row.iter().map(|row| row.map_or(0.0, |row| answer[row])).collect();
        Ok(State { volts, amperes: answer[self.unknown_nodes..].to_vec() })
    }
}

/// The equations ready to be solved for one right-hand side after another; nothing when nothing is unknown.
pub(super) struct Factored(Option<(SparseColMat<usize, f64>, Lu<usize, f64>)>);

impl Factored {
    /// Solves, then twice solves for what rounding left over: microamperes beside volts add up as well as
    /// hundreds of amperes do.
    fn answer(&self, sums: &[f64]) -> Vec<f64> {
        let Some((matrix, lu)) = &self.0 else { return Vec::new() };
        let mut answer = solve(lu, sums);
        for _ in 0..2 {
            let mended = solve(lu, &left_over(matrix, sums, &answer));
            for (x, step) in answer.iter_mut().zip(mended) {
                *x += step;
            }
        }
        answer
    }
}

fn solve(lu: &Lu<usize, f64>, sums: &[f64]) -> Vec<f64> {
    let mut column = faer::Col::from_fn(sums.len(), |i| sums[i]);
    lu.solve_in_place(column.as_mat_mut());
    column.iter().copied().collect()
}

/// What is missing on the right-hand side with this answer.
fn left_over(matrix: &SparseColMat<usize, f64>, sums: &[f64], answer: &[f64]) -> Vec<f64> {
    let mut left = sums.to_vec();
    for triplet in matrix.triplet_iter() {
        left[triplet.row] -= triplet.val * answer[triplet.col];
    }
    left
}
