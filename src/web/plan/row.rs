//! What the rows of all lists show the same: lengths in the shop's unit, and sizes and fuses as the check settled
//! them.

use askama::Template;
use askama::filters::HtmlSafe;

use crate::job::value::FeederId;
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::{HANDBOOK, ONE_WAY};

/// A one-way length, which opens on its working.
pub fn length(of: &str, meters: f64, workings: &[Working], unit: LengthUnit) -> Cell {
    Cell::new(of, "one way", Figure::length(meters, unit), workings, ONE_WAY)
}

/// A size in a list: as settled by the check, otherwise as given.
pub fn size(settled: Option<&SettledSize<'_>>, given: Option<Size>) -> Sentence {
    let given = || given.map_or("not set", Size::text).into();
    settled.and_then(SettledSize::size_said).unwrap_or_else(given)
}

/// A fuse or breaker in a list: `5 A blade fuse`, or the feeder that has it.
pub fn fuse(settled: Option<&SettledSize<'_>>, protected_by: Option<&FeederId>) -> Sentence {
    let of_another = protected_by.map(|other| format!("that of {other}").into());
    settled.and_then(SettledSize::fuse_said).or(of_another).unwrap_or_else(|| "none".into())
}

/// A voltage drop beside its limit, with a bar for how much of the limit is used.
#[derive(Debug, Clone, PartialEq, Template)]
#[template(path = "plan/drop.html")]
pub struct DropBar {
    percent: Cell,
    limit: Option<f64>,
    /// How much of the limit is used, in percent, cut at the end of the bar.
    used: u8,
    over: bool,
}

impl HtmlSafe for DropBar {}

impl DropBar {
    /// The calculated drop of a circuit in percent of nominal voltage, with its limit if it has one.
    pub fn new(of: &str, percent: f64, limit: Option<f64>, workings: &[Working]) -> Self {
        let used = limit.map_or(0.0, |limit| (percent / limit * 100.0).clamp(0.0, 100.0));
        // Between 0 and 100, so it fits.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let used = used.round() as u8;
        let over = limit.is_some_and(|limit| percent > limit);
        let value = Figure::rounded(percent, 1, "%");
        Self { percent: Cell::new(of, "drop", value, workings, HANDBOOK), limit, used, over }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drop_is_drawn_up_to_its_limit() {
        let html = |percent, limit| DropBar::new("C01", percent, limit, &[]).render().unwrap();
        assert!(
            html(1.5, Some(3.0)).contains("width=\"50\"") && html(9.0, Some(3.0)).contains("width=\"100\"")
        );
        assert!(!html(1.5, None).contains("<svg"), "no limit, no drawing");
    }
}
