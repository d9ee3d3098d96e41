//! Which labels to print: on which sheet, from which position on it, of which wires, for which location.

use std::collections::HashSet;

use axum::extract::{FromRequestParts, Query};
use axum::http::request::Parts;

use crate::job::label::{Label, Labels, Stock};
use crate::job::value::LocationId;
use crate::shop::labels::LabelSetting;
use crate::web::kit::Error;
use crate::web::kit::form::Form;
use crate::web::kit::opened::Opened;

/// Which wires.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Wires {
    /// Every wire and factory cable of the job.
    #[default]
    All,
    /// Wires that are pulled through the boat.
    Pulled,
    /// Wires that are made up on the bench.
    Bench,
    /// Wires whose label the plan changed.
    Anew,
}

impl Wires {
    const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::All, "all", "Every wire and factory cable"),
        (Self::Pulled, "pulled", "What is pulled through the boat"),
        (Self::Bench, "bench", "Wires made up on the bench"),
        (Self::Anew, "anew", "Wires whose label the plan changed"),
    ];

    /// The choices of a form.
    pub fn choices() -> [(&'static str, &'static str); 4] {
        Self::ALL.map(|(_, key, words)| (key, words))
    }
}

/// The query of an address, as a filled-in form.
pub struct Asking(pub Form);

impl<S: Send + Sync> FromRequestParts<S> for Asking {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Error> {
        let query = Query::<Vec<(String, String)>>::from_request_parts(parts, state).await;
        let Query(pairs) = query.map_err(|refused| Error::BadRequest(refused.to_string()))?;
        Ok(Self(Form::filled(pairs.iter().map(|(name, value)| (name.as_str(), value)))))
    }
}

/// Which labels.
#[derive(Debug, Clone, PartialEq)]
pub struct LabelsQuery {
    /// The sheet.
    pub stock: Stock,
    /// The first free label on the first sheet, from 1.
    pub start: usize,
    /// Of which wires.
    pub wires: Wires,
    /// Only the ends at this location.
    pub location: Option<LocationId>,
    /// Which part of the sheets, from 1. Only files have parts.
    pub part: usize,
}

/// How many labels a file of sheets has at most, to the end of its last sheet. More take a printer long.
const A_FILE: usize = 500;

impl LabelsQuery {
    /// Reads the query; a missing value gets its default. `None` if a field has an error.
    pub fn read(form: &mut Form, setting: &LabelSetting) -> Option<Self> {
        let key = form.optional("stock").unwrap_or(setting.stock);
        let Some(stock) = setting.sheet(key) else {
            form.refuse("stock", "The shop has not entered the dimensions of its own label sheet.");
            return None;
        };
        let start = form.optional("start").unwrap_or(1);
        if !(1..=stock.per_sheet()).contains(&start) {
            let most = stock.per_sheet();
            form.refuse(
                "start",
                format!("Expected the number of a label on this sheet from 1 to {most}, not {start}."),
            );
        }
        let wires = match form.typed("wires") {
            "" => Some(Wires::default()),
            key => Wires::ALL.iter().find(|(_, known, _)| *known == key).map(|(wires, _, _)| *wires),
        };
        if wires.is_none() {
            form.refuse("wires", "Choose one of the list.");
        }
        let location = form.optional("location");
        let part = form.optional("part").unwrap_or(1);
        form.sound()?;
        Some(Self { stock, start, wires: wires?, location, part })
    }

    /// The query of the address for the same labels.
    pub fn query(&self) -> String {
        let wires =
            Wires::ALL.iter().find(|(wires, _, _)| *wires == self.wires).map_or("", |(_, key, _)| key);
        let location =
            self.location.as_ref().map_or_else(String::new, |location| format!("&location={location}"));
        format!("stock={}&start={}&wires={wires}{location}", self.stock.key, self.start)
    }

    /// How many labels the file of a part has: whole sheets, but for the last.
    fn a_part(&self) -> usize {
        self.stock.per_sheet() * (A_FILE / self.stock.per_sheet()).max(1)
    }

    /// How many files so many labels are in.
    pub fn parts(&self, labels: usize) -> usize {
        (self.start - 1 + labels).div_ceil(self.a_part()).max(1)
    }

    /// The labels in the file of this part, and the position of the first one on its sheet, from 0.
    pub fn part_of<'s, 'l>(&self, labels: &'s [&'l Label]) -> (&'s [&'l Label], usize) {
        let used = self.start - 1;
        let at = |part: usize| part.saturating_mul(self.a_part()).saturating_sub(used).min(labels.len());
        let before = self.part.saturating_sub(1);
        let shown = labels.get(at(before)..at(before.saturating_add(1))).unwrap_or_default();
        (shown, if before == 0 { used } else { 0 })
    }

    /// The labels of a job that the query selects.
    pub fn wanted<'l>(&self, labels: &'l Labels, job: &Opened) -> Vec<&'l Label> {
        let anew: HashSet<&str> = match self.wires {
            Wires::Anew => job.work().to_label().map(|step| step.key.subject.id.as_str()).collect(),
            _ => HashSet::new(),
        };
        // A cable is never made on the bench.
        let pulled = |label: &Label| {
            let piece = job.pieces().about(&label.on);
            piece.is_some_and(|(piece, _)| piece.cable().is_some() || piece.is_pulled(&job.plan))
        };
        let of_these = |label: &Label| match self.wires {
            Wires::All => true,
            Wires::Pulled => pulled(label),
            Wires::Bench => !pulled(label),
            Wires::Anew => anew.contains(label.on.id.as_str()),
        };
        let here = |label: &Label, location: &LocationId| label.at.location(&job.plan) == Some(location);
        let wants = |label: &&Label| {
            of_these(label) && self.location.as_ref().is_none_or(|location| here(label, location))
        };
        labels.all().iter().filter(wants).collect()
    }
}

/// The sheets to choose from.
pub fn stocks(setting: &LabelSetting) -> Vec<(&'static str, String)> {
    setting.stocks().map(|stock| (stock.key, stock.to_string())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::label::STOCKS;

    #[test]
    fn what_is_not_asked_is_as_usual_and_what_does_not_go_is_refused() {
        let usual = LabelSetting::default();
        let asked = LabelsQuery::read(&mut Form::default(), &usual).unwrap();
        assert_eq!(
            asked,
            LabelsQuery { stock: STOCKS[0], start: 1, wires: Wires::All, location: None, part: 1 }
        );
        let mut form =
            Form::filled([("stock", "a4-4x12"), ("start", "48"), ("wires", "bench"), ("location", "bow")]);
        let asked = LabelsQuery::read(&mut form, &usual).unwrap();
        assert_eq!(asked.query(), "stock=a4-4x12&start=48&wires=bench&location=bow");
        for (field, wrong) in [
            ("stock", "a9"),
            ("stock", "own"),
            ("start", "25"),
            ("start", "0"),
            ("start", "x"),
            ("wires", "some"),
        ] {
            let mut form = Form::filled([(field, wrong)]);
            assert!(
                LabelsQuery::read(&mut form, &usual).is_none() && form.error(field).is_some(),
                "{field} {wrong}"
            );
        }
    }
}
