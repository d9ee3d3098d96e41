//! The loads of a stretch: what is on at once, and for how much of the time.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Ratio};
use uom::si::ratio::ratio;

use super::pattern::DayStretch;

impl DayStretch {
    /// What draws at one time and for what share of the stretch, lightest first; the shares add up to the whole.
    ///
    /// A pattern says how much of the time a load is on and not when: each is taken to be on whether the others are on
    /// or not. A current weighs the more on a bank the larger it is
    /// ([`PEUKERT`](crate::trade::source::PEUKERT)), so that this is never less than their mean all the time would
    /// weigh. Of more than `MOST_LOADS` such currents, each is shared out to the two nearest of a ladder with its
    /// mean kept, which weighs more again.
    pub fn loads(&self) -> Vec<StretchLoad> {
        let all = self.uses.iter().map(|item| item.current.get::<ampere>()).sum();
        let mut on = vec![(1.0, 0.0)];
        for item in &self.uses {
            let (share, amperes) = (item.share.get::<ratio>(), item.current.get::<ampere>());
            let without = on.iter().map(|(time, drawn)| (time * (1.0 - share), *drawn));
            let with = on.iter().map(|(time, drawn)| (time * share, drawn + amperes));
            on = without.chain(with).filter(|(time, _)| *time > 0.0).collect();
            if on.len() > MOST_LOADS {
                on = on_a_ladder(&on, all);
            }
        }
        on.sort_by(|(_, one), (_, other)| one.total_cmp(other));
        let load = |(share, amperes)| StretchLoad {
            share: Ratio::new::<ratio>(share),
            current: ElectricCurrent::new::<ampere>(amperes),
        };
        on.into_iter().map(load).collect()
    }

    /// What draws while the heaviest load is on, the others by their shares.
    pub fn heaviest(&self) -> ElectricCurrent {
        let above_mean = self.uses.iter().filter(|item| item.share.value > 0.0);
        let above_mean = above_mean.map(|item| item.current - item.current * item.share);
        self.mean_load() + above_mean.fold(ElectricCurrent::new::<ampere>(0.0), |most, one| most.max(one))
    }
}

/// The most currents that a stretch is followed with one by one.
const MOST_LOADS: usize = 512;
/// How many steps the ladder has that stands for more of them.
const RUNGS: usize = 256;

/// Shares of time by current, each shared out to the rungs of a ladder just under and over it so that its mean stays.
// A rung is a whole number from 0 to RUNGS.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
fn on_a_ladder(on: &[(f64, f64)], top: f64) -> Vec<(f64, f64)> {
    let step = top / RUNGS as f64;
    let mut rungs = vec![0.0; RUNGS + 2];
    for (time, amperes) in on {
        let under = ((amperes / step) as usize).min(RUNGS);
        let over = amperes / step - under as f64;
        rungs[under] += time * (1.0 - over);
        rungs[under + 1] += time * over;
    }
    let amperes = (0..).map(|rung: u32| f64::from(rung) * step);
    rungs.into_iter().zip(amperes).filter(|(time, _)| *time > 0.0).collect()
}

/// What draws together for a share of a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchLoad {
    /// The share of the stretch.
    pub share: Ratio,
    /// What all that is on draws.
    pub current: ElectricCurrent,
}
