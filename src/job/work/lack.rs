//! What is missing before the measurements of a step prove it.

use crate::job::meter::ReadingVerdict;
use crate::trade::say::capital;

/// Why the measurements of a step do not prove it.
#[derive(Debug, Clone, PartialEq)]
pub enum Lack {
    /// Nobody measured it.
    NoReading,
    /// Its wire was opened after it was measured; with the reason.
    Opened(String),
    /// The measurement is not complete enough to judge.
    NotWhole,
    /// A device or distribution point that must be measured was not; with its name.
    NotAt(String),
    /// There is nothing to compare its readings with: the check could not settle the circuit.
    NotJudged,
    /// The latest reading failed.
    Failed(ReadingVerdict),
    /// A reading neither passes nor fails, and nobody wrote why it is accepted; with what it shows.
    NotAccepted(String),
}

impl Lack {
    /// What is missing, in plain text.
    pub fn words(&self) -> String {
        match self {
            Self::NoReading => "Not measured. Measure it first.".to_owned(),
            Self::Opened(why) => format!("Measure it again: {why}."),
            Self::NotWhole => {
                "Its reading has no volts at the source or at the load. Measure both.".to_owned()
            }
            Self::NotAt(name) => format!("Not measured at {name}. Measure there too."),
            Self::NotJudged => {
                "The expected reading could not be calculated. The findings name what is missing.".to_owned()
            }
            Self::NotAccepted(doubt) => {
                format!("{doubt} No reason was written.")
            }
            Self::Failed(verdict) => format!("Its latest reading fails. {}", remarks(verdict).join(" ")),
        }
    }
}

/// The remarks of a verdict as sentences, the worst first.
pub fn remarks(verdict: &ReadingVerdict) -> Vec<String> {
    verdict.remarks.iter().map(|remark| format!("{}.", capital(&remark.text))).collect()
}
