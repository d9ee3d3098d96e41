//! Which stretches the readings that were taken can tell apart.

use super::rows::{Equations, dot};

/// By how many times the noise two stretches must differ to be two places.
pub const APART: f64 = 4.0;
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
    pub(super) of: Vec<usize>,
    pub(super) unseen: Vec<usize>,
}

impl Places {
    /// The stretch that shows most founds a place; another joins it when an excess just worth looking for
    /// would look the same there within the noise.
    pub(super) fn of(rows: &Equations) -> Self {
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
}

/// The share of what an excess on one stretch shows that none on the other would: the sine squared between
/// the two, 1 where they pull opposite ways.
fn unlike(rows: &Equations, one: usize, other: usize) -> f64 {
    let (one, other) = (&rows.columns[one], &rows.columns[other]);
    let along = dot(one, other);
    if along <= 0.0 {
        return 1.0;
    }
    (1.0 - along * along / (dot(one, one) * dot(other, other))).max(0.0)
}
