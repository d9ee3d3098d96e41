//! Which stretches the readings taken can distinguish.

use super::rows::{Equations, dot};

/// The difference between two stretches, in multiples of the noise, that makes them two places.
pub const APART: f64 = 4.0;
/// Two stretches that differ by more than this are distinct in arithmetic, even if no meter can show it.
const SAME: f64 = 1e-9;

/// The least effect, in multiples of the noise, of an excess worth looking for. Below it the diagnosis does
/// not cover the stretch.
const SEEN: f64 = 1.0;
/// Two stretches that share less than half of their effect are two places, however small the effect is.
const MOSTLY: f64 = 0.5;

/// The stretches grouped twice. The fine groups are for fitting: no figure can distinguish their stretches.
/// The places are for naming: the meter cannot distinguish their stretches.
pub(super) struct Places {
    /// Stretches whose excess changes every figure in the same proportion; the first represents all.
    pub(super) alike: Vec<Vec<usize>>,
    /// For each of those groups, its place.
    pub(super) of: Vec<usize>,
    pub(super) unseen: Vec<usize>,
}

impl Places {
    /// The stretch with the largest effect starts a place. Another joins it when an excess just worth looking
    /// for would look the same there within the noise.
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

/// The share of the effect of an excess on one stretch that an excess on the other cannot produce. It is the
/// sine squared between the two, and 1 where they point in opposite directions.
fn unlike(rows: &Equations, one: usize, other: usize) -> f64 {
    let (one, other) = (&rows.columns[one], &rows.columns[other]);
    let along = dot(one, other);
    if along <= 0.0 {
        return 1.0;
    }
    (1.0 - along * along / (dot(one, one) * dot(other, other))).max(0.0)
}
