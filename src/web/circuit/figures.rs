//! The figures of a circuit or feeder, in the order people need them, each with its workings.

use super::figured::Figured;
use crate::job::check::{By, CircuitReport, FeederReport, ProtectionReport};
use crate::job::finding::Finding;
use crate::job::plan::Polarity;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, Level};
use crate::trade::quantity::Quantity;
use crate::trade::sizing::Governor;
use crate::trade::units::Units;
use crate::trade::working::{Working, WorkingText, figure};
use crate::web::kit::figure::{amount, fine};
use crate::web::kit::length::LengthUnit;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::{AMPACITY, BEHIND, CURRENT, HANDBOOK, LENGTH, PROTECTION, SOLVED};

/// The figures of one thing, with the findings about each.
pub struct Figures<'a> {
    workings: &'a [Working],
    findings: Vec<&'a Finding>,
    units: Units,
}

const ELSEWHERE: [&[Quantity]; 7] = [LENGTH, CURRENT, AMPACITY, HANDBOOK, SOLVED, PROTECTION, BEHIND];

/// The figures of a circuit, on the page that shows its findings.
pub fn of_circuit(report: &CircuitReport, findings: Vec<&Finding>, unit: LengthUnit) -> Vec<Figured> {
    let figures = Figures { workings: &report.conductor.workings, findings, units: unit.units() };
    let drop_limit = report.drop_limit_pct.map(|limit| format!("limit {} %", figure(limit)));
    let mut all = vec![
        Figured::new("Length there and back", report.conductor.round_trip_m.map(|meters| unit.said(meters)))
            .by(figures.workings(LENGTH)),
        figures.current(report.conductor.design_current_a, report.conductor.solved_current_a),
        figures.size(report.conductor.size, report.conductor.size_by, &report.conductor.governed_by).by(
            SettledSize::circuit("", report).why_size().iter().map(|working| working.text(figures.units)),
        ),
        figures.ampacity(report.conductor.ampacity_a, report.conductor.derated_ampacity_a),
        figures
            .handbook(report.conductor.handbook_drop_v, report.conductor.handbook_drop_pct)
            .against(drop_limit.clone()),
        figures.solved(report.conductor.solved_drop_v, report.conductor.solved_drop_pct).against(drop_limit),
        Figured::new(
            "Total drop, battery to device",
            drop(report.solved_drop_from_battery_v, report.solved_drop_from_battery_pct),
        )
        .against(Some("feeders and negatives included".to_owned()))
        .by(figures.workings(&[Quantity::SolvedDropFromBattery])),
    ];
    all.extend(figures.protection(report.conductor.protection.as_ref()));
    all.extend(figures.faults(report.conductor.fault_at_protection_a, report.conductor.fault_current_a));
    all.extend(figures.rest());
    all
}

/// The figures of a feeder.
pub fn of_feeder(
    polarity: Polarity,
    report: &FeederReport,
    findings: Vec<&Finding>,
    unit: LengthUnit,
) -> Vec<Figured> {
    let figures = Figures { workings: &report.conductor.workings, findings, units: unit.units() };
    let mut all = vec![
        Figured::new("Length one way", report.conductor.one_way_m.map(|meters| unit.said(meters)))
            .by(figures.workings(LENGTH)),
        figures.current(report.conductor.design_current_a, report.conductor.solved_current_a),
        figures
            .size(report.conductor.size, report.conductor.size_by, &report.conductor.governed_by)
            .by(SettledSize::feeder("", report).why_size().iter().map(|working| working.text(figures.units))),
        figures.ampacity(report.conductor.ampacity_a, report.conductor.derated_ampacity_a),
        figures.handbook(report.conductor.handbook_drop_v, report.conductor.handbook_drop_pct),
        Figured::new("Solved drop", drop(report.conductor.solved_drop_v, report.conductor.solved_drop_pct))
            .against(Some("this conductor alone, all circuits on".to_owned()))
            .by(figures.workings(SOLVED)),
    ];
    all.extend(report.let_through_a.map(|amperes| {
        Figured::new("Upstream protection", amount(Some(amperes), "A"))
            .against(Some("the protection it shares with other wires".to_owned()))
            .by(figures.workings(BEHIND))
    }));
    if polarity == Polarity::Positive {
        all.extend(figures.protection(report.conductor.protection.as_ref()));
        all.extend(figures.faults(report.conductor.fault_at_protection_a, report.conductor.fault_current_a));
    }
    all.extend(figures.rest());
    all
}

