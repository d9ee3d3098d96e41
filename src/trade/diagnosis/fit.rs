//! Every set of one, two and three stretches, with the excess on each that fits the readings best.

use super::place::Places;
use super::rows::{Equations, dot};

/// The largest number of places sought at once.
pub const MOST_FAULTS: usize = 3;
/// How many of the best sets are extended by one more stretch, in addition to all pairs.
const GROWN: usize = 12;

/// Where the faults are, with the excess on each.
#[derive(Debug, Clone)]
pub(super) struct ExcessFit {
    /// The stretches, by their number among those that can be distinguished.
    pub(super) at: Vec<usize>,
    /// The excess of each, in ohm.
    pub(super) ohms: Vec<f64>,
    /// The remaining sum of squares.
    pub(super) amiss: f64,
}

/// For one, two, … faults: all sets with a positive excess on each of their stretches, best first.
pub(super) fn levels(rows: &Equations, places: &Places) -> Vec<Vec<ExcessFit>> {
    let normal = Normal::of(rows, places);
    let mut levels: Vec<Vec<ExcessFit>> = Vec::new();
    for faults in 1..=MOST_FAULTS {
        let starts: Vec<Vec<usize>> = match levels.last() {
            None => vec![Vec::new()],
            // With two faults, neither must be the best single fault, so all pairs are tried.
            Some(_) if faults == 2 => (0..places.alike.len()).map(|one| vec![one]).collect(),
            Some(last) => last.iter().take(GROWN).map(|fit| fit.at.clone()).collect(),
        };
        let mut level: Vec<ExcessFit> =
            starts.iter().flat_map(|start| normal.grown(start, faults == 2)).collect();
        level.sort_by(|one, other| one.amiss.total_cmp(&other.amiss));
        level.dedup_by(|one, other| one.at == other.at);
        levels.push(level);
    }
    levels
}

/// The normal equations of all stretches together.
struct Normal {
    /// The inner product of each pair of stretches.
    common: Vec<Vec<f64>>,
    /// The inner product of each stretch with the errors.
    with_off: Vec<f64>,
    amiss: f64,
}

impl Normal {
    fn of(rows: &Equations, places: &Places) -> Self {
        let columns: Vec<&[f64]> = places
            .alike
            .iter()
            .filter_map(|place| rows.columns.get(*place.first()?).map(Vec::as_slice))
            .collect();
        let common =
            columns.iter().map(|one| columns.iter().map(|other| dot(one, other)).collect()).collect();
        let with_off = columns.iter().map(|column| dot(column, &rows.off)).collect();
        Self { common, with_off, amiss: rows.amiss() }
    }

    /// The starting set extended by each further stretch; `upwards`: only by stretches with a higher number.
    fn grown(&self, start: &[usize], upwards: bool) -> Vec<ExcessFit> {
        let floor = if upwards { start.last().map_or(0, |last| last + 1) } else { 0 };
        (floor..self.with_off.len())
            .filter(|one| !start.contains(one))
            .filter_map(|one| {
                let mut at = [start, &[one]].concat();
                at.sort_unstable();
                self.fit(at)
            })
            .collect()
    }

    /// Least squares on a few stretches. `None` where one of them would have no excess, because fewer
    /// stretches are then sufficient.
    fn fit(&self, at: Vec<usize>) -> Option<ExcessFit> {
        let with_off: Vec<f64> = at.iter().map(|one| self.with_off[*one]).collect();
        let matrix: Vec<Vec<f64>> =
            at.iter().map(|one| at.iter().map(|other| self.common[*one][*other]).collect()).collect();
        let ohms = solve(matrix, with_off.clone())?;
        if ohms.iter().any(|ohms| *ohms <= 0.0) {
            return None;
        }
        let amiss = (self.amiss - dot(&ohms, &with_off)).max(0.0);
        Some(ExcessFit { at, ohms, amiss })
    }
}

/// Solves a small symmetric system by elimination; `None` where its rows are not independent.
fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let size = right.len();
    for pivot in 0..size {
        let lead = matrix[pivot][pivot];
        if lead <= 1e-9 {
            return None;
        }
        for row in pivot + 1..size {
            let factor = matrix[row][pivot] / lead;
            let above = matrix[pivot].clone();
            matrix[row].iter_mut().zip(&above).for_each(|(value, above)| *value -= factor * above);
            right[row] -= factor * right[pivot];
        }
    }
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|column| matrix[row][column] * right[column]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    Some(right)
}
