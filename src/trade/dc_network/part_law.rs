//! The law of one part, or of parts in series.

/// The law of one part as a linear equation: `per_volt * (v_from - v_to) + per_ampere * i = sum`.
#[derive(Debug, Clone, Copy)]
pub(super) struct PartLaw {
    pub(super) per_volt: f64,
    pub(super) per_ampere: f64,
    pub(super) sum: f64,
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

    /// The law of conducting parts in series, each with whether it counts in the direction of the series.
    pub(super) fn sum(links: impl Iterator<Item = (Self, bool)>) -> Self {
        let nothing = Self { per_volt: 1.0, per_ampere: 0.0, sum: 0.0 };
        let sum = links.fold(nothing, |all, (law, along)| {
            let volts = law.sum / law.per_volt;
            Self {
                per_ampere: all.per_ampere - law.ohms(),
                sum: all.sum + if along { volts } else { -volts },
                ..all
            }
        });
        sum.scaled()
    }

    /// Its sum with more volts across a part that conducts.
    pub(super) fn sum_with(&self, volts: f64) -> f64 {
        self.sum + self.per_volt * volts
    }

    /// The resistance of a part that conducts.
    pub(super) fn ohms(&self) -> f64 {
        -self.per_ampere / self.per_volt
    }

    /// The volts from `from` to `to` across a conducting part at a current.
    pub(super) fn volts_at(&self, amperes: f64) -> f64 {
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
