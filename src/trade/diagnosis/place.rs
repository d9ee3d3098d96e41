//! Which stretches the readings that were taken can tell apart.

use super::fit::Fit;
use super::rows::{Rows, dot};
use super::{APART, Excess};

/// Two stretches further apart than this are told apart by arithmetic, if by no meter.
const SAME: f64 = 1e-9;

/// What an excess worth looking for must show at least, in noises, for anything to be said of its stretch.
const SEEN: f64 = 1.0;
/// Stretches that have less than half of what they show in common are two places, however little it is.
const MOSTLY: f64 = 0.5;

/// The stretches put together twice: finely, by what no figure at all tells apart, to be fitted; and into
/// places, by what the meter does not tell apart, to be named.
pub(super) struct Places {
    /// Stretches whose excess moves every figure in the same proportion; the first stands for all.
    pub(super) alike: Vec<Vec<usize>>,
    /// For each of those the place it belongs to.
    of: Vec<usize>,
    pub(super) unseen: Vec<usize>,
}

impl Places {
    /// The stretch that shows most founds a place; another joins it when an excess just worth looking for
    /// would look the same there within the noise.
    pub(super) fn of(rows: &Rows) -> Self {
        let mut shows: Vec<(usize, f64)> = Vec::new();
        let mut unseen = Vec::new();
        for (stretch, column) in rows.columns.iter().enumerate() {
            match rows.worth(stretch).map(|worth| worth * dot(column, column).sqrt()) {
                Some(shown) if shown >= SEEN => shows.push((stretch, shown)),
                _ => unseen.push(stretch),
            }
        }
        shows.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
        let (mut alike, mut of, mut founders): (Vec<Vec<usize>>, Vec<usize>, Vec<usize>) = Default::default();
        for (stretch, shown) in shows {
            if let Some(same) = alike.iter_mut().find(|same| unlike(rows, same[0], stretch) <= SAME) {
                same.push(stretch);
                continue;
            }
            let is_near = |founder: &usize| {
                let unlike = unlike(rows, *founder, stretch);
                unlike < MOSTLY && shown * unlike.sqrt() < APART
            };
            let place = founders.iter().position(is_near).unwrap_or_else(|| {
                founders.push(stretch);
                founders.len() - 1
            });
            alike.push(vec![stretch]);
            of.push(place);
        }
        Self { alike, of, unseen }
    }

    /// The places that a fit is about, in order.
    pub(super) fn named(&self, fit: &Fit) -> Vec<usize> {
        let mut places: Vec<usize> = fit.at.iter().map(|at| self.of[*at]).collect();
        places.sort_unstable();
        places
    }

    /// One fault of a fit: the excess that every stretch of its place would have to hold, the best first.
    pub(super) fn excess(&self, rows: &Rows, fit: &Fit, fault: usize) -> Excess {
        let place = self.of[fit.at[fault]];
        let left = self.left(rows, fit, fault);
        let in_place = self.alike.iter().zip(&self.of).filter(|(_, of)| **of == place);
        let mut each: Vec<(usize, f64, f64)> = in_place
            .flat_map(|(stretches, _)| stretches)
            .map(|stretch| {
                let column = &rows.columns[*stretch];
                let (along, length) = (dot(column, &left).max(0.0), dot(column, column));
                (*stretch, along / length, along * along / length)
            })
            .collect();
        each.sort_by(|one, other| other.2.total_cmp(&one.2));
        let costs_v = each.first().map_or(0.0, |(stretch, ohms, _)| ohms * rows.most_a[*stretch]);
        Excess {
            stretches: each.into_iter().map(|(stretch, ohms, _)| (stretch, 1e3 * ohms)).collect(),
            costs_v,
        }
    }

    /// What the readings are off once every other fault of the fit holds its excess.
    fn left(&self, rows: &Rows, fit: &Fit, fault: usize) -> Vec<f64> {
        let mut left = rows.off.clone();
        let others = fit.at.iter().zip(&fit.ohms).enumerate().filter(|(index, _)| *index != fault);
        for (_, (at, ohms)) in others {
            let column = &rows.columns[self.alike[*at][0]];
            left.iter_mut().zip(column).for_each(|(left, does)| *left -= ohms * does);
        }
        left
    }
}

/// The share of what an excess on one stretch shows that none on the other would: the sine squared between
/// the two, 1 where they pull opposite ways.
fn unlike(rows: &Rows, one: usize, other: usize) -> f64 {
    let (one, other) = (&rows.columns[one], &rows.columns[other]);
    let along = dot(one, other);
    if along <= 0.0 {
        return 1.0;
    }
    (1.0 - along * along / (dot(one, one) * dot(other, other))).max(0.0)
}
