//! The loads of a stretch of the day: what is on together, and for what share of the time.

use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCurrent, Ratio};
use uom::si::ratio::ratio;

use super::pattern::{DayStretch, LoadUse};

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
        // What is on the whole time adds to every current and makes no new one.
        let (whole, part): (Vec<_>, Vec<_>) =
            self.uses.iter().partition(|item| item.share.get::<ratio>() >= 1.0);
        let sum = |uses: &[&LoadUse]| uses.iter().map(|item| item.current.get::<ampere>()).sum::<f64>();
        let (base, all) = (sum(&whole), sum(&part));
        let mut on = vec![(1.0, 0.0)];
        let mut part = part.into_iter().map(|item| (item.share.get::<ratio>(), item.current.get::<ampere>()));
        while let Some((share, amperes)) = part.next() {
            let without = on.iter().map(|(time, drawn)| (time * (1.0 - share), *drawn));
            let with = on.iter().map(|(time, drawn)| (time * share, drawn + amperes));
            on = without.chain(with).filter(|(time, _)| *time > 0.0).collect();
            if on.len() > MOST_LOADS {
                let mut ladder = Ladder::of(&on, all, part.len());
                part.by_ref().for_each(|(share, amperes)| ladder.add(share, amperes));
                on = ladder.currents();
            }
        }
        on.sort_by(|(_, one), (_, other)| one.total_cmp(other));
        let load = |(share, amperes)| StretchLoad {
            share: Ratio::new::<ratio>(share),
            current: ElectricCurrent::new::<ampere>(base + amperes),
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
const RUNGS: u32 = 256;

/// Shares of time by current, on rungs of equal distance. A current between two rungs is divided between them, so
/// that its mean is unchanged.
struct Ladder {
    /// Amperes from one rung to the next.
    step: f64,
    /// The share of time on each rung.
    rungs: Vec<f64>,
}

impl Ladder {
    /// The same shares on a ladder up to a current, with room for more loads. Each load can reach one rung higher
    /// than its current.
    fn of(on: &[(f64, f64)], top: f64, more: usize) -> Self {
        let mut ladder = Self { step: top / f64::from(RUNGS), rungs: vec![0.0; RUNGS as usize + 2 + more] };
        for (time, amperes) in on {
            let (under, over) = ladder.split(*amperes);
            ladder.rungs[under] += time * (1.0 - over);
            ladder.rungs[under + 1] += time * over;
        }
        ladder
    }

    /// The rung just below a current, and how far the current is on the way to the next one.
    // A rung is a whole number from 0 to RUNGS.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn split(&self, amperes: f64) -> (usize, f64) {
        let rungs = (amperes / self.step).min(f64::from(RUNGS));
        (rungs as usize, rungs.fract())
    }

    /// Adds a load that is on for a share of the time.
    fn add(&mut self, share: f64, amperes: f64) {
        let (by, over) = self.split(amperes);
        for rung in (0..self.rungs.len()).rev() {
            let from = |down: usize| rung.checked_sub(down).map_or(0.0, |rung| self.rungs[rung]);
            let raised = (1.0 - over) * from(by) + over * from(by + 1);
            self.rungs[rung] = (1.0 - share) * self.rungs[rung] + share * raised;
        }
    }

    /// The currents with their shares of time.
    fn currents(self) -> Vec<(f64, f64)> {
        let amperes = (0..).map(|rung: u32| f64::from(rung) * self.step);
        self.rungs.into_iter().zip(amperes).filter(|(time, _)| *time > 0.0).collect()
    }
}

/// Loads that are on together for a share of a stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StretchLoad {
    /// The share of the stretch.
    pub share: Ratio,
    /// The total current of the loads that are on.
    pub current: ElectricCurrent,
}
