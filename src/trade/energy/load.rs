//! The loads of a stretch of the day: what is on together, and for what share of the time.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Ratio};
use uom::si::ratio::ratio;

use super::pattern::DayStretch;

impl DayStretch {
    /// The currents drawn together and their shares of the stretch, smallest first; the shares add up to the
    /// whole.
    ///
    /// A use pattern gives the share of time that a load is on, but not when. Each load is therefore assumed
    /// to be on independently of the others. Peukert correction increases faster than the current
    /// ([`PEUKERT`](crate::trade::source::PEUKERT)). The result is therefore never less than the correction
    /// of the constant mean current.
    ///
    /// More than `MOST_LOADS` such currents are reduced to a ladder of currents. Each current is divided
    /// between the two nearest rungs so that its mean is unchanged. This again increases the corrected load.
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

    /// The current while the largest load is on; the others count by their shares.
    pub fn heaviest(&self) -> ElectricCurrent {
        let above_mean = self.uses.iter().filter(|item| item.share.value > 0.0);
        let above_mean = above_mean.map(|item| item.current - item.current * item.share);
        self.mean_load() + above_mean.fold(ElectricCurrent::new::<ampere>(0.0), |most, one| most.max(one))
    }
}

/// The largest number of currents that are followed one by one in a stretch.
const MOST_LOADS: usize = 512;
/// How many steps the ladder has that replaces a larger number of currents.
const RUNGS: usize = 256;

/// Shares of time by current. Each is divided between the rungs of a ladder just below and above it, so that
/// its mean is unchanged.
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

/// Loads that are on together for a share of a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchLoad {
    /// The share of the stretch.
    pub share: Ratio,
    /// The total current of the loads that are on.
    pub current: ElectricCurrent,
}