impl Figures<'_> {
    fn workings(&self, what: &[Quantity]) -> Vec<WorkingText> {
        let own = self.workings.iter().filter(|working| what.contains(&working.what));
        own.map(|working| working.text(self.units)).collect()
    }

    /// The worst level among the findings with these codes.
    fn level(&self, codes: &[Code]) -> Option<Level> {
        self.findings
            .iter()
            .filter(|finding| codes.contains(&finding.code))
            .map(|finding| finding.level)
            .max()
    }

    fn current(&self, design: Option<f64>, solved: Option<f64>) -> Figured {
        let solved = solved.map(|amperes| format!("{} A in the solved network", fine(amperes)));
        Figured::new("Design current", amount(design, "A")).against(solved).by(self.workings(CURRENT))
    }

    fn size(&self, size: Option<Size>, by: Option<By>, governed_by: &[Governor]) -> Figured {
        let by = by.map(|by| match by {
            By::Given => "from the plan".to_owned(),
            By::Chosen => {
                let words: Vec<&str> = governed_by.iter().map(|governor| governor.words()).collect();
                format!("chosen here, decided by {}", words.join(" and "))
            }
        });
        let wrong = self.level(&[Code::UnderMinimumSize, Code::NoSizeFits, Code::ExemptionNotMet]);
        Figured::new("Size", size.map(|size| size.to_string())).against(by).marked(wrong)
    }

    fn ampacity(&self, table: Option<f64>, derated: Option<f64>) -> Figured {
        let table = table.filter(|table| derated != Some(*table));
        let table = table.map(|table| format!("{} A by the table, before it is derated", fine(table)));
        Figured::new("Ampacity", amount(derated, "A"))
            .against(table)
            .marked(self.level(&[Code::CurrentOverAmpacity, Code::NoAmpacity]))
            .by(self.workings(AMPACITY))
    }

    fn handbook(&self, volts: Option<f64>, percent: Option<f64>) -> Figured {
        Figured::new("Calculated drop", drop(volts, percent))
            .marked(self.level(&[Code::DropOverLimit]))
            .by(self.workings(HANDBOOK))
    }

    fn solved(&self, volts: Option<f64>, percent: Option<f64>) -> Figured {
        Figured::new("Solved drop", drop(volts, percent))
            .marked(self.level(&[Code::SolvedDropOverLimit]))
            .by(self.workings(SOLVED))
    }

    fn protection(&self, protection: Option<&ProtectionReport>) -> Vec<Figured> {
        let codes = &[
            Code::FuseOverWire,
            Code::FuseOverAmpacity,
            Code::FuseUnderLoad,
            Code::FuseOverDevice,
            Code::FuseNearLoad,
            Code::NoRatingFits,
            Code::FuseVoltageLow,
            Code::RatingNotStandard,
            Code::Unprotected,
            Code::FuseFarFromSource,
        ];
        let Some(fitted) = protection else {
            return vec![Figured::new("Protection", Some("none".to_owned())).marked(self.level(codes))];
        };
        let rating = fitted.rating_a.map(|rating| format!("{} A, {}", figure(rating), fitted.kind.words()));
        let range = fitted.lowest_a.zip(fitted.highest_a);
        let range = range.map(|(low, high)| format!("{} to {} A", figure(low), figure(high)));
        let advice = fitted.recommended_a.map(|best| format!("{} A recommended", figure(best)));
        vec![
            Figured::new("Protection", rating).marked(self.level(codes)).by(self.workings(PROTECTION)),
            Figured::new("Allowed ratings", range).against(advice).by(self.workings(PROTECTION)),
        ]
    }

    fn faults(&self, at_protection: Option<f64>, far: Option<f64>) -> [Figured; 2] {
        [
            Figured::new("Fault current at the protection", amount(at_protection, "A"))
                .against(Some("the protection must interrupt this".to_owned()))
                .marked(self.level(&[Code::InterruptUnderFault, Code::InterruptUnconfirmed]))
                .by(self.workings(&[Quantity::FaultAtProtection])),
            Figured::new("Fault current at the far end", amount(far, "A"))
                .against(Some("this must blow the fuse or trip the breaker".to_owned()))
                .marked(self.level(&[Code::FaultTooLow]))
                .by(self.workings(&[Quantity::FaultCurrent])),
        ]
    }

    /// Workings that belong to no figure above.
    fn rest(&self) -> Option<Figured> {
        let known =
            |what: Quantity| ELSEWHERE.iter().any(|group| group.contains(&what)) || NAMED.contains(&what);
        let rest = self.workings.iter().filter(|working| !known(working.what));
        let rest: Vec<WorkingText> = rest.map(|working| working.text(self.units)).collect();
        (!rest.is_empty()).then(|| Figured::new("Other calculations", Some(rest.len().to_string())).by(rest))
    }
}

/// Workings that only one figure has.
const NAMED: &[Quantity] = &[
    Quantity::SmallestSize,
    Quantity::Exemption,
    Quantity::SolvedDropFromBattery,
    Quantity::FaultCurrent,
    Quantity::FaultAtProtection,
];

/// A drop in volts and in percent.
pub fn drop(volts: Option<f64>, percent: Option<f64>) -> Option<String> {
    volts.zip(percent).map(|(volts, percent)| format!("{volts:.2} V ({percent:.1} %)"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_as_fine_as_they_are_read() {
        assert_eq!(amount(Some(4.166_666), "A").as_deref(), Some("4.17 A"));
        assert_eq!(drop(Some(0.386), Some(3.216)).as_deref(), Some("0.39 V (3.2 %)"));
        assert_eq!(drop(Some(0.386), None), None);
    }
}
